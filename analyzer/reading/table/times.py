"""The time of each row of a table, from whatever columns tell it."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from analyzer.errors import TrackFileError
from analyzer.given import QualityNote
from analyzer.reading.table.columns import UsedColumn
from analyzer.reading.time_text import AmbiguousDateError, Moments, read_moments
from analyzer.reading.wording import plain
from analyzer.units import FloatArray

DAY_S = 86_400.0
#: numbers in a time column: from here on they are seconds since 1970 (1990), milliseconds, microseconds, nanoseconds
EPOCH_FROM = 631_152_000.0
_LAST_EPOCH = 4_102_444_800.0  # 2100
_SPREADSHEET_DAY_OF_1970 = 25_569.0  # spreadsheets count days from 1899-12-30
_EPOCH_UNITS = ((1e11, 1.0), (1e14, 1e-3), (1e17, 1e-6), (1e20, 1e-9))


@dataclass
class RowTimes:
    """Times of the rows: seconds since 1970 UTC where `has_date`, else elapsed; which columns told them; notes.

    `unit_open` where they are numbers whose unit the file does not name, read as seconds.
    """

    time_s: FloatArray
    has_date: bool
    columns_used: list[str]
    notes: list[QualityNote] = field(default_factory=list)
    unit_open: bool = False


def row_times(
    used: Mapping[str, Sequence[UsedColumn]],
    texts_of: Callable[[UsedColumn], list[str]],
    numbers_of: Callable[[UsedColumn], FloatArray],
    source: str,
    date_order: str | None,
) -> RowTimes:
    """Return the times of the rows.

    Parameters
    ----------
    used : mapping
        Columns for each meaning.
    texts_of, numbers_of : callable
        Give a column's cells as text, or as numbers with nan for what is none.
    source : str
        The file as errors name it.
    date_order : str or None
        "dmy" or "mdy" where the user has said so.

    Raises
    ------
    TrackFileError
        Where day and month can't be told apart.
    """
    reader = _TimeReader(used, texts_of, numbers_of, source, date_order)
    for attempt in (reader.from_time, reader.from_local_time, reader.from_elapsed):
        times = attempt()
        if times is not None and np.any(np.isfinite(times.time_s)):
            return reader.with_finer_steps(times) if times.has_date else times
    column = next(
        iter(reader.first(key) for key in ("time", "local_time", "elapsed", "date") if reader.first(key)), None
    )
    example = next((text for text in texts_of(column) if text.strip()), "") if column else ""
    raise TrackFileError(
        f'{source}, column "{plain(column.name if column else "time")}": no time can be read, the first is '
        f'"{plain(example)}"; expected ISO 8601 as 2024-01-13T09:00:00Z, seconds since 1970, or elapsed_s'
    )


@dataclass
class _TimeReader:
    used: Mapping[str, Sequence[UsedColumn]]
    texts_of: Callable[[UsedColumn], list[str]]
    numbers_of: Callable[[UsedColumn], FloatArray]
    source: str
    date_order: str | None

    def first(self, meaning: str) -> UsedColumn | None:
        columns = self.used.get(meaning)
        return columns[0] if columns else None

    def from_time(self) -> RowTimes | None:
        column, date = self.first("time"), self.first("date")
        if column is None:
            return self._from_text(None, date, local=False) if date else None
        position_time = self.first("position_time")
        if position_time is not None:  # when the position was received, not when the row was written
            numbers = self.numbers_of(position_time)
            if np.count_nonzero(np.isfinite(numbers)) > 0.5 * len(numbers):
                return _from_numbers(numbers, position_time)
        numbers = self.numbers_of(column)
        if date is None and np.count_nonzero(np.isfinite(numbers)) > 0.5 * max(1, len(numbers)):
            if _is_compact(numbers):
                return self._from_text(column, None, local=False)
            return _from_numbers(numbers, column)
        return self._from_text(column, date, local=False)

    def from_local_time(self) -> RowTimes | None:
        column = self.first("local_time")
        if column is None:
            return None
        return self._from_text(column, self.first("local_date") or self.first("date"), local=True)

    def from_elapsed(self) -> RowTimes | None:
        column = self.first("elapsed")
        if column is None:
            return None
        numbers = self.numbers_of(column)
        if np.any(np.isfinite(numbers)):
            open_unit = column.meaning.unit is None and column.name.strip().lower() != "elapsed_s"
            return RowTimes(numbers * column.meaning.factor, False, [column.name], unit_open=open_unit)
        moments = self._moments(column, False)
        return RowTimes(unwrapped_clock(moments.clock_s), False, [column.name])

    def with_finer_steps(self, times: RowTimes) -> RowTimes:
        """Return times cut to whole seconds with the finer steps of an elapsed column beside them."""
        column = self.first("elapsed")
        if column is None or len(times.time_s) < 3:
            return times
        elapsed = self.numbers_of(column) * column.meaning.factor
        difference = times.time_s - elapsed
        good = np.isfinite(difference)
        if np.count_nonzero(good) < 0.9 * len(difference):
            return times
        repeated = np.count_nonzero(np.diff(times.time_s[good]) == 0.0)
        same_clock = float(np.ptp(difference[good])) <= 1.5 and bool(np.all(np.diff(elapsed[good]) > 0.0))
        if repeated < 0.2 * len(difference) or not same_clock:
            return times
        text = f'Times repeat; the steps between them were taken from column "{plain(column.name)}".'
        note = QualityNote("finer_steps", text)
        offset = float(np.max(difference[good]))  # clocks cut to whole seconds lag by up to one: the largest is right
        return RowTimes(elapsed + offset, True, [*times.columns_used, column.name], [*times.notes, note])

    def _moments(self, column: UsedColumn, compact_clock: bool) -> Moments:
        try:
            texts = self.texts_of(column)
            if compact_clock:  # a leading zero of hhmmss is lost where a spreadsheet took it for a number
                texts = [text.zfill(6) if text.isdigit() and len(text) < 6 else text for text in texts]
            return read_moments(texts, self.date_order, compact_clock)
        except AmbiguousDateError as error:
            raise TrackFileError(
                f'{self.source}, column "{plain(column.name)}": "{plain(error)}" can be read day first or month first; '
                "write dates as 2024-01-13, or say which with --columns date_order=dmy (or mdy)"
            ) from error

    def _from_text(self, column: UsedColumn | None, date: UsedColumn | None, local: bool) -> RowTimes:
        names = [used.name for used in (date, column) if used is not None]
        notes: list[QualityNote] = []
        whole = self._moments(column, date is not None) if column is not None else None
        if whole is not None and np.any(np.isfinite(whole.date_s)):
            assert column is not None
            seconds, zoned, names = whole.seconds, whole.zoned, [column.name]
        elif date is not None:
            dates = self._moments(date, False)
            if whole is None:
                seconds, zoned = dates.seconds, dates.zoned
            else:
                seconds, zoned = _advanced_at_midnight(dates.date_s, whole.clock_s), whole.zoned
        else:
            assert whole is not None
            clock = unwrapped_clock(whole.clock_s)
            notes.append(QualityNote("time_without_date", "Times have no date; the flight's date is not known."))
            return RowTimes(clock, False, names, notes)
        if not np.any(zoned):
            offset = self._offset_s() if local or self.used.get("utc_offset") else None
            if offset is not None:
                seconds = seconds - offset
                names.append(self.used["utc_offset"][0].name)
            elif not (column is not None and "utc" in column.name.lower()):
                text = "Times name no zone; they are read as UTC."
                notes.append(QualityNote("time_without_zone", text))
        return RowTimes(seconds, True, names, notes)

    def _offset_s(self) -> FloatArray | None:
        """Return offsets of local time from UTC in seconds, from hours or +hh:mm."""
        column = self.first("utc_offset")
        if column is None:
            return None
        hours = self.numbers_of(column)
        hours = np.where(np.abs(hours) <= 26.0, hours, np.nan)  # no place on Earth is farther off
        if np.any(np.isfinite(hours)):
            return hours * 3600.0
        texts = self.texts_of(column)
        signs = np.array([-1.0 if text.strip()[:1] in ("-", "−") else 1.0 for text in texts])
        clock = read_moments([text.strip().lstrip("+-−") for text in texts]).clock_s
        return signs * clock if np.any(np.isfinite(clock)) else None


def _is_compact(numbers: FloatArray) -> bool:
    """Return whether numbers are dates and times written together, as 20240113090000."""
    middle = float(np.nanmedian(np.where(np.isfinite(numbers), numbers, np.nan)))
    return 1.98e13 <= middle < 2.1e13  # no epoch unit has a flight of these years there: 1.7e12 ms, 1.7e15 us


def _from_numbers(numbers: FloatArray, column: UsedColumn) -> RowTimes:
    """Read a numeric time column: seconds since 1970 in one of four units by size, spreadsheet days, or elapsed."""
    good = np.isfinite(numbers)
    numbers = np.where(good, numbers, np.nan)
    middle = float(np.nanmedian(np.abs(numbers)))
    unit = column.meaning.factor if column.meaning.unit is not None else None
    if middle >= EPOCH_FROM:
        by_size = next((factor for below, factor in _EPOCH_UNITS if middle < below), 1e-9)
        if unit is None or not EPOCH_FROM <= middle * unit < _LAST_EPOCH:
            unit = by_size
        return RowTimes(numbers * unit, True, [column.name])
    if unit is None and _are_spreadsheet_days(numbers[good]):
        note = QualityNote("spreadsheet_days", "Times are day numbers of a spreadsheet; they are read as UTC.")
        return RowTimes((numbers - _SPREADSHEET_DAY_OF_1970) * DAY_S, True, [column.name], [note])
    note = QualityNote("time_without_date", "Times are elapsed seconds; the flight's date is not known.")
    return RowTimes(numbers * (unit or 1.0), False, [column.name], [note], unit_open=unit is None)


def _are_spreadsheet_days(numbers: FloatArray) -> bool:
    """Return whether numbers are days since the end of 1899, of the years 2000 to 2099, a flight's rows apart."""
    if len(numbers) < 2 or np.min(numbers) < 36_526.0 or np.max(numbers) > 73_050.0:
        return False
    return bool(np.max(numbers) - np.min(numbers) < 2.0 and np.any(numbers % 1.0 != 0.0))


def _days_passed(clock_s: FloatArray) -> FloatArray:
    """Return how many midnights have passed at each row of a clock that wraps, ignoring rows without a time."""
    days = np.zeros(len(clock_s))
    good = np.isfinite(clock_s)
    steps = np.diff(clock_s[good])
    passed = np.where(steps < -DAY_S / 2, 1.0, np.where(steps > DAY_S / 2, -1.0, 0.0))
    days[good] = np.concatenate(([0.0], np.cumsum(passed)))[: int(np.count_nonzero(good))]
    return days


def unwrapped_clock(clock_s: FloatArray) -> FloatArray:
    """Return times of day that go on after midnight."""
    return clock_s + _days_passed(clock_s) * DAY_S


def _advanced_at_midnight(date_s: FloatArray, clock_s: FloatArray) -> FloatArray:
    """Return date and clock together, mending dates that stay behind when the clock passes midnight."""
    good = np.isfinite(date_s) & np.isfinite(clock_s)
    if not np.any(good):
        return date_s + clock_s
    passed = _days_passed(np.where(good, clock_s, np.nan))
    start = date_s[good][0]
    dated = np.where(good, (date_s - start) / DAY_S, 0.0)
    stays = bool(np.all(dated[good] == 0.0)) and bool(np.any(passed[good] > 0))
    return date_s + clock_s + (passed * DAY_S if stays else 0.0)
