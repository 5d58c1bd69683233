"""The plane about the fix against a published geodesic.

Source: the worked example of the geodesic between two survey stations in south-eastern Australia (GDA technical
manual, inverse and direct problem on GRS 80), read second hand in several agreeing transcriptions. GRS 80 and WGS 84
differ by 0.1 mm in the polar radius, far below the last figure printed.
"""

import pytest
from pyproj import Geod

from analyzer.given import Frame, course_and_distance

# 37 57 03.72030 S, 144 25 29.52440 E and 37 39 10.15610 S, 143 55 35.38390 E
FROM = (-(37 + 57 / 60 + 3.72030 / 3600), 144 + 25 / 60 + 29.52440 / 3600)
TO = (-(37 + 39 / 60 + 10.15610 / 3600), 143 + 55 / 60 + 35.38390 / 3600)
DISTANCE_M = 54972.271
FORWARD_DEG = 306 + 52 / 60 + 5.37 / 3600
REVERSE_DEG = 127 + 10 / 60 + 25.07 / 3600
ONE_LAST_FIGURE_M = 0.001
ONE_LAST_FIGURE_DEG = 0.01 / 3600


def test_the_geodesic_library_gives_the_printed_example():
    forward, reverse, distance = Geod(ellps="WGS84").inv(FROM[1], FROM[0], TO[1], TO[0])
    assert distance == pytest.approx(DISTANCE_M, abs=ONE_LAST_FIGURE_M)
    assert forward % 360 == pytest.approx(FORWARD_DEG, abs=ONE_LAST_FIGURE_DEG)
    assert reverse % 360 == pytest.approx(REVERSE_DEG, abs=ONE_LAST_FIGURE_DEG)


def test_along_the_course_the_plane_has_the_printed_distance_and_nothing_to_the_side():
    """Flying inbound to the fix on the reverse azimuth's reciprocal, the other station lies straight behind.

    Cross-track tolerance: the last figure of the azimuth, 0.01 second of arc, is 2.7 mm at this distance.
    """
    frame = Frame(*FROM, inbound_true_deg=FORWARD_DEG - 180.0)
    along, cross = frame.along_cross_m(*TO)
    assert along == pytest.approx(DISTANCE_M, abs=ONE_LAST_FIGURE_M)
    assert cross == pytest.approx(0.0, abs=0.003)


def test_the_direct_problem_comes_back_to_the_printed_position():
    """A tenth of a millimetre on Earth is 1e-9 degrees; the printed seconds end at 1e-5, which is 3e-9 degrees."""
    frame = Frame(*FROM, inbound_true_deg=FORWARD_DEG - 180.0)
    latitude, longitude = frame.latitude_longitude_from_along_cross(DISTANCE_M, 0.0)
    assert latitude == pytest.approx(TO[0], abs=2e-8)
    assert longitude == pytest.approx(TO[1], abs=2e-8)


def test_course_and_distance_are_those_of_the_printed_example():
    course, distance = course_and_distance(*FROM, *TO)
    assert distance == pytest.approx(DISTANCE_M, abs=ONE_LAST_FIGURE_M)
    assert course == pytest.approx(FORWARD_DEG, abs=ONE_LAST_FIGURE_DEG)
