"""Tables (CSV): rows of a flight under a header line, read with pandas' C parser."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from analyzer.errors import TrackFileError
from analyzer.reading.record import RawRecord
from analyzer.reading.table.altitudes import add_altitudes
from analyzer.reading.table.cells import as_texts, numbers, with_units
from analyzer.reading.table.columns import UsedColumn, used_columns
from analyzer.reading.table.layout import TableLayout, folded, table_layout
from analyzer.reading.table.one_aircraft import refuse_several_aircraft
from analyzer.reading.table.positions import row_positions
from analyzer.reading.table.rows import table_rows
from analyzer.reading.table.times import row_times
from analyzer.reading.time_text import LONGEST_TEXT
from analyzer.reading.wording import listed, plain
from analyzer.units import MPS_PER_KNOT, FloatArray

_SENSORS = {
    "groundspeed": "groundspeed_mps",
    "track": "track_true_deg",
    "heading_magnetic": "heading_magnetic_deg",
    "heading_true": "heading_true_deg",
    "ias": "ias_mps",
    "tas": "tas_mps",
    "bank": "bank_deg",
    "vertical_speed": "vertical_speed_mps",
    "deflection": "deflection",
}
_LARGEST_DEFLECTION = 1.5  # full scales; a column that goes further counts something else


def read_table(data: bytes, source: str, name: str, columns: Mapping[str, str] | None = None) -> RawRecord:
    """Return the rows of a table in the file's order.

    Parameters
    ----------
    data : bytes
        The file, eight bits a character, without a byte-order mark.
    source : str
        The file as errors name it.
    name : str
        What the report calls the flight.
    columns : mapping of str to str, optional
        Meaning to the file's column name; `date_order` to "dmy" or "mdy".

    Raises
    ------
    TrackFileError
        Where no header, no position or no time is found, or dates are ambiguous.
    """
    order = _date_order(columns)
    zeros = data.count(b"\x00")
    if zeros:  # blocks that a failing power supply leaves in the middle of a file
        data = data.replace(b"\x00", b"")
    layout = table_layout(data, source, columns)
    used = used_columns(layout, source, columns)
    rows = table_rows(data, layout, source, used)
    table = _Table(rows.frame, layout)
    if table.rows == 0:
        raise TrackFileError(f"{source}: the header on line {layout.header_line} is followed by no rows")
    table.drop_repeated_headers(source, used)
    for column in used.get("address", []):
        refuse_several_aircraft(table.frame[column.place], source, column.name)
    positions = row_positions(used, table.cells, table.numbers, layout.decimal)
    times = row_times(used, table.texts, table.numbers, source, order)
    record = RawRecord(
        source,
        name,
        times.time_s,
        times.has_date,
        positions.latitude_deg,
        positions.longitude_deg,
        columns_used=[*times.columns_used, *positions.columns_used],
        notes=[*times.notes, *positions.notes],
        time_unit_open=times.unit_open,
    )
    if zeros:
        record.note("nul_bytes", f"The file holds {zeros:,} NUL bytes, which are no text: left out.")
    record.notes += rows.notes
    if table.repeated_headers:
        record.note("repeated_headers", f"The header line is repeated {table.repeated_headers:,} times: left out.")
    if layout.encoding != "utf-8":
        record.note("not_utf8", "The file is not UTF-8; it was read as Latin-1.")
    add_altitudes(record, used, table)
    _add_sensors(record, used, table)
    record.columns_used = [plain(column) for column in record.columns_used]
    taken = {*record.all_columns(), record.setting_column, *(plain(name) for name, _ in record.undecided.values())}
    taken |= {column for _, column in record.altitudes.values()}
    left_out = [name for name in layout.names if name.strip() and plain(name) not in taken]
    if left_out:
        record.note("columns_not_used", f"Columns not used: {listed(left_out, 40)}.")
    return record


def _date_order(columns: Mapping[str, str] | None) -> str | None:
    order = (columns or {}).get("date_order")
    if order is not None and order not in ("dmy", "mdy"):
        raise TrackFileError(f'--columns date_order="{plain(order)}": expected dmy (day first) or mdy (month first)')
    return order


@dataclass
class _Table:
    """The rows as pandas read them, and ways to get a column out."""

    frame: pd.DataFrame
    layout: TableLayout
    repeated_headers: int = 0
    _numbers: dict[int, FloatArray] = field(default_factory=dict)

    @property
    def rows(self) -> int:
        return len(self.frame)

    def drop_repeated_headers(self, source: str, used: Mapping[str, list[UsedColumn]]) -> None:
        """Leave out later copies of the header; refuse a later header that orders the columns otherwise."""
        column = (used.get("latitude") or used["position"])[0]
        values = self.frame[column.place]
        if pd.api.types.is_numeric_dtype(values):
            return
        texts = as_texts(values)
        named = texts.str.contains("[A-Za-z]{2}", regex=True).to_numpy(dtype=bool)
        if not named.any():
            return
        again = texts[named].map(folded).to_numpy() == folded(column.name)
        rows = np.flatnonzero(named)
        self.repeated_headers = int(np.count_nonzero(again))
        keep = np.ones(self.rows, dtype=bool)
        keep[rows[again]] = False
        self.frame = self.frame[keep]
        for text in texts[named][~again].head(20):
            if folded(text) in {folded(name) for name in self.layout.names if name}:
                raise TrackFileError(
                    f'{source}: a later header has "{plain(text)}" where the first has "{plain(column.name)}"; split '
                    "the file where its columns change"
                )

    def texts(self, column: UsedColumn) -> list[str]:
        """Return a column's cells as text, "" where empty."""
        cells = self.frame[column.place].tolist()
        return [cell.strip()[:LONGEST_TEXT] if isinstance(cell, str) else "" for cell in cells]

    def numbers(self, column: UsedColumn) -> FloatArray:
        """Return a column's cells as numbers in the file's unit, nan where they are none."""
        if column.place not in self._numbers or len(self._numbers[column.place]) != self.rows:
            values = numbers(self.frame[column.place], self.layout.decimal)
            self._numbers[column.place] = np.where(np.isfinite(values), values, np.nan)
        return self._numbers[column.place]

    def cells(self, column: UsedColumn) -> "pd.Series[str]":
        """Return a column's cells as they stand."""
        return self.frame[column.place]

    def quantity(self, column: UsedColumn) -> tuple[FloatArray, str | None]:
        """Return a column in SI, and the unit that its name, the units line or its cells name; None where none does.

        A column of settings without a unit comes back as it stands.
        """
        values = self.numbers(column)
        if not np.any(np.isfinite(values)):
            in_si, unit = with_units(self.frame[column.place], self.layout.decimal, column.meaning)
            if unit is not None:
                return in_si, unit
        return values * (column.meaning.factor or 1.0), column.meaning.unit


def _add_sensors(record: RawRecord, used: Mapping[str, list[UsedColumn]], table: _Table) -> None:
    for meaning, sensor in _SENSORS.items():
        for column in used.get(meaning, []):
            values, _ = table.quantity(column)
            good = np.isfinite(values)
            if not np.any(good):
                continue
            if sensor == "deflection" and float(np.max(np.abs(values[good]))) > _LARGEST_DEFLECTION:
                record.note(
                    "deflection_not_used",
                    f'Column "{plain(column.name)}" goes beyond full scale; it was not used as needle deflection.',
                )
                continue
            record.add_sensor(sensor, values, plain(column.name))
            break
    for meaning, sensor in (("speed", "groundspeed"), ("course", "track")):
        for column in used.get(meaning, [])[:1]:
            if _SENSORS[sensor] in record.sensors:
                continue
            values = table.numbers(column)
            if column.meaning.unit is not None and meaning == "speed":
                values = values * column.meaning.factor / MPS_PER_KNOT
            record.undecided[_SENSORS[sensor]] = (column.name, values)
