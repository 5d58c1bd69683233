"""Recorded ground speed and track as ground velocities: which of them are to be trusted, and how far."""

from itertools import pairwise

import numpy as np
import numpy.typing as npt

from analyzer.flown.motion.local_polynomial import local_polynomial
from analyzer.given import Frame, Track
from analyzer.units import BoolArray, FloatArray

ComplexArray = npt.NDArray[np.complex128]

FEWEST = 20  # rows with a velocity
SLOWEST_MPS = 10.0
BREAK_INTERVALS = 3.5  # a longer pause than so many intervals, and than BREAK_LEAST_S, breaks the integral
BREAK_LEAST_S = 30.0
HELD_S = 2.5  # a velocity is this old at most
WRONG_WAY_DEG = 45.0  # a track this far off the way the positions go is a bad one
KINK = 0.25  # of the speed: a velocity this far off the middle of its neighbours is a bad one
ROUNDING_MPS = 0.15  # 1 sigma of a velocity component at least: half a knot
TURNING_RAD_S = np.radians(1.0)


def recorded_velocities(
    track: Track, frame: Frame, time_s: FloatArray, position: ComplexArray, weight: FloatArray, interval_s: float
) -> tuple[FloatArray, ComplexArray] | None:
    """Return moments and ground velocities (along + i cross, m/s) that agree with each other and with the positions.

    Parameters
    ----------
    track : Track
        Its sensors `groundspeed_mps` and `track_true_deg` are used.
    frame : Frame
    time_s, position, weight : array, shape (n,)
        Recorded positions, along + i cross, metres; weight 0 for outliers.
    interval_s : float
        Middle interval of the positions.

    Returns
    -------
    tuple of array, or None
        None where a column is missing or too few velocities are left. A velocity that was written in several rows
        until the next one came counts once.
    """
    speed, angle = track.sensors.get("groundspeed_mps"), track.sensors.get("track_true_deg")
    if speed is None or angle is None:
        return None
    relative = np.radians(angle - frame.inbound_true_deg)
    velocity: ComplexArray = speed * (-np.cos(relative) + 1j * np.sin(relative))
    good = np.isfinite(velocity) & (np.abs(velocity) > SLOWEST_MPS)
    known_s, velocity = np.asarray(track.time_s)[good], velocity[good]
    kept = _plausible(known_s, velocity, time_s, position, weight, interval_s)
    return _once(known_s[kept], velocity[kept]) if np.count_nonzero(kept) >= FEWEST else None


def stretches(known_s: FloatArray, interval_s: float) -> list[tuple[int, int]]:
    """Return first index and the one after the last of each run of moments without a long pause."""
    longest = max(BREAK_LEAST_S, BREAK_INTERVALS * interval_s)
    cuts = [0, *(np.flatnonzero(np.diff(known_s) > longest) + 1).tolist(), len(known_s)]
    return list(pairwise(cuts))


def velocity_scatter(known_s: FloatArray, velocity: ComplexArray, interval_s: float) -> float:
    """1 sigma of a component against its neighbours over a few seconds, in turns where the flight has some.

    Old velocities are right on a straight leg and wrong in a turn, where it matters.
    """
    series = np.column_stack([velocity.real, velocity.imag])
    fit = local_polynomial(known_s, known_s, series, np.ones(len(known_s)), max(8.0, 2.6 * interval_s), 3)
    rest = (series - fit.value) / np.sqrt(np.clip(1.0 - fit.leverage, 0.05, 1.0))[:, None]
    # a velocity that stands for several seconds spoils the path for as long
    stands_s = np.gradient(known_s)
    rest *= (stands_s / np.sqrt(interval_s * float(np.mean(stands_s))))[:, None]
    lateral = fit.value[:, 0] * fit.slope[:, 1] - fit.value[:, 1] * fit.slope[:, 0]
    turning = np.abs(lateral) > TURNING_RAD_S * np.sum(fit.value**2, axis=1)
    if np.count_nonzero(turning) >= FEWEST:
        rest = rest[turning]
    # the worst twentieth counts: received velocities are mostly good and sometimes seconds old
    return max(ROUNDING_MPS, float(np.quantile(np.abs(rest), 0.95)) / 1.96)


def _plausible(
    known_s: FloatArray,
    velocity: ComplexArray,
    time_s: FloatArray,
    position: ComplexArray,
    weight: FloatArray,
    interval_s: float,
) -> BoolArray:
    """Which velocities agree with their neighbours and with the way the positions go."""
    if len(known_s) < FEWEST:
        return np.zeros(len(known_s), dtype=bool)
    kept = _without_kinks(known_s, velocity, interval_s)
    series = np.column_stack([position.real, position.imag])
    fit = local_polynomial(known_s, time_s, series, weight, max(8.0, 3.0 * interval_s), 1)
    way = fit.slope[:, 0] + 1j * fit.slope[:, 1]
    off = np.abs(np.angle(velocity * np.conj(way)))
    kept &= (off <= np.radians(WRONG_WAY_DEG)) | (np.abs(way) < SLOWEST_MPS)
    return np.asarray(kept, dtype=bool)


def _without_kinks(known_s: FloatArray, velocity: ComplexArray, interval_s: float) -> BoolArray:
    """Which velocities lie near the middle of their neighbours; the worst go first, as they spoil their neighbours'."""
    kept = np.arange(len(known_s))
    while len(kept) > 2:
        moving, moment = velocity[kept], known_s[kept]
        miss = np.zeros(len(kept))
        miss[1:-1] = np.abs(moving[1:-1] - 0.5 * (moving[:-2] + moving[2:]))
        miss[1:-1][moment[2:] - moment[:-2] > 2.0 * BREAK_INTERVALS * interval_s] = 0.0
        around = np.maximum(np.concatenate([[0.0], miss[:-1]]), np.concatenate([miss[1:], [0.0]]))
        bad = (miss > KINK * np.median(np.abs(moving))) & (miss >= around)
        if not np.any(bad):
            break
        kept = kept[~bad]
    return np.isin(np.arange(len(known_s)), kept)


def _once(known_s: FloatArray, velocity: ComplexArray) -> tuple[FloatArray, ComplexArray]:
    """Velocities received once and written in several rows, once: at their middle.

    Whole knots and degrees stand still for a long time on a straight leg, too: of such a stretch only the ends go.
    """
    edges = np.concatenate([[0], np.flatnonzero(np.diff(velocity) != 0.0) + 1, [len(velocity)]])
    run = np.repeat(np.arange(len(edges) - 1), np.diff(edges))
    first_s, last_s = known_s[edges[:-1]], known_s[edges[1:] - 1]
    inset_s = np.minimum(0.5 * (last_s - first_s), HELD_S)
    moments = np.clip(known_s, (first_s + inset_s)[run], (last_s - inset_s)[run])
    kept = np.concatenate([[True], np.diff(moments) > 0.0])
    return moments[kept], velocity[kept]
