"""Passes by the fix: each closest point of approach, interpolated between moments."""

from dataclasses import dataclass

import numpy as np

from analyzer.flown.motion.motion import Motion
from analyzer.units import METRES_PER_NM

LEAST_RISE_M = 0.45 * METRES_PER_NM  # between two passes the distance rises at least so much above the nearer one
RISING_S = 10.0  # so long at least a recording that begins at the fix goes away from it
BEGINS_IN_FLIGHT_MPS = 25.0  # slower at its beginning, it begins with a take-off
CIRCLING_RISE_M = 0.8 * METRES_PER_NM  # abeam on the outbound leg of a hold is not a pass: it stays below this rise


@dataclass(frozen=True)
class Pass:
    """Closest point of one pass: when, how near, and where in the frame's axes."""

    at_s: float
    distance_m: float
    along_m: float
    cross_m: float


def passes(motion: Motion, radius_m: float) -> tuple[Pass, ...]:
    """Return the passes within `radius_m` of the fix in order of time.

    Parameters
    ----------
    motion : Motion
    radius_m : float
        A pass is a stretch within this distance. A small hold never leaves it: its circuits are told apart by the
        rise of the distance between two nearest points.

    Returns
    -------
    tuple of Pass
        The first moment is one where the recording begins within the radius, in flight and going away.
    """
    distance = motion.distance_m
    count = len(distance)
    if count < 3:
        return ()
    lows = np.flatnonzero((distance[1:-1] <= distance[:-2]) & (distance[1:-1] < distance[2:])) + 1
    if _begins_over_the_fix(motion):
        lows = np.concatenate([[0], lows])
    lows = lows[distance[lows] <= radius_m]
    kept: list[int] = []
    for low in lows.tolist():
        while kept:
            between = float(np.max(distance[kept[-1] : low + 1]))
            rise = between - max(distance[kept[-1]], distance[low])
            needed = LEAST_RISE_M if between > radius_m else CIRCLING_RISE_M
            if rise >= needed:
                break
            if distance[low] < distance[kept[-1]]:
                kept.pop()
                continue
            low = -1
            break
        if low >= 0:
            kept.append(low)
    return tuple(_closest(motion, low) for low in kept)


def _begins_over_the_fix(motion: Motion) -> bool:
    """Whether the recording was cut at the fix: it begins in flight, on the way out."""
    away_mps = motion.along_m[0] * motion.along_mps[0] + motion.cross_m[0] * motion.cross_mps[0]
    away_mps /= max(float(motion.distance_m[0]), 1.0)
    first = motion.distance_m[: max(2, round(RISING_S / motion.step_s))]
    rises = float(motion.time_s[-1] - motion.time_s[0]) >= RISING_S and bool(np.all(np.diff(first) > 0.0))
    return rises and away_mps > 0.0 and float(motion.groundspeed_mps[0]) > BEGINS_IN_FLIGHT_MPS


def _closest(motion: Motion, index: int) -> Pass:
    """Interpolate the closest point: in unaccelerated flight the squared distance is a parabola."""
    at = motion.time_s[index]
    along, cross = motion.along_m[index], motion.cross_m[index]
    va, vc = motion.along_mps[index], motion.cross_mps[index]
    speed2 = max(va * va + vc * vc, 1.0)
    shift = float(np.clip(-(along * va + cross * vc) / speed2, -motion.step_s, motion.step_s))
    at_s = float(np.clip(at + shift, motion.time_s[0], motion.time_s[-1]))
    near_along = float(np.interp(at_s, motion.time_s, motion.along_m))
    near_cross = float(np.interp(at_s, motion.time_s, motion.cross_m))
    return Pass(at_s, float(np.hypot(near_along, near_cross)), near_along, near_cross)
