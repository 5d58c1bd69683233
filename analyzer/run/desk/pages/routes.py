"""The addresses of the pages."""

from flask import Blueprint, render_template

from analyzer.run.desk.app import the_desk
from analyzer.run.desk.store.lesson_list import Wanted, lesson_list
from analyzer.run.desk.store.lessons import lesson_of

pages = Blueprint("pages", __name__, template_folder="templates", static_folder="static", static_url_path="/static")


@pages.get("/")
def lessons() -> str:
    """Show the lessons and the place to drop recordings."""
    with the_desk().store.reading() as view:
        shown = lesson_list(view, Wanted())
    return render_template("desk/lessons.html", page=shown)


@pages.get("/lessons/<int:lesson>")
def lesson(lesson: int) -> str:
    """Show one lesson."""
    with the_desk().store.reading() as view:
        return render_template("desk/lesson.html", lesson=lesson_of(view, lesson))
