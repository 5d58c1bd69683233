"""What a chart's page shows beside the report's plan: words at the legs, entry sectors, the profile of the limits."""

import math
from collections.abc import Sequence

import numpy as np
from markupsafe import Markup

from analyzer.planned import SECTOR_LINE_DEG, PathLeg
from analyzer.shown.chart.scene import Scene
from analyzer.shown.chart.words import course_text, limit_text
from analyzer.shown.report.drawn.board import Board
from analyzer.shown.report.drawn.plan_labels import LETTER, Label, Spot
from analyzer.shown.report.drawn.svg import STEADY, element, group, path_data, text
from analyzer.shown.report.view.plan_ground import places_nm
from analyzer.shown.report.view.plot_ranges import number_ticks
from analyzer.shown.report.view.values import Mark, PlotView, Point, Reference
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, clock_words

LEAST_LEG_S = 20.0  # shorter straights get no words of their own
_FEET_STEPS = (100, 200, 500, 1000, 2000, 5000)
_SECTORS = ((78.0, "direct"), (145.0, "teardrop"), (-125.0, "parallel"))


def path_points(scene: Scene, legs: Sequence[PathLeg]) -> tuple[Point, ...]:
    """Return the path through legs, nautical miles east and north of the fix."""
    along, cross = (np.concatenate(each) for each in ([leg.along_m for leg in legs], [leg.cross_m for leg in legs]))
    return places_nm(scene.frame, along, cross)


def leg_words(scene: Scene, legs: Sequence[PathLeg]) -> list[Label]:
    """Return words at the straight legs but the inbound one: heading and time."""
    labels = []
    for leg in legs:
        if leg.heading_true_deg is None or leg.duration_s < LEAST_LEG_S or leg.phase in ("inbound", "final"):
            continue
        words = f"{course_text(scene.procedure, leg.heading_true_deg)}, {clock_words(round(leg.duration_s))}"
        words = f"outbound {words}" if leg.phase == "outbound" else words
        half = len(words) * LETTER / 2
        way = np.linspace(0.0, 1.0, len(leg.along_m))
        along, cross = (np.interp([0.5, 0.3, 0.7], way, values) for values in (leg.along_m, leg.cross_m))
        east, north = scene.place_nm(along, cross)
        angle = math.radians(leg.heading_true_deg + 90.0)
        spots = tuple(
            Spot(float(x), float(y), side * math.sin(angle) * (half + 10.0), -side * math.cos(angle) * 18.0)
            for x, y in zip(east, north, strict=True)
            for side in (1.0, -1.0)
        )
        labels.append(_word(words, half, spots, "leg-word"))
    return labels


def sector_words(scene: Scene) -> list[Label]:
    """Return the names of a hold's entry sectors: where an arrival comes from, and the entry it gets."""
    if not scene.procedure.is_hold:
        return []
    labels = []
    for heading, name in _SECTORS:
        places = [_from_where(scene, heading, share * _sector_reach_m(scene)) for share in (0.35, 0.5, 0.25, 0.7, 0.9)]
        half = len(name) * LETTER / 2
        labels.append(_word(name, half, tuple(Spot(x, y, 0.0, 0.0) for x, y in places), "sector-word"))
    return labels


def over_plan(scene: Scene, board: Board) -> Markup:
    """Draw the lines between the entry sectors and the station's cone at the reversal's altitude."""
    drawn = []
    if scene.procedure.is_hold:
        for heading in (-SECTOR_LINE_DEG, 180.0 - SECTOR_LINE_DEG, 180.0):
            ends = [(0.0, 0.0), _from_where(scene, heading, _sector_reach_m(scene))]
            data = path_data(board.places(ends))
            drawn.append(element("path", class_="line sector-line", d=data, vector_effect=STEADY))
    if scene.cone_m is not None:
        radius = scene.cone_m / METRES_PER_NM * board.k
        drawn.append(element("circle", class_="line cone", cx=board.x0, cy=board.y0, r=radius, vector_effect=STEADY))
    return group(*drawn)


def _word(words: str, half: float, spots: tuple[Spot, ...], kind: str) -> Label:
    return Label(kind, half, 8.0, spots, text(0, 4.5, words, class_="halo word", text_anchor="middle"), True)


def _sector_reach_m(scene: Scene) -> float:
    return 1.15 * max(float(np.abs(values).max()) for values in scene.path_m)


def _from_where(scene: Scene, heading_deg: float, distance_m: float) -> Point:
    """Return a place by the heading it is come from, seen from the inbound course, positive the way of the turns."""
    angle = math.radians(heading_deg)
    along, cross = distance_m * math.cos(angle), -scene.procedure.side * distance_m * math.sin(angle)
    east, north = scene.place_nm(along, cross)
    return float(east), float(north)


def profile_view(scene: Scene) -> PlotView:
    """Return the altitudes of the procedure over the distance from the fix, outbound to the left."""
    procedure = scene.procedure
    out = 1.06 * scene.furthest_m / METRES_PER_NM
    runway_nm = 0.0
    if procedure.runway is not None:
        at, _ = scene.frame.along_cross_m(procedure.runway.latitude_deg, procedure.runway.longitude_deg)
        runway_nm = max(0.0, -float(at) / METRES_PER_NM)
    beyond = max(0.35 * out, 1.2 * runway_nm)
    spans = {"arrival": (-beyond, 0.0), "reversal": (0.0, out), "inbound": (0.0, 0.5 * out), "final": (-beyond, 0.0)}
    lines: list[Reference] = []
    for limit in procedure.altitudes:
        words = f"{limit.segment} {limit_text(limit)}"
        for kind, value in (("minimum", limit.low_m), ("maximum", limit.high_m)):
            if value is not None and not (kind == "maximum" and limit.low_m is not None and limit.low_m == value):
                kind = "exact" if limit.low_m == limit.high_m else kind
                lines.append(Reference(kind, value / METRES_PER_FOOT, *spans[limit.segment], words))
                words = ""
    levels = [one.value for one in lines] or [0.0, 1000.0]
    low, high = min(levels) - 700.0, max(levels) + 700.0
    marks = [Mark("fix", (0.0, low), procedure.fix.ident or "fix")]
    if runway_nm:
        marks.append(Mark("runway", (-runway_nm, low), "runway"))
    return PlotView(
        "profile", "Altitudes along the course", "ft", "along", (out, -beyond), (low, high),
        number_ticks(low, high, 5, _FEET_STEPS), (), tuple(lines), (),
        "Seen from the side: outbound to the left, the fix at 0. Level lines are the limits of the segments.",
        marks=tuple(marks), missing="" if lines else "the procedure gives no altitudes",
    )  # fmt: skip
