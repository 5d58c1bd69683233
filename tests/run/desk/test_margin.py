"""What was said beside the findings: recognised after a new assessment, nothing overwritten, the score without them."""

import json
from dataclasses import replace
from pathlib import Path

import pytest
from desk_visitor import SAMPLES, visited

from analyzer.errors import DeskError
from analyzer.judged.scoring import score
from analyzer.run.debrief import assess
from analyzer.run.desk.margin.recognised import same_finding
from analyzer.run.desk.margin.rescored import rescored
from analyzer.run.desk.margin.said import read_result, refresh, say, what_was_said, with_what_was_said
from analyzer.run.desk.store.assessments import FindingKey, Inputs, add_assessment, assessment_of, findings_of
from analyzer.run.desk.store.lesson_list import Wanted, lesson_list
from analyzer.run.desk.store.remarks import Said, history_of_lesson, standing
from analyzer.run.desk.store.signatures import add_signature
from analyzer.run.desk.work.task import outcome_of

KEY = FindingKey(1, "heading-off", "outbound", 1, 100.0)
A_TENTH_OF_A_POINT = 0.05


@pytest.fixture(scope="module")
def visitor(tmp_path_factory):
    with visited(tmp_path_factory.mktemp("desk")) as one:
        one.drop("blown_80_260.gpx", charts=(one.chart("ndb_a.toml"),))
        one.work()
        yield one


def put(visitor, kind, text="because", author="Ada", **more):
    with visitor.desk.store.writing() as change:
        return say(change, visitor.desk.results, 1, Said(kind, text, author, **more))


def said(visitor):
    with visitor.desk.store.reading() as view:
        about = assessment_of(view, 1)
        return what_was_said(view, about, read_result(visitor.desk.results, about))


def keys(visitor):
    with visitor.desk.store.reading() as view:
        return findings_of(view, 1)


@pytest.mark.parametrize(
    ("other", "same"),
    [
        (KEY, True),
        (replace(KEY, at_s=105.0), True),
        (replace(KEY, at_s=105.1), False),
        (replace(KEY, at_s=95.0), True),
        (replace(KEY, at_s=94.9), False),
        (replace(KEY, at_s=None), False),
        (replace(KEY, attempt=2), False),
        (replace(KEY, code="heading-on"), False),
        (replace(KEY, phase="inbound"), False),
        (replace(KEY, lap=2), False),
    ],
)
def test_a_finding_is_the_same_by_attempt_code_phase_lap_and_five_seconds(other, same):
    assert same_finding(KEY, [other]) == (0 if same else None)


def test_of_several_the_nearest_is_meant():
    findings = [replace(KEY, at_s=at_s) for at_s in (96.0, 103.0, 99.0)]
    assert same_finding(KEY, findings) == 2
    assert same_finding(replace(KEY, at_s=None), [KEY, replace(KEY, at_s=None)]) == 1


def test_the_score_without_a_finding_by_hand(visitor):
    """Intercept 60 = 100 - 30 (major) - 10 (minor); the altitude's doubt stays at 90; shares 0.35, 0.30 and 0.25.

    Without the minor one: intercept 70, mean (35 + 27 + 17.5) / 0.9 = 88.3, capped at 69 by the major one. Without the
    major one the altitude of the inbound leg is still not judged, so that there is no overall score.
    """
    attempt = visitor.get("/assessments/1/result.json").json["attempts"][0]
    codes = [one["code"] for one in attempt["findings"]]
    major, minor = codes.index("established-inside-fix"), codes.index("shallow-intercept")
    assert rescored(attempt, ()).scores == attempt["scores"]
    without_minor = rescored(attempt, [minor])
    assert without_minor.scores["intercept"] == 70.0
    assert without_minor.scores["overall"] == 69.0
    assert without_minor.result == "not to standard"
    without_major = rescored(attempt, [major])
    assert without_major.scores["intercept"] == 90.0
    assert without_major.scores["altitude"] == 90.0
    assert (without_major.scores["overall"], without_major.result) == (None, "not assessed")


@pytest.mark.parametrize(
    ("track", "procedure"),
    [
        ("blown_80_260.gpx", "ndb_a.toml"),
        ("teardrop_entry.gpx", "rnav_30.toml"),
    ],
)
def test_the_score_without_findings_is_the_scale_s_own(track, procedure):
    """The same numbers as the scale gives where the judges had never found them."""
    debrief = assess(SAMPLES / track, SAMPLES / procedure)
    results = debrief.to_dict()["attempts"]
    for one, result in zip(debrief.assessment.attempts, results, strict=True):
        findings = one.judgement.findings
        for left_out in [*((place,) for place in range(len(findings))), tuple(range(len(findings)))]:
            kept = tuple(each for place, each in enumerate(findings) if place not in left_out)
            expected = score(replace(one.judgement, findings=kept), one.attempt, one.measures)
            found = rescored(result, left_out)
            assert found.result == expected.result
            for name, value in found.scores.items():
                wanted = getattr(expected, name)
                assert (value is None) == (wanted is None), name
                assert value is None or abs(value - wanted) <= A_TENTH_OF_A_POINT, name


def test_what_is_said_changes_list_and_result_and_keeps_its_history(visitor):
    key = keys(visitor)[0]
    first = put(visitor, "overrule", finding=key)
    with visitor.desk.store.reading() as view:
        line = lesson_list(view, Wanted()).lines[0]
    assert (line.result, line.overall, line.overruled, line.remarks) == ("not assessed", None, 1, 1)
    now = said(visitor)
    assert now.attempts[0].findings[0].overruled
    assert now.attempts[0].before.result == "not to standard"
    result = read_result(visitor.desk.results, now.assessment)
    after = with_what_was_said(result, now)["attempts"][0]
    assert [one["code"] for one in after["findings"]] == [one["code"] for one in result["attempts"][0]["findings"][1:]]
    assert after["result"] == "not assessed"
    second = put(visitor, "agree", "", finding=key, replaces=first.id)
    assert not said(visitor).attempts[0].findings[0].overruled
    with visitor.desk.store.reading() as view:
        line = lesson_list(view, Wanted()).lines[0]
        history = history_of_lesson(view, 1)
    assert (line.result, line.overall, line.overruled) == ("not to standard", 69.0, 0)
    assert [one.kind for one in history] == ["overrule", "agree"]
    assert standing(history) == (second,)
    put(visitor, "withdrawn", "", replaces=second.id)
    with visitor.desk.store.reading() as view:
        assert standing(history_of_lesson(view, 1)) == ()
        assert len(history_of_lesson(view, 1)) == 3


@pytest.mark.parametrize(
    ("kind", "more", "words"),
    [
        ("overrule", {"finding": KEY, "text": " \n "}, "reason: nothing is written here"),
        ("overrule", {}, "a finding is named with"),
        ("remark", {"finding": KEY}, "a finding is named with"),
        ("remark", {"author": ""}, "name of the one who says it"),
        ("remark", {"text": "x" * 4_001}, "4,001 letters, at most 4,000"),
        ("remark", {"author": "x" * 10_000}, "10,000 letters, at most 200"),
        ("shout", {}, "is not a kind"),
        ("withdrawn", {}, "nothing is named"),
        ("remark", {"replaces": 999}, "there is no such remark"),
    ],
)
def test_what_can_t_be_said_is_refused_in_words(visitor, kind, more, words):
    before = said(visitor).history
    with pytest.raises(DeskError, match=words):
        put(visitor, kind, **more)
    assert said(visitor).history == before


def test_of_two_who_change_the_same_remark_the_second_is_told(visitor):
    first = put(visitor, "remark", "one")
    put(visitor, "remark", "two", replaces=first.id)
    with pytest.raises(DeskError, match="was changed meanwhile"):
        put(visitor, "remark", "three", replaces=first.id)


def test_a_signature_covers_what_was_said_before_it_only(visitor):
    with visitor.desk.store.writing() as change:
        add_signature(change, assessment_of(change, 1), "Ada Example")
    assert said(visitor).signed[-1].covers_all
    put(visitor, "remark", "one thing more")
    assert not said(visitor).signed[-1].covers_all
    with visitor.desk.store.writing() as change:
        add_signature(change, assessment_of(change, 1), "Ada Example")
    assert [one.covers_all for one in said(visitor).signed] == [False, True]


def assessed_anew(visitor, change_moments_s):
    """Another assessment of lesson 1, as a newer program might make it: each finding's moment a little different."""
    results = visitor.desk.results
    with visitor.desk.store.writing() as change:
        about = assessment_of(change, 1)
        result = read_result(results, about)
        for finding in result["attempts"][0]["findings"]:
            finding["at_s"] += change_moments_s
        kept = results.keep_bytes(json.dumps(result).encode(), "result")
        outcome = outcome_of(result, kept.sha256, about.report_sha256, "a newer one")
        added = add_assessment(change, 1, Inputs(about.charts, about.clearance, about.options), outcome)
        refresh(change, results, 1)
        return what_was_said(change, added, result), lesson_list(change, Wanted()).lines[0]


def test_a_remark_is_found_again_after_a_new_assessment_or_stays_and_is_marked(visitor):
    put(visitor, "overrule", "a reason", finding=keys(visitor)[0])
    before = len(said(visitor).history)
    for change_moments_s, found in ((4.9, True), (5.1, False), (-4.9, True)):
        now, line = assessed_anew(visitor, change_moments_s)
        assert line.overruled == (1 if found else 0)
        assert line.overall == (None if found else 69.0)
        assert [one.text for one in now.gone] == ([] if found else ["a reason"])
        assert len(now.history) == before


def test_the_folder_holds_what_the_records_name(visitor):
    with visitor.desk.store.reading() as view:
        about = assessment_of(view, 1)
    folder: Path = visitor.desk.folder
    assert (folder / "results" / f"{about.result_sha256}.json").is_file()
    assert (folder / "reports" / f"{about.report_sha256}.html").is_file()
