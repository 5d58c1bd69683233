"""Needle, cone and established against values worked out by hand."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from analyzer.flown.reversals.established import established_time
from analyzer.given.plane import Frame, frame_of
from analyzer.given.procedure import Guidance, Place
from analyzer.planned.needle import (
    deflection,
    full_scale_m,
    in_cone,
    near_station,
    needle_cone_radius_m,
    passage_radius_m,
)
from analyzer.units.factors import METRES_PER_NM
from tests.hand_flown import FIX, as_mirrored, motion_of, procedure

PARTS = 1e-6  # of full scale
MOMENT_S = 0.02  # two conditions of which one is curved, at half-second steps

VOR = procedure()
FRAME = frame_of(VOR)


def test_vor_needle_is_the_angle_at_the_station_over_ten_degrees():
    along = 10_000.0
    cross = along * np.tan(np.radians([0.0, 5.0, -10.0, 2.5]))
    assert deflection(VOR, FRAME, along, cross) == pytest.approx([0.0, 0.5, -1.0, 0.25], abs=PARTS)


def test_needle_reads_the_same_on_both_sides_of_the_station():
    assert deflection(VOR, FRAME, [-4000.0, 4000.0], [300.0, 300.0]) == pytest.approx([0.4289, 0.4289], abs=1e-4)


def test_needle_abeam_the_station_shows_ninety_degrees_and_nothing_over_it():
    assert deflection(VOR, FRAME, [0.0, 0.0, 0.0], [50.0, -50.0, 0.0]) == pytest.approx([9.0, -9.0, 0.0], abs=PARTS)


def test_rnav_needle_is_a_distance():
    rnav = procedure(guidance=Guidance("RNAV", FIX, None, METRES_PER_NM))
    assert deflection(rnav, FRAME, [1000.0, 9000.0], [926.0, -1852.0]) == pytest.approx([0.5, -1.0], abs=PARTS)
    assert full_scale_m(rnav, FRAME, [0.0, 5000.0]) == pytest.approx([1852.0, 1852.0])


def test_localizer_angle_is_taken_at_its_aerial_beyond_the_fix():
    latitude, longitude = FRAME.latitude_longitude_from_along_cross(-10_000.0, 0.0)
    aerial = Place(float(latitude), float(longitude))
    localizer = procedure(guidance=Guidance("localizer", aerial, 2.5, None))
    cross = 15_000.0 * np.tan(np.radians(1.25))
    assert deflection(localizer, FRAME, 5000.0, cross) == pytest.approx(0.5, abs=1e-5)
    assert full_scale_m(localizer, FRAME, 5000.0) == pytest.approx(15_000.0 * np.tan(np.radians(2.5)), rel=1e-5)


@pytest.mark.parametrize("beyond", [1.0, -1.0])
def test_the_needle_is_centred_on_the_line_through_fix_and_station(beyond: float):
    skew = np.tan(np.radians(0.4))  # of a course rounded to a degree
    latitude, longitude = FRAME.latitude_longitude_from_along_cross(-10_000.0 * beyond, -10_000.0 * beyond * skew)
    localizer = procedure(guidance=Guidance("localizer", Place(float(latitude), float(longitude)), 2.5, None))
    along = np.array([-3000.0, 0.0, 5000.0, 9000.0])
    assert deflection(localizer, FRAME, along, along * skew) == pytest.approx(np.zeros(4), abs=1e-4)
    right = deflection(localizer, FRAME, 5000.0, 5000.0 * skew + 100.0)
    distance = abs(5000.0 + 10_000.0 * beyond)
    assert right == pytest.approx(np.degrees(np.arctan(100.0 / distance)) / 2.5, rel=0.01)


def test_a_station_far_off_the_course_does_not_turn_it():
    latitude, longitude = FRAME.latitude_longitude_from_along_cross(-10_000.0, 1000.0)
    contradicting = procedure(guidance=Guidance("localizer", Place(float(latitude), float(longitude)), 2.5, None))
    assert deflection(contradicting, FRAME, 5000.0, 0.0) == pytest.approx(0.0, abs=PARTS)


def test_nan_positions_give_nan():
    assert np.isnan(deflection(VOR, FRAME, [1000.0, np.nan], [np.nan, 10.0])).all()


def test_guidance_without_a_full_scale_is_a_mistake_of_the_caller():
    with pytest.raises(ValueError, match="full_scale"):
        deflection(procedure(guidance=Guidance("VOR", FIX, None, None)), FRAME, 1000.0, 0.0)


@given(st.floats(-30_000, 30_000), st.floats(-5000, 5000), st.floats(0, 359.9))
def test_mirroring_changes_the_sign_and_turning_the_world_nothing(along: float, cross: float, course: float):
    here = deflection(VOR, FRAME, along, cross)
    assert deflection(VOR, FRAME, along, -cross) == pytest.approx(-here, abs=PARTS)
    turned = replace(VOR, inbound_true_deg=course)
    frame = Frame(FIX.latitude_deg, FIX.longitude_deg, course)
    assert deflection(turned, frame, along, cross) == pytest.approx(here, abs=PARTS)


@pytest.mark.parametrize(("kind", "tangent"), [("VOR", 1.191754), ("NDB", 0.839100)])
def test_cone_radius_is_height_times_the_tangent_of_the_half_angle(kind: str, tangent: float):
    one = procedure(guidance=Guidance(kind, FIX, 10.0, None))  # type: ignore[arg-type]
    assert needle_cone_radius_m(one, 579.0 + 1000.0) == pytest.approx(1000.0 * tangent, rel=1e-6)
    assert needle_cone_radius_m(one, [579.0, 0.0, np.nan]) == pytest.approx([0.0, 0.0, 0.0])


def test_no_cone_without_an_elevation_or_without_a_station_overhead():
    low = Place(46.2, -101.5)
    assert needle_cone_radius_m(procedure(fix=low, guidance=Guidance("VOR", low, 10.0, None)), 3000.0) == 0.0
    assert needle_cone_radius_m(procedure(guidance=Guidance("RNAV", FIX, None, 1852.0)), 3000.0) == 0.0
    assert not in_cone(VOR, FRAME, [0.0], [0.0], None).any()


def test_in_cone_is_about_the_station():
    altitude = np.full(3, 579.0 + 1000.0)
    assert in_cone(VOR, FRAME, [0.0, 1190.0, 1193.0], [0.0, 0.0, 0.0], altitude).tolist() == [True, True, False]


def test_passage_radius():
    assert passage_radius_m(VOR, 1500.0) == METRES_PER_NM
    assert passage_radius_m(VOR, 579.0 + 1600.0) == 2 * METRES_PER_NM  # cone of 1.03 NM
    assert passage_radius_m(VOR) == METRES_PER_NM
    assert passage_radius_m(procedure(reversal="holding")) == 2 * METRES_PER_NM


def closing_in(cross_at_fix_m: float = 0.0, start_m: float = 3000.0):
    """Inbound at 60 m/s from 12 km; the track closes by 30 degrees and bends onto the course line."""
    time = np.arange(0.0, 200.5, 0.5)
    along = 12_000.0 - 60.0 * time
    cross = cross_at_fix_m + start_m * np.exp(-time / 25.0)
    return motion_of(time, along, cross)


def expected_moment(cross_at_fix_m: float, start_m: float) -> float:
    time = np.arange(0.0, 200.0, 0.001)
    cross = cross_at_fix_m + start_m * np.exp(-time / 25.0)
    needle = np.degrees(np.arctan2(cross, 12_000.0 - 60.0 * time)) / 10.0
    track = np.degrees(np.arctan2(-start_m / 25.0 * np.exp(-time / 25.0), 60.0))
    return float(time[np.flatnonzero((np.abs(needle) <= 0.5) & (np.abs(track) <= 10.0))[0]])


def test_established_between_two_moments():
    motion = closing_in()
    needle = deflection(VOR, FRAME, motion.along_m, motion.cross_m)
    found = established_time(motion, needle, None, 0.0, 200.0)
    assert found == pytest.approx(expected_moment(0.0, 3000.0), abs=MOMENT_S)
    inside = (np.abs(needle) <= 0.5) & (np.abs(motion.track_relative_deg) <= 10.0)
    assert not inside[motion.time_s < found].any()
    assert inside[(motion.time_s > found) & (motion.time_s < 190.0)].all()


@settings(deadline=None, max_examples=20)
@given(st.floats(1000.0, 4000.0), st.floats(0.0, 5000.0), st.sampled_from([0.25, 0.5, 1.0]))
def test_established_does_not_depend_on_side_clock_or_step(start_m: float, shift_s: float, step_s: float):
    time = np.arange(0.0, 200.0 + step_s, step_s)
    motion = motion_of(time, 12_000.0 - 60.0 * time, start_m * np.exp(-time / 25.0))
    needle = deflection(VOR, FRAME, motion.along_m, motion.cross_m)
    found = established_time(motion, needle, None, 0.0, 200.0)
    assert found == pytest.approx(expected_moment(0.0, start_m), abs=0.1 * step_s + MOMENT_S)
    other = established_time(as_mirrored(motion), -needle, None, 0.0, 200.0)
    assert other == pytest.approx(found, abs=1e-9)
    later = established_time(replace(motion, time_s=motion.time_s + shift_s), needle, None, shift_s, 200.0 + shift_s)
    assert later == pytest.approx(found + shift_s, abs=1e-6)


def course_kept(needle_at, time=None, **changes):
    """On the inbound course with a needle as given, moment by moment."""
    time = np.arange(0.0, 60.5, 0.5) if time is None else time
    motion = motion_of(time, 6000.0 - 60.0 * time, np.zeros(time.shape), **changes)
    return motion, np.array([needle_at(moment) for moment in time])


def test_less_than_ten_seconds_is_not_established():
    motion, needle = course_kept(lambda moment: 0.2 if 10.0 <= moment <= 18.0 or moment >= 30.0 else 0.9)
    assert established_time(motion, needle, None, 0.0, 60.0) == pytest.approx(30.0, abs=0.5)
    motion, needle = course_kept(lambda moment: 0.2 if 10.0 <= moment <= 22.0 else 0.9)
    assert established_time(motion, needle, None, 0.0, 60.0) == pytest.approx(10.0, abs=0.5)


def test_up_to_the_fix_less_than_ten_seconds_are_enough_but_not_up_to_the_end_of_the_track():
    motion, needle = course_kept(lambda moment: 0.2 if moment >= 54.0 else 0.9)
    assert established_time(motion, needle, None, 0.0, 60.0) == pytest.approx(54.0, abs=0.5)
    assert established_time(motion, needle, None, 0.0, 60.0, to_fix=False) is None


def test_the_needle_neither_establishes_nor_breaks_inside_the_cone():
    motion, needle = course_kept(lambda moment: 0.2 if 20.0 <= moment < 25.0 else 0.9)
    cone = motion.time_s >= 25.0
    assert established_time(motion, needle, cone, 0.0, 60.0) == pytest.approx(20.0, abs=0.5)
    assert established_time(motion, needle, motion.time_s >= 19.0, 0.0, 60.0) is None
    motion, needle = course_kept(lambda moment: 0.2)
    assert established_time(motion, needle, motion.time_s < 30.0, 0.0, 60.0) == pytest.approx(30.0)


def test_the_track_counts_inside_the_cone():
    motion, needle = course_kept(lambda moment: 0.2 if 20.0 <= moment < 25.0 else 0.9)
    off = np.where(motion.time_s >= 27.0, 30.0, 0.0)
    turned = replace(motion, cross_mps=60.0 * np.tan(np.radians(off)))
    assert established_time(turned, needle, motion.time_s >= 25.0, 0.0, 60.0) is None


def test_noise_at_the_bound_of_the_track_does_not_break_it_off():
    motion, needle = course_kept(lambda moment: 0.2)
    angle = np.where((motion.time_s >= 10.0) & (motion.time_s < 12.0), 10.6, 9.0)
    tilted = replace(motion, cross_mps=60.0 * np.tan(np.radians(angle)))
    assert established_time(tilted, needle, None, 0.0, 15.0) == pytest.approx(12.0, abs=0.5)
    noisy = replace(tilted, track_sigma_deg=np.full(len(motion), 1.0))
    assert established_time(noisy, needle, None, 0.0, 15.0) == 0.0


def test_nothing_to_look_at_is_not_established():
    motion, needle = course_kept(lambda moment: 0.2)
    assert established_time(motion, needle, None, 30.0, 30.0) is None
    assert established_time(motion, np.full(len(motion), 2.0), None, 0.0, 60.0) is None


@pytest.mark.parametrize(
    ("distance_nm", "knots", "near"),
    [(0.98, 90.0, True), (1.02, 90.0, False), (1.64, 200.0, True), (1.70, 200.0, False)],
)
def test_an_angular_needle_is_too_quick_within_a_mile_or_30_seconds_of_its_station(
    distance_nm: float, knots: float, near: bool
):
    """30 s at 200 kt are 1.667 NM; at 90 kt they are 0.75 NM, and the mile counts."""
    one, speed_mps = procedure(), knots * METRES_PER_NM / 3600.0
    assert bool(near_station(one, frame_of(one), distance_nm * METRES_PER_NM, 0.0, speed_mps)) is near
    area = procedure(guidance=Guidance("RNAV", FIX, None, METRES_PER_NM))
    assert not near_station(area, frame_of(area), 0.0, 0.0, speed_mps)


@pytest.mark.parametrize(
    ("cross_m", "inside"),
    [(1500.0, True), (2600.0, True), (2750.0, False), (400.0, True), (250.0, False), (-1500.0, False)],
)
def test_the_cone_stands_over_the_station_and_not_over_the_fix(cross_m: float, inside: bool) -> None:
    """A station 1,500 m right of the course, abeam the fix; 1,000 m above it the cone of 50 degrees has 1,192 m."""
    plain = procedure()
    frame = frame_of(plain)
    latitude, longitude = frame.latitude_longitude_from_along_cross(np.array([0.0]), np.array([1500.0]))
    station = Place(float(latitude[0]), float(longitude[0]), "HRF", 579.0)
    aside = replace(plain, guidance=replace(plain.guidance, station=station))
    assert bool(in_cone(aside, frame, 0.0, cross_m, 1579.0)) is inside
