"""Envelopes of discs: wind spirals and the common tangents that close a template.

An aircraft that is at a point in still air after some seconds is, in a wind from anywhere, in a disc about that
point with the radius wind x time. The discs along a turn have the wind spiral as their envelope; the outline of a
template is the convex envelope of all its discs, since spirals are joined by common tangents.

Axes: x along the outbound track, y towards the manoeuvring side, metres; angles from +x towards +y. Every reversal turn
is then clockwise (sign -1).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from shapely import MultiPoint
from shapely.geometry.base import BaseGeometry

from analyzer.planned.protection.icao.design_conditions import AreaConditions
from analyzer.units import FloatArray

#: spacing of discs along a turn
TURN_STEP_DEG = 6.0
_DIRECTIONS = 360
_DISC_CORNERS = 72
_CHUNK = 250


@dataclass(frozen=True)
class Discs:
    """Centres and radii, arrays of shape (n,), metres."""

    x_m: FloatArray
    y_m: FloatArray
    radius_m: FloatArray

    def moved(self, x_m: float, y_m: float, wider_m: float = 0.0) -> "Discs":
        """Return the discs shifted, each wider by the same amount."""
        return Discs(self.x_m + x_m, self.y_m + y_m, self.radius_m + wider_m)

    def turned(self, degrees: float) -> "Discs":
        """Return the discs rotated about the origin."""
        cosine, sine = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        return Discs(cosine * self.x_m - sine * self.y_m, sine * self.x_m + cosine * self.y_m, self.radius_m)

    def placed(self, corners: npt.ArrayLike, wider_m: float = 0.0) -> "Discs":
        """Return the discs repeated with their origin on each of the corners, array of shape (k, 2)."""
        at = np.asarray(corners, dtype=float)
        return Discs(
            (self.x_m[None, :] + at[:, :1]).ravel(),
            (self.y_m[None, :] + at[:, 1:]).ravel(),
            np.tile(self.radius_m + wider_m, len(at)),
        )


def joined(*groups: Discs) -> Discs:
    """Return the discs of all groups."""
    return Discs(
        np.concatenate([group.x_m for group in groups]),
        np.concatenate([group.y_m for group in groups]),
        np.concatenate([group.radius_m for group in groups]),
    )


@dataclass(frozen=True)
class AirPosition:
    """Where an aircraft is in still air, its heading and how long the wind has acted."""

    x_m: float
    y_m: float
    heading_deg: float
    wind_s: float

    def after(self, conditions: AreaConditions, seconds: float, off_deg: float = 0.0) -> "AirPosition":
        """Return the position after a straight; `off_deg` is a heading error on it, not kept afterwards."""
        angle = math.radians(self.heading_deg + off_deg)
        distance = conditions.tas_mps * seconds
        return AirPosition(
            self.x_m + distance * math.cos(angle),
            self.y_m + distance * math.sin(angle),
            self.heading_deg,
            self.wind_s + seconds,
        )

    def turned(self, conditions: AreaConditions, degrees: float) -> "AirPosition":
        """Return the position after a turn, positive from +x towards +y."""
        signed_radius = math.copysign(conditions.radius_m, degrees)
        first, last = math.radians(self.heading_deg), math.radians(self.heading_deg + degrees)
        return AirPosition(
            self.x_m + signed_radius * (math.sin(last) - math.sin(first)),
            self.y_m - signed_radius * (math.cos(last) - math.cos(first)),
            self.heading_deg + degrees,
            self.wind_s + conditions.turn_s(abs(degrees)),
        )

    def disc(self, conditions: AreaConditions) -> Discs:
        """Return the single disc of this position."""
        return Discs(np.array([self.x_m]), np.array([self.y_m]), np.array([conditions.wind_mps * self.wind_s]))


def fix_discs(corners: npt.ArrayLike, radius_m: float) -> Discs:
    """Return a disc of the same radius on each of the corners, array of shape (k, 2)."""
    at = np.asarray(corners, dtype=float)
    return Discs(at[:, 0], at[:, 1], np.full(len(at), radius_m))


def turn_discs(start: AirPosition, conditions: AreaConditions, degrees: float) -> Discs:
    """Return the discs along a turn from a position: its wind spiral, both ends included.

    Between two centres the arc bulges beyond the chord; the discs are wider by as much (0.14 % of the turn's radius).
    """
    return same_turn_discs([start], conditions, degrees)


def same_turn_discs(starts: Sequence[AirPosition], conditions: AreaConditions, degrees: float) -> Discs:
    """Return the discs of the same turn from each of several positions."""
    steps = np.linspace(0.0, degrees, max(2, math.ceil(abs(degrees) / TURN_STEP_DEG) + 1))
    x, y, heading_deg, wind_s = np.array([(at.x_m, at.y_m, at.heading_deg, at.wind_s) for at in starts]).T[:, :, None]
    radius = math.copysign(conditions.radius_m, degrees)
    bulge_m = abs(radius) * (1.0 - math.cos(math.radians(TURN_STEP_DEG / 2.0)))
    first = np.radians(heading_deg)
    heading = first + np.radians(steps)
    return Discs(
        (x + radius * (np.sin(heading) - np.sin(first))).ravel(),
        (y - radius * (np.cos(heading) - np.cos(first))).ravel(),
        (conditions.wind_mps * (wind_s + np.abs(steps) / conditions.rate_deg_s) + bulge_m).ravel(),
    )


def outermost(discs: Discs) -> Discs:
    """Return the discs that reach furthest in one of 360 directions: the only ones that can touch the outline.

    One left out between two of the directions could stick out by 0.004 % of its distance at most.
    """
    angles = np.linspace(0.0, 2.0 * math.pi, _DIRECTIONS, endpoint=False)
    cosine, sine, rows = np.cos(angles), np.sin(angles), np.arange(_DIRECTIONS)
    best = np.full(_DIRECTIONS, -np.inf)
    best_disc = np.zeros(_DIRECTIONS, dtype=int)
    # in chunks that stay in the processor's cache, and without a matrix product, whose threads cost more than they give
    for first in range(0, len(discs.x_m), _CHUNK):
        chunk = slice(first, first + _CHUNK)
        reach = np.multiply.outer(cosine, discs.x_m[chunk])
        reach += np.multiply.outer(sine, discs.y_m[chunk])
        reach += discs.radius_m[chunk]
        disc = np.argmax(reach, axis=1)
        value = reach[rows, disc]
        better = value > best
        best[better] = value[better]
        best_disc[better] = first + disc[better]
    kept = np.unique(best_disc)
    return Discs(discs.x_m[kept], discs.y_m[kept], discs.radius_m[kept])


def envelope(discs: Discs) -> BaseGeometry:
    """Return the convex envelope of discs: a polygon that holds every disc, at most 0.1 % of a radius outside it."""
    outer = outermost(discs)
    corner = np.linspace(0.0, 2.0 * math.pi, _DISC_CORNERS, endpoint=False)
    radius = outer.radius_m[:, None] / math.cos(math.pi / _DISC_CORNERS)
    x = outer.x_m[:, None] + radius * np.cos(corner)
    y = outer.y_m[:, None] + radius * np.sin(corner)
    return MultiPoint(np.column_stack([x.ravel(), y.ravel()])).convex_hull
