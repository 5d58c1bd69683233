"""Places the view and its drawings on one page: inline style and script under a strict content policy, no request."""

import base64
import hashlib
import json
from datetime import datetime
from functools import cache
from importlib import resources
from typing import Any, NamedTuple

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from analyzer.judged import Assessment, Lesson
from analyzer.shown.report.drawn.palette import palette_css
from analyzer.shown.report.drawn.plan import PlanDrawing, draw_plan, zoom_css
from analyzer.shown.report.drawn.small import draw_entry, draw_needle, draw_pointer, draw_score, draw_time_bar
from analyzer.shown.report.drawn.strips import (
    SIGNS_HEIGHT,
    StripDrawing,
    draw_axis,
    draw_band_names,
    draw_finding_signs,
    draw_strip,
)
from analyzer.shown.report.macros import shared_templates
from analyzer.shown.report.view.cursor import SERIES, in_steps
from analyzer.shown.report.view.lesson import lesson_view
from analyzer.shown.report.view.report import report_view
from analyzer.shown.report.view.values import AttemptView, PutRight, ReportView

_STYLES = (
    "page.css",
    "summary.css",
    "plan.css",
    "strips.css",
    "papers.css",
    "overview.css",
    "chart.css",
    "dock.css",
    "narrow.css",
    "forced.css",
    "print.css",
)
_SCRIPTS = (
    "numbers.js",
    "labels.js",
    "plan.js",
    "plan_moves.js",
    "save.js",
    "map.js",
    "strips.js",
    "dock.js",
    "framed.js",
    "debrief.js",
)


class Drawings(NamedTuple):
    """All drawings of one attempt."""

    plan: PlanDrawing
    plots: tuple[StripDrawing, ...]
    signs: Markup
    bands: Markup
    axis: Markup
    seat: tuple[Markup, ...]
    scores: tuple[Markup, ...]
    entry: Markup | None
    time_bar: Markup
    bar_signs: Markup
    switches: tuple[tuple[str, str, bool, str], ...]
    start_s: int
    end_s: int


def report_html(assessment: Assessment, fixed_clock: datetime | None = None) -> str:
    """Return the debrief of an assessment as one HTML page.

    Parameters
    ----------
    assessment : Assessment
    fixed_clock : datetime, optional
        The moment the page says it was made; the options' `made_at` where None, and nothing where both are None.

    Returns
    -------
    str
        A whole page: style, script, figures and data inside; it makes no request, and all content is there without
        script. The same assessment gives the same page.
    """
    return render_view(report_view(assessment, fixed_clock or assessment.options.made_at))


def render_page(assessment: Assessment) -> str:
    """Return the debrief of an assessment as one HTML page; see `report_html`."""
    return report_html(assessment)


def render_lesson(lesson: Lesson, overview: str | None = None) -> str:
    """Return the debrief of a lesson as one HTML page: its parts in the order of time.

    `overview` is the name of the page beside it that lists all flights, where there is one.
    """
    return render_view(lesson_view(lesson, lesson.parts[0].options.made_at), overview)


def render_view(view: ReportView, overview: str | None = None) -> str:
    """Return the page of a gathered view, with a link to the page of all flights where there is one."""
    drawings = [_draw(attempt) for attempt in view.attempts]
    style, script = page_style(), page_script(_SCRIPTS)
    data = [_data(attempt, drawn) for attempt, drawn in zip(view.attempts, drawings, strict=True)]
    return (
        environment()
        .get_template("page.html")
        .render(
            view=view,
            overview=overview,
            drawings=drawings,
            needle=draw_needle(),
            dial=draw_pointer(0.0) if any(one.cursor["full_deg"] for one in view.attempts) else "",
            style=style,
            script=script,
            policy=content_policy(style, script),
            data=json_for_script(data),
        )
    )


@cache
def environment() -> Environment:
    """Return the templates, with everything from outside escaped."""
    return Environment(
        loader=shared_templates(),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


@cache
def page_style() -> Markup:
    """Return the style sheet of all pages."""
    folder = resources.files("analyzer.shown.report") / "templates"
    rules = [palette_css(), zoom_css()]
    return Markup("\n".join(rules) + "\n" + "\n".join((folder / name).read_text(encoding="utf-8") for name in _STYLES))


@cache
def page_script(names: tuple[str, ...]) -> Markup:
    """Return the script of a page."""
    folder = resources.files("analyzer.shown.report") / "templates"
    parts = "\n".join((folder / name).read_text(encoding="utf-8") for name in names)
    return Markup(f'(function () {{\n"use strict";\n{parts}}}());')


def content_policy(style: str, script: str) -> str:
    """Return a content security policy that allows this very style and script, and no request of any kind."""
    return (
        f"default-src 'none'; style-src 'sha256-{_digest(style)}'; script-src 'sha256-{_digest(script)}'; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )


def _digest(content: str) -> str:
    return base64.b64encode(hashlib.sha256(str(content).encode("utf-8")).digest()).decode("ascii")


def json_for_script(content: Any) -> Markup:
    """JSON that can stand in a script element: no character in it can end the element or a line of script."""
    shown = json.dumps(content, ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    for character, escaped in (("<", "\\u003c"), (">", "\\u003e"), ("&", "\\u0026")):
        shown = shown.replace(character, escaped)
    return Markup(shown)


def _draw(attempt: AttemptView) -> Drawings:
    prefix = f"r{attempt.number}"
    start = float(attempt.cursor["t0"])
    end = start + attempt.cursor["step"] * max(1, len(attempt.cursor["x"]) - 1)
    times = (start, end if end > start else start + 1.0)
    return Drawings(
        plan=draw_plan(attempt.plan, prefix),
        plots=tuple(draw_strip(plot, attempt.bands, attempt.findings, prefix) for plot in attempt.plots),
        signs=draw_finding_signs(attempt.findings, times, SIGNS_HEIGHT),
        bands=draw_band_names(attempt.bands, times),
        axis=draw_axis(times, over_time=True),
        seat=tuple(
            draw_pointer(one.pointer_deg) if one.pointer_deg is not None else draw_needle(one.deflection, still=True)
            for one in attempt.seat
        ),
        scores=tuple(draw_score(score.value) for score in attempt.scores),
        entry=draw_entry(attempt.entry, prefix) if attempt.entry is not None else None,
        time_bar=draw_time_bar(attempt.bands, start, end),
        bar_signs=draw_finding_signs(attempt.findings, times, SIGNS_HEIGHT),
        switches=_switches(attempt),
        start_s=round(start),
        end_s=max(round(start) + 1, int(end)),
    )


def _switches(attempt: AttemptView) -> tuple[tuple[str, str, bool, str], ...]:
    """Return the layers that can be switched off: key, words, whether they start on, what they show."""
    plan = attempt.plan
    names = {name for name, _ in plan.planned}
    told = not plan.put_right  # the flight put right answers the question; the planned paths are then a choice
    rows = [
        ("nominal", "planned, still air", "nominal path" in names, told, "What the procedure asks for, without wind"),
        ("corrected", "planned, in the wind", "wind-corrected path" in names, told, "The same, corrected for the wind"),
        ("areas", "protected areas", bool(plan.areas), True, "Primary, secondary, entry zone, distance limit"),
        ("minutes", "heading each minute", bool(plan.ticks), True, "Where the nose pointed at each whole minute"),
        ("drift", "drift in the turns", bool(plan.drifts), True, "Each turn in still air, and what the wind added"),
        ("full-scale", "full needle", True, True, "Where the needle reaches full deflection"),
        ("whole", "rest of the track", bool(attempt.bands), True, "What was flown before and after this reversal"),
    ]
    return tuple((key, word, on, hint) for key, word, there, on, hint in rows if there)


def _data(attempt: AttemptView, drawn: Drawings) -> dict[str, Any]:
    plan = drawn.plan
    lists = {name: in_steps(values) for name, values in attempt.cursor.items() if name in SERIES}
    return {
        "number": attempt.number,
        "findings": [
            [one.code, None if one.at_s is None else round(one.at_s, 2), one.number, one.severity, one.short, one.text]
            for one in sorted(attempt.findings, key=lambda each: each.place)
        ],
        "ground": attempt.ground,
        "cursor": {name: value for name, value in attempt.cursor.items() if name not in SERIES},
        "steps": lists,
        "plan": {"x0": plan.x0, "y0": plan.y0, "k": plan.k, "close": plan.close_view},
        "plots": [
            {"key": plot.key, "across": plot.across, "series": plot.series, "x": place.x, "y": place.y}
            for plot, place in zip(attempt.plots, drawn.plots, strict=True)
        ],
        "put_right": [_moving(one) for one in attempt.plan.put_right],
    }


def _moving(one: PutRight) -> dict[str, Any]:
    """Return the flight put right for the script: thousandths of a nautical mile at even steps of time."""
    return {
        "from": round(one.from_s, 1),
        "step": round(one.step_s, 3),
        "x": in_steps([round(1000 * x) for x, _ in one.path]),
        "y": in_steps([round(1000 * y) for _, y in one.path]),
    }
