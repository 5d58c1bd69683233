"""One lesson: what it waits for decides what is shown."""

from flask import redirect, render_template, request
from werkzeug.wrappers import Response

from analyzer.run.desk.app import the_desk
from analyzer.run.desk.pages import debrief
from analyzer.run.desk.pages.lesson_read import read_of
from analyzer.run.desk.store.lessons import lesson_of, put_away
from analyzer.run.desk.store.own_views import own_views_of_lesson
from analyzer.run.desk.store.pilots import pilot_of


def show(lesson: int) -> str | Response:
    """Show a lesson: that it is worked on, the choice of its chart, the pilot's own view, or the debrief."""
    with the_desk().store.reading() as view:
        one = lesson_of(view, lesson)
        asks = one.pilot is not None and pilot_of(view, one.pilot).asks_own_view
        said = bool(own_views_of_lesson(view, lesson))
    if one.waiting:
        return render_template("desk/waiting.html", place="/", lesson=one, read=read_of(one))
    if one.assessment is None or one.state == "refused":
        return redirect(f"/lessons/{lesson}/chart", 303)
    if asks and not said:
        return redirect(f"/lessons/{lesson}/own-view", 303)
    return debrief.show(one)


def card(lesson: int) -> str:
    """Give what was read of a recording, for the page that it was dropped on."""
    with the_desk().store.reading() as view:
        one = lesson_of(view, lesson)
    return render_template("desk/card.html", lesson=one, read=read_of(one))


def put(lesson: int) -> Response:
    """Put a lesson away, which takes it out of the list and deletes nothing, or bring it back."""
    with the_desk().store.writing() as change:
        put_away(change, lesson, away=request.form.get("away") == "yes")
    return redirect("/", 303)
