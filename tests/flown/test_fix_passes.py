"""Passes of the fix, drawn by hand: how near, when, and which rise of the distance parts two of them."""

import numpy as np
import pytest

from analyzer.flown.reversals.fix_passes import passes
from analyzer.units import METRES_PER_NM as NM
from tests.hand_flown import motion_of

SPEED_MPS = 60.0


def line(beside_m: float, from_m: float = 6000.0, to_m: float = -6000.0):
    """Straight and level inbound, passing beside the fix."""
    time = np.arange(0.0, (from_m - to_m) / SPEED_MPS, 1.0)
    return motion_of(time, from_m - SPEED_MPS * time, np.full(len(time), beside_m))


@pytest.mark.parametrize(("beside_nm", "counts"), [(0.95, True), (1.05, False)])
def test_a_pass_is_within_the_radius(beside_nm: float, counts: bool):
    assert bool(passes(line(beside_nm * NM), 1.0 * NM)) is counts


def test_the_closest_point_lies_between_two_moments():
    (one,) = passes(line(200.0, from_m=6030.0), NM)
    assert one.at_s == pytest.approx(100.5, abs=1e-6)
    assert one.distance_m == pytest.approx(200.0, abs=1e-6)
    assert (one.along_m, one.cross_m) == pytest.approx((0.0, 200.0), abs=1e-6)


def out_and_back(out_nm: float, side_m: float = 0.0):
    """Inbound to the fix, on for some distance beyond, and straight back over the fix; turned in no time."""
    legs = np.concatenate([np.arange(6000.0, -out_nm * NM, -60.0), np.arange(-out_nm * NM, 6000.0, 60.0)])
    time = np.arange(len(legs), dtype=float)
    return motion_of(time, legs, np.full(len(legs), side_m))


@pytest.mark.parametrize(("out_nm", "count"), [(0.7, 1), (0.9, 2)])
def test_within_the_radius_two_passes_are_parted_by_a_rise_of_8_tenths_of_a_mile(out_nm: float, count: int):
    assert len(passes(out_and_back(out_nm), 2.0 * NM)) == count


@pytest.mark.parametrize(("out_nm", "count"), [(1.06, 2), (1.5, 2)])
def test_beyond_the_radius_45_hundredths_are_enough(out_nm: float, count: int):
    assert len(passes(out_and_back(out_nm, side_m=0.5 * NM), NM)) == count


@pytest.mark.parametrize(("speed_mps", "counts"), [(24.0, 0), (26.0, 1)])
def test_a_recording_may_begin_at_the_fix_in_flight_but_not_taxiing(speed_mps: float, counts: int):
    time = np.arange(0.0, 200.0)
    assert len(passes(motion_of(time, 10.0 + speed_mps * time, np.zeros(200)), NM)) == counts


def test_too_few_moments_have_no_pass():
    assert passes(motion_of([0.0, 1.0], [100.0, 40.0], [0.0, 0.0]), NM) == ()
