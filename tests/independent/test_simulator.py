"""The simulator against what can be worked out by hand, so that what it says of the program can be believed."""

import math

import pytest

from tests.benchmarks.examiner.rows_turns import ASKED_S, TAIL
from tests.independent.ahead import hold_answer, straight, turned
from tests.independent.aircraft import (
    KNOT,
    NAUTICAL_MILE,
    Air,
    Aircraft,
    Line,
    bank_for_rate_deg,
    normal_bank_deg,
    roll_out_lead_deg,
    wrap,
)
from tests.independent.cockpit import Cockpit, passed, started
from tests.independent.pilot import Pilot
from tests.independent.procedures import INBOUND_DEG
from tests.independent.recording import indicated_kt
from tests.independent.reversals import Charted, expected_entry

ONE_METRE = 1.0


def aircraft(tas_kt: float = 100.0, air: Air | None = None, heading_deg: float = 0.0) -> Aircraft:
    return Aircraft(0.0, 0.0, heading_deg, 4000.0, tas_kt, air or Air())


def test_banks_for_three_degrees_a_second():
    """IFH ch. 7: about 15 % of the airspeed; exact by tan(bank) = V w / g: 13.9 at 90 kt, 18.2, 22.4 at 150."""
    assert [round(bank_for_rate_deg(3.0, kt), 1) for kt in (90.0, 120.0, 150.0)] == [13.9, 18.2, 22.4]
    assert normal_bank_deg(200.0) == 25.0


def test_radius_of_a_turn_in_still_air():
    """V / w: half a circle at 3 deg/s and 100 kt is 2 * 100 / (60 pi) NM across; rolling lengthens it."""
    one = turned(aircraft(), 1, degrees=180.0, bank_deg=bank_for_rate_deg(3.0, 100.0))
    across = one.east_m / NAUTICAL_MILE
    assert across == pytest.approx(2.0 * 100.0 / (60.0 * math.pi), abs=0.005)
    rolling_s = bank_for_rate_deg(3.0, 100.0) / 5.0
    assert one.time_s == pytest.approx(60.0 + rolling_s, abs=0.2)
    assert wrap(one.heading_deg - 180.0) == pytest.approx(0.0, abs=0.3)


def test_wind_carries_a_turn_by_its_time():
    wind = Air(270.0, 30.0)
    still, blown = turned(aircraft(), 1, degrees=260.0), turned(aircraft(air=wind), 1, degrees=260.0)
    assert blown.east_m - still.east_m == pytest.approx(30.0 * KNOT * blown.time_s, abs=ONE_METRE)
    assert blown.north_m == pytest.approx(still.north_m, abs=ONE_METRE)


def test_the_wind_triangle_of_the_handbook():
    """FAA-H-8083-25 ch. 16, Figs 16-20 to 16-22: course 090, wind 045/40, 120 kt: 14 left, 88 kt over the ground."""
    wind = Air(45.0, 40.0)
    assert round(wind.crab_deg(90.0, 120.0)) == -14
    assert round(wind.groundspeed_kt(90.0, 120.0)) == 88


def test_roll_out_lead_is_what_the_roll_turns():
    banked = aircraft()
    for _ in range(300):
        banked.step(20.0, 0.0)
    before = banked.heading_deg
    while banked.bank_deg > 0.0:
        banked.step(0.0, 0.0)
    assert wrap(banked.heading_deg - before) == pytest.approx(roll_out_lead_deg(20.0, 100.0), abs=0.2)


@pytest.mark.parametrize("side", [1, -1])
def test_still_air_asks_for_the_reciprocal_and_the_minute(side):
    answer = hold_answer(Line(125.0), side, 100.0, Air())
    assert wrap(answer.heading_deg - 305.0) == pytest.approx(0.0, abs=0.3)
    assert answer.inbound_s == pytest.approx(60.0, abs=1.0)
    # rolling into each of the two turns moves their middles apart: by what the aircraft flies meanwhile, 2 to 3 s
    assert answer.seconds == pytest.approx(60.0, abs=4.0)


def test_small_wind_across_asks_for_three_times_the_drift():
    """AIM 5-3-8 j8 c, for the one-minute leg."""
    wind = Air(35.0, 4.0)
    answer = hold_answer(Line(125.0), 1, 100.0, wind)
    drift = wind.crab_deg(125.0, 100.0)
    assert wrap(answer.heading_deg - 305.0) / -drift == pytest.approx(3.0, abs=0.2)


def test_the_wind_of_the_short_holds():
    answer = hold_answer(Line(INBOUND_DEG), 1, 100.0, TAIL)
    assert answer.seconds == pytest.approx(ASKED_S, abs=1.0)
    assert answer.found


def test_mirrored_wind_and_side_mirror_the_answer():
    one = hold_answer(Line(0.0), 1, 110.0, Air(60.0, 20.0))
    other = hold_answer(Line(0.0), -1, 110.0, Air(300.0, 20.0))
    assert wrap(one.heading_deg - 180.0) == pytest.approx(-wrap(other.heading_deg - 180.0), abs=0.1)
    assert one.seconds == pytest.approx(other.seconds, abs=1.0)


def test_a_course_is_tracked_and_joined():
    c = started(Line(90.0), -8.0, 1.0, 4000.0, 100.0, Air(180.0, 25.0))
    c.track(Line(90.0), passed(Line(90.0), -1.0))
    assert abs(Line(90.0).right_m(c.aircraft)) < 10.0
    c = started(Line(45.0), -4.0, 0.0, 4000.0, 100.0, Air(180.0, 25.0))
    c.join(Line(90.0))
    assert abs(Line(90.0).right_m(c.aircraft)) < 150.0
    assert abs(wrap(c.aircraft.ground_track_deg - 90.0)) < 2.0


def test_altitudes_are_reached_and_not_passed():
    c = Cockpit(aircraft())
    c.descend(3000.0, 500.0)
    c.hold(0.0, 180.0)
    lowest = min(moment.altitude_ft for moment in c.moments)
    assert 2999.0 <= lowest <= 3003.0
    at_level = next(moment.time_s for moment in c.moments if moment.altitude_ft < 3010.0)
    assert at_level == pytest.approx(120.0, abs=40.0)


@pytest.mark.parametrize("seed", range(5))
def test_errors_stay_inside_what_was_said(seed):
    c = Cockpit(aircraft(), pilot=Pilot(heading_deg=6.0, altitude_ft=60.0, speed_kt=8.0), seed=seed)
    c.hold(0.0, 400.0)
    assert max(abs(moment.altitude_ft - 4000.0) for moment in c.moments) <= 60.0
    assert max(abs(moment.tas_kt - 100.0) for moment in c.moments) <= 8.0
    assert max(abs(wrap(moment.heading_deg)) for moment in c.moments) <= 6.5
    assert max(abs(moment.altitude_ft - 4000.0) for moment in c.moments) > 20.0


@pytest.mark.parametrize(
    ("arrival_deg", "entry"),
    [(0.0, "direct"), (100.0, "direct"), (179.0, "teardrop"), (115.0, "teardrop"), (181.0, "parallel"),
     (285.0, "parallel"), (295.0, "direct"), (105.0, "direct")],
)  # fmt: skip
def test_entry_sectors(arrival_deg, entry):
    """AIM 5-3-8 j, the figure of the sectors, right turns, inbound 360: teardrop from 110 to 180, parallel to 290."""
    assert expected_entry(Charted(0.0, 1), arrival_deg) == entry
    assert expected_entry(Charted(0.0, -1), -arrival_deg) == entry


def test_indicated_airspeed_at_six_thousand_feet():
    """Square root of sigma 0.8359 at 6000 ft (ISA table)."""
    assert indicated_kt(100.0, 6000.0) == pytest.approx(100.0 * math.sqrt(0.8359), abs=0.05)


def test_straight_flight_drifts_with_the_wind():
    one = straight(aircraft(air=Air(0.0, 20.0), heading_deg=90.0), 60.0)
    assert one.north_m == pytest.approx(-20.0 * KNOT * 60.0, abs=ONE_METRE)
    assert one.east_m == pytest.approx(100.0 * KNOT * 60.0, abs=ONE_METRE)
