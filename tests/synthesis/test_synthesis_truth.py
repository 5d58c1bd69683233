"""The truth about synthesized flights follows the published definitions, on cases that can be checked by hand."""

from dataclasses import replace

import numpy as np
import pytest

from analyzer.given.procedure import AltitudeLimit
from analyzer.reading.procedure_file.read import procedure_from_mapping, read_procedure
from analyzer.synthesis import AttemptTruth, FlightPlan, FlyingError, Sensor, fly, sector_entry
from analyzer.synthesis.aircraft import State
from analyzer.synthesis.truth_measures import (
    altitude_violations,
    beyond,
    count_crossings,
    deflections,
    established_index,
    overshoot_of,
    true_cone_radius_m,
)
from analyzer.units.factors import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT

a_step_s = 0.06
one_second_s = 1.0
one_degree_deg = 1.0

TURN = read_procedure("tests/procedures/vor_procedure_turn.toml")
HOLD = read_procedure("tests/procedures/vor_holding.toml")


def attempt_of(plan: FlightPlan, seed: int = 0) -> AttemptTruth:
    return fly(HOLD if plan.method == "hold" else TURN, plan, seed=seed).truth.attempts[0]


def straight_inbound(cross_m: np.ndarray, along_m: np.ndarray, altitude_m: float = 1000.0) -> State:
    """A flight along the course at 1 Hz and 50 m/s, track from the positions."""
    count = len(cross_m)
    ones = np.ones(count)
    return State(
        np.arange(count, dtype=float), along_m, cross_m, np.gradient(along_m), np.gradient(cross_m), 0.0 * ones,
        0.0 * ones, 50.0 * ones, altitude_m * ones,
    )  # fmt: skip


def test_a_perfect_45_180_has_all_its_phases_and_a_minute_of_offset_leg() -> None:
    attempt = attempt_of(FlightPlan("45/180", tas_mps=120.0 * MPS_PER_KNOT, offset_leg_s=60.0))
    names = [phase.name for phase in attempt.phases]
    assert names == [
        "arrival", "outbound turn", "outbound", "offset turn", "offset leg", "reversal turn", "intercept", "inbound",
        "final",
    ]  # fmt: skip
    assert attempt.timed_leg_s == pytest.approx(60.0, abs=a_step_s)
    turns = {turn.phase: turn for turn in attempt.turns}
    assert abs(turns["offset turn"].degrees) == pytest.approx(45.0, abs=one_degree_deg)
    assert abs(turns["reversal turn"].degrees) == pytest.approx(180.0, abs=one_degree_deg)
    assert turns["offset turn"].degrees * turns["reversal turn"].degrees < 0.0
    # 45 degrees at 3 deg/s and one roll-in or roll-out of 18.2 degrees of bank at 5 deg/s
    assert turns["offset turn"].end_s - turns["offset turn"].start_s == pytest.approx(15.0 + 3.6, abs=0.5)
    assert attempt.intercept_angle_deg == pytest.approx(45.0, abs=one_degree_deg)


def test_timing_from_the_turns_start_includes_the_turn() -> None:
    procedure = replace(TURN, timing_from="turn start")
    attempt = fly(procedure, FlightPlan("45/180", tas_mps=120.0 * MPS_PER_KNOT, offset_leg_s=60.0)).truth.attempts[0]
    assert attempt.timed_leg_s == pytest.approx(60.0 + 18.6, abs=0.5)


@pytest.mark.parametrize(("category", "asked_s"), [("A", 60.0), ("B", 60.0), ("C", 75.0), ("D", 75.0), ("E", 75.0)])
def test_an_icao_offset_leg_is_timed_from_the_start_of_the_turn(category: str, asked_s: float) -> None:
    """Doc 8168 Vol II, I-4-3, 3.5.4.1: 1 min (A, B) or 1 min 15 s (C to E) from the start of the turn (second hand)."""
    mapping = {
        "title": "Timed from the turn",
        "reversal": "procedure turn",
        "fix": {"latitude": 46.2, "longitude": -101.5},
        "course": {"inbound_deg": 118, "variation_deg": 7.0, "turn_side": "right"},
        "guidance": {"kind": "VOR"},
        "protection": {"criteria": "ICAO", "category": category},
    }
    procedure = procedure_from_mapping(mapping, "test")
    attempt = fly(procedure, FlightPlan("45/180", tas_mps=120.0 * MPS_PER_KNOT)).truth.attempts[0]
    turn, leg, reversal = (
        next(phase for phase in attempt.phases if phase.name == name)
        for name in ("offset turn", "offset leg", "reversal turn")
    )
    assert reversal.start_s - turn.start_s == pytest.approx(asked_s, abs=a_step_s)
    # rolled out after 15 s at 3 deg/s and one roll of 18 degrees of bank at 5 deg/s: 3.6 s
    assert leg.end_s - leg.start_s == pytest.approx(asked_s - 18.6, abs=0.5)


def test_a_charted_base_turn_is_flown_for_its_time() -> None:
    procedure = replace(
        TURN,
        reversal="teardrop",
        outbound_true_deg=(TURN.reciprocal_true_deg + 18.0) % 360.0,
        outbound_s=120.0,
        defaults=frozenset(),
    )
    attempt = fly(procedure, FlightPlan("teardrop", tas_mps=120.0 * MPS_PER_KNOT)).truth.attempts[0]
    outbound, reversal = (
        next(phase for phase in attempt.phases if phase.name == name) for name in ("outbound", "reversal turn")
    )
    assert reversal.start_s - outbound.start_s == pytest.approx(120.0, abs=1.0)


@pytest.mark.parametrize("method", ["45/180", "80/260", "teardrop", "racetrack"])
def test_phases_follow_one_another_without_gaps(method: str) -> None:
    flight = fly(TURN, FlightPlan(method, attempts=1, wind_from_deg_true=10.0, wind_speed_mps=12.0))  # type: ignore[arg-type]
    attempt = flight.truth.attempts[0]
    assert attempt.flown_as == method
    assert attempt.phases[0].start_s == 0.0
    assert attempt.phases[-1].end_s == pytest.approx(flight.track.duration_s, abs=one_second_s)
    for before, after in zip(attempt.phases, attempt.phases[1:], strict=False):
        assert after.start_s == pytest.approx(before.end_s, abs=1e-9)


def test_the_passages_are_the_closest_points() -> None:
    flight = fly(TURN, FlightPlan("teardrop"))
    state = flight.state
    distance = np.hypot(state.along_m, state.cross_m)
    for passage in flight.truth.attempts[0].passages:
        near = np.abs(state.time_s - passage.at_s) < 30.0
        assert passage.distance_m == pytest.approx(float(distance[near].min()), abs=1.0)
        assert passage.at_s == pytest.approx(float(state.time_s[near][np.argmin(distance[near])]), abs=a_step_s)


@pytest.mark.parametrize(("entry", "laps"), [("direct", 1), ("teardrop", 2), ("parallel", 3)])
def test_holds_have_their_entry_and_laps(entry: str, laps: int) -> None:
    attempt = attempt_of(FlightPlan("hold", entry=entry, laps=laps))  # type: ignore[arg-type]
    assert (attempt.flown_as, attempt.entry, attempt.entry_expected, attempt.laps) == ("hold", entry, entry, laps)
    assert len(attempt.passages) == laps + 1
    assert [passage.direction for passage in attempt.passages] == ["outbound"] + ["inbound"] * laps
    assert max(phase.lap for phase in attempt.phases) == laps


def test_the_outbound_time_of_a_hold_counts_from_abeam_the_fix() -> None:
    flight = fly(HOLD, FlightPlan("hold", entry="direct", outbound_s=60.0))
    attempt = flight.truth.attempts[0]
    reversal = next(phase for phase in attempt.phases if phase.name == "reversal turn")
    assert attempt.timed_leg_s is not None
    start = reversal.start_s - attempt.timed_leg_s
    wings_level = next(phase.start_s for phase in attempt.phases if phase.name == "outbound")
    along = float(np.interp(start, flight.state.time_s, flight.state.along_m))
    assert start == pytest.approx(wings_level, abs=a_step_s) or abs(along) < 5.0
    assert attempt.timed_leg_s == pytest.approx(60.0, abs=0.2)


def test_sectors_of_the_entry_rule() -> None:
    """AIM 5-3-8 j: 70 degree line; right turns, tracks relative to the inbound course."""
    for track, entry in [(0.0, "direct"), (109.0, "direct"), (111.0, "teardrop"), (179.0, "teardrop"),
                         (181.0, "parallel"), (-71.0, "parallel"), (-69.0, "direct")]:  # fmt: skip
        assert sector_entry(track, 1)[0] == entry
        assert sector_entry(-track, -1)[0] == entry
    assert sector_entry(106.0, 1)[1]
    assert not sector_entry(104.0, 1)[1]


def test_a_straight_in_flight_has_no_attempt() -> None:
    assert fly(TURN, FlightPlan("straight in")).truth.attempts == ()


def test_two_attempts_meet_where_the_aircraft_turns_back() -> None:
    attempts = fly(TURN, FlightPlan("45/180", attempts=2)).truth.attempts
    assert [attempt.number for attempt in attempts] == [1, 2]
    assert attempts[0].end_s == attempts[1].start_s == attempts[1].phases[0].start_s
    assert attempts[0].phases[-1].name == "final"
    assert all(not altitude.violations for attempt in attempts for altitude in attempt.altitudes)


def test_a_track_that_ends_in_the_reversal_lacks_the_phases_after_it() -> None:
    attempt = attempt_of(FlightPlan("45/180", stop_in="reversal turn", stop_after_s=20.0))
    assert attempt.phases[-1].name == "reversal turn"
    assert attempt.phases[-1].end_s - attempt.phases[-1].start_s == pytest.approx(20.0, abs=one_second_s)
    assert not attempt.complete
    assert len(attempt.passages) == 1


@pytest.mark.parametrize(
    ("error", "segment", "worst_m"),
    [(FlyingError("early descent", 60.0), "reversal", 60.0), (FlyingError("level bust", 45.0), "reversal", 45.0)],
)
def test_altitude_errors_have_their_size(error: FlyingError, segment: str, worst_m: float) -> None:
    attempt = attempt_of(FlightPlan("45/180", errors=(error,)))
    found = {altitude.segment: altitude.violations for altitude in attempt.altitudes}
    assert len(found[segment]) == 1  # type: ignore[index]
    assert found[segment][0].worst_m == pytest.approx(worst_m, rel=0.25)  # type: ignore[index]


def test_other_errors_show_in_the_truth() -> None:
    plain = attempt_of(FlightPlan("45/180"))
    long = attempt_of(FlightPlan("45/180", errors=(FlyingError("long timing", 30.0),)))
    assert long.timed_leg_s == pytest.approx((plain.timed_leg_s or 0.0) + 30.0, abs=a_step_s)
    late = attempt_of(FlightPlan("45/180", errors=(FlyingError("late turn", 15.0),)))
    assert late.turns[0].start_s == pytest.approx(plain.turns[0].start_s + 15.0, abs=a_step_s)
    far = attempt_of(FlightPlan("45/180", errors=(FlyingError("past the distance limit", 1000.0),)))
    assert len(far.distance_excursions) == 1
    assert far.distance_excursions[0].worst_m == pytest.approx(far.max_distance_m - 10.0 * METRES_PER_NM, abs=1.0)
    over = attempt_of(FlightPlan("45/180", errors=(FlyingError("overshoot", 700.0),)))
    assert over.overshoot_m == pytest.approx(700.0, rel=0.25)
    assert over.crossings == 1
    wrong = attempt_of(FlightPlan("45/180", errors=(FlyingError("wrong side"),)))
    assert wrong.wrong_side
    assert wrong.turns[1].degrees * plain.turns[1].degrees < 0.0
    never = attempt_of(FlightPlan("45/180", outbound_s=60.0, errors=(FlyingError("never established", 0.8),)))
    assert never.established == (None,)
    assert not any(phase.name == "inbound" for phase in never.phases)


def test_established_needs_ten_seconds_and_the_cone_breaks_nothing() -> None:
    count = 60
    along = 3000.0 - 50.0 * np.arange(count, dtype=float)
    cross = np.zeros(count)
    state = straight_inbound(cross, along)
    needle = np.full(count, 0.2)
    nowhere = np.zeros(count, dtype=bool)
    assert established_index(state, needle, nowhere, 0, count - 1, True) == 0
    needle[:20] = 0.6
    assert established_index(state, needle, nowhere, 0, count - 1, True) == 20
    needle[25] = 0.6  # within 10 s: does not stay
    assert established_index(state, needle, nowhere, 0, count - 1, True) == 26
    cone = nowhere.copy()
    cone[25] = True
    assert established_index(state, needle, cone, 0, count - 1, True) == 20
    needle[:55] = 0.6  # 5 s before the fix: enough if the fix is reached, not if the track ends
    assert established_index(state, needle, nowhere, 0, count - 1, True) == 55
    assert established_index(state, needle, nowhere, 0, count - 1, False) is None


def test_needle_and_cone_of_a_station_at_the_fix() -> None:
    along = np.array([10_000.0, 10_000.0, -10_000.0])
    cross = np.array([1763.27, -1763.27, 1763.27])  # 10 degrees off
    state = straight_inbound(cross, along, altitude_m=TURN.fix.elevation_m or 0.0)
    assert np.allclose(deflections(state, TURN), [1.0, -1.0, 1.0], atol=1e-4)
    high = straight_inbound(cross, along, altitude_m=(TURN.fix.elevation_m or 0.0) + 1000.0)
    assert np.allclose(true_cone_radius_m(high, TURN), 1191.75, atol=0.1)  # 1000 m times tan 50 deg
    unknown = replace(TURN, fix=replace(TURN.fix, elevation_m=None))
    guidance = replace(unknown.guidance, station=unknown.fix)
    assert np.all(true_cone_radius_m(high, replace(unknown, guidance=guidance)) == 0.0)


def test_crossings_ignore_small_excursions_and_the_cone() -> None:
    needle = np.array([0.5, 0.05, -0.05, 0.05, -0.5, 0.5, -0.5])
    outside = np.zeros(7, dtype=bool)
    assert count_crossings(needle, outside) == 3
    cone = np.array([False] * 5 + [True] * 2)
    assert count_crossings(needle, cone) == 1


def test_overshoot_counts_from_the_first_crossing_on_the_far_side_only() -> None:
    assert overshoot_of(np.array([300.0, 100.0, -50.0, -120.0, 10.0]), 1) == 120.0
    assert overshoot_of(np.array([300.0, 100.0, 20.0]), 1) == 0.0
    assert overshoot_of(np.array([-300.0, -100.0, 80.0, -10.0]), -1) == 80.0


def test_stretches_beyond_a_limit_start_where_it_is_crossed() -> None:
    found = beyond(np.arange(6.0), np.array([-1.0, 1.0, 3.0, -1.0, -2.0, -2.0]))
    assert [(one.start_s, one.end_s, one.worst_m) for one in found] == [(0.5, 2.75, 3.0)]


def test_an_altitude_that_is_still_being_reached_is_no_violation() -> None:
    feet = METRES_PER_FOOT
    limit = AltitudeLimit("reversal", "at", 4000.0 * feet, 4000.0 * feet)
    time = np.arange(8.0)
    altitude = np.array([5000.0, 4500.0, 4090.0, 4010.0, 4150.0, 4000.0, 3850.0, 4000.0]) * feet
    found = altitude_violations(time, altitude, limit, lands=False)
    assert [round(one.worst_m / feet) for one in found] == [150, 150]
    assert altitude_violations(time[:2], altitude[:2], limit, lands=False) == ()
    minimum = AltitudeLimit("final", "at or above", 3000.0 * feet, None)
    down = np.array([3200.0, 2900.0, 3100.0, 3050.0, 2500.0, 2000.0, 1900.0, 1900.0]) * feet
    assert len(altitude_violations(time, down, minimum, lands=False)) == 2
    assert len(altitude_violations(time, down, minimum, lands=True)) == 1


def test_the_truth_counts_from_the_first_recorded_moment() -> None:
    plan = FlightPlan("45/180")
    exact = fly(TURN, plan, seed=3)
    late = fly(TURN, plan, seed=3, sensor=Sensor(interval_s=2.0, interval_jitter_s=0.4))
    assert late.recording.first_s > 0.0
    moved = exact.truth.attempts[0].passages[0].at_s - late.truth.attempts[0].passages[0].at_s
    assert moved == pytest.approx(late.recording.first_s, abs=1e-6)
