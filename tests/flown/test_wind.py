"""Wind: found from turns, from columns, given, or honestly not known."""

import numpy as np
import pytest

from analyzer.flown.whole_flight import read_flight
from analyzer.given.wind import Wind, wind_from
from analyzer.planned import plan_of
from analyzer.synthesis import Flight, Sensor
from tests.benchmarks.accuracy.flights import case_of
from tests.reading_material import TABLET, flown, procedure_for


def error_mps(wind: Wind, flight: Flight) -> float:
    truth = wind_from(flight.truth.wind_from_deg_true, flight.truth.wind_speed_mps)
    return float(np.hypot(wind.east_mps - truth.east_mps, wind.north_mps - truth.north_mps))


@pytest.mark.parametrize("method", ["45/180", "80/260"])
def test_turns_show_the_wind_within_its_own_uncertainty(method: str) -> None:
    procedure = procedure_for()
    flight = flown(procedure, method)
    read = read_flight(flight.track, plan_of(procedure))
    assert read.wind is not None
    assert read.wind.covariance is not None
    one_knot_mps = 0.52
    assert error_mps(read.wind, flight) < 1.5 * one_knot_mps
    sigma = np.sqrt(read.wind.covariance[0] + read.wind.covariance[3])
    assert error_mps(read.wind, flight) < 3.0 * sigma
    assert read.wind.tas_mps == pytest.approx(55.0, abs=1.5)


def test_a_straight_flight_shows_no_wind_and_says_why() -> None:
    procedure = procedure_for()
    flight = flown(procedure, "straight in")
    read = read_flight(flight.track, plan_of(procedure))
    assert read.wind is None
    assert "turns too little" in read.wind_reason or "too much" in read.wind_reason


def test_heading_and_airspeed_columns_show_the_wind_of_a_straight_flight() -> None:
    procedure = procedure_for()
    sensor = Sensor(interval_s=1.0, white_m=3.0, columns=("tas_mps", "heading_true_deg"))
    flight = flown(procedure, "straight in", sensor)
    assert "tas_mps" in flight.track.sensors
    read = read_flight(flight.track, plan_of(procedure))
    assert read.wind is not None
    assert read.wind.method == "heading and airspeed columns"
    assert read.wind.covariance is not None
    sigma = np.sqrt(read.wind.covariance[0] + read.wind.covariance[3])
    assert error_mps(read.wind, flight) < 3.0 * sigma
    assert sigma > 1.0  # a straight flight can't show the columns' own errors: they must stay in the uncertainty


def test_a_given_wind_is_taken_as_it_is() -> None:
    procedure = procedure_for()
    flight = flown(procedure, "45/180", TABLET)
    given = wind_from(240.0, 9.0)
    read = read_flight(flight.track, plan_of(procedure), given_wind=given)
    assert read.wind is not None
    assert (read.wind.east_mps, read.wind.north_mps) == (given.east_mps, given.north_mps)
    assert read.wind.tas_mps is not None


def test_direction_and_speed_of_a_wind_are_those_it_was_made_with() -> None:
    for direction in (0.0, 45.0, 181.0, 359.0):
        wind = wind_from(direction, 12.0)
        assert wind.from_deg_true == pytest.approx(direction, abs=1e-9)
        assert wind.speed_mps == pytest.approx(12.0)
    assert wind_from(77.0, 0.0).from_deg_true == 0.0


@pytest.mark.parametrize("seed", [1716, 1756])
def test_slowing_down_on_a_straight_approach_is_no_wind(seed: int) -> None:
    """A circle through the velocities of a short arc gave 39 and 96 kt where there was none."""
    flight = case_of(seed).flight
    read = read_flight(flight.track, plan_of(flight.procedure))
    assert flight.truth.wind_speed_mps == 0.0
    assert read.wind is None
    assert "turns too little" in read.wind_reason
