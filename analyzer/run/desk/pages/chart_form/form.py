"""From what is typed into the chart form to the tables of a procedure file, and back."""

from collections.abc import Iterator, Mapping
from typing import Any

from analyzer.run.desk.pages.chart_form.fields import FIELDS, SEGMENTS, STEP_FIELDS
from analyzer.run.desk.pages.chart_form.printed import printed, value_of

MOST_STEPS = 20
#: keys in the order of the file; tables follow the keys of the top
_TABLES = (
    "source", "fix", "course", "guidance", "limits", "altitudes_ft", "protection", "runway", "final_fix",
    "missed_approach", "arc",
)  # fmt: skip
Values = Mapping[str, str]


def tables_of(values: Values) -> dict[str, Any]:
    """Return the tables of a procedure file for what is typed; empty fields are left out.

    Parameters
    ----------
    values : mapping of str to str
        By name of the field: its dotted key; "altitudes_ft.final.rule", ".value", ".high"; "step.1.distance_nm".
    """
    kind = values.get("reversal", "")
    found: dict[str, Any] = {}
    for key, field in FIELDS.items():
        if field.kinds and kind not in field.kinds:
            continue  # of another kind of reversal: the box isn't shown
        value = value_of(values.get(key, ""), field.kind)
        if value is not None:
            _put(found, key, value)
    for segment in SEGMENTS:
        altitude = _altitude(values, segment)
        if altitude:
            _put(found, f"altitudes_ft.{segment}", altitude)
    steps = list(_steps(values))
    if steps:
        found["step"] = steps
    single = [key for key, value in found.items() if not isinstance(value, dict) and key != "step"]
    ordered = [*single, *(name for name in _TABLES if name in found), *(["step"] if steps else [])]
    return {key: found[key] for key in ordered}


def _put(tables: dict[str, Any], key: str, value: Any) -> None:
    *path, name = key.split(".")
    for part in path:
        tables = tables.setdefault(part, {})
    tables[name] = value


def _altitude(values: Values, segment: str) -> dict[str, Any]:
    key = f"altitudes_ft.{segment}"
    rule = values.get(f"{key}.rule", "")
    value, high = (value_of(values.get(f"{key}.{name}", ""), "altitude") for name in ("value", "high"))
    if not rule or (value is None and high is None):
        # a number without a rule is a minimum, as on most charts
        return {"at_or_above": value} if value is not None else {}
    return {"between": [value, high]} if rule == "between" else {rule: value}


def _steps(values: Values) -> Iterator[dict[str, Any]]:
    for row in range(1, MOST_STEPS + 1):
        read = {field.key: value_of(values.get(f"step.{row}.{field.key}", ""), field.kind) for field in STEP_FIELDS}
        step = {key: value for key, value in read.items() if value is not None}
        if step:
            yield step


def values_of(tables: Mapping[str, Any]) -> dict[str, str]:
    """Return what the form shows for the tables of a file; the inverse of `tables_of` for all that the form holds."""
    values: dict[str, str] = {}
    for key, field in FIELDS.items():
        shown = printed(_found(tables, key), field.kind)
        if shown:
            values[key] = shown
    sectors = printed(_found(tables, "course.no_reversal_from"), "sectors")
    if sectors:
        values.setdefault("no_reversal_from", sectors)
    for segment in SEGMENTS:
        altitude = _found(tables, f"altitudes_ft.{segment}")
        if isinstance(altitude, Mapping) and altitude:
            rule, value = next(iter(altitude.items()))
            low, high = value if isinstance(value, list) and len(value) == 2 else (value, None)
            values[f"altitudes_ft.{segment}.rule"] = str(rule)
            values[f"altitudes_ft.{segment}.value"] = printed(low, "altitude")
            values[f"altitudes_ft.{segment}.high"] = printed(high, "altitude")
    steps = tables.get("step")
    for row, step in enumerate(steps if isinstance(steps, list) else [], 1):
        values |= _step_values(row, step)
    return {key: value for key, value in values.items() if value}


def _step_values(row: int, step: Any) -> dict[str, str]:
    if not isinstance(step, Mapping):
        return {}
    origin = step.get("from")
    whole = {**step, **origin} if isinstance(origin, Mapping) else step
    return {f"step.{row}.{field.key}": printed(whole.get(field.key), field.kind) for field in STEP_FIELDS}


def _found(tables: Any, key: str) -> Any:
    for part in key.split("."):
        tables = tables.get(part) if isinstance(tables, Mapping) else None
    return tables
