"""What of a plan view lies on the ground: areas, course, needle lines, fix, station, runway, the frame about them."""

import math

import numpy as np
import numpy.typing as npt

from analyzer.given import Frame, Procedure
from analyzer.planned import full_scale_m
from analyzer.shown.report.view.values import AreaShape, Bounds, Mark, Point
from analyzer.units import METRES_PER_NM

AREA_LABELS = {
    "primary": "primary area",
    "secondary": "secondary area",
    "entry zone": "entry zone",
    "distance limit": "distance limit",
}
_PAD = 0.05


def points_nm(east: npt.NDArray[np.float64], north: npt.NDArray[np.float64]) -> list[Point]:
    """Return places in nautical miles as the page holds them."""
    return list(zip(np.round(east, 4).tolist(), np.round(north, 4).tolist(), strict=True))


def places_nm(frame: Frame, along_m: npt.ArrayLike, cross_m: npt.ArrayLike) -> tuple[Point, ...]:
    """Return places of the frame in nautical miles east and north of the fix."""
    east, north = frame.east_north_from_along_cross(np.asarray(along_m, dtype=float), np.asarray(cross_m, dtype=float))
    return tuple(points_nm(east / METRES_PER_NM, north / METRES_PER_NM))


def area_shape(frame: Frame, name: str, shape: object) -> AreaShape:
    """Return an area with its rings and its name."""
    rings = []
    for polygon in getattr(shape, "geoms", [shape]):
        for ring in (polygon.exterior, *polygon.interiors):
            along, cross = np.asarray(ring.coords).T[:2]
            rings.append(places_nm(frame, along, cross))
    return AreaShape(name, tuple(rings), AREA_LABELS.get(name, name))


def ground_marks(frame: Frame, procedure: Procedure) -> list[Mark]:
    """Return fix, station where it is not the fix, and runway."""
    marks = [Mark("fix", (0.0, 0.0), procedure.fix.ident or "fix")]
    station = procedure.guidance.station
    if (station.latitude_deg, station.longitude_deg) != (procedure.fix.latitude_deg, procedure.fix.longitude_deg):
        x, y = frame.east_north_m(station.latitude_deg, station.longitude_deg)
        marks.append(Mark("station", (float(x) / METRES_PER_NM, float(y) / METRES_PER_NM), station.ident or "station"))
    if procedure.runway is not None:
        x, y = frame.east_north_m(procedure.runway.latitude_deg, procedure.runway.longitude_deg)
        ident = procedure.runway.ident
        label = f"runway {ident}" if ident else "runway"
        marks.append(Mark("runway", (float(x) / METRES_PER_NM, float(y) / METRES_PER_NM), label))
    return marks


def bounds_of(points: list[Point], pad: float = _PAD) -> Bounds:
    """Return west, south, east, north of points with a margin, nautical miles."""
    x, y = [point[0] for point in points], [point[1] for point in points]
    margin = max(max(x) - min(x), max(y) - min(y), 1.5) * pad
    return (min(x) - margin, min(y) - margin, max(x) + margin, max(y) + margin)


def _reach(bounds: Bounds) -> float:
    return max(math.hypot(x, y) for x in (bounds[0], bounds[2]) for y in (bounds[1], bounds[3])) + 1.0


def course_line(frame: Frame, bounds: Bounds) -> tuple[Point, Point]:
    """Return two places of the course that lie outside the bounds."""
    reach = _reach(bounds) * METRES_PER_NM
    far, near = places_nm(frame, [reach, -reach], [0.0, 0.0])
    return far, near


def full_scale_lines(frame: Frame, procedure: Procedure, bounds: Bounds) -> tuple[tuple[Point, ...], ...]:
    """Return where the needle reaches full deflection on either side."""
    reach = _reach(bounds) * METRES_PER_NM
    guidance = procedure.guidance.station
    station, _ = frame.along_cross_m(guidance.latitude_deg, guidance.longitude_deg)
    along = np.array([-reach, min(max(float(station), -reach), reach), reach])
    off = full_scale_m(procedure, frame, along)
    return (places_nm(frame, along, off), places_nm(frame, along, -off))
