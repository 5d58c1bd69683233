"""Rates of descent and the height above the runway, on a final of straight lines."""

import numpy as np
import pytest

from analyzer.flown.altitude.smoothed import AltitudeProfile
from analyzer.given.plane import frame_of
from analyzer.given.procedure import AltitudeLimit, Place
from analyzer.judged.measurements.descent import measure_descent
from analyzer.judged.measurements.ground import Ground
from analyzer.judged.measurements.values import Descent
from analyzer.planned import Plan
from analyzer.units.factors import METRES_PER_FOOT as FOOT, METRES_PER_NM as NM
from tests.hand_flown import SPEED_MPS, attempt, flight_of, motion_of, procedure

FEET_A_MINUTE = FOOT / 60.0
#: the runway lies 5 NM behind the fix, 1900 ft high; the minimum is 2500 ft
PLACE = frame_of(procedure()).latitude_longitude_from_along_cross(-5.0 * NM, 0.0)
ASKED = procedure(
    runway=Place(float(PLACE[0]), float(PLACE[1]), "12", 1900.0 * FOOT),
    altitudes=(AltitudeLimit("final", "at or above", 2500.0 * FOOT, None),),
)
SECONDS = 5.0 * NM / SPEED_MPS  # 154 s from the fix to the threshold
MADE = attempt([("inbound", 0.0, 20.0), ("final", 20.0, 20.0 + SECONDS)], [(0.0, "outbound"), (20.0, "inbound")], [1.0])


def measured(corners: list[tuple[float, float]]) -> Descent:
    """Fly from 20 s before the fix to the threshold; corners are (seconds after the fix, feet)."""
    time = np.arange(0.0, 20.0 + SECONDS, 0.5)
    motion = motion_of(time, (20.0 - time) * SPEED_MPS, 0.0 * time)
    altitude = np.interp(time - 20.0, *zip(*corners, strict=True)) * FOOT
    flight = flight_of(motion, profile=AltitudeProfile(time, altitude, np.full(time.shape, 0.01), 0.01))
    found = measure_descent(MADE, flight, Plan(ASKED, frame_of(ASKED)), Ground(20.0 + SECONDS))
    assert found is not None
    return found


def test_the_fastest_10_s_of_the_final_and_of_its_last_1000_feet():
    """1800 ft/min for 20 s from 4000 ft; 900 ft/min from 2800 ft on, 900 ft above the runway."""
    found = measured([(0, 4000), (20, 3400), (60, 2800), (100, 2200), (150, 2200)])
    assert found.final is not None
    assert found.final.rate_mps / FEET_A_MINUTE == pytest.approx(1800.0, abs=1.0)
    assert found.final.at_s == pytest.approx(20.0, abs=11.0)
    assert found.low is not None
    assert found.low.rate_mps / FEET_A_MINUTE == pytest.approx(900.0, abs=1.0)


def test_a_descent_of_5_s_is_no_rate():
    """2400 ft/min for 5 s are 200 ft in 10 s: 1200 ft/min."""
    found = measured([(0, 3000), (20, 3000), (25, 2800), (150, 2800)])
    assert found.final is not None
    assert found.final.rate_mps / FEET_A_MINUTE == pytest.approx(1200.0, abs=30.0)


@pytest.mark.parametrize(("kept_ft", "too_high"), [(2500.0, False), (2630.0, False), (2700.0, True), (3800.0, True)])
def test_at_the_minimum_and_100_ft_above_it_nobody_is_too_high(kept_ft: float, too_high: bool):
    """Kept to the threshold in 40 ft of doubt: 2639 ft are the last that are surely not beyond 2600."""
    found = measured([(0, 3800), (60, kept_ft), (200, kept_ft)])
    assert (found.too_high is not None) is too_high


def test_a_steep_but_possible_path_and_one_that_is_not():
    """400 ft/NM to 50 ft over the threshold from 5 NM: 3950 ft at the fix; 3800 ft there and straight down is one."""
    assert measured([(0, 3800), (SECONDS, 1950)]).too_high is None
    late = measured([(0, 3800), (60, 3800), (SECONDS, 2950)]).too_high
    assert late is not None
    # 3800 - 40 ft of doubt - 1950 ft are 400 ft/NM for 4.5 NM
    assert late.distance_m / NM == pytest.approx(4.5, abs=0.1)
