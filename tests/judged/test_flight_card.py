"""The card for the next flight: headings, times and rates against the procedure and the wind triangle."""

import re
from dataclasses import replace

import pytest

from analyzer.given.procedure import AltitudeLimit, Guidance, Place, Procedure
from analyzer.given.reversal_names import Entry, FlownAs
from analyzer.given.wind import Wind, wind_from
from analyzer.judged.flight_card import FlightCard, card_for_plan
from analyzer.planned.solver.solve import Asked, solve
from analyzer.planned.solver.values import SolvedPlan
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


def card_for(
    procedure: Procedure, tas_mps: float, wind: Wind | None, method: FlownAs, entry: Entry | None = None
) -> FlightCard:
    return card_for_plan(procedure, solve(Asked(procedure, tas_mps, wind, method, entry)))


def _heading(text: str, before: str) -> int:
    found = re.search(before + r" (\d{3})°", text, re.IGNORECASE)
    assert found is not None, text
    return int(found[1])


def test_still_air_says_what_the_chart_says() -> None:
    """Course 118 magnetic: outbound 298, 45 degrees right is 343, its reciprocal 163."""
    text = card_for(TURN, 110 * KT, None, "45/180").spoken
    assert text.startswith("Still air, true airspeed 110 kt; turns at 3°/s, 17° of bank.")
    assert _heading(text, "Outbound heading") == 298
    assert "Turn right to 343°; start the clock with wings level: 1:00." in text
    assert "Turn left 180° to 163° and intercept." in text
    assert _heading(text, "Inbound heading") == 118
    assert "2:00 from over HRF" in text
    assert "Turn right onto 118° when the needle is 1 dot out" not in text
    assert "wind" not in text


def test_the_wind_triangle_gives_the_outbound_heading() -> None:
    """20 kt straight across at 120 kt: arcsin(20/120) is 9.6 degrees into the wind, here from the left outbound."""
    text = card_for(TURN, 120 * KT, wind_from(215.0, 20 * KT), "45/180").spoken
    assert abs(_heading(text, "Outbound heading") - (298 - 10)) <= A_DEGREE
    assert "(10° left for the wind)" in text
    assert abs(_heading(text, "Inbound heading") - (118 + 10)) <= A_DEGREE


def test_a_hold_asks_for_three_times_the_inbound_correction() -> None:
    text = card_for(HOLD, 120 * KT, wind_from(215.0, 12 * KT), "hold").spoken
    inbound = _heading(text, "Inbound heading") - 118
    outbound = 298 - _heading(text, "turn right to")
    assert inbound > 0
    assert abs(outbound - 3 * inbound) <= 3 * A_DEGREE
    assert "Clock from abeam HRF or wings level, the later: " in text
    assert "does as a cockpit rule here" in text


def test_three_times_the_drift_is_refused_where_it_misses_the_course() -> None:
    """4 NM legs take over two minutes at 110 kt: about 1 + 2/T times the drift, not three times it."""
    long = replace(HOLD, outbound_s=None, outbound_m=4 * METRES_PER_NM)
    text = card_for(long, 110 * KT, wind_from(35.0, 25 * KT), "hold").spoken
    inbound = 118 - _heading(text, "inbound heading")
    outbound = _heading(text, "turn right to") - 298
    assert 1.6 * inbound < outbound < 2.0 * inbound
    assert re.search(r"Three times the drift, 39°, would roll out 1\.\d NM off: not on this leg\.", text)


def test_an_entry_comes_before_the_circuit() -> None:
    text = card_for(DELAY, 110 * KT, None, "hold", "teardrop").spoken
    assert _heading(text, "Outbound heading") == 268  # 30 degrees into the holding side of 298
    assert text.index("268°") < text.index("298°")


@pytest.mark.parametrize("entry", ["teardrop", "parallel"])
def test_a_hold_in_lieu_ends_with_its_entry(entry: Entry) -> None:
    """AIM 5-4-9 a5: the manoeuvre is complete when established inbound after the entry; no circuit is asked for."""
    delay = card_for(DELAY, 110 * KT, None, "hold", entry)
    lieu = card_for(HOLD, 110 * KT, None, "hold", entry)
    assert "turn right to 298°" in delay.spoken
    assert "turn right to 298°" not in lieu.spoken
    assert lieu.spoken.lower().count("inbound heading") == 1
    assert len(lieu.lines) < len(delay.lines)
    if entry == "teardrop":  # a parallel entry in lieu intercepts more steeply: it has to be established before the fix
        assert delay.lines[: len(lieu.lines) - 2] == lieu.lines[:-2], "the entry, then the descents"
    assert [line.split()[0] for line in lieu.lines[-2:]] == ["Outbound", "Too"]


def test_an_entry_in_lieu_is_established_before_the_fix() -> None:
    """30 % of the airspeed from any side: ten seconds on the course are left, or one circuit more is asked for."""
    for from_deg in range(0, 360, 15):
        for entry in ("teardrop", "parallel"):
            made = card_for(HOLD, 100 * KT, wind_from(float(from_deg), 30 * KT), "hold", entry)  # type: ignore[arg-type]
            assert isinstance(made.plan, SolvedPlan)
            more = "ask for one circuit more" in made.spoken
            first = sum(leg.duration_s for leg in made.plan.legs if leg.phase == "inbound" and leg.lap == 1)
            assert more == (first < 10.0)


def test_a_turn_that_ends_on_the_course_is_one_turn() -> None:
    """Left turns, 17 kt across: the outbound correction makes the turn inbound about 150 degrees, without a stop."""
    left = replace(DELAY, turn_side="left")
    text = card_for(left, 111 * KT, wind_from(210.0, 17 * KT), "hold").spoken
    assert re.search(r"Turn left 1[45]\d° onto the course, inbound heading 127°\.", text)
    assert "intercept" not in text


def test_an_entry_that_ends_beyond_the_course_says_so_without_a_word_of_wind() -> None:
    """30 degrees for a minute is 0.15 NM too narrow for a rate one turn at 110 kt: r/tan 15 is 70 s."""
    text = card_for(DELAY, 110 * KT, None, "hold", "teardrop").spoken
    assert "That turn ends 0.15 NM beyond the course: correct to it." in text
    assert "wind" not in text


def test_distances_are_said_as_they_are_read() -> None:
    """A station 15 NM behind the fix shows 20 where the leg of 5 NM ends; an NDB shows bearings."""
    behind = Place(FIX.latitude_deg - 15.0 / 60.0 * 0.5736, FIX.longitude_deg + 15.0 / 60.0 * 0.8192 / 0.6921, "STA")
    far = replace(DELAY, outbound_s=None, outbound_m=5 * METRES_PER_NM, guidance=Guidance("VOR", behind, 10.0, None))
    assert re.search(r"to (20|20\.1|19\.9) DME\.", card_for(far, 110 * KT, None, "hold").spoken)
    ndb = card_for(replace(TURN, guidance=Guidance("NDB", FIX, 10.0, None)), 110 * KT, None, "45/180").spoken
    assert re.search(r"Turn left onto 118° when the bearing is \d° from 118°\.", ndb)
    assert "needle" not in ndb


def test_a_descent_too_steep_for_the_outbound_leg_takes_the_turn_as_well() -> None:
    """1,000 ft in one minute is over the 804 ft of Doc 8168 Table I-4-3-1; with the minute of the turn it is not."""
    text = card_for(HOLD, 110 * KT, None, "hold").spoken
    found = re.search(r"Outbound and in the turn back, as cleared, not below 4,600 ft; (\d+) ft/min is enough\.", text)
    assert found is not None
    assert 450 <= int(found[1]) <= 550


def test_no_card_orders_a_dive() -> None:
    """1,000 ft in the minute inbound is over the 655 ft of Doc 8168 Table I-4-3-1, category A: nothing is ordered."""
    text = card_for(HOLD, 110 * KT, None, "hold").spoken
    assert (
        "Too high inbound for a normal descent from 4,600 ft to 3,600 ft: arrive lower, go round once more or ask."
        in text
    )
    rates = [int(found.replace(",", "")) for found in re.findall(r"([\d,]+) ft/min", text)]
    assert rates
    assert max(rates) <= 804
    assert "or more" not in text


def test_an_80_260_in_a_crosswind_holds_before_turning_back() -> None:
    still = card_for(TURN, 110 * KT, None, "80/260").spoken
    blown = card_for(TURN, 110 * KT, wind_from(35.0, 25 * KT), "80/260").spoken
    assert "Turn right 80° to 018°, then at once the other way. Turn left 260°" in still
    assert re.search(r"Turn right 80° to \d{3}°, hold it wings level for \d+ seconds\.", blown)


def test_a_leg_by_distance_says_the_distance() -> None:
    by_distance = replace(HOLD, outbound_s=None, outbound_m=4 * METRES_PER_NM)
    assert "to 4 DME" in card_for(by_distance, 110 * KT, None, "hold").spoken


def test_the_descent_fits_into_the_leg() -> None:
    """1,000 ft in the 2:00 outbound in still air: 500 ft a minute, rounded up to the next 50."""
    text = card_for(TURN, 110 * KT, None, "45/180").spoken
    assert "Outbound, as cleared, not below 4,600 ft; 500 ft/min is enough." in text


def test_a_wind_as_fast_as_the_aircraft_is_said_to_be_too_much() -> None:
    card = card_for(TURN, 60 * KT, wind_from(35.0, 70 * KT), "45/180")
    assert card.lines == ()
    assert "70 kt of wind at 60 kt: not with this speed" in card.conditions


@pytest.mark.parametrize("method", ["45/180", "80/260", "teardrop", "racetrack", "hold"])
@pytest.mark.parametrize("from_deg", [0.0, 80.0, 125.0, 215.0, 300.0])
def test_every_card_is_short_enough_to_read_aloud(method: str, from_deg: float) -> None:
    procedure = HOLD if method == "hold" else TURN
    card = card_for(procedure, 110 * KT, wind_from(from_deg, 22 * KT), method)  # type: ignore[arg-type]
    assert 3 <= len(card.lines) <= 9
    assert len(card.spoken.split()) <= MOST_WORDS
    assert "nan" not in card.spoken
    assert all(line.endswith(".") for line in card.lines)
