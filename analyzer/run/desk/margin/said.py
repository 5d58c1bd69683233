"""Everything that was said of an assessment, gathered beside its findings; saying something new."""

import json
import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from analyzer.run.desk.margin.recognised import same_finding
from analyzer.run.desk.margin.rescored import Rescored, rescored
from analyzer.run.desk.recordings import PlainFiles
from analyzer.run.desk.store.assessments import Assessment, FindingKey, assessment_of, findings_of
from analyzer.run.desk.store.lessons import Spoken, keep_spoken
from analyzer.run.desk.store.remarks import Remark, Said, add_remark, history_of_lesson, standing
from analyzer.run.desk.store.signatures import Signature, covers, signatures_of_lesson


@dataclass(frozen=True)
class FindingSaid:
    """A finding of the result file with what stands of what was said of it, the newest last."""

    place: int
    key: FindingKey
    finding: Mapping[str, Any]
    remarks: tuple[Remark, ...]

    @property
    def overruled(self) -> bool:
        """Whether the newest of what agrees or overrules does the latter."""
        ruled = [remark.kind for remark in self.remarks if remark.kind in ("agree", "overrule")]
        return bool(ruled) and ruled[-1] == "overrule"


@dataclass(frozen=True)
class AttemptSaid:
    """An attempt: its findings, and its scores and result before and after what was overruled."""

    number: int
    findings: tuple[FindingSaid, ...]
    before: Rescored
    after: Rescored

    @property
    def overruled(self) -> int:
        """How many findings don't count."""
        return sum(one.overruled for one in self.findings)


@dataclass(frozen=True)
class Signed:
    """A signature, and whether it still covers all that stands: this result, and nothing said since."""

    signature: Signature
    covers_all: bool


@dataclass(frozen=True)
class LessonSaid:
    """An assessment with all that was said of its lesson.

    Parameters
    ----------
    assessment : Assessment
    attempts : tuple of AttemptSaid
    general : tuple of Remark
        What stands of own findings, task codes and remarks on the lesson.
    gone : tuple of Remark
        What was said of findings that this assessment does not have.
    history : tuple of Remark
        Everything that was ever said, the oldest first.
    signed : tuple of Signed
    """

    assessment: Assessment
    attempts: tuple[AttemptSaid, ...]
    general: tuple[Remark, ...]
    gone: tuple[Remark, ...]
    history: tuple[Remark, ...]
    signed: tuple[Signed, ...]


def what_was_said(view: sqlite3.Connection, assessment: Assessment, result: Mapping[str, Any]) -> LessonSaid:
    """Return what was said of an assessment's lesson, beside the findings of its result file."""
    history = history_of_lesson(view, assessment.lesson)
    keys = findings_of(view, assessment.id)
    by_place: dict[int, list[Remark]] = {}
    general: list[Remark] = []
    gone: list[Remark] = []
    for remark in standing(history):
        if remark.finding is None:
            general.append(remark)
            continue
        place = same_finding(remark.finding, keys)
        if place is None:
            gone.append(remark)
        else:
            by_place.setdefault(place, []).append(remark)
    signed = tuple(
        Signed(one, one.assessment == assessment.id and covers(one, assessment.result_sha256, history))
        for one in signatures_of_lesson(view, assessment.lesson)
    )
    attempts = _attempts(result, keys, by_place)
    return LessonSaid(assessment, attempts, tuple(general), tuple(gone), history, signed)


def say(change: sqlite3.Connection, results: PlainFiles, assessment: int, said: Said) -> Remark:
    """Add a remark, and keep what the lesson's list shows of the result up to date; errors as `add_remark`."""
    about = assessment_of(change, assessment)
    remark = add_remark(change, assessment, said)
    refresh(change, results, about.lesson)
    return remark


def refresh(change: sqlite3.Connection, results: PlainFiles, lesson: int) -> None:
    """Work out anew what the list shows of a lesson: the result without what was overruled."""
    row = change.execute("SELECT assessment FROM lesson WHERE id = ?", (lesson,)).fetchone()
    if row is None or row["assessment"] is None:
        return
    about = assessment_of(change, row["assessment"])
    if not any(remark.kind == "overrule" for remark in standing(history_of_lesson(change, lesson))):
        keep_spoken(change, lesson, Spoken(about.result, about.overall, 0))
        return
    attempts = what_was_said(change, about, read_result(results, about)).attempts
    results_now = [attempt.after.result for attempt in attempts]
    overall = [one for attempt in attempts if (one := attempt.after.scores["overall"]) is not None]
    keep_spoken(
        change,
        lesson,
        Spoken(worst_of(results_now), min(overall, default=None), sum(attempt.overruled for attempt in attempts)),
    )


def read_result(results: PlainFiles, assessment: Assessment) -> dict[str, Any]:
    """Return the content of an assessment's result file."""
    content: dict[str, Any] = json.loads(results.read(assessment.result_sha256))
    return content


def with_what_was_said(result: Mapping[str, Any], said: LessonSaid) -> dict[str, Any]:
    """Return a result's content in which overruled findings are left out and scores and results follow the rest."""
    after = {attempt.number: attempt for attempt in said.attempts}
    attempts = []
    for attempt in result["attempts"]:
        one = after[attempt["number"]]
        left = {finding.place for finding in one.findings if finding.overruled}
        first = one.findings[0].place if one.findings else 0
        findings = [finding for place, finding in enumerate(attempt["findings"], first) if place not in left]
        attempts.append({**attempt, "findings": findings, "scores": dict(one.after.scores), "result": one.after.result})
    return {**result, "attempts": attempts}


def worst_of(results: Sequence[str]) -> str:
    """Return the worst of the results of attempts, "" for none."""
    return next((one for one in ("not to standard", "not assessed", "to standard") if one in results), "")


def _attempts(
    result: Mapping[str, Any], keys: Sequence[FindingKey], by_place: Mapping[int, list[Remark]]
) -> tuple[AttemptSaid, ...]:
    found = []
    place = 0
    for attempt in result["attempts"]:
        findings = []
        for finding in attempt["findings"]:
            findings.append(FindingSaid(place, keys[place], finding, tuple(by_place.get(place, ()))))
            place += 1
        first = findings[0].place if findings else 0
        overruled = [one.place - first for one in findings if one.overruled]
        found.append(
            AttemptSaid(attempt["number"], tuple(findings), rescored(attempt, ()), rescored(attempt, overruled))
        )
    return tuple(found)
