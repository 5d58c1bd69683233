"""A file of coded procedures kept in the desk: what it proposes for a recording, and a chart made of a proposal."""

from pathlib import Path
from typing import Any

from flask import redirect, request
from werkzeug.wrappers import Response

from analyzer.errors import DeskError, ReversalDebriefError
from analyzer.run.desk.app import the_desk
from analyzer.run.desk.opened import Desk
from analyzer.run.desk.pages.fit import track_of
from analyzer.run.desk.recordings import PlainFiles
from analyzer.run.desk.store.charts import add_chart
from analyzer.run.desk.store.lessons import Lesson, lesson_of
from analyzer.run.desk.store.settings import set_setting, setting

_SETTING = "coded file"
_MOST_PROPOSED = 6


def receive() -> Response:
    """Keep a coded file in place of the one before, once it is read; its proposals stand beside the desk's charts."""
    sent = request.files.get("file")
    if sent is None or not sent.filename:
        raise DeskError("coded file: nothing was chosen")
    desk = the_desk()
    kept = PlainFiles(desk.folder / "coded").keep(sent.stream, "coded file")
    from analyzer.reading import open_coded_file

    try:
        listed = open_coded_file(_place(desk, kept.sha256)).reversals
    except ReversalDebriefError as error:
        raise DeskError(f"coded file: {str(error).rpartition(': ')[2]}") from error
    if not listed:
        raise DeskError("coded file: holds no course reversal that can be debriefed")
    with desk.store.writing() as change:
        set_setting(change, _SETTING, kept.sha256)
    lesson = request.form.get("lesson", type=int)
    return redirect(f"/lessons/{lesson}/chart" if lesson else "/charts", 303)


def _place(desk: Desk, sha256: str) -> Path:
    return desk.folder / "coded" / sha256


def kept_file(desk: Desk) -> Path | None:
    """Return the coded file of the desk, None where it has none."""
    with desk.store.reading() as view:
        sha256 = setting(view, _SETTING)
    place = _place(desk, sha256) if sha256 else None
    return place if place is not None and place.is_file() else None


def cycle_words(desk: Desk) -> str:
    """Return what the desk's coded file holds, in words; "" where there is no file."""
    from analyzer.reading import open_coded_file

    place = kept_file(desk)
    if place is None:
        return ""
    file = open_coded_file(place)
    said = "no cycle named" if file.cycle is None else file.cycle.note(None).removeprefix("Coded ").rstrip(".")
    return f"{len(file.reversals):,} reversals, {said}"


def proposed(desk: Desk, lesson: Lesson) -> list[dict[str, Any]]:
    """Return the coded reversals that a recording may have flown, the likeliest first."""
    place = kept_file(desk)
    if place is None or not lesson.look:
        return []
    from analyzer.reading import proposals

    try:
        found = proposals(place, track_of(desk, lesson), _MOST_PROPOSED)
    except ReversalDebriefError:
        return []
    return [
        {
            "title": f"{one.airport} {one.approach}" + (f" via {one.transition}" if one.transition else ""),
            "value": f"{one.airport}|{one.approach}|{one.transition}",
            "words": one.evidence,
        }
        for one in found
    ]


def take(lesson: int) -> Response:
    """Make a chart of a proposal, for the lesson that it was proposed for."""
    from analyzer.files import parsed_toml
    from analyzer.reading import procedure_file_from_coded

    airport, _, rest = request.form.get("coded", "").partition("|")
    approach, _, transition = rest.partition("|")
    desk = the_desk()
    place = kept_file(desk)
    if place is None:
        raise DeskError("coded file: there is no such file here any more; take it in again")
    try:
        text = procedure_file_from_coded(place, airport, approach, transition or None)
    except ReversalDebriefError as error:
        raise DeskError(str(error).removeprefix(f"{place}: ")) from error
    with desk.store.writing() as change:
        lesson_of(change, lesson)
        chart = add_chart(change, str(parsed_toml(text)["title"]), text, "coded")
    return redirect(f"/lessons/{lesson}/chart?chart={chart.id}", 303)
