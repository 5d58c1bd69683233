"""The sheet that the plan view is drawn on, whole or a window of it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analyzer.shown.report.view.values import Point
from analyzer.units import FloatArray


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

    def inside(self, east: float, north: float, margin: float = 0.0) -> bool:
        """Whether a place east and north of the fix can be seen."""
        return self.holds(self(east, north), margin)

    def drawn(self, place: Point) -> Point:
        """Return where a place of the sheet lies in the drawing."""
        return (self.left + place[0] * self.share, self.top + place[1] * self.share)

    def shift(self, place: Point) -> str:
        """Return the transform that puts something drawn at 0, 0 at a place of the sheet, in the drawing."""
        x, y = self.drawn(place)
        return f"translate({x:.2f} {y:.2f})"

    def window(self, left: float, top: float, width: float, height: float, sheet: Point) -> "Board":
        """Return the sheet of a size that shows a window of this one."""
        share = width / sheet[0]
        return Board(
            (self.x0 - left) / share, (self.y0 - top) / share, self.k / share, *sheet, left=left, top=top, share=share
        )
