"""Geometry as GeoJSON (RFC 7946): protected areas, planned paths, the flown track by phase.

Longitude before latitude, WGS 84; outer rings counterclockwise, holes clockwise (3.1.6); what crosses the antimeridian
is cut there into several parts (3.1.9).
"""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import numpy.typing as npt
import shapely
from shapely import LineString, MultiLineString, MultiPolygon, Polygon, box
from shapely.affinity import translate
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from analyzer.flown import Attempt, Motion
from analyzer.given import Frame, Procedure
from analyzer.planned import Area, NominalPath
from analyzer.units import METRES_PER_FOOT, FloatArray

if TYPE_CHECKING:  # a chart needs no assessment
    from analyzer.judged import Assessment

Feature = dict[str, Any]

#: 1e-7 degrees are at most 11 mm
DECIMALS = 7
#: long edges are divided: 2 km of straight line in the plane is straight in degrees to 0.1 m at 45 degrees of latitude
LONGEST_EDGE_M = 2000.0


def feature_collection(features: Iterable[Feature], **members: Any) -> dict[str, Any]:
    """Return a FeatureCollection; further members (such as a caution) are allowed by RFC 7946, 6.1."""
    return {"type": "FeatureCollection", **members, "features": list(features)}


def protection_features(frame: Frame, areas: Sequence[Area]) -> list[Feature]:
    """Return a feature for each area.

    Parameters
    ----------
    frame : Frame
        The plane that the shapes are in.
    areas : sequence of Area

    Returns
    -------
    list of dict
        Polygon or MultiPolygon; properties name, criteria, reference, status and note.
    """
    return [
        _feature(
            _polygonal(frame, area.shape),
            name=area.name,
            criteria=area.criteria,
            reference=area.reference,
            status=area.status,
            note=area.note,
        )
        for area in areas
    ]


def path_features(frame: Frame, paths: Sequence[NominalPath]) -> list[Feature]:
    """Return a feature for each planned path: a line, with the instructions of its legs as a property.

    A leg's `heading_deg_true` is null for a turn, `turn_deg` (positive to the right) for a straight; times in seconds.
    """
    features = []
    for path in paths:
        along = np.concatenate([leg.along_m for leg in path.legs])
        cross = np.concatenate([leg.cross_m for leg in path.legs])
        legs = [
            {
                "phase": leg.phase,
                "lap": leg.lap,
                "time_s": round(leg.duration_s, 1),
                "heading_deg_true": None if leg.heading_true_deg is None else round(leg.heading_true_deg, 1),
                "turn_deg": None if leg.turn_deg is None else round(leg.turn_deg, 1),
                "drift_correction_deg": None
                if leg.drift_correction_deg is None
                else round(leg.drift_correction_deg, 1),
                "timed_s": None if leg.timed_s is None else round(leg.timed_s, 1),
            }
            for leg in path.legs
        ]
        line = _linear(frame, along, cross)
        if line is not None:
            features.append(
                _feature(line, name=path.name, method=path.method, tas_mps=round(path.tas_mps, 2), legs=legs)
            )
    return features


class Heights(NamedTuple):
    """Altitudes above mean sea level in metres at moments in seconds, both shape (n,)."""

    time_s: FloatArray
    altitude_m: FloatArray


def flown_features(
    frame: Frame, motion: Motion, attempts: Sequence[Attempt], heights: Heights | None = None
) -> list[Feature]:
    """Return a feature for each phase of each reversal: the flown track from the phase's start to its end.

    Properties `time_s` and `altitude_ft` hold a value for each place (for each place of each line where the track is
    cut). The altitudes are above mean sea level, which a third coordinate is not: that would be a height above the
    ellipsoid. Source: RFC 7946, 4, read.
    """
    features = []
    for attempt in attempts:
        for phase in attempt.phases:
            found = track_feature(frame, motion, (phase.start_s, phase.end_s), heights)
            if found is not None:
                found["properties"] |= {"attempt": attempt.number, "phase": phase.name, "lap": phase.lap}
                features.append(found)
    return features


def track_feature(
    frame: Frame, motion: Motion, span_s: tuple[float, float], heights: Heights | None = None
) -> Feature | None:
    """Return the flown track between two moments as a feature; None for fewer than two different places."""
    start_s, end_s = span_s
    inside = (motion.time_s > start_s) & (motion.time_s < end_s)
    moments = np.concatenate([[start_s], motion.time_s[inside], [end_s]])
    along = np.interp(moments, motion.time_s, motion.along_m)
    cross = np.interp(moments, motion.time_s, motion.cross_m)
    lines = _timed_lines(frame, along, cross, moments)
    if not lines:
        return None
    times = [np.round(part[:, 2], 1).tolist() for part in lines]
    feet = [_feet_at(heights, part[:, 2]) for part in lines]
    places = [_rounded(part[:, :2]) for part in lines]
    one = len(lines) == 1
    return _feature(
        {"type": "LineString" if one else "MultiLineString", "coordinates": places[0] if one else places},
        name="flown track",
        start_s=round(start_s, 2),
        end_s=round(end_s, 2),
        time_s=times[0] if one else times,
        altitude_ft=feet[0] if one else feet,
    )


def point_feature(frame: Frame, east_north_m: tuple[float, float], **properties: Any) -> Feature:
    """Return a place of the plane as a feature."""
    latitude, longitude = frame.latitude_longitude_deg(*(np.array([value]) for value in east_north_m))
    place = np.column_stack([longitude, latitude])
    place[:, 0] = (place[:, 0] + 180.0) % 360.0 - 180.0
    return _feature({"type": "Point", "coordinates": _rounded(place)[0]}, **properties)


def place_features(frame: Frame, procedure: Procedure) -> list[Feature]:
    """Return fix, station and runway of a procedure as features; a station at the fix is the fix."""
    found = [point_feature(frame, (0.0, 0.0), name=procedure.fix.ident or "fix", place="fix")]
    others = [("station", procedure.guidance.station), ("runway", procedure.runway)]
    for what, place in others:
        if place is None:
            continue
        east, north = (float(value) for value in frame.east_north_m(place.latitude_deg, place.longitude_deg))
        if what == "station" and np.hypot(east, north) < 1.0:
            found[0]["properties"]["place"] = "fix and station"
            continue
        name = f"runway {place.ident}".strip() if what == "runway" else place.ident or what
        found.append(point_feature(frame, (east, north), name=name, place=what))
    return found


def _timed_lines(
    frame: Frame, along_m: FloatArray, cross_m: FloatArray, moments_s: FloatArray
) -> list[npt.NDArray[np.float64]]:
    """Longitude, latitude and moment of the places of a path, shape (n, 3) each; empty where it has no length."""
    if LineString(np.column_stack([along_m, cross_m])).length == 0.0:
        return []
    places = _unwrapped(frame, np.column_stack([along_m, cross_m]))
    cut = _cut(LineString(np.column_stack([places, moments_s])))
    return [shapely.get_coordinates(part, include_z=True) for part in _parts(cut, LineString)]


def _feet_at(heights: Heights | None, moments_s: FloatArray) -> list[float | None]:
    if heights is None:
        return [None] * len(moments_s)
    known = np.isfinite(heights.altitude_m)
    if not known.any():
        return [None] * len(moments_s)
    time, altitude = heights.time_s[known], heights.altitude_m[known]
    feet = np.interp(moments_s, time, altitude, left=np.nan, right=np.nan) / METRES_PER_FOOT
    return [float(round(one)) if np.isfinite(one) else None for one in feet]


def protection_geojson(assessment: "Assessment") -> dict[str, Any]:
    """Return the areas of an assessment as a FeatureCollection, as the result file holds them."""
    return feature_collection(protection_features(assessment.frame, assessment.protection))


def _feature(geometry: dict[str, Any], **properties: Any) -> Feature:
    return {"type": "Feature", "properties": properties, "geometry": geometry}


def _polygonal(frame: Frame, shape: BaseGeometry) -> dict[str, Any]:
    """Polygon or MultiPolygon of a shape in the plane."""
    dense = shapely.segmentize(shape, LONGEST_EDGE_M)
    polygons = []
    for part in _parts(dense, Polygon):
        outer, *holes = (
            _cut(shapely.make_valid(Polygon(_unwrapped(frame, np.asarray(ring.coords)))))
            for ring in (part.exterior, *part.interiors)
        )
        for hole in holes:  # after the cut: around a pole a hole shares the pole's edge with the outer ring
            outer = outer.difference(hole)
        polygons += _parts(outer, Polygon)
    rounded = [_rounded_polygon(polygon) for polygon in polygons]
    if not MultiPolygon([(rings[0], rings[1:]) for rings in rounded]).is_valid:  # within a few miles of a pole
        mended = shapely.set_precision(shapely.make_valid(shapely.union_all(polygons)), 10.0**-DECIMALS)
        rounded = [_rounded_polygon(polygon) for polygon in _parts(mended, Polygon)]
    if len(rounded) == 1:
        return {"type": "Polygon", "coordinates": rounded[0]}
    return {"type": "MultiPolygon", "coordinates": rounded}


def _linear(frame: Frame, along_m: npt.NDArray[np.float64], cross_m: npt.NDArray[np.float64]) -> dict[str, Any] | None:
    """LineString or MultiLineString of a path in the plane; None for fewer than two different places."""
    line = LineString(np.column_stack([along_m, cross_m]))
    if line.length == 0.0:
        return None
    lines = _parts(_cut(LineString(_unwrapped(frame, np.asarray(line.coords)))), LineString)
    places = [_rounded(np.asarray(part.coords)) for part in lines]
    if len(places) == 1:
        return {"type": "LineString", "coordinates": places[0]}
    return {"type": "MultiLineString", "coordinates": places}


def _unwrapped(frame: Frame, along_cross: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """Longitude and latitude of points of the plane, without a jump at the antimeridian, shape (n, 2).

    A ring around a pole is led along it, so that the polygon holds the pole.
    """
    latitude, longitude = frame.latitude_longitude_from_along_cross(along_cross[:, 0], along_cross[:, 1])
    near_fix = np.unwrap(np.concatenate([[frame.longitude_deg], longitude]), period=360.0)[1:]
    places = np.column_stack([near_fix, latitude])
    closed = bool(np.all(along_cross[0] == along_cross[-1])) and len(places) > 3
    if closed and abs(places[-1, 0] - places[0, 0]) > 180.0:
        pole = np.copysign(90.0, frame.latitude_deg)
        places = np.vstack([places, [places[-1, 0], pole], [places[0, 0], pole], places[0]])
    return places


def _cut(shape: BaseGeometry) -> BaseGeometry:
    """Shape in unwrapped longitudes, cut at the antimeridian and moved into -180 to 180."""
    west, _, east, _ = shape.bounds
    if west >= -180.0 and east <= 180.0:
        return shape
    pieces = []
    for turn in range(int(np.floor((west + 180.0) / 360.0)), int(np.floor((east + 180.0) / 360.0)) + 1):
        window = box(-180.0 + 360.0 * turn, -90.0, 180.0 + 360.0 * turn, 90.0)
        pieces.append(translate(shape.intersection(window), xoff=-360.0 * turn))
    if isinstance(shape, LineString):
        return MultiLineString([part for piece in pieces for part in _parts(piece, LineString)])
    return shapely.union_all(pieces)  # around a pole two pieces meet along a meridian


def _parts(shape: Any, kind: type[BaseGeometry]) -> list[Any]:
    """Parts of a geometry that are of that kind; slivers where it only touches the cut are left out."""
    if isinstance(shape, kind):
        return [shape] if shape.length > 0.0 else []
    return [part for part in getattr(shape, "geoms", ()) if isinstance(part, kind) and part.length > 0.0]


def _rounded_polygon(polygon: Polygon) -> list[list[list[float]]]:
    """Rings of a polygon, the outer one counterclockwise."""
    turned = orient(polygon, sign=1.0)
    return [_rounded(np.asarray(ring.coords)) for ring in (turned.exterior, *turned.interiors)]


def _rounded(places: npt.NDArray[np.float64]) -> list[list[float]]:
    return [[float(longitude), float(latitude)] for longitude, latitude in np.round(places, DECIMALS)]
