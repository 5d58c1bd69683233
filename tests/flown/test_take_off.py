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
