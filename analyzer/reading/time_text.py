"""Moments written as text, read for whole columns at once: each layout found is taken apart once, then in arrays."""

import re
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from analyzer.units import BoolArray, FloatArray

_Codes = npt.NDArray[np.uint32]

LONGEST_TEXT = 40  # no layout that is read here is longer
_MOST_LAYOUTS = 64  # a file with more layouts of time than this is not a recorder's; bounds the work
_CHUNK = 65_536  # texts held as arrays of characters at a time: bounds the memory
_SECONDS_PER_DAY = 86_400

_MONTHS = {
    name: n
    for n, name in enumerate(("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"), 1)
}
_CLOCK = r"(?P<hour>00?):(?P<minute>00)(?::(?P<second>00)(?:[.,](?P<fraction>0+))?)?(?:\s?(?P<half>[AaPp])\.?[Mm]\.?)?"
_ZONE = r"(?:\s?(?P<zone>[Zz]|UTC|GMT|utc|gmt)|\s?(?P<sign>[+-])(?P<zone_hour>00):?(?P<zone_minute>00)?)?"
_DATES = (
    r"(?P<year>0000)-(?P<month>00?)-(?P<day>00?)",
    r"(?P<year>0000)/(?P<month>00?)/(?P<day>00?)",
    r"(?P<year>0000)\.(?P<month>00?)\.(?P<day>00?)",
    r"(?P<year>0000)(?P<month>00)(?P<day>00)",
    r"(?P<day>00?)[ -](?P<month_name>[A-Za-z]{3})[a-z]*[ -](?P<year>0000)",
    r"(?P<first>00?)(?P<separator>[/.-])(?P<second_part>00?)(?P=separator)(?P<year>0000|00)",
)
_CLOCK_COMPACT = r"(?P<hour>00)(?P<minute>00)(?P<second>00)(?:[.,](?P<fraction>0+))?"
#: as text: most files have one layout, and `re` keeps what it has compiled
_LAYOUTS = (
    *(date + r"(?:[Tt ]\s?" + _CLOCK + _ZONE + r")?$" for date in _DATES),
    r"(?P<year>0000)(?P<month>00)(?P<day>00)[Tt]?" + _CLOCK_COMPACT + _ZONE + "$",
    r"(?P<year>0000)-(?P<month>00)-(?P<day>00)[Tt]" + _CLOCK_COMPACT + _ZONE + "$",
    _CLOCK + _ZONE + "$",
)
_COMPACT_CLOCK_ALONE = _CLOCK_COMPACT + "$"


class AmbiguousDateError(ValueError):
    """Day and month can't be told apart; the text is an example."""


@dataclass(frozen=True)
class Moments:
    """Times read from text.

    Parameters
    ----------
    date_s : array, shape (n,)
        Midnight of the date in seconds since 1970; nan where the text has no date.
    clock_s : array, shape (n,)
        Seconds after that midnight, zone taken off; nan where the text has no time of day.
    zoned : array of bool, shape (n,)
        Whether the text names UTC or an offset.
    readable : array of bool, shape (n,)
    """

    date_s: FloatArray
    clock_s: FloatArray
    zoned: BoolArray
    readable: BoolArray

    @property
    def seconds(self) -> FloatArray:
        """Date and time of day together; nan where either is missing."""
        return self.date_s + self.clock_s


@dataclass(frozen=True)
class _Undecided:
    """Dates of which it is not yet known whether day or month comes first."""

    rows: npt.NDArray[np.intp]
    first: FloatArray
    second: FloatArray
    year: FloatArray
    separator: str
    short_year: bool
    example: str


@dataclass
class _Columns:
    """Moments while they are being read; fields as in Moments."""

    date_s: FloatArray
    clock_s: FloatArray
    zoned: BoolArray
    readable: BoolArray
    undecided: list[_Undecided] = field(default_factory=list)


def read_moments(texts: list[str], date_order: str | None = None, compact_clock: bool = False) -> Moments:
    """Return the moments that texts of one column name.

    Parameters
    ----------
    texts : list of str, length n
        ISO 8601 with or without zone, calendar dates with month names, day/month/year in either order, times of day.
    date_order : str, optional
        "dmy" or "mdy": how 03/04/2024 is meant. Without it the whole column must tell. "iso": such dates are not
        read, as in formats that ask for ISO 8601.
    compact_clock : bool
        Whether six digits are a time of day, as beside a date column.

    Returns
    -------
    Moments

    Raises
    ------
    AmbiguousDateError
        Where no row of a column of day/month/year dates tells which is which.
    """
    count = len(texts)
    columns = _Columns(
        np.full(count, np.nan), np.full(count, np.nan), np.zeros(count, np.bool_), np.zeros(count, np.bool_)
    )
    for start in range(0, count, _CHUNK):
        _read_chunk(columns, texts[start : start + _CHUNK], start, compact_clock)
    _decide_date_order(columns, date_order)
    return Moments(columns.date_s, columns.clock_s, columns.zoned, columns.readable)


def _read_chunk(columns: _Columns, texts: list[str], offset: int, compact_clock: bool) -> None:
    """Read a part of the column, one layout after the other."""
    codes = _codes(texts)
    layout = np.where((codes >= 48) & (codes <= 57), np.uint32(48), codes)
    left = np.arange(len(texts))
    for _ in range(_MOST_LAYOUTS):
        same = np.all(layout[left] == layout[left[0]], axis=1)
        _read_layout(columns, left[same] + offset, codes[left[same]], layout[left[0]], compact_clock)
        left = left[~same]
        if not len(left):
            break


def _codes(texts: list[str]) -> _Codes:
    """Return the texts as one row of character codes each, padded with zeros."""
    array = np.array(texts)
    if array.dtype.itemsize > 4 * LONGEST_TEXT:
        array = np.array([text.strip()[:LONGEST_TEXT] for text in texts])
    codes = _characters(array)
    if np.any(codes[:, 0] <= 32):  # leading blanks are rare: strip only then
        codes = _characters(np.strings.strip(array))
    return codes


def _characters(array: npt.NDArray[np.str_]) -> _Codes:
    width = array.dtype.itemsize // 4
    if width == 0:
        return np.zeros((len(array), 1), np.uint32)
    return np.ascontiguousarray(array).view(np.uint32).reshape(len(array), width)


@dataclass(frozen=True)
class _Fields:
    """Rows of one layout: which characters hold which field."""

    match: re.Match[str]
    codes: _Codes

    def has(self, name: str) -> str:
        """Return the text of a field in the layout (digits as zeros), "" where the layout has none."""
        return self.match.groupdict().get(name) or ""

    def number(self, name: str) -> FloatArray:
        """Return a field of digits as numbers, 0 where the layout has none."""
        if not self.has(name):
            return np.zeros(len(self.codes))
        start, end = self.match.span(name)
        powers = 10.0 ** np.arange(end - start - 1, -1, -1)
        return np.asarray((self.codes[:, start:end].astype(np.float64) - 48.0) @ powers, dtype=np.float64)


def _read_layout(
    columns: _Columns, rows: npt.NDArray[np.intp], codes: _Codes, layout: _Codes, compact_clock: bool
) -> None:
    text = "".join(map(chr, layout)).rstrip("\0 \t\r")
    match = next((found for pattern in _LAYOUTS if (found := re.match(pattern, text))), None)
    if match is None and compact_clock:
        match = re.match(_COMPACT_CLOCK_ALONE, text)
    if match is None:
        return
    fields = _Fields(match, codes)
    clock, good = _clock_s(fields)
    date = np.full(len(rows), np.nan)
    if fields.has("first"):
        short = len(fields.has("year")) == 2
        columns.undecided.append(
            _Undecided(
                rows,
                fields.number("first"),
                fields.number("second_part"),
                fields.number("year") + (2000.0 if short else 0.0),
                fields.has("separator"),
                short,
                "".join(map(chr, codes[0])).rstrip("\0 "),
            )
        )
    elif fields.has("year"):
        month_name = fields.has("month_name")
        month = np.full(len(rows), float(_MONTHS.get(month_name.lower(), 0))) if month_name else fields.number("month")
        date, date_good = _date_s(fields.number("year"), month, fields.number("day"))
        good = good & date_good
    columns.date_s[rows] = np.where(good, date, np.nan)
    columns.clock_s[rows] = np.where(good, clock, np.nan)
    columns.zoned[rows] = bool(fields.has("zone") or fields.has("sign"))
    columns.readable[rows] = good


def _clock_s(fields: _Fields) -> tuple[FloatArray, BoolArray]:
    """Return seconds after midnight, zone taken off, and whether they are times of day; nan where there is no clock."""
    hour, minute, second = fields.number("hour"), fields.number("minute"), fields.number("second")
    if not fields.has("hour"):
        return np.full(len(hour), np.nan), np.ones(len(hour), np.bool_)
    good: BoolArray = (hour <= 24) & (minute < 60) & (second <= 60)  # 60: leap second; 24:00 ends a day in ISO 8601
    half = fields.has("half")
    if half:
        good = good & (hour >= 1) & (hour <= 12)
        hour = np.where(hour == 12, 0.0, hour) + (12.0 if half in "Pp" else 0.0)
    clock = hour * 3600.0 + minute * 60.0 + second + fields.number("fraction") / 10.0 ** len(fields.has("fraction"))
    sign = {"+": -1.0, "-": 1.0}.get(fields.has("sign"), 0.0)
    offset = fields.number("zone_hour") * 3600.0 + fields.number("zone_minute") * 60.0
    return np.asarray(clock + sign * offset, dtype=np.float64), good


def _date_s(year: FloatArray, month: FloatArray, day: FloatArray) -> tuple[FloatArray, BoolArray]:
    """Return midnights in seconds since 1970 and whether they are dates of the calendar."""
    good: BoolArray = (year >= 1900) & (year <= 2999) & (month >= 1) & (month <= 12) & (day >= 1) & (day <= 31)
    months = ((np.where(good, year, 1970) - 1970) * 12 + np.where(good, month, 1) - 1).astype(np.int64)
    first = months.astype("datetime64[M]")
    date = first.astype("datetime64[D]") + (np.where(good, day, 1) - 1).astype(np.int64)
    good = good & (date.astype("datetime64[M]") == first)
    return np.asarray(date.astype(np.int64) * _SECONDS_PER_DAY, dtype=np.float64), good


def _decide_date_order(columns: _Columns, date_order: str | None) -> None:
    """Read day/month/year dates once the whole column has been seen."""
    if not columns.undecided:
        return
    dated = int(np.count_nonzero(np.isfinite(columns.date_s)))
    if date_order == "iso" or sum(len(dates.rows) for dates in columns.undecided) < dated:
        for dates in columns.undecided:  # a few damaged rows among plain ones are not worth a question
            columns.readable[dates.rows] = False
        return
    order = date_order or _order_shown(columns.undecided)
    for dates in columns.undecided:
        day, month = (dates.first, dates.second) if order == "dmy" else (dates.second, dates.first)
        date, good = _date_s(dates.year, month, day)
        columns.date_s[dates.rows] = np.where(good, date, np.nan)
        columns.readable[dates.rows] &= good


def _order_shown(undecided: list[_Undecided]) -> str:
    """Return the order of day and month that the dates themselves show."""
    if any(dates.short_year for dates in undecided):  # 24/03/04 may begin with the year too
        raise AmbiguousDateError(undecided[0].example)
    day_first = any(bool(np.any((dates.first > 12) & (dates.second <= 12))) for dates in undecided)
    month_first = any(bool(np.any((dates.second > 12) & (dates.first <= 12))) for dates in undecided)
    if day_first != month_first:
        return "dmy" if day_first else "mdy"
    dotted = all(dates.separator == "." for dates in undecided)  # dates with points are written day first only
    same = all(bool(np.all(dates.first == dates.second)) for dates in undecided)  # 04/04/2024
    if not day_first and (dotted or same):
        return "dmy"
    raise AmbiguousDateError(undecided[0].example)
