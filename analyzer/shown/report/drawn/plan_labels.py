"""Finds room for the words and discs of the plan view: on what is free, off the paths and off each other."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from markupsafe import Markup

from analyzer.shown.report.drawn.svg import element, group, text
from analyzer.shown.report.view.values import PlanView, Point
from analyzer.units import FloatArray

INSET_WIDTH, INSET_HEIGHT = 190.0, 164.0
_LETTER = 6.4  # mean width of a letter of a label, drawing units
_ENOUGH = 26.0  # more room than this makes no place better
_EDGE_PLACES = 72  # where along its edge the name of an area may stand


@dataclass(frozen=True)
class Board:
    """A sheet of `width` by `height`: nautical miles east and north of the fix lie at x0 + east * k, y0 - north * k.

    The closer sheet is a window of the drawing: its upper left corner lies at `left`, `top` of the drawing and one of
    its units is `share` of the drawing's.
    """

    x0: float
    y0: float
    k: float
    width: float
    height: float
    left: float = 0.0
    top: float = 0.0
    share: float = 1.0

    def __call__(self, east: float, north: float) -> Point:
        """Return the place on the sheet."""
        return (self.x0 + east * self.k, self.y0 - north * self.k)

    def places(self, points: Sequence[Point]) -> FloatArray:
        """Return the places of points on the sheet, shape (n, 2)."""
        return np.array([self.x0, self.y0]) + np.asarray(points, dtype=np.float64).reshape(-1, 2) * [self.k, -self.k]

    def holds(self, place: Point, margin: float = 0.0) -> bool:
        """Whether a place of the sheet can be seen."""
        return margin <= place[0] <= self.width - margin and margin <= place[1] <= self.height - margin

    def shift(self, place: Point) -> str:
        """Return the transform that puts something drawn at 0, 0 at a place of the sheet, in the drawing."""
        return f"translate({self.left + place[0] * self.share:.2f} {self.top + place[1] * self.share:.2f})"

    def window(self, left: float, top: float, width: float, height: float, sheet: Point) -> "Board":
        """Return the sheet of a size that shows a window of this one."""
        share = width / sheet[0]
        return Board(
            (self.x0 - left) / share, (self.y0 - top) / share, self.k / share, *sheet, left=left, top=top, share=share
        )


@dataclass
class Room:
    """What is taken of the drawing: points of paths, shape (n, 2), and boxes as (x, y, half width, half height)."""

    path: FloatArray
    boxes: list[tuple[float, float, float, float]] = field(default_factory=list)

    def gaps(self, places: Sequence[Point], half_width: float, half_height: float) -> list[float]:
        """Return how much free space boxes have around them, at most `_ENOUGH`; negative where one covers something."""
        if not places:
            return []
        x, y = np.array(places)[:, :, None].transpose(1, 0, 2)
        free = np.full(len(places), _ENOUGH)
        boxes = np.array(self.boxes).reshape(-1, 4)
        for middles, wide, high in ((boxes, boxes[:, 2], boxes[:, 3]), (self.path, 0.0, 0.0)):
            aside = np.abs(middles[:, 0] - x) - half_width - wide
            above = np.abs(middles[:, 1] - y) - half_height - high
            free = np.minimum(free, np.maximum(aside, above).min(axis=1, initial=_ENOUGH))
        return free.tolist()

    def take(self, x: float, y: float, half_width: float, half_height: float) -> None:
        """Mark a box as taken."""
        self.boxes.append((x, y, half_width, half_height))

    def best(self, places: Iterable[Point], half_width: float, half_height: float) -> Point | None:
        """Return the place with the most room, the first of several alike, and take it; None where all are taken."""
        found, most = None, -6.0
        tried = list(places)
        for place, free in zip(tried, self.gaps(tried, half_width, half_height), strict=True):
            if free > most + 0.5:
                found, most = place, free
        if found is not None:
            self.take(*found, half_width, half_height)
        return found


def room_of(plan: PlanView, board: Board) -> Room:
    """Return the room that the paths and the corners with arrow, bar and wind leave."""
    lines = [*flown_lines(plan), *(points for _, points in plan.planned)]
    points = [board(*point) for line in lines for point in line[:: max(1, len(line) // 120)]]
    (x1, y1), (x2, y2) = (board(*point) for point in plan.course)
    points += [(x1 + (x2 - x1) * step / 90, y1 + (y2 - y1) * step / 90) for step in range(91)]
    room = Room(np.array([point for point in points if board.holds(point, -20.0)]).reshape(-1, 2))
    room.take(48, 50, 48, 50)
    room.take(110, board.height - 20, 110, 26)
    room.take(board.width - 90, 40, 90, 40)
    if board.share < 1.0:
        room.take(*inset_place(plan, board), INSET_WIDTH / 2, INSET_HEIGHT / 2)
    for mark in plan.marks:
        room.take(*board(*mark.place), 11, 11)
    return room


def flown_lines(plan: PlanView) -> list[tuple[Point, ...]]:
    """Return the flown path: phase by phase, or all of the track where there are no phases."""
    return [stretch.points for stretch in plan.stretches] or [plan.whole_track]


def place_word(room: Room, board: Board, word: str, places: Iterable[Point], class_: str) -> Markup:
    """Draw a word at the place with the most room; nothing where there is none."""
    half = len(word) * _LETTER / 2
    inside = [place for place in places if half + 4 <= place[0] <= board.width - half - 4 and board.holds(place, 12.0)]
    found = room.best(inside, half, 8.0)
    if found is None:
        return Markup("")
    label = text(0, 4, word, class_=f"halo {class_}", text_anchor="middle")
    return group(group(label, class_="pin"), transform=board.shift(found))


def area_names(plan: PlanView, board: Board, room: Room) -> Markup:
    """Draw the areas' names along the inner side of their edges."""
    drawn = []
    for area in plan.areas:
        key = area.name.replace(" ", "-")
        edge = [board(*point) for ring in area.rings for point in ring]
        if not edge:
            continue
        middle = (sum(point[0] for point in edge) / len(edge), sum(point[1] for point in edge) / len(edge))
        places = []
        for x, y in _along(edge, _EDGE_PLACES):
            away = math.dist((x, y), middle) or 1.0
            places.append((x + (middle[0] - x) / away * 19.0, y + (middle[1] - y) / away * 19.0))
        drawn.append(place_word(room, board, area.label, places, f"note area-name {key}"))
    return group(*drawn, class_="layer layer-areas")


def _along(edge: list[Point], count: int) -> list[Point]:
    """Return places evenly along a line."""
    x, y = np.array(edge).T
    way = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(x), np.diff(y)))])
    at = np.linspace(0.0, way[-1], count)
    return [(float(a), float(b)) for a, b in zip(np.interp(at, way, x), np.interp(at, way, y), strict=True)]


def ring_names(board: Board, room: Room, radii: list[float]) -> Markup:
    """Draw the distance of each ring on it, all in the direction where the most of them can be read."""
    shown = [radius for radius in radii if radius * board.k > 24]

    def places(bearing: float) -> list[Point]:
        return [board(radius * math.sin(bearing), radius * math.cos(bearing)) for radius in shown]

    def worth(bearing: float) -> tuple[int, float]:
        free = room.gaps([place for place in places(bearing) if board.holds(place, 26.0)], 20.0, 8.0)
        return sum(gap > 2.0 for gap in free), min(free, default=0.0)

    bearing = max((math.radians(step * 6.0) for step in range(60)), key=worth)
    drawn = [
        place_word(room, board, f"{radius:g} NM", [place], "note quiet")
        for radius, place in zip(shown, places(bearing), strict=True)
    ]
    return group(*drawn, class_="ring-names")


def mark_name(word: str, place: Point, board: Board, room: Room, class_: str) -> Markup:
    """Draw the name of a mark beside it, on the side with the most room."""
    half = len(word) * _LETTER / 2
    x, y = place
    sides = [(half + 14, 12), (-half - 14, 12), (half + 14, -12), (-half - 14, -12), (0, 26), (0, -24)]
    found = room.best([(x + dx, y + dy) for dx, dy in sides if board.holds((x + dx, y + dy), half)], half, 8.0)
    dx, dy = (found[0] - x, found[1] - y) if found is not None else sides[0]
    label = text(dx, dy + 4, word, class_=f"word halo {class_}".rstrip(), text_anchor="middle")
    return group(group(label, class_="pin"), transform=board.shift(place))


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


def title(words: str) -> Markup:
    """Name an element for those who point at it."""
    return element("title", words)
