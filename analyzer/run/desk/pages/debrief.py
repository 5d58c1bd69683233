"""The debrief with its margin: what the program found, what people say of it."""

import sqlite3
from collections.abc import Mapping
from typing import Any, cast, get_args

from flask import redirect, render_template, request
from werkzeug.wrappers import Response

from analyzer.errors import DeskError
from analyzer.run.desk.app import the_desk
from analyzer.run.desk.margin.said import FindingSaid, LessonSaid, read_result, say, what_was_said
from analyzer.run.desk.pages import words
from analyzer.run.desk.pages.both_views import both_views
from analyzer.run.desk.store.assessments import FindingKey, assessment_of, assessments_of_lesson, findings_of
from analyzer.run.desk.store.charts import chart_of
from analyzer.run.desk.store.lessons import Lesson, lesson_of
from analyzer.run.desk.store.own_views import own_views_of_lesson
from analyzer.run.desk.store.pilots import pilot_of
from analyzer.run.desk.store.remarks import Kind, Remark, Said
from analyzer.run.desk.store.signatures import add_signature
from analyzer.standards import load_tolerances
from analyzer.units import clock

_SEVERITIES = ("critical", "major", "minor", "note")
_RULINGS = ("agree", "overrule")
_KIND_WORDS = {
    "agree": "agrees",
    "overrule": "overrules",
    "comment": "comments",
    "own finding": "own finding",
    "task": "task",
    "remark": "remark",
    "withdrawn": "takes back",
}
_SCORES = ("containment", "altitude", "intercept", "timing", "overall")


def show(lesson: Lesson) -> str:
    """Show an assessed lesson."""
    assert lesson.assessment is not None
    desk = the_desk()
    with desk.store.reading() as view:
        about = assessment_of(view, lesson.assessment)
        result = read_result(desk.results, about)
        said = what_was_said(view, about, result)
        charts = [chart_of(view, number) for number in about.charts]
        pilot = None if lesson.pilot is None else pilot_of(view, lesson.pilot)
        own = own_views_of_lesson(view, lesson.id)
        earlier = len(assessments_of_lesson(view, lesson.id)) - 1
    names = {
        key: words.title_of(key.code) for key in (one.key for attempt in said.attempts for one in attempt.findings)
    }
    return render_template(
        "desk/debrief.html",
        place="/",
        lesson=lesson,
        assessment=about,
        charts=charts,
        pilot=pilot,
        flown=words.day_and_time(lesson.flown_at),
        attempts=[_attempt(one, result) for one in said.attempts],
        general=[_remark(one, names) for one in said.general],
        gone=[_remark(one, names) for one in said.gone],
        history=[_remark(one, names) for one in said.history],
        signed=[
            {"name": one.signature.name, "at": words.day_and_time(one.signature.made_at), "covers": one.covers_all,
             "seal": one.signature.seal[:12]}
            for one in said.signed
        ],
        signed_now=any(one.covers_all for one in said.signed),
        author=_last_author(said),
        tasks=_tasks(result),
        views=both_views(own, result),
        earlier=earlier,
        notes=[note["text"] for note in result["track"]["quality"] if not result["attempts"]],
    )  # fmt: skip


def remark(lesson: int) -> Response:
    """Keep what somebody says: `say` names kind and place, "overrule 3" or "remark"; `text 3`, `author` the rest."""
    kind, _, rest = request.form.get("say", "").partition(":")
    author = request.form.get("author", "")
    desk = the_desk()
    if kind == "withdrawn":
        with desk.store.writing() as change:
            about = _assessed(change, lesson)
            say(change, desk.results, about, Said("withdrawn", "", author, replaces=_number(rest)))
        return redirect(f"/lessons/{lesson}#margin", 303)
    if kind not in get_args(Kind):
        return redirect(f"/lessons/{lesson}#margin", 303)
    said_kind = cast(Kind, kind)
    with desk.store.writing() as change:
        about = _assessed(change, lesson)
        if kind in ("agree", "overrule", "comment"):
            place = _number(rest)
            keys = findings_of(change, about)
            if not 0 <= place < len(keys):
                raise DeskError(f"finding {place}: there is no such finding in this debrief")
            replaces = _ruling_before(change, about, place) if kind in _RULINGS else None
            text = request.form.get(f"text {place}", "")
            say(change, desk.results, about, Said(said_kind, text, author, finding=keys[place], replaces=replaces))
        else:
            field = {"own finding": "own", "task": "task", "remark": "remark"}[kind]
            at_s = _moment(request.form.get("at_s", "")) if kind == "own finding" else None
            text = request.form.get(f"text {field}", "")
            if kind == "task" and (grade := request.form.get("grade task", "").strip()):
                text = f"{text}: {grade}"
            say(change, desk.results, about, Said(said_kind, text, author, at_s=at_s))
    return redirect(f"/lessons/{lesson}#margin", 303)


def sign(lesson: int) -> Response:
    """Sign the debrief as it stands."""
    with the_desk().store.writing() as change:
        about = assessment_of(change, _assessed(change, lesson))
        add_signature(change, about, request.form.get("signature", ""))
    return redirect(f"/lessons/{lesson}#signatures", 303)


def _assessed(view: sqlite3.Connection, lesson: int) -> int:
    number = lesson_of(view, lesson).assessment
    if number is None:
        raise DeskError(f"lesson {lesson}: there is no such debrief yet")
    return number


def _number(text: str) -> int:
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 16 else -1


def _moment(text: str) -> float | None:
    """Return seconds of a moment as "+12:40" or seconds; None where left out.

    Raises
    ------
    DeskError
        For what is no moment.
    """
    plain = text.strip().lstrip("+")
    if not plain:
        return None
    try:
        parts = [float(part) for part in plain.split(":")]
    except ValueError:
        parts = []
    if not 1 <= len(parts) <= 3 or not all(0.0 <= part < 1e6 for part in parts):
        raise DeskError(
            f"moment: {text[:40]!r} is not a moment of the recording. Expected minutes and seconds, as +12:40"
        )
    return sum(part * 60.0**power for power, part in enumerate(reversed(parts)))


def _ruling_before(view: sqlite3.Connection, assessment: int, place: int) -> int | None:
    """Return the ruling on a finding that a new one stands in the place of."""
    about = assessment_of(view, assessment)
    said = what_was_said(view, about, read_result(the_desk().results, about))
    for attempt in said.attempts:
        for one in attempt.findings:
            if one.place == place:
                return next((each.id for each in reversed(one.remarks) if each.kind in _RULINGS), None)
    return None


def _attempt(attempt: Any, result: Mapping[str, Any]) -> dict[str, Any]:
    """Return an attempt for the margin: its findings worst first, with the numbers that they have in the report."""
    ordered = sorted(attempt.findings, key=lambda one: _SEVERITIES.index(one.finding["severity"]))
    first = attempt.findings[0].place if attempt.findings else 0
    found = next(one for one in result["attempts"] if one["number"] == attempt.number)
    return {
        "number": attempt.number,
        "flown_as": found["flown_as"],
        "start": f"+{clock(found['start_s'])}",
        "start_s": found["start_s"],
        "result": attempt.after.result,
        "tone": words.TONES.get(attempt.after.result, "plain"),
        "overruled": attempt.overruled,
        "scores": [
            (name, words.points(attempt.before.scores[name]), words.points(attempt.after.scores[name]))
            for name in _SCORES
            if attempt.before.scores[name] is not None or attempt.after.scores[name] is not None
        ],
        "result_before": attempt.before.result,
        "findings": [
            _finding(one, number if one.finding["severity"] != "note" else 0, one.place - first)
            for number, one in enumerate(ordered, 1)
        ],
    }


def _finding(one: FindingSaid, number: int, index: int) -> dict[str, Any]:
    rulings = [remark for remark in one.remarks if remark.kind in _RULINGS]
    return {
        "place": one.place,
        "index": index,
        "number": number,
        "severity": one.finding["severity"],
        "title": words.title_of(one.finding["code"]),
        "text": one.finding["text"],
        "at_s": one.finding["at_s"],
        "time": None if one.finding["at_s"] is None else f"+{clock(one.finding['at_s'])}",
        "ruling": rulings[-1].kind if rulings else "",
        "remarks": [_remark(remark, {}) for remark in one.remarks],
    }


def _remark(remark: Remark, names: Mapping[FindingKey, str]) -> dict[str, Any]:
    return {
        "id": remark.id,
        "kind": remark.kind,
        "words": _KIND_WORDS[remark.kind],
        "of": "" if remark.finding is None else names.get(remark.finding, words.title_of(remark.finding.code)),
        "text": remark.text,
        "author": remark.author,
        "at": words.day_and_time(remark.made_at),
        "at_s": remark.at_s,
        "time": "" if remark.at_s is None else f"+{clock(remark.at_s)}",
    }


def _last_author(said: LessonSaid) -> str:
    """Return who spoke last: the one who is likely to speak next."""
    return said.history[-1].author if said.history else (said.signed[-1].signature.name if said.signed else "")


def _tasks(result: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Return the task codes of the standard that the flight was judged by, with what they limit."""
    from analyzer.errors import ToleranceFileError

    try:
        lines = load_tolerances(str(result.get("tolerances") or "")).lines.values()
    except ToleranceFileError:
        lines = load_tolerances().lines.values()
    tasks: dict[str, list[str]] = {}
    for line in lines:
        if line.status == "read" and line.paragraph.startswith(("IR.", "Appendix")):
            tasks.setdefault(line.paragraph, []).append(line.meaning)
    return [(code, "; ".join(dict.fromkeys(meanings))) for code, meanings in sorted(tasks.items())]
