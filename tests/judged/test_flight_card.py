"""The card for the next flight: headings, times and rates against the procedure and the wind triangle."""

import re
from dataclasses import replace

import pytest

from analyzer.given.procedure import AltitudeLimit, Guidance, Place, Procedure
from analyzer.given.reversal_names import Entry
from analyzer.given.wind import wind_from
from analyzer.judged.flight_card import flight_card
from analyzer.units.factors import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT

KT, FT = MPS_PER_KNOT, METRES_PER_FOOT
FIX = Place(46.2, -101.5, "HRF", 580.0)
LIMITS = tuple(
    AltitudeLimit(segment, "at or above", feet * FT, None)  # type: ignore[arg-type]
    for segment, feet in (("arrival", 5600.0), ("reversal", 4600.0), ("inbound", 3600.0))
)
TURN = Procedure(
    "VOR-A", "procedure turn", FIX, 125.0, 7.0, "file", "right", 305.0, 350.0, Guidance("VOR", FIX, 10.0, None),
    10 * METRES_PER_NM, 60.0, None, "wings level", 200 * KT, LIMITS, "US", "A",
)  # fmt: skip
HOLD = replace(TURN, reversal="hold in lieu", remain_within_m=None, turn_side="right")
DELAY = replace(HOLD, reversal="holding")
A_DEGREE = 1
MOST_WORDS = 115  # three quarters of a minute read aloud


def _heading(text: str, before: str) -> int:
    found = re.search(before + r" (\d{3})°", text, re.IGNORECASE)
    assert found is not None, text
    return int(found[1])


def test_still_air_says_what_the_chart_says() -> None:
    """Course 118 magnetic: outbound 298, 45 degrees right is 343, its reciprocal 163."""
    text = flight_card(TURN, 110 * KT, None, "45/180").spoken
    assert text.startswith("Still air, true airspeed 110 kt.")
    assert _heading(text, "Outbound heading") == 298
    assert "Turn right to 343°, 1:00 from wings level." in text
    assert "Turn left 180° to 163° and intercept." in text
    assert _heading(text, "Inbound heading") == 118
    assert "for the wind" not in text


def test_the_wind_triangle_gives_the_outbound_heading() -> None:
    """20 kt straight across at 120 kt: arcsin(20/120) is 9.6 degrees into the wind, here from the left outbound."""
    text = flight_card(TURN, 120 * KT, wind_from(215.0, 20 * KT), "45/180").spoken
    assert abs(_heading(text, "Outbound heading") - (298 - 10)) <= A_DEGREE
    assert "(10° left for the wind)" in text
    assert abs(_heading(text, "Inbound heading") - (118 + 10)) <= A_DEGREE


def test_a_hold_asks_for_three_times_the_inbound_correction() -> None:
    text = flight_card(HOLD, 120 * KT, wind_from(215.0, 12 * KT), "hold").spoken
    inbound = _heading(text, "Inbound heading") - 118
    outbound = 298 - _heading(text, "Turn right to")
    assert inbound > 0
    assert abs(outbound - 3 * inbound) <= 3 * A_DEGREE
    assert "from abeam or wings level" in text


def test_an_entry_comes_before_the_circuit() -> None:
    text = flight_card(DELAY, 110 * KT, None, "hold", "teardrop").spoken
    assert _heading(text, "Outbound heading") == 268  # 30 degrees into the holding side of 298
    assert text.index("268°") < text.index("298°")


@pytest.mark.parametrize("entry", ["teardrop", "parallel"])
def test_a_hold_in_lieu_ends_with_its_entry(entry: Entry) -> None:
    """AIM 5-4-9 a5: the manoeuvre is complete when established inbound after the entry; no circuit is asked for."""
    delay = flight_card(DELAY, 110 * KT, None, "hold", entry)
    lieu = flight_card(HOLD, 110 * KT, None, "hold", entry)
    assert "Turn right to 298°" in delay.spoken
    assert "Turn right to 298°" not in lieu.spoken
    assert lieu.spoken.lower().count("inbound heading") == 1
    assert delay.lines[: len(lieu.lines) - 2] == lieu.lines[:-2]  # the entry, then the descents
    assert [line.split()[0] for line in lieu.lines[-2:]] == ["Outbound", "Established,"]


def test_a_circuit_in_lieu_is_asked_for_where_the_entry_ends_at_the_fix() -> None:
    text = flight_card(HOLD, 100 * KT, wind_from(30.0, 25 * KT), "hold", "parallel").spoken
    assert "That leaves no time to be established before the fix: ask for one circuit more. Turn right to" in text


def test_a_turn_that_goes_on_onto_the_course_is_one_turn() -> None:
    """Left turns, 17 kt across: the three times correction makes the turn inbound about 145 degrees, without a stop."""
    left = replace(DELAY, turn_side="left")
    text = flight_card(left, 111 * KT, wind_from(210.0, 17 * KT), "hold").spoken
    assert re.search(r"Turn left 14\d° onto the course, inbound heading 127°\.", text)
    assert "intercept" not in text


def test_a_turn_blown_across_the_course_says_so() -> None:
    left = replace(DELAY, turn_side="left")
    text = flight_card(left, 99 * KT, wind_from(40.0, 24 * KT), "hold", "teardrop").spoken
    assert "the wind carries the turn across the course; intercept from there." in text
    still = flight_card(left, 99 * KT, None, "hold", "parallel").spoken
    assert "carries" not in still


def test_a_descent_too_steep_for_the_outbound_leg_takes_the_turn_as_well() -> None:
    """1,000 ft in one minute is over the 804 ft of Doc 8168 Table I-4-3-1; with the minute of the turn it is not."""
    text = flight_card(HOLD, 110 * KT, None, "hold").spoken
    found = re.search(r"Outbound and in the turn back, descend to 4,600 ft at (\d+) feet a minute or more\.", text)
    assert found is not None
    assert 450 <= int(found[1]) <= 550


def test_an_80_260_in_a_crosswind_holds_before_turning_back() -> None:
    still = flight_card(TURN, 110 * KT, None, "80/260").spoken
    blown = flight_card(TURN, 110 * KT, wind_from(35.0, 25 * KT), "80/260").spoken
    assert "Turn right 80°, then at once the other way. Turn left 260°" in still
    assert re.search(r"Turn right 80°, hold for \d+ seconds\.", blown)


def test_a_leg_by_distance_says_the_distance() -> None:
    by_distance = replace(HOLD, outbound_s=None, outbound_m=4 * METRES_PER_NM)
    assert "to 4 NM from the fix" in flight_card(by_distance, 110 * KT, None, "hold").spoken


def test_the_descent_fits_into_the_leg() -> None:
    """1,000 ft in the 2:00 outbound in still air: 500 ft a minute, rounded up to the next 50."""
    text = flight_card(TURN, 110 * KT, None, "45/180").spoken
    assert "2:00." in text
    assert "Outbound, descend to 4,600 ft at 500 feet a minute or more." in text


def test_a_wind_as_fast_as_the_aircraft_is_said_to_be_too_much() -> None:
    card = flight_card(TURN, 60 * KT, wind_from(35.0, 70 * KT), "45/180")
    assert card.lines == ()
    assert "no heading holds the tracks in this wind" in card.conditions


@pytest.mark.parametrize("method", ["45/180", "80/260", "teardrop", "racetrack", "hold"])
@pytest.mark.parametrize("from_deg", [0.0, 80.0, 125.0, 215.0, 300.0])
def test_every_card_is_short_enough_to_read_aloud(method: str, from_deg: float) -> None:
    procedure = HOLD if method == "hold" else TURN
    card = flight_card(procedure, 110 * KT, wind_from(from_deg, 22 * KT), method)  # type: ignore[arg-type]
    assert 3 <= len(card.lines) <= 9
    assert len(card.spoken.split()) <= MOST_WORDS
    assert "nan" not in card.spoken
    assert all(line.endswith(".") for line in card.lines)
