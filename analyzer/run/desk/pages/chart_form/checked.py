"""What is wrong with a typed chart, at its fields: the checks are those of the procedure file, the words the form's."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from analyzer.errors import ProcedureFileError
from analyzer.given import Procedure
from analyzer.reading import procedure_from_mapping, procedure_problems
from analyzer.run.desk.pages.chart_form.fields import FIELDS, SEGMENT_LABELS, SEGMENTS, STEP_FIELDS
from analyzer.run.desk.pages.chart_form.form import Values, tables_of
from analyzer.run.desk.pages.chart_form.toml_text import toml_text
from analyzer.units import visible

_DOTTED = re.compile(r"\b(?:[a-z_]+(?:\[\d+\])?\.)+[a-z_]+\b")
_LONGEST_WORDS = 300
_NEEDED_TABLES = ("fix", "course", "guidance")


@dataclass(frozen=True)
class CheckedChart:
    """A typed chart: its file, what is wrong or still missing by field, and the procedure where nothing is.

    `elsewhere` are problems that belong to no field, `doubts` values that contradict each other.
    """

    tables: Mapping[str, Any]
    toml: str
    wrong: Mapping[str, str] = field(default_factory=dict)
    missing: Mapping[str, str] = field(default_factory=dict)
    elsewhere: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()
    procedure: Procedure | None = None


def checked(values: Values) -> CheckedChart:
    """Return the chart that is typed, checked as a procedure file is."""
    return checked_tables(tables_of(values))


def checked_tables(tables: Mapping[str, Any]) -> CheckedChart:
    """Return the tables of a file, checked."""
    text = toml_text(tables)
    wrong: dict[str, str] = {}
    missing: dict[str, str] = {}
    elsewhere: list[str] = []
    # tables that are needed whole: each of their keys is then told of by itself
    for key, line in procedure_problems({**{name: {} for name in _NEEDED_TABLES}, **tables}).items():
        name, words = field_of(key), _words(key, line)
        if name is None:
            elsewhere.append(words)
        else:
            (missing if " is missing. " in line else wrong)[name] = words
    if wrong or missing or elsewhere:
        return CheckedChart(tables, text, wrong, missing, tuple(elsewhere))
    try:
        procedure = procedure_from_mapping(tables, "chart")
    except ProcedureFileError as error:  # a variation that needs the day of the flight
        if tables.get("course", {}).get("variation_deg") == "WMM":
            note = "The variation is taken from the model on the day of the flight; the drawing waits for it."
            return CheckedChart(tables, text, doubts=(note,))
        return CheckedChart(tables, text, elsewhere=(str(error).removeprefix("chart: "),))
    return CheckedChart(tables, text, doubts=tuple(note.text for note in procedure.doubts), procedure=procedure)


def field_of(key: str) -> str | None:
    """Return the field that a dotted key of the file is typed into."""
    if key in FIELDS:
        return key
    parts = key.split(".")
    if parts[0] == "altitudes_ft" and len(parts) > 1 and parts[1] in SEGMENTS:
        return f"altitudes_ft.{parts[1]}.value"
    step = re.fullmatch(r"step\[(\d+)\](?:\.(\w+))?", key)
    if step is not None:
        return f"step.{step[1]}.{step[2] if step[2] in {one.key for one in STEP_FIELDS} else 'distance_nm'}"
    if key == "missed_approach":
        return "missed_approach.at_nm"
    if key == "course.no_reversal_from":
        return "no_reversal_from"
    # a table that is missing whole, as [fix]: at the first of its fields
    return next((name for name in FIELDS if name.startswith(key + ".")), None)


def _words(key: str, line: str) -> str:
    """Return a line of the file's checks with the names of the fields for the keys of the file."""
    rest = line.removeprefix(key).lstrip()
    rest = rest.removeprefix("= ").replace(" is text. ", " can't be read. ")
    rest = _DOTTED.sub(lambda found: _label(found[0]), rest)
    rest = rest.replace("is missing. Expected ", "Still needed: ").replace("Expected ", "Right would be ")
    return visible(rest[:1].upper() + rest[1:])[:_LONGEST_WORDS]


def _label(key: str) -> str:
    name = field_of(key)
    if name in FIELDS:
        return f"“{FIELDS[name].label}”"
    parts = key.split(".")
    return f"“{SEGMENT_LABELS[parts[1]]}”" if parts[0] == "altitudes_ft" and parts[1] in SEGMENT_LABELS else key
