"""Altitudes against the limits of their segments, on profiles whose crossings are worked out by hand."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from analyzer.flown import RecordedProfile
from analyzer.flown.altitude.smoothed import AltitudeProfile, altitude_profile
from analyzer.flown.attempt import Attempt
from analyzer.given.procedure import AltitudeLimit
from analyzer.judged.measurements.altitudes import inbound_passage_s, measure_altitudes, segment_span
from analyzer.judged.measurements.ground import Ground
from analyzer.judged.measurements.landing import Touchdown
from analyzer.judged.measurements.values import AltitudeMeasure
from analyzer.units.factors import METRES_PER_FOOT as FOOT, METRES_PER_NM
from tests.hand_flown import attempt, procedure

MOMENT_S = 0.01
NOISY_MOMENT_S = 3.0
FEET = 0.1

#: arrival to 100 s, established at 400 s, the fix inbound at 500 s, end at 700 s
ONE = attempt(
    [
        ("arrival", 0.0, 100.0),
        ("outbound", 100.0, 250.0),
        ("reversal turn", 250.0, 350.0),
        ("intercept", 350.0, 410.0),
        ("inbound", 410.0, 500.0),
        ("final", 500.0, 700.0),
    ],
    [(100.0, "outbound"), (500.0, "inbound")],
    [400.0],
)


def limit(segment: str, rule: str, low_ft: float | None, high_ft: float | None = None) -> AltitudeLimit:
    low, high = (None if value is None else value * FOOT for value in (low_ft, high_ft))
    return AltitudeLimit(segment, rule, low, high)  # type: ignore[arg-type]


def touchdown(at_s: float, ground_ft: float, speed_mps: float = 60.0) -> Touchdown:
    """Flown straight to the runway at a steady speed."""
    time = np.array([0.0, at_s])
    return Touchdown(at_s, ground_ft * FOOT, time, speed_mps * (at_s - time))


def measured(
    rule: AltitudeLimit,
    corners: list[tuple[float, float]],
    flown: Attempt = ONE,
    noise_ft: float = 0.0,
    seed: int = 0,
    threshold_s: float | None = None,
    down: Touchdown | None = None,
    sigma_ft: float = 20.0,
    reading_ft: float = 0.0,
) -> AltitudeMeasure:
    """Measure one limit on a profile of straight lines between (seconds, feet)."""
    time = np.arange(0.0, flown.end_s + 0.5)
    altitude = np.interp(time, *zip(*corners, strict=True)) * FOOT
    profile: AltitudeProfile | None = AltitudeProfile(time, altitude, np.full(time.shape, 0.01), 0.01)
    if noise_ft:
        noise = noise_ft * FOOT * np.random.default_rng(seed).standard_normal(time.size)
        profile = altitude_profile(time, altitude + noise)
    assert profile is not None
    sigma = np.full(profile.time_s.shape, sigma_ft * FOOT)
    made = procedure(altitudes=(rule,))
    return measure_altitudes(
        flown, made, RecordedProfile(profile, sigma, reading_ft * FOOT), Ground(threshold_s, down)
    )[0]


def test_spans_of_the_segments():
    spans = {name: segment_span(name, ONE) for name in ("arrival", "reversal", "inbound", "final")}  # type: ignore[arg-type]
    assert {name: (span.start_s, span.end_s) for name, span in spans.items()} == {
        "arrival": (0.0, 100.0), "reversal": (100.0, 400.0), "inbound": (400.0, 500.0), "final": (500.0, 700.0),
    }  # fmt: skip


def test_the_reversal_segment_covers_all_laps_and_the_inbound_one_the_last():
    hold = attempt(
        [
            ("arrival", 0.0, 100.0, 1), ("outbound turn", 100.0, 160.0, 1), ("outbound", 160.0, 220.0, 1),
            ("reversal turn", 220.0, 280.0, 1), ("inbound", 280.0, 340.0, 1), ("outbound turn", 340.0, 400.0, 2),
            ("outbound", 400.0, 460.0, 2), ("reversal turn", 460.0, 520.0, 2), ("inbound", 520.0, 580.0, 2),
            ("final", 580.0, 600.0, 2),
        ],
        [(100.0, "outbound"), (340.0, "inbound"), (580.0, "inbound")],
        [280.0, 520.0],
    )  # fmt: skip
    assert (segment_span("reversal", hold).start_s, segment_span("reversal", hold).end_s) == (100.0, 520.0)
    assert (segment_span("inbound", hold).start_s, segment_span("inbound", hold).end_s) == (520.0, 580.0)


def test_a_track_that_ends_in_a_later_lap_has_no_inbound_passage_of_its_last_lap():
    hold = attempt(
        [
            ("outbound", 0.0, 100.0, 1), ("reversal turn", 100.0, 160.0, 1), ("inbound", 160.0, 220.0, 1),
            ("outbound turn", 220.0, 250.0, 2),
        ],
        [(0.0, "outbound"), (220.0, "inbound")],
        [160.0, None],
    )  # fmt: skip
    assert inbound_passage_s(hold) is None
    assert segment_span("reversal", hold).end_s == 250.0
    assert segment_span("inbound", hold).reason is not None
    assert segment_span("final", hold).reason is not None


def test_never_established_the_reversal_runs_to_the_fix_and_inbound_was_not_flown():
    never = attempt(
        [
            ("outbound", 0.0, 100.0),
            ("reversal turn", 100.0, 160.0),
            ("intercept", 160.0, 220.0),
            ("final", 220.0, 300.0),
        ],
        [(0.0, "outbound"), (220.0, "inbound")],
        [None],
    )
    assert segment_span("reversal", never).end_s == 220.0
    found = measured(limit("inbound", "at or above", 4600), [(0, 5000), (300, 5000)], never)
    assert (found.worst_m, found.reason) == (None, "the inbound course was not established")


def test_start_and_end_of_a_violation_lie_on_the_limit():
    # down through 4600 ft at 210 s, back at 254 s, 40 ft under for nothing, lowest 4480 ft
    found = measured(
        limit("reversal", "at or above", 4600),
        [(0, 5000), (170, 5000), (222, 4480), (230, 4480), (270, 4680), (700, 4680)],
    )
    (one,) = found.violations
    assert one.start_s == pytest.approx(210.0, abs=MOMENT_S)
    assert one.end_s == pytest.approx(254.0, abs=MOMENT_S)
    assert one.worst_m / FOOT == pytest.approx(4480.0, abs=FEET)
    assert 222.0 <= one.worst_at_s <= 230.0
    assert found.worst_m / FOOT == pytest.approx(4480.0, abs=FEET)
    assert found.margin_m / FOOT == pytest.approx(-120.0, abs=FEET)
    assert found.sigma_m / FOOT == pytest.approx(20.0)


def test_a_violation_is_cut_at_the_segments_ends():
    low = [(0, 4400), (700, 4400)]
    found = measured(limit("reversal", "at or above", 4600), low)
    assert [(one.start_s, one.end_s) for one in found.violations] == [(100.0, 400.0)]
    found = measured(limit("arrival", "at or above", 5500), low)
    assert [(one.start_s, one.end_s) for one in found.violations] == [(0.0, 100.0)]


@pytest.mark.parametrize("seed", range(8))
def test_noise_of_20_ft_50_ft_above_a_minimum_is_no_violation(seed: int):
    found = measured(limit("reversal", "at or above", 4600), [(0, 4650), (700, 4650)], noise_ft=20.0, seed=seed)
    assert found.violations == ()
    assert found.margin_m / FOOT == pytest.approx(50.0, abs=25.0)


@pytest.mark.parametrize("seed", range(8))
def test_noise_of_20_ft_at_the_minimum_itself_is_no_violation(seed: int):
    found = measured(limit("reversal", "at or above", 4600), [(0, 4600), (700, 4600)], noise_ft=20.0, seed=seed)
    assert found.violations == ()


@pytest.mark.parametrize("seed", range(8))
def test_a_bust_of_80_ft_is_one_violation_in_20_ft_of_noise(seed: int):
    corners = [(0, 4660), (200, 4660), (214, 4520), (244, 4520), (258, 4660), (700, 4660)]
    found = measured(limit("reversal", "at or above", 4600), corners, noise_ft=20.0, seed=seed)
    (one,) = found.violations
    assert one.start_s == pytest.approx(206.0, abs=NOISY_MOMENT_S)
    assert one.end_s == pytest.approx(252.0, abs=NOISY_MOMENT_S)


@pytest.mark.parametrize("seed", range(8))
def test_an_early_descent_from_the_minimum_itself_starts_where_it_starts(seed: int):
    found = measured(
        limit("reversal", "at or above", 4600),
        [(0, 4600), (300, 4600), (400, 3767), (700, 3767)],
        noise_ft=10.0,
        seed=seed,
    )
    (one,) = found.violations
    assert one.start_s == pytest.approx(300.0, abs=NOISY_MOMENT_S)
    assert one.end_s == 400.0


def test_a_stated_altimeter_sigma_lowers_what_counts():
    shallow = [(0, 5000), (200, 5000), (201, 4585), (240, 4585), (241, 5000), (700, 5000)]
    assert measured(limit("reversal", "at or above", 4600), shallow).violations == ()
    assert len(measured(limit("reversal", "at or above", 4600), shallow, sigma_ft=5.0).violations) == 1
    assert measured(limit("reversal", "at or above", 4600), shallow).margin_m / FOOT == pytest.approx(-15.0, abs=FEET)


def test_maximum_and_block():
    high = [(0, 5000), (200, 5000), (220, 5200), (240, 5000), (700, 5000)]
    (one,) = measured(limit("reversal", "at or below", None, 5100), high).violations
    assert (one.start_s, one.end_s) == (pytest.approx(210.0, abs=MOMENT_S), pytest.approx(230.0, abs=MOMENT_S))
    found = measured(limit("reversal", "between", 4900, 5100), high)
    assert len(found.violations) == 1
    assert found.worst_m / FOOT == pytest.approx(5200.0, abs=FEET)


class TestExactAltitude:
    RULE = limit("reversal", "at", 4600, 4600)

    def test_within_100_ft_is_held(self):
        found = measured(self.RULE, [(0, 4690), (700, 4690)])
        assert found.violations == ()
        assert found.margin_m / FOOT == pytest.approx(10.0, abs=FEET)

    def test_descending_to_it_is_no_violation_until_reached(self):
        # 5500 ft down to 4600 ft at 10 ft/s, reached within 100 ft at 180 s; up through 4700 ft at 310 s
        corners = [(0, 5500), (100, 5500), (190, 4600), (300, 4600), (320, 4800), (340, 4600), (700, 4600)]
        (one,) = measured(self.RULE, corners).violations
        assert one.start_s == pytest.approx(310.0, abs=MOMENT_S)
        assert one.end_s == pytest.approx(330.0, abs=MOMENT_S)

    def test_through_it_and_beyond(self):
        (one,) = measured(self.RULE, [(0, 5500), (100, 5500), (200, 4400), (700, 4400)]).violations
        assert one.start_s == pytest.approx(100.0 + 1000.0 / 11.0, abs=MOMENT_S)
        assert one.end_s == 400.0

    def test_still_on_the_way_when_the_segment_ends(self):
        found = measured(self.RULE, [(0, 5500), (100, 5500), (400, 4900), (700, 4600)])
        assert found.violations == ()
        assert found.reason is not None

    def test_level_somewhere_else_all_along(self):
        (one,) = measured(self.RULE, [(0, 5000), (700, 5000)]).violations
        assert (one.start_s, one.end_s) == (100.0, 400.0)


class TestFinal:
    """The ground is at 1950 ft: below 3100 ft a landing may begin 1150 / 250 + 1 = 5.6 NM before the touchdown."""

    RULE = limit("final", "at or above", 3100)
    LANDING = ((0, 4600), (500, 4600), (600, 3300), (620, 3300), (680, 1950), (700, 1950))
    DOWN = touchdown(680.0, 1950.0)

    def test_the_last_descent_of_a_landing_is_none(self):
        found = measured(self.RULE, list(self.LANDING), down=self.DOWN, sigma_ft=0.0, reading_ft=10.0)
        assert found.violations == ()
        assert found.worst_m / FOOT == pytest.approx(3100.0, abs=FEET)
        assert found.judged_until_s == pytest.approx(620.0 + 200.0 / 22.5, abs=MOMENT_S)

    def test_a_steady_descent_from_the_fix_through_the_minimum_is_a_landing(self):
        # 4600 ft to 1950 ft in 180 s: 3100 ft is passed 78 s, 2.5 NM, before the touchdown
        corners = [(0, 4600), (500, 4600), (680, 1950), (700, 1950)]
        assert measured(self.RULE, corners, down=self.DOWN, sigma_ft=0.0).violations == ()

    def test_what_is_flown_level_below_the_minimum_before_a_landing_is_a_violation(self):
        """500 ft below the minimum, as flown 83 s long before a runway."""
        corners = [(0, 4600), (500, 4600), (550, 2600), (633, 2600), (680, 1950), (700, 1950)]
        found = measured(self.RULE, corners, down=self.DOWN, sigma_ft=0.0)
        (one,) = found.violations
        assert one.start_s == pytest.approx(537.5, abs=MOMENT_S)
        assert one.end_s == pytest.approx(633.0, abs=1.0)
        assert found.worst_m / FOOT == pytest.approx(2600.0, abs=2.0)

    @pytest.mark.parametrize(("lost_ft", "violations"), [(18.0, 0), (15.0, 1)])
    def test_level_is_under_100_feet_a_minute_for_10_s(self, lost_ft: float, violations: int):
        """16.7 ft in 10 s; 200 ft below the minimum."""
        corners = [(0, 4600), (500, 4600), (570, 2900), (580, 2900 - lost_ft), (680, 1950), (700, 1950)]
        found = measured(self.RULE, corners, down=self.DOWN, sigma_ft=0.0)
        assert len(found.violations) == violations

    @pytest.mark.parametrize(("away_nm", "violations"), [(5.5, 0), (5.7, 1)])
    def test_a_descent_that_began_too_far_away_is_one(self, away_nm: float, violations: int):
        """3100 ft are passed 100 s before the touchdown in a steady descent; the speed puts that so far away."""
        corners = [(0, 4600), (500, 4600), (580, 3100), (680, 1950), (700, 1950)]
        down = touchdown(680.0, 1950.0, away_nm * METRES_PER_NM / 100.0)
        assert len(measured(self.RULE, corners, down=down, sigma_ft=0.0).violations) == violations

    def test_through_a_minimum_that_is_not_known_to_the_foot_the_level_before_it_is_told(self):
        """Nearest is what was held, 3160 ft; never the limit itself, where the descent passed it."""
        corners = [(0, 4600), (500, 4600), (590, 3160), (630, 3160), (680, 1950), (700, 1950)]
        found = measured(self.RULE, corners, down=self.DOWN, sigma_ft=50.0)
        assert found.violations == ()
        assert found.margin_m / FOOT == pytest.approx(60.0, abs=20.0)

    def test_a_runway_before_the_fix_has_no_final_behind_it(self):
        ground = Ground(501.0, runway_before_fix=True)
        assert segment_span("final", ONE, ground).reason is not None

    def test_without_a_landing_it_is_one(self):
        (one,) = measured(self.RULE, list(self.LANDING)).violations
        assert one.start_s == pytest.approx(620.0 + 200.0 / 22.5, abs=MOMENT_S)

    def test_an_earlier_dip_before_the_landing_counts(self):
        corners = [(0, 4600), (500, 4600), (550, 2900), (560, 2900), (600, 3400), (640, 3400), (690, 1950), (700, 1950)]
        (one,) = measured(self.RULE, corners, down=touchdown(690.0, 1950.0)).violations
        assert one.end_s == pytest.approx(576.0, abs=MOMENT_S)

    def test_judged_to_the_threshold_alone(self):
        assert measured(self.RULE, list(self.LANDING), threshold_s=625.0).violations == ()
        (one,) = measured(self.RULE, list(self.LANDING), threshold_s=650.0).violations
        assert one.end_s == 650.0


def test_what_can_not_be_measured_says_why():
    made = procedure(altitudes=(limit("reversal", "at or above", 4600),))
    (none,) = measure_altitudes(ONE, made, RecordedProfile(None, None), Ground())
    assert (none.worst_m, none.reason) == (None, "the track has no altitudes")
    time = np.array([600.0, 650.0])
    late = AltitudeProfile(time, time, time, 1.0)
    (none,) = measure_altitudes(ONE, made, RecordedProfile(late, time), Ground())
    assert (none.worst_m, none.reason) == (None, "the track has no altitudes in this segment")
    no_arrival: Any = attempt([("outbound", 0.0, 50.0)], [(0.0, "outbound")], [None])
    made = procedure(altitudes=(limit("arrival", "at or above", 4600),))
    (none,) = measure_altitudes(no_arrival, made, RecordedProfile(late, time), Ground())
    assert none.reason == "the track starts at the fix"


#: arrival of half an hour, then the reversal
LONG = attempt([("arrival", 0.0, 1800.0), ("outbound", 1800.0, 1900.0)], [(1800.0, "outbound")], [])
#: the next attempt of a lesson begins in the climb from the last one
AGAIN = replace(LONG, number=2)


def arrival(corners: list[tuple[float, float]], flown: Attempt = LONG, took_off: bool = False) -> AltitudeMeasure:
    time = np.arange(0.0, flown.end_s + 0.5)
    profile = AltitudeProfile(
        time, np.interp(time, *zip(*corners, strict=True)) * FOOT, np.full(time.shape, 0.01), 0.01
    )
    made = procedure(altitudes=(limit("arrival", "at or above", 5000.0),))
    sigma = np.full(time.shape, 20.0 * FOOT)
    return measure_altitudes(flown, made, RecordedProfile(profile, sigma), Ground(took_off=took_off))[0]


def test_the_climb_after_take_off_breaks_no_arrival_minimum():
    climb = [(0.0, 800.0), (60.0, 800.0), (600.0, 5300.0), (1900.0, 5300.0)]
    flown = arrival(climb, took_off=True)
    assert flown.violations == ()
    assert flown.worst_m == pytest.approx(5300.0 * FOOT, abs=70.0 * FOOT)  # from where the climb ends
    assert flown.judged_from_s == pytest.approx(600.0, abs=15.0)
    # air work on the way, as in a lesson
    work = [(0.0, 800.0), (300.0, 3500.0), (500.0, 2900.0), (700.0, 3500.0), (1200.0, 5300.0), (1900.0, 5300.0)]
    assert arrival(work, took_off=True).violations == ()


def test_a_minimum_broken_after_the_climb_is_broken():
    dip = [(0.0, 800.0), (600.0, 5300.0), (1000.0, 5300.0), (1060.0, 4700.0), (1120.0, 5300.0), (1900.0, 5300.0)]
    (violation,) = arrival(dip, took_off=True).violations
    assert violation.start_s == pytest.approx(1030.0, abs=1.0)


def test_an_altitude_that_was_never_reached_after_take_off_is_judged_on_the_last_part_of_the_way():
    flown = arrival([(0.0, 800.0), (400.0, 4000.0), (1900.0, 4000.0)], took_off=True)
    (violation,) = flown.violations
    assert (violation.start_s, violation.end_s) == pytest.approx((1500.0, 1800.0))


def test_a_track_that_begins_in_the_climb_and_far_below_is_on_its_way():
    assert arrival([(0.0, 3000.0), (300.0, 5200.0), (1900.0, 5200.0)]).violations == ()
    # but not one that was low on the arrival and corrected it
    low = arrival([(0.0, 4600.0), (300.0, 4600.0), (360.0, 5200.0), (1900.0, 5200.0)])
    assert [violation.start_s for violation in low.violations] == [0.0]
    assert low.judged_from_s is None


def test_the_climb_from_a_missed_approach_back_to_the_fix_breaks_no_minimum_of_the_next_arrival():
    assert arrival([(0.0, 4200.0), (120.0, 5200.0), (1900.0, 5200.0)], AGAIN).violations == ()
    late = arrival([(0.0, 4200.0), (900.0, 4200.0), (1020.0, 5200.0), (1900.0, 5200.0)], AGAIN)
    assert [violation.start_s for violation in late.violations] == [0.0]


#: a lesson's first final, which the track goes on after
FINAL = attempt(
    [("arrival", 0.0, 100.0), ("inbound", 100.0, 200.0), ("final", 200.0, 900.0)], [(200.0, "inbound")], [150.0]
)


def final(touched_s: float | None, sigma_m: float = 0.0) -> AltitudeMeasure:
    corners = [(0.0, 2000.0), (300.0, 2000.0), (400.0, 1500.0), (500.0, 800.0), (900.0, 3000.0)]
    time = np.arange(0.0, 900.5)
    profile = AltitudeProfile(
        time, np.interp(time, *zip(*corners, strict=True)) * FOOT, np.full(time.shape, 0.01), 0.01
    )
    made = procedure(altitudes=(limit("final", "at or above", 1500.0),))
    return measure_altitudes(
        FINAL,
        made,
        RecordedProfile(profile, np.full(time.shape, sigma_m), 10.0 * FOOT),
        Ground(touchdown=None if touched_s is None else touchdown(touched_s, 800.0)),
    )[0]


def test_a_touch_and_go_is_a_landing_and_a_descent_without_one_is_none():
    assert len(final(None).violations) == 1
    assert final(500.0).violations == ()
    assert final(500.0).worst_m == pytest.approx(1500.0 * FOOT, abs=FEET)


class TestReading:
    """An indicated altitude decides: at a minimum and within 10 ft of it inside, beyond outside (own choice)."""

    RULE = limit("reversal", "at or above", 4600)

    @pytest.mark.parametrize(("low_ft", "violations"), [(0.0, 0), (9.5, 0), (10.5, 1), (30.0, 1)])
    def test_below_a_minimum_for_20_s(self, low_ft: float, violations: int):
        corners = [(0, 4700), (200, 4700), (210, 4600 - low_ft), (230, 4600 - low_ft), (240, 4700), (700, 4700)]
        found = measured(self.RULE, corners, sigma_ft=0.0, reading_ft=10.0)
        assert len(found.violations) == violations
        assert found.reading_m == pytest.approx(10.0 * FOOT)

    def test_an_altitude_to_be_held_has_its_band_and_no_more(self):
        rule = limit("reversal", "at", 4600, 4600)
        assert measured(rule, [(0, 4600), (700, 4600)], sigma_ft=0.0, reading_ft=10.0).reading_m == 0.0
