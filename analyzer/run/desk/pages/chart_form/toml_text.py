"""The tables of a procedure file as TOML."""

import json
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

HEAD = "# Copied from a chart. Training only, not for navigation; the chart in force decides.\n"


def toml_text(tables: Mapping[str, Any]) -> str:
    """Return a procedure file's text."""
    return HEAD + "\n".join(_lines(tables)).strip() + "\n"


def _lines(tables: Mapping[str, Any]) -> Iterator[str]:
    for key, value in tables.items():
        if not isinstance(value, dict) and key != "step":
            yield f"{key} = {toml_value(value)}"
    for key, table in tables.items():
        if isinstance(table, dict):
            yield from ("", f"[{key}]", *(f"{name} = {toml_value(value)}" for name, value in table.items()))
    for step in tables.get("step", ()):
        yield from ("", "[[step]]", *(f"{name} = {toml_value(value)}" for name, value in step.items()))


def toml_value(value: Any) -> str:
    """Return a value as TOML writes it, a table on one line."""
    if isinstance(value, dict):
        inner = ", ".join(f"{name} = {toml_value(one)}" for name, one in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    if isinstance(value, list):
        return "[" + ", ".join(toml_value(one) for one in value) + "]"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007F")
    return repr(value)
