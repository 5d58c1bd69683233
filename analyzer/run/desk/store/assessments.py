"""Assessments: a result and its report as files, what they were made of, and what the lists search. Never changed."""

import json
import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from analyzer.errors import DeskError
from analyzer.run.desk.store.words import new_uid, now


@dataclass(frozen=True)
class Assessment:
    """What a program's version said of a lesson, compared with the charts named.

    Parameters
    ----------
    id, lesson : int
    uid : str
    result_sha256, report_sha256 : str
        Names of the result file and of the report in the folder; the report's is "" for one that was brought from
        another desk, until the same result has been worked out here.
    program : str
        Version of the program.
    charts : tuple of int
    clearance : str
    options : mapping
    result : str
        "to standard", "not to standard", "not assessed": the worst of the attempts; "" without an attempt.
    overall : float or None
        The lowest overall score of the attempts.
    attempts : int
    """

    id: int
    uid: str
    lesson: int
    result_sha256: str
    report_sha256: str
    program: str
    charts: tuple[int, ...]
    clearance: str
    options: Mapping[str, Any]
    result: str
    overall: float | None
    attempts: int
    made_at: str


@dataclass(frozen=True)
class FindingKey:
    """What a finding is known by: two with the same attempt, code, phase and lap within 5 s are one."""

    attempt: int
    code: str
    phase: str
    lap: int
    at_s: float | None


@dataclass(frozen=True)
class Outcome:
    """What came of an assessment, before it has a row."""

    result_sha256: str
    report_sha256: str
    program: str
    result: str
    overall: float | None
    attempts: int
    findings: tuple[tuple[FindingKey, str], ...]  # and the severity


@dataclass(frozen=True)
class Inputs:
    """What a lesson was compared with when it was assessed."""

    charts: tuple[int, ...]
    clearance: str
    options: Mapping[str, Any]


def add_assessment(
    change: sqlite3.Connection, lesson: int, inputs: Inputs, outcome: Outcome, uid: str | None = None, made_at: str = ""
) -> Assessment:
    """Add an assessment; it is the lesson's newest from now on."""
    row = change.execute(
        "INSERT INTO assessment (uid, lesson, result_sha256, report_sha256, program, charts, clearance, options,"
        " result, overall, attempts, made_at) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) RETURNING *",
        (
            uid or new_uid(),
            lesson,
            outcome.result_sha256,
            outcome.report_sha256,
            outcome.program,
            json.dumps(list(inputs.charts)),
            inputs.clearance,
            json.dumps(dict(inputs.options)),
            outcome.result,
            outcome.overall,
            outcome.attempts,
            made_at or now(),
        ),
    ).fetchone()
    change.executemany(
        "INSERT INTO finding (assessment, position, attempt, code, severity, phase, lap, at_s)"
        " VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
        [
            (row["id"], position, key.attempt, key.code, severity, key.phase, key.lap, key.at_s)
            for position, (key, severity) in enumerate(outcome.findings)
        ],
    )
    change.execute(
        "UPDATE lesson SET assessment = ?, state = 'assessed', refusal = '' WHERE id = ?", (row["id"], lesson)
    )
    return _assessment(row)


def keep_outcome(change: sqlite3.Connection, lesson: int, inputs: Inputs, outcome: Outcome) -> Assessment:
    """Add an assessment, or return the lesson's newest where the same came out of the same once more.

    One that was brought from another desk has no report of its own yet; it gets the one made here.
    """
    row = change.execute(
        "SELECT assessment.* FROM lesson JOIN assessment ON assessment.id = lesson.assessment WHERE lesson.id = ?",
        (lesson,),
    ).fetchone()
    if row is None or (row["result_sha256"], row["program"]) != (outcome.result_sha256, outcome.program):
        return add_assessment(change, lesson, inputs, outcome)
    newest = _assessment(row)
    if Inputs(newest.charts, newest.clearance, newest.options) != inputs:
        return add_assessment(change, lesson, inputs, outcome)
    change.execute("UPDATE lesson SET state = 'assessed', refusal = '' WHERE id = ?", (lesson,))
    if newest.report_sha256:
        return newest
    change.execute("UPDATE assessment SET report_sha256 = ? WHERE id = ?", (outcome.report_sha256, newest.id))
    return assessment_of(change, newest.id)


def assessment_of(view: sqlite3.Connection, assessment: int) -> Assessment:
    """Return an assessment; DeskError where there is none of this number."""
    row = view.execute("SELECT * FROM assessment WHERE id = ?", (assessment,)).fetchone()
    if row is None:
        raise DeskError(f"assessment {assessment}: there is no such assessment here")
    return _assessment(row)


def assessments_of_lesson(view: sqlite3.Connection, lesson: int) -> tuple[Assessment, ...]:
    """Return all assessments of a lesson, the oldest first."""
    rows = view.execute("SELECT * FROM assessment WHERE lesson = ? ORDER BY id", (lesson,))
    return tuple(_assessment(row) for row in rows)


def newest_assessments(view: sqlite3.Connection, lessons: Sequence[int]) -> tuple[Assessment, ...]:
    """Return the newest assessment of each lesson that has one, in the order of the lessons."""
    found = (
        view.execute(
            "SELECT assessment.* FROM lesson JOIN assessment ON assessment.id = lesson.assessment WHERE lesson.id = ?",
            (lesson,),
        ).fetchone()
        for lesson in lessons
    )
    return tuple(_assessment(row) for row in found if row is not None)


def findings_of(view: sqlite3.Connection, assessment: int) -> tuple[FindingKey, ...]:
    """Return what the findings of an assessment are known by, in the order of the result file."""
    rows = view.execute("SELECT * FROM finding WHERE assessment = ? ORDER BY position", (assessment,))
    return tuple(FindingKey(row["attempt"], row["code"], row["phase"], row["lap"], row["at_s"]) for row in rows)


def codes_seen(view: sqlite3.Connection) -> tuple[str, ...]:
    """Return the codes that the newest assessments hold, in alphabetical order."""
    rows = view.execute(
        "SELECT DISTINCT code FROM finding WHERE assessment IN (SELECT assessment FROM lesson) ORDER BY code"
    )
    return tuple(row["code"] for row in rows)


def _assessment(row: sqlite3.Row) -> Assessment:
    return Assessment(
        row["id"],
        row["uid"],
        row["lesson"],
        row["result_sha256"],
        row["report_sha256"],
        row["program"],
        tuple(json.loads(row["charts"])),
        row["clearance"],
        json.loads(row["options"]),
        row["result"],
        row["overall"],
        row["attempts"],
        row["made_at"],
    )
