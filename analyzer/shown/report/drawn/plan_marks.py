"""Signs on the plan view: fix, station, runway, passages of the fix, findings, the numbers of the phases."""

import math
from collections.abc import Iterable

from markupsafe import Markup

from analyzer.shown.report.drawn.palette import phase_key
from analyzer.shown.report.drawn.plan_labels import Board, Room, mark_name, title
from analyzer.shown.report.drawn.svg import element, group, text
from analyzer.shown.report.view.values import Mark, PlanView, Point

_PIN_RADIUS = 8.5
_NAMED = ("fix", "station", "runway")


def mark_symbols(plan: PlanView, board: Board) -> Markup:
    """Draw the signs of all marks, the fix first so that passages and findings lie above it."""
    return group(*(_mark(mark, board) for mark in plan.marks), class_="marks")


def _mark(mark: Mark, board: Board) -> Markup:
    return group(
        group(title(mark.label), _SIGNS[mark.kind], class_="pin"),
        class_=f"mark {mark.kind}",
        transform=board.shift(board(*mark.place)),
        data_jump=None if mark.at_s is None else f"{mark.at_s:.1f}",
    )


def mark_names(plan: PlanView, board: Board, room: Room) -> Markup:
    """Draw the names of the fix, the station and the runway."""
    named = [mark for mark in plan.marks if mark.kind in _NAMED and board.holds(board(*mark.place))]
    return group(
        *(
            mark_name(mark.label, board(*mark.place), board, room, "strong" if mark.kind == "fix" else "")
            for mark in named
        )
    )


_SIGNS = {
    "fix": group(
        element("path", class_="fix-sign", d="M0 -9L8 5H-8Z"),
        element("circle", class_="ink-fill", r=1.8),
    ),
    "station": element("path", class_="fix-sign", d="M-4 -7H4L8 0L4 7H-4L-8 0Z"),
    "runway": element("rect", class_="ink-fill", x=-3, y=-8, width=6, height=16),
    "passage": element(
        "path", class_="passage-sign", d="M-7 0A7 7 0 1 0 7 0A7 7 0 1 0 -7 0M0 -11V-4M0 4V11M-11 0H-4M4 0H11"
    ),
    "critical": group(
        element("path", class_="sign bad-sign", d="M-4.5 -11H4.5L11 -4.5V4.5L4.5 11H-4.5L-11 4.5V-4.5Z"),
        text(0, 4.8, "!", class_="sign-word", text_anchor="middle"),
    ),
    "major": group(
        element("path", class_="sign bad-sign", d="M0 -11L11 9H-11Z"),
        text(0, 6.5, "!", class_="sign-word small", text_anchor="middle"),
    ),
    "minor": element("path", class_="sign open-sign", d="M0 -8L8 0L0 8L-8 0Z"),
}


def phase_pins(plan: PlanView, board: Board, room: Room) -> Markup:
    """Draw a numbered disc beside each phase's path, where it covers no other disc, sign or path."""
    pins = []
    for stretch in plan.stretches:
        points = [board(*point) for point in stretch.points]
        seen = [index for index, point in enumerate(points) if board.holds(point, 12.0)]
        if len(seen) < 2:
            continue
        places = list(_beside(points, seen))
        x, y = room.best(places, _PIN_RADIUS, _PIN_RADIUS) or places[0]
        disc = element("circle", class_=f"fill {phase_key(stretch.phase)}", r=_PIN_RADIUS)
        number = text(0, 4, str(stretch.number), class_="pin-number", text_anchor="middle")
        pins.append(
            group(
                group(title(stretch.label), disc, number, class_="pin"),
                class_="mark phase-pin",
                transform=board.shift((x, y)),
                data_jump=f"{stretch.start_s:.1f}",
            )
        )
    return group(*pins, class_="phase-pins")


def _beside(points: list[Point], seen: list[int]) -> Iterable[Point]:
    for share in (0.5, 0.35, 0.65, 0.2, 0.8):
        index = seen[min(len(seen) - 1, int(share * len(seen)))]
        before, after = points[max(0, index - 2)], points[min(len(points) - 1, index + 2)]
        dx, dy = after[0] - before[0], after[1] - before[1]
        length = math.hypot(dx, dy) or 1.0
        for aside in (15.0, -15.0, 24.0, -24.0):
            yield (points[index][0] - dy / length * aside, points[index][1] + dx / length * aside)
