"""Signatures: a name and a time under a result and what was said of it, sealed by a hash over both."""

import hashlib
import json
import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass

from analyzer.run.desk.store.assessments import Assessment
from analyzer.run.desk.store.remarks import Remark, history_of_lesson
from analyzer.run.desk.store.words import new_uid, now, one_line


@dataclass(frozen=True)
class Signature:
    """Who signed an assessment with all that had been said of the lesson by then. `seal`: hash over both."""

    id: int
    uid: str
    assessment: int
    name: str
    made_at: str
    seal: str


def add_signature(
    change: sqlite3.Connection, assessment: Assessment, name: str, signed_before: tuple[str, str, str] | None = None
) -> Signature:
    """Sign an assessment; `signed_before`: uid, time and seal of a signature that comes from another desk."""
    uid, made_at, seal = signed_before or (
        new_uid(),
        now(),
        seal_of(assessment.result_sha256, history_of_lesson(change, assessment.lesson)),
    )
    row = change.execute(
        "INSERT INTO signature (uid, assessment, name, made_at, seal) VALUES (?, ?, ?, ?, ?) RETURNING *",
        (uid, assessment.id, one_line(name, "name of the one who signs", needed=True), made_at, seal),
    ).fetchone()
    return _signature(row)


def signatures_of_lesson(view: sqlite3.Connection, lesson: int) -> tuple[Signature, ...]:
    """Return all signatures under a lesson's assessments, the oldest first."""
    rows = view.execute(
        "SELECT signature.* FROM signature JOIN assessment ON assessment.id = signature.assessment"
        " WHERE assessment.lesson = ? ORDER BY signature.id",
        (lesson,),
    )
    return tuple(_signature(row) for row in rows)


def covers(signature: Signature, result_sha256: str, history: Iterable[Remark]) -> bool:
    """Whether a signature's seal is that of a result and remarks: nothing was said after it was given."""
    return signature.seal == seal_of(result_sha256, history)


def seal_of(result_sha256: str, history: Iterable[Remark]) -> str:
    """Return the SHA-256 over a result file's SHA-256 and all remarks, each by its uid and all that it says."""
    remarks = list(history)
    uids = {remark.id: remark.uid for remark in remarks}
    said = [
        [
            remark.uid,
            remark.kind,
            None if remark.finding is None else [remark.finding.attempt, remark.finding.code, remark.finding.phase],
            None if remark.finding is None else remark.finding.lap,
            remark.at_s,
            remark.text,
            remark.author,
            remark.made_at,
            None if remark.replaces is None else uids.get(remark.replaces),
        ]
        for remark in sorted(remarks, key=lambda one: one.uid)
    ]
    content = json.dumps([result_sha256, said], ensure_ascii=True, separators=(",", ":"))
    return hashlib.sha256(content.encode("ascii")).hexdigest()


def _signature(row: sqlite3.Row) -> Signature:
    return Signature(row["id"], row["uid"], row["assessment"], row["name"], row["made_at"], row["seal"])
