"""Signs and words on the plan view: fix, runway, passages, findings, the numbers of the phases, ring labels."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from markupsafe import Markup

from analyzer.report.palette import phase_key
from analyzer.report.svg import element, group, text
from analyzer.report.view_types import Mark, PlanView, Point

_PIN_RADIUS = 8.5


@dataclass(frozen=True)
class Board:
    """From nautical miles east and north of the fix to the drawing: x0 + east * k, y0 - north * k."""

    x0: float
    y0: float
    k: float
    width: float
    height: float

    def __call__(self, east: float, north: float) -> Point:
        """Return the place in the drawing."""
        return (self.x0 + east * self.k, self.y0 - north * self.k)

    def holds(self, place: Point, margin: float = 0.0) -> bool:
        """Whether a place of the drawing can be seen."""
        return margin <= place[0] <= self.width - margin and margin <= place[1] <= self.height - margin


def mark_symbols(plan: PlanView, board: Board) -> Markup:
    """All marks, the fix first so that passages and findings lie above it."""
    return group(*(_mark(mark, board) for mark in plan.marks), class_="marks")


def _mark(mark: Mark, board: Board) -> Markup:
    x, y = board(*mark.place)
    if not board.holds((x, y), -400.0):
        return Markup("")
    title = element("title", mark.label)
    sign = _SIGNS[mark.kind](mark)
    jump = None if mark.at_s is None else f"{mark.at_s:.1f}"
    return group(
        group(title, sign, class_="pin"),
        class_=f"mark {mark.kind}",
        transform=f"translate({x:.1f} {y:.1f})",
        data_jump=jump,
    )


def _fix(mark: Mark) -> Markup:
    return group(
        element("path", class_="fix-sign", d="M0 -9L8 5H-8Z"),
        element("circle", class_="ink-fill", r=1.8),
        text(12, 17, mark.label, class_="word strong halo"),
    )


def _station(mark: Mark) -> Markup:
    return group(
        element("path", class_="fix-sign", d="M-4 -7H4L8 0L4 7H-4L-8 0Z"), text(11, -8, mark.label, class_="word halo")
    )


def _runway(mark: Mark) -> Markup:
    return group(
        element("rect", class_="ink-fill", x=-3, y=-8, width=6, height=16), text(9, 4, mark.label, class_="word halo")
    )


def _passage(mark: Mark) -> Markup:
    del mark
    return element(
        "path", class_="passage-sign", d="M-7 0A7 7 0 1 0 7 0A7 7 0 1 0 -7 0M0 -11V-4M0 4V11M-11 0H-4M4 0H11"
    )


def _critical(mark: Mark) -> Markup:
    del mark
    return group(
        element("path", class_="sign bad-sign", d="M-4.5 -11H4.5L11 -4.5V4.5L4.5 11H-4.5L-11 4.5V-4.5Z"),
        text(0, 4.8, "!", class_="sign-word", text_anchor="middle"),
    )


def _major(mark: Mark) -> Markup:
    del mark
    return group(
        element("path", class_="sign bad-sign", d="M0 -11L11 9H-11Z"),
        text(0, 6.5, "!", class_="sign-word small", text_anchor="middle"),
    )


def _minor(mark: Mark) -> Markup:
    del mark
    return element("path", class_="sign open-sign", d="M0 -8L8 0L0 8L-8 0Z")


_SIGNS = {
    "fix": _fix,
    "station": _station,
    "runway": _runway,
    "passage": _passage,
    "critical": _critical,
    "major": _major,
    "minor": _minor,
}


def phase_pins(plan: PlanView, board: Board) -> Markup:
    """Draw a numbered disc beside each phase's path, moved along and aside until it covers no other disc or sign."""
    taken = [board(*mark.place) for mark in plan.marks]
    path = [board(*point) for stretch in plan.stretches for point in stretch.points]
    path = path[:: max(1, len(path) // 400)]
    pins = []
    for stretch in plan.stretches:
        points = [board(*point) for point in stretch.points]
        seen = [index for index, point in enumerate(points) if board.holds(point, 12.0)]
        if len(seen) < 2:
            continue
        x, y = max(_candidates(points, seen), key=lambda place: _room(place, taken, path))
        taken.append((x, y))
        disc = element("circle", class_=f"fill {phase_key(stretch.phase)}", r=_PIN_RADIUS)
        number = text(0, 4, str(stretch.number), class_="pin-number", text_anchor="middle")
        pins.append(
            group(
                group(element("title", stretch.label), disc, number, class_="pin"),
                class_="mark phase-pin",
                transform=f"translate({x:.1f} {y:.1f})",
                data_jump=f"{stretch.start_s:.1f}",
            )
        )
    return group(*pins, class_="phase-pins")


def _candidates(points: list[Point], seen: list[int]) -> Iterable[Point]:
    for share in (0.5, 0.35, 0.65, 0.2, 0.8):
        index = seen[min(len(seen) - 1, int(share * len(seen)))]
        before, after = points[max(0, index - 2)], points[min(len(points) - 1, index + 2)]
        dx, dy = after[0] - before[0], after[1] - before[1]
        length = math.hypot(dx, dy) or 1.0
        for aside in (15.0, -15.0, 22.0, -22.0):
            yield (points[index][0] - dy / length * aside, points[index][1] + dx / length * aside)


def _room(place: Point, taken: list[Point], path: list[Point]) -> float:
    """How far a place is from other discs (most, to a point) and from the path (a little)."""
    others = min((math.dist(place, other) for other in taken), default=100.0)
    nearest = min((math.dist(place, other) for other in path), default=100.0)
    return min(others, 24.0) + 0.8 * min(nearest, 14.0)


def ring_labels(plan: PlanView, board: Board, radii: list[float]) -> Markup:
    """Labels of the distance rings in the direction where most of them can be read and the track is farthest."""
    path = [board(*point) for stretch in plan.stretches for point in stretch.points[::10]]
    path += [board(*point) for _, points in plan.planned for point in points[::10]]

    def worth(bearing: float) -> tuple[int, float]:
        places = [board(radius * math.sin(bearing), radius * math.cos(bearing)) for radius in radii]
        readable = [place for place in places if board.holds(place, 60.0)]
        room = min((math.dist(place, other) for place in readable for other in path), default=0.0)
        return len(readable) if room > 24 else 0, room

    bearing = max((math.radians(step * 10.0) for step in range(36)), key=worth)
    labels = []
    for radius in radii:
        x, y = board(radius * math.sin(bearing), radius * math.cos(bearing))
        if board.holds((x, y), 20.0):
            word = text(0, 4, f"{radius:g} NM", class_="note quiet halo", text_anchor="middle")
            labels.append(group(group(word, class_="pin"), transform=f"translate({x:.1f} {y:.1f})"))
    return Markup("").join(labels)
