"""Passes of the fix that begin no reversal: on the ground, and in the climb from a take-off near it.

Whole flights are handed in, and many fixes are beacons on or near the field that the flight began at.
"""

import numpy as np

from analyzer.flown.motion.motion import Motion
from analyzer.flown.reversals.fix_passes import Pass
from analyzer.given import Procedure
from analyzer.units import METRES_PER_FOOT, MPS_PER_KNOT, FloatArray

# All of these are own choices after common practice, but for the first.
ON_GROUND_MPS = 40.0 * MPS_PER_KNOT  # definition of the result: slower at its end, a track ends on the ground
STANDING_MPS = 25.0 * MPS_PER_KNOT  # slower than any aeroplane flies: a pass at taxi speed
AT_BEGINNING_S = 60.0
AIRBORNE_S = 30.0  # so long faster than that, the aircraft has taken off
#: after take-off: so long no pass counts, and so long none where the track has no altitudes
LIFT_OFF_S, CLIMB_WITHOUT_ALTITUDE_S = 60.0, 180.0
CLIMB_MPS = 200.0 * METRES_PER_FOOT / 60.0
CLIMB_LOOK_S = 20.0
LEVELLED_M = 150.0 * METRES_PER_FOOT  # a descent of more ends the climb from take-off
BELOW_LIMIT_M = 300.0 * METRES_PER_FOOT
CLIMB_OUT_M = 2000.0 * METRES_PER_FOOT  # above the field, where the procedure has no altitudes


def take_off_s(motion: Motion) -> float | None:
    """Return when the aircraft took off, None for a track that begins in flight or never leaves the ground."""
    speed = motion.groundspeed_mps
    if float(np.min(speed[motion.time_s <= motion.time_s[0] + AT_BEGINNING_S])) >= ON_GROUND_MPS:
        return None
    count = max(2, round(AIRBORNE_S / motion.step_s))
    if len(speed) < count:
        return None
    slowest = np.min(np.lib.stride_tricks.sliding_window_view(speed, count), axis=1)
    airborne = np.flatnonzero(slowest >= ON_GROUND_MPS)
    return float(motion.time_s[airborne[0]]) if airborne.size else None


def passes_in_flight(
    passed: tuple[Pass, ...], motion: Motion, altitude_m: FloatArray | None, procedure: Procedure
) -> tuple[Pass, ...]:
    """Return the passes that may belong to a reversal.

    Parameters
    ----------
    passed : tuple of Pass
    motion : Motion
    altitude_m : array, shape (n,), or None
        At the motion's moments; nan where unknown.
    procedure : Procedure
        A climb is over at the lowest altitude of its arrival and reversal.
    """
    began_s = take_off_s(motion)
    kept = []
    for one in passed:
        slow = float(np.interp(one.at_s, motion.time_s, motion.groundspeed_mps)) < STANDING_MPS
        if slow or (began_s is not None and _in_climb(one.at_s, began_s, motion, altitude_m, procedure)):
            continue
        kept.append(one)
    return tuple(kept)


def _in_climb(at_s: float, began_s: float, motion: Motion, altitude_m: FloatArray | None, procedure: Procedure) -> bool:
    """Return whether a moment is before take-off or in the climb from it."""
    if at_s < began_s + LIFT_OFF_S:
        return True
    known = np.zeros(0, dtype=bool) if altitude_m is None else np.isfinite(altitude_m)
    if altitude_m is None or np.count_nonzero(known) < 2:
        return at_s < began_s + CLIMB_WITHOUT_ALTITUDE_S
    time, altitude = motion.time_s[known], altitude_m[known]
    here, before, after = np.interp([at_s, at_s - CLIMB_LOOK_S, at_s + CLIMB_LOOK_S], time, altitude)
    since = altitude[(time >= began_s) & (time <= at_s)]
    levelled = since.size > 0 and bool(np.max(np.maximum.accumulate(since) - since) > LEVELLED_M)
    lows = [
        limit.low_m
        for limit in procedure.altitudes
        if limit.segment in ("arrival", "reversal") and limit.low_m is not None
    ]
    field_m = float(np.interp(began_s, time, altitude))
    low = here < (min(lows) - BELOW_LIMIT_M if lows else field_m + CLIMB_OUT_M)
    return bool(low and not levelled and after - before > 2.0 * CLIMB_LOOK_S * CLIMB_MPS)
