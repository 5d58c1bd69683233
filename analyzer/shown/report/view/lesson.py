"""The page of a lesson: the parts of one recording in the order of time, each by its own procedure."""

from datetime import datetime

from analyzer.judged import Lesson
from analyzer.shown.report.view import wording
from analyzer.shown.report.view.attempt import attempt_view
from analyzer.shown.report.view.procedure import procedure_table
from analyzer.shown.report.view.report import report_view
from analyzer.shown.report.view.values import ReportView


def lesson_view(lesson: Lesson, made_at: datetime | None = None) -> ReportView:
    """Everything the page of a lesson shows; that of its assessment where there is one procedure only.

    Parameters
    ----------
    lesson : Lesson
    made_at : datetime, optional
        As for `report_view`.
    """
    base = report_view(lesson.parts[0], made_at)
    if len(lesson.parts) == 1:
        return base
    flown = [part for part in lesson.parts if part.attempts]
    title = lesson.parts[0].options.title or ", ".join(part.procedure.title for part in flown or lesson.parts)
    attempts = tuple(
        view._replace(title=f"{part.procedure.title}: {view.title[:1].lower()}{view.title[1:]}")
        for _, part, one in lesson.in_order
        for view in (attempt_view(part, one),)
    )
    tables = [
        procedure_table(part.procedure)._replace(caption=f"{part.procedure.title}, as understood")
        for part in lesson.parts
    ]
    views = [base, *(report_view(part, made_at) for part in flown if part is not lesson.parts[0])]
    said = tuple(wording.sentence(note.text) for note in lesson.notes)
    return base._replace(
        title=f"{title} · {base.flight} · debrief",
        procedure=title,
        facts=_facts(base, lesson),
        attempts=attempts or base.attempts,
        procedure_table=tables[0],
        more_procedures=tuple(tables[1:]),
        quality=tuple(dict.fromkeys((*said, *(line for view in views for line in view.quality)))),
        methods=tuple(dict.fromkeys(line for view in views for line in view.methods)),
        sources=base.sources._replace(rows=tuple(dict.fromkeys(row for view in views for row in view.sources.rows))),
        areas=base.areas._replace(rows=tuple(row for view in views for row in view.areas.rows)),
    )


def _facts(base: ReportView, lesson: Lesson) -> tuple[tuple[str, str], ...]:
    """Return the facts of the recording; what belongs to one procedure stands with its part."""
    kept = tuple(fact for fact in base.facts if fact[0] not in ("procedure", "inbound"))
    return (("procedures", str(len(lesson.parts))), *kept)
