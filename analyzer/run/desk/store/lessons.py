"""Lessons: one recording, whose it is, what it is compared with, how far it has come."""

import json
import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from analyzer.errors import DeskError
from analyzer.run.desk.store.words import LONGEST_TEXT, lines, new_uid, now, one_line

State = Literal["received", "read", "assessed", "refused"]
LONGEST_REFUSAL = 2_000


@dataclass(frozen=True)
class Recording:
    """A file as it came: its SHA-256 is its name in the folder, `name` is what it was called."""

    sha256: str
    name: str
    size_bytes: int
    received_at: str


@dataclass(frozen=True)
class Lesson:
    """One flight of one pilot.

    Parameters
    ----------
    id : int
    uid : str
        The same on every desk that it is brought to.
    recording : Recording
    pilot : int or None
    charts : tuple of int
    clearance : str
        A clearance file's text, "" for none.
    options : mapping
        Keyword arguments of `analyzer.assess`: altimeter setting and the like.
    state : str
        "received", then "read" (what it holds is known, a chart is missing), "assessed" or "refused".
    refusal : str
        What is wrong, and what would be right, where it was refused.
    look : mapping
        What the recording holds, as `work.look` says; empty until it is read.
    flown_at : str
        The recording's first moment, UTC, ISO 8601; "" where it has no date.
    duration_s : float or None
    assessment : int or None
        The newest one.
    waiting : bool
        Whether it is being worked on or will be.
    put_away : bool
        Whether the list leaves it out.
    """

    id: int
    uid: str
    recording: Recording
    pilot: int | None
    charts: tuple[int, ...]
    clearance: str
    options: Mapping[str, Any]
    state: State
    refusal: str
    look: Mapping[str, Any]
    flown_at: str
    duration_s: float | None
    assessment: int | None
    waiting: bool
    put_away: bool
    made_at: str


def keep_recording(change: sqlite3.Connection, sha256: str, name: str, size_bytes: int) -> Recording:
    """Add the row of a recording whose file is in the folder; the name it came under first stays."""
    change.execute(
        "INSERT INTO recording (sha256, name, size_bytes, received_at) VALUES (?, ?, ?, ?)"
        " ON CONFLICT (sha256) DO NOTHING",
        (sha256, one_line(name, "name of the recording", needed=True), size_bytes, now()),
    )
    return _recording(change.execute("SELECT * FROM recording WHERE sha256 = ?", (sha256,)).fetchone())


def lessons_of_recording(view: sqlite3.Connection, sha256: str) -> tuple[int, ...]:
    """Return the lessons made of a recording, the oldest first."""
    rows = view.execute("SELECT id FROM lesson WHERE recording = ? ORDER BY id", (sha256,))
    return tuple(row["id"] for row in rows)


def add_lesson(
    change: sqlite3.Connection,
    sha256: str,
    *,
    pilot: int | None = None,
    charts: Sequence[int] = (),
    clearance: str = "",
    options: Mapping[str, Any] | None = None,
    brought: tuple[str, str] | None = None,
) -> Lesson:
    """Add a lesson of a recording that is kept, and ask for its work; `brought`: uid and time from another desk."""
    uid, made_at = brought or (new_uid(), now())
    row = change.execute(
        "INSERT INTO lesson (uid, recording, pilot, clearance, options, state, refusal, flown_at, result,"
        " overruled, put_away, made_at) VALUES (?, ?, ?, ?, ?, 'received', '', '', '', 0, 0, ?) RETURNING id",
        (uid, sha256, pilot, _clearance(clearance), json.dumps(dict(options or {})), made_at),
    ).fetchone()
    _set_charts(change, row["id"], charts)
    ask_for_work(change, row["id"])
    return lesson_of(change, row["id"])


def compare_with(
    change: sqlite3.Connection,
    lesson: int,
    *,
    charts: Sequence[int],
    clearance: str = "",
    options: Mapping[str, Any] | None = None,
) -> Lesson:
    """Set what a lesson is compared with, and ask for a new assessment; what was said of an earlier one stays."""
    lesson_of(change, lesson)
    change.execute(
        "UPDATE lesson SET clearance = ?, options = ? WHERE id = ?",
        (_clearance(clearance), json.dumps(dict(options or {})), lesson),
    )
    _set_charts(change, lesson, charts)
    ask_for_work(change, lesson)
    return lesson_of(change, lesson)


def set_pilot(change: sqlite3.Connection, lesson: int, pilot: int | None) -> None:
    """Say whose flight a lesson is; None for nobody's."""
    lesson_of(change, lesson)
    change.execute("UPDATE lesson SET pilot = ? WHERE id = ?", (pilot, lesson))


def put_away(change: sqlite3.Connection, lesson: int, *, away: bool = True) -> None:
    """Leave a lesson out of the list, or bring it back; nothing of it is lost."""
    lesson_of(change, lesson)
    change.execute("UPDATE lesson SET put_away = ? WHERE id = ?", (away, lesson))


def ask_for_work(change: sqlite3.Connection, lesson: int) -> None:
    """Ask that a lesson be worked on; what is under way for it is replaced, its outcome then counts no more."""
    change.execute("DELETE FROM job WHERE lesson = ?", (lesson,))
    change.execute("INSERT INTO job (lesson, deaths, asked_at) VALUES (?, 0, ?)", (lesson, now()))


def lesson_of(view: sqlite3.Connection, lesson: int) -> Lesson:
    """Return a lesson; DeskError where there is none of this number."""
    row = view.execute(
        "SELECT lesson.*, recording.name, recording.size_bytes, recording.received_at, recording.sha256,"
        " coalesce((SELECT content FROM look WHERE look.lesson = lesson.id), '{}') AS look,"
        " EXISTS (SELECT 1 FROM job WHERE job.lesson = lesson.id) AS waiting"
        " FROM lesson JOIN recording ON recording.sha256 = lesson.recording WHERE lesson.id = ?",
        (lesson,),
    ).fetchone()
    if row is None:
        raise DeskError(f"lesson {lesson}: there is no such lesson here")
    charts = view.execute("SELECT chart FROM lesson_chart WHERE lesson = ? ORDER BY position", (lesson,))
    return Lesson(
        id=row["id"],
        uid=row["uid"],
        recording=_recording(row),
        pilot=row["pilot"],
        charts=tuple(one["chart"] for one in charts),
        clearance=row["clearance"],
        options=json.loads(row["options"]),
        state=row["state"],
        refusal=row["refusal"],
        look=json.loads(row["look"]),
        flown_at=row["flown_at"],
        duration_s=row["duration_s"],
        assessment=row["assessment"],
        waiting=bool(row["waiting"]),
        put_away=bool(row["put_away"]),
        made_at=row["made_at"],
    )


def keep_look(change: sqlite3.Connection, lesson: int, look: Mapping[str, Any]) -> None:
    """Keep what a recording holds; the lesson counts as read unless it is assessed already."""
    change.execute(
        "UPDATE lesson SET flown_at = ?, duration_s = ?, refusal = '',"
        " state = CASE WHEN assessment IS NULL THEN 'read' ELSE 'assessed' END WHERE id = ?",
        (look["start_utc"] or "", look["duration_s"], lesson),
    )
    change.execute(
        "INSERT INTO look (lesson, content) VALUES (?, ?)"
        " ON CONFLICT (lesson) DO UPDATE SET content = excluded.content",
        (lesson, json.dumps(dict(look))),
    )


@dataclass(frozen=True)
class Spoken:
    """The newest assessment's result and lowest overall score without what was overruled, and how much that was."""

    result: str
    overall: float | None
    overruled: int


def keep_spoken(change: sqlite3.Connection, lesson: int, spoken: Spoken) -> None:
    """Keep what the list shows of a lesson's result."""
    change.execute(
        "UPDATE lesson SET result = ?, overall = ?, overruled = ? WHERE id = ?",
        (spoken.result, spoken.overall, spoken.overruled, lesson),
    )


def refuse(change: sqlite3.Connection, lesson: int, words: str) -> None:
    """Keep why a lesson can't be assessed as it was asked for."""
    said = words if len(words) <= LONGEST_REFUSAL else words[: LONGEST_REFUSAL - 1] + "…"
    change.execute("UPDATE lesson SET state = 'refused', refusal = ? WHERE id = ?", (said, lesson))


def _set_charts(change: sqlite3.Connection, lesson: int, charts: Sequence[int]) -> None:
    change.execute("DELETE FROM lesson_chart WHERE lesson = ?", (lesson,))
    for position, chart in enumerate(dict.fromkeys(charts)):
        if change.execute("SELECT 1 FROM chart WHERE id = ?", (chart,)).fetchone() is None:
            raise DeskError(f"chart {chart}: there is no such chart here")
        change.execute("INSERT INTO lesson_chart (lesson, position, chart) VALUES (?, ?, ?)", (lesson, position, chart))


def _clearance(text: str) -> str:
    return lines(text, "clearance", LONGEST_TEXT)


def _recording(row: sqlite3.Row) -> Recording:
    return Recording(row["sha256"], row["name"], row["size_bytes"], row["received_at"])
