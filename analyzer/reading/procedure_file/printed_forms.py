"""Numbers and positions as charts print them, which TOML does not allow: 028, 46,2000 and "N46 12.0"."""

import json
import re
from collections.abc import Mapping
from typing import Any

#: a number with zeros before it, as courses are printed; times and dates have other characters beside theirs
_LEADING_ZEROS = re.compile(r"(?<![\w.:+-])([+-]?)0+(\d+(?:\.\d+)?)(?![\w:.-])")
_COMMA = re.compile(r"^(\s*(?:[\w-]+\s*\.\s*)*)([\w-]+)(\s*=\s*)([+-]?\d+),(\d+)\s*(#.*)?$")
_BARE_POSITION = re.compile(r"^(\s*(?:latitude|longitude)\s*=\s*)([NSEWnsew]?\s*\d[^#,]*?)\s*(#.*)?$")
#: keys whose values are never thousands, so that a comma in them is a decimal one
_SMALL_VALUES = ("latitude", "longitude", "_deg", "_nm", "_min")
_TEXT_OR_COMMENT = re.compile(r"\"[^\"]*\"|'[^']*'|#.*")
_MINUTES = r"[0-5]?\d(?:\.\d+)?"
_DEGREES = (
    r"\d{1,3}(?:(?:\.\d+)?\s*[°º]?"
    rf"|\s*[°º:\s-]\s*{_MINUTES}\s*['′’]?|\s*[°º:\s-]\s*[0-5]?\d\s*['′’:\s]\s*{_MINUTES}\s*[\"″”]?)"
)
#: degrees, minutes and seconds with a letter before or after them; patterns of the published schema too
PRINTED_LATITUDE, PRINTED_LONGITUDE = (
    rf"^\s*(?:[{letters}]\s*{_DEGREES}|{_DEGREES}\s*[{letters}])\s*$" for letters in ("NSns", "EWew")
)
_NUMBERS = re.compile(r"\d+(?:\.\d+)?")
_PATTERNS = {"latitude": PRINTED_LATITUDE, "longitude": PRINTED_LONGITUDE}


def as_toml(text: str) -> str:
    """Return a file's text with printed numbers in the form that TOML has; lines, and their numbers, stay the same.

    Raises
    ------
    ValueError
        For a comma in a number that might part thousands: the line, and both right forms.
    """
    lines = text.split("\n")
    for number, line in enumerate(lines, 1):
        comma = _COMMA.match(line)
        if comma is not None:
            before, key, equals, whole, rest = comma.group(1, 2, 3, 4, 5)
            if not key.endswith(_SMALL_VALUES):
                raise ValueError(
                    f"line {number}: {key} = {whole},{rest} holds a comma. Expected {whole}{rest} where it parts "
                    f"thousands, or {whole}.{rest}"
                )
            line = f"{before}{key}{equals}{whole}.{rest}"
        bare = _BARE_POSITION.match(line)
        if bare is not None and any(re.fullmatch(pattern, bare[2]) for pattern in _PATTERNS.values()):
            line = bare[1] + json.dumps(bare[2], ensure_ascii=False)
        lines[number - 1] = _outside_texts(line)
    return "\n".join(lines)


def _outside_texts(line: str) -> str:
    kept = 0
    parts: list[str] = []
    for text in _TEXT_OR_COMMENT.finditer(line):
        parts += [_LEADING_ZEROS.sub(r"\1\2", line[kept : text.start()]), text.group()]
        kept = text.end()
    return "".join([*parts, _LEADING_ZEROS.sub(r"\1\2", line[kept:])])


def with_positions_read(mapping: Mapping[str, Any], depth: int = 0) -> dict[str, Any]:
    """Return the tables with positions such as "N46 12.0" as degrees; what can't be read stays for the checks."""
    read: dict[str, Any] = {}
    for key, value in mapping.items():
        if isinstance(value, Mapping) and depth < 4:
            value = with_positions_read(value, depth + 1)
        elif isinstance(value, list) and depth < 4:
            value = [with_positions_read(each, depth + 1) if isinstance(each, Mapping) else each for each in value]
        elif isinstance(value, str) and key in _PATTERNS:
            degrees = printed_degrees(value, key)
            value = value if degrees is None else degrees
        read[key] = value
    return read


def printed_degrees(text: str, key: str) -> float | None:
    """Return the degrees of a printed position, None for what is none.

    Parameters
    ----------
    text : str
        As "N46 12.0", "46°12.5'N", "101 30.0 W" or "W101-30.0": degrees, then minutes, then seconds, with a letter.
    key : str
        "latitude" or "longitude".
    """
    if len(text) > 60 or not re.fullmatch(_PATTERNS[key], text):
        return None
    degrees, minutes, seconds = (*(float(number) for number in _NUMBERS.findall(text)), 0.0, 0.0)[:3]
    value = degrees + minutes / 60.0 + seconds / 3600.0
    return -value if text.strip()[0] in "SWsw" or text.strip()[-1] in "SWsw" else value
