"""Homing to a beacon and positions near a station, on paths that are stepped second by second in a steady wind."""

from dataclasses import replace

import numpy as np
import pytest

from analyzer.flown.flight import Flight
from analyzer.given.plane import frame_of
from analyzer.given.procedure import Guidance
from analyzer.given.wind import wind_from
from analyzer.judged.measurements.homing import measure_homing
from analyzer.judged.measurements.near_station import measure_near_station
from analyzer.planned import Plan
from analyzer.units.factors import METRES_PER_NM as NM, MPS_PER_KNOT as KT
from tests.hand_flown import FIX, INBOUND_TRUE_DEG, SPEED_MPS, attempt, flight_of, motion_of, procedure

BEACON = procedure(guidance=Guidance("NDB", FIX, 10.0, None))
PLAN = Plan(BEACON, frame_of(BEACON))
METRES = 15.0


def _in_wind(across_kt: float, correction_deg: float | None) -> Flight:
    """From 5 NM out to a mile before the beacon, the wind from the left; nose on the beacon, or corrected."""
    time, along, cross = [0.0], [5.0 * NM], [0.0]
    while np.hypot(along[-1], cross[-1]) > 1.05 * NM and time[-1] < 400.0:
        bearing = np.arctan2(-cross[-1], along[-1])  # relative to the inbound course
        heading = bearing if correction_deg is None else np.radians(-correction_deg)
        along.append(along[-1] - SPEED_MPS * np.cos(heading))
        cross.append(cross[-1] + SPEED_MPS * np.sin(heading) + across_kt * KT)
        time.append(time[-1] + 1.0)
    return flight_of(motion_of(time, along, cross), wind=wind_from(INBOUND_TRUE_DEG - 90.0, across_kt * KT, SPEED_MPS))


@pytest.mark.parametrize("across_kt", [18.0, 25.0])
def test_the_nose_on_the_beacon_in_a_wind_across_is_homing(across_kt: float) -> None:
    flight = _in_wind(across_kt, None)
    found = measure_homing(flight, PLAN, 0.0, float(flight.motion.time_s[-1]))
    assert found is not None
    # carried to the right, the beacon comes round to the left
    assert found.turned_deg < -6.0


def test_the_drift_held_is_tracking_and_no_wind_needs_none() -> None:
    """25 kt across at 60 m/s ask for 12.4 degrees."""
    held = _in_wind(25.0, 12.4)
    assert measure_homing(held, PLAN, 0.0, float(held.motion.time_s[-1])) is None
    calm = _in_wind(2.0, None)
    assert measure_homing(calm, PLAN, 0.0, float(calm.motion.time_s[-1])) is None


def test_a_vor_has_a_needle_and_is_not_asked() -> None:
    flight = _in_wind(25.0, None)
    vor = procedure()
    assert measure_homing(flight, Plan(vor, frame_of(vor)), 0.0, float(flight.motion.time_s[-1])) is None


def test_near_the_station_the_largest_distance_from_the_course_counts() -> None:
    """Beside the course by 300 m until a mile and a half out, by 150 m from 1.15 NM on: within a mile it was 150 m."""
    time = np.arange(0.0, 93.0)
    along = 3.0 * NM - SPEED_MPS * time
    cross = np.interp(along, [0.0, 1.15 * NM, 1.5 * NM], [150.0, 150.0, 300.0])
    flight = flight_of(motion_of(time, along, cross))
    made = attempt([("reversal turn", 0.0, 1.0), ("inbound", 1.0, 92.0)], [(0.0, "outbound"), (92.0, "inbound")], [1.0])
    vor = procedure()
    found = measure_near_station(made, flight, Plan(vor, frame_of(vor)), 0.0, 92.0)
    assert found is not None
    assert found.off_m == pytest.approx(150.0, abs=METRES)
    assert found.established_s is None
    lost = replace(made, established_s=(None,))
    # 150 m are more than the 0.075 NM that establish by position
    assert measure_near_station(lost, flight, Plan(vor, frame_of(vor)), 0.0, 92.0) is None
