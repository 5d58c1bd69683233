"""Crossings of the course line that last: small excursions to the other side are none."""

from dataclasses import dataclass

import numpy as np

from analyzer.flown import Motion
from analyzer.given import Frame, Procedure
from analyzer.planned import full_scale_m, in_cone, off_course_m
from analyzer.units import BoolArray, FloatArray

#: excursions under a tenth of full scale are not crossings (own definition)
CROSSING_DEFLECTION = 0.1
#: positions with less noise than this are a simulator's, which do not wander (metres, 1 sigma)
EXACT_NOISE_M = 0.5
#: near an angular station a tenth of full scale is less than the doubt about a position, yet any side that is seen is
#: likelier the true one than not; only what noise alone brings about does not count (`tests.benchmarks.settled
#: crossing_least`)
COUNTED_LEAST_M, COUNTED_EXACT_M = 3.0, 0.3
#: the moments at which a crossing is looked for are not farther apart: the edge of a station's cone is not overrun
FINEST_S = 0.25


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
        Moments at which nothing counts: a change of side in them is not a crossing.

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


def needle_crossings(
    motion: Motion,
    procedure: Procedure,
    frame: Frame,
    altitude_m: FloatArray | None,
    start_s: float,
    stop_s: float,
) -> tuple[Crossing, ...]:
    """Return the crossings of the course that count: by a tenth of full scale, outside a station's cone.

    Parameters
    ----------
    motion : Motion
    procedure : Procedure
    frame : Frame
    altitude_m : array, shape (n,), or None
        At the motion's moments, for the station's cone; None or nan: no cone.
    start_s, stop_s : float
        Start of the reversal turn, and the inbound passage of the fix or the end of what is looked at.
    """
    inside = (motion.time_s > start_s) & (motion.time_s < stop_s)
    time = np.concatenate([[start_s], motion.time_s[inside], [stop_s]])
    if motion.step_s > FINEST_S:
        time = np.union1d(time, np.arange(start_s, stop_s, FINEST_S))
    along, cross = (np.interp(time, motion.time_s, values) for values in (motion.along_m, motion.cross_m))
    altitude = None if altitude_m is None else np.interp(time, motion.time_s, altitude_m)
    least_m = COUNTED_EXACT_M if motion.noise_m < EXACT_NOISE_M else COUNTED_LEAST_M
    return course_crossings(
        time,
        off_course_m(procedure, frame, along, cross),
        np.maximum(least_m, CROSSING_DEFLECTION * full_scale_m(procedure, frame, along)),
        in_cone(procedure, frame, along, cross, altitude),
    )


def _cut_s(time_s: FloatArray, cross_m: FloatArray, first: int, last: int) -> float:
    """Last cut of the line between two moments on different sides of it."""
    values = cross_m[first : last + 1]
    cuts = np.flatnonzero(values[:-1] * values[-1] <= 0.0)
    before = first + int(cuts[-1])
    drop = cross_m[before] - cross_m[before + 1]
    share = cross_m[before] / drop if drop != 0.0 else 0.0
    return float(time_s[before] + share * (time_s[before + 1] - time_s[before]))
