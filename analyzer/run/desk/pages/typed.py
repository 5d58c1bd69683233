"""What a person typed, without what can't be seen; lines of a longer text are kept."""

from flask import request

from analyzer.units import visible

LONGEST = 8_000


def typed_form() -> dict[str, str]:
    """Return the fields of the form that was sent."""
    return {name: _seen(text) for name, text in request.form.items()}


def typed_query(name: str, longest: int = 200) -> str:
    """Return a field of the address, without spaces around it."""
    return _seen(request.args.get(name, "")).strip()[:longest]


def _seen(text: str) -> str:
    return "\n".join(visible(line) for line in text[:LONGEST].split("\n"))
