"""Which procedure was flown, whose flight it was, what was asked: one page, the likeliest chart first."""

import math
from collections.abc import Mapping
from typing import Any

from flask import redirect, render_template, request
from markupsafe import Markup
from werkzeug.wrappers import Response

from analyzer.files import parsed_toml
from analyzer.run.desk.app import the_desk
from analyzer.run.desk.pages.clearance_form import CLEARANCE_FIELDS, OPTION_FIELDS, clearance_of, options_of
from analyzer.run.desk.pages.coded import proposed
from analyzer.run.desk.pages.fit import Fit, ranked
from analyzer.run.desk.pages.lesson_read import read_of
from analyzer.run.desk.pages.typed import typed_form
from analyzer.run.desk.store.charts import all_charts
from analyzer.run.desk.store.lessons import Lesson, compare_with, lesson_of, set_pilot
from analyzer.run.desk.store.pilots import all_pilots, change_pilot, pilot_named, pilot_of
from analyzer.standards import SET_NAMES

#: charts shown with the flight over them; the others by name
MOST_DRAWN = 3


def show(lesson: int) -> str:
    """Show the choice for a lesson."""
    return _page(lesson, None, {})


def keep(lesson: int) -> str | Response:
    """Keep what was chosen and have the lesson compared with it; show what is wrong otherwise."""
    values = typed_form()
    charts = request.form.getlist("chart", type=int)
    clearance, wrong = clearance_of(values)
    options, wrong_options = options_of(values)
    wrong |= wrong_options
    with the_desk().store.reading() as view:
        was_read = bool(lesson_of(view, lesson).look)
    if not charts and was_read:
        wrong["chart"] = "Pick the chart that was flown, or copy it from paper."
    if wrong:
        return _page(lesson, values, wrong, tuple(charts))
    desk = the_desk()
    with desk.store.writing() as change:
        name = values.get("pilot", "").strip()
        if name:
            pilot = pilot_named(change, name)
            asks = values.get("asks_own_view") == "yes"
            if asks != pilot.asks_own_view:
                change_pilot(change, pilot.id, pilot.name, pilot.note, asks_own_view=asks)
            set_pilot(change, lesson, pilot.id)
        else:
            set_pilot(change, lesson, None)
        compare_with(change, lesson, charts=charts, clearance=clearance, options=options)
    desk.crew.wake()
    return redirect(f"/lessons/{lesson}", 303)


def _page(lesson: int, values: Mapping[str, str] | None, wrong: Mapping[str, str], picked: tuple[int, ...] = ()) -> str:
    desk = the_desk()
    with desk.store.reading() as view:
        one = lesson_of(view, lesson)
        charts = all_charts(view)
        pilots = all_pilots(view)
        pilot = None if one.pilot is None else pilot_of(view, one.pilot)
    fits = ranked(desk, one, charts)
    typed = _typed(one) if values is None else values
    if values is None:
        typed = {
            **typed,
            "pilot": "" if pilot is None else pilot.name,
            "asks_own_view": "yes" if pilot is not None and pilot.asks_own_view else "",
        }
    new = request.args.get("chart", type=int)
    picked = picked or ((new,) if new else one.charts) or _likely(fits)
    drawn = [fit for fit in fits[:MOST_DRAWN] if fit.rank > 0.0 or fit.chart.id in picked]
    others = [fit for fit in fits if fit not in drawn]
    names = (*CLEARANCE_FIELDS, *OPTION_FIELDS, "landing", "pilot", "asks_own_view")
    wants_more = not one.look or bool(set(wrong) & set(OPTION_FIELDS))
    return render_template(
        "desk/choose.html",
        place="/",
        lesson=one,
        read=read_of(one),
        drawn=[_row(one, fit, picked, draw=True) for fit in drawn],
        others=[_row(one, fit, picked, draw=False) for fit in others],
        values={name: typed.get(name, "") for name in names},
        wrong=wrong,
        coded=proposed(desk, one),
        pilots=[each.name for each in pilots],
        tolerance_sets=[("", SET_NAMES[0]), *((name, name) for name in SET_NAMES[1:])],
        more_open=wants_more or any(typed.get(name) for name in OPTION_FIELDS),
        cleared_open=any(typed.get(name) for name in (*CLEARANCE_FIELDS, "landing")),
    )


def _likely(fits: list[Fit]) -> tuple[int, ...]:
    """Return the chart that is picked unless somebody says otherwise: the best where it was flown."""
    return (fits[0].chart.id,) if fits and fits[0].tone == "good" else ()


def _row(lesson: Lesson, fit: Fit, picked: tuple[int, ...], *, draw: bool) -> dict[str, Any]:
    return {
        "id": fit.chart.id,
        "title": fit.chart.title,
        "words": fit.words,
        "tone": fit.tone,
        "readable": fit.procedure is not None,
        "picked": fit.chart.id in picked,
        "drawing": _drawing(lesson, fit) if draw else Markup(""),
        "far": math.isinf(fit.rank),
    }


def _drawing(lesson: Lesson, fit: Fit) -> Markup:
    import numpy as np

    from analyzer.shown import LaidFlight, procedure_drawing

    outline = np.asarray(lesson.look.get("outline") or [], dtype=float).reshape(-1, 3)
    if fit.procedure is None or len(outline) < 2:
        return Markup("")
    flight = LaidFlight(lesson.recording.name, outline[:, 1], outline[:, 2])
    return procedure_drawing(fit.procedure, [flight], f"c{fit.chart.id}", close=True)


def _typed(lesson: Lesson) -> dict[str, str]:
    """Return what the form shows of what a lesson is compared with."""
    tables = parsed_toml(lesson.clearance) if lesson.clearance.strip() else {}
    typed = {name: _found(tables, key) for name, key in CLEARANCE_FIELDS.items()}
    typed["landing"] = next((name for name in ("straight_in", "circling") if tables.get(name)), "")
    return {**typed, **{name: str(lesson.options.get(key, "")) for name, key in OPTION_FIELDS.items()}}


def _found(tables: Mapping[str, Any], key: str) -> str:
    holder: Any = tables
    for part in key.split("."):
        holder = holder.get(part) if isinstance(holder, Mapping) else None
    return "" if holder is None else str(holder)
