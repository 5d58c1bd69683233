"""What is not a reversal's first pass: taxiing, and the climb from a take-off near the fix."""

import numpy as np
import pytest

from analyzer.flown.reversals.fix_passes import Pass
from analyzer.flown.reversals.take_off import passes_in_flight, take_off_s
from analyzer.given import AltitudeLimit
from analyzer.units import METRES_PER_FOOT as FT, MPS_PER_KNOT as KT
from tests.hand_flown import motion_of, procedure

PLAIN = procedure(altitudes=(AltitudeLimit("reversal", "at or above", 4600 * FT, None),))


def speeding(speeds_kt: np.ndarray):
    """A motion along the course at these speeds, one a second."""
    along = np.concatenate([[0.0], np.cumsum(speeds_kt[:-1] * KT)])
    return motion_of(np.arange(float(len(speeds_kt))), along, np.zeros(len(speeds_kt)))


@pytest.mark.parametrize(("taxi_kt", "begins_on_ground"), [(10.0, True), (39.0, True), (41.0, False)])
def test_a_track_that_begins_slower_than_40_knots_begins_on_the_ground(taxi_kt: float, begins_on_ground: bool):
    motion = speeding(np.concatenate([np.full(120, taxi_kt), np.full(200, 90.0)]))
    found = take_off_s(motion)
    assert (found is not None) is begins_on_ground
    if found is not None:
        assert found == pytest.approx(120.0, abs=2.0)


@pytest.mark.parametrize(("fast_s", "took_off"), [(28, False), (33, True)])
def test_30_seconds_of_speed_are_a_take_off_and_less_is_a_rejected_one(fast_s: int, took_off: bool):
    motion = speeding(np.concatenate([np.full(100, 10.0), np.full(fast_s, 70.0), np.full(100, 10.0)]))
    assert (take_off_s(motion) is not None) is took_off


def test_a_pass_at_taxi_speed_begins_nothing():
    motion = speeding(np.concatenate([np.full(100, 20.0), np.full(300, 90.0)]))
    slow, fast = Pass(50.0, 100.0, 0.0, 0.0), Pass(350.0, 100.0, 0.0, 0.0)
    assert passes_in_flight((slow, fast), motion, None, PLAIN) == (fast,)


@pytest.mark.parametrize(("climbing", "counts"), [(True, False), (False, True)])
def test_a_pass_in_the_climb_below_the_procedures_altitudes_begins_nothing(climbing: bool, counts: bool):
    """Two minutes after take-off at 2500 ft, 2100 ft under the procedure's lowest: climbing or long level."""
    motion = speeding(np.concatenate([np.full(100, 10.0), np.full(400, 90.0)]))
    rise = np.clip(motion.time_s - 100.0, 0.0, None) * 500.0 / 60.0
    altitude = (1500.0 + (rise if climbing else np.minimum(rise, 500.0))) * FT
    one = Pass(220.0, 100.0, 0.0, 0.0)
    assert bool(passes_in_flight((one,), motion, altitude, PLAIN)) is counts


@pytest.mark.parametrize(("after_s", "counts"), [(170.0, False), (190.0, True)])
def test_without_altitudes_three_minutes_are_the_climb(after_s: float, counts: bool):
    motion = speeding(np.concatenate([np.full(100, 10.0), np.full(400, 90.0)]))
    one = Pass(100.0 + after_s, 100.0, 0.0, 0.0)
    assert bool(passes_in_flight((one,), motion, None, PLAIN)) is counts


def in_climb(altitude_ft: object, at_s: float, asked: object = PLAIN) -> bool:
    """Whether a pass is dropped of a flight that takes off at 100 s and has these altitudes, a moment each second."""
    motion = speeding(np.concatenate([np.full(100, 10.0), np.full(400, 90.0)]))
    altitude = np.broadcast_to(np.asarray(altitude_ft, dtype=float), motion.time_s.shape) * FT
    return not passes_in_flight((Pass(at_s, 100.0, 0.0, 0.0),), motion, altitude, asked)  # type: ignore[arg-type]


SINCE_S = np.clip(np.arange(500.0) - 100.0, 0.0, None)


@pytest.mark.parametrize(("after_s", "dropped"), [(58.0, True), (63.0, False)])
def test_for_a_minute_after_take_off_no_pass_counts(after_s: float, dropped: bool):
    """At 6,000 ft, above everything, whatever the altimeter may say."""
    assert in_climb(6000.0, 100.0 + after_s) is dropped


@pytest.mark.parametrize(("feet_a_minute", "dropped"), [(205.0, True), (195.0, False)])
def test_a_climb_has_200_ft_a_minute(feet_a_minute: float, dropped: bool):
    assert in_climb(1500.0 + SINCE_S * feet_a_minute / 60.0, 250.0) is dropped


@pytest.mark.parametrize(("at_ft", "dropped"), [(4290.0, True), (4310.0, False)])
def test_300_ft_under_the_lowest_altitude_the_climb_is_over(at_ft: float, dropped: bool):
    """500 ft/min, so that the pass at 300 s is at this altitude; 4,600 ft are the procedure's lowest."""
    assert in_climb(at_ft + (SINCE_S - 200.0) * 500.0 / 60.0, 300.0) is dropped


@pytest.mark.parametrize(("at_ft", "dropped"), [(3480.0, True), (3520.0, False)])
def test_without_altitudes_of_the_procedure_it_is_over_2000_ft_above_the_field(at_ft: float, dropped: bool):
    """From 1,500 ft, in 200 s."""
    altitude = 1500.0 + SINCE_S * (at_ft - 1500.0) / 200.0
    assert in_climb(altitude, 300.0, procedure(altitudes=())) is dropped


@pytest.mark.parametrize(("down_ft", "dropped"), [(140.0, True), (160.0, False)])
def test_a_descent_of_150_ft_ends_the_climb_from_take_off(down_ft: float, dropped: bool):
    """Up to 2,500 ft, down by so much, and up again past the fix at 300 s."""
    altitude = np.interp(SINCE_S, [0.0, 100.0, 120.0, 400.0], [1500.0, 2500.0, 2500.0 - down_ft, 4500.0])
    assert in_climb(altitude, 300.0) is dropped
