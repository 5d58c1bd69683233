"""Numbers as charts print them: 028°, 4,600 ft, 1 400 m, 7° E. What can't be read stays text, for the file's checks."""

import re
from collections.abc import Callable
from datetime import date
from typing import Any

from analyzer.run.desk.pages.chart_form.fields import FieldKind
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KMH, MPS_PER_KNOT

LONGEST = 400
_NUMBER = r"[+\-−]?\d+(?:[.,]\d+)?"
_THOUSANDS = re.compile(r"[+\-−]?\d{1,3}(?:[, \u00a0\u202f’']\d{3})+")
_QUANTITY = re.compile(rf"({_NUMBER})\s*([^\d\s].*)?")
_BY_CATEGORY = re.compile(rf"([A-E])\s*[:=]?\s*({_NUMBER})°?(?:\s*[,;]\s*|\s+|$)")
_VARIATION = re.compile(rf"(?:var\.?\s*)?(?:([EW])\s*({_NUMBER})\s*°?|({_NUMBER})\s*°?\s*([EW])?)", re.IGNORECASE)
_SECTOR = re.compile(r"(\d{1,3})\s*°?\s*(?:-|–|to)\s*(\d{1,3})\s*°?")
#: what may stand behind a number, and what one of it is in the unit of the file
_UNITS: dict[FieldKind, dict[str, float]] = {
    "altitude": {"ft": 1.0, "feet": 1.0, "'": 1.0, "′": 1.0, "m": 1.0 / METRES_PER_FOOT},
    "distance": {"nm": 1.0, "nmi": 1.0, "dme": 1.0, "nm dme": 1.0, "km": 1000.0 / METRES_PER_NM},
    "speed": {"kt": 1.0, "kts": 1.0, "kn": 1.0, "kias": 1.0, "kt ias": 1.0, "km/h": MPS_PER_KMH / MPS_PER_KNOT},
    "minutes": {"min": 1.0, "minute": 1.0, "minutes": 1.0, "s": 1.0 / 60.0, "sec": 1.0 / 60.0},
    "degrees": {"°": 1.0, "deg": 1.0},
    "course": {"°": 1.0, "°m": 1.0, "m": 1.0, "deg": 1.0},
}  # fmt: skip


def value_of(text: str, kind: FieldKind) -> Any:
    """Return what a field says in the unit of the file; the text itself where it can't be read, None where empty."""
    text = " ".join(text[:LONGEST].split())
    if not text:
        return None
    return _READERS.get(kind, _quantity)(text, kind)


def _quantity(text: str, kind: FieldKind) -> Any:
    plain = text
    if kind == "altitude":
        plain = _THOUSANDS.sub(lambda found: re.sub(r"[^\d+\-−]", "", found[0]), text, count=1)
    found = _QUANTITY.fullmatch(plain)
    factor = 1.0 if found is None or not found[2] else _UNITS.get(kind, {}).get(found[2].strip().lower())
    if found is None or factor is None:
        return by_category(text) or text
    value = number_of(found[1])
    return value if factor == 1.0 else _rounded(value * factor, kind)


def _rounded(value: float, kind: FieldKind) -> int | float:
    """Return a converted value to the last figure that a chart prints: whole feet and knots, tenths of the others."""
    return round(value) if kind in ("altitude", "speed") else round(value, 2)


def number_of(text: str) -> int | float:
    """Return a number, whole where it has no decimals."""
    plain = text.replace("−", "-").replace(",", ".")
    return float(plain) if "." in plain else int(plain[:20])


def by_category(text: str) -> dict[str, int | float] | None:
    """Return values by category, "A 280, C 272"; None for anything else."""
    found = list(_BY_CATEGORY.finditer(text))
    whole = "".join(one[0] for one in found)
    return {one[1]: number_of(one[2]) for one in found} if found and whole == text else None


def _position(text: str, kind: FieldKind) -> Any:
    return number_of(text) if re.fullmatch(_NUMBER, text) else text


def _variation(text: str, kind: FieldKind) -> Any:
    if text.upper() == "WMM":
        return "WMM"
    found = _VARIATION.fullmatch(text)
    if found is None:
        return text
    side, value = (found[1] or found[4] or "").upper(), number_of(found[2] or found[3])
    return -abs(value) if side == "W" else value


def _sectors(text: str, kind: FieldKind) -> Any:
    parts = [_SECTOR.fullmatch(part.strip()) for part in re.split(r"[,;]", text) if part.strip()]
    return [[int(part[1]), int(part[2])] for part in parts if part] if parts and all(parts) else text


def _date(text: str, kind: FieldKind) -> Any:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return text


def _text(text: str, kind: FieldKind) -> str:
    return text


_READERS: dict[FieldKind, Callable[[str, FieldKind], Any]] = {
    "text": _text,
    "choice": _text,
    "latitude": _position,
    "longitude": _position,
    "variation": _variation,
    "sectors": _sectors,
    "date": _date,
}


def printed(value: Any, kind: FieldKind) -> str:
    """Return a value of a file as the form shows it."""
    if value is None:
        return ""
    if isinstance(value, dict):
        return ", ".join(f"{letter} {_plain(one)}" for letter, one in value.items())
    if kind == "sectors" and isinstance(value, list):
        return ", ".join(f"{first:03.0f}-{last:03.0f}" for first, last in value)
    if kind == "variation" and not isinstance(value, str):
        return f"{_plain(abs(value))}° {'W' if value < 0 else 'E'}"
    if kind == "course" and isinstance(value, int):
        return f"{value:03d}"
    return value if isinstance(value, str) else _plain(value)


def _plain(value: Any) -> str:
    return str(int(value)) if isinstance(value, float) and value.is_integer() else str(value)
