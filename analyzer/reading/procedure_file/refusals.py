"""What the models of a procedure file refuse, a line for each key: key, value, what is wrong, what would be right."""

import json
from collections.abc import Iterable, Mapping
from typing import Any, get_args

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from analyzer.reading.procedure_file.schema import ProcedureFile
from analyzer.reading.wording import plain, shown
from analyzer.units import did_you_mean, likely_words

_MOST_IN_FULL = 200  # more than are told
_LONGEST_KEY_SHOWN = 80


def shape_problems(mapping: Mapping[str, Any]) -> dict[str, str]:
    """Return the line of each key whose type, range or name is wrong, or which is missing."""
    problems: dict[str, str] = {}
    try:
        ProcedureFile.model_validate(dict(mapping))
    except ValidationError as error:
        details = error.errors(include_url=False)
        places = [detail["loc"] for detail in details]
        for detail in details:
            key, model, name = _place(detail["loc"], is_unknown=detail["type"] == "extra_forbidden")
            if detail["type"] == "float_type" and _is_told_within(detail["loc"], detail["input"], places):
                continue
            if key in problems:
                continue
            if len(problems) < _MOST_IN_FULL:
                problems[key] = _sentence(detail["type"], key, model, name, detail["input"])
            else:  # only counted: looking for the likely word for each of tens of thousands takes seconds
                problems[key] = f"{_shown_key(key)} is not possible here"
    return problems


def _is_told_within(location: tuple[int | str, ...], value: Any, places: list[tuple[int | str, ...]]) -> bool:
    """Whether a table stands where a single value may stand as well, and a key in it is told of."""
    inner = len(location) + 1
    return isinstance(value, Mapping) and any(
        len(place) >= inner and place[: len(location) - 1] == location[:-1] and place != location for place in places
    )


def _place(location: tuple[int | str, ...], *, is_unknown: bool) -> tuple[str, type[BaseModel], str]:
    """Return the dotted key, the model of its table and its last name; pydantic adds union members, left out here."""
    model: type[BaseModel] = ProcedureFile
    owner = model
    path: list[str] = []
    name = ""
    for at, step in enumerate(location):
        if isinstance(step, int):
            path[-1] += f"[{step + 1}]"
            continue
        if step not in _fields(model) and not (is_unknown and at == len(location) - 1):
            continue  # the name of a union's member
        path.append(step)
        owner, name = model, step
        inner = _table_of(model, step)
        if inner is None:
            break
        model = inner
    return ".".join(path), owner, name


def _fields(model: type[BaseModel]) -> dict[str, FieldInfo]:
    """Return the fields of a table by the names they have in the file."""
    return {field.alias or name: field for name, field in model.model_fields.items()}


def _table_of(model: type[BaseModel], name: str) -> type[BaseModel] | None:
    field = _fields(model).get(name)
    return None if field is None else _model_within(field.annotation)


def _model_within(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((found for member in get_args(annotation) if (found := _model_within(member))), None)


def _sentence(kind: str, key: str, model: type[BaseModel], name: str, value: Any) -> str:
    if kind == "extra_forbidden":
        return f"{_shown_key(key)} = {shown(value)} is not a known key. {_likely_key(key, model, name)}"
    field = _fields(model)[name]
    right = field.description or _description_within(field.annotation, field.metadata) or f"a table: [{key}]"
    if kind == "missing":
        return f"{key} is missing. Expected {right}"
    if kind == "literal_error":
        words = {word.lower(): word for word in _words(field.annotation)}
        likely = likely_words(value.lower() if isinstance(value, str) else "", words)
        hint = f'. Did you mean "{words[likely[0]]}"?' if likely else ""
        return f"{key} = {shown(value)} is not one of the choices. Expected {right}{hint}"
    if kind.endswith("_type"):
        return f"{key} = {shown(value)} is {_type_word(value)}. Expected {right}"
    return f"{key} = {shown(value)} is not possible. Expected {right}"


def _shown_key(key: str) -> str:
    if len(key) > _LONGEST_KEY_SHOWN:
        return plain(key, _LONGEST_KEY_SHOWN)
    return key if all(each.isalnum() or each in "._-[]" for each in key) else plain(json.dumps(key))


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
    if likely := did_you_mean(name.lower(), _fields(model)):
        return likely.lstrip()
    for other in ProcedureFile.model_fields:
        inner = _table_of(ProcedureFile, other)
        if inner is not None and name in _fields(inner) and other != table:
            return f"It belongs in [{other}]"
    if table and name in ProcedureFile.model_fields:
        return "It belongs at the top of the file, before the first table"
    where = f"[{table}]" if table else "the top level"
    return f"Known keys of {where}: {', '.join(_fields(model))}"
