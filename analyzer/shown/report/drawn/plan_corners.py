"""What keeps its corner of the plan view: north, the scale, the wind, the small overview of the whole area."""

from markupsafe import Markup

from analyzer.shown.report.drawn.board import Board
from analyzer.shown.report.drawn.plan_labels import INSET_HEIGHT, INSET_WIDTH, corner_of
from analyzer.shown.report.drawn.svg import STEADY, element, group, line, text
from analyzer.shown.report.view.values import PlanView, Point

_SCALE_BARS = (0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0)


def corners(plan: PlanView, board: Board, small: Markup) -> Markup:
    """Draw the corners for a sheet; the page's script moves each to its corner of what it shows."""
    width, height = board.width, board.height
    parts = [_at("nw", (0.0, 0.0), board, _north(plan)), _at("sw", (0.0, height), board, _scale_bar(board))]
    if plan.wind is not None:
        parts.append(_at("ne", (width, 0.0), board, _wind(*plan.wind)))
    return group(*parts, small, class_="corners")


def _at(corner: str, place: Point, board: Board, body: Markup) -> Markup:
    return group(group(body, class_="pin"), class_="corner", data_corner=corner, transform=board.shift(place))


def _north(plan: PlanView) -> Markup:
    side = "E" if plan.variation_deg >= 0 else "W"
    return group(
        element("path", class_="ink-fill", d="M0 -26L7 -4L0 -9L-7 -4Z"),
        line(0, -6, 0, 14, class_="ink-line"),
        text(0, -31, "N", class_="word strong halo", text_anchor="middle"),
        text(-24, 30, f"var {abs(plan.variation_deg):.0f}° {side}", class_="note quiet halo"),
        class_="north",
        transform="translate(34 50)",
    )


def _scale_bar(board: Board) -> Markup:
    length = max((bar for bar in _SCALE_BARS if bar * board.k <= board.width * 0.24), default=_SCALE_BARS[0])
    end = length * board.k
    return group(
        element("path", class_="ink-line scale-line", d=f"M0 -6V0H{end:.1f}V-6"),
        text(end / 2, -9, f"{length:g} NM", class_="word scale-word halo", text_anchor="middle"),
        class_="scale-bar",
        transform="translate(22 -16)",
    )


def _wind(from_deg: float, words: str) -> Markup:
    arrow = group(
        element("path", class_="wind-arrow", d="M0 -19V13M-6 5L0 15L6 5"), transform=f"rotate({from_deg:.1f})"
    )
    return group(
        element("circle", class_="dial", r=22),
        arrow,
        text(-30, -2, "wind, true", class_="note quiet halo wind-word", text_anchor="end"),
        text(-30, 14, words, class_="word halo", text_anchor="end"),
        class_="wind",
        transform="translate(-32 34)",
    )


def inset(middle: Point, view: tuple[float, float, float, float], whole: Board, prefix: str) -> Markup:
    """Draw the whole area in a corner with a frame about what the main drawing shows.

    Parameters
    ----------
    middle : Point
        Middle of the small overview on the closer sheet.
    view : tuple
        What the main drawing shows: left, top, width, height in the drawing.
    whole : Board
    prefix : str
    """
    left, top, width, height = view
    close = whole.window(left, top, width, height, (whole.width, whole.height))
    corner = corner_of(middle, close)
    place = (0.0 if "w" in corner else close.width, 0.0 if "n" in corner else close.height)
    x, y = middle[0] - INSET_WIDTH / 2 - place[0], middle[1] - INSET_HEIGHT / 2 - place[1]
    frame = element("rect", class_="inset-frame", x=x, y=y, width=INSET_WIDTH, height=INSET_HEIGHT)
    window = element("rect", class_="inset-window", x=left, y=top, width=width, height=height, vector_effect=STEADY)
    inner = element(
        "svg",
        element("use", href=f"#{prefix}-world"),
        window,
        x=x,
        y=y,
        width=INSET_WIDTH,
        height=INSET_HEIGHT,
        viewBox=f"0 0 {whole.width:.0f} {whole.height:.0f}",
    )
    body = group(frame, inner, class_="inset", data_view="whole")
    return _at(corner, place, close, body)
