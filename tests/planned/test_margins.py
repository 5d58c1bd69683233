"""Margins and excursions against shapes whose distances are worked out by hand."""

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from shapely import Point, Polygon, affinity, box

from analyzer.planned.protection.margins import line_margins_m, outside_stretches, point_margins_m

METRE = 1e-6
SQUARE = box(-1000.0, -1000.0, 1000.0, 1000.0)
#: an L: the inner corner is at the origin
HOLLOW = Polygon([(-1000, -1000), (1000, -1000), (1000, 0), (0, 0), (0, 1000), (-1000, 1000)])


def test_points_are_positive_inside_and_negative_outside():
    assert point_margins_m(SQUARE, [0, 900, 1000, 1300, 1300], [0, 0, 0, 0, 1400]) == pytest.approx(
        [1000, 100, 0, -300, -500], abs=METRE
    )


def test_lines_have_their_nearest_points_margin():
    assert line_margins_m(SQUARE, [0, 800, 800], [0, 0, 900]) == pytest.approx([200, 100], abs=METRE)
    assert line_margins_m(SQUARE, [0.0], [0.0]).size == 0


def test_a_line_counts_where_both_its_ends_are_inside():
    along, cross = [-50.0, 800.0], [800.0, -50.0]
    assert (point_margins_m(HOLLOW, along, cross) > 0).all()
    assert line_margins_m(HOLLOW, along, cross)[0] == pytest.approx(-375.0, abs=20.0)
    found = outside_stretches(HOLLOW, [0.0, 10.0], along, cross)
    assert len(found) == 1
    assert found[0].start_s == pytest.approx(10.0 * 50 / 850, abs=1e-6)
    assert found[0].end_s == pytest.approx(10.0 * 800 / 850, abs=1e-6)


def test_leaving_and_coming_back_are_cut_at_the_edge():
    found = outside_stretches(SQUARE, [0.0, 1.0, 2.0, 3.0], [900.0, 1100.0, 1200.0, 0.0], [0.0] * 4)
    assert len(found) == 1
    assert (found[0].start_s, found[0].end_s) == pytest.approx((0.5, 2.0 + 200 / 1200))
    assert (found[0].max_m, found[0].at_s) == pytest.approx((200.0, 2.0))


def test_a_path_that_starts_or_ends_outside():
    found = outside_stretches(SQUARE, [0.0, 1.0, 2.0], [1500.0, 500.0, 1500.0], [0.0] * 3)
    assert [(one.start_s, one.end_s) for one in found] == [
        pytest.approx((0.0, 0.5)), pytest.approx((1.5, 2.0)),
    ]  # fmt: skip
    assert outside_stretches(SQUARE, [0.0], [0.0], [0.0]) == ()
    always = outside_stretches(SQUARE, [0.0, 1.0], [1500.0, 1700.0], [0.0, 0.0])
    assert [(one.start_s, one.end_s, one.max_m) for one in always] == [pytest.approx((0.0, 1.0, 700.0))]


def test_standing_still_outside_is_one_stretch():
    found = outside_stretches(SQUARE, [0.0, 1.0, 2.0], [1500.0] * 3, [0.0] * 3)
    assert [(one.start_s, one.end_s) for one in found] == [(0.0, 2.0)]


@settings(deadline=None, max_examples=30)
@given(st.floats(0, 360), st.integers(1, 5), st.floats(0, 100))
def test_turning_the_world_resampling_and_shifting_the_clock_change_nothing(turn: float, cut: int, shift: float):
    time = np.arange(0.0, 10.0)
    along = 900.0 + 300.0 * np.sin(time)
    cross = 200.0 * np.cos(time)
    plain = outside_stretches(SQUARE, time, along, cross)
    moments = np.arange(0.0, 9.0 + 1e-9, 1.0 / cut)
    finer = np.interp(moments, time, along) + 1j * np.interp(moments, time, cross)
    turned = finer * np.exp(1j * np.radians(turn))
    shape = affinity.rotate(SQUARE, turn, origin=(0, 0))
    found = outside_stretches(shape, moments + shift, turned.real, turned.imag)
    assert len(found) == len(plain)
    for one, other in zip(plain, found, strict=True):
        assert other.start_s - shift == pytest.approx(one.start_s, abs=1e-6)
        assert other.end_s - shift == pytest.approx(one.end_s, abs=1e-6)
        assert other.max_m == pytest.approx(one.max_m, abs=1e-6)


@given(st.floats(-3000, 3000), st.floats(-3000, 3000))
def test_margin_of_a_disc_is_radius_less_distance(along: float, cross: float):
    disc = Point(0, 0).buffer(2000.0, quad_segs=720)
    assert point_margins_m(disc, [along], [cross])[0] == pytest.approx(2000.0 - np.hypot(along, cross), abs=0.01)
