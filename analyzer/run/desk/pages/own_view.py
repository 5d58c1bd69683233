"""The pilot's own view before the verdict is shown."""

from datetime import UTC, datetime
from typing import Any

from flask import redirect, render_template, request
from werkzeug.wrappers import Response

from analyzer.errors import DeskError
from analyzer.judged import GRADE_MEANINGS, GRADES, GRADES_REFERENCE, ITEMS, sheet
from analyzer.run.desk.app import the_desk
from analyzer.run.desk.pages.fit import procedure_for
from analyzer.run.desk.pages.typed import typed_form
from analyzer.run.desk.store.charts import chart_of
from analyzer.run.desk.store.lessons import lesson_of
from analyzer.run.desk.store.own_views import add_own_view, own_views_of_lesson
from analyzer.run.desk.store.pilots import pilot_of


def show(lesson: int) -> str:
    """Ask for the pilot's view of a flight."""
    return _page(lesson, "")


def keep(lesson: int) -> str | Response:
    """Keep it, and go on to the debrief."""
    form = typed_form()
    items: dict[str, tuple[str, str]] = {}
    for item in ITEMS:
        grade, remark = (form.get(f"{kind} {item}", "").strip() for kind in ("grade", "remark"))
        if grade and grade not in GRADES:
            raise DeskError(f"own view: {grade[:40]!r} is not a grade. Expected {', '.join(GRADES)}")
        if grade or remark:
            items[item] = (grade, remark)
    if not any(grade for grade, _ in items.values()):
        return _page(lesson, "Grade at least one line; what did not come up is “not observed”.")
    with the_desk().store.writing() as change:
        add_own_view(change, lesson_of(change, lesson).id, items, form.get("author", ""))
    return redirect(f"/lessons/{lesson}", 303)


def _page(lesson: int, wrong: str) -> str:
    with the_desk().store.reading() as view:
        one = lesson_of(view, lesson)
        pilot = None if one.pilot is None else pilot_of(view, one.pilot)
        charts = [chart_of(view, number) for number in one.charts]
        before = own_views_of_lesson(view, lesson)
    procedure = procedure_for(charts[0], one) if charts else ""
    if isinstance(procedure, str):
        raise DeskError(procedure or "own view: the lesson has no chart yet; pick it first")
    typed: dict[str, Any] = dict(before[-1].items) if before else {}
    if request.method == "POST":
        typed = {
            item: (request.form.get(f"grade {item}", ""), request.form.get(f"remark {item}", "")) for item in ITEMS
        }
    return render_template(
        "desk/own_view.html",
        place="/",
        lesson=one,
        pilot="" if pilot is None else pilot.name,
        rows=[(item, question, *typed.get(item, ("", ""))) for item, question in sheet(procedure)],
        grades=[(grade, GRADE_MEANINGS[grade]) for grade in GRADES],
        reference=GRADES_REFERENCE,
        wrong=wrong,
        again=bool(before),
        now=datetime.now(UTC).strftime("%Y-%m-%d %H:%M"),
    )
