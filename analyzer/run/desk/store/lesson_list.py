"""The list of lessons: filtered, searched, a page at a time."""

import sqlite3
from dataclasses import dataclass

from analyzer.run.desk.store.lessons import State


@dataclass(frozen=True)
class Wanted:
    """What the list is to show; each field left as it is lets everything through.

    Parameters
    ----------
    text : str
        Words, each of which stands in the pilot's name, the recording's or a chart's title.
    pilot, chart : int or None
    code : str
        A finding's code in the newest assessment.
    since, until : str
        Days, as 2026-05-01, both included.
    state : str
    waiting : bool or None
        Whether work is under way.
    put_away : bool
        Whether to show those that were put away, in place of the others.
    """

    text: str = ""
    pilot: int | None = None
    chart: int | None = None
    code: str = ""
    since: str = ""
    until: str = ""
    state: State | None = None
    waiting: bool | None = None
    put_away: bool = False


@dataclass(frozen=True)
class Line:
    """A lesson as the list shows it.

    `result` and `overall` are the newest assessment's without the `overruled` findings; `remarks` counts all that was
    said, `signed` speaks of the newest assessment.
    """

    id: int
    recording: str
    pilot: int | None
    pilot_name: str
    charts: tuple[str, ...]
    flown_at: str
    duration_s: float | None
    state: State
    waiting: bool
    refusal: str
    assessment: int | None
    result: str
    overall: float | None
    overruled: int
    attempts: int
    remarks: int
    signed: bool
    made_at: str


@dataclass(frozen=True)
class Page:
    """Some lines of the list, and how many there are altogether."""

    lines: tuple[Line, ...]
    total: int


def lesson_list(view: sqlite3.Connection, wanted: Wanted, *, start: int = 0, most: int = 50) -> Page:
    """Return the lessons that are wanted, the newest flight first."""
    where, values = _conditions(wanted)
    found = view.execute(f"SELECT id FROM lesson WHERE {where} ORDER BY flown_at DESC, id DESC", values).fetchall()
    shown = [row["id"] for row in found[start : start + most]]
    return Page(tuple(_line(view, lesson) for lesson in shown), len(found))


def _conditions(wanted: Wanted) -> tuple[str, list[object]]:
    where: list[str] = ["put_away = ?"]
    values: list[object] = [wanted.put_away]

    def add(condition: str, *those: object) -> None:
        where.append(condition)
        values.extend(those)

    for word in wanted.text.casefold().split():
        add(
            "(recording IN (SELECT sha256 FROM recording WHERE instr(folded(name), ?))"
            " OR pilot IN (SELECT id FROM pilot WHERE instr(folded(name), ?))"
            " OR id IN (SELECT lesson FROM lesson_chart WHERE chart IN"
            " (SELECT id FROM chart WHERE instr(folded(title), ?))))",
            *(word, word, word),
        )
    if wanted.pilot is not None:
        add("pilot = ?", wanted.pilot)
    if wanted.chart is not None:
        add("id IN (SELECT lesson FROM lesson_chart WHERE chart = ?)", wanted.chart)
    if wanted.code:
        add("assessment IN (SELECT assessment FROM finding WHERE code = ?)", wanted.code)
    if wanted.since:
        add("flown_at >= ?", wanted.since)
    if wanted.until:
        add("flown_at <> '' AND substr(flown_at, 1, 10) <= ?", wanted.until)
    if wanted.state is not None:
        add("state = ?", wanted.state)
    if wanted.waiting is not None:
        add("EXISTS (SELECT 1 FROM job WHERE job.lesson = lesson.id) = ?", wanted.waiting)
    return " AND ".join(where), values


def _line(view: sqlite3.Connection, lesson: int) -> Line:
    row = view.execute(
        "SELECT lesson.id, recording.name AS recording, lesson.pilot, coalesce(pilot.name, '') AS pilot_name,"
        " lesson.flown_at, lesson.duration_s, lesson.state, lesson.refusal, lesson.assessment, lesson.made_at,"
        " lesson.result, lesson.overall, lesson.overruled, coalesce(assessment.attempts, 0) AS attempts,"
        " EXISTS (SELECT 1 FROM job WHERE job.lesson = lesson.id) AS waiting,"
        " EXISTS (SELECT 1 FROM signature WHERE signature.assessment = lesson.assessment) AS signed,"
        " (SELECT count(*) FROM remark WHERE remark.assessment IN"
        " (SELECT id FROM assessment WHERE assessment.lesson = lesson.id)) AS remarks"
        " FROM lesson JOIN recording ON recording.sha256 = lesson.recording"
        " LEFT JOIN pilot ON pilot.id = lesson.pilot LEFT JOIN assessment ON assessment.id = lesson.assessment"
        " WHERE lesson.id = ?",
        (lesson,),
    ).fetchone()
    titles = view.execute(
        "SELECT title FROM lesson_chart JOIN chart ON chart.id = lesson_chart.chart WHERE lesson = ? ORDER BY position",
        (lesson,),
    )
    kept = {name: row[name] for name in row.keys() if name not in ("waiting", "signed")}  # noqa: SIM118 - not a dict
    return Line(
        **kept, charts=tuple(one["title"] for one in titles), waiting=bool(row["waiting"]), signed=bool(row["signed"])
    )
