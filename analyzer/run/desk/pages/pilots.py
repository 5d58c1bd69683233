"""Pilots: the list, one pilot's progress, the class."""

from collections.abc import Sequence
from typing import Any

from flask import redirect, render_template, request
from werkzeug.wrappers import Response

from analyzer.errors import DeskError
from analyzer.run.desk.app import the_desk
from analyzer.run.desk.margin.said import read_result, what_was_said, with_what_was_said
from analyzer.run.desk.pages.lessons import line_of
from analyzer.run.desk.store.assessments import assessment_of
from analyzer.run.desk.store.lesson_list import Line, Wanted, lesson_list
from analyzer.run.desk.store.pilots import add_pilot, all_pilots, change_pilot, pilot_of

#: lessons that the page of a pilot, of the class is made of, the newest: each is a result file to be read
MOST_LESSONS, MOST_OF_CLASS = 200, 400


def show_all() -> str:
    """Show the pilots."""
    with the_desk().store.reading() as view:
        pilots = [
            {"id": one.id, "name": one.name, "note": one.note, "asks": one.asks_own_view, **_newest(view, one.id)}
            for one in all_pilots(view)
        ]
    return render_template("desk/pilots.html", place="/pilots", pilots=pilots)


def _newest(view: Any, pilot: int) -> dict[str, Any]:
    found = lesson_list(view, Wanted(pilot=pilot), most=1)
    return {"lessons": found.total, "last": line_of(found.lines[0]) if found.lines else None}


def add() -> Response:
    """Add a pilot."""
    with the_desk().store.writing() as change:
        one = add_pilot(change, request.form.get("name", ""), request.form.get("note", ""), asks_own_view=_asks())
    return redirect(f"/pilots/{one.id}", 303)


def change(pilot: int) -> Response:
    """Change a pilot's name, note and whether the own view is asked for."""
    with the_desk().store.writing() as changes:
        change_pilot(
            changes, pilot, request.form.get("name", ""), request.form.get("note", ""), asks_own_view=_asks()
        )  # fmt: skip
    return redirect(f"/pilots/{pilot}", 303)


def _asks() -> bool:
    return request.form.get("asks_own_view") == "yes"


def show(pilot: int) -> str:
    """Show one pilot's lessons and progress."""
    with the_desk().store.reading() as view:
        one = pilot_of(view, pilot)
        found = lesson_list(view, Wanted(pilot=pilot), most=MOST_LESSONS)
        flights = _flights(view, found.lines)
    from analyzer.shown import progress_content

    return render_template(
        "desk/pilot.html",
        place="/pilots",
        pilot=one,
        lines=[line_of(line) for line in found.lines],
        total=found.total,
        progress=progress_content(flights) if flights else None,
    )


def show_class() -> str:
    """Show all pilots by what they were measured on."""
    with the_desk().store.reading() as view:
        found = lesson_list(view, Wanted(state="assessed"), most=MOST_OF_CLASS)
        flights = _flights(view, [line for line in found.lines if line.pilot is not None])
        hrefs = {line.pilot_name: f"/pilots/{line.pilot}" for line in found.lines}
    from analyzer.shown import class_content

    return render_template(
        "desk/class.html",
        place="/class",
        progress=class_content(flights, hrefs) if flights else None,
        most=MOST_OF_CLASS if found.total > MOST_OF_CLASS else 0,
    )


def _flights(view: Any, lines: Sequence[Line]) -> list[Any]:
    """Return the flights of lessons with what the instructor overruled left out."""
    from analyzer.shown import ProgressFlight

    desk = the_desk()
    flights = []
    for line in lines:
        if line.assessment is None:
            continue
        about = assessment_of(view, line.assessment)
        try:
            result = read_result(desk.results, about)
            result = with_what_was_said(result, what_was_said(view, about, result)) if line.remarks else result
        except (DeskError, ValueError, KeyError):
            continue  # its file is gone; the list of lessons shows it all the same
        flights.append(ProgressFlight(line.pilot_name, line.recording, line.flown_at, result, f"/lessons/{line.id}"))
    return flights
