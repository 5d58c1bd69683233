"""A lesson from another desk taken in: its files first, then all its records in one transaction.

Reports are not taken over: a page from outside could hold anything. The lesson is assessed again here, and the same
program makes the same report of the same result; another version's result stays beside the new one. A lesson that is
here already gets what was said of it elsewhere, and nothing twice.
"""

import json
import sqlite3
from dataclasses import dataclass
from typing import IO, Any

from analyzer.errors import DeskError
from analyzer.run.desk.exchange.archive import (
    LARGEST_CHART_BYTES,
    LARGEST_RESULT_BYTES,
    Archive,
    checked_manifest,
)
from analyzer.run.desk.margin.said import refresh
from analyzer.run.desk.opened import Desk
from analyzer.run.desk.recordings import LARGEST_FILE_BYTES
from analyzer.run.desk.store.assessments import FindingKey, Inputs, Outcome, add_assessment, assessment_of
from analyzer.run.desk.store.charts import add_chart
from analyzer.run.desk.store.lessons import add_lesson, ask_for_work, keep_recording
from analyzer.run.desk.store.own_views import add_own_view
from analyzer.run.desk.store.pilots import pilot_named
from analyzer.run.desk.store.remarks import Said, add_remark
from analyzer.run.desk.store.signatures import add_signature
from analyzer.run.desk.store.words import moment, uid_from_outside
from analyzer.run.desk.work.options import checked_options


@dataclass(frozen=True)
class TakenIn:
    """A lesson that was taken in. `known`: it was here already; `new` counts what came with it."""

    lesson: int
    known: bool
    new: int


def take_in(desk: Desk, stream: IO[bytes], source: str) -> TakenIn:
    """Take in the archive of a lesson.

    Raises
    ------
    DeskError
        Where it is not an archive of a desk, is damaged or too large, or holds what can't be kept. No record is made
        then.
    """
    archive = Archive(stream, source)
    content = checked_manifest(archive.manifest(), source)
    charts = [
        (one, _text(archive.read(one["file"], one["sha256"], LARGEST_CHART_BYTES), source))
        for one in content["chart_files"]
    ]
    outcomes = [
        (one, _outcome(archive.read(one["result"], one["result_sha256"], LARGEST_RESULT_BYTES), one, source))
        for one in content["assessments"]
    ]
    recording = content["recording"]
    archive.keep(recording["file"], recording["sha256"], desk.recordings, LARGEST_FILE_BYTES)
    for one in content["assessments"]:
        archive.keep(one["result"], one["result_sha256"], desk.results, LARGEST_RESULT_BYTES)
    with desk.store.writing() as change:
        numbers = {
            one["sha256"]: add_chart(change, one["title"], text, "imported", made_at=moment(one["made_at"])).id
            for one, text in charts
        }
        lesson, known = _lesson(change, content, numbers)
        new = _assessments(change, lesson, outcomes, numbers)
        new += _what_was_said(change, lesson, content)
        refresh(change, desk.results, lesson)
        if not known:
            ask_for_work(change, lesson)
    desk.crew.wake()
    return TakenIn(lesson, known, new)


def _text(data: bytes, source: str) -> str:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        raise DeskError(f"{source}: a chart in it is not UTF-8 text") from error


def _outcome(data: bytes, one: dict[str, Any], source: str) -> Outcome:
    """Return what the records keep of a result; a made-up one must not reach a page."""
    from analyzer.run.desk.margin.rescored import rescored
    from analyzer.run.desk.work.task import outcome_of
    from analyzer.shown import ProgressFlight, progress_html

    try:
        result = json.loads(data)
        outcome = outcome_of(result, one["result_sha256"], "", one["program"][:40])
        for attempt in result["attempts"]:
            rescored(attempt, range(len(attempt["findings"])))
        progress_html([ProgressFlight("", "", result["track"]["start_utc"] or "", result)])
    except (DeskError, RecursionError) as error:
        raise DeskError(f"{source}: a result in it can't be read") from error
    except Exception as error:  # whatever is missing in it or of another kind
        raise DeskError(f"{source}: a result in it is not one that this program writes") from error
    return outcome


def _lesson(change: sqlite3.Connection, content: dict[str, Any], numbers: dict[str, int]) -> tuple[int, bool]:
    """Return the lesson of this uid, added where it is not here, and whether it was."""
    uid = uid_from_outside(content["uid"])
    row = change.execute("SELECT id FROM lesson WHERE uid = ?", (uid,)).fetchone()
    if row is not None:
        return int(row["id"]), True
    recording = content["recording"]
    keep_recording(change, recording["sha256"], recording["name"], recording["size_bytes"])
    lesson = add_lesson(
        change,
        recording["sha256"],
        pilot=None if content["pilot"] is None else pilot_named(change, content["pilot"]).id,
        charts=_numbers(content["charts"], numbers),
        clearance=content["clearance"],
        options=checked_options(content["options"]),
        brought=(uid, moment(content["made_at"])),
    )
    return lesson.id, False


def _numbers(shas: list[str], numbers: dict[str, int]) -> tuple[int, ...]:
    try:
        return tuple(numbers[sha256] for sha256 in shas)
    except KeyError as error:
        raise DeskError("archive: names a chart that is not in it; export the lesson again") from error


def _assessments(
    change: sqlite3.Connection, lesson: int, outcomes: list[tuple[dict[str, Any], Outcome]], numbers: dict[str, int]
) -> int:
    new = 0
    newest = change.execute("SELECT assessment FROM lesson WHERE id = ?", (lesson,)).fetchone()["assessment"]
    for one, outcome in outcomes:
        uid = uid_from_outside(one["uid"])
        if _known(change, "assessment", uid):
            continue
        inputs = Inputs(_numbers(one["charts"], numbers), one["clearance"], checked_options(one["options"]))
        add_assessment(change, lesson, inputs, outcome, uid, moment(one["made_at"]))
        new += 1
    if newest is not None:  # what this desk found itself stays what it shows
        change.execute("UPDATE lesson SET assessment = ? WHERE id = ?", (newest, lesson))
    return new


def _what_was_said(change: sqlite3.Connection, lesson: int, content: dict[str, Any]) -> int:
    """Add what is not here yet; of two remarks that replace the same one the second stands for itself."""
    new = 0
    for one in content["remarks"]:
        uid = uid_from_outside(one["uid"])
        if _known(change, "remark", uid):
            continue
        replaces = None if one["replaces"] is None else _number(change, "remark", one["replaces"])
        if replaces is not None and _replaced(change, replaces):
            replaces = None
        key = None if one["finding"] is None else FindingKey(**one["finding"])
        said = Said(one["kind"], one["text"], one["author"], key, one["at_s"], replaces)
        if not (said.kind == "withdrawn" and replaces is None):  # it was replaced here before it was withdrawn there
            add_remark(change, _of_lesson(change, lesson, one["assessment"]), said, uid, moment(one["made_at"]))
            new += 1
    for one in content["signatures"]:
        uid = uid_from_outside(one["uid"])
        if not _known(change, "signature", uid):
            about = assessment_of(change, _of_lesson(change, lesson, one["assessment"]))
            add_signature(change, about, one["name"], (uid, moment(one["made_at"]), one["seal"][:64]))
            new += 1
    for one in content["own_views"]:
        uid = uid_from_outside(one["uid"])
        if not _known(change, "own_view", uid):
            items = {item["item"]: (item["grade"], item["remark"]) for item in one["items"]}
            add_own_view(change, lesson, items, one["author"], (uid, moment(one["made_at"])))
            new += 1
    return new


def _known(view: sqlite3.Connection, table: str, uid: str) -> bool:
    return view.execute(f"SELECT 1 FROM {table} WHERE uid = ?", (uid,)).fetchone() is not None


def _number(view: sqlite3.Connection, table: str, uid: str) -> int:
    row = view.execute(f"SELECT id FROM {table} WHERE uid = ?", (uid,)).fetchone()
    if row is None:
        raise DeskError(f"archive: names {table.replace('_', ' ')} {uid[:40]!r}, which is not in it")
    return int(row["id"])


def _of_lesson(view: sqlite3.Connection, lesson: int, uid: str) -> int:
    number = _number(view, "assessment", uid)
    if assessment_of(view, number).lesson != lesson:
        raise DeskError("archive: what was said in it is of another lesson")
    return number


def _replaced(view: sqlite3.Connection, remark: int) -> bool:
    return view.execute("SELECT 1 FROM remark WHERE replaces = ?", (remark,)).fetchone() is not None
