"""The altitude that was assigned, until the approach was cleared and the fix passed; the altitude over the fix."""

import numpy as np

from analyzer.flown import Attempt, RecordedProfile
from analyzer.given import CrossingAltitude
from analyzer.judged.cleared_parts import PartAsked
from analyzer.judged.measurements.cleared_values import AssignedMeasure, ClearedMeasure, CrossingMeasure
from analyzer.units import METRES_PER_FOOT

#: an altitude is reached within this (as for an altitude of the chart)
REACHED_M = 100.0 * METRES_PER_FOOT


def measure_cleared(attempt: Attempt, recorded: RecordedProfile, asked: PartAsked | None) -> ClearedMeasure | None:
    """Return what was flown of a clearance, None where it says nothing of altitudes or of a time to leave.

    Parameters
    ----------
    attempt : Attempt
    recorded : RecordedProfile
    asked : PartAsked or None
        What was asked of this attempt.
    """
    if asked is None:
        return None
    limit_m, until_s, crossing = asked.clearance.assigned_altitude_m, asked.keep_until_s, asked.clearance.crossing
    assigned = None
    if limit_m is not None and until_s is not None:
        assigned = _assigned(attempt, recorded, asked, limit_m, until_s)
    crossed = None if crossing is None else _crossed(attempt, recorded, crossing, asked.clearance.cleared_at_s)
    leave_s = asked.clearance.hold.leave_at_s
    if assigned is None and crossed is None and leave_s is None:
        return None
    return ClearedMeasure(assigned, crossed, leave_s, None if leave_s is None else attempt.last_inbound_passage_s)


def _assigned(
    attempt: Attempt, recorded: RecordedProfile, asked: PartAsked, limit_m: float, until_s: float
) -> AssignedMeasure:
    profile, sigma_m = recorded.profile, recorded.sigma_m
    from_s = asked.keep_from_s if asked.keep_from_s is not None else 0.0
    end_s = min(until_s, attempt.end_s)
    bare = AssignedMeasure(limit_m, from_s, end_s, asked.clearance.cleared_at_s)
    if profile is None or sigma_m is None:
        return _without(bare, "the track has no altitudes")
    inside = np.flatnonzero((profile.time_s >= from_s) & (profile.time_s <= end_s))
    reached = inside[np.abs(profile.altitude_m[inside] - limit_m) <= REACHED_M]
    if not reached.size:
        return _without(bare, "it was not reached before")
    kept = inside[inside >= reached[0]]
    altitude = profile.altitude_m[kept]
    low, high = int(kept[int(np.argmin(altitude))]), int(kept[int(np.argmax(altitude))])
    farthest = low if limit_m - profile.altitude_m[low] >= profile.altitude_m[high] - limit_m else high
    near = kept[(kept <= farthest) & (np.abs(profile.altitude_m[kept] - limit_m) <= REACHED_M)]
    return AssignedMeasure(
        limit_m,
        float(profile.time_s[kept[0]]),
        end_s,
        bare.cleared_s,
        float(profile.altitude_m[low]),
        float(profile.time_s[low]),
        float(profile.altitude_m[high]),
        float(profile.time_s[high]),
        float(profile.time_s[near[-1]]),
        float(sigma_m[farthest]),
        recorded.reading_m,
    )


def _without(bare: AssignedMeasure, reason: str) -> AssignedMeasure:
    return AssignedMeasure(bare.limit_m, bare.from_s, bare.until_s, bare.cleared_s, reason=reason)


def _crossed(
    attempt: Attempt, recorded: RecordedProfile, limit: CrossingAltitude, cleared_s: float | None
) -> CrossingMeasure:
    after = [one.at_s for one in attempt.passages if cleared_s is None or one.at_s >= cleared_s]
    at_s = after[0] if after else attempt.first_passage_s
    profile, sigma_m = recorded.profile, recorded.sigma_m
    if profile is None or sigma_m is None or not profile.time_s[0] <= at_s <= profile.time_s[-1]:
        return CrossingMeasure(limit, at_s, None)
    altitude_m, sigma = (float(np.interp(at_s, profile.time_s, each)) for each in (profile.altitude_m, sigma_m))
    return CrossingMeasure(limit, at_s, altitude_m, sigma, recorded.reading_m)
