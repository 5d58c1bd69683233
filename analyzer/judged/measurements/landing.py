"""The landing: what is flown below the minimum descent altitude without being a fault.

Own definition, since 14 CFR 91.175(c)(1) gives no figure ("a descent to a landing on the intended runway ... at a
normal rate of descent using normal manoeuvres", read): from the point where the minimum was last passed, if from there
on the aircraft never levels off and that point lies no farther from the touchdown than 250 ft/NM and 1 NM more give.
"""

from dataclasses import dataclass

import numpy as np

from analyzer.flown import AltitudeProfile
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, FloatArray

#: level is what loses less than this for so long
LEVEL_MPS, LEVEL_S = 100.0 * METRES_PER_FOOT / 60.0, 10.0
#: what is level in a stretch ends where this is passed: the bend into the descent is no part of it
FLAT_MPS = 0.25 * LEVEL_MPS
#: of a record with noise longer stretches are asked as well, which show it in spite of the noise
LONGEST_LEVEL_S = 60.0
#: below this the aircraft flares and is on the ground: half the height over a threshold of 50 ft (common practice)
FLARE_M = 50.0 * METRES_PER_FOOT
FLATTEST, AND_M = 250.0 * METRES_PER_FOOT / METRES_PER_NM, 1.0 * METRES_PER_NM
#: so many sigma of two altitudes that a stretch must be level by
DIFFERENCE_SIGMAS = 2.0


@dataclass(frozen=True)
class Touchdown:
    """Where an aircraft came to the ground in a final.

    Parameters
    ----------
    at_s : float
        When.
    ground_m : float
        Altitude of the ground there, as recorded in flight.
    time_s, away_m : array, shape (n,)
        Moments, and the distance from the touchdown at each.
    """

    at_s: float
    ground_m: float
    time_s: FloatArray
    away_m: FloatArray


@dataclass(frozen=True)
class Landing:
    """The landing: `from_s` is when it began, `descent_from_s` when the descent that led to it did."""

    from_s: float
    descent_from_s: float


def landing_of(
    floor_m: float, profile: AltitudeProfile, scatter_m: FloatArray, touchdown: Touchdown, from_s: float
) -> Landing:
    """Return the landing of a final.

    Parameters
    ----------
    floor_m : float
        The minimum.
    profile : AltitudeProfile
    scatter_m : array, shape (n,)
        1 sigma of the profile's altitudes against each other.
    touchdown : Touchdown
    from_s : float
        Start of the final; the landing may have begun earlier.

    Returns
    -------
    Landing
        It begins where the minimum was last passed, or later, at the first point from which on its two conditions hold.
    """
    time, altitude = profile.time_s, profile.altitude_m
    passed_s = last_above_s(profile, floor_m, touchdown.at_s)
    flare_s = last_above_s(profile, touchdown.ground_m + FLARE_M, touchdown.at_s)
    level_until_s = _level_until_s(time, altitude, scatter_m, flare_s)
    descent_from_s = float(time[0]) if level_until_s is None else level_until_s
    begins_s = max(passed_s, descent_from_s)
    after = (time > begins_s) & (time <= touchdown.at_s)
    moments = np.concatenate([[begins_s], time[after]])
    height = np.interp(moments, time, altitude) - touchdown.ground_m
    away = np.interp(moments, touchdown.time_s, touchdown.away_m)
    far = np.flatnonzero(away > np.maximum(height, 0.0) / FLATTEST + AND_M)
    if far.size:
        begins_s = float(moments[min(int(far[-1]) + 1, len(moments) - 1)])
    return Landing(begins_s, max(min(descent_from_s, begins_s), from_s))


def last_above_s(profile: AltitudeProfile, floor_m: float, ground_s: float) -> float:
    """Return the moment from which the aircraft stayed below an altitude until it was on the ground."""
    time = profile.time_s
    above = np.flatnonzero((profile.altitude_m >= floor_m) & (time <= ground_s))
    if above.size == 0:
        return float(time[0])
    last = int(above[-1])
    if last + 1 >= time.size or time[last + 1] > ground_s:
        return ground_s
    drop = profile.altitude_m[last] - profile.altitude_m[last + 1]
    share = (profile.altitude_m[last] - floor_m) / drop if drop > 0.0 else 0.0
    return float(time[last] + share * (time[last + 1] - time[last]))


def _level_until_s(time_s: FloatArray, altitude_m: FloatArray, scatter_m: FloatArray, to_s: float) -> float | None:
    """Return the end of the last stretch without a descent before a moment; None where there is none."""
    latest = None
    steps = np.diff(altitude_m) / np.diff(time_s)
    for lasting_s in np.arange(LEVEL_S, LONGEST_LEVEL_S + 1.0, LEVEL_S):
        starts = time_s[(time_s + lasting_s <= to_s) & (time_s + lasting_s <= time_s[-1])]
        if not starts.size:
            break
        lost = np.interp(starts, time_s, altitude_m) - np.interp(starts + lasting_s, time_s, altitude_m)
        doubt = DIFFERENCE_SIGMAS * np.hypot(
            np.interp(starts, time_s, scatter_m), np.interp(starts + lasting_s, time_s, scatter_m)
        )
        level = np.flatnonzero(lost + doubt < LEVEL_MPS * lasting_s)
        if level.size:
            start_s, end_s = float(starts[level[-1]]), float(starts[level[-1]] + lasting_s)
            # the window reaches into the descent that follows: what is level in it ends where that begins
            flat = np.flatnonzero((time_s[:-1] >= start_s) & (time_s[1:] <= end_s) & (steps > -FLAT_MPS))
            end_s = float(time_s[flat[-1] + 1]) if flat.size else end_s
            latest = end_s if latest is None else max(latest, end_s)
    return latest
