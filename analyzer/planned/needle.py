"""Flown against planned: needle deflection, the cone over a station, and when the inbound course is established."""

from typing import Any

import numpy as np
import numpy.typing as npt

from analyzer.flown.motion.motion import Motion
from analyzer.given.plane import Frame, frame_of
from analyzer.given.procedure import Procedure
from analyzer.units.factors import METRES_PER_NM

FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]

#: half-angle of the cone of ambiguity from the vertical, degrees: VOR and NDB, ICAO Doc 8168 volume II, part I,
#: section 2, chapter 2, 2.5.1 and 2.5.2 (read)
CONE_HALF_ANGLE_DEG = {"VOR": 50.0, "NDB": 40.0}
#: a pass by the fix is within this distance; the larger one for a hold, or where the cone is larger (own choice)
PASSAGE_RADIUS_M = 1.0 * METRES_PER_NM
WIDE_PASSAGE_RADIUS_M = 2.0 * METRES_PER_NM
#: a station farther off the course than this contradicts it (own choice; a course is rounded by half a degree)
STATION_OFF_COURSE_DEG = 3.0
#: so near to a station the needle of a VOR or NDB is not chased but the heading held (common practice)
NEAR_STATION_M = 0.5 * METRES_PER_NM
#: established inbound (own definition, after common practice): half scale, 10 degrees, 10 seconds
ESTABLISHED_DEFLECTION = 0.5
ESTABLISHED_TRACK_DEG = 10.0
ESTABLISHED_FOR_S = 10.0
#: a track breaks off being established only beyond its own noise: so many sigma, at most so many degrees (settled on
#: synthetic flights)
STAY_SIGMAS, STAY_MOST_DEG = 1.0, 2.0


def deflection(procedure: Procedure, frame: Frame, along_m: Any, cross_m: Any) -> FloatArray:
    """Return the needle's deflection from the inbound course in parts of full scale.

    Parameters
    ----------
    procedure : Procedure
    frame : Frame
    along_m, cross_m : float or array, shapes that broadcast
        Positions in the frame's axes; nan stays nan.

    Returns
    -------
    array
        Positive to the right of the inbound course, seen flying inbound; not limited to -1 ... +1. Angular guidance:
        the cross-track angle at the station, on whichever side of it the aircraft is, so 90 degrees abeam of it.
        RNAV: the cross-track distance.

    Notes
    -----
    A station that is not the fix gives the course its direction: the needle is centred on the line through both, since
    the course of the file is rounded to a degree and the aerial's place is not. One that lies more than 3 degrees off
    the course contradicts it; then the course through the fix counts.
    """
    along, cross = np.asarray(along_m, dtype=float), np.asarray(cross_m, dtype=float)
    guidance = procedure.guidance
    if guidance.full_scale_m is not None:
        return np.asarray(cross / guidance.full_scale_m + 0.0 * along)
    if guidance.full_scale_deg is None:
        raise ValueError("guidance has neither full_scale_deg nor full_scale_m")
    ahead, aside = _from_station_m(procedure, frame, along, cross)
    return np.asarray(np.degrees(np.arctan2(aside, np.abs(ahead))) / guidance.full_scale_deg)


def off_course_m(procedure: Procedure, frame: Frame, along_m: Any, cross_m: Any) -> FloatArray:
    """Return the distance off the course that the needle shows, metres, positive to the right; see `deflection`."""
    along, cross = np.asarray(along_m, dtype=float), np.asarray(cross_m, dtype=float)
    if procedure.guidance.full_scale_m is not None:
        return np.asarray(cross + 0.0 * along)
    return _from_station_m(procedure, frame, along, cross)[1]


def _from_station_m(
    procedure: Procedure, frame: Frame, along: FloatArray, cross: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return distances ahead of the station along the course that it gives, and off that course."""
    station_along, station_cross = _station_along_cross_m(procedure, frame)
    if station_cross == 0.0 or abs(station_cross) > abs(station_along) * np.tan(np.radians(STATION_OFF_COURSE_DEG)):
        return along - station_along, cross + 0.0 * along
    skew = np.arctan(station_cross / station_along)
    ahead, aside = along - station_along, cross - station_cross
    return np.cos(skew) * ahead + np.sin(skew) * aside, np.cos(skew) * aside - np.sin(skew) * ahead


def full_scale_m(procedure: Procedure, frame: Frame, along_m: Any) -> FloatArray:
    """Return the cross-track distance of full deflection at each along-track position, metres.

    Zero abeam of the station for angular guidance.
    """
    along = np.asarray(along_m, dtype=float)
    guidance = procedure.guidance
    if guidance.full_scale_m is not None:
        return np.full(along.shape, guidance.full_scale_m)
    if guidance.full_scale_deg is None:
        raise ValueError("guidance has neither full_scale_deg nor full_scale_m")
    station_along, _ = _station_along_cross_m(procedure, frame)
    return np.asarray(np.abs(along - station_along) * np.tan(np.radians(guidance.full_scale_deg)))


def cone_radius_m(procedure: Procedure, altitude_m: Any) -> FloatArray:
    """Return the radius of the station's cone of ambiguity at an altitude, metres.

    Parameters
    ----------
    procedure : Procedure
        Without an elevation of the station or the fix, or with guidance that has no cone, the radius is 0.
    altitude_m : float or array, any shape
        Above mean sea level; nan gives 0.
    """
    altitude = np.asarray(altitude_m, dtype=float)
    half_angle_deg = CONE_HALF_ANGLE_DEG.get(procedure.guidance.kind)
    elevation_m = procedure.guidance.station.elevation_m
    if elevation_m is None:
        elevation_m = procedure.fix.elevation_m
    if half_angle_deg is None or elevation_m is None:
        return np.zeros(altitude.shape)
    height = np.where(np.isfinite(altitude), altitude - elevation_m, 0.0)
    return np.asarray(np.maximum(height, 0.0) * np.tan(np.radians(half_angle_deg)))


def in_cone(procedure: Procedure, frame: Frame, along_m: Any, cross_m: Any, altitude_m: Any | None) -> BoolArray:
    """Return where the aircraft is inside the station's cone of ambiguity and the needle says nothing.

    Parameters
    ----------
    along_m, cross_m : float or array, shapes that broadcast
    altitude_m : float or array of the same shape, or None
        Above mean sea level; None or nan: no cone.
    """
    along, cross = np.asarray(along_m, dtype=float), np.asarray(cross_m, dtype=float)
    if altitude_m is None:
        return np.zeros(np.broadcast(along, cross).shape, dtype=bool)
    station_along, station_cross = _station_along_cross_m(procedure, frame)
    distance = np.hypot(along - station_along, cross - station_cross)
    return np.asarray(distance < cone_radius_m(procedure, altitude_m))


def near_station(procedure: Procedure, frame: Frame, along_m: Any, cross_m: Any) -> BoolArray:
    """Return where an angular needle is too quick to be followed: within `NEAR_STATION_M` of its station.

    Parameters
    ----------
    along_m, cross_m : float or array, shapes that broadcast
    """
    along, cross = np.asarray(along_m, dtype=float), np.asarray(cross_m, dtype=float)
    if procedure.guidance.full_scale_deg is None:
        return np.zeros(np.broadcast(along, cross).shape, dtype=bool)
    station_along, station_cross = _station_along_cross_m(procedure, frame)
    return np.asarray(np.hypot(along - station_along, cross - station_cross) < NEAR_STATION_M)


def passage_radius_m(procedure: Procedure, altitude_m: float | None = None) -> float:
    """Return how near a pass must come to count as a passage of the fix, metres.

    1 NM; 2 NM for a hold, or where the fix is a station whose cone at that altitude is larger than 1 NM.
    """
    if procedure.is_hold:
        return WIDE_PASSAGE_RADIUS_M
    if altitude_m is not None:
        station_along, station_cross = _station_along_cross_m(procedure, frame_of(procedure))
        radius = float(cone_radius_m(procedure, altitude_m))
        if radius > PASSAGE_RADIUS_M and float(np.hypot(station_along, station_cross)) < PASSAGE_RADIUS_M:
            return WIDE_PASSAGE_RADIUS_M
    return PASSAGE_RADIUS_M


def established_mask(motion: Motion, deflection: FloatArray) -> BoolArray:
    """Return where deflection and ground track are those of an established aircraft, moment by moment, shape (n,)."""
    return np.asarray(
        (np.abs(deflection) <= ESTABLISHED_DEFLECTION) & (np.abs(motion.track_relative_deg) <= ESTABLISHED_TRACK_DEG)
    )


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
    relative = np.mod(np.interp(time_s, motion.time_s, track_deg) + 180.0, 360.0) - 180.0
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


def _station_along_cross_m(procedure: Procedure, frame: Frame) -> tuple[float, float]:
    station, fix = procedure.guidance.station, procedure.fix
    if (station.latitude_deg, station.longitude_deg) == (fix.latitude_deg, fix.longitude_deg):
        return 0.0, 0.0
    along, cross = frame.along_cross_m(station.latitude_deg, station.longitude_deg)
    return float(along), float(cross)
