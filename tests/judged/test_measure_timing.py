"""Timed legs, turns, speeds, laps and legs on flights made by hand."""

from dataclasses import replace

import numpy as np
import pytest

from analyzer.flown.altitude.smoothed import AltitudeProfile
from analyzer.flown.attempt import Attempt
from analyzer.flown.motion.motion import Motion
from analyzer.given.plane import frame_of
from analyzer.given.procedure import Guidance
from analyzer.given.track import Track
from analyzer.given.wind import wind_from
from analyzer.judged.measurements.laps import measure_laps
from analyzer.judged.measurements.legs import measure_legs
from analyzer.judged.measurements.speed import measure_speed
from analyzer.judged.measurements.timing import measure_timing
from analyzer.judged.measurements.turns import measure_turns
from analyzer.planned import Plan
from analyzer.planned.solver.solve import Asked, solve
from analyzer.planned.solver.values import SolvedPlan
from analyzer.units.factors import MPS_PER_KNOT
from tests.hand_flown import (
    FIX,
    INBOUND_TRUE_DEG,
    SPEED_MPS,
    attempt,
    flight_of,
    flown,
    forty_five_one_eighty,
    procedure,
    turn,
)

SECONDS = 0.05
DEGREES = 0.05
MPS = 0.05
HOLD = procedure(reversal="holding", turn_side="right", outbound_s=60.0)
FRAME = frame_of(HOLD)


def track(seconds: float = 500.0, **sensors: object) -> Track:
    time = np.arange(0.0, seconds)
    columns = {
        name: value(time) if callable(value) else np.full(time.shape, float(value))  # type: ignore[arg-type]
        for name, value in sensors.items()
    }
    return Track("hand", time, np.full(time.shape, 46.0), np.full(time.shape, -101.0), sensors=columns)


def hold(turn_s: float = 60.0, outbound_s: float = 60.0) -> tuple[Motion, Attempt, list[float]]:
    """Two circuits to the right: over the fix inbound, turn, outbound, turn, inbound."""
    lap = [(turn_s, 180.0), (outbound_s, 0.0), (turn_s, 180.0), (outbound_s, 0.0)]
    motion, ends = flown([*lap, *lap], track_deg=0.0)
    names = ["outbound turn", "outbound", "reversal turn", "inbound"]
    phases = [
        (name, start, end, 1 + index // 4)
        for index, (name, start, end) in enumerate(zip(names * 2, [0.0, *ends[:-1]], ends, strict=True))
    ]
    made = attempt(
        phases,  # type: ignore[arg-type]
        [(0.0, "outbound"), (ends[3], "inbound"), (ends[7], "inbound")],
        [ends[2], ends[6]],
        flown_as="hold",
    )
    return motion, made, ends


class TestTimedLeg:
    def test_offset_leg_of_a_45_180_from_wings_level(self):
        motion, made, ends = forty_five_one_eighty()
        found = measure_timing(made, motion, procedure(), None)
        assert (found.leg, found.lap) == ("offset leg", 1)
        assert found.leg_s == pytest.approx(60.0)
        assert found.start_s == pytest.approx(ends[1])
        assert (found.planned_s, found.wind_adjusted_s) == (60.0, None)
        assert found.sigma_s > 0.0

    def test_offset_leg_from_the_start_of_the_turn(self):
        motion, made, ends = forty_five_one_eighty()
        found = measure_timing(made, motion, procedure(timing_from="turn start"), None)
        assert found.leg_s == pytest.approx(75.0)
        assert found.start_s == pytest.approx(ends[0])

    def test_outbound_leg_of_a_hold_of_the_last_lap(self):
        motion, made, ends = hold()
        found = measure_timing(made, motion, HOLD, None)
        assert (found.leg, found.lap) == ("outbound", 2)
        assert found.leg_s == pytest.approx(60.0, abs=SECONDS)
        assert found.start_s == pytest.approx(ends[4])

    def test_from_abeam_the_fix_where_that_is_later_than_wings_level(self):
        # the circuit lies 600 m farther back: wings level is 600 m before abeam, 10 s of flight
        motion, made, ends = hold()
        back = replace(motion, along_m=motion.along_m - 600.0)
        found = measure_timing(made, back, HOLD, None)
        assert found.start_s == pytest.approx(ends[4] + 10.0, abs=SECONDS)
        assert found.leg_s == pytest.approx(50.0, abs=SECONDS)

    def test_never_abeam_or_never_turned_back_is_not_timed(self):
        motion, made, _ = hold()
        assert measure_timing(made, replace(motion, along_m=motion.along_m - 9000.0), HOLD, None) is None
        cut = replace(made, phases=tuple(phase for phase in made.phases if phase.name != "reversal turn"))
        assert measure_timing(cut, motion, HOLD, None) is None

    def test_other_methods_and_legs_by_distance_are_not_timed(self):
        motion, made, _ = hold()
        assert measure_timing(replace(made, flown_as="racetrack"), motion, HOLD, None) is None
        by_distance = replace(HOLD, outbound_s=None, outbound_m=7408.0)
        assert measure_timing(made, motion, by_distance, None) is None

    def test_the_wind_asks_for_what_the_plan_does(self):
        motion, made, _ = hold()
        headwind_outbound = wind_from(INBOUND_TRUE_DEG + 180.0, 10.0, SPEED_MPS)
        solved = solve(Asked(HOLD, SPEED_MPS, headwind_outbound, "hold"))
        found = measure_timing(made, motion, HOLD, solved)
        assert isinstance(solved, SolvedPlan)
        assert found.wind_adjusted_s == solved.timed_s("outbound")
        assert found.wind_adjusted_s > 60.0
        calm = solve(Asked(HOLD, SPEED_MPS, wind_from(0.0, 0.0, SPEED_MPS), "hold"))
        assert measure_timing(made, motion, HOLD, calm).wind_adjusted_s == pytest.approx(60.0)
        storm = solve(Asked(HOLD, SPEED_MPS, wind_from(INBOUND_TRUE_DEG + 90.0, 70.0), "hold"))
        assert measure_timing(made, motion, HOLD, storm).wind_adjusted_s is None


class TestTurns:
    def test_bank_and_radius_of_a_standard_rate_turn(self):
        motion, made, _ = forty_five_one_eighty()
        found = measure_turns(made, flight_of(motion))
        assert [(one.phase, one.lap) for one in found] == [
            ("offset turn", 1), ("reversal turn", 1), ("intercept", 1),
        ]  # fmt: skip
        assert found[1].mean_bank_deg == pytest.approx(np.degrees(np.arctan(60.0 * np.radians(3.0) / 9.80665)))
        assert found[1].radius_m == pytest.approx(60.0 / np.radians(3.0))
        assert 0.0 < found[1].rate_sigma_deg_s < 0.2
        assert 0.0 < found[1].bank_sigma_deg < 1.5

    def test_no_airspeed_no_bank(self):
        motion, made, _ = forty_five_one_eighty()
        blind = replace(made, turns=(("reversal turn", 1, turn(165.0, 225.0, -180.0, None)),))
        (one,) = measure_turns(blind, flight_of(motion))
        assert (one.mean_bank_deg, one.radius_m, one.bank_sigma_deg) == (None, None, None)
        assert one.rate_sigma_deg_s > 0.0
        (one,) = measure_turns(blind, flight_of(motion, track(tas_mps=60.0)))
        assert one.radius_m == pytest.approx(60.0 / np.radians(3.0))


class TestSpeed:
    def test_indicated_before_true_before_groundspeed(self):
        motion, made, _ = forty_five_one_eighty()
        rule = procedure(max_ias_mps=200 * MPS_PER_KNOT)
        both = track(ias_mps=55.0, tas_mps=60.0)
        one = measure_speed(made, flight_of(motion, both), Plan(rule, FRAME))
        assert (one.kind, one.estimated_ias_mps) == ("ias", None)
        assert one.max_mps == pytest.approx(55.0)
        assert (one.low_mps, one.high_mps) == (pytest.approx(55.0), pytest.approx(55.0))
        assert one.limit_ias_mps == pytest.approx(200 * MPS_PER_KNOT)
        one = measure_speed(made, flight_of(motion, track(tas_mps=60.0)), Plan(rule, FRAME))
        assert (one.kind, one.estimated_ias_mps, one.low_mps) == ("tas", None, None)
        one = measure_speed(made, flight_of(motion, track(), wind_from(305.0, 5.0)), Plan(rule, FRAME))
        assert one.kind == "tas"
        one = measure_speed(made, flight_of(motion, track()), Plan(rule, FRAME))
        assert one.kind == "groundspeed"
        assert one.max_mps == pytest.approx(SPEED_MPS, abs=MPS)

    def test_true_airspeed_is_the_motion_less_the_wind(self):
        # inbound with 5 m/s behind: 55 m/s through the air; outbound 65
        motion, made, _ = forty_five_one_eighty()
        behind = wind_from(INBOUND_TRUE_DEG + 180.0, 5.0)
        one = measure_speed(made, flight_of(motion, track(), behind), Plan(procedure(), FRAME))
        assert one.max_mps == pytest.approx(65.0, abs=MPS)
        assert one.at_s < 91.0

    def test_indicated_airspeed_in_standard_air(self):
        motion, made, _ = forty_five_one_eighty()
        time = np.arange(0.0, 400.0)
        high = AltitudeProfile(time, np.full(time.shape, 3048.0), np.full(time.shape, 1.0), 1.0)
        one = measure_speed(made, flight_of(motion, track(tas_mps=100.0), profile=high), Plan(procedure(), FRAME))
        # at 10 000 ft the density is 0.7385 of sea level: EAS 85.9 m/s, compressibility adds 0.3
        assert one.estimated_ias_mps == pytest.approx(86.2, abs=0.4)
        assert one.sigma_mps > 0.5

    def test_a_spike_is_no_speed(self):
        motion, made, _ = forty_five_one_eighty()
        one = measure_speed(
            made,
            flight_of(motion, track(ias_mps=lambda time: np.where(time == 200.0, 200.0, 55.0))),
            Plan(procedure(), FRAME),
        )
        assert one.max_mps == pytest.approx(55.0, abs=MPS)

    def test_range_from_the_outbound_turn_to_the_reversal_turn(self):
        motion, made, _ = forty_five_one_eighty()
        ramp = track(ias_mps=lambda time: 50.0 + 0.05 * time)
        one = measure_speed(made, flight_of(motion, ramp), Plan(procedure(), FRAME))
        assert one.low_mps == pytest.approx(50.0, abs=0.1)
        assert one.high_mps == pytest.approx(50.0 + 0.05 * 165.0, abs=0.1)
        assert one.max_mps == pytest.approx(50.0 + 0.05 * made.phase("final").start_s, abs=0.2)

    def test_a_column_that_is_mostly_missing_does_not_count(self):
        motion, made, _ = forty_five_one_eighty()
        rare = track(ias_mps=lambda time: np.where(time % 10 == 0, 55.0, np.nan))
        assert measure_speed(made, flight_of(motion, rare), Plan(procedure(), FRAME)).kind == "groundspeed"


def test_laps_of_a_hold():
    motion, made, ends = hold()
    one, two = measure_laps(made, motion, HOLD)
    assert [lap.lap for lap in (one, two)] == [1, 2]
    assert [lap.outbound_s for lap in (one, two)] == [pytest.approx(60.0, abs=SECONDS)] * 2
    assert [lap.inbound_s for lap in (one, two)] == [pytest.approx(60.0, abs=SECONDS)] * 2
    assert [lap.established_s for lap in (one, two)] == [ends[2], ends[6]]
    assert one.roll_in_along_m == pytest.approx(60.0 * SPEED_MPS, abs=1.0)
    assert one.roll_in_cross_m == pytest.approx(2.0 * SPEED_MPS / np.radians(3.0), abs=1.0)
    cut = replace(made, passages=made.passages[:2], phases=made.phases[:6])
    assert [lap.inbound_s for lap in measure_laps(cut, motion, HOLD)] == [pytest.approx(60.0, abs=SECONDS), None]
    assert [lap.outbound_s for lap in measure_laps(cut, motion, HOLD)] == [pytest.approx(60.0, abs=SECONDS), None]
    assert measure_laps(replace(made, flown_as="racetrack"), motion, HOLD) == ()


class TestLegs:
    def test_tracks_courses_and_drift(self):
        motion, made, _ = forty_five_one_eighty()
        # 10 m/s from the right of the outbound course (305): from 035, blowing to 215
        across = wind_from(35.0, 10.0, SPEED_MPS)
        found = {leg.phase: leg for leg in measure_legs(made, track(), motion, across, procedure(), FRAME)}
        assert list(found) == ["outbound", "offset leg", "intercept", "inbound"]
        outbound = found["outbound"]
        assert outbound.track_true_deg == pytest.approx(305.0, abs=DEGREES)
        assert outbound.course_true_deg == 305.0
        assert outbound.drift_correction_deg == pytest.approx(np.degrees(np.arcsin(10.0 / 60.0)))
        assert outbound.heading_true_deg == pytest.approx(305.0 + np.degrees(np.arctan(10.0 / 60.0)), abs=DEGREES)
        assert outbound.heading_sigma_deg >= 0.0
        assert outbound.end_deflection == pytest.approx(0.0, abs=1e-3)
        assert found["offset leg"].course_true_deg == 350.0
        assert found["offset leg"].track_true_deg == pytest.approx(350.0, abs=DEGREES)
        assert found["intercept"].course_true_deg is None
        assert found["intercept"].drift_correction_deg is None
        assert found["inbound"].course_true_deg == INBOUND_TRUE_DEG
        assert found["inbound"].drift_correction_deg == pytest.approx(-np.degrees(np.arcsin(10.0 / 60.0)))

    def test_headings_from_columns(self):
        motion, made, _ = forty_five_one_eighty()
        magnetic = track(heading_magnetic_deg=300.0)
        one = measure_legs(made, magnetic, motion, None, procedure(), FRAME)[0]
        assert one.heading_true_deg == pytest.approx(307.0)
        assert one.heading_sigma_deg >= 1.0
        assert measure_legs(made, track(), motion, None, procedure(), FRAME)[0].heading_true_deg is None

    def test_end_of_the_outbound_leg_right_of_its_course(self):
        motion, made, _ = forty_five_one_eighty()
        # right of the outbound course is left of the inbound one: negative cross
        aside = replace(motion, cross_m=motion.cross_m - 300.0)
        one = measure_legs(made, track(), aside, None, procedure(), FRAME)[0]
        assert one.end_deflection == pytest.approx(np.degrees(np.arctan(300.0 / 5400.0)) / 10.0, rel=0.01)
        rnav = procedure(guidance=Guidance("RNAV", FIX, None, 1852.0))
        assert measure_legs(made, track(), aside, None, rnav, FRAME)[0].end_deflection == pytest.approx(300 / 1852)

    def test_end_of_a_teardrops_outbound_leg(self):
        teardrop = procedure(reversal="teardrop", outbound_true_deg=335.0)
        motion, ends = flown([(120.0, 0.0), (60.0, -210.0), (60.0, 0.0)], track_deg=210.0)
        made = attempt(
            [("outbound", 0.0, ends[0]), ("reversal turn", ends[0], ends[1]), ("inbound", ends[1], ends[2])],
            [(0.0, "outbound")],
            [None],
            flown_as="teardrop",
        )
        one = measure_legs(made, track(), motion, None, teardrop, FRAME)[0]
        assert one.course_true_deg == 335.0
        assert one.end_deflection == pytest.approx(0.0, abs=1e-3)
        assert measure_legs(made, track(), motion, None, procedure(), FRAME)[0].end_deflection is None

    def test_short_legs_are_left_out_and_holds_have_the_reciprocal(self):
        motion, made, _ = hold(outbound_s=9.0)
        assert measure_legs(made, track(), motion, None, HOLD, FRAME) == ()
        motion, made, _ = hold()
        found = measure_legs(made, track(), motion, None, HOLD, FRAME)
        assert [(leg.phase, leg.lap) for leg in found] == [
            ("outbound", 1), ("inbound", 1), ("outbound", 2), ("inbound", 2),
        ]  # fmt: skip
        assert found[0].course_true_deg == pytest.approx(305.0)
        assert found[0].end_deflection is None
