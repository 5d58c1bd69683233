"""The plan as a picture, of the same view, sheet and places of words as the drawing; matplotlib, no browser."""

import io
from collections.abc import Iterable, Iterator
from typing import Any

import numpy as np
from matplotlib import rc_context
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Circle, PathPatch, Polygon
from matplotlib.path import Path
from matplotlib.patheffects import withStroke

from analyzer.shown.handed_on.flight import GENERATOR
from analyzer.shown.handed_on.plan_svg import LINE, as_handed_on, words_below
from analyzer.shown.report.drawn.board import Board
from analyzer.shown.report.drawn.palette import LIGHT, PHASE_LOOKS, ink_on
from analyzer.shown.report.drawn.plan import HEIGHT, SHEET_TOP, WIDTH, rings_of, sheet_of
from analyzer.shown.report.drawn.plan_labels import Label, room_of
from analyzer.shown.report.drawn.plan_words import labels_of, shortened
from analyzer.shown.report.view.values import PlanView, Point, phase_letter

DPI = 200.0
_POINTS = 0.72  # of a pixel of the drawing, a hundredth of an inch
_SETTINGS: Any = {"font.family": "sans-serif", "text.parse_math": False, "hatch.linewidth": 0.6, "path.simplify": False}
_SHAPES: dict[str, list[Point]] = {
    "critical": [(-4.5, -11), (4.5, -11), (11, -4.5), (11, 4.5), (4.5, 11), (-4.5, 11), (-11, 4.5), (-11, -4.5)],
    "major": [(0, -12), (12, 10), (-12, 10)],
    "minor": [(0, -12), (12, 0), (0, 12), (-12, 0)],
}
_MARKS: dict[str, list[Point]] = {
    "fix": [(0, -9), (8, 5), (-8, 5)],
    "station": [(-4, -7), (4, -7), (8, 0), (4, 7), (-4, 7), (-8, 0)],
    "runway": [(-3, -8), (3, -8), (3, 8), (-3, 8)],
}
_AREAS: dict[str, dict[str, Any]] = {
    "primary": {"facecolor": LIGHT["area"], "alpha": 0.34, "edgecolor": LIGHT["area-line"], "linewidth": 1.0},
    "secondary": {"facecolor": "none", "edgecolor": LIGHT["area-line"], "hatch": "///", "linewidth": 0.7},
    "entry zone": {"facecolor": "none", "edgecolor": LIGHT["area-line"], "hatch": "..", "linewidth": 0.0},
    "distance limit": {
        "facecolor": "none",
        "edgecolor": LIGHT["limit"],
        "linewidth": 1.3,
        "linestyle": (0, (9, 3, 1, 3)),
    },
}


def plan_png(plan: PlanView, title: str) -> bytes:
    """Return the plan as a PNG of 1,600 pixels' width; the same view gives the same bytes."""
    lines = words_below(plan)
    plan, board = as_handed_on(plan), sheet_of(plan)
    high = SHEET_TOP + HEIGHT + LINE * len(lines) + 11.0
    with rc_context(_SETTINGS):
        figure = Figure(figsize=(WIDTH / 100.0, high / 100.0), facecolor=LIGHT["ground"], dpi=DPI)
        figure.text(14.0 / WIDTH, 1.0 - 22.0 / high, title, fontsize=10, weight="bold", color=LIGHT["ink"])
        for at, words in enumerate(lines, 1):
            y = 1.0 - (SHEET_TOP + HEIGHT + LINE * at) / high
            figure.text(14.0 / WIDTH, y, words, fontsize=8, color=LIGHT["ink"])
        axes = figure.add_axes((0.0, (high - SHEET_TOP - HEIGHT) / high, 1.0, HEIGHT / high))
        axes.set(xlim=(0.0, WIDTH), ylim=(HEIGHT, 0.0), xticks=[], yticks=[], facecolor=LIGHT["sheet"])
        for spine in axes.spines.values():
            spine.set_color(LIGHT["rule"])
        _ground(axes, plan, board)
        _flown(axes, plan, board)
        _signs(axes, plan, board)
        _labels(axes, plan, board)
        _corners(axes, plan, board)
        stream = io.BytesIO()
        figure.savefig(stream, format="png", dpi=DPI, metadata={"Software": GENERATOR, "Title": title})
    return stream.getvalue()


def _line(axes: Axes, board: Board, points: Iterable[Point], **look: Any) -> None:
    places = board.places(list(points))
    if len(places):
        axes.plot(places[:, 0], places[:, 1], clip_on=True, solid_joinstyle="round", **look)


def _ground(axes: Axes, plan: PlanView, board: Board) -> None:
    for area in plan.areas:
        vertices = [board.places(ring) for ring in area.rings]
        codes = [[Path.MOVETO, *[Path.LINETO] * (len(ring) - 2), Path.CLOSEPOLY] for ring in vertices if len(ring) > 2]
        if codes:
            outline = Path(np.concatenate(vertices), [code for ring in codes for code in ring])
            axes.add_patch(PathPatch(outline, zorder=1, **_AREAS[area.name]))
    for radius in rings_of(plan, board):
        ring = Circle((board.x0, board.y0), radius * board.k, fill=False, edgecolor=LIGHT["quiet"], alpha=0.45)
        ring.set(linewidth=0.7, zorder=2)
        axes.add_patch(ring)
    for edge in plan.full_scale:
        _line(axes, board, edge, color=LIGHT["plan"], linewidth=0.7, dashes=(2, 4), zorder=2)
    _line(axes, board, plan.course, color=LIGHT["plan"], linewidth=0.7, dashes=(16, 3, 3, 3), zorder=2)
    for name, points in plan.planned:
        dashes = (1, 1.4) if name.startswith("wind") else (4, 3)
        _line(axes, board, points, color=LIGHT["plan"], linewidth=1.4, dashes=dashes, zorder=3)


def _flown(axes: Axes, plan: PlanView, board: Board) -> None:
    whole = {"color": LIGHT["quiet"], "linewidth": 0.9 if plan.stretches else 2.2, "alpha": 0.75}
    _line(axes, board, plan.whole_track, zorder=4, **whole)
    for run in plan.outside:
        _line(axes, board, run, color=LIGHT["bad"], linewidth=9.0, alpha=0.34, zorder=4)
    for drift in plan.drifts:
        _line(axes, board, drift.still_air, color=LIGHT["quiet"], linewidth=0.8, dashes=(5, 3), zorder=4)
        ends = (drift.still_air[-1], drift.flown_end)
        _line(axes, board, ends, color=LIGHT["link"], linewidth=1.0, zorder=4)
    for stretch in plan.stretches:
        _line(axes, board, stretch.points, color=LIGHT["halo"], linewidth=4.3, zorder=5)
    for stretch in plan.stretches:
        look = PHASE_LOOKS[stretch.phase]
        dashes = tuple(float(one) / 3.0 for one in look.dash.split())
        more: dict[str, Any] = {"dashes": dashes} if dashes else {}
        _line(axes, board, stretch.points, color=look.light, linewidth=2.3, zorder=6, **more)
    for one in plan.put_right[:1]:
        _line(axes, board, one.path, color=LIGHT["halo"], linewidth=5.0, zorder=7)
        green = {"color": LIGHT["good"], "linewidth": 2.2, "dashes": (0.4, 1.8), "dash_capstyle": "round"}
        _line(axes, board, one.path, zorder=8, **green)


def _turned(shape: Iterable[tuple[float, float]], place: Point, degrees: float = 0.0) -> list[Point]:
    """Return a shape of the drawing turned clockwise and moved to a place."""
    cos, sin = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    return [(place[0] + x * cos - y * sin, place[1] + x * sin + y * cos) for x, y in shape]


def _xy(places: list[Point]) -> tuple[list[float], list[float]]:
    return [x for x, _ in places], [y for _, y in places]


def _signs(axes: Axes, plan: PlanView, board: Board) -> None:
    ink: dict[str, Any] = {"color": LIGHT["ink"], "zorder": 9}
    for tick in plan.ticks:
        place = board(*tick.place)
        axes.plot(*_xy(_turned([(-5, 0), (5, 0)], place, tick.track_true_deg)), linewidth=1.1, **ink)
        if tick.heading_true_deg is not None:
            nose = _turned([(0, 0), (0, -20), (-3.5, -14), (0, -20), (3.5, -14)], place, tick.heading_true_deg)
            axes.plot(*_xy(nose), linewidth=0.9, **ink)
    for mark in plan.marks:
        place = board(*mark.place)
        if mark.kind == "passage":
            axes.add_patch(Circle(place, 7, fill=False, edgecolor=LIGHT["ink"], linewidth=1.1, zorder=9))
            continue
        face = LIGHT["ink"] if mark.kind == "runway" else LIGHT["sheet"]
        axes.add_patch(Polygon(_turned(_MARKS[mark.kind], place), facecolor=face, edgecolor=LIGHT["ink"], zorder=10))


def _labels(axes: Axes, plan: PlanView, board: Board) -> None:
    radii = rings_of(plan, board)
    room = room_of(plan, board, inset=False)
    for label, (words, colour) in zip(labels_of(plan, board, board, radii), _words(plan, radii), strict=True):
        number = room.settle(label, board)
        if number is None:
            continue
        spot = label.spots[number]
        at = board(spot.east, spot.north)
        _label(axes, label, words, colour, (at, (at[0] + spot.dx, at[1] + spot.dy)))


def _words(plan: PlanView, radii: list[float]) -> Iterator[tuple[str, str]]:
    """Give the words of the labels in their order, each with its colour."""
    yield from ((f"{one.number} {one.words}", LIGHT["ink"]) for one in plan.callouts)
    yield from ((shortened(one.label), LIGHT["ink"]) for one in plan.marks if one.kind in ("fix", "station", "runway"))
    yield from ((phase_letter(one.number), PHASE_LOOKS[one.phase].light) for one in plan.stretches)
    yield from ((f"{one.minute}′", LIGHT["quiet"]) for one in plan.ticks)
    yield from ((one.label, LIGHT["limit" if one.name == "distance limit" else "ink"]) for one in plan.areas)
    yield from ((f"{radius:g} NM", LIGHT["quiet"]) for radius in radii)


def _label(axes: Axes, label: Label, words: str, colour: str, places: tuple[Point, Point]) -> None:
    (x0, y0), (x, y) = places
    halo = [withStroke(linewidth=3.0, foreground=LIGHT["halo"])]
    look: dict[str, Any] = {"va": "center", "zorder": 13, "clip_on": True}
    kind = label.kind.split()
    if kind[0] == "phase-disc":
        axes.add_patch(Circle((x, y), label.half_width, facecolor=colour, edgecolor=LIGHT["halo"], zorder=12))
        axes.text(x, y, words, ha="center", color=ink_on(colour), fontsize=8.5, weight="bold", **look)
        return
    if kind[0] != "callout":
        style = "italic" if kind[0] == "area-label" else "normal"
        axes.text(x, y, words, ha="center", color=colour, fontsize=8.8, style=style, path_effects=halo, **look)
        return
    severity, (number, _, said) = kind[1], words.partition(" ")
    tone = LIGHT["open" if severity == "minor" else "bad"]
    edge = x - label.half_width
    near = min(max(x0, edge), x + label.half_width), min(max(y0, y - label.half_height), y + label.half_height)
    axes.plot((x0, near[0]), (y0, near[1]), color=LIGHT["ink"], linewidth=0.8, zorder=11)
    axes.add_patch(Circle((x0, y0), 4, facecolor=LIGHT["halo"], edgecolor=tone, linewidth=1.6, zorder=12))
    axes.add_patch(
        Polygon(_turned(_SHAPES[severity], (edge + 11.0, y)), facecolor=tone, edgecolor=LIGHT["halo"], zorder=12)
    )
    down = 3.2 if severity == "major" else 0.0
    axes.text(edge + 11, y + down, number, ha="center", color=LIGHT["sheet"], fontsize=8.5, weight="bold", **look)
    axes.text(edge + 26, y, said, ha="left", color=LIGHT["ink"], fontsize=9.6, path_effects=halo, **look)


def _corners(axes: Axes, plan: PlanView, board: Board) -> None:
    halo = [withStroke(linewidth=3.0, foreground=LIGHT["halo"])]
    ink: dict[str, Any] = {"color": LIGHT["ink"], "zorder": 14}
    needle = _turned([(0, -26), (7, -4), (0, -9), (-7, -4)], (34.0, 50.0))
    axes.add_patch(Polygon(needle, **ink))
    axes.plot((34, 34), (44, 64), linewidth=1.2, **ink)
    axes.text(34, 16, "N", ha="center", va="center", fontsize=9.6, weight="bold", path_effects=halo, **ink)
    side = "E" if plan.variation_deg >= 0 else "W"
    quiet: dict[str, Any] = {"color": LIGHT["quiet"], "zorder": 14, "fontsize": 8.6, "path_effects": halo}
    axes.text(10, 80, f"var {abs(plan.variation_deg):.0f}° {side}", **quiet)
    bars = (0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0)
    length = max((bar for bar in bars if bar * board.k <= board.width * 0.24), default=bars[0])
    end = 22.0 + length * board.k
    axes.plot((22, 22, end, end), (HEIGHT - 22, HEIGHT - 16, HEIGHT - 16, HEIGHT - 22), linewidth=1.4, **ink)
    axes.text((22 + end) / 2, HEIGHT - 25, f"{length:g} NM", ha="center", fontsize=9.6, path_effects=halo, **ink)
    if plan.wind is not None:
        from_deg, words = plan.wind
        middle = (WIDTH - 32.0, 34.0)
        axes.add_patch(Circle(middle, 22, facecolor=LIGHT["sheet"], edgecolor=LIGHT["rule"], zorder=14))
        arrow = _turned([(0, -19), (0, 14), (-6, 5), (0, 15), (6, 5)], middle, from_deg)
        axes.plot(*_xy(arrow), linewidth=1.6, color=LIGHT["ink"], zorder=15)
        axes.text(WIDTH - 62, 32, "wind, true", ha="right", **quiet)
        axes.text(WIDTH - 62, 48, words, ha="right", fontsize=9.6, path_effects=halo, **ink)
