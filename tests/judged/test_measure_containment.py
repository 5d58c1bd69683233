"""Distance limit and areas: margins, greatest distance and excursions worked out by hand."""

from dataclasses import replace

import numpy as np
import pytest
from shapely import Point, box

from analyzer.judged.measurements.containment import judged_path, measure_containment, phase_at
from analyzer.planned.protection.area import Area
from analyzer.units.factors import METRES_PER_NM as NM
from tests.hand_flown import as_mirrored, attempt, motion_of, procedure

MOMENT_S = 0.01
METRE = 0.01
LIMIT = procedure(remain_within_m=10 * NM)


def out_and_back(farthest_m: float, seconds: float = 400.0, step_s: float = 1.0):
    """Straight out from the fix at 100 m/s, and back on the other side of the course, fix at both ends."""
    time = np.arange(0.0, seconds + step_s / 2, step_s)
    along = farthest_m - 100.0 * np.abs(time - seconds / 2)
    return motion_of(time, along, np.zeros(time.shape)), whole(seconds)


def whole(seconds: float, first_s: float = 0.0):
    return attempt(
        [("outbound", first_s, seconds / 2), ("reversal turn", seconds / 2, seconds), ("final", seconds, seconds + 50)],
        [(first_s, "outbound"), (seconds, "inbound")],
        [None],
    )


def area(name: str, shape: object) -> Area:
    return Area(name, shape, "US", "drawn by hand", "calculated")  # type: ignore[arg-type]


def test_excursion_from_the_distance_limit():
    motion, flown = out_and_back(10 * NM + 500.0)
    found = measure_containment(flown, motion, LIMIT, ())
    (one,) = found.excursions
    assert (one.area, one.phase, one.lap) == ("distance limit", "reversal turn", 1)
    assert (one.start_s, one.end_s) == (pytest.approx(195.0, abs=MOMENT_S), pytest.approx(205.0, abs=MOMENT_S))
    assert (one.max_m, one.at_s) == (pytest.approx(500.0, abs=METRE), 200.0)
    assert found.margin_m == pytest.approx(-500.0, abs=METRE)
    assert (found.margin_area, found.margin_at_s) == ("distance limit", 200.0)
    assert (found.max_distance_m, found.max_distance_at_s) == (pytest.approx(10 * NM + 500.0), 200.0)
    assert found.sigma_m == 10.0


def test_inside_the_margin_is_positive_and_there_is_no_excursion():
    motion, flown = out_and_back(9 * NM)
    found = measure_containment(flown, motion, LIMIT, ())
    assert found.excursions == ()
    assert found.margin_m == pytest.approx(1 * NM, abs=METRE)


def test_a_line_across_the_circle_counts():
    # both points are 10 m inside, the line between them stays inside: a disc has no hollow edge
    radius = 1000.0
    time = np.array([0.0, 10.0, 20.0, 30.0])
    angle = np.radians([0.0, 0.0, 60.0, 60.0])
    reach = np.array([0.0, 990.0, 990.0, 0.0])
    motion = motion_of(time, reach * np.cos(angle), reach * np.sin(angle))
    found = measure_containment(whole(30.0), motion, procedure(remain_within_m=radius), ())
    assert found.margin_m == pytest.approx(10.0, abs=METRE)
    # and one that leaves it between two points outside: in again at the foot of the chord
    reach = np.array([0.0, 1030.0, 1030.0, 0.0])
    motion = motion_of(time, reach * np.cos(angle), reach * np.sin(angle))
    found = measure_containment(whole(30.0), motion, procedure(remain_within_m=radius), ())
    assert len(found.excursions) == 2
    foot = 1030.0 * np.cos(np.radians(30.0))
    half = np.sqrt(radius**2 - foot**2)
    assert found.excursions[0].end_s == pytest.approx(
        15.0 - 5.0 * half / (1030.0 * np.sin(np.radians(30.0))), abs=MOMENT_S
    )


def test_only_from_the_first_passage_to_the_inbound_one():
    time = np.arange(0.0, 500.0)
    along = np.where(time < 100.0, 30_000.0, np.where(time > 400.0, -30_000.0, 5000.0))
    motion = motion_of(time, along, np.zeros(time.shape))
    flown = attempt(
        [("arrival", 0.0, 101.0), ("outbound", 101.0, 399.0), ("final", 399.0, 499.0)],
        [(101.0, "outbound"), (399.0, "inbound")],
        [None],
    )
    found = measure_containment(flown, motion, LIMIT, ())
    assert found.max_distance_m == pytest.approx(5000.0)
    assert found.excursions == ()


def test_primary_and_secondary_areas():
    motion, flown = out_and_back(15_000.0)
    primary = box(-5000.0, -2000.0, 12_000.0, 2000.0)
    outer = box(-5000.0, -2000.0, 14_000.0, 2000.0)
    areas = (area("primary", primary), area("secondary", outer.difference(primary)))
    found = measure_containment(flown, motion, procedure(remain_within_m=None), areas)
    by_area = {one.area: one for one in found.excursions}
    assert set(by_area) == {"primary", "secondary"}
    assert by_area["primary"].start_s == pytest.approx(200.0 - 30.0, abs=MOMENT_S)
    assert by_area["secondary"].start_s == pytest.approx(200.0 - 10.0, abs=MOMENT_S)
    assert by_area["secondary"].max_m == pytest.approx(1000.0, abs=METRE)
    assert (found.margin_m, found.margin_area) == (pytest.approx(-3000.0, abs=METRE), "primary")


def test_the_nearer_edge_of_limit_and_primary_gives_the_margin():
    motion, flown = out_and_back(9 * NM)
    found = measure_containment(flown, motion, LIMIT, (area("primary", Point(0, 0).buffer(9.5 * NM, quad_segs=720)),))
    assert (found.margin_area, found.margin_m) == ("primary", pytest.approx(0.5 * NM, abs=0.5))


def test_without_areas_there_is_no_margin():
    motion, flown = out_and_back(9 * NM)
    found = measure_containment(flown, motion, procedure(remain_within_m=None), (area("entry zone", box(0, 0, 1, 1)),))
    assert (found.margin_m, found.margin_area, found.margin_at_s) == (None, None, None)
    assert found.max_distance_m == pytest.approx(9 * NM)


@pytest.mark.parametrize("seed", range(5))
def test_noise_along_the_limit_is_no_excursion(seed: int):
    # an arc 15 m inside the limit, 5 m of noise on each smoothed position
    time = np.arange(0.0, 300.0)
    angle = np.linspace(0.0, 2.0, time.size)
    reach = 10 * NM - 15.0 + 5.0 * np.random.default_rng(seed).standard_normal(time.size)
    motion = motion_of(time, reach * np.cos(angle), reach * np.sin(angle), sigma_m=5.0)
    found = measure_containment(whole(299.0), motion, LIMIT, ())
    assert found.excursions == ()
    assert abs(found.margin_m) < 2.0 * found.sigma_m


def test_stated_sigma_and_larger_noise():
    motion, flown = out_and_back(9 * NM)
    assert measure_containment(flown, motion, LIMIT, (), position_sigma_m=30.0).sigma_m == 30.0
    assert measure_containment(flown, motion, LIMIT, (), position_sigma_m=3.0).sigma_m == 3.0
    noisy = replace(motion, position_sigma_m=np.full(len(motion), 40.0))
    assert measure_containment(flown, noisy, LIMIT, ()).sigma_m == 40.0


def test_across_a_gap_the_straight_line_counts_and_the_bend_is_doubt():
    # the bridged motion bulges 600 m beyond the limit; the line between the gap's edges stays inside
    time = np.arange(0.0, 401.0)
    along = 10 * NM - 500.0 - 50.0 * np.abs(time - 200.0) * (np.abs(time - 200.0) > 10.0)
    along = np.where(np.abs(time - 200.0) <= 10.0, 10 * NM + 100.0, along)
    gap = np.abs(time - 200.0) <= 10.0
    motion = motion_of(time, along, np.zeros(time.shape), in_gap=gap)
    found = measure_containment(whole(400.0), motion, LIMIT, ())
    assert found.excursions == ()
    assert found.margin_m == pytest.approx(500.0 + 50.0 * 11.0, abs=1.0)
    assert found.sigma_m == pytest.approx(1150.0, abs=1.0)
    assert not np.any(np.abs(judged_path(whole(400.0), motion).time_s - 200.0) <= 10.0)


def test_mirrored_and_shifted_flights_measure_the_same():
    motion, flown = out_and_back(10 * NM + 500.0)
    plain = measure_containment(flown, motion, LIMIT, ())
    assert measure_containment(flown, as_mirrored(motion), LIMIT, ()) == plain
    later = replace(motion, time_s=motion.time_s + 1000.0)
    moved = measure_containment(
        attempt(
            [("outbound", 1000.0, 1200.0), ("reversal turn", 1200.0, 1400.0), ("final", 1400.0, 1450.0)],
            [(1000.0, "outbound"), (1400.0, "inbound")],
            [None],
        ),
        later,
        LIMIT,
        (),
    )
    assert moved.excursions[0].start_s == pytest.approx(plain.excursions[0].start_s + 1000.0)
    assert moved.margin_m == pytest.approx(plain.margin_m)


def test_phase_at_a_moment():
    flown = whole(400.0)
    assert [phase_at(flown, at)[0] for at in (-5.0, 10.0, 200.0, 420.0, 999.0)] == [
        "outbound", "outbound", "reversal turn", "final", "final",
    ]  # fmt: skip
