"""What a column's name says: its meaning and its unit, whatever its case, spaces, punctuation and abbreviations."""

import re
from dataclasses import dataclass
from functools import lru_cache

from analyzer.reading.table.column_vocabulary import (
    ABBREVIATIONS,
    ALL_UNITS,
    DATUM_WORDS,
    DEFAULT_UNITS,
    LAYOUT_WORDS,
    MEANING_NAMES,
    NEUTRAL,
    UNIT_OF_NAME,
    UNITS,
    Kind,
)
from analyzer.units import MPS_PER_FPM


@dataclass(frozen=True)
class ColumnMeaning:
    """What a column's name says.

    Parameters
    ----------
    meaning : str
        As "latitude", "altitude_pressure"; see MEANINGS.
    kind : str
        Kind of quantity.
    unit : str or None
        As the name gives it, None where it gives none.
    factor : float
        From the file's unit to SI (degrees for angles).
    unknown_unit : str
        What a units line says where it is no unit that is known; the default unit is taken then.
    """

    meaning: str
    kind: Kind
    unit: str | None
    factor: float
    unknown_unit: str = ""


MEANINGS: tuple[str, ...] = tuple(MEANING_NAMES)


def _canonical(words: list[str]) -> frozenset[str]:
    return frozenset(ABBREVIATIONS.get(word, word) for word in words)


_BY_WORDS = {
    _canonical(name.split()): (meaning, kind) for meaning, (kind, names) in MEANING_NAMES.items() for name in names
}
_VOCABULARY = (
    frozenset(word for words in _BY_WORDS for word in words)
    | frozenset(ABBREVIATIONS)
    | frozenset(unit for unit in ALL_UNITS if unit.isalpha())
)
#: of what a written-together name may consist: letters that stand for a word only by themselves are none
_PIECES = frozenset(word for word in _VOCABULARY if len(word) > 1 or word in ALL_UNITS or word == "v")


def column_meaning(name: str, unit_cell: str | None = None) -> ColumnMeaning | None:
    """Return what a column's name says, None for a name that says nothing known.

    Parameters
    ----------
    name : str
        As it stands in the header, as "GndSpd [kt]".
    unit_cell : str, optional
        The cell of a units line for that column.
    """
    cell = (unit_cell or "").strip().strip("[](){}#").strip()[:40]
    # "ft msl" under "Altitude" tells the datum too; under a name that tells it by itself the unit alone counts
    found = (_from_name(f"{name[:120]} [{cell}]") if cell else None) or _from_name(name[:120])
    if found is None:
        return None
    meaning, kind, unit, default = found
    unknown = ""
    if unit is None and cell and kind != "text":
        unit = _unit_of_cell(cell)
        unknown = "" if unit is not None or LAYOUT_WORDS.match(cell) else cell
    if kind == "text" or unit is None:
        return ColumnMeaning(meaning, kind, None, default, unknown)
    factor = UNITS[kind].get(unit)
    if factor is None:
        if cell and kind == "time":
            return ColumnMeaning(meaning, kind, None, 1.0)  # units line under a clock: "hh:mm:ss"
        return None
    return ColumnMeaning(meaning, kind, unit, factor)


def is_unit(cell: str) -> bool:
    """Return whether a cell holds a unit, with its datum ("ft msl") or without, or a layout of dates."""
    text = cell.strip().strip("[](){}#").strip()
    if not text or len(text) > 24:
        return False
    if _unit_text(text) in ALL_UNITS or LAYOUT_WORDS.match(text):
        return True
    first, *others = re.findall(r"[^\s/,;]+", text.lower())
    return first in ALL_UNITS and bool(others) and all(word in DATUM_WORDS for word in others)


def _unit_of_cell(cell: str) -> str | None:
    """Return the unit that a cell of a units line holds, alone or with other words."""
    whole = _unit_text(cell)
    if whole in ALL_UNITS:
        return whole
    return next((word for word in re.findall(r"[^\s,;]+", cell.lower()) if word in ALL_UNITS), None)


@lru_cache(maxsize=4096)
def _from_name(name: str) -> tuple[str, Kind, str | None, float] | None:
    unit: str | None = None
    extra: list[str] = []
    for inside in re.findall(r"[\[({]([^\])}]{0,40})[\])}]", name):
        text = _unit_text(inside)
        if text in ALL_UNITS:
            unit = text
        elif not LAYOUT_WORDS.match(inside.strip()):
            for word in _words(inside):
                if word in ALL_UNITS and unit is None:
                    unit = word
                else:
                    extra.append(word)
    words = _words(re.sub(r"[\[({][^\])}]{0,40}[\])}]", " ", name))
    plain = _lookup([*words, *extra])
    if plain is not None:
        return (plain[0], plain[1], unit, plain[2])
    if unit is None:
        for size in (3, 2, 1):
            tail = "".join(words[-size:])
            if len(words) > size and tail in ALL_UNITS:
                found = _lookup([*words[:-size], *extra])
                if found is not None:
                    return (found[0], found[1], tail, found[2])
    return None


def _lookup(words: list[str]) -> tuple[str, Kind, float] | None:
    """Return meaning, kind and factor of the unit that is meant where none is given."""
    for canonical in (_canonical(words), _canonical(words) - NEUTRAL):
        found = _BY_WORDS.get(canonical)
        if found is not None:
            meaning, kind = found
            default = MPS_PER_FPM if meaning == "vertical_speed" else DEFAULT_UNITS[kind]
            return meaning, kind, UNIT_OF_NAME.get(canonical, default)
    return None


def _unit_text(text: str) -> str:
    return re.sub(r"[\s.^_\-]+", "", text.strip().strip("[](){}#").lower())


def _words(name: str) -> list[str]:
    """Return a name's words: split at punctuation and capitals, and written-together words taken apart."""
    words: list[str] = []
    for token in re.findall(r"[A-Z]+(?![a-z])|[A-Z]?[a-z]+|\d+|[°%]|[^\W\d_A-Za-z]+", name):
        word = token.lower()
        words.extend([word] if word in _VOCABULARY else _taken_apart(word))
    return words


def _taken_apart(word: str) -> list[str]:
    """Return the fewest known words that a written-together name consists of, or the name itself."""
    best: list[list[str] | None] = [[]] + [None] * len(word)
    for end in range(1, len(word) + 1):
        for start in range(max(0, end - 12), end):
            head = best[start]
            piece = word[start:end]
            if head is not None and piece in _PIECES:
                current = best[end]
                if current is None or len(head) + 1 < len(current):
                    best[end] = [*head, piece]
    return best[len(word)] or [word]
