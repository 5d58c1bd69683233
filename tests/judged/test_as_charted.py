"""Whether the charted reversal was flown, entered from its sector and allowed: limits on both sides, written out."""

from dataclasses import replace

import pytest

from analyzer.given.options import Options
from analyzer.given.procedure import Place
from analyzer.judged.assessment import assess_track
from analyzer.judged.findings.as_charted import outside_sector_deg, rightly_straight_in
from analyzer.synthesis import FlightPlan, fly
from tests.judged.test_findings_table import PROCEDURE, Scene, hold, procedure_turn

ICAO_TURN = replace(PROCEDURE, criteria="ICAO")
BASE_TURN = replace(ICAO_TURN, reversal="teardrop", outbound_true_deg=341.0)  # 36 degrees off the reciprocal, 305
NO_REVERSAL = replace(PROCEDURE, no_reversal_from=((80.0, 130.0),))


@pytest.mark.parametrize(
    ("track_deg", "off_deg"), [(305.0, 0.0), (335.0, 0.0), (275.0, 0.0), (336.0, 1.0), (274.0, 1.0), (125.0, 150.0)]
)
def test_an_icao_turn_is_entered_within_30_degrees_of_its_outbound_track(track_deg: float, off_deg: float) -> None:
    """Doc 8168 Vol II, Part I, Section 4, Chapter 3, 3.5.3 (read)."""
    assert outside_sector_deg(ICAO_TURN, track_deg) == pytest.approx(off_deg)
    assert outside_sector_deg(PROCEDURE, track_deg) is None, "the US rules have no such sector"
    assert outside_sector_deg(replace(ICAO_TURN, reversal="hold in lieu"), track_deg) is None


def test_a_base_turns_sector_reaches_to_the_reciprocal_of_the_inbound_track() -> None:
    """Doc 8168 Vol I (second hand): expanded where the 30 degrees do not hold the reciprocal."""
    assert outside_sector_deg(BASE_TURN, 305.0) == 0.0  # 36 degrees off the outbound track, but the reciprocal
    assert outside_sector_deg(BASE_TURN, 304.0) == pytest.approx(1.0)
    assert outside_sector_deg(BASE_TURN, 371.0) == 0.0
    assert outside_sector_deg(BASE_TURN, 372.0) == pytest.approx(1.0)


def codes(scene: Scene) -> list[tuple[str, str]]:
    return [(one.code, one.severity) for one in scene.judged().findings]


def arriving(track_deg: float) -> Scene:
    scene = procedure_turn()
    return replace(scene, attempt=replace(scene.attempt, arrival_track_true_deg=track_deg), procedure=ICAO_TURN)


def test_five_degrees_about_the_edge_of_the_sector_are_left_to_the_pilot() -> None:
    assert codes(arriving(305.0 + 34.9)) == []
    assert codes(arriving(305.0 + 35.1)) == [("outside-entry-sector", "major")]
    advice = arriving(125.0).judged().findings[0].advice
    assert advice.startswith("Join over the hold")


@pytest.mark.parametrize(
    ("reversal", "method", "found"),
    [
        ("procedure turn", "45/180", False),
        ("procedure turn", "80/260", False),
        ("procedure turn", "racetrack", True),
        ("procedure turn", "teardrop", True),
        ("procedure turn", "other", False),
        ("teardrop", "teardrop", False),
        ("teardrop", "45/180", True),
    ],
)
def test_another_method_than_the_charted_one_is_a_finding_under_icao_criteria_alone(
    reversal: str, method: str, found: bool
) -> None:
    """45/180 and 80/260 are alternatives (second hand); US: the type is the pilot's choice (AIM 5-4-9 a1, read)."""
    scene = procedure_turn()
    attempt = replace(scene.attempt, flown_as=method, arrival_track_true_deg=305.0)
    for criteria in ("US", "ICAO"):
        plan = replace(PROCEDURE, criteria=criteria, reversal=reversal)
        measures = replace(scene.measures, timing=None)
        said = codes(replace(scene, attempt=attempt, procedure=plan, measures=measures))
        assert ("not-the-charted-method" in [code for code, _ in said]) == (found and criteria == "ICAO")


def test_straight_in_where_no_reversal_is_allowed_is_right() -> None:
    assert rightly_straight_in(PROCEDURE, None, 125.0) is None
    assert "none was allowed" in (rightly_straight_in(PROCEDURE, "not permitted", 125.0) or "")
    assert "NoPT" in (rightly_straight_in(NO_REVERSAL, None, 125.0) or "")
    assert rightly_straight_in(NO_REVERSAL, None, 140.0) is None
    assert rightly_straight_in(NO_REVERSAL, "required", 125.0) is None


def test_the_note_of_a_flight_straight_in() -> None:
    flight = fly(NO_REVERSAL, FlightPlan("straight in"))
    for procedure, options, right in (
        (NO_REVERSAL, Options(), True),
        (PROCEDURE, Options(), False),
        (PROCEDURE, Options(reversal_expected="not permitted"), True),
        (NO_REVERSAL, Options(reversal_expected="required"), False),
    ):
        assessment = assess_track(flight.track, procedure, options)
        assert not assessment.attempts
        assert ("no-reversal-right" in [note.code for note in assessment.notes]) == right


def test_a_reversal_from_a_no_reversal_sector_is_a_finding() -> None:
    scene = procedure_turn()
    for track_deg, found in ((80.0, True), (130.0, True), (79.0, False), (131.0, False)):
        attempt = replace(scene.attempt, arrival_track_true_deg=track_deg)
        said = codes(replace(scene, attempt=attempt, procedure=NO_REVERSAL))
        assert (("reversal-not-permitted", "major") in said) == found


def test_not_established_at_an_intermediate_fix_means_another_circuit() -> None:
    scene = hold()
    intercept = replace(scene.measures.intercept, established=False, established_s=None, max_deflection=None)
    lost = replace(scene, measures=replace(scene.measures, intercept=intercept, laps=(), timing=None))
    lieu = replace(scene.procedure, reversal="hold in lieu")
    elsewhere = Place(46.1, -101.4, "FAF")
    for final_fix, words in ((None, "missed approach"), (lieu.fix, "missed approach"), (elsewhere, "tell ATC and fly")):
        judged = replace(lost, procedure=replace(lieu, final_fix=final_fix)).judged()
        advice = next(one.advice for one in judged.findings if one.code == "never-established")
        assert words in advice
        assert ("missed approach" in advice) == (words == "missed approach")
