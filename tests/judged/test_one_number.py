"""One quantity, one number: finding, table, cause, card and result file of drawn flights say the same.

ONE_NUMBER_FLIGHTS=500 flies as many; the quick run a few of each kind. The drawing is the same each time.
"""

import os
import random
import re
from dataclasses import replace
from typing import Any

import pytest

from analyzer.judged.assessment import AssessedAttempt, Assessment, assess_track
from analyzer.planned.solver.values import SolvedPlan
from analyzer.shown.report.view.tables import attempt_tables
from analyzer.shown.result.result import result_dict
from analyzer.synthesis import AUTOPILOT, FlightPlan, FlyingError, Sensor, fly
from analyzer.units.factors import METRES_PER_NM, MPS_PER_KNOT
from tests.judged.test_flight_card import DELAY, HOLD, TURN

FLIGHTS = int(os.environ.get("ONE_NUMBER_FLIGHTS", "12"))
ERRORS = (
    None, ("no wind correction", None), ("long timing", 25.0), ("short timing", 20.0), ("wrong heading", 15.0),
    ("shallow bank", 8.0), ("overshoot", 900.0),
)  # fmt: skip
LAST_PLACE = 0.006


def drawn(number: int) -> tuple[Assessment, Any]:
    """Return one flight of the drawing, assessed."""
    chance = random.Random(number)
    procedure = (TURN, TURN, HOLD, DELAY)[number % 4]
    method = "hold" if procedure.is_hold else ("45/180", "80/260")[number // 4 % 2]
    error = chance.choice(ERRORS)
    plan = FlightPlan(
        method,  # type: ignore[arg-type]
        tas_mps=chance.uniform(90.0, 140.0) * MPS_PER_KNOT,
        wind_from_deg_true=chance.uniform(0.0, 360.0),
        wind_speed_mps=chance.uniform(5.0, 25.0) * MPS_PER_KNOT,
        pilot=replace(AUTOPILOT, wind_correction=chance.choice((0.0, 0.5, 1.0))),
        errors=() if error is None else (FlyingError(*error),),  # type: ignore[arg-type]
        laps=2 if procedure is DELAY else 1,
    )
    flight = fly(procedure, plan, number, Sensor(interval_s=1.0, white_m=2.0))
    return assess_track(flight.track, procedure), procedure


@pytest.mark.parametrize("number", range(FLIGHTS))
def test_every_number_of_a_quantity_is_the_same_everywhere(number: int) -> None:
    assessment, procedure = drawn(number)
    written = result_dict(assessment)["attempts"]
    for one, file in zip(assessment.attempts, written, strict=True):
        solved = one.measures.solved
        if not isinstance(solved, SolvedPlan):
            continue
        _card(one, solved, file)
        _timing(one, solved, file)
        _headings(one, solved, procedure)
        _tables(assessment, one, solved)
        _causes(one, solved, file, procedure)


def _card(one: AssessedAttempt, solved: SolvedPlan, file: Any) -> None:
    """The card is the plan that the flight was held against where its entry was flown, and its words are its data."""
    card, data = one.cards[0], file["cards"][0]["plan"]
    assert isinstance(card.plan, SolvedPlan)
    if one.attempt.entry == one.attempt.entry_expected:
        entry_legs = [leg for leg in solved.legs if leg.lap <= card.plan.legs[-1].lap]
        assert [leg.timed_s for leg in card.plan.legs] == [leg.timed_s for leg in entry_legs]
    spoken = card.spoken
    for leg in data["legs"]:
        if leg["phase"] in ("outbound", "offset leg") and leg["kind"] == "leg":
            assert any(f"{degrees % 360 or 360:03d}°" in spoken for degrees in _whole(leg["heading_magnetic_deg"]))
            if leg["time_s"] is not None:
                assert any(_clock(seconds) in spoken for seconds in _whole(leg["time_s"]))


def _whole(written: float) -> set[int]:
    """Return what a number that the file has to two places may be as a whole one: two at a tie."""
    return {round(written - LAST_PLACE), round(written + LAST_PLACE)}


def _clock(seconds: float) -> str:
    whole = round(seconds)
    return f"{whole // 60}:{whole % 60:02d}" if whole >= 60 else f"{whole} seconds"


def _timing(one: AssessedAttempt, solved: SolvedPlan, file: Any) -> None:
    timing = one.measures.timing
    if timing is None or timing.wind_adjusted_s is None:
        return
    assert timing.wind_adjusted_s == solved.timed_s(timing.leg, timing.lap)
    assert file["timing"]["wind_adjusted_s"] == pytest.approx(timing.wind_adjusted_s, abs=LAST_PLACE)
    for finding in one.judgement.findings:
        if finding.code in ("leg-too-long", "leg-too-short"):
            told = re.search(r"turn at (\d+) s", finding.advice)
            if told is not None:
                assert int(told[1]) == round(timing.wind_adjusted_s)


def _headings(one: AssessedAttempt, solved: SolvedPlan, procedure: Any) -> None:
    for finding in one.judgement.findings:
        if finding.code not in ("no-wind-correction", "wind-correction-wrong-way", "heading-off"):
            continue
        assert finding.phase is not None
        heading = solved.heading_true_deg(finding.phase, finding.lap or 1)
        assert heading is not None
        assert f"{round(procedure.magnetic_deg(heading)) % 360 or 360:03d}°" in finding.advice


def _tables(assessment: Assessment, one: AssessedAttempt, solved: SolvedPlan) -> None:
    if one.attempt.flown_as != "hold":
        return
    legs = next(table for table in attempt_tables(assessment, one, ()) if table.key == "legs")
    for row, leg in zip(legs.rows, one.measures.legs, strict=True):
        if leg.phase != "outbound" or (leg.lap == 1 and one.attempt.entry in ("teardrop", "parallel")):
            continue
        heading = solved.heading_true_deg("outbound", leg.lap)
        assert heading is not None
        assert leg.course_true_deg is not None
        asked = (heading - leg.course_true_deg + 180.0) % 360.0 - 180.0
        assert float(row[-1].text.replace("−", "-").replace("+", "").rstrip("°")) == pytest.approx(asked, abs=0.5)


def _causes(one: AssessedAttempt, solved: SolvedPlan, file: Any, procedure: Any) -> None:
    if one.causes is None:
        return
    for effect, written in zip(one.causes.effects, file["causes"]["effects"], strict=True):
        if effect.name == "overshoot" and (one.measures.intercept.overshoot_m or 0.0) > 0.08 * METRES_PER_NM:
            assert effect.size_m == one.measures.intercept.overshoot_m
            assert written["size_nm"] == file["intercept"]["overshoot_nm"]
        for cause in effect.causes:
            assert cause.before_m == effect.size_m
            if cause.name == "outbound heading" or (cause.name == "wind correction" and one.attempt.flown_as == "hold"):
                heading = solved.heading_true_deg("outbound", one.causes.lap)
                assert heading is not None
                assert f"{round(procedure.magnetic_deg(heading)) % 360 or 360:03d}°" in cause.text
            if cause.name == "outbound time":
                assert cause.asked == solved.timed_s("outbound", one.causes.lap)
            if cause.name == "rate of turn":
                assert cause.asked == solved.rate_deg_s
