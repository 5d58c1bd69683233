"""Scores: every deduction listed, caps, and a result that the points never hide."""

from dataclasses import replace

import pytest

from analyzer.flown.attempt import Attempt, FixPassage, Phase
from analyzer.given.procedure import AltitudeLimit
from analyzer.judged.findings import CODES, SEVERITIES, Finding, Judgement
from analyzer.judged.measurements.values import AltitudeMeasure, AttemptMeasures, Containment, Intercept
from analyzer.judged.scoring import CATEGORIES, load_weights, score

A_TENTH_OF_A_POINT = 0.1
LIMITS = tuple(AltitudeLimit(segment, "at or above", 1400.0, None) for segment in ("reversal", "inbound", "final"))
MEASURES = AttemptMeasures(
    Containment(500.0, 10.0, "distance limit", 300.0, 17000.0, 300.0, ()),
    tuple(AltitudeMeasure(limit, 1450.0, 200.0, 50.0, 6.0, ()) for limit in LIMITS),
    Intercept(45.0, 0.0, None, 0, True, 400.0, 8000.0, 0.1, 0.2, 450.0, 10.0),
    None,
    (),
    None,
    (),
)
ATTEMPT = Attempt(
    1,
    0.0,
    700.0,
    (FixPassage(100.0, 20.0, "outbound"), FixPassage(600.0, 20.0, "inbound")),
    "45/180",
    None,
    None,
    False,
    None,
    1,
    (Phase("outbound", 1, 100.0, 600.0),),
    (),
    (400.0,),
    True,
    False,
    (),
)
PASSED = Judgement("inside", ("to standard",) * 3, "to standard", "to standard", "to standard", ())


def _finding(code: str, severity: str, margin: float | None = None) -> Finding:
    return Finding(code, severity, None, None, 1.0, "Text.", "Advice.", "Ref", margin=margin)  # type: ignore[arg-type]


def _with(*findings: Finding, **verdicts: object) -> Judgement:
    return replace(PASSED, findings=findings, **verdicts)  # type: ignore[arg-type]


def test_a_flight_without_findings_has_full_scores() -> None:
    scores = score(PASSED, ATTEMPT, MEASURES)
    assert [getattr(scores, name) for name in (*CATEGORIES, "overall")] == [100.0] * 5
    assert scores.deductions == ()
    assert scores.result == "to standard"


def test_the_points_of_each_category_are_what_the_deductions_say() -> None:
    judgement = _with(
        _finding("overshot-course", "minor", -0.1),
        _finding("several-crossings", "minor", -1.0),
        _finding("leg-too-long", "minor", -8.0),
        _finding("heading-off", "minor", -4.0),
        _finding("altitude-too-close", "note"),
    )
    scores = score(judgement, ATTEMPT, MEASURES)
    for name in CATEGORIES:
        off = sum(deduction.points for deduction in scores.deductions if deduction.score == name)
        assert abs(getattr(scores, name) - (100.0 - off)) < A_TENTH_OF_A_POINT
    share = load_weights().share
    mean = sum(share[name] * getattr(scores, name) for name in CATEGORIES)
    assert abs(scores.overall - (mean - 10.0)) < A_TENTH_OF_A_POINT
    assert {deduction.code for deduction in scores.deductions} == {
        "overshot-course",
        "several-crossings",
        "leg-too-long",
        "heading-off",
    }
    assert scores.result == "to standard"


@pytest.mark.parametrize(("severity", "cap"), [("critical", 40.0), ("major", 69.0)])
def test_a_grave_finding_caps_the_total_and_the_cap_is_listed(severity: str, cap: float) -> None:
    scores = score(_with(_finding("wrong-entry", severity)), ATTEMPT, MEASURES)
    assert scores.overall is not None
    assert scores.overall <= cap
    assert scores.result == "not to standard"
    caps = [deduction for deduction in scores.deductions if deduction.code == "cap"]
    assert (scores.overall == cap) == bool(caps)


def test_no_score_with_a_failing_finding_is_higher_than_one_without() -> None:
    minor = [_finding(code, "minor", -1.0) for code in CODES if CODES[code].counts == "overall"]
    clean = score(_with(*minor[:3]), ATTEMPT, MEASURES).overall
    failed = score(_with(_finding("left-distance-limit", "major", -0.1)), ATTEMPT, MEASURES).overall
    assert clean is not None
    assert failed is not None
    assert failed < clean


@pytest.mark.parametrize(
    ("name", "verdict"),
    [
        ("containment", {"containment": "too close to call"}),
        ("altitude", {"altitudes": ("to standard", "too close to call", "to standard")}),
        ("intercept", {"intercept": "too close to call"}),
        ("timing", {"timing": "too close to call"}),
    ],
)
def test_what_is_too_close_to_call_has_no_full_score_and_the_deduction_says_so(name: str, verdict: dict) -> None:
    scores = score(_with(**verdict), ATTEMPT, MEASURES)
    assert getattr(scores, name) == 90.0
    assert [(one.score, one.points) for one in scores.deductions] == [(name, 10.0)]
    assert scores.overall is not None
    assert scores.overall < 100.0
    assert all(getattr(scores, other) == 100.0 for other in CATEGORIES if other != name)


def test_an_area_that_nobody_publishes_decides_nothing() -> None:
    computed = replace(MEASURES, containment=replace(MEASURES.containment, margin_m=-500.0, computed=True))
    scores = score(_with(containment="not assessed"), ATTEMPT, computed)
    assert scores.result == "to standard"
    assert scores.containment is None


def test_too_close_to_call_does_not_fail_but_is_named() -> None:
    judgement = _with(containment="too close to call", altitudes=("to standard", "too close to call", "to standard"))
    scores = score(judgement, ATTEMPT, MEASURES)
    assert scores.result == "to standard"
    assert "containment" in scores.reason
    assert "altitude (inbound)" in scores.reason


@pytest.mark.parametrize(
    ("judgement", "attempt", "words"),
    [
        (PASSED, replace(ATTEMPT, complete=False), "not complete"),
        (_with(intercept="not assessed"), ATTEMPT, "intercept"),
        (_with(altitudes=("not assessed", "to standard", "to standard")), ATTEMPT, "reversal"),
        (_with(containment="not assessed"), ATTEMPT, "containment"),
    ],
)
def test_what_matters_and_was_not_assessed_is_no_pass(judgement: Judgement, attempt: Attempt, words: str) -> None:
    scores = score(judgement, attempt, MEASURES)
    assert scores.result == "not assessed"
    assert scores.overall is None
    assert words in scores.reason


def test_a_final_that_the_track_lacks_does_not_matter() -> None:
    scores = score(_with(altitudes=("to standard", "to standard", "not assessed")), ATTEMPT, MEASURES)
    assert scores.result == "to standard"


def test_a_failure_counts_even_where_something_else_was_not_assessed() -> None:
    judgement = _with(_finding("below-minimum-altitude", "critical", -200.0), intercept="not assessed")
    scores = score(judgement, replace(ATTEMPT, complete=False), MEASURES)
    assert scores.result == "not to standard"
    assert scores.intercept is None


def test_weights_speak_of_known_severities_codes_and_categories() -> None:
    weights = load_weights()
    assert set(weights.severity) == set(weights.at_most) == set(SEVERITIES)
    assert {key.split()[0] for key in weights.per_unit} <= set(CODES)
    assert set(weights.share) == set(CATEGORIES)
    a_thousandth = 0.001
    assert abs(sum(weights.share.values()) - 1.0) < a_thousandth
