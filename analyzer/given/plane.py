"""The local plane about the fix, and lines on the ellipsoid: the only place that projects or measures the Earth."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from pyproj import Geod, Proj

from analyzer.given.procedure import Procedure
from analyzer.units import wrap_360

_WGS84 = Geod(ellps="WGS84")


def course_and_distance(
    from_latitude_deg: Any, from_longitude_deg: Any, to_latitude_deg: Any, to_longitude_deg: Any
) -> tuple[Any, Any]:
    """Return the true course at the start, in [0, 360), and the metres of the shortest line to another place.

    Parameters
    ----------
    from_latitude_deg, from_longitude_deg, to_latitude_deg, to_longitude_deg : float or array, one shape
        Degrees, WGS 84.

    Returns
    -------
    tuple of float or array, shapes as given
        nan where a place is not finite; the course of a line without length means nothing.
    """
    given = (from_longitude_deg, from_latitude_deg, to_longitude_deg, to_latitude_deg)
    places = np.broadcast_arrays(*given)
    if places[0].size != 1:
        forward, _, distance = _WGS84.inv(*given)
        return wrap_360(forward), distance
    # one place alone goes as numbers: an array of one is taken for a number with a warning
    longitude, latitude, to_longitude, to_latitude = (float(place.item()) for place in places)
    forward, _, distance = _WGS84.inv(longitude, latitude, to_longitude, to_latitude)
    shape = places[0].shape
    return (wrap_360(forward), distance) if not shape else (np.full(shape, wrap_360(forward)), np.full(shape, distance))


@dataclass(frozen=True)
class Frame:
    """Azimuthal equidistant plane (WGS 84) about the fix: distances and bearings from the fix are exact.

    Two pairs of axes, metres: east/north, and along/cross. Along is positive on the outbound side of the fix (along
    the reciprocal of the inbound course); cross is positive to the right of the inbound course, seen flying inbound.
    The scale error away from the fix is (d/R)^2/6: under 0.1 m per km at 100 NM.

    Parameters
    ----------
    latitude_deg, longitude_deg : float
        The fix.
    inbound_true_deg : float
        Inbound course at the fix.
    """

    latitude_deg: float
    longitude_deg: float
    inbound_true_deg: float

    @cached_property
    def _projection(self) -> Any:
        return Proj(proj="aeqd", lat_0=self.latitude_deg, lon_0=self.longitude_deg, ellps="WGS84", units="m")

    def east_north_m(self, latitude_deg: Any, longitude_deg: Any) -> tuple[Any, Any]:
        """Return east and north of the fix in metres, shapes as given."""
        return self._projected(longitude_deg, latitude_deg)

    def latitude_longitude_deg(self, east_m: Any, north_m: Any) -> tuple[Any, Any]:
        """Return latitude and longitude of points of the plane, shapes as given."""
        longitude, latitude = self._projected(east_m, north_m, inverse=True)
        return latitude, longitude

    def _projected(self, first: Any, second: Any, *, inverse: bool = False) -> tuple[Any, Any]:
        """Project; one place alone goes as numbers: an array of one is taken for a number with a warning."""
        places = np.broadcast_arrays(first, second)
        shape = places[0].shape
        if not shape or places[0].size != 1:
            x, y = self._projection(first, second, inverse=inverse)
            return x, y
        x, y = self._projection(*(float(place.item()) for place in places), inverse=inverse)
        return np.full(shape, x), np.full(shape, y)

    def along_cross_from_east_north(self, east: Any, north: Any) -> tuple[Any, Any]:
        """Return along and cross of a vector given east and north: positions, velocities or winds alike."""
        course = np.radians(self.inbound_true_deg)
        along = -(np.sin(course) * east + np.cos(course) * north)
        cross = np.cos(course) * east - np.sin(course) * north
        return along, cross

    def east_north_from_along_cross(self, along: Any, cross: Any) -> tuple[Any, Any]:
        """Return east and north of a vector given along and cross."""
        course = np.radians(self.inbound_true_deg)
        east = -np.sin(course) * along + np.cos(course) * cross
        north = -np.cos(course) * along - np.sin(course) * cross
        return east, north

    def along_cross_m(self, latitude_deg: Any, longitude_deg: Any) -> tuple[Any, Any]:
        """Return along and cross of places on Earth in metres, shapes as given."""
        return self.along_cross_from_east_north(*self.east_north_m(latitude_deg, longitude_deg))

    def latitude_longitude_from_along_cross(self, along_m: Any, cross_m: Any) -> tuple[Any, Any]:
        """Return latitude and longitude of points given along and cross, shapes as given."""
        return self.latitude_longitude_deg(*self.east_north_from_along_cross(along_m, cross_m))


def frame_of(procedure: Procedure) -> Frame:
    """Return the plane about the procedure's fix."""
    return Frame(procedure.fix.latitude_deg, procedure.fix.longitude_deg, procedure.inbound_true_deg)
