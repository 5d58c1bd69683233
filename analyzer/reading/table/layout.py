"""How a table file is laid out: encoding, delimiter, decimal sign, preamble, header, units line."""

import csv
import re
from collections.abc import Mapping
from dataclasses import dataclass

from analyzer.errors import TrackFileError
from analyzer.reading.table.column_names import column_meaning, is_unit
from analyzer.reading.wording import listed, plain

_LOOK_BYTES = 262_144
_LOOK_LINES = 200  # preambles of recorders are shorter
_SAMPLE_LINES = 200
_MOST_COLUMNS = 2_000
_DELIMITERS = (",", ";", "\t", "|")
_TIMES = frozenset({"time", "elapsed", "local_time", "date"})
_NUMBER = re.compile(r"^\s*[+-]?\d+(?:[.,]\d+)?\s*$")
#: a column named by its number, as --columns altitude_ft=#11
COLUMN_NUMBER = re.compile(r"#(\d{1,4})")
_COMMA_NUMBER = re.compile(r"^\s*[+-]?\d+,\d+\s*$")


@dataclass(frozen=True)
class TableLayout:
    """Where the rows of a table are and how to take them apart.

    Parameters
    ----------
    encoding : str
        "utf-8" or "cp1252" (Latin-1 with its Windows additions).
    delimiter, decimal : str
        One character each.
    names : tuple of str
        Column names as in the header.
    units : tuple of str
        Cells of the units line, "" where there is none.
    header_line : int
        Counted from 1.
    data_offset : int
        Byte at which the rows start.
    data_line : int
        Line at which the rows start, counted from 1.
    sample : tuple of tuple of str
        The first rows, taken apart.
    """

    encoding: str
    delimiter: str
    decimal: str
    names: tuple[str, ...]
    units: tuple[str, ...]
    header_line: int
    data_offset: int
    data_line: int
    sample: tuple[tuple[str, ...], ...]


def table_layout(data: bytes, source: str, columns: Mapping[str, str] | None = None) -> TableLayout:
    """Return how a table is laid out.

    Parameters
    ----------
    data : bytes
        The file, without a byte-order mark.
    source : str
        The file as errors name it.
    columns : mapping of str to str, optional
        The user's own names of columns, which then mark the header line too.

    Raises
    ------
    TrackFileError
        Where no line is a header with position columns.
    """
    encoding = _encoding(data)
    lines = data[:_LOOK_BYTES].splitlines(keepends=True)
    if len(data) > _LOOK_BYTES and len(lines) > 1:
        lines.pop()  # cut in the middle
    texts = [line.decode(encoding, errors="replace").rstrip("\r\n") for line in lines[: _LOOK_LINES + _SAMPLE_LINES]]
    own_names = frozenset(_folded(name) for name in (columns or {}).values())
    found = _best_header(texts[:_LOOK_LINES], own_names)
    bare = None if found is not None else _without_header(texts[:_LOOK_LINES], columns or {})
    if found is None and bare is None:
        raise TrackFileError(f"{source}: {_no_header(texts)}")
    header, delimiter = found or bare or (0, ",")
    names = tuple(_split(texts[header], delimiter))
    if bare is not None:  # the first row stands where a header would: names are numbers
        names = tuple(f"#{place + 1}" for place in range(len(names)))
        header -= 1
    if len(names) > _MOST_COLUMNS:
        raise TrackFileError(f"{source}, line {header + 1}: {len(names):,} columns, the limit is {_MOST_COLUMNS:,}")
    first = header + 1
    units: tuple[str, ...] = ()
    while first < len(texts) and not texts[first].strip():
        first += 1
    if first < len(texts) and _is_units_line(_split(texts[first], delimiter)):
        units = tuple(_split(texts[first], delimiter))
        first += 1
    elif header > 0 and _is_units_line(_split(texts[header - 1], delimiter)):
        units = tuple(_split(texts[header - 1], delimiter))
    units = (*units, *[""] * len(names))[: len(names)]
    sample = tuple(tuple(_split(text, delimiter)) for text in texts[first : first + _SAMPLE_LINES] if text.strip())
    _refuse_unquoted_decimal_commas(source, first, delimiter, names, sample)
    return TableLayout(
        encoding,
        delimiter,
        _decimal(delimiter, names, sample, columns),
        names,
        units,
        header + 1,
        sum(len(line) for line in lines[:first]),
        first + 1,
        sample,
    )


def folded(name: str) -> str:
    """Return a name without case, spaces and punctuation, for comparing."""
    return _folded(name)


def _folded(name: str) -> str:
    return re.sub(r"[\W_]+", "", name.lower())


def _encoding(data: bytes) -> str:
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8"


def _split(text: str, delimiter: str) -> list[str]:
    try:
        cells = next(csv.reader([text.replace("\0", " ")], delimiter=delimiter), [])
    except csv.Error:
        cells = text.split(delimiter)
    cells = [cell.strip() for cell in cells]
    if cells:
        cells[0] = cells[0].lstrip("#;%/ \ufeff")  # headers are often written as comments
    return cells


def _best_header(texts: list[str], own_names: frozenset[str]) -> tuple[int, str] | None:
    """Return line and delimiter of the header: the line whose cells say most, with a position among them."""
    best: tuple[int, int, str] | None = None
    for number, text in enumerate(texts):
        if not text.strip():
            continue
        for delimiter in _DELIMITERS:
            if delimiter not in text:
                continue
            cells = _split(text, delimiter)[:_MOST_COLUMNS]
            meanings = {found.meaning for cell in cells if (found := column_meaning(cell)) is not None}
            own = sum(_folded(cell) in own_names for cell in cells) if own_names else 0
            both = {"latitude", "longitude"} <= meanings or ("position" in meanings and bool(meanings & _TIMES))
            if own < 2 and not both:
                continue
            score = len(meanings) + 3 * own
            if best is None or score > best[0]:
                best = (score, number, delimiter)
    return None if best is None else (best[1], best[2])


def _without_header(texts: list[str], columns: Mapping[str, str]) -> tuple[int, str] | None:
    """Return the first line of a table without a header, and its delimiter, where the user numbers the columns."""
    numbered = [int(found[1]) for name in columns.values() if (found := COLUMN_NUMBER.fullmatch(name.strip()))]
    if len(numbered) < 2:
        return None
    for delimiter in _DELIMITERS:
        widths = [len(_split(text, delimiter)) for text in texts[:20] if text.strip()]
        if widths and min(widths) >= max(numbered):
            first = next(number for number, text in enumerate(texts) if text.strip())
            return first, delimiter
    return None


def _no_header(texts: list[str]) -> str:
    """Return why no header was found, with what was found instead."""
    rows = [(len(_split(text, delimiter)), text, delimiter) for text in texts for delimiter in _DELIMITERS]
    if not rows or max(rows)[0] < 2:
        first = next((text for text in texts if text.strip()), "")
        return (
            f'holds no table: the first line is "{plain(first, 50)}"; expected a header line with columns such as '
            "time, latitude, longitude, altitude_ft"
        )
    width = max(rows)[0]
    _, text, delimiter = next(row for row in rows if row[0] == width)
    cells = _split(text, delimiter)
    if sum(bool(_NUMBER.match(cell)) for cell in cells) >= 2:
        return (
            "has no header line with column names; put one above the rows, such as time,latitude,longitude,"
            "altitude_ft, or number the columns: --columns time=#1,latitude=#2,longitude=#3"
        )
    return (
        f"no columns for latitude and longitude; columns found: {listed(cells)}; name them with "
        "--columns latitude=...,longitude=... (or by number: latitude=#2); --explain lists what is known"
    )


def _is_units_line(cells: list[str]) -> bool:
    filled = [cell for cell in cells if cell.strip()]
    return len(filled) >= 2 and sum(is_unit(cell) for cell in filled) >= 0.6 * len(filled)


def _refuse_unquoted_decimal_commas(
    source: str, line: int, delimiter: str, names: tuple[str, ...], sample: tuple[tuple[str, ...], ...]
) -> None:
    """Refuse commas that part the columns and stand in the numbers too: nothing tells which is which."""
    if delimiter != "," or len(sample) < 2:
        return
    widths = [len(cells) for cells in sample[:-1]]
    integers = all(re.fullmatch(r"\s*[+-]?\d*\s*", cell) for cells in sample[:20] for cell in cells[1:])
    if min(widths) >= len(names) + 2 and integers:
        raise TrackFileError(
            f"{source}, line {line + 1}: rows have {widths[0]} cells under {len(names)} column names; commas seem to "
            "be both decimal sign and delimiter; export with semicolons between the columns, or with decimal points"
        )


def _decimal(
    delimiter: str, names: tuple[str, ...], sample: tuple[tuple[str, ...], ...], columns: Mapping[str, str] | None
) -> str:
    """Return "," where the positions are written with a decimal comma."""
    own = {_folded(name) for key, name in (columns or {}).items() if key in ("latitude", "longitude", "lat", "lon")}
    places = [
        place
        for place, name in enumerate(names)
        if _folded(name) in own or ((found := column_meaning(name)) and found.meaning in ("latitude", "longitude"))
    ]
    cells = [row[place] for row in sample for place in places if place < len(row)]
    commas = sum(bool(_COMMA_NUMBER.match(cell)) for cell in cells)
    return "," if commas > 0.5 * max(1, len(cells)) else "."
