"""The plane about the fix, worked by hand: north up, and along and cross of the four quadrants."""

import math

import numpy as np
import pytest

from analyzer.given import Frame, course_and_distance

ONE_MILLIMETRE_M = 0.001


@pytest.mark.parametrize(
    ("inbound", "east", "north", "along", "cross"),
    [
        (0.0, 0.0, -1000.0, 1000.0, 0.0),  # flying north to the fix from the south: the south is outbound
        (0.0, 1000.0, 0.0, 0.0, 1000.0),  # and the east lies to the right
        (90.0, 0.0, 1000.0, 0.0, -1000.0),  # flying east, the north lies to the left
        (180.0, 1000.0, 0.0, 0.0, -1000.0),
        (270.0, 1000.0, 0.0, 1000.0, 0.0),
    ],
)
def test_along_is_outbound_and_cross_to_the_right_of_the_inbound_course(inbound, east, north, along, cross):
    frame = Frame(46.2, -101.5, inbound)
    assert frame.along_cross_from_east_north(east, north) == pytest.approx((along, cross), abs=ONE_MILLIMETRE_M)
    assert frame.east_north_from_along_cross(along, cross) == pytest.approx((east, north), abs=ONE_MILLIMETRE_M)


def test_to_the_plane_and_back_across_longitude_180():
    frame = Frame(-16.0, 179.99, 40.0)
    latitude, longitude = frame.latitude_longitude_from_along_cross(np.array([0.0, 9000.0]), np.array([0.0, -4000.0]))
    along, cross = frame.along_cross_m(latitude, longitude)
    assert along == pytest.approx([0.0, 9000.0], abs=ONE_MILLIMETRE_M)
    assert cross == pytest.approx([0.0, -4000.0], abs=ONE_MILLIMETRE_M)


def test_one_degree_of_the_equator_is_the_ellipsoids_radius_times_its_angle():
    """WGS 84: semi-major axis 6,378,137 m; the equator is a circle of that radius."""
    course, distance = course_and_distance(0.0, 179.5, 0.0, -179.5)
    assert distance == pytest.approx(6_378_137.0 * math.radians(1.0), abs=ONE_MILLIMETRE_M)
    assert course == pytest.approx(90.0)
    assert course_and_distance(0.0, 0.5, 0.0, -0.5)[0] == pytest.approx(270.0)


def test_a_place_alone_in_an_array_is_measured_as_the_number_is():
    one = course_and_distance(np.array([46.2]), np.array([-101.5]), np.array([46.3]), -101.4)
    course, distance = course_and_distance(46.2, -101.5, 46.3, -101.4)
    assert [value.shape for value in one] == [(1,), (1,)]
    assert (one[0][0], one[1][0]) == (course, distance)
