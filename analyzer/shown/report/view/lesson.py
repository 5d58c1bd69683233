"""The page of a lesson: the parts of one recording in the order of time, each by its own procedure."""

from dataclasses import replace
from datetime import datetime

from analyzer.judged import Lesson
from analyzer.shown.report.view import wording
from analyzer.shown.report.view.attempt import attempt_view
from analyzer.shown.report.view.procedure import procedure_table
from analyzer.shown.report.view.report import areas_table, quality_lines, report_view
from analyzer.shown.report.view.sources import methods, source_table
from analyzer.shown.report.view.straight_in import straight_in_view
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
        if lesson.straight_ins:
            finals = tuple(
                straight_in_view(lesson.parts[0], one, n) for n, (_, one) in enumerate(lesson.straight_ins, 1)
            )
            own = base.attempts if lesson.parts[0].attempts else ()
            in_order = sorted((*own, *finals), key=lambda view: float(view.cursor["t0"]))
            return base._replace(attempts=tuple(in_order))
        return base
    told_parts = len(lesson.in_order) + len(lesson.straight_ins)
    lesson = replace(lesson, parts=tuple(replace(part, parts_told=told_parts) for part in lesson.parts))
    straight = {index for index, _ in lesson.straight_ins}
    flown = [part for index, part in enumerate(lesson.parts) if part.attempts or index in straight]
    place = _common_end([part.procedure.title for part in lesson.parts])
    names = [_without_end(part.procedure.title, place) for part in flown or lesson.parts]
    title = lesson.parts[0].options.title or ", ".join(names) + place
    told = [
        (one.attempt.first_passage_s, part, attempt_view(part, one, len(lesson.in_order)))
        for _, part, one in lesson.in_order
    ]
    told += [
        (one.straight.passed_s, lesson.parts[index], straight_in_view(lesson.parts[index], one, number))
        for number, (index, one) in enumerate(lesson.straight_ins, 1)
    ]
    attempts = tuple(
        view._replace(title=f"{_without_end(part.procedure.title, place)}: {view.title[:1].lower()}{view.title[1:]}")
        for _, part, view in sorted(told, key=lambda each: each[0])
    )
    tables = [
        procedure_table(part.procedure)._replace(caption=f"{part.procedure.title}, as understood")
        for part in lesson.parts
    ]
    whole = [lesson.parts[0], *(part for part in flown if part is not lesson.parts[0])]
    said = tuple(wording.sentence(note.text) for note in lesson.notes)
    return base._replace(
        title=f"{title} · {base.flight} · debrief",
        procedure=title,
        facts=_facts(base, lesson),
        attempts=attempts or base.attempts,
        procedure_table=tables[0],
        more_procedures=tuple(tables[1:]),
        quality=tuple(dict.fromkeys((*said, *(line for part in whole for line in quality_lines(part))))),
        methods=tuple(dict.fromkeys(line for part in whole for line in methods(part))),
        sources=base.sources._replace(
            rows=tuple(dict.fromkeys(row for part in whole for row in source_table(part).rows))
        ),
        areas=base.areas._replace(rows=tuple(row for part in whole for row in areas_table(part).rows)),
    )


def _facts(base: ReportView, lesson: Lesson) -> tuple[tuple[str, str], ...]:
    """Return the facts of the recording; what belongs to one procedure stands with its part."""
    kept = tuple(fact for fact in base.facts if fact[0] not in ("procedure", "inbound"))
    return (("procedures", str(len(lesson.parts))), *kept)


def _common_end(titles: list[str]) -> str:
    """Return what all titles end with from a comma on, as the name of the place; empty where they don't."""
    first = titles[0]
    end = first[first.rindex(",") :] if "," in first else ""
    return end if len(titles) > 1 and end and all(title.endswith(end) for title in titles) else ""


def _without_end(title: str, end: str) -> str:
    return title[: -len(end)] if end else title
