"""How far a flown path keeps inside an area, and when it is outside: the line between two points counts."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from analyzer.units import FloatArray, runs

_LONGEST_PIECE_M = 100.0  # outside a hollow edge the farthest point of a line may lie between its ends


@dataclass(frozen=True)
class OutsideStretch:
    """One stretch outside an area: from leaving it to coming back, the farthest distance from its edge, and when."""

    start_s: float
    end_s: float
    max_m: float
    at_s: float


def point_margins_m(shape: Any, along_m: Any, cross_m: Any) -> FloatArray:
    """Return the distance of points to the edge of an area, positive inside, shape (n,).

    Parameters
    ----------
    shape : shapely Polygon or MultiPolygon
        x is along, y is cross.
    along_m, cross_m : array, shape (n,)
    """
    import shapely

    shapely.prepare(shape)
    points = shapely.points(np.asarray(along_m, dtype=float), np.asarray(cross_m, dtype=float))
    distance = shapely.distance(points, shape.boundary)
    return np.asarray(np.where(shapely.covers(shape, points), distance, -distance), dtype=np.float64)


def line_margins_m(shape: Any, along_m: Any, cross_m: Any) -> FloatArray:
    """Return the smallest margin along each straight line from one point to the next, shape (n - 1,).

    Exact for lines inside; a line that leaves the area has the margin of its farthest point, to within the pieces of
    100 m that it is cut into.
    """
    import shapely

    along, cross = np.asarray(along_m, dtype=float), np.asarray(cross_m, dtype=float)
    if along.size < 2:
        return np.zeros(0)
    ends = np.stack([along, cross], axis=-1)
    lines: Any = shapely.linestrings(np.stack([ends[:-1], ends[1:]], axis=1))
    shapely.prepare(shape)
    inside = shapely.covers(shape, lines)
    margins = np.asarray(shapely.distance(lines, shape.boundary), dtype=np.float64)
    for index in np.flatnonzero(~inside):
        pieces = 1 + int(np.hypot(*(ends[index + 1] - ends[index])) // _LONGEST_PIECE_M)
        share = np.linspace(0.0, 1.0, 2 * pieces + 1)
        margins[index] = float(
            np.min(
                point_margins_m(
                    shape,
                    along[index] + share * (along[index + 1] - along[index]),
                    cross[index] + share * (cross[index + 1] - cross[index]),
                )
            )
        )
    return margins


def outside_stretches(shape: Any, time_s: Any, along_m: Any, cross_m: Any) -> tuple[OutsideStretch, ...]:
    """Return the stretches of a path outside an area, in order, cut where the line crosses the edge.

    Parameters
    ----------
    shape : shapely Polygon or MultiPolygon
    time_s, along_m, cross_m : array, shape (n,)
        The path; straight and at a steady speed from one point to the next.
    """
    time, along, cross = _with_edge_cuts(
        shape, np.asarray(time_s, float), np.asarray(along_m, float), np.asarray(cross_m, float)
    )
    if time.size < 2:
        return ()
    middle = point_margins_m(shape, 0.5 * (along[:-1] + along[1:]), 0.5 * (cross[:-1] + cross[1:]))
    margins = point_margins_m(shape, along, cross)
    found = []
    for first, last in runs(middle < 0.0):
        worst = int(first + np.argmin(margins[first : last + 1]))
        found.append(
            OutsideStretch(float(time[first]), float(time[last]), max(0.0, -float(margins[worst])), float(time[worst]))
        )
    return tuple(found)


def _with_edge_cuts(
    shape: Any, time_s: FloatArray, along_m: FloatArray, cross_m: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return the path with points added where it cuts the edge and, outside, so that no piece is long."""
    import shapely

    if time_s.size < 2:
        return time_s, along_m, cross_m
    ends = np.stack([along_m, cross_m], axis=-1)
    lines: Any = shapely.linestrings(np.stack([ends[:-1], ends[1:]], axis=1))
    shapely.prepare(shape)
    leaves = np.flatnonzero(~shapely.covers(shape, lines))
    extra = []
    for index in leaves:
        length = float(np.hypot(*(ends[index + 1] - ends[index])))
        if length == 0.0:
            continue
        pieces = 1 + int(length // _LONGEST_PIECE_M)
        shares = list(np.arange(1, pieces) / pieces)
        cuts = shapely.intersection(lines[index], shape.boundary)
        shares += [
            float(np.hypot(x - along_m[index], y - cross_m[index])) / length for x, y in shapely.get_coordinates(cuts)
        ]
        extra += [index + share for share in shares if 1e-9 < share < 1.0 - 1e-9]
    position = np.unique(np.concatenate([np.arange(time_s.size, dtype=float), np.asarray(extra, dtype=float)]))
    whole = np.arange(time_s.size, dtype=float)
    return (
        np.interp(position, whole, time_s),
        np.interp(position, whole, along_m),
        np.interp(position, whole, cross_m),
    )
