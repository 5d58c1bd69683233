"""Crossings of the course line that last: small excursions to the other side are none."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Crossing:
    """When the line was crossed, and the side gone to: +1 to the right of the inbound course, -1 to the left."""

    at_s: float
    to_side: int


def course_crossings(
    time_s: FloatArray, cross_m: FloatArray, least_m: FloatArray, silent: BoolArray | None
) -> tuple[Crossing, ...]:
    """Return the crossings of the course line in order.

    Parameters
    ----------
    time_s, cross_m : array, shape (n,)
    least_m : array, shape (n,)
        A side counts as gone to once the cross-track reaches this distance there.
    silent : array of bool, shape (n,), or None
        Moments at which nothing counts: a change of side in them is no crossing.

    Returns
    -------
    tuple of Crossing
        At the moment at which the line was cut on the way to the new side, interpolated.
    """
    reached = np.where(np.abs(cross_m) >= least_m, np.sign(cross_m), 0.0)
    found: list[Crossing] = []
    side, left_at, was_silent = 0.0, 0, False
    for index, new in enumerate(reached.tolist()):
        if silent is not None and silent[index]:
            was_silent = True
            continue
        if new == 0.0:
            continue
        if side != 0.0 and new != side and not was_silent:
            found.append(Crossing(_cut_s(time_s, cross_m, left_at, index), int(new)))
        side, left_at, was_silent = new, index, False
    return tuple(found)


def _cut_s(time_s: FloatArray, cross_m: FloatArray, first: int, last: int) -> float:
    """Last cut of the line between two moments on different sides of it."""
    values = cross_m[first : last + 1]
    cuts = np.flatnonzero(values[:-1] * values[-1] <= 0.0)
    before = first + int(cuts[-1])
    drop = cross_m[before] - cross_m[before + 1]
    share = cross_m[before] / drop if drop != 0.0 else 0.0
    return float(time_s[before] + share * (time_s[before + 1] - time_s[before]))
