"""What the models of a procedure file refuse, a line for each key: key, value, what is wrong, what would be right."""

import json
from collections.abc import Iterable, Mapping
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from analyzer.reading.procedure_file.schema import ProcedureFile
from analyzer.reading.wording import plain, shown
from analyzer.units import did_you_mean, likely_words

_LONGEST_KEY_SHOWN = 80


def shape_problems(mapping: Mapping[str, Any]) -> dict[str, str]:
    """Return the line of each key whose type, range or name is wrong, or which is missing."""
    problems: dict[str, str] = {}
    try:
        ProcedureFile.model_validate(dict(mapping))
    except ValidationError as error:
        for detail in error.errors(include_url=False):
            key, model, name = _place(detail["loc"])
            if key not in problems:
                problems[key] = _sentence(detail["type"], key, model, name, detail["input"])
    return problems


def _place(location: tuple[int | str, ...]) -> tuple[str, type[BaseModel], str]:
    """Return the dotted key, the model of its table and its last name; pydantic adds union members, cut off here."""
    model: type[BaseModel] = ProcedureFile
    path: list[str] = []
    for step in location:
        path.append(str(step))
        inner = _table_of(model, str(step))
        if inner is None:
            break
        if step is not location[-1]:
            model = inner
    return ".".join(path), model, path[-1]


def _table_of(model: type[BaseModel], name: str) -> type[BaseModel] | None:
    field = model.model_fields.get(name)
    if field is None:
        return None
    members = (field.annotation, *get_args(field.annotation))
    return next((entry for entry in members if isinstance(entry, type) and issubclass(entry, BaseModel)), None)


def _sentence(kind: str, key: str, model: type[BaseModel], name: str, value: Any) -> str:
    if kind == "extra_forbidden":
        return f"{_shown_key(key)} = {shown(value)} is no known key. {_likely_key(key, model, name)}"
    field = model.model_fields[name]
    right = field.description or _description_within(field.annotation, field.metadata) or f"a table: [{key}]"
    if kind == "missing":
        return f"{key} is missing. Expected {right}"
    if kind == "literal_error":
        words = {word.lower(): word for word in _words(field.annotation)}
        likely = likely_words(value.lower() if isinstance(value, str) else "", words)
        hint = f'. Did you mean "{words[likely[0]]}"?' if likely else ""
        return f"{key} = {shown(value)} is none of the choices. Expected {right}{hint}"
    if kind.endswith("_type"):
        return f"{key} = {shown(value)} is {_type_word(value)}. Expected {right}"
    return f"{key} = {shown(value)} is not possible. Expected {right}"


def _shown_key(key: str) -> str:
    if len(key) > _LONGEST_KEY_SHOWN:
        return plain(key, _LONGEST_KEY_SHOWN)
    return key if key.replace(".", "").replace("_", "").replace("-", "").isalnum() else plain(json.dumps(key))


def _description_within(annotation: Any, metadata: Iterable[Any]) -> str | None:
    """Return the description of a field's type, which the models give where several fields share the type."""
    for entry in metadata:
        if getattr(entry, "description", None):
            return str(entry.description)
    for member in get_args(annotation):
        found = _description_within(member, getattr(member, "__metadata__", ()))
        if found:
            return found
    return None


def _words(annotation: Any) -> list[str]:
    words: list[str] = []
    for argument in get_args(annotation):
        words += [argument] if isinstance(argument, str) else _words(argument)
    return words


def _type_word(value: Any) -> str:
    if isinstance(value, bool):
        return "true or false"
    if isinstance(value, str):
        return "text"
    if isinstance(value, int | float):
        return "a number"
    if isinstance(value, Mapping):
        return "a table"
    return "a list" if isinstance(value, list) else f"a {type(value).__name__}"


def _likely_key(key: str, model: type[BaseModel], name: str) -> str:
    table = key.rpartition(".")[0]
    if likely := did_you_mean(name.lower(), model.model_fields):
        return likely.lstrip()
    for other, field in ProcedureFile.model_fields.items():
        inner = _table_of(ProcedureFile, other)
        if inner is not None and name in inner.model_fields and field is not None and other != table:
            return f"It belongs in [{other}]"
    if table and name in ProcedureFile.model_fields:
        return "It belongs at the top of the file, before the first table"
    where = f"[{table}]" if table else "the top level"
    return f"Known keys of {where}: {', '.join(model.model_fields)}"
