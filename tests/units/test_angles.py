"""Courses across north, with nan, and on arrays."""

import math

import numpy as np
import pytest

from analyzer.units import (
    circular_mean_deg,
    difference_deg,
    reciprocal_deg,
    unwrap_deg,
    wrap_180,
    wrap_360,
)


@pytest.mark.parametrize(
    ("angle", "wrapped"),
    [(0.0, 0.0), (179.9, 179.9), (180.0, -180.0), (-180.0, -180.0), (190.0, -170.0), (-190.0, 170.0), (725.0, 5.0)],
)
def test_a_relative_course_lies_within_half_a_turn(angle, wrapped):
    assert wrap_180(angle) == pytest.approx(wrapped)
    assert wrap_180(np.array([angle]))[0] == pytest.approx(wrapped)


@pytest.mark.parametrize(("angle", "wrapped"), [(0.0, 0.0), (360.0, 0.0), (-10.0, 350.0), (725.0, 5.0), (-1e-15, 0.0)])
def test_a_course_lies_from_north_to_just_before_it(angle, wrapped):
    assert wrap_360(angle) == pytest.approx(wrapped)
    assert 0.0 <= wrap_360(angle) < 360.0


def test_a_change_of_course_goes_the_short_way_and_right_is_positive():
    assert difference_deg(350.0, 10.0) == pytest.approx(20.0)
    assert difference_deg(10.0, 350.0) == pytest.approx(-20.0)
    assert difference_deg(118.0, 298.0) == pytest.approx(-180.0)
    assert difference_deg(np.array([0.0, 90.0]), 45.0) == pytest.approx([45.0, -45.0])
    assert math.isnan(difference_deg(float("nan"), 10.0))


def test_the_other_way_of_a_course():
    assert reciprocal_deg(118.0) == pytest.approx(298.0)
    assert reciprocal_deg(298.0) == pytest.approx(118.0)


def test_the_mean_of_directions_about_north_is_north():
    assert circular_mean_deg([350.0, 10.0]) == pytest.approx(0.0, abs=1e-9)
    assert circular_mean_deg([350.0, 10.0, float("nan")]) == pytest.approx(0.0, abs=1e-9)
    assert circular_mean_deg([0.0, 90.0], weights=[1.0, 0.0]) == pytest.approx(0.0, abs=1e-9)
    assert math.isnan(circular_mean_deg([0.0, 180.0]))
    assert math.isnan(circular_mean_deg([]))


def test_an_unwrapped_heading_has_no_jumps():
    assert unwrap_deg([350.0, 355.0, 2.0, 10.0]) == pytest.approx([350.0, 355.0, 362.0, 370.0])
