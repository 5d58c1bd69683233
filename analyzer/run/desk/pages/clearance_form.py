"""The short form of what was asked of one flight, and of what the day was like."""

import re
from collections.abc import Mapping
from typing import Any

from analyzer.errors import ClearanceFileError, OptionError
from analyzer.reading import clearance_asked
from analyzer.run.call_options import options_from, parsed_columns
from analyzer.run.desk.pages.chart_form.printed import value_of
from analyzer.run.desk.pages.chart_form.toml_text import toml_value
from analyzer.standards import SET_NAMES

Values = Mapping[str, str]
#: fields of the form to keys of the clearance file
CLEARANCE_FIELDS = {
    "reversal_asked": "reversal",
    "hold_laps": "hold.laps",
    "hold_leave_at": "hold.leave_at",
    "hold_altitude": "hold.altitude_ft",
    "hold_leg": "hold.leg_min",
    "assigned_altitude": "assigned_altitude_ft",
    "cleared_at": "cleared_at",
}
_KINDS = {"hold_altitude": "altitude", "assigned_altitude": "altitude", "hold_leg": "minutes", "hold_laps": "minutes"}
#: fields of the form to keyword arguments of `analyzer.assess`
OPTION_FIELDS = {
    "altimeter_setting": "altimeter_setting",
    "temperature": "temperature_c",
    "station_elevation": "station_elevation_ft",
    "wind": "wind",
    "tolerances": "tolerances",
    "columns": "columns",
}


def clearance_of(values: Values) -> tuple[str, dict[str, str]]:
    """Return the clearance as a file's text, "" where nothing is asked, and what is wrong by field."""
    tables: dict[str, Any] = {}
    for name, key in CLEARANCE_FIELDS.items():
        text = values.get(name, "").strip()
        value = value_of(text, _KINDS[name]) if name in _KINDS else (text or None)  # type: ignore[arg-type]
        if value is not None:
            holder = tables.setdefault("hold", {}) if key.startswith("hold.") else tables
            holder[key.rpartition(".")[2]] = value
    if values.get("landing") in ("straight_in", "circling"):
        tables[values["landing"]] = True
    names = {key: f"{name}:" for name, key in CLEARANCE_FIELDS.items()}
    try:
        clearance_asked(tables, names=names)
    except ClearanceFileError as error:
        return "", _by_field(str(error))
    lines = [f"{key} = {toml_value(value)}" for key, value in tables.items()]
    return "\n".join(lines), {}


def _by_field(lines: str) -> dict[str, str]:
    wrong = {}
    for line in lines.split("\n"):
        found = re.match(r"clearance: (\w+): = (.*)", line)
        name, said = (found[1], found[2]) if found else ("reversal_asked", line.removeprefix("clearance: "))
        wrong[name] = said.replace("Expected", "Right would be")
    return wrong


def options_of(values: Values) -> tuple[dict[str, Any], dict[str, str]]:
    """Return the options of the assessment that are given, and what is wrong by field."""
    given: dict[str, Any] = {}
    wrong: dict[str, str] = {}
    for name, key in OPTION_FIELDS.items():
        text = values.get(name, "").strip()[:400]
        if not text:
            continue
        value = value_of(text, "altitude") if name == "station_elevation" else text
        if name == "station_elevation" and isinstance(value, str):
            wrong[name] = f"{text[:40]} can't be read. Right would be feet, as 1900"
            continue
        given[key] = value
    for name, key in OPTION_FIELDS.items():
        if key not in given or name in wrong:
            continue
        try:
            if key == "columns":
                parsed_columns(given[key])
            elif key == "tolerances":
                _known_set(given[key])
            elif key == "temperature_c":
                options_from(temperature_c=given[key], station_elevation_ft=given.get("station_elevation_ft"))
            else:
                options_from(**{key: given[key]})
        except OptionError as error:
            wrong[name] = re.sub(r"^--[\w-]+: ", "", str(error)).replace("Expected", "Right would be")
            wrong[name] = wrong[name].replace("add --station-elevation-ft", "type it in the next field")
    return given, wrong


def _known_set(name: str) -> None:
    if name not in SET_NAMES:
        raise OptionError(f"{name[:40]} is not a set of tolerances here. Expected one of the list")
