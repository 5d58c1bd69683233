"""Finds room for the words and discs of the plan view: on what is free, off the paths and off each other.

Each label has several spots, best first: a place of the flight's world and a shift in the units in which letters keep
their size. Here they are laid out for the page without script and for paper; the page's script lays out the same
spots again for what it shows.
"""

from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from markupsafe import Markup

from analyzer.shown.report.drawn.board import Board
from analyzer.shown.report.drawn.svg import element, group, short
from analyzer.shown.report.view.values import PlanView, Point
from analyzer.units import FloatArray

INSET_WIDTH, INSET_HEIGHT = 170.0, 132.0
LETTER = 6.9  # mean width of a letter of a label, drawing units
_GAP = 3.0  # between two labels


class Spot(NamedTuple):
    """Where a label may stand: nautical miles east and north of the fix, and a shift of its middle beside that."""

    east: float
    north: float
    dx: float
    dy: float


class Label(NamedTuple):
    """A label with its spots, best first; `strict` ones are rather left out than laid over a path.

    `body` is drawn about 0, 0; `pointer` says that a line leads from the place to it.
    """

    kind: str
    half_width: float
    half_height: float
    spots: tuple[Spot, ...]
    body: Markup
    strict: bool = False
    pointer: bool = False
    jump_s: float | None = None
    name: str = ""
    finding: int | None = None


@dataclass
class Room:
    """What is taken of a sheet: points of paths, shape (n, 2), and boxes as (x, y, half width, half height)."""

    path: FloatArray
    boxes: list[tuple[float, float, float, float]] = field(default_factory=list)

    def take(self, x: float, y: float, half_width: float, half_height: float) -> None:
        """Mark a box as taken."""
        self.boxes.append((x, y, half_width, half_height))

    def _covers(self, places: FloatArray, label: Label, boxes: FloatArray) -> FloatArray:
        """Return how many boxes or points a label covers at each place, shape (n,)."""
        wide, high = label.half_width + _GAP, label.half_height + _GAP
        aside = np.abs(places[:, None, 0] - boxes[None, :, 0]) < wide + boxes[None, :, 2]
        above = np.abs(places[:, None, 1] - boxes[None, :, 1]) < high + boxes[None, :, 3]
        return np.asarray((aside & above).sum(axis=1), dtype=np.float64)

    def settle(self, label: Label, board: Board) -> int | None:
        """Return the number of the first spot that is free, or that covers the least of the paths; take it.

        None where all would leave the sheet or cover another label, or a path where the label is strict.
        """
        if not label.spots:
            return None
        at = np.array([board(spot.east, spot.north) for spot in label.spots])
        middle = at + np.array([(spot.dx, spot.dy) for spot in label.spots])
        edge = np.array([label.half_width + 2.0, label.half_height + 2.0])
        size = np.array([board.width, board.height])
        fits = np.all((middle >= edge) & (middle <= size - edge) & (at >= -edge) & (at <= size + edge), axis=1)
        boxes = np.array(self.boxes, dtype=np.float64).reshape(-1, 4)
        fits &= self._covers(middle, label, boxes) == 0
        points = np.column_stack([self.path, np.zeros((len(self.path), 2))])
        covered = self._covers(middle, label, points)
        if label.strict:
            fits &= covered == 0
        if not fits.any():
            return None
        number = int(np.argmin(np.where(fits, covered, np.inf)))
        self.take(float(middle[number, 0]), float(middle[number, 1]), label.half_width, label.half_height)
        return number


def room_of(plan: PlanView, board: Board, inset: bool) -> Room:
    """Return the room that the paths and the corners with arrow, bar and wind leave."""
    lines = [*flown_lines(plan), *(points for _, points in plan.planned), *(one.path for one in plan.put_right[:1])]
    points = [board(*point) for line in lines for point in line[:: max(1, len(line) // 160)]]
    room = Room(np.array([point for point in points if board.holds(point, -20.0)]).reshape(-1, 2))
    room.take(34, 46, 34, 46)
    room.take(110, board.height - 20, 110, 22)
    room.take(board.width - 80, 34, 80, 34)
    if inset:
        room.take(*inset_place(plan, board), INSET_WIDTH / 2 + 4, INSET_HEIGHT / 2 + 4)
    for mark in plan.marks:
        room.take(*board(*mark.place), 10, 10)
    for callout in plan.callouts:
        room.take(*board(*callout.place), 6, 6)
    return room


def flown_lines(plan: PlanView) -> list[tuple[Point, ...]]:
    """Return the flown path: phase by phase, or all of the track where there are no phases."""
    return [stretch.points for stretch in plan.stretches] or [plan.whole_track]


def lay_out(labels: list[Label], board: Board, whole: Board, room: Room, *, focusable: bool) -> Markup:
    """Draw the labels where there is room, in their order; those without room are there but not seen."""
    return group(*(_laid(label, board, whole, room, focusable) for label in labels), class_="labels")


def _laid(label: Label, board: Board, whole: Board, room: Room, focusable: bool) -> Markup:
    number = room.settle(label, board)
    spot = label.spots[number or 0] if label.spots else Spot(0.0, 0.0, 0.0, 0.0)
    parts = []
    if label.pointer:
        x = min(max(0.0, spot.dx - label.half_width), spot.dx + label.half_width)
        y = min(max(0.0, spot.dy - label.half_height), spot.dy + label.half_height)
        parts.append(element("path", class_="pointer", d=f"M0 0L{short(x)} {short(y)}"))
        parts.append(element("circle", class_="place-dot", r=4))
    parts.append(group(label.body, class_="at", transform=f"translate({short(spot.dx)} {short(spot.dy)})"))
    can_jump = focusable and label.jump_s is not None
    return group(
        group(*parts, class_="pin"),
        class_=f"label {label.kind}{' strict' if label.strict else ''}{'' if number is not None else ' unplaced'}",
        transform=board.shift(board(spot.east, spot.north)),
        data_spots=";".join(_spot_data(each, whole) for each in label.spots) if focusable else None,
        data_jump=f"{label.jump_s:.1f}" if label.jump_s is not None else None,
        data_finding=label.finding,
        tabindex=0 if can_jump and label.name else None,
        role="button" if can_jump and label.name else None,
        aria_label=label.name if can_jump and label.name else None,
    )


def _spot_data(spot: Spot, whole: Board) -> str:
    x, y = whole(spot.east, spot.north)
    return f"{short(x)} {short(y)} {short(spot.dx, 0)} {short(spot.dy, 0)}"


def inset_place(plan: PlanView, board: Board) -> Point:
    """Return the middle of the small overview: the corner where it hides the least of the flown and planned paths."""
    half_width, half_height = INSET_WIDTH / 2, INSET_HEIGHT / 2
    right, left = board.width - half_width - 8, half_width + 8
    corners = [
        (right, board.height - half_height - 8),
        (right, half_height + 76),
        (left, board.height - half_height - 50),
        (left + 80, half_height + 8),
    ]
    flown = board.places([point for points in flown_lines(plan) for point in points])
    planned = board.places([point for _, points in plan.planned for point in points])

    def hidden(corner: Point) -> float:
        return sum(
            weight
            * int(np.all(np.abs(points - corner) < (half_width + 12, half_height + 12), axis=1).sum())
            / len(points)
            for points, weight in ((flown, 3.0), (planned, 1.0))
            if len(points)
        )

    return min(corners, key=hidden)


def corner_of(place: Point, board: Board) -> str:
    """Return the corner of a sheet that a place is nearest to, as "nw", "ne", "sw", "se"."""
    return ("n" if place[1] < board.height / 2 else "s") + ("w" if place[0] < board.width / 2 else "e")
