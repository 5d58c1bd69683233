"""The labels of the plan view with their spots: findings, names, letters of the phases, minutes, areas, distances."""

import math
from collections.abc import Iterable, Sequence

import numpy as np
from markupsafe import Markup

from analyzer.shown.report.drawn.board import Board
from analyzer.shown.report.drawn.palette import phase_key
from analyzer.shown.report.drawn.plan_labels import LETTER, Label, Spot
from analyzer.shown.report.drawn.plan_marks import finding_sign
from analyzer.shown.report.drawn.svg import element, group, text
from analyzer.shown.report.view.values import AreaShape, Callout, Mark, PlanView, Point, Stretch, phase_letter

LONGEST_NAME = 22  # letters of a name from outside
_NAMED = ("fix", "station", "runway")
_DISC = 9.0
_AREA_SPOTS, _RING_SPOTS = 24, 18
_DIRECTIONS = 16


def labels_of(
    plan: PlanView, close: Board, whole: Board, radii: Sequence[float], near: Sequence[float] = ()
) -> list[Label]:
    """Return all labels, the most important first; those of rings that are `near` are for the closer view alone."""
    return [
        *(_callout(one) for one in plan.callouts),
        *(_mark_name(mark) for mark in plan.marks if mark.kind in _NAMED),
        *(_phase_disc(stretch, close) for stretch in plan.stretches),
        *(_minute(plan, number) for number in range(len(plan.ticks))),
        *(_area_name(area, close, whole) for area in plan.areas),
        *(_ring_name(radius, radius in near) for radius in radii),
    ]


def shortened(name: str) -> str:
    """Return a name from outside, no longer than a drawing has room for."""
    return name if len(name) <= LONGEST_NAME else name[: LONGEST_NAME - 1] + "…"


def _callout(one: Callout) -> Label:
    """Draw a finding's sign with its number, and its words beside it."""
    width = len(one.words) * LETTER + 30.0
    half = width / 2
    sign = group(finding_sign(one.severity, one.number), transform=f"translate({11 - half:.1f} 0)")
    words = text(26 - half, 4.5, one.words, class_="word halo call-words")
    area = element("rect", class_="reach", x=-half - 2, y=-13, width=26, height=26)
    name = f"{one.number} {one.words}, {one.severity} finding: go there"
    spots = _around(one.place, half, 12.0, (20.0, 44.0, 76.0, 120.0))
    body = group(area, sign, Markup(" "), words)
    return Label(f"callout {one.severity}", half, 13.0, spots, body, True, True, one.at_s, name, one.finding)


def _around(place: Point, half_width: float, half_height: float, distances: Sequence[float]) -> tuple[Spot, ...]:
    spots = []
    for distance in distances:
        for step in range(_DIRECTIONS):
            angle = 2 * math.pi * step / _DIRECTIONS
            dx = math.cos(angle) * distance + (half_width if math.cos(angle) > 0.3 else 0.0)
            dx -= half_width if math.cos(angle) < -0.3 else 0.0
            dy = math.sin(angle) * (distance + half_height)
            spots.append(Spot(*place, dx, dy))
    return tuple(spots)


def _word(words: str, kind: str, spots: Iterable[Spot], look: str, *, strict: bool = False) -> Label:
    body = text(0, 4.5, words, class_=f"halo {look}", text_anchor="middle")
    return Label(kind, len(words) * LETTER / 2, 8.0, tuple(spots), body, strict)


def _mark_name(mark: Mark) -> Label:
    words = shortened(mark.label)
    half = len(words) * LETTER / 2
    sides = [(half + 14, 12), (-half - 14, 12), (half + 14, -12), (-half - 14, -12), (0, 24), (0, -22)]
    sides += [(half + 30, 26), (-half - 30, 26), (half + 30, -26), (-half - 30, -26)]
    look = "word strong" if mark.kind == "fix" else "word"
    return _word(words, f"name {mark.kind}", [Spot(*mark.place, dx, dy) for dx, dy in sides], look)


def _phase_disc(stretch: Stretch, close: Board) -> Label:
    key = phase_key(stretch.phase)
    letter = phase_letter(stretch.number)
    disc = element("circle", class_=f"fill {key}", r=_DISC)
    word = text(0, 4.2, letter, class_=f"on {key} disc-letter", text_anchor="middle")
    body = Markup("").join([element("title", f"{letter}: {stretch.label}"), disc, word])
    return Label("phase-disc", _DISC, _DISC, _beside(stretch, close), body, True, jump_s=stretch.start_s)


def _beside(stretch: Stretch, close: Board) -> tuple[Spot, ...]:
    """Return spots beside a path, those first that the closer sheet shows."""
    points = stretch.points
    if len(points) < 2:
        return ()
    seen = [index for index, point in enumerate(points) if close.inside(*point, 12.0)] or list(range(len(points)))
    spots = []
    for share in (0.5, 0.35, 0.65, 0.2, 0.8):
        index = seen[min(len(seen) - 1, int(share * len(seen)))]
        before, after = points[max(0, index - 2)], points[min(len(points) - 1, index + 2)]
        dx, dy = after[0] - before[0], after[1] - before[1]
        length = math.hypot(dx, dy) or 1.0
        spots += [Spot(*points[index], dy / length * aside, dx / length * aside) for aside in (16, -16, 27, -27)]
    return tuple(spots)


def _minute(plan: PlanView, number: int) -> Label:
    tick = plan.ticks[number]
    angle = math.radians(tick.track_true_deg)
    right, down = math.cos(angle), math.sin(angle)
    spots = [Spot(*tick.place, right * aside, down * aside) for aside in (17, -17, 26, -26)]
    return _word(f"{tick.minute}′", "minute", spots, "note quiet", strict=True)


def _area_name(area: AreaShape, close: Board, whole: Board) -> Label:
    """Draw an area's name along the inner side of its edge."""
    key = area.name.replace(" ", "-")
    edge = [point for ring in area.rings for point in ring]
    if not edge:
        return _word(area.label, f"area-label {key}", (), "note area-name", strict=True)
    middle = np.mean(np.array(edge), axis=0)
    spots = []
    along = _along(edge, _AREA_SPOTS * 3)
    inside = [point for point in along if close.inside(*point, 30.0)]
    for x, y in [*inside[:: max(1, len(inside) // _AREA_SPOTS)], *along[::6]]:
        away = math.dist((x, y), middle) or 1.0
        spots.append(Spot(x, y, (middle[0] - x) / away * 22.0, -(middle[1] - y) / away * 22.0))
    return _word(area.label, f"area-label layer layer-areas {key}", spots, f"note area-name {key}", strict=True)


def _along(edge: list[Point], count: int) -> list[Point]:
    """Return places evenly along a line."""
    x, y = np.array(edge).T
    way = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(x), np.diff(y)))])
    at = np.linspace(0.0, way[-1], count)
    return [(float(a), float(b)) for a, b in zip(np.interp(at, way, x), np.interp(at, way, y), strict=True)]


def _ring_name(radius: float, near: bool) -> Label:
    angles = [2 * math.pi * (step * 7 % _RING_SPOTS) / _RING_SPOTS for step in range(_RING_SPOTS)]
    spots = [Spot(radius * math.sin(angle), radius * math.cos(angle), 0.0, 0.0) for angle in angles]
    return _word(f"{radius:g} NM", "ring-name near" if near else "ring-name", spots, "note quiet", strict=True)
