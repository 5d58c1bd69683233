"""The last mile before a station, and its cone: the needle says little or nothing there, the position says where.

Common practice: so near to a station the needle is not chased but the heading held. Inside the cone of ambiguity the
needle says nothing at all.
"""

import numpy as np

from analyzer.flown import Attempt, Flight, Motion, established_time
from analyzer.judged.measurements.values import NearStation
from analyzer.planned import Plan, in_cone, near_station, off_course_m
from analyzer.units import METRES_PER_NM, BoolArray, FloatArray

#: established by position: so near to the course, half of what the judgement allows there, on a track within 10 degrees
ON_COURSE_M = 0.075 * METRES_PER_NM
#: a needle that was heard for so long along the course, on a track within so much of it, has said what there is to say
HEARD_S, ALONG_DEG = 10.0, 10.0
ESTABLISHED_SHARE = 0.5  # `established_time` asks for at most half of the needle's full scale


def near_of(flight: Flight, plan: Plan) -> BoolArray:
    """Return where the position is judged and not the needle, at the motion's moments, shape (n,)."""
    motion = flight.motion
    near = near_station(plan.procedure, plan.frame, motion.along_m, motion.cross_m, motion.groundspeed_mps)
    return near | in_cone(plan.procedure, plan.frame, motion.along_m, motion.cross_m, flight.altitude_m)


def measure_near_station(
    attempt: Attempt, flight: Flight, plan: Plan, from_s: float, stop_s: float
) -> NearStation | None:
    """Return how far off the course the flight was near the station, on its way in.

    Parameters
    ----------
    attempt : Attempt
    flight : Flight
    plan : Plan
    from_s, stop_s : float
        Start of the last reversal turn; inbound passage of the fix or the end of what is looked at.

    Returns
    -------
    NearStation or None
        None where the way in has no such part.
    """
    motion = flight.motion
    near = near_of(flight, plan)
    off_m = off_course_m(plan.procedure, plan.frame, motion.along_m, motion.cross_m)
    established_s = attempt.established_s[-1] if attempt.established_s else None
    cone = in_cone(plan.procedure, plan.frame, motion.along_m, motion.cross_m, flight.altitude_m)
    by_position_s = None if established_s is not None else _by_position_s(motion, off_m, cone, from_s, stop_s)
    begins_s = established_s if established_s is not None else by_position_s
    if begins_s is None:
        return None
    judged = near & (motion.time_s >= begins_s) & (motion.time_s <= stop_s)
    if not np.any(judged):
        return None
    worst = int(np.flatnonzero(judged)[int(np.argmax(np.abs(off_m[judged])))])
    return NearStation(
        off_m=float(abs(off_m[worst])),
        at_s=float(motion.time_s[worst]),
        sigma_m=float(motion.position_sigma_m[worst]),
        established_s=by_position_s,
    )


def _by_position_s(motion: Motion, off_m: FloatArray, cone: BoolArray, from_s: float, stop_s: float) -> float | None:
    """Moment in the cone from which on the flight was on the course and its track, by its position.

    None where the needle was heard along the course before that, and said otherwise.
    """
    found = established_time(motion, off_m / ON_COURSE_M * ESTABLISHED_SHARE, None, from_s, stop_s)
    if found is None or not bool(np.interp(found, motion.time_s, cone.astype(float)) > 0.0):
        return None
    heard = motion.time_s[~cone & (motion.time_s <= found)]
    if not heard.size:
        return found
    before = (motion.time_s >= heard[-1] - HEARD_S) & (motion.time_s <= heard[-1])
    along_the_course = bool(np.all(np.abs(motion.track_relative_deg[before]) <= ALONG_DEG))
    return None if along_the_course else found
