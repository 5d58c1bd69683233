"""A procedure on the report's plan view: while its chart is copied, and with several flights laid over it."""

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np
from markupsafe import Markup

from analyzer.given import Place, Procedure
from analyzer.planned import Area
from analyzer.shown.chart.scene import Scene, scene_of
from analyzer.shown.chart.words import course_text, summary
from analyzer.shown.report.drawn.board import Board
from analyzer.shown.report.drawn.plan import draw_whole
from analyzer.shown.report.drawn.plan_labels import LETTER, Label, Spot
from analyzer.shown.report.drawn.svg import STEADY, element, group, path_data, text, thinned
from analyzer.shown.report.view.plan_ground import AREA_LABELS
from analyzer.shown.report.view.values import AreaShape, Bounds, Mark, PlanView, Point
from analyzer.units import METRES_PER_NM, FloatArray, wrap_360

MOST_FLIGHTS = 12
_PAD = 0.06
_FARTHEST_NM = 60.0  # of what belongs to a reversal: a slip in a position must not shrink the drawing to a dot
_CLOSE = 1.6  # in times the reach of the planned path, of what is flown near it
_THIN_M = 15.0  # of an edge: less than a pixel of a drawing ten miles across
_AREAS_KEPT = 64
_DEFAULTS_OF_AREAS = {"limits.remain_within_nm", "limits.outbound_min"}
_kept: dict[Procedure, tuple[Area, ...]] = {}


class LaidFlight(NamedTuple):
    """A flight to lay over the plan: its name, latitudes and longitudes, degrees WGS 84, shape (n,)."""

    name: str
    latitude_deg: FloatArray
    longitude_deg: FloatArray


def procedure_drawing(
    procedure: Procedure,
    flights: Sequence[LaidFlight] = (),
    prefix: str = "chart",
    *,
    with_areas: bool = True,
    close: bool = False,
) -> Markup:
    """Return the plan of a procedure as SVG in the report's look, with flights over it.

    Parameters
    ----------
    procedure : Procedure
    flights : sequence of LaidFlight
        The first twelve are drawn, each in a look of its own ("laid-1" and so on).
    prefix : str
        Put before each id.
    with_areas : bool
        False leaves protected areas out that would first have to be computed.
    close : bool
        Whether to show the reversal and the flights near it, not the whole of the areas.
    """
    scene = scene_of(procedure, areas_of(procedure) if with_areas else _areas_at_hand(procedure))
    paths = [_path(scene, flight) for flight in flights[:MOST_FLIGHTS]]
    plan = _view(scene, [point for path in paths for point in path], close=close)
    return draw_whole(plan, prefix, lambda board: _laid(paths, flights, board), _course_words(scene))


def areas_of(procedure: Procedure) -> tuple[Area, ...]:
    """Return the protected areas of a procedure, computed once for all that share them."""
    from analyzer.planned import protection_areas

    key = _what_areas_rest_on(procedure)
    if key not in _kept:
        if len(_kept) >= _AREAS_KEPT:
            del _kept[next(iter(_kept))]
        _kept[key] = protection_areas(key)
    return _kept[key]


def has_areas_at_hand(procedure: Procedure) -> bool:
    """Whether the areas are computed already, or quickly."""
    quick = procedure.criteria == "US" and procedure.reversal == "procedure turn"
    return quick or _what_areas_rest_on(procedure) in _kept


def _areas_at_hand(procedure: Procedure) -> tuple[Area, ...]:
    return areas_of(procedure) if has_areas_at_hand(procedure) else ()


def _what_areas_rest_on(procedure: Procedure) -> Procedure:
    """Return the procedure without what its areas don't depend on.

    They lie in the axes of course and fix, so that where the fix is and how the course lies makes no difference to
    them, unless the station is another place.
    """
    bare = replace(
        procedure, title="", source=None, notes=(), doubts=(), runway=None, missed_approach=None, final_fix=None,
        steps=(), arc=None, no_reversal_from=(), defaults=procedure.defaults & _DEFAULTS_OF_AREAS,
    )  # fmt: skip
    fix, station = procedure.fix, procedure.guidance.station
    if (station.latitude_deg, station.longitude_deg) != (fix.latitude_deg, fix.longitude_deg):
        return bare
    inbound = procedure.inbound_true_deg
    place = Place(45.0, 0.0, None, station.elevation_m)
    return replace(
        bare,
        fix=place,
        guidance=replace(procedure.guidance, station=place),
        inbound_true_deg=0.0,
        variation_deg=0.0,
        outbound_true_deg=round(float(wrap_360(procedure.outbound_true_deg - inbound)), 6),
        offset_true_deg=round(float(wrap_360(procedure.offset_true_deg - inbound)), 6),
    )


def _view(scene: Scene, flown: Sequence[Point], *, close: bool) -> PlanView:
    procedure = scene.procedure
    areas = tuple(_area(scene, area) for area in scene.areas)
    planned = tuple(
        (path.name, _points(*scene.place_nm(*_whole(path)))) for path in scene.nominal if path.legs
    )  # fmt: skip
    marks = _marks(scene)
    content = [point for _, path in planned for point in path] + [(0.0, 0.0)]
    if close:
        reach = _CLOSE * max(math.hypot(*point) for point in content)
        content += [point for point in flown if math.hypot(*point) < reach]
    else:
        content += [mark.place for mark in marks if math.hypot(*mark.place) < _FARTHEST_NM]
        content += [point for area in areas if area.name != "distance limit" for ring in area.rings for point in ring]
        content += flown
    bounds = _bounds(content)
    reach = math.hypot(bounds[2] - bounds[0], bounds[3] - bounds[1]) * METRES_PER_NM
    course = _points(*scene.place_nm([reach, -reach], [0.0, 0.0]))
    return PlanView(
        areas=areas,
        planned=planned,
        whole_track=(),
        stretches=(),
        outside=(),
        marks=marks,
        course=(course[0], course[1]),
        full_scale=tuple(_points(*scene.place_nm(along, cross)) for along, cross in scene.needle_lines_m()),
        variation_deg=procedure.variation_deg,
        wind=None,
        bounds=bounds,
        close_bounds=bounds,
        title=f"Plan of {procedure.title}",
        words=summary(procedure),
    )


def _whole(path: object) -> tuple[FloatArray, FloatArray]:
    legs = path.legs  # type: ignore[attr-defined]
    return np.concatenate([leg.along_m for leg in legs]), np.concatenate([leg.cross_m for leg in legs])


def _area(scene: Scene, area: Area) -> AreaShape:
    rings = []
    shape = area.shape.simplify(_THIN_M, preserve_topology=False)
    for polygon in getattr(shape, "geoms", [shape]):
        for ring in (polygon.exterior, *polygon.interiors):
            along, cross = np.asarray(ring.coords).T[:2]
            rings.append(_points(*scene.place_nm(along, cross)))
    return AreaShape(area.name, tuple(rings), AREA_LABELS.get(area.name, area.name))


def _points(east_nm: FloatArray, north_nm: FloatArray) -> tuple[Point, ...]:
    return tuple(zip(np.round(east_nm, 4).tolist(), np.round(north_nm, 4).tolist(), strict=True))


def _marks(scene: Scene) -> tuple[Mark, ...]:
    procedure = scene.procedure
    marks = [Mark("fix", (0.0, 0.0), procedure.fix.ident or "fix")]
    others = [("station", procedure.guidance.station, "station"), ("runway", procedure.runway, "runway")]
    for kind, place, word in others:
        if place is None or (place.latitude_deg, place.longitude_deg) == (
            procedure.fix.latitude_deg,
            procedure.fix.longitude_deg,
        ):
            continue
        east_m, north_m = scene.frame.east_north_m(place.latitude_deg, place.longitude_deg)
        label = f"runway {place.ident}" if kind == "runway" and place.ident else place.ident or word
        marks.append(Mark(kind, (float(east_m) / METRES_PER_NM, float(north_m) / METRES_PER_NM), label))
    return tuple(marks)


def _bounds(points: Sequence[Point]) -> Bounds:
    x, y = [point[0] for point in points], [point[1] for point in points]
    margin = max(max(x) - min(x), max(y) - min(y), 1.5) * _PAD
    return (min(x) - margin, min(y) - margin, max(x) + margin, max(y) + margin)


def _course_words(scene: Scene) -> list[Label]:
    """Return the courses as printed on a chart, along their lines."""
    procedure = scene.procedure
    far_m = scene.furthest_m
    rows = [
        (f"inbound {course_text(procedure, procedure.inbound_true_deg)}", procedure.reciprocal_true_deg),
        (f"outbound {course_text(procedure, procedure.outbound_true_deg)}", procedure.outbound_true_deg),
    ]
    labels = []
    for (words, bearing), shares in zip(rows, ((1.12, 1.3, 0.9), (0.5, 0.62, 0.4)), strict=True):
        half = len(words) * LETTER / 2
        angle = math.radians(bearing)
        spots = tuple(
            Spot(math.sin(angle) * out, math.cos(angle) * out, side * (half + 8) * abs(math.cos(angle)), side * 16)
            for out in (share * far_m / METRES_PER_NM for share in shares)
            for side in (1, -1)
        )
        body = text(0, 4.5, words, class_="halo word", text_anchor="middle")
        labels.append(Label("course-word", half, 8.0, spots, body))
    return labels


def _path(scene: Scene, flight: LaidFlight) -> tuple[Point, ...]:
    step = 1 + len(flight.latitude_deg) // 4000
    east_m, north_m = scene.frame.east_north_m(flight.latitude_deg[::step], flight.longitude_deg[::step])
    east, north = np.asarray(east_m) / METRES_PER_NM, np.asarray(north_m) / METRES_PER_NM
    near = np.hypot(east, north) < _FARTHEST_NM
    return _points(east[near], north[near])


def _laid(paths: Sequence[tuple[Point, ...]], flights: Sequence[LaidFlight], board: Board) -> Markup:
    drawn = []
    for number, (path, flight) in enumerate(zip(paths, flights, strict=False), 1):
        data = path_data(thinned(board.places(path), 0.12))
        lines = [
            element("path", class_=look, d=data, vector_effect=STEADY)
            for look in ("line casing", f"line laid laid-{number}")
        ]
        drawn.append(group(element("title", flight.name), *lines, class_="laid-flight", data_flight=number))
    return group(*drawn)


def procedure_plan(scene: Scene) -> tuple[PlanView, list[Label]]:
    """Return the plan of a procedure, framed about the reversal inside the whole area, and its courses' words."""
    near = _view(scene, (), close=True)
    return _view(scene, (), close=False)._replace(close_bounds=near.bounds), _course_words(scene)
