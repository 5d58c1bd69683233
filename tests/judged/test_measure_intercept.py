"""Intercept angle, overshoot, crossings and the needle, on flights whose geometry is worked out by hand."""

from dataclasses import replace

import numpy as np
import pytest

from analyzer.flown.attempt import Attempt
from analyzer.flown.motion.motion import Motion, estimate_motion
from analyzer.flown.reversals.established import established_time
from analyzer.given.plane import frame_of
from analyzer.given.procedure import Guidance, Procedure
from analyzer.given.track import Track
from analyzer.judged.measurements.crossings import course_crossings, needle_crossings
from analyzer.judged.measurements.intercept import measure_intercept
from analyzer.judged.measurements.straight import straight_fit
from analyzer.planned import Plan
from analyzer.planned.needle import deflection
from tests.hand_flown import (
    FIX,
    SPEED_MPS,
    as_mirrored,
    attempt,
    flight_of,
    flown,
    forty_five_one_eighty,
    mirrored,
    motion_of,
    procedure,
    turn,
    with_altitude,
)

ANGLE_DEG = 0.3
METRES = 2.0
SECONDS = 0.5
NOISY_ANGLE_DEG = 3.0  # 95 % of flights are to be within this at 1 Hz; these few are all
NOISY_M = 15.0

VOR = procedure()
FRAME = frame_of(VOR)
RADIUS_M = SPEED_MPS / np.radians(3.0)


def with_established(motion: Motion, made: Attempt, one: Procedure = VOR) -> Attempt:
    """The attempt with the moment that its motion shows."""
    needle = deflection(one, FRAME, motion.along_m, motion.cross_m)
    reversal = made.phase("reversal turn")
    fix_s = made.passages[-1].at_s
    assert reversal is not None
    return replace(made, established_s=(established_time(motion, needle, None, reversal.start_s, fix_s),))


def measured(motion: Motion, made: Attempt, one: Procedure = VOR):
    return measure_intercept(with_established(motion, made, one), flight_of(motion), Plan(one, FRAME))


def test_a_clean_45_180():
    motion, made, ends = forty_five_one_eighty()
    found = measured(motion, made)
    assert found.angle_deg == pytest.approx(45.0, abs=ANGLE_DEG)
    assert found.angle_at_s == pytest.approx(ends[4])
    assert found.turn_onto_course_s == pytest.approx(ends[4])
    assert found.overshoot_m == 0.0
    assert found.overshoot_at_s is None
    assert found.crossings == 0
    assert found.established
    assert found.established_at_m == pytest.approx(
        float(np.interp(found.established_s, motion.time_s, np.hypot(motion.along_m, motion.cross_m)))
    )
    assert ends[4] < found.established_s < ends[5]
    assert found.turn_late_s == pytest.approx(0.0, abs=SECONDS)
    assert found.max_deflection < 0.2
    assert found.sigma_m == 10.0


def test_a_late_turn_overshoots_by_what_was_flown_too_long():
    late_s = 6.0
    motion, made, _ = forty_five_one_eighty(overshoot_s=late_s)
    found = measured(motion, made)
    beyond_m = late_s * SPEED_MPS * np.sin(np.radians(45.0))
    assert found.angle_deg == pytest.approx(45.0, abs=ANGLE_DEG)
    assert found.crossings == 1
    assert found.turn_late_s == pytest.approx(late_s, abs=SECONDS)
    assert found.turn_late_sigma_s > 0.0
    # established a little before the greatest distance: with 10 degrees to go
    short_m = RADIUS_M * (1.0 - np.cos(np.radians(10.0)))
    assert found.overshoot_m == pytest.approx(beyond_m - short_m, abs=METRES)
    assert found.overshoot_deflection == pytest.approx(
        abs(
            float(
                np.interp(found.overshoot_at_s, motion.time_s, deflection(VOR, FRAME, motion.along_m, motion.cross_m))
            )
        )
    )


def test_mirrored_flights_measure_the_same():
    motion, made, _ = forty_five_one_eighty(overshoot_s=6.0)
    plain = measured(motion, made)
    turns = tuple(
        (name, lap, replace(one, degrees=-one.degrees, mean_rate_deg_s=-one.mean_rate_deg_s))
        for name, lap, one in made.turns
    )
    other = measured(as_mirrored(motion), replace(made, turns=turns), mirrored(VOR))
    for name in ("angle_deg", "overshoot_m", "crossings", "established_s", "max_deflection", "turn_late_s"):
        assert getattr(other, name) == pytest.approx(getattr(plain, name), abs=1e-6), name


def test_where_the_wrong_side_was_flown_the_overshoot_is_on_the_other_side():
    motion, made, _ = forty_five_one_eighty(overshoot_s=6.0)
    plain = measured(motion, made)
    wrong = measured(motion, replace(made, wrong_side=True), mirrored(VOR))
    assert wrong.overshoot_m == pytest.approx(plain.overshoot_m, abs=1e-6)
    assert measured(motion, made, mirrored(VOR)).overshoot_m == 0.0


def straight_onto(cross_m: float) -> tuple[Motion, Attempt]:
    """Outbound `cross_m` right of the inbound course, and a turn of 180 degrees to the right, 2292 m across."""
    motion, ends = flown([(120.0, 0.0), (60.0, 180.0), (110.0, 0.0)], along_m=0.0, cross_m=cross_m)
    made = attempt(
        [("outbound", 0.0, ends[0]), ("reversal turn", ends[0], ends[1]), ("inbound", ends[1], 239.0),
         ("final", 239.0, ends[2])],
        [(0.0, "outbound"), (239.0, "inbound")],
        [ends[1]],
        [("reversal turn", turn(ends[0], ends[1], 180.0))],
        flown_as="racetrack",
    )  # fmt: skip
    return motion, made


def test_a_turn_that_ends_on_the_course_without_crossing_has_no_angle():
    motion, made = straight_onto(2.0 * RADIUS_M + 1.0)
    assert measured(motion, made, mirrored(VOR)).angle_deg == 0.0


def test_a_turn_that_runs_over_the_course_is_measured_where_it_first_crosses():
    short_m = 300.0
    motion, made = straight_onto(2.0 * RADIUS_M - short_m)
    found = measured(motion, made, mirrored(VOR))
    assert found.angle_deg == pytest.approx(np.degrees(np.arccos(1.0 - short_m / RADIUS_M)), abs=ANGLE_DEG)
    assert found.turn_onto_course_s == pytest.approx(120.0)
    assert found.crossings == 1


def test_a_crossing_on_the_way_out_is_not_where_the_course_is_taken_up():
    # a parallel entry: from 100 m left of the course over it, round to the right side and back at 25 degrees
    motion, ends = flown([(60.0, 0.0), (70.0, -205.0), (60.0, 0.0)], cross_m=-100.0)
    made = attempt(
        [("outbound", 0.0, ends[0]), ("reversal turn", ends[0], ends[1]), ("intercept", ends[1], ends[2])],
        [(0.0, "outbound")],
        [None],
        [("reversal turn", turn(ends[0], ends[1], -205.0))],
        flown_as="hold",
    )
    found = measure_intercept(made, flight_of(motion), Plan(procedure(reversal="holding"), FRAME))
    assert found.angle_deg == pytest.approx(25.0, abs=ANGLE_DEG)
    assert found.crossings == 1


def test_crossings_ignore_less_than_a_tenth_of_full_scale():
    # inbound from 12 km with a swing about the course line that grows from 0.05 to 0.3 of full scale
    time = np.arange(0.0, 161.0)
    along = 12_000.0 - 60.0 * time
    swing = np.interp(time, [0, 40, 60, 160], [0.5, 0.05, 0.05, 0.3])
    needle = swing * np.cos(2 * np.pi * (time - 20.0) / 40.0)
    cross = along * np.tan(np.radians(10.0 * needle))
    motion = motion_of(time, along, cross)
    made = attempt(
        [("outbound", 0.0, 0.5), ("reversal turn", 0.5, 20.0), ("inbound", 20.0, 160.0), ("final", 160.0, 161.0)],
        [(0.0, "outbound"), (160.0, "inbound")],
        [None],
    )
    sides = np.sign(needle[(np.abs(needle) >= 0.1) & (time >= 1)])
    expected = int(np.count_nonzero(np.diff(sides)))
    assert expected >= 4
    assert measure_intercept(made, flight_of(motion), Plan(VOR, FRAME)).crossings == expected


def test_crossings_are_cut_at_the_line():
    time = np.arange(5.0)
    found = course_crossings(time, np.array([100.0, 20.0, -60.0, -20.0, 100.0]), np.full(5, 50.0), None)
    assert [(one.at_s, one.to_side) for one in found] == [(1.25, -1), (pytest.approx(3.0 + 1 / 6), 1)]
    assert course_crossings(time, np.array([100.0, 20.0, -40.0, -20.0, 100.0]), np.full(5, 50.0), None) == ()


def test_a_crossing_inside_the_cone_does_not_count():
    time = np.arange(5.0)
    cross = np.array([100.0, 60.0, -60.0, -100.0, -100.0])
    silent = np.array([False, True, True, False, False])
    assert len(course_crossings(time, cross, np.full(5, 50.0), None)) == 1
    assert course_crossings(time, cross, np.full(5, 50.0), silent) == ()


def drifting_across(fix_cross_m: float, noise_m: float) -> Motion:
    """Inbound at 60 m/s from 12 km and 400 m to the right, on a straight that passes the fix at a cross-track."""
    time = np.arange(0.0, 200.5, 2.0)
    along = 12_000.0 - 60.0 * time
    return motion_of(time, along, fix_cross_m + (400.0 - fix_cross_m) * along / 12_000.0, noise_m=noise_m)


@pytest.mark.parametrize(
    ("fix_cross_m", "noise_m", "crossings"), [(-5.0, 4.0, 1), (-2.0, 4.0, 0), (-2.0, 0.01, 1), (5.0, 4.0, 0)]
)
def test_the_side_on_which_a_station_is_passed_counts_where_it_is_seen(fix_cross_m, noise_m, crossings):
    found = needle_crossings(drifting_across(fix_cross_m, noise_m), VOR, FRAME, None, 1.0, 200.0)
    assert len(found) == crossings


def test_the_edge_of_the_cone_is_found_between_coarse_moments():
    # a tenth of full scale on the left 36 m before the edge of the cone at 1200 m, between moments 120 m apart
    edge_m, at_m, slope = 1200.0, 1236.0, np.tan(np.radians(3.0))
    time = np.arange(0.0, 200.5, 2.0)
    along = 11_990.0 - 60.0 * time
    cross = -at_m * np.tan(np.radians(1.0)) + (along - at_m) * slope
    motion = motion_of(time, along, cross)
    height_m = edge_m / np.tan(np.radians(50.0))
    altitude = np.full(time.shape, 579.0 + height_m)
    assert not np.any((along > edge_m) & (along < at_m))
    assert len(needle_crossings(motion, VOR, FRAME, altitude, 1.0, 199.0)) == 1
    assert needle_crossings(motion, VOR, FRAME, altitude + 60.0 / np.tan(np.radians(50.0)), 1.0, 199.0) == ()


def test_the_needle_over_the_station_counts_only_outside_the_cone():
    low = procedure(guidance=Guidance("VOR", FIX, 10.0, None))
    time = np.arange(0.0, 161.0, 0.5)
    motion = motion_of(time, 9600.0 - 60.0 * time, np.full(time.shape, 100.0))
    made = attempt(
        [("outbound", 0.0, 0.5), ("reversal turn", 0.5, 1.0), ("inbound", 1.0, 160.0), ("final", 160.0, 161.0)],
        [(0.0, "outbound"), (160.0, "inbound")],
        [1.0],
    )
    altitude = np.full(time.shape, 579.0 + 1000.0)
    found = measure_intercept(made, with_altitude(flight_of(motion), altitude), Plan(low, FRAME))
    edge_m = np.sqrt((1000.0 * np.tan(np.radians(50.0))) ** 2 - 100.0**2)
    assert found.max_deflection == pytest.approx(np.degrees(np.arctan(100.0 / edge_m)) / 10.0, rel=0.03)
    assert found.max_deflection_sigma == pytest.approx(np.degrees(10.0 / edge_m) / 10.0, rel=0.05)
    assert measure_intercept(made, flight_of(motion), Plan(low, FRAME)).max_deflection == pytest.approx(9.0, abs=0.1)


def test_rms_of_a_steady_needle_is_the_needle():
    rnav = procedure(guidance=Guidance("RNAV", FIX, None, 1852.0))
    time = np.arange(0.0, 161.0)
    motion = motion_of(time, 9600.0 - 60.0 * time, np.full(time.shape, 0.25 * 1852.0))
    made = attempt(
        [("outbound", 0.0, 0.5), ("reversal turn", 0.5, 1.0), ("inbound", 1.0, 160.0), ("final", 160.0, 160.5)],
        [(0.0, "outbound"), (160.0, "inbound")],
        [1.0],
    )
    found = measure_intercept(made, flight_of(motion), Plan(rnav, FRAME))
    assert (found.rms_deflection, found.max_deflection) == (pytest.approx(0.25), pytest.approx(0.25))
    assert found.max_deflection_sigma == pytest.approx(10.0 / 1852.0)


def test_never_established_and_established_after_the_fix():
    rnav = procedure(guidance=Guidance("RNAV", FIX, None, 1852.0))
    time = np.arange(0.0, 301.0)
    cross = np.interp(time, [0, 160, 200, 300], [1500.0, 1500.0, 100.0, 100.0])
    motion = motion_of(time, 9600.0 - 60.0 * time, cross)
    made = attempt(
        [("outbound", 0.0, 0.5), ("reversal turn", 0.5, 20.0), ("intercept", 20.0, 160.0), ("final", 160.0, 300.0)],
        [(0.0, "outbound"), (160.0, "inbound")],
        [None],
        [("reversal turn", turn(0.5, 20.0, -180.0))],
    )
    found = measure_intercept(made, flight_of(motion), Plan(rnav, FRAME))
    assert not found.established
    assert (found.established_at_m, found.rms_deflection, found.max_deflection) == (None, None, None)
    assert found.established_after_fix_s == pytest.approx(200.0, abs=1.0)


def test_without_a_reversal_turn_nothing_is_measured():
    motion, made, _ = forty_five_one_eighty()
    cut = replace(made, phases=made.phases[:1], established_s=(None,))
    found = measure_intercept(cut, flight_of(motion), Plan(VOR, FRAME))
    assert (found.angle_deg, found.overshoot_m, found.crossings, found.established) == (None, None, None, False)


def test_a_shallow_intercept_by_corrections_alone_is_measured_before_them():
    motion, ends = flown([(120.0, 0.0), (60.0, 172.0), (60.0, 0.0), (10.0, 8.0), (80.0, 0.0)], cross_m=2500.0)
    made = attempt(
        [("outbound", 0.0, ends[0]), ("reversal turn", ends[0], ends[1]), ("intercept", ends[1], ends[2]),
         ("inbound", ends[2], 318.0), ("final", 318.0, ends[4])],
        [(0.0, "outbound"), (318.0, "inbound")],
        [ends[2]],
        [("reversal turn", turn(ends[0], ends[1], 172.0))],
    )  # fmt: skip
    assert measure_intercept(made, flight_of(motion), Plan(mirrored(VOR), FRAME)).angle_deg == pytest.approx(
        8.0, abs=ANGLE_DEG
    )


@pytest.mark.parametrize("seed", range(6))
def test_noise_of_5_m_at_1_hz(seed: int):
    motion, made, _ = forty_five_one_eighty(overshoot_s=5.0)
    plain = measured(motion, made)
    draw = np.random.default_rng(seed)
    time = np.arange(0.0, float(motion.time_s[-1]))
    place = [np.interp(time, motion.time_s, axis) + 5.0 * draw.standard_normal(time.size)
             for axis in (motion.along_m, motion.cross_m)]  # fmt: skip
    latitude, longitude = FRAME.latitude_longitude_from_along_cross(*place)
    rough, _ = estimate_motion(Track("rough", time, latitude, longitude), FRAME)
    found = measured(rough, made)
    assert found.angle_deg == pytest.approx(plain.angle_deg, abs=NOISY_ANGLE_DEG)
    assert found.overshoot_m == pytest.approx(plain.overshoot_m, abs=NOISY_M)
    assert found.crossings == plain.crossings
    assert 0.0 < found.angle_sigma_deg < NOISY_ANGLE_DEG


def test_straight_fit():
    motion, _ = flown([(60.0, 0.0)], track_deg=-30.0)
    fit = straight_fit(motion, 10.0, 40.0)
    assert fit.track_relative_deg == pytest.approx(-30.0, abs=1e-6)
    assert fit.groundspeed_mps == pytest.approx(SPEED_MPS)
    assert straight_fit(motion, 40.0, 40.0) is None
    still = motion_of(np.arange(10.0), np.zeros(10), np.zeros(10))
    assert straight_fit(still, 1.0, 8.0) is None
