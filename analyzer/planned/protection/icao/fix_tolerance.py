"""How exactly the fix is known when it is passed, and how exactly the outbound track is kept."""

import math
from dataclasses import dataclass

from analyzer.given import Procedure, frame_of
from analyzer.planned.protection.icao.design_conditions import cone_radius_m
from analyzer.standards import AREAS_ICAO, GUIDANCE
from analyzer.units import METRES_PER_NM

_AT_THE_STATION_M = 100.0


@dataclass(frozen=True)
class FixTolerance:
    """Tolerance of the fix and of the track.

    Parameters
    ----------
    radius_m : float
        Circle about the fix (overhead a station: the cone of ambiguity, wider than the four corners of its
        tolerance area), 0 for a fix with a box.
    along_m, cross_m : float
        Half sides of the box along and across the course, 0 overhead a station.
    tracking_deg : float
        Angle that the outbound track may be off, at the station; 0 where the guidance is not angular.
    text : str
        What was assumed, for the area's note.
    """

    radius_m: float
    along_m: float
    cross_m: float
    tracking_deg: float
    text: str

    def corners(self) -> list[tuple[float, float]]:
        """Return the corners of the box about the origin; the origin alone where there is none."""
        if self.along_m == 0.0 and self.cross_m == 0.0:
            return [(0.0, 0.0)]
        return [(a * self.along_m, c * self.cross_m) for a in (-1.0, 1.0) for c in (-1.0, 1.0)]

    def cross_at_m(self, distance_m: float) -> float:
        """Return how far off the outbound track an aircraft may be that tracks it at a distance from the fix."""
        return self.cross_m + distance_m * math.tan(math.radians(self.tracking_deg))


def dme_tolerance_m(distance_m: float) -> float:
    """Return the DME tolerance: 0.25 NM and 1.25 % of the distance."""
    fixed = AREAS_ICAO["icao.area.dme.fixed"].value * METRES_PER_NM
    return fixed + AREAS_ICAO["icao.area.dme.share"].value * distance_m


def fix_tolerance(procedure: Procedure, altitude_m: float) -> FixTolerance:
    """Return the tolerance of the procedure's fix at an altitude.

    Overhead a VOR or NDB it is the cone of ambiguity; without the station's elevation the whole altitude counts as
    height, which is wider. Elsewhere the file does not say what makes the fix: a DME distance is assumed.
    """
    guidance = procedure.guidance
    if guidance.kind == "RNAV":
        along, lateral = (AREAS_ICAO[key].value * METRES_PER_NM for key in ("rnav.along", "rnav.lateral"))
        return FixTolerance(0.0, along, lateral, 0.0, "RNAV fix, 0.8 NM along and 1 NM across.")
    tracking_deg = GUIDANCE[f"{guidance.kind.lower()}.tracking"].value
    station = guidance.station
    along_m, cross_m = frame_of(procedure).along_cross_m(station.latitude_deg, station.longitude_deg)
    distance_m = math.hypot(along_m, cross_m)
    if guidance.kind in ("VOR", "NDB") and distance_m <= _AT_THE_STATION_M:
        half_angle_deg = GUIDANCE[f"cone.{guidance.kind}"].value
        height_m = altitude_m - (station.elevation_m or 0.0)
        radius_m = cone_radius_m(height_m, half_angle_deg)
        known = "" if station.elevation_m is not None else ", its elevation not given and taken as 0"
        text = f"Overhead the {guidance.kind}: cone of {radius_m / METRES_PER_NM:.2f} NM{known}."
        return FixTolerance(radius_m, 0.0, 0.0, tracking_deg, text)
    lateral = distance_m * math.tan(math.radians(tracking_deg))
    text = f"Fix {distance_m / METRES_PER_NM:.1f} NM from the {guidance.kind}: a DME distance is assumed to make it."
    return FixTolerance(0.0, dme_tolerance_m(distance_m), lateral, tracking_deg, text)
