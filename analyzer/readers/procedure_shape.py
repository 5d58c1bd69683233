"""Whether a procedure's tables and keys have the published shape, told without the library that says what is wrong.

A good file is the usual case, and loading that library takes as long as assessing a short flight. So the published
JSON Schema, which is made from the library's models, is looked through here; only what it doesn't plainly allow goes
to the models, and they alone refuse and say why.
"""

import json
import re
from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path
from typing import Any

PROCEDURE_SCHEMA_FILE = Path(__file__).parents[1] / "schemas" / "procedure.schema.json"
#: words about a key, and what keys mean together, which is looked at elsewhere
_NO_RULE_OF_ONE_KEY = frozenset(
    {"$schema", "$defs", "title", "description", "minProperties", "maxProperties", "if", "then", "else"}
)
#: exactly these types: true is no number, and a caller's own kind of number or text is for the models
_TYPES: dict[str, tuple[type, ...]] = {"number": (int, float), "string": (str,), "object": (dict,), "array": (list,)}
_RULES: dict[str, Callable[[Any, Any], bool]] = {
    "type": lambda value, rule: True,  # looked at before all others
    "format": lambda value, rule: True,  # as well
    "minimum": lambda value, rule: bool(value >= rule),
    "maximum": lambda value, rule: bool(value <= rule),
    "exclusiveMinimum": lambda value, rule: bool(value > rule),
    "minLength": lambda value, rule: len(value) >= rule,
    "maxLength": lambda value, rule: len(value) <= rule,
    "pattern": lambda value, rule: re.fullmatch(rule, value) is not None and _is_whole_text(value),
    "minItems": lambda value, rule: len(value) >= rule,
    "maxItems": lambda value, rule: len(value) <= rule,
    "enum": lambda value, rule: value in rule,
    "const": lambda value, rule: bool(value == rule),
    "required": lambda value, rule: value.keys() >= set(rule),
}


def has_published_shape(mapping: Mapping[str, Any]) -> bool:
    """Return whether all tables, keys, types and ranges are plainly as published; False where there is any doubt."""
    schema = json.loads(PROCEDURE_SCHEMA_FILE.read_text(encoding="utf-8"))
    return _fits(dict(mapping), schema, schema["$defs"])


def _fits(value: Any, schema: Mapping[str, Any], tables: Mapping[str, Any]) -> bool:
    return _is_of_type(value, schema) and all(
        _keeps(value, word, rule, schema, tables) for word, rule in schema.items() if word not in _NO_RULE_OF_ONE_KEY
    )


def _is_of_type(value: Any, schema: Mapping[str, Any]) -> bool:
    if schema.get("format") == "date":  # TOML has dates of its own
        return type(value) is date
    return "type" not in schema or type(value) in _TYPES[schema["type"]]


def _keeps(value: Any, word: str, rule: Any, schema: Mapping[str, Any], tables: Mapping[str, Any]) -> bool:
    if word == "$ref":
        return _fits(value, tables[rule.rpartition("/")[2]], tables)
    if word == "anyOf":
        return any(_fits(value, member, tables) for member in rule)
    if word == "properties":
        return all(_fits(entry, rule[key], tables) for key, entry in value.items() if key in rule)
    if word == "additionalProperties":
        return rule is False and value.keys() <= schema["properties"].keys()
    if word == "items":
        return all(_fits(entry, rule, tables) for entry in value)
    return word in _RULES and _RULES[word](value, rule)  # a word that is not known here is for the models


def _is_whole_text(value: str) -> bool:
    try:
        value.encode("utf-8")
    except UnicodeEncodeError:  # half of a character
        return False
    return True
