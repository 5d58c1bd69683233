"""Established inbound: when the needle and the track first say so, and stay."""

import numpy as np

from analyzer.flown.motion.motion import Motion
from analyzer.standards import figure
from analyzer.units import BoolArray, FloatArray, wrap_180

#: established inbound (own definition, after common practice): half scale, 10 degrees, 10 seconds
ESTABLISHED_DEFLECTION = figure("icao.established.scale").value


ESTABLISHED_TRACK_DEG = 10.0


ESTABLISHED_FOR_S = 10.0


#: a track breaks off being established only beyond its own noise: this many sigma, and no more than a few degrees;
#: `tests.benchmarks.settled established_stay`
STAY_SIGMAS = 1.0


STAY_MOST_DEG = 2.0


def established_time(
    motion: Motion,
    deflection: FloatArray,
    cone: BoolArray | None,
    from_s: float,
    to_s: float,
    to_fix: bool = True,
) -> float | None:
    """Return the moment at which the inbound course is established, interpolated between the motion's moments.

    Parameters
    ----------
    motion : Motion
    deflection : array, shape (n,)
        At the motion's moments, see `deflection`.
    cone : array of bool, shape (n,), or None
        Moments inside the station's cone: there the deflection neither establishes nor breaks; the track counts.
    from_s, to_s : float
        Start of the reversal turn, and the inbound passage of the fix or the end of what is looked at.
    to_fix : bool
        Whether `to_s` is the passage of the fix, up to which less than 10 s are enough.

    Returns
    -------
    float or None
        First moment from which deflection (at most one half) and ground track (within 10 degrees of the inbound
        course) stay so for 10 s or to the fix; None where there is none.
    """
    if not to_s > from_s or len(motion) == 0:
        return None
    inside = (motion.time_s > from_s) & (motion.time_s < to_s)
    time_s = np.concatenate(([from_s], motion.time_s[inside], [to_s]))
    needle = np.abs(np.interp(time_s, motion.time_s, deflection)) / ESTABLISHED_DEFLECTION - 1.0
    track_deg = np.degrees(np.unwrap(np.radians(motion.track_relative_deg)))
    relative = wrap_180(np.interp(time_s, motion.time_s, track_deg))
    # noise lets a track within bounds seem to leave them more often than one out of bounds seem to stay
    track_sigma_deg = np.interp(time_s, motion.time_s, motion.track_sigma_deg)
    doubt_deg = np.minimum(STAY_SIGMAS * track_sigma_deg, STAY_MOST_DEG)
    course = np.abs(relative) / ESTABLISHED_TRACK_DEG - 1.0
    stays = np.abs(relative) / (ESTABLISHED_TRACK_DEG + doubt_deg) - 1.0
    silent = np.zeros(time_s.shape, dtype=bool)
    if cone is not None:
        nearest = np.clip(np.searchsorted(motion.time_s, time_s), 0, len(motion) - 1)
        silent = np.asarray(cone, dtype=bool)[nearest]
    begins = (course <= 0.0) & (needle <= 0.0) & ~silent
    broken = np.flatnonzero((stays > 0.0) | (~silent & (needle > 0.0)))
    index = 0
    while (heard := np.flatnonzero(begins[index:])).size:
        begin = index + int(heard[0])
        start_s = float(time_s[begin])
        if begin > 0 and not (silent[begin - 1] and course[begin - 1] <= 0.0):
            start_s = _last_crossing_s(time_s, needle, course, silent, begin)
        following = broken[broken > begin]
        after = int(following[0]) if following.size else time_s.size
        end_s = _first_crossing_s(time_s, needle, stays, silent, after - 1)
        if end_s - start_s >= ESTABLISHED_FOR_S or (to_fix and after == time_s.size):
            return start_s
        index = after
    return None


def _last_crossing_s(
    time_s: FloatArray, needle: FloatArray, course: FloatArray, silent: BoolArray, index: int
) -> float:
    """Return the moment between index - 1 and index at which the last of the broken conditions is met."""
    if index == 0:
        return float(time_s[0])
    return float(
        max(
            [time_s[index - 1]]
            + [
                time_s[index - 1] + (time_s[index] - time_s[index - 1]) * values[index - 1] / span
                for values, counts in ((needle, not silent[index - 1]), (course, True))
                if counts and values[index - 1] > 0.0 and (span := values[index - 1] - values[index]) > 0.0
            ]
        )
    )


def _first_crossing_s(
    time_s: FloatArray, needle: FloatArray, course: FloatArray, silent: BoolArray, index: int
) -> float:
    """Return the moment between index and index + 1 at which the first of the conditions breaks."""
    if index + 1 >= time_s.size:
        return float(time_s[-1])
    step = time_s[index + 1] - time_s[index]
    return float(
        min(
            [time_s[index + 1]]
            + [
                time_s[index] + step * max(-values[index], 0.0) / span
                for values, counts in ((needle, not silent[index + 1]), (course, True))
                if counts and values[index + 1] > 0.0 and (span := values[index + 1] - values[index]) > 0.0
            ]
        )
    )
