"""Draws the plan view: one drawing that is shown whole, closer, and moved about by the page's script."""

import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

from markupsafe import Markup

from analyzer.shown.report.drawn.board import Board
from analyzer.shown.report.drawn.palette import phase_key
from analyzer.shown.report.drawn.plan_corners import corners, inset
from analyzer.shown.report.drawn.plan_labels import Label, inset_place, lay_out, room_of
from analyzer.shown.report.drawn.plan_marks import mark_symbols
from analyzer.shown.report.drawn.plan_wind import drift_lines, minute_ticks, put_right_paths
from analyzer.shown.report.drawn.plan_words import labels_of
from analyzer.shown.report.drawn.scale import ticks
from analyzer.shown.report.drawn.svg import STEADY, element, group, line, path_data, thinned
from analyzer.shown.report.view.values import Bounds, PlanView, Point

WIDTH, HEIGHT = 800.0, 620.0
SHEET_TOP = 34.0  # of the sheet in a drawing of its own: above it stands what it shows
_THIN = 0.12  # drawing units: the closest zoom is about 6 times, and a line stays within a pixel
LEAST_SHARE = 0.001  # of the drawing in the closer view: of a world-wide one the reversal would be a point
ZOOM_STEPS = 40  # zoom classes: a style attribute would need a looser content policy


class PlanDrawing(NamedTuple):
    """The drawings with what the script needs: x = x0 + east NM * k, y = y0 - north NM * k, and the closer view."""

    main: Markup
    whole: Markup
    x0: float
    y0: float
    k: float
    close_view: tuple[float, float, float, float]


def draw_plan(
    plan: PlanView, prefix: str, more: Sequence[Label] = (), over: Callable[[Board], Markup] | None = None
) -> PlanDrawing:
    """Draw the plan view: the reversal with the whole area in a corner, and the whole area again for paper.

    Both show the same lines; the labels are laid out for each.

    Parameters
    ----------
    plan : PlanView
    prefix : str
        Put before each id, so that several attempts fit on one page.
    more : sequence of Label, optional
        Words beside those of the plan, the most important.
    over : callable, optional
        Gives what lies over the plan and under its words, for a board.
    """
    board = _board(plan.bounds)
    view = _view(plan.close_bounds, board)
    close = board.window(*view, (WIDTH, HEIGHT))
    radii = rings_of(plan, board)
    near = sorted({*rings_of(plan, close)} - {*radii})
    labels = [*more, *labels_of(plan, close, board, sorted({*radii, *near}), near)]
    world = _world(plan, board, prefix, radii, near) + (Markup("") if over is None else over(board))
    small = inset(inset_place(plan, close), view, board, prefix)
    main = element(
        "svg",
        element("title", plan.title, id=f"{prefix}-plan-title"),
        _patterns(prefix),
        element("g", world, id=f"{prefix}-world", class_="world"),
        lay_out(labels, close, board, room_of(plan, close, inset=True), focusable=True),
        corners(plan, close, small),
        class_=f"figure plan {zoom_class(close.share)}",
        id=f"{prefix}-plan",
        viewBox=" ".join(f"{value:.1f}" for value in view),
        role="group",
        aria_labelledby=f"{prefix}-plan-title",
        aria_describedby=f"{prefix}-plan-words",
    )
    whole = element(
        "svg",
        element("title", "Plan view, the whole area", id=f"{prefix}-whole-title"),
        element("use", href=f"#{prefix}-world"),
        lay_out(labels, board, board, room_of(plan, board, inset=False), focusable=False),
        corners(plan, board, Markup("")),
        class_="figure plan whole",
        viewBox=f"0 0 {WIDTH:.0f} {HEIGHT:.0f}",
        role="img",
        aria_labelledby=f"{prefix}-whole-title",
        aria_describedby=f"{prefix}-plan-words",
    )
    return PlanDrawing(main, whole, round(board.x0, 3), round(board.y0, 3), round(board.k, 4), view)


def sheet_of(plan: PlanView) -> Board:
    """Return the sheet that shows the reversal and nothing else, to be drawn on as it is."""
    board = _board(plan.bounds)
    close = board.window(*_view(plan.close_bounds, board), (WIDTH, HEIGHT))
    return Board(close.x0, close.y0, close.k, WIDTH, HEIGHT)


def draw_sheet(plan: PlanView, prefix: str) -> Markup:
    """Draw the reversal on a sheet of its own, below a margin, for a file that stands alone."""
    board = sheet_of(plan)
    return element(
        "svg",
        _patterns(prefix),
        element("rect", width=WIDTH, height=HEIGHT, class_="inset-frame"),
        group(_world(plan, board, prefix, rings_of(plan, board)), class_="world"),
        lay_out(
            labels_of(plan, board, board, rings_of(plan, board)),
            board,
            board,
            room_of(plan, board, inset=False),
            focusable=False,
        ),
        corners(plan, board, Markup("")),
        class_="plan whole",
        y=SHEET_TOP,
        width=WIDTH,
        height=HEIGHT,
        viewBox=f"0 0 {WIDTH:.0f} {HEIGHT:.0f}",
    )


def draw_whole(plan: PlanView, prefix: str, over: Callable[[Board], Markup], more: Sequence[Label]) -> Markup:
    """Draw the whole area on one sheet, without an inset: a procedure, and what is laid over it.

    Parameters
    ----------
    plan : PlanView
    prefix : str
        Put before each id.
    over : callable
        Gives what lies over the plan and under its words, for a board.
    more : sequence of Label
        Before the plan's own.
    """
    board = _board(plan.bounds)
    radii = rings_of(plan, board)
    labels = [*more, *labels_of(plan, board, board, radii)]
    return element(
        "svg",
        element("title", plan.title, id=f"{prefix}-plan-title"),
        element("desc", plan.words, id=f"{prefix}-plan-words"),
        _patterns(prefix),
        group(_world(plan, board, prefix, radii), over(board)),
        lay_out(labels, board, board, room_of(plan, board, inset=False), focusable=False),
        corners(plan, board, Markup("")),
        class_="figure plan wide",
        viewBox=f"0 0 {WIDTH:.0f} {HEIGHT:.0f}",
        role="img",
        aria_labelledby=f"{prefix}-plan-title",
        aria_describedby=f"{prefix}-plan-words",
    )


def zoom_class(share: float) -> str:
    """Return the class that keeps words and signs their size where only a share of the drawing is shown."""
    return f"zoom-{max(1, min(ZOOM_STEPS, round(share * ZOOM_STEPS)))}"


def zoom_css() -> str:
    """Return the style rules of the zoom classes."""
    return "".join(f".zoom-{step}{{--pin:{step / ZOOM_STEPS:g}}}" for step in range(1, ZOOM_STEPS + 1))


def _board(bounds: Bounds) -> Board:
    left, bottom, right, top = bounds
    k = min(WIDTH / (right - left), HEIGHT / (top - bottom))
    return Board(WIDTH / 2 - (left + right) / 2 * k, HEIGHT / 2 + (bottom + top) / 2 * k, k, WIDTH, HEIGHT)


def _view(bounds: Bounds, board: Board) -> tuple[float, float, float, float]:
    """Return the part of the drawing that holds the bounds, in the shape of the drawing."""
    left, top = board(bounds[0], bounds[3])
    right, bottom = board(bounds[2], bounds[1])
    share = max((right - left) / WIDTH, (bottom - top) / HEIGHT, LEAST_SHARE)
    width, height = WIDTH * share, HEIGHT * share
    return (
        round((left + right - width) / 2, 1),
        round((top + bottom - height) / 2, 1),
        round(width, 1),
        round(height, 1),
    )


def _line(board: Board, points: tuple[Point, ...], class_: str) -> Markup:
    return element("path", class_=class_, d=_data(board, points), vector_effect=STEADY)


def _data(board: Board, points: tuple[Point, ...]) -> str:
    return path_data(thinned(board.places(points), _THIN))


def _world(plan: PlanView, board: Board, prefix: str, radii: list[float], near: Sequence[float] = ()) -> Markup:
    circles = [
        element("circle", class_=look, cx=board.x0, cy=board.y0, r=radius * board.k, vector_effect=STEADY)
        for look, each in (("line ring", radii), ("line ring near", near))
        for radius in each
    ]
    parts = [_areas(plan, board, prefix), group(*circles, class_="rings")]
    scale = [_line(board, edge, "line full-scale") for edge in plan.full_scale]
    parts.append(group(*scale, class_="layer full-scale-lines"))
    (x1, y1), (x2, y2) = (board(*point) for point in plan.course)
    parts.append(line(x1, y1, x2, y2, class_="line course-line"))
    for name, points in plan.planned:
        key = "corrected" if name.startswith("wind") else "nominal"
        parts.append(group(_line(board, points, f"line planned {key}"), class_=f"layer layer-{key}"))
    look = "line whole-track" if plan.stretches else "line flown single"
    parts.append(group(_line(board, plan.whole_track, look), class_="layer layer-whole"))
    parts += [_line(board, run, "line outside") for run in plan.outside]
    parts.append(drift_lines(plan, board))
    flown = [(phase_key(stretch.phase), _data(board, stretch.points)) for stretch in plan.stretches]
    parts += [element("path", class_="line casing", d=data, vector_effect=STEADY) for _, data in flown]
    parts += [element("path", class_=f"line flown {key}", d=data, vector_effect=STEADY) for key, data in flown]
    parts += [put_right_paths(plan, board), minute_ticks(plan, board), mark_symbols(plan, board), _ship()]
    return Markup("").join(parts)


def _areas(plan: PlanView, board: Board, prefix: str) -> Markup:
    shapes = []
    for area in plan.areas:
        key = area.name.replace(" ", "-")
        data = "".join(path_data(thinned(board.places(ring), 0.05), closed=True) for ring in area.rings)
        fill = {"secondary": f"url(#{prefix}-hatch)", "entry-zone": f"url(#{prefix}-dots)"}.get(key)
        shapes.append(
            element("path", class_=f"area {key}", d=data, fill=fill, fill_rule="evenodd", vector_effect=STEADY)
        )
    return group(*shapes, class_="layer layer-areas")


def rings_of(plan: PlanView, board: Board) -> list[float]:
    """Return the distances of rings that a sheet has room for, nautical miles."""
    reach = max(math.hypot(x, y) for x in (plan.bounds[0], plan.bounds[2]) for y in (plan.bounds[1], plan.bounds[3]))
    far = min(reach, math.hypot(board.width, board.height) / board.k)
    return [radius for radius in ticks(0.0, far, 5, (1.0, 2.0, 5.0, 10.0, 20.0, 50.0)) if radius > 0]


def _patterns(prefix: str) -> Markup:
    hatch = element(
        "pattern",
        element("path", class_="hatch-line", d="M0 0V7"),
        id=f"{prefix}-hatch",
        width=7,
        height=7,
        patternUnits="userSpaceOnUse",
        patternTransform="rotate(45)",
    )
    dots = element(
        "pattern",
        element("circle", class_="hatch-dot", cx=2, cy=2, r=1),
        id=f"{prefix}-dots",
        width=9,
        height=9,
        patternUnits="userSpaceOnUse",
    )
    return element("defs", hatch, dots)


def _ship() -> Markup:
    """Draw the aircraft at the time cursor, nose up, and the ring that runs ahead of it under the pointer."""
    shape = "M0 -13L3 -4L14 3V6L3 3L2 9L6 12V14L0 12.5L-6 14V12L-2 9L-3 3L-14 6V3L-3 -4Z"
    ghost = group(group(element("circle", r=7, class_="ghost-ring"), class_="pin"), class_="ghost away")
    other = group(group(element("path", class_="other-shape", d=shape), class_="pin"), class_="other away")
    ship = group(group(element("path", class_="ship-shape", d=shape), class_="pin"), class_="ship")
    return group(other, ship, ghost, class_="movers")
