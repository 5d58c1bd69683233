"""Draws the plan view: one drawing that is shown whole, closer, and moved about by the page's script."""

import math
from dataclasses import dataclass

from markupsafe import Markup

from analyzer.report.palette import phase_key
from analyzer.report.plan_labels import Board, area_names, ring_names, room_of
from analyzer.report.plan_marks import mark_symbols, phase_pins
from analyzer.report.scale import ticks
from analyzer.report.svg import element, group, line, path_data, text, thinned
from analyzer.report.view_types import Bounds, PlanView, Point

WIDTH, HEIGHT = 800.0, 690.0
CLOSE_WIDTH, CLOSE_HEIGHT = 560.0, 480.0
_THIN = 0.12  # drawing units: the closest zoom is about 6 times, and a line stays within a pixel
_SCALE_BARS = (0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0)


@dataclass(frozen=True)
class PlanDrawing:
    """The drawings with what the script needs: x = x0 + east NM * k, y = y0 - north NM * k, and the two views."""

    whole: Markup
    close: Markup
    x0: float
    y0: float
    k: float
    close_view: tuple[float, float, float, float]


def draw_plan(plan: PlanView, prefix: str) -> PlanDrawing:
    """Draw the plan view twice: everything, and the reversal close up from the same lines.

    Parameters
    ----------
    plan : PlanView
    prefix : str
        Put before each id, so that several attempts fit on one page.
    """
    board = _board(plan.bounds, WIDTH, HEIGHT)
    view = _view(plan.close_bounds, board)
    world = element("g", _world(plan, board, prefix), id=f"{prefix}-world", class_="world")
    whole = element(
        "svg",
        element("title", plan.title, id=f"{prefix}-plan-title"),
        _patterns(prefix),
        world,
        _overlay(plan, board.k, WIDTH, HEIGHT, f"{prefix}-o", (0.0, 0.0, 1.0)),
        _ship(),
        class_="figure plan",
        id=f"{prefix}-plan",
        viewBox=f"0 0 {WIDTH:.0f} {HEIGHT:.0f}",
        role="img",
        aria_labelledby=f"{prefix}-plan-title",
        aria_describedby=f"{prefix}-plan-words",
    )
    share = view[2] / CLOSE_WIDTH
    close = element(
        "svg",
        element("title", "Plan view, the reversal close up", id=f"{prefix}-close-title"),
        element("use", href=f"#{prefix}-world"),
        _overlay(plan, board.k / share, CLOSE_WIDTH, CLOSE_HEIGHT, f"{prefix}-c", (view[0], view[1], share)),
        class_=f"figure plan close {_zoom_class(view[2] / WIDTH)}",
        viewBox=" ".join(f"{value:.1f}" for value in view),
        role="img",
        aria_labelledby=f"{prefix}-close-title",
        aria_describedby=f"{prefix}-plan-words",
    )
    return PlanDrawing(whole, close, round(board.x0, 3), round(board.y0, 3), round(board.k, 4), view)


def _zoom_class(share: float) -> str:
    """Class that makes words and signs smaller by about the share of the drawing that is shown."""
    return f"zoom-{max(1, min(10, round(share * 10)))}"


def _board(bounds: Bounds, width: float, height: float) -> Board:
    left, bottom, right, top = bounds
    k = min(width / (right - left), height / (top - bottom))
    return Board(width / 2 - (left + right) / 2 * k, height / 2 + (bottom + top) / 2 * k, k, width, height)


def _view(bounds: Bounds, board: Board) -> tuple[float, float, float, float]:
    """Draw the part of the drawing that holds the bounds, in the shape of the close view."""
    left, top = board(bounds[0], bounds[3])
    right, bottom = board(bounds[2], bounds[1])
    width, height = right - left, bottom - top
    if width / height < CLOSE_WIDTH / CLOSE_HEIGHT:
        width = height * CLOSE_WIDTH / CLOSE_HEIGHT
    else:
        height = width * CLOSE_HEIGHT / CLOSE_WIDTH
    centre_x, centre_y = (left + right) / 2, (top + bottom) / 2
    x, y = centre_x - width / 2, centre_y - height / 2
    return (round(x, 1), round(y, 1), round(width, 1), round(height, 1))


def _line(board: Board, points: tuple[Point, ...], class_: str, *, closed: bool = False, thin: float = _THIN) -> Markup:
    drawn = thinned([board(*point) for point in points], thin)
    return element("path", class_=class_, d=path_data(drawn, closed=closed))


def _world(plan: PlanView, board: Board, prefix: str) -> Markup:
    parts = [_areas(plan, board, prefix), _rings(plan, board)]
    scale = [_line(board, edge, "line full-scale") for edge in plan.full_scale]
    parts.append(group(*scale, class_="layer full-scale-lines"))
    (x1, y1), (x2, y2) = (board(*point) for point in plan.course)
    parts.append(line(x1, y1, x2, y2, class_="line course-line"))
    for name, points in plan.planned:
        key = "corrected" if name.startswith("wind") else "nominal"
        parts.append(group(_line(board, points, f"line planned {key}"), class_=f"layer layer-{key}"))
    parts.append(group(_line(board, plan.whole_track, "line whole-track"), class_="layer layer-whole"))
    parts += [_line(board, run, "line outside") for run in plan.outside]
    parts += [_line(board, stretch.points, "line casing") for stretch in plan.stretches]
    parts += [_line(board, stretch.points, f"line flown {phase_key(stretch.phase)}") for stretch in plan.stretches]
    room = room_of(plan, board)
    marks, pins = mark_symbols(plan, board, room), phase_pins(plan, board, room)
    parts += [area_names(plan, board, room), ring_names(plan, board, room, _radii(plan)), marks, pins]
    return Markup("").join(parts)


def _areas(plan: PlanView, board: Board, prefix: str) -> Markup:
    shapes = []
    for area in plan.areas:
        key = area.name.replace(" ", "-")
        data = "".join(path_data(thinned([board(*point) for point in ring], 0.05), closed=True) for ring in area.rings)
        fill = {"secondary": f"url(#{prefix}-hatch)", "entry-zone": f"url(#{prefix}-dots)"}.get(key)
        shapes.append(element("path", class_=f"area {key}", d=data, fill=fill, fill_rule="evenodd"))
    return group(*shapes, class_="layer layer-areas")


def _radii(plan: PlanView) -> list[float]:
    reach = max(math.hypot(x, y) for x in (plan.bounds[0], plan.bounds[2]) for y in (plan.bounds[1], plan.bounds[3]))
    return [radius for radius in ticks(0.0, reach, 5, (1.0, 2.0, 5.0, 10.0, 20.0, 50.0)) if radius > 0]


def _rings(plan: PlanView, board: Board) -> Markup:
    circles = [
        element("circle", class_="line ring", cx=board.x0, cy=board.y0, r=radius * board.k) for radius in _radii(plan)
    ]
    return group(*circles, class_="rings")


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


def _overlay(
    plan: PlanView, per_nm: float, width: float, height: float, prefix: str, place: tuple[float, float, float]
) -> Markup:
    """North arrow, scale bar and wind: they keep their size and corner whatever part of the drawing is shown."""
    side = "E" if plan.variation_deg >= 0 else "W"
    north = group(
        element("path", class_="ink-fill", d="M0 -26L7 -4L0 -9L-7 -4Z"),
        line(0, -6, 0, 14, class_="ink-line"),
        text(0, -31, "N", class_="word strong", text_anchor="middle"),
        text(0, 28, f"var {abs(plan.variation_deg):.0f}° {side}", class_="note quiet", text_anchor="middle"),
        class_="north",
        transform=f"translate(42 {52 if height > 500 else 50})",
    )
    length = max((bar for bar in _SCALE_BARS if bar * per_nm <= width * 0.24), default=_SCALE_BARS[0])
    end = length * per_nm
    bar = group(
        element("path", class_="ink-line scale-line", d=f"M0 -6V0H{end:.1f}V-6"),
        text(end / 2, -8, f"{length:g} NM", class_="word scale-word", text_anchor="middle"),
        class_="scale-bar",
        transform=f"translate(26 {height - 18:.0f})",
    )
    parts = [north, bar]
    if plan.wind is not None:
        from_deg, words = plan.wind
        arrow = group(
            element("path", class_="wind-arrow", d="M0 -19V13M-6 5L0 15L6 5"),
            transform=f"rotate({from_deg:.1f})",
        )
        parts.append(
            group(
                element("circle", class_="dial", r=22),
                arrow,
                text(-30, 0, "wind", class_="note quiet", text_anchor="end"),
                text(-30, 15, words, class_="word", text_anchor="end"),
                class_="wind",
                transform=f"translate({width - 36:.0f} 36)",
            )
        )
    x, y, share = place
    return group(*parts, class_="overlay", id=prefix, transform=f"translate({x:.1f} {y:.1f}) scale({share:.4f})")


def _ship() -> Markup:
    """Draw the aircraft at the time cursor, nose up."""
    shape = "M0 -13L3 -4L14 3V6L3 3L2 9L6 12V14L0 12.5L-6 14V12L-2 9L-3 3L-14 6V3L-3 -4Z"
    return group(group(element("path", class_="ship-shape", d=shape), class_="pin"), class_="ship")
