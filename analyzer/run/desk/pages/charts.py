"""The charts of the desk: the list, the form that copies one from paper, one chart with its flights laid over it."""

import re
from collections.abc import Mapping
from typing import Any

from flask import Response, jsonify, redirect, render_template, request
from werkzeug.wrappers import Response as AnyResponse

from analyzer.errors import DeskError, ProcedureFileError
from analyzer.files import parsed_toml
from analyzer.run.desk.app import the_desk
from analyzer.run.desk.pages import words
from analyzer.run.desk.pages.chart_form.checked import CheckedChart, checked, checked_tables
from analyzer.run.desk.pages.chart_form.drawn import drawing_of
from analyzer.run.desk.pages.chart_form.form import values_of
from analyzer.run.desk.pages.chart_form.page import form_content, live_answer
from analyzer.run.desk.pages.coded import cycle_words
from analyzer.run.desk.pages.typed import typed_form
from analyzer.run.desk.store.charts import LONGEST_CHART, Chart, add_chart, all_charts, chart_of
from analyzer.run.desk.store.lesson_list import Line, Wanted, lesson_list
from analyzer.run.desk.store.lessons import lesson_of

#: flights drawn over one plan; more lines can't be told apart
MOST_LAID = 12
_MOST_SHOWN = 200


def show_all() -> str:
    """Show the charts of the desk."""
    with the_desk().store.reading() as view:
        charts = all_charts(view)
        flown = {one.id: lesson_list(view, Wanted(chart=one.id), most=1).total for one in charts}
    return render_template(
        "desk/charts.html",
        place="/charts",
        charts=[{**_row(one), "flown": flown[one.id]} for one in charts],
        lesson=request.args.get("lesson", type=int),
        coded=cycle_words(the_desk()),
    )


def _row(chart: Chart) -> dict[str, Any]:
    tables = _tables(chart.text)
    course = tables.get("course")
    inbound = course.get("inbound_deg") if isinstance(course, Mapping) else None
    fix = tables.get("fix")
    return {
        "id": chart.id,
        "title": chart.title,
        "kind": str(tables.get("reversal", "")),
        "fix": str(fix.get("ident", "")) if isinstance(fix, Mapping) else "",
        "course": f"{inbound:03.0f}°" if isinstance(inbound, int | float) else "",
        "made": words.day_and_time(chart.made_at)[:10],
    }


def new() -> str:
    """Show the form, empty or with the values of a chart that a new one replaces."""
    before = request.args.get("from", type=int)
    values: Mapping[str, str] = {}
    if before is not None:
        with the_desk().store.reading() as view:
            values = values_of(_tables(chart_of(view, before).text))
    return _form(values, checked(values), asked=False, replaces=before)


def keep() -> str | AnyResponse:
    """Keep a typed chart; show the form with what is wrong otherwise, or where only a look was asked for."""
    values = typed_form()
    chart = checked(values)
    is_good = not (chart.wrong or chart.missing or chart.elsewhere)
    replaces = request.form.get("replaces", type=int)
    if request.args.get("look") or not is_good:
        return _form(values, chart, asked=not request.args.get("look") or bool(values.get("title")), replaces=replaces)
    with the_desk().store.writing() as change:
        kept = add_chart(change, str(chart.tables["title"]), chart.toml, "copied", _replaced(change, replaces))
    return _onwards(kept)


def _replaced(change: Any, number: int | None) -> int | None:
    return None if number is None else chart_of(change, number).id


def _onwards(kept: Chart) -> AnyResponse:
    """Go on to the lesson that the chart was copied for, or to the chart."""
    lesson = request.form.get("lesson", type=int)
    return redirect(f"/lessons/{lesson}/chart?chart={kept.id}" if lesson else f"/charts/{kept.id}", 303)


def _form(values: Mapping[str, str], chart: CheckedChart, *, asked: bool, replaces: int | None) -> str:
    lesson = request.values.get("lesson", type=int)
    name = ""
    if lesson:
        with the_desk().store.reading() as view:
            name = lesson_of(view, lesson).recording.name
    return render_template(
        "desk/chart_form.html",
        place="/charts",
        heading="Correct a chart" if replaces else "Copy a chart from paper",
        action="/charts",
        lesson=lesson,
        lesson_name=name,
        replaces=replaces,
        **form_content(values, chart, drawing_of(chart), asked=asked),
    )


def draw() -> Response:
    """Answer the form's script: the drawing, the file and what is wrong."""
    values = typed_form()
    chart = checked(values)
    return jsonify(live_answer(chart, drawing_of(chart, with_areas=values.get("areas") == "yes")))


def file() -> Response:
    """Give the typed chart as a file, whatever is still wrong with it."""
    chart = checked(typed_form())
    return _download(chart.toml, str(chart.tables.get("title", "chart")))


def receive() -> AnyResponse:
    """Take a procedure file as a chart; whoever wrote it, it is checked as the command checks it."""
    sent = request.files.get("file")
    data = b"" if sent is None else sent.stream.read(LONGEST_CHART + 1)
    if not data or len(data) > LONGEST_CHART:
        raise DeskError("chart file: nothing was chosen" if not data else "chart file: larger than 1 MB")
    from analyzer.reading import parsed_procedure

    tables = parsed_procedure(data, "chart file")
    chart = checked_tables(tables)
    problems = [*chart.wrong.values(), *chart.missing.values(), *chart.elsewhere]
    if problems:
        raise ProcedureFileError("\n".join(problems[:20]))
    with the_desk().store.writing() as change:
        kept = add_chart(change, str(tables["title"]), data.decode("utf-8-sig"), "file")
    return _onwards(kept)


def show(chart: int) -> str:
    """Show a chart with the flights of its lessons laid over it."""
    with the_desk().store.reading() as view:
        one = chart_of(view, chart)
        lines = lesson_list(view, Wanted(chart=chart), most=_MOST_SHOWN).lines
        looks = {line.id: lesson_of(view, line.id).look for line in lines[:MOST_LAID]}
    read = checked_tables(_tables(one.text))
    return render_template(
        "desk/chart.html",
        place="/charts",
        chart=one,
        made=words.day_and_time(one.made_at),
        drawing=_with_flights(read, lines, looks),
        doubts=[*read.wrong.values(), *read.missing.values(), *read.elsewhere, *read.doubts],
        flights=[
            {
                "number": number if number <= MOST_LAID else 0,
                "id": line.id,
                "recording": line.recording,
                "pilot": line.pilot_name,
                "flown": words.day_and_time(line.flown_at),
                "result": line.result,
                "tone": words.TONES.get(line.result, "plain"),
            }
            for number, line in enumerate(lines, 1)
        ],
        most=MOST_LAID,
    )


def _with_flights(read: CheckedChart, lines: tuple[Line, ...], looks: Mapping[int, Mapping[str, Any]]) -> Any:
    import numpy as np

    from analyzer.shown import LaidFlight, procedure_drawing

    if read.procedure is None:
        return None
    flights = []
    for line in lines[:MOST_LAID]:
        outline = np.asarray(looks[line.id].get("outline") or [], dtype=float).reshape(-1, 3)
        flights.append(LaidFlight(line.recording, outline[:, 1], outline[:, 2]))
    return procedure_drawing(read.procedure, flights, close=bool(flights))


def text(chart: int) -> Response:
    """Give a chart's file."""
    with the_desk().store.reading() as view:
        one = chart_of(view, chart)
    return _download(one.text, one.title)


def _download(content: str, title: str) -> Response:
    name = re.sub(r"[^a-z0-9]+", "_", title.lower()).strip("_")[:60] or "chart"
    answer = Response(content, mimetype="application/toml")
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}.toml"'
    return answer


def _tables(content: str) -> dict[str, Any]:
    from analyzer.reading import parsed_procedure

    try:
        return parsed_procedure(content.encode("utf-8", "replace"), "chart")
    except ProcedureFileError:
        return parsed_toml("")
