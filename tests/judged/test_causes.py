"""Why it happened: the re-flight's kinematics, and known errors of synthesized flights found again."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from analyzer.flown import Flight, air_motion
from analyzer.given.procedure import AltitudeLimit, Guidance, Place, Procedure
from analyzer.given.wind import wind_from
from analyzer.judged.assessment import Assessment, assess_track
from analyzer.judged.causes import Causes, explain
from analyzer.judged.causes.effects import measured_roll_out
from analyzer.judged.causes.finding import FINDINGS_OF
from analyzer.judged.causes.reflight import ROLL_S, Reflight, Straight, Turn, fly, parallel_point
from analyzer.planned import Plan
from analyzer.planned.solver.values import SolvedPlan
from analyzer.synthesis import (
    AUTOPILOT,
    Flight as SynthesizedFlight,
    FlightPlan,
    FlyingError,
    Sensor,
    fly as synthesize,
)
from analyzer.units.factors import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT
from tests.benchmarks.cards.runs import assessed
from tests.independent.aircraft import Air
from tests.independent.flights import Flight as Flown, fly as fly_flight
from tests.independent.procedures import INBOUND_DEG

FIX = Place(46.2, -101.5, "HRF", 580.0)
PROCEDURE = Procedure(
    "VOR-A", "procedure turn", FIX, 125.0, 7.0, "file", "right", 305.0, 350.0, Guidance("VOR", FIX, 10.0, None),
    10 * METRES_PER_NM, 60.0, None, "wings level", 200 * MPS_PER_KNOT,
    (AltitudeLimit("reversal", "at or above", 4600.0 * METRES_PER_FOOT, None),), "US", "A",
)  # fmt: skip
HOLD = replace(PROCEDURE, reversal="hold in lieu", remain_within_m=None)
ONE_METRE_M, FIVE_METRES_M = 1.0, 5.0


def _turn(degrees: float = 180.0, rate: float = 3.0, start: float = 180.0) -> Turn:
    return Turn("reversal turn", start, degrees, rate, 60.0)


def test_a_turn_in_still_air_ends_a_diameter_and_its_rolling_away() -> None:
    """180 degrees: twice the radius aside; rolling at both ends of an even S shape adds half a rolling each."""
    path = fly(Reflight(0.0, 0.0, 0.0, (_turn(),), 0.0, 0.0))
    radius_m = 60.0 / np.radians(3.0)
    assert abs(path.time_s[-1] - (60.0 + ROLL_S)) < 1e-9
    assert abs(abs(path.cross_m[-1]) - 2.0 * radius_m) < 0.02 * radius_m
    assert abs(path.along_m[-1]) < FIVE_METRES_M  # what roll-in adds ahead, roll-out takes back


def test_the_wind_moves_every_point_by_its_time() -> None:
    pieces = (Straight("outbound", 60.0, 180.0, 60.0), _turn())
    still = fly(Reflight(0.0, 100.0, 0.0, pieces, 0.0, 0.0))
    windy = fly(Reflight(0.0, 100.0, 0.0, pieces, 5.0, -8.0))
    assert np.max(np.abs(windy.along_m - still.along_m - 5.0 * still.time_s)) < ONE_METRE_M
    assert np.max(np.abs(windy.cross_m - still.cross_m + 8.0 * still.time_s)) < ONE_METRE_M


def test_left_is_the_mirror_of_right() -> None:
    right = fly(Reflight(0.0, 0.0, 0.0, (Straight("outbound", 60.0, 170.0, 60.0), _turn(200.0, start=170.0)), 3.0, 6.0))
    left = fly(
        Reflight(0.0, 0.0, 0.0, (Straight("outbound", 60.0, -170.0, 60.0), _turn(-200.0, start=-170.0)), 3.0, -6.0)
    )
    assert np.allclose(right.along_m, left.along_m)
    assert np.allclose(right.cross_m, -left.cross_m)


def test_a_turn_to_the_course_ends_on_it() -> None:
    leg = Straight("intercept", 50.0, -45.0, 60.0, to_course=True)
    turn = Turn("intercept", -45.0, 45.0, 3.0, 60.0)
    circuit = Reflight(0.0, 9000.0, 2500.0, (leg, turn), 0.0, 4.0)
    assert abs(parallel_point(circuit, turn, fly(circuit).starts[1])[1]) < ONE_METRE_M


def test_a_line_is_ended_on_whatever_the_heading() -> None:
    leg = Straight("outbound", 100.0, 160.0, 60.0, line_deg=180.0)
    path = fly(Reflight(0.0, 200.0, 500.0, (leg,), 0.0, 9.0))
    assert abs(path.cross_m[-1]) < ONE_METRE_M


# --- synthesized flights ---------------------------------------------------------------------------------------------


@cache
def _flown(method: str, error: str | None, size: float | None, wind_kt: float) -> SynthesizedFlight:
    errors = () if error is None else (FlyingError(error, size),)  # type: ignore[arg-type]
    plan = FlightPlan(
        method,  # type: ignore[arg-type]
        tas_mps=110.0 * MPS_PER_KNOT,
        wind_from_deg_true=60.0,
        wind_speed_mps=wind_kt * MPS_PER_KNOT,
        pilot=AUTOPILOT,
        errors=errors,
        laps=2 if method == "hold" else 1,
    )
    return synthesize(HOLD if method == "hold" else PROCEDURE, plan, 4, Sensor(interval_s=1.0, white_m=2.0))


@cache
def _assessed(method: str, error: str | None, size: float | None, wind_kt: float = 15.0) -> Assessment:
    procedure = HOLD if method == "hold" else PROCEDURE
    return assess_track(_flown(method, error, size, wind_kt).track, procedure)


def _explained(assessment: Assessment, **changes: object) -> Causes:
    one = assessment.attempts[0]
    wind = changes.get("wind", assessment.wind)
    attempt = changes.get("attempt", one.attempt)
    return explain(
        attempt,  # type: ignore[arg-type]
        one.measures,
        Flight(
            assessment.track,
            assessment.motion,
            air_motion(assessment.motion, assessment.frame, wind),  # type: ignore[arg-type]
            wind,  # type: ignore[arg-type]
        ),
        Plan(assessment.procedure, assessment.frame, assessment.protection),
    )


ERRORS = (
    ("45/180", "shallow bank", 8.0, "rate of turn"),
    ("hold", "no wind correction", None, "wind correction"),
    ("hold", "wrong heading", 20.0, "outbound heading"),
    ("hold", "long timing", 40.0, "outbound time"),
    ("45/180", "overshoot", 900.0, "turn onto the course"),
    ("45/180", "long timing", 45.0, "offset leg time"),
    ("45/180", "wrong heading", 20.0, "offset heading"),
    ("45/180", "past the distance limit", 1500.0, "outbound time"),
)


@pytest.mark.parametrize(("method", "error", "size", "cause"), ERRORS)
def test_the_largest_contribution_names_the_error(method: str, error: str, size: float | None, cause: str) -> None:
    causes = _explained(_assessed(method, error, size))
    assert causes.effects, causes.reason
    largest = max((effect.causes[0] for effect in causes.effects), key=lambda item: item.contribution_m)
    assert largest.name == cause
    assert largest.contribution_m > 2.0 * largest.sigma_m
    for effect in causes.effects:
        contributions = [item.contribution_m for item in effect.causes]
        assert contributions == sorted(contributions, reverse=True)
        assert effect.together_m < effect.size_m


@pytest.mark.parametrize("method", ["45/180", "hold", "racetrack"])
def test_the_re_flight_is_close_to_the_flown_path(method: str) -> None:
    causes = _explained(_assessed(method, None, None))
    close_m = 0.08 * METRES_PER_NM
    assert causes.reproduction_m is not None
    assert causes.reproduction_m < close_m
    assert causes.reason == ""


def test_a_corrected_45_180_has_nothing_to_explain() -> None:
    assert _explained(_assessed("45/180", None, None)).effects == ()


def test_no_causes_without_a_wind_or_with_one_that_does_not_reproduce_the_flight() -> None:
    assessment = _assessed("hold", "shallow bank", 8.0)
    assert _explained(assessment, wind=None).reason == "the wind is not known"
    wrong = _explained(assessment, wind=wind_from(240.0, 60.0 * MPS_PER_KNOT, 55.0))
    assert wrong.effects == ()
    assert "too far to explain" in wrong.reason
    other_side = replace(assessment.attempts[0].attempt, wrong_side=True)
    assert "unprotected side" in _explained(assessment, attempt=other_side).reason


def test_sentences_say_what_with_numbers() -> None:
    causes = _explained(_assessed("45/180", "shallow bank", 8.0))
    texts = [c.text for e in causes.effects for c in e.causes]
    assert any(text.startswith("You turned at 1.") and "°/s; 3.0°/s " in text for text in texts)
    for text in texts + [effect.text for effect in causes.effects]:
        assert text.endswith(".")
        assert "nan" not in text


def test_a_cause_gives_the_effect_as_measured_and_the_plans_value() -> None:
    """One number for one quantity: the overshoot is the measured one, the time and heading are the plan's."""
    assessment = _assessed("hold", "no wind correction", None)
    one = assessment.attempts[0]
    assert one.causes is not None
    solved = one.measures.solved
    assert isinstance(solved, SolvedPlan)
    found = one.causes.largest
    assert found is not None
    effect, cause = found
    if effect.name == "overshoot":
        assert effect.size_m == one.measures.intercept.overshoot_m
    assert cause.name == "wind correction"
    heading = solved.heading_true_deg("outbound", one.causes.lap)
    assert heading is not None
    assert cause.asked == pytest.approx((heading - HOLD.reciprocal_true_deg + 180.0) % 360.0 - 180.0)
    printed = f"{round(HOLD.magnetic_deg(heading)):03d}°"
    assert printed in cause.text
    assert printed in next(card for card in one.cards).spoken


@pytest.mark.parametrize(("method", "error", "size", "cause"), ERRORS)
def test_the_re_flown_path_leaves_the_flown_one_where_it_says(
    method: str, error: str, size: float | None, cause: str
) -> None:
    assessment = _assessed(method, error, size)
    causes = assessment.attempts[0].causes
    assert causes is not None
    assert causes.reproduction_m is not None
    for effect in causes.effects:
        for one in effect.causes:
            along = np.interp(one.from_s, assessment.motion.time_s, assessment.motion.along_m)
            cross = np.interp(one.from_s, assessment.motion.time_s, assessment.motion.cross_m)
            apart = np.hypot(one.along_m - along, one.cross_m - cross).min()
            assert len(one.along_m) == len(one.cross_m) > 2
            assert apart < 0.3 * METRES_PER_NM, (effect.name, one.name)
            assert one.remedy.endswith(".")


def test_the_largest_cause_has_a_finding() -> None:
    """Every cause of over a third of an error is spoken of by a finding, its own where there is no other."""
    for method, error, size, _ in ERRORS:
        one = _assessed(method, error, size).attempts[0]
        assert one.causes is not None
        found = one.causes.largest
        if found is None or found[1].contribution_m < found[0].size_m / 3.0:
            continue
        codes = {finding.code for finding in one.judgement.findings}
        assert codes & {*FINDINGS_OF[found[1].name], "main-cause"}


# --- legs by distance: flown by the independent simulator -----------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "more", "flown_nm", "asked_nm", "place"),
    [
        ("hold in lieu 4 NM", {"leg_nm": 6.5, "arrival_deg": INBOUND_DEG}, 6.5, 4.0, "4 NM along the course"),
        ("hold 5 NM", {"leg_nm": 7.5, "arrival_deg": INBOUND_DEG, "laps": 1, "ending": "stop"}, 7.5, 5.0, "20 DME"),
        ("teardrop by distance", {"leg_nm": 8.0}, 8.0, 6.0, "6 DME"),
    ],
)
def test_a_leg_by_distance_overflown_is_the_cause(
    kind: str, more: dict[str, object], flown_nm: float, asked_nm: float, place: str
) -> None:
    """The station of the hold lies 15 NM from its fix: five miles out it reads 20."""
    flight = Flown(kind, air=Air(45.0, 15.0), tas_kt=110.0, **more)  # type: ignore[arg-type]
    attempt = assessed(fly_flight(flight), flight.asked)["attempts"][0]
    effect = attempt["causes"]["effects"][0]
    cause = effect["causes"][0]
    assert cause["name"] == "outbound distance"
    assert cause["unit"] == "NM"
    assert cause["flown"] == pytest.approx(flown_nm, abs=0.05)
    assert cause["asked"] == pytest.approx(asked_nm, abs=0.001)
    assert place in cause["remedy"]
    finding = next(one for one in attempt["findings"] if one["code"] == "leg-too-long")
    assert place in finding["advice"]
    assert finding["measured"] == pytest.approx(cause["flown"], abs=0.001), "one number for one quantity"


# --- where the turn ended, as measured -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("method", "error", "size"), [("hold", "wrong heading", 20.0), ("45/180", "long timing", 45.0)]
)
def test_the_roll_out_is_told_as_it_was_flown(method: str, error: str, size: float) -> None:
    """Against the truth of the synthesized flight: 40 m, a second of flight in when the wings are level."""
    assessment, flight = _assessed(method, error, size), _flown(method, error, size, 15.0)
    one, state = assessment.attempts[0], flight.state
    ended = measured_roll_out(one.attempt, one.attempt.laps, assessment.motion)
    turn = [turn for turn in flight.truth.attempts[-1].turns if turn.phase == "reversal turn"][-1]
    time_s = state.time_s - state.time_s[0]
    true_m = [float(np.interp(turn.end_s, time_s, axis)) for axis in (state.along_m, state.cross_m)]
    assert ended.level_m is not None
    assert np.hypot(ended.level_m[0] - true_m[0], ended.level_m[1] - true_m[1]) < 40.0
    if method == "hold":
        turning = (time_s >= turn.start_s) & (time_s <= turn.end_s)
        along, cross = state.along_m[turning], state.cross_m[turning]
        track = np.arctan2(np.gradient(cross), -np.gradient(along))
        parallel = int(np.argmin(np.abs(track)))
        assert ended.parallel_m is not None
        assert abs(ended.parallel_m[1] - cross[parallel]) < 15.0
        short = next((effect for effect in one.causes.effects if effect.name == "rolled out short"), None)  # type: ignore[union-attr]
        assert short is None or short.size_m == abs(ended.parallel_m[1])
