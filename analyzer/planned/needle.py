"""Flown against planned: needle deflection, the cone over a station, and when the inbound course is established."""

from typing import Any

import numpy as np

from analyzer.given import Frame, Procedure, frame_of
from analyzer.standards import GUIDANCE
from analyzer.units import METRES_PER_NM, BoolArray, FloatArray

#: half-angle of the cone of ambiguity from the vertical, degrees: VOR and NDB, ICAO Doc 8168 volume II, part I,
#: section 2, chapter 2, 2.5.1 and 2.5.2 (read)
CONE_HALF_ANGLE_DEG = {kind: GUIDANCE[f"cone.{kind}"].value for kind in ("VOR", "NDB")}
#: a pass by the fix is within this distance; the larger one for a hold, or where the cone is larger (own choice)
PASSAGE_RADIUS_M = 1.0 * METRES_PER_NM
WIDE_PASSAGE_RADIUS_M = 2.0 * METRES_PER_NM
#: a station farther off the course than this contradicts it (own choice; a course is rounded by half a degree)
STATION_OFF_COURSE_DEG = 3.0
#: so near to a station, or so shortly before it, the needle is not chased but the heading held (common practice; the
#: figures are an own choice)
NEAR_STATION_M, NEAR_STATION_S = 1.0 * METRES_PER_NM, 30.0


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


def needle_cone_radius_m(procedure: Procedure, altitude_m: Any) -> FloatArray:
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
    return np.asarray(distance < needle_cone_radius_m(procedure, altitude_m))


def near_station(
    procedure: Procedure, frame: Frame, along_m: Any, cross_m: Any, groundspeed_mps: Any = 0.0
) -> BoolArray:
    """Return where an angular needle is too quick to be followed: within 1 NM or 30 s of its station.

    Parameters
    ----------
    along_m, cross_m, groundspeed_mps : float or array, shapes that broadcast
    """
    along, cross = np.asarray(along_m, dtype=float), np.asarray(cross_m, dtype=float)
    if procedure.guidance.full_scale_deg is None:
        return np.zeros(np.broadcast(along, cross).shape, dtype=bool)
    station_along, station_cross = _station_along_cross_m(procedure, frame)
    reach_m = np.maximum(NEAR_STATION_M, NEAR_STATION_S * np.asarray(groundspeed_mps, dtype=float))
    return np.asarray(np.hypot(along - station_along, cross - station_cross) < reach_m)


def passage_radius_m(procedure: Procedure, altitude_m: float | None = None) -> float:
    """Return how near a pass must come to count as a passage of the fix, metres.

    1 NM; 2 NM for a hold, or where the fix is a station whose cone at that altitude is larger than 1 NM.
    """
    if procedure.is_hold:
        return WIDE_PASSAGE_RADIUS_M
    if altitude_m is not None:
        station_along, station_cross = _station_along_cross_m(procedure, frame_of(procedure))
        radius = float(needle_cone_radius_m(procedure, altitude_m))
        if radius > PASSAGE_RADIUS_M and float(np.hypot(station_along, station_cross)) < PASSAGE_RADIUS_M:
            return WIDE_PASSAGE_RADIUS_M
    return PASSAGE_RADIUS_M


def _station_along_cross_m(procedure: Procedure, frame: Frame) -> tuple[float, float]:
    station, fix = procedure.guidance.station, procedure.fix
    if (station.latitude_deg, station.longitude_deg) == (fix.latitude_deg, fix.longitude_deg):
        return 0.0, 0.0
    along, cross = frame.along_cross_m(station.latitude_deg, station.longitude_deg)
    return float(along), float(cross)
