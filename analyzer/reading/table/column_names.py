"""What a column's name says: its meaning and its unit, whatever its case, spaces, punctuation and abbreviations."""

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_FPM, MPS_PER_KMH, MPS_PER_KNOT

Kind = Literal["time", "text", "angle", "length", "speed", "ratio"]

#: unit as written, without spaces, dots and case -> factor to SI (degrees for angles), by kind of quantity
UNITS: dict[str, dict[str, float]] = {
    "length": {
        **dict.fromkeys(("ft", "feet", "foot"), METRES_PER_FOOT),
        **dict.fromkeys(("m", "metre", "metres", "meter", "meters", "mtr"), 1.0),
        **dict.fromkeys(("km", "kilometres", "kilometers"), 1000.0),
        **dict.fromkeys(("nm", "nmi"), METRES_PER_NM),
        **dict.fromkeys(("fl", "hft", "100ft"), 100.0 * METRES_PER_FOOT),
    },
    "speed": {
        **dict.fromkeys(("kt", "kts", "kn", "knot", "knots"), MPS_PER_KNOT),
        **dict.fromkeys(("m/s", "mps", "ms", "m/sec", "ms1", "metrespersecond", "meterspersecond"), 1.0),
        **dict.fromkeys(("km/h", "kmh", "kph", "kmph"), MPS_PER_KMH),
        **dict.fromkeys(("mph", "mi/h"), 1609.344 / 3600.0),  # statute mile, exact by the definition of the foot
        **dict.fromkeys(("fpm", "ft/min", "ftmin", "ftpm", "feetperminute", "feet/min"), MPS_PER_FPM),
        **dict.fromkeys(("ft/s", "fps", "fts"), METRES_PER_FOOT),
    },
    "angle": {
        **dict.fromkeys(("deg", "degree", "degrees", "°", "dd", "degt", "degm", "°t", "°m"), 1.0),
        **dict.fromkeys(("rad", "radian", "radians"), 57.29577951308232),
    },
    "time": {
        **dict.fromkeys(("s", "sec", "secs", "second", "seconds"), 1.0),
        **dict.fromkeys(("ms", "msec", "millisecond", "milliseconds"), 1e-3),
        **dict.fromkeys(("us", "microseconds"), 1e-6),
        **dict.fromkeys(("min", "mins", "minutes"), 60.0),
        **dict.fromkeys(("h", "hr", "hrs", "hours"), 3600.0),
    },
    "ratio": {"%": 0.01, "percent": 0.01, "pct": 0.01, "fsd": 1.0, "fullscale": 1.0},
}
_ALL_UNITS = frozenset(unit for units in UNITS.values() for unit in units)
_LAYOUT_WORDS = re.compile(r"^[yYmMdDhHsS:/\-. ]{5,}$|^iso ?8601$|^utc$|^zulu$|^z$", re.IGNORECASE)  # (yyyy-mm-dd)

_ABBREVIATIONS = {
    "lat": "latitude",
    "lon": "longitude",
    "lng": "longitude",
    "long": "longitude",
    "alt": "altitude",
    "elev": "elevation",
    "ele": "elevation",
    "gnd": "ground",
    "spd": "speed",
    "vel": "velocity",
    "hdg": "heading",
    "trk": "track",
    "vert": "vertical",
    "mag": "magnetic",
    "ind": "indicated",
    "press": "pressure",
    "prs": "pressure",
    "baro": "barometric",
    "corr": "corrected",
    "lcl": "local",
    "ofst": "offset",
    "gnss": "gps",
    "gmt": "utc",
    "zulu": "utc",
    "geo": "geometric",
    "geom": "geometric",
}
_MEANING_NAMES: dict[str, tuple[Kind, tuple[str, ...]]] = {
    "time": (
        "time",
        (
            "time", "timestamp", "utc", "datetime", "date time", "time stamp", "utc time", "gps time", "utc datetime",
            "utc date time", "utc timestamp", "epoch", "epoch time", "unix time", "posix time", "unix timestamp",
            "gps timestamp", "time of day", "position time", "iso time",
        ),
    ),
    "date": ("text", ("date", "utc date", "gps date")),
    "local_time": ("text", ("local time", "local datetime", "local date time", "local timestamp")),
    "local_date": ("text", ("local date",)),
    "utc_offset": ("text", ("utc offset", "time zone", "timezone", "time zone offset", "local offset")),
    "elapsed": (
        "time",
        ("elapsed", "elapsed time", "time elapsed", "seconds", "sec", "relative time", "simulation time", "sim time"),
    ),
    "latitude": ("angle", ("latitude", "gps latitude")),
    "longitude": ("angle", ("longitude", "gps longitude")),
    "altitude_indicated": (
        "length",
        (
            "indicated altitude", "altimeter", "altimeter altitude", "altimeter indication", "corrected altitude",
            "barometric corrected altitude", "qnh altitude",
        ),
    ),
    "altitude": ("length", ("altitude",)),
    "altitude_pressure": (
        "length",
        (
            "pressure altitude", "barometric altitude", "barometric pressure altitude", "flight level", "fl",
            "standard altitude", "standard pressure altitude", "uncorrected altitude",
            "barometric uncorrected altitude",
        ),
    ),
    "altitude_geometric": (
        "length",
        (
            "gps altitude", "geometric altitude", "gps height", "geometric height", "ellipsoid height",
            "ellipsoid altitude", "elevation", "gps elevation", "altitude msl", "msl", "gps altitude msl",
            "true altitude", "hae", "altitude hae", "geoaltitude",
        ),
    ),
    "groundspeed": (
        "speed",
        ("groundspeed", "ground speed", "gs", "gspd", "speed over ground", "sog", "gps speed", "ground velocity",
         "gps groundspeed", "gps ground speed"),
    ),
    "speed": ("speed", ("speed", "velocity")),
    "track": (
        "angle",
        ("track", "ground track", "true track", "true ground track", "track angle", "true track angle", "gps track",
         "course over ground", "cog", "true course over ground", "ground course", "gps course", "track over ground"),
    ),
    "course": ("angle", ("course", "true course", "bearing")),
    "heading_magnetic": (
        "angle",
        ("heading", "magnetic heading", "compass heading", "compass", "heading angle", "magnetic heading angle"),
    ),
    "heading_true": ("angle", ("true heading", "true heading angle")),
    "ias": ("speed", ("ias", "indicated airspeed", "airspeed", "indicated air speed", "air speed", "kias",
                      "airspeed indicated", "cas", "kcas", "calibrated airspeed")),
    "tas": ("speed", ("tas", "true airspeed", "true air speed", "ktas")),
    "bank": ("angle", ("bank", "roll", "bank angle", "roll angle")),
    "vertical_speed": (
        "speed",
        ("vertical speed", "vs", "vspd", "vspeed", "v speed", "vertical rate", "vertrate", "rate of climb",
         "climb rate", "roc", "vsi", "vvi", "ivsi", "vertical velocity"),
    ),
    "deflection": ("ratio", ("deflection", "cdi", "cdi deflection", "needle", "needle deflection", "course deflection",
                             "course deviation indicator", "lateral deflection")),
}  # fmt: skip
_DEFAULT_UNITS = {
    "length": METRES_PER_FOOT,
    "speed": MPS_PER_KNOT,
    "angle": 1.0,
    "ratio": 1.0,
    "time": 1.0,
    "text": 1.0,
}
_UNIT_OF_NAME = {  # names that imply another unit than their kind
    frozenset({"elevation"}): 1.0,  # the GPX element, metres there
    frozenset({"flight", "level"}): UNITS["length"]["fl"],
    frozenset({"fl"}): UNITS["length"]["fl"],
}
_NEUTRAL = frozenset(
    {"aircraft", "plane", "current", "position", "pos", "value", "wgs", "wgs84", "84", "of", "the", "own"}
)


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
    """

    meaning: str
    kind: Kind
    unit: str | None
    factor: float


MEANINGS: tuple[str, ...] = tuple(_MEANING_NAMES)


def _canonical(words: list[str]) -> frozenset[str]:
    return frozenset(_ABBREVIATIONS.get(word, word) for word in words)


_BY_WORDS = {
    _canonical(name.split()): (meaning, kind) for meaning, (kind, names) in _MEANING_NAMES.items() for name in names
}
_VOCABULARY = (
    frozenset(word for words in _BY_WORDS for word in words)
    | frozenset(_ABBREVIATIONS)
    | frozenset(unit for unit in _ALL_UNITS if unit.isalpha())
)


def column_meaning(name: str, unit_cell: str | None = None) -> ColumnMeaning | None:
    """Return what a column's name says, None for a name that says nothing known.

    Parameters
    ----------
    name : str
        As it stands in the header, as "GndSpd [kt]".
    unit_cell : str, optional
        The cell of a units line for that column.
    """
    found = _from_name(name[:120])
    if found is None:
        return None
    meaning, kind, unit, default = found
    if unit is None and unit_cell:
        unit = _unit_text(unit_cell[:40]) or None
    if kind == "text" or unit is None:
        return ColumnMeaning(meaning, kind, None, default)
    factor = UNITS[kind].get(unit)
    if factor is None:
        if unit_cell and _unit_text(unit_cell) == unit and kind == "time":
            return ColumnMeaning(meaning, kind, None, 1.0)  # units line under a clock: "hh:mm:ss"
        return None
    return ColumnMeaning(meaning, kind, unit, factor)


def is_unit(cell: str) -> bool:
    """Return whether a cell holds a unit or a layout of dates and nothing else."""
    text = cell.strip().strip("[](){}#").strip()
    return bool(text) and len(text) <= 24 and (_unit_text(text) in _ALL_UNITS or bool(_LAYOUT_WORDS.match(text)))


@lru_cache(maxsize=4096)
def _from_name(name: str) -> tuple[str, Kind, str | None, float] | None:
    unit: str | None = None
    extra: list[str] = []
    for inside in re.findall(r"[\[({]([^\])}]{0,40})[\])}]", name):
        text = _unit_text(inside)
        if text in _ALL_UNITS:
            unit = text
        elif not _LAYOUT_WORDS.match(inside.strip()):
            for word in _words(inside):
                if word in _ALL_UNITS and unit is None:
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
            if len(words) > size and tail in _ALL_UNITS:
                found = _lookup([*words[:-size], *extra])
                if found is not None:
                    return (found[0], found[1], tail, found[2])
    return None


def _lookup(words: list[str]) -> tuple[str, Kind, float] | None:
    """Return meaning, kind and factor of the unit that is meant where none is given."""
    for canonical in (_canonical(words), _canonical(words) - _NEUTRAL):
        found = _BY_WORDS.get(canonical)
        if found is not None:
            meaning, kind = found
            default = MPS_PER_FPM if meaning == "vertical_speed" else _DEFAULT_UNITS[kind]
            return meaning, kind, _UNIT_OF_NAME.get(canonical, default)
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
            if head is not None and piece in _VOCABULARY:
                current = best[end]
                if current is None or len(head) + 1 < len(current):
                    best[end] = [*head, piece]
    return best[len(word)] or [word]
