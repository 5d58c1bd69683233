"""What the page of the chart form shows, as plain values."""

from typing import Any

from analyzer.run.desk.pages.chart_form.checked import CheckedChart, field_of
from analyzer.run.desk.pages.chart_form.drawn import Drawing
from analyzer.run.desk.pages.chart_form.fields import (
    AFTER_PROFILE,
    ALTITUDE_RULES,
    BEFORE_PROFILE,
    FIELDS,
    SEGMENT_LABELS,
    STEP_FIELDS,
    STEP_ROWS,
)
from analyzer.run.desk.pages.chart_form.form import MOST_STEPS, Values

_EXAMPLES = {"arrival": "5500", "reversal": "4600", "inbound": "3700", "final": "2500"}


def form_content(values: Values, chart: CheckedChart, drawing: Drawing, *, asked: bool) -> dict[str, Any]:
    """Return what the form's template shows; `asked` where somebody wants to keep the chart: all problems are told."""
    steps = [int(key.split(".")[1]) for key, value in values.items() if key.startswith("step.") and value]
    return {
        "before": BEFORE_PROFILE,
        "after": AFTER_PROFILE,
        "segments": SEGMENT_LABELS.items(),
        "rules": ALTITUDE_RULES,
        "examples": _EXAMPLES,
        "step_fields": STEP_FIELDS,
        "step_rows": min(MOST_STEPS, max([STEP_ROWS, *(row + 1 for row in steps)])),
        "values": values,
        "wrong": chart.wrong if asked else {},
        "missing": chart.missing,
        "missing_asked": needed_labels(chart) if asked else [],
        "elsewhere": chart.elsewhere if asked else (),
        "doubts": chart.doubts,
        "opened": _opened(values, chart.wrong),
        "drawing": drawing,
        "toml": chart.toml,
    }


def live_answer(chart: CheckedChart, drawing: Drawing) -> dict[str, Any]:
    """Return what the form's script is told after a change."""
    return {
        "drawing": None if drawing.svg is None else str(drawing.svg),
        "words": drawing.words,
        "waits": drawing.waits,
        "wrong": dict(chart.wrong),
        "needed": needed_labels(chart),
        "elsewhere": list(chart.elsewhere),
        "doubts": list(chart.doubts),
        "toml": chart.toml,
    }


def needed_labels(chart: CheckedChart) -> list[str]:
    """Return the names of the fields that are still needed, in the order of the form."""
    order = list(FIELDS)
    keys = sorted(chart.missing, key=lambda key: order.index(key) if key in order else len(order))
    return [FIELDS[key].label if key in FIELDS else (field_of(key) or key) for key in keys]


def _opened(values: Values, wrong: Any) -> dict[str, bool]:
    """Return which folded parts hold something."""
    opened = {
        section.key: any(values.get(one.key) or one.key in wrong for one in section.fields)
        for section in AFTER_PROFILE
        if section.folded
    }
    return {**opened, "steps": any(key.startswith("step.") and value for key, value in values.items())}
