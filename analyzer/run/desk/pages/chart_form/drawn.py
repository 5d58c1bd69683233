"""The live drawing beside the chart form: the report's plan view of what is typed so far."""

from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from analyzer.given import Procedure
from analyzer.run.desk.pages.chart_form.checked import CheckedChart, checked_tables, field_of
from analyzer.run.desk.pages.chart_form.fields import FIELDS
from analyzer.shown import has_areas_at_hand, procedure_drawing
from analyzer.units import reciprocal_deg

#: what a drawing may stand in for while it is not typed yet; a course can't be stood in for
_STANDING_IN: tuple[tuple[str, Any], ...] = (
    ("title", "Chart"),
    ("reversal", "procedure turn"),
    ("fix.latitude", 45.0),
    ("fix.longitude", 0.0),
    ("course.variation_deg", 0),
    ("course.turn_side", "right"),
    ("guidance.kind", "VOR"),
)
_BASE_TURN_DEG = 30.0  # between outbound course and the reciprocal, until it is typed (own choice, for the drawing)


@dataclass(frozen=True)
class Drawing:
    """The drawing and what it stands in for; `waits` for areas still to be computed; without svg, why in words."""

    svg: Markup | None
    words: str
    waits: bool = False


def drawing_of(chart: CheckedChart, *, with_areas: bool = True) -> Drawing:
    """Return the drawing of a chart, as far as it is typed.

    Parameters
    ----------
    chart : CheckedChart
    with_areas : bool
        False draws areas only where they are computed already, so that the drawing keeps up with the keys.
    """
    procedure, lacking = chart.procedure, ""
    if procedure is None:
        found = _stood_in(chart)
        if isinstance(found, str):
            return Drawing(None, found)
        procedure, lacking = found
    waits = not with_areas and not has_areas_at_hand(procedure)
    try:
        svg = procedure_drawing(procedure, with_areas=not waits)
    except (ValueError, ArithmeticError):  # a chart that nobody can fly: a limit inside the turn's radius and the like
        return Drawing(None, "This can't be drawn: nothing can be flown inside these limits.")
    return Drawing(svg, lacking, waits)


def _stood_in(chart: CheckedChart) -> tuple[Procedure, str] | str:
    """Return a procedure with stand-ins for what is not typed, and which; or why there is none."""
    if "course.inbound_deg" in chart.missing:
        return "The drawing begins with the inbound course."
    tables: dict[str, Any] = deepcopy(dict(chart.tables))
    lacking = []
    for key in chart.wrong:
        if _is_needed(key):
            return f"Not drawn until “{_label(key)}” is right."
        _drop(tables, key)
    for key, value in _STANDING_IN:
        if key not in chart.wrong and _value(tables, key) is None and not _is_told_by_a_teardrop(tables, key):
            _put(tables, key, value)
            lacking.append(_label(key))
    if tables.get("reversal") == "teardrop" and "course.outbound_deg" in chart.missing:
        side = -1 if tables["course"].get("turn_side") == "left" else 1
        outbound = float(reciprocal_deg(tables["course"]["inbound_deg"])) + side * _BASE_TURN_DEG
        _put(tables, "course.outbound_deg", outbound % 360.0)
        lacking.append(_label("course.outbound_deg"))
    if tables.get("course", {}).get("variation_deg") == "WMM":
        tables["course"]["variation_deg"] = 0
        lacking.append(_label("course.variation_deg"))
    again = checked_tables(tables)
    if again.procedure is None:
        return "Drawn as soon as the marked fields are right."
    words = f"Drawn with a stand-in for: {', '.join(lacking)}." if lacking else ""
    return again.procedure, words


def _value(tables: Any, key: str) -> Any:
    for part in key.split("."):
        tables = tables.get(part) if isinstance(tables, Mapping) else None
    return tables


def _is_told_by_a_teardrop(tables: Mapping[str, Any], key: str) -> bool:
    return key == "course.turn_side" and tables.get("reversal") == "teardrop"


def _is_needed(key: str) -> bool:
    return key in {name for name, _ in _STANDING_IN} | {"course.inbound_deg", "course.outbound_deg"}


def _label(key: str) -> str:
    name = field_of(key) or key
    return FIELDS[name].label if name in FIELDS else key


def _put(tables: dict[str, Any], key: str, value: Any) -> None:
    *path, name = key.split(".")
    for part in path:
        tables = tables.setdefault(part, {})
    tables[name] = value


def _drop(tables: dict[str, Any], key: str) -> None:
    """Leave out a value that is wrong and not needed; with a name that has no value any more its table."""
    parts = key.split(".")
    if parts[0] == "step":
        tables.pop("step", None)
        return
    if parts[0] == "altitudes_ft":
        parts = parts[:2]
    *path, name = parts
    holder = _value(tables, ".".join(path)) if path else tables
    if isinstance(holder, dict):
        holder.pop(name, None)
    if parts[0] in ("runway", "final_fix", "arc", "missed_approach"):
        tables.pop(parts[0], None)
