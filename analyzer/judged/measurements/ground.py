"""When the aircraft was on the ground: after a landing, altitudes below the limit are not a fault."""

from dataclasses import dataclass

import numpy as np

from analyzer.flown import ON_GROUND_MPS, STANDING_MPS, AltitudeProfile, Attempt, Motion, take_off_s
from analyzer.given import Track
from analyzer.judged.measurements.landing import Touchdown, last_above_s
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM

AT_END_S = 5.0
#: a touch-and-go hardly slows down: it is one that comes so near to where the track took off (own choice)
TOUCHED_M, SAME_FIELD_M = 150.0 * METRES_PER_FOOT, 2.0 * METRES_PER_NM

#: lower than this above where it came to stand an aircraft is on the runway: one slopes by so much (own choice)
ON_RUNWAY_M = 15.0 * METRES_PER_FOOT


@dataclass(frozen=True)
class Ground:
    """Where an attempt and its track touch the ground.

    Parameters
    ----------
    threshold_passed_s : float or None
        When the runway threshold was passed on the final, None without a runway.
    touchdown : Touchdown or None
        Where the aircraft landed in the final, to stay or to take off again: the last descent to there is no fault.
    runway_before_fix : bool
        Whether the runway lies on the outbound side of the fix: no final of an approach to it comes after the fix.
    track_starts_s : float
        The track's first moment.
    took_off : bool
        Whether the track begins on the ground.
    missed_point_s : float or None
        When the missed approach point was passed, where the flight climbed away or landed after it.
    """

    threshold_passed_s: float | None = None
    touchdown: Touchdown | None = None
    runway_before_fix: bool = False
    track_starts_s: float = 0.0
    took_off: bool = False
    missed_point_s: float | None = None


def touchdown_of(
    from_s: float | None, attempt: Attempt, track: Track, motion: Motion, profile: AltitudeProfile | None
) -> Touchdown | None:
    """Return where the aircraft landed in a final, None where it did not or nothing shows it.

    Parameters
    ----------
    from_s : float or None
        Start of the final, None where there was none.
    attempt : Attempt
    track : Track
    motion : Motion
    profile : AltitudeProfile or None
    """
    if from_s is None or profile is None:
        return None
    ends_down = ends_on_ground(attempt, track, motion)
    down_s = float(profile.time_s[-1]) if ends_down else _touched_s(from_s, attempt, motion, profile)
    if down_s is None:
        return None
    ground_m = float(np.interp(down_s, profile.time_s, profile.altitude_m))
    at_s = last_above_s(profile, ground_m + ON_RUNWAY_M, down_s)
    along, cross = (float(np.interp(at_s, motion.time_s, each)) for each in (motion.along_m, motion.cross_m))
    return Touchdown(at_s, ground_m, motion.time_s, np.hypot(motion.along_m - along, motion.cross_m - cross))


def ends_on_ground(attempt: Attempt, track: Track, motion: Motion) -> bool:
    """Return whether the track ends on the ground, under 40 kt, with this attempt its last."""
    last_s = float(motion.time_s[-1])
    if attempt.end_s < last_s - AT_END_S:
        return False
    slowest = float(np.min(motion.groundspeed_mps[motion.time_s >= last_s - AT_END_S]))
    column = track.sensors.get("groundspeed_mps")
    if column is not None:
        shown = column[(track.time_s >= last_s - AT_END_S) & np.isfinite(column)]
        if shown.size:
            return bool(np.min(shown) < ON_GROUND_MPS)
    return slowest < ON_GROUND_MPS


def _touched_s(from_s: float, attempt: Attempt, motion: Motion, profile: AltitudeProfile) -> float | None:
    """Return when the aircraft was on the ground in a final that the track goes on after, None where it was not."""
    final = (motion.time_s >= from_s) & (motion.time_s <= attempt.end_s)
    slow = np.flatnonzero(final & (motion.groundspeed_mps < STANDING_MPS))
    if slow.size:
        return float(motion.time_s[slow[0]])
    took_off_s = take_off_s(motion)
    if took_off_s is None:
        return None
    field_m = float(np.interp(took_off_s, profile.time_s, profile.altitude_m))
    inside = np.flatnonzero((profile.time_s >= from_s) & (profile.time_s <= attempt.end_s))
    if not inside.size:
        return None
    lowest = int(inside[int(np.argmin(profile.altitude_m[inside]))])
    lowest_s = float(profile.time_s[lowest])
    places = (np.interp([took_off_s, lowest_s], motion.time_s, each) for each in (motion.along_m, motion.cross_m))
    away_m = float(np.hypot(*(np.diff(place)[0] for place in places)))
    near = abs(profile.altitude_m[lowest] - field_m) <= TOUCHED_M and away_m <= SAME_FIELD_M
    return lowest_s if near else None
