"""From when an arrival is held against its altitude: a climb from take-off or a missed approach breaks no minimum.

Own definition: a chart's altitude of an arrival is for an aircraft that is on it. A record of a whole flight begins on
the ground, and the next attempt begins in the climb from the last one.
"""

import numpy as np

from analyzer.flown import Attempt
from analyzer.units import METRES_PER_FOOT, FloatArray

# All of these are own choices, like the definition.
#: a track that begins in flight and this far off is on its way to the altitude, if it goes there without turning back
FAR_OFF_M = 1000.0 * METRES_PER_FOOT
TURNED_BACK_M = 150.0 * METRES_PER_FOOT
CLIMB_MPS = 200.0 * METRES_PER_FOOT / 60.0
LEVEL_S = 15.0
#: an aircraft that took off and never reached the altitude is judged for the last part of its way
LAST_PART_S = 300.0


def judged_from_s(
    attempt: Attempt,
    track_starts_s: float,
    took_off: bool,
    time_s: FloatArray,
    altitude_m: FloatArray,
    margin: FloatArray,
) -> float:
    """Return the moment from which an arrival is held against its altitude.

    Parameters
    ----------
    attempt : Attempt
    track_starts_s : float
    took_off : bool
        Whether the track begins on the ground.
    time_s, altitude_m, margin : array, shape (n,)
        The arrival: moments, altitudes and how far inside the limit each is, metres, negative outside.

    Returns
    -------
    float
        The first moment, unless the aircraft was still on its way to the altitude: then when it had reached it and
        climbed or descended no more.
    """
    begins_s, ends_s = float(time_s[0]), float(time_s[-1])
    if margin[0] >= 0.0:
        return begins_s
    from_start = attempt.number == 1 and attempt.start_s <= track_starts_s + 1.0
    reached = np.flatnonzero(margin >= 0.0)
    if not reached.size:
        return max(begins_s, ends_s - LAST_PART_S) if from_start and took_off else begins_s
    first = int(reached[0])
    way = margin[: first + 1]
    steadily = bool(np.max(np.maximum.accumulate(way) - way) <= TURNED_BACK_M)
    if from_start:
        on_its_way = took_off or (steadily and -way[0] > FAR_OFF_M)
    else:
        climb = float(altitude_m[first] - altitude_m[0])
        on_its_way = steadily and climb >= CLIMB_MPS * max(float(time_s[first]) - begins_s, 1.0)
    if not on_its_way:
        return begins_s
    soon = np.interp(time_s[first:] + LEVEL_S, time_s, margin)
    levelled = np.flatnonzero(soon - margin[first:] < CLIMB_MPS * LEVEL_S)
    return float(time_s[first + int(levelled[0])])
