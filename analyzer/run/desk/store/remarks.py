"""Remarks of a person on an assessment. None is changed: a later one names the one that it replaces."""

import sqlite3
from dataclasses import dataclass
from typing import Literal, get_args

from analyzer.errors import DeskError
from analyzer.run.desk.store.assessments import FindingKey
from analyzer.run.desk.store.words import lines, new_uid, now, one_line

#: "agree", "overrule" and "comment" speak of a finding; "own finding" of a moment; "task" holds a code of a practical
#: test; "remark" speaks of the whole lesson; "withdrawn" takes back the remark that it replaces
Kind = Literal["agree", "overrule", "comment", "own finding", "task", "remark", "withdrawn"]
KINDS: tuple[Kind, ...] = get_args(Kind)
OF_A_FINDING: tuple[Kind, ...] = ("agree", "overrule", "comment")
_NEEDS_TEXT: tuple[Kind, ...] = ("overrule", "comment", "own finding", "task", "remark")


@dataclass(frozen=True)
class Remark:
    """What somebody said.

    Parameters
    ----------
    id : int
    uid : str
    assessment : int
        The one that it was said of.
    kind : str
    finding : FindingKey or None
        What finding it speaks of.
    at_s : float or None
        The moment, seconds after the track's first point.
    text, author : str
    made_at : str
    replaces : int or None
        The remark in whose place it stands.
    """

    id: int
    uid: str
    assessment: int
    kind: Kind
    finding: FindingKey | None
    at_s: float | None
    text: str
    author: str
    made_at: str
    replaces: int | None


@dataclass(frozen=True)
class Said:
    """A remark before it has a row: as `Remark`."""

    kind: Kind
    text: str
    author: str
    finding: FindingKey | None = None
    at_s: float | None = None
    replaces: int | None = None


def add_remark(
    change: sqlite3.Connection, assessment: int, said: Said, uid: str | None = None, made_at: str = ""
) -> Remark:
    """Add a remark.

    Raises
    ------
    DeskError
        Where the reason of an overruled finding, any other needed text or the author is missing; a finding is not
        named where one is needed; the remark to be replaced is of another lesson, or somebody has replaced it already.
    """
    if said.kind not in KINDS:
        raise DeskError(f"remark: {said.kind[:40]!r} is not a kind. Expected {', '.join(KINDS)}")
    if (said.kind in OF_A_FINDING) != (said.finding is not None) and said.kind != "withdrawn":
        raise DeskError(f"remark: a finding is named with {', '.join(OF_A_FINDING)}, and only there")
    what = "reason" if said.kind == "overrule" else "text"
    text = lines(said.text, what, needed=said.kind in _NEEDS_TEXT)
    if said.kind == "withdrawn" and said.replaces is None:
        raise DeskError("remark: nothing is named that is to be withdrawn")
    if said.replaces is not None:
        _refuse_replacing(change, assessment, said.replaces)
    key = said.finding
    row = change.execute(
        "INSERT INTO remark (uid, assessment, kind, attempt, code, phase, lap, at_s, text, author, made_at, replaces)"
        " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) RETURNING *",
        (
            uid or new_uid(),
            assessment,
            said.kind,
            None if key is None else key.attempt,
            "" if key is None else key.code,
            "" if key is None else key.phase,
            None if key is None else key.lap,
            said.at_s if key is None else key.at_s,
            text,
            one_line(said.author, "name of the one who says it", needed=True),
            made_at or now(),
            said.replaces,
        ),
    ).fetchone()
    return _remark(row)


def history_of_lesson(view: sqlite3.Connection, lesson: int) -> tuple[Remark, ...]:
    """Return everything that was ever said of a lesson's assessments, the oldest first."""
    rows = view.execute(
        "SELECT remark.* FROM remark JOIN assessment ON assessment.id = remark.assessment"
        " WHERE assessment.lesson = ? ORDER BY remark.id",
        (lesson,),
    )
    return tuple(_remark(row) for row in rows)


def standing(history: tuple[Remark, ...]) -> tuple[Remark, ...]:
    """Return the remarks of a history that no other one replaces, without those that only withdraw."""
    replaced = {remark.replaces for remark in history}
    return tuple(remark for remark in history if remark.id not in replaced and remark.kind != "withdrawn")


def _refuse_replacing(change: sqlite3.Connection, assessment: int, replaced: int) -> None:
    row = change.execute(
        "SELECT (SELECT 1 FROM assessment AS mine, assessment AS other WHERE mine.id = ? AND other.id ="
        " remark.assessment AND mine.lesson = other.lesson) AS same_lesson,"
        " EXISTS (SELECT 1 FROM remark AS later WHERE later.replaces = remark.id) AS replaced"
        " FROM remark WHERE id = ?",
        (assessment, replaced),
    ).fetchone()
    if row is None or not row["same_lesson"]:
        raise DeskError(f"remark {replaced}: there is no such remark on this lesson")
    if row["replaced"]:
        raise DeskError(f"remark {replaced}: was changed meanwhile; load the page again to see by whom")


def _remark(row: sqlite3.Row) -> Remark:
    key = None
    if row["code"]:
        key = FindingKey(row["attempt"], row["code"], row["phase"], row["lap"], row["at_s"])
    return Remark(
        row["id"],
        row["uid"],
        row["assessment"],
        row["kind"],
        key,
        row["at_s"],
        row["text"],
        row["author"],
        row["made_at"],
        row["replaces"],
    )
