"""What others do with the same track: parse it, find its change points, ask for each point whether it is inside."""

from pathlib import Path
from typing import Any

import numpy as np

from analyzer.given.plane import frame_of
from analyzer.given.procedure import Procedure
from analyzer.given.track import Track
from analyzer.planned.protection.build import protection_areas
from analyzer.units.angles import unwrap_deg


def gpx_parsed(path: Path) -> Any:
    """gpxpy's reading of a file."""
    import gpxpy

    with path.open(encoding="utf-8") as stream:
        return gpxpy.parse(stream)


def gpxpy_parser() -> str:
    """Which XML parser gpxpy uses here: lxml where it is installed, the standard library's otherwise."""
    import importlib.util

    return "lxml" if importlib.util.find_spec("lxml") is not None else "the standard library's parser"


def rates_of_turn(track: Track) -> Any:
    """Rate of turn, degrees per second, shape (n - 2, 1), in which change points are turns that begin and end."""
    north = np.deg2rad(track.latitude_deg)
    east = np.deg2rad(track.longitude_deg) * np.cos(north.mean())
    course = np.rad2deg(np.arctan2(np.diff(east), np.diff(north)))
    return (np.diff(unwrap_deg(course)) / np.diff(track.time_s)[1:])[:, None]


def change_points(rates: Any, jump: int) -> list[int]:
    """Change points by ruptures' Pelt with the cost l2, a piecewise constant mean.

    The penalty is the usual one for it, 2 sigma^2 ln n, sigma from the differences of neighbours.
    """
    import ruptures

    sigma = 1.4826 * float(np.median(np.abs(np.diff(rates[:, 0])))) / 2.0**0.5
    found = ruptures.Pelt(model="l2", jump=jump).fit_predict(rates, pen=2.0 * sigma**2 * np.log(len(rates)))
    return [int(one) for one in found]


def margins_in_a_loop(track: Track, procedure: Procedure) -> list[float]:
    """Distance to the edge of the primary area, inside positive, point by point with shapely."""
    from shapely.geometry import Point

    frame = frame_of(procedure)
    along, cross = frame.along_cross_m(track.latitude_deg, track.longitude_deg)
    shapes = {area.name: area.shape for area in protection_areas(procedure)}
    area = shapes["primary"] if "primary" in shapes else shapes["distance limit"]
    margins = []
    for x, y in zip(along.tolist(), cross.tolist(), strict=True):
        point = Point(x, y)
        distance = area.exterior.distance(point)
        margins.append(distance if area.contains(point) else -distance)
    return margins
