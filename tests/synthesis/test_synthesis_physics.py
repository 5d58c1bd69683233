"""The synthesized aircraft obeys the formulas of turning flight, and the world's directions are all alike."""

from dataclasses import replace
from math import atan, degrees, radians, tan

import numpy as np
import pytest

from analyzer.given.procedure import Procedure
from analyzer.reading.procedure_file.read import read_procedure
from analyzer.synthesis import HUMAN, Flight, FlightPlan, Sensor, fly
from analyzer.units.factors import GRAVITY_MPS2, METRES_PER_NM, MPS_PER_KNOT

half_a_metre_m = 0.5
one_percent = 0.01
rotation_error_m = 0.01
mirror_error_m = 0.5


def procedure_turn() -> Procedure:
    return read_procedure("tests/procedures/vor_procedure_turn.toml")


def holding() -> Procedure:
    return read_procedure("tests/procedures/vor_holding.toml")


def in_the_middle_of(flight: Flight, phase_name: str) -> slice:
    """Indices of the state in the middle of a turn, wings banked steadily."""
    phase = next(phase for phase in flight.truth.attempts[0].phases if phase.name == phase_name)
    start, end = np.searchsorted(flight.state.time_s, [phase.start_s + 8.0, phase.end_s - 8.0])
    return slice(int(start), int(end))


@pytest.mark.parametrize("knots", [90.0, 120.0, 160.0])
def test_a_standard_rate_turn_has_rate_and_radius_of_the_formulas(knots: float) -> None:
    """Rate g tan(bank) / V and radius V^2 / (g tan(bank)): FAA-H-8083-15B; at 3 deg/s the radius is V / rate."""
    flight = fly(procedure_turn(), FlightPlan("45/180", tas_mps=knots * MPS_PER_KNOT))
    turn = in_the_middle_of(flight, "reversal turn")
    state = flight.state
    rate = np.gradient(state.heading_deg[turn], state.time_s[turn])
    assert abs(float(np.median(np.abs(rate))) / 3.0 - 1.0) < one_percent
    speed = knots * MPS_PER_KNOT
    bank = abs(float(np.median(state.bank_deg[turn])))
    assert abs(bank - degrees(atan(speed * radians(3.0) / GRAVITY_MPS2))) < 0.01
    along, cross = state.along_m[turn], state.cross_m[turn]
    design = np.column_stack([2.0 * along, 2.0 * cross, np.ones(len(along))])
    centre = np.linalg.lstsq(design, along**2 + cross**2, rcond=None)[0]
    radius = float(np.sqrt(centre[2] + centre[0] ** 2 + centre[1] ** 2))
    assert abs(radius - speed**2 / (GRAVITY_MPS2 * tan(radians(bank)))) < half_a_metre_m


def test_the_bank_is_capped_and_the_roll_rate_kept() -> None:
    pilot = replace(FlightPlan("45/180").pilot, max_bank_deg=25.0, roll_rate_deg_s=4.0)
    state = fly(procedure_turn(), FlightPlan("45/180", tas_mps=200.0 * MPS_PER_KNOT, pilot=pilot)).state
    assert float(np.max(np.abs(state.bank_deg))) == pytest.approx(25.0, abs=1e-6)
    roll = np.abs(np.diff(state.bank_deg) / np.diff(state.time_s))
    assert float(np.max(roll)) == pytest.approx(4.0, abs=1e-6)


def test_the_wind_carries_the_aircraft_along() -> None:
    flight = fly(procedure_turn(), FlightPlan("80/260", wind_from_deg_true=200.0, wind_speed_mps=12.0, pilot=HUMAN))
    state, course = flight.state, flight.procedure.inbound_true_deg
    heading = np.radians(state.heading_deg)
    wind_along = state.along_mps + state.tas_mps * np.cos(heading)
    wind_cross = state.cross_mps - state.tas_mps * np.sin(heading)
    blows_to = radians(200.0 + 180.0 - course)
    assert np.allclose(wind_along, -12.0 * np.cos(blows_to), atol=1e-6)
    assert np.allclose(wind_cross, 12.0 * np.sin(blows_to), atol=1e-6)
    moved = np.gradient(state.along_m, state.time_s)
    assert float(np.max(np.abs(moved - state.along_mps)[5:-5])) < 0.05  # the path is the velocity's integral


@pytest.mark.parametrize("method", ["45/180", "80/260", "teardrop", "racetrack"])
def test_a_left_procedure_turn_is_the_mirror_of_a_right_one(method: str) -> None:
    right = procedure_turn()
    course = right.inbound_true_deg
    left = replace(right, turn_side="left", offset_true_deg=(2.0 * course - right.offset_true_deg) % 360.0)
    side = 160.0 if method != "racetrack" else 20.0
    plans = [
        FlightPlan(
            method,  # type: ignore[arg-type]
            arrival_track_true_deg=course + sign * side,
            wind_from_deg_true=course + sign * 70.0,
            wind_speed_mps=10.0,
        )
        for sign in (1.0, -1.0)
    ]
    one, other = fly(right, plans[0]), fly(left, plans[1])
    assert len(one.state) == len(other.state)
    assert float(np.max(np.abs(one.state.along_m - other.state.along_m))) < mirror_error_m
    assert float(np.max(np.abs(one.state.cross_m + other.state.cross_m))) < mirror_error_m
    phases = [
        [(phase.name, round(phase.start_s, 3)) for phase in flight.truth.attempts[0].phases] for flight in (one, other)
    ]
    assert phases[0] == phases[1]


@pytest.mark.parametrize("entry", ["direct", "teardrop", "parallel"])
def test_a_hold_turned_to_another_course_is_the_same_hold(entry: str) -> None:
    first = holding()
    turned = replace(first, inbound_true_deg=(first.inbound_true_deg + 137.0) % 360.0)
    states = []
    for procedure in (first, turned):
        plan = FlightPlan(
            "hold",
            entry=entry,  # type: ignore[arg-type]
            laps=2,
            wind_from_deg_true=procedure.inbound_true_deg + 40.0,
            wind_speed_mps=9.0,
            pilot=HUMAN,
        )
        states.append(fly(procedure, plan, seed=4).state)
    assert len(states[0]) == len(states[1])
    assert float(np.max(np.abs(states[0].along_m - states[1].along_m))) < rotation_error_m
    assert float(np.max(np.abs(states[0].cross_m - states[1].cross_m))) < rotation_error_m


def test_the_same_seed_gives_the_same_flight_and_another_seed_another() -> None:
    plan = FlightPlan("teardrop", pilot=HUMAN)
    sensor = Sensor(white_m=3.0, wander_m=2.0, outlier_share=0.01, gaps=1)
    one, same, other = (fly(procedure_turn(), plan, seed=seed, sensor=sensor).track for seed in (1, 1, 2))
    assert np.array_equal(one.latitude_deg, same.latitude_deg)
    assert np.array_equal(one.time_s, same.time_s)
    assert len(one) != len(other) or not np.array_equal(one.latitude_deg, other.latitude_deg)


def test_an_exact_recording_lies_on_the_flown_path_across_the_date_line_and_in_the_far_north() -> None:
    procedure = holding()
    far = replace(procedure, fix=replace(procedure.fix, latitude_deg=70.0, longitude_deg=179.999))
    flight = fly(far, FlightPlan("hold", arrival_m=5.0 * METRES_PER_NM))
    assert float(np.min(flight.track.longitude_deg)) < -179.0
    assert float(np.max(flight.track.longitude_deg)) > 179.0
    from analyzer.given.plane import frame_of

    along, cross = frame_of(far).along_cross_m(flight.track.latitude_deg, flight.track.longitude_deg)
    expected = np.interp(flight.track.time_s, flight.state.time_s, flight.state.along_m)
    assert float(np.max(np.abs(along - expected))) < rotation_error_m
    expected = np.interp(flight.track.time_s, flight.state.time_s, flight.state.cross_m)
    assert float(np.max(np.abs(cross - expected))) < rotation_error_m
