"""What each column of a table was taken for: for people who wonder why a file is read as it is, or not at all."""

from collections.abc import Mapping
from dataclasses import dataclass

from analyzer.errors import TrackFileError
from analyzer.reading.table.column_names import ColumnMeaning, column_meaning
from analyzer.reading.table.columns import used_columns
from analyzer.reading.table.layout import TableLayout, table_layout
from analyzer.reading.wording import plain

_FIRST_VALUES = 3
#: what altitudes are above, by meaning
_DATUMS = {
    "altitude": "datum not stated",
    "altitude_indicated": "as the altimeter showed it",
    "altitude_pressure": "above 1013.25 hPa",
    "altitude_geometric": "by satellite",
}


@dataclass(frozen=True)
class ExplainedColumn:
    """One column: its number from 1, its name, what it was taken for ("" for nothing), unit, datum, first values."""

    number: int
    name: str
    taken_for: str
    unit: str
    datum: str
    first: tuple[str, ...]


@dataclass(frozen=True)
class ExplainedTable:
    """How a table was taken apart: the line of its header, what parts cells and decimals, and its columns."""

    header_line: int
    delimiter: str
    decimal: str
    columns: tuple[ExplainedColumn, ...]


def explained_table(data: bytes, source: str, columns: Mapping[str, str] | None = None) -> ExplainedTable:
    """Return what the columns of a table were taken for, also where the table can't be read as a track.

    Parameters
    ----------
    data : bytes
        The file, eight bits a character, without a byte-order mark.
    source : str
        The file as errors name it.
    columns : mapping of str to str, optional
        As for `read_table`.

    Raises
    ------
    TrackFileError
        Where no header is found.
    """
    layout = table_layout(data, source, columns)
    meanings = _meanings(layout, source, columns)
    explained = []
    for place, name in enumerate(layout.names):
        says = meanings.get(place)
        first = tuple(plain(row[place], 30) for row in layout.sample[:_FIRST_VALUES] if place < len(row))
        explained.append(
            ExplainedColumn(
                place + 1,
                plain(name, 40),
                "" if says is None else says.meaning.replace("_", " "),
                "" if says is None else says.unit or layout.units[place] or "",
                "" if says is None else _datum(name, says),
                first,
            )
        )
    return ExplainedTable(layout.header_line, layout.delimiter, layout.decimal, tuple(explained))


def _datum(name: str, says: ColumnMeaning) -> str:
    # exactly this name is what the altimeter showed; a bare "Altitude" may be anything
    exact = says.meaning == "altitude" and name.strip().lower() == "altitude_ft"
    return _DATUMS["altitude_indicated" if exact else says.meaning] if says.meaning in _DATUMS else ""


def _meanings(layout: TableLayout, source: str, columns: Mapping[str, str] | None) -> dict[int, ColumnMeaning]:
    try:
        used = used_columns(layout, source, columns)
    except TrackFileError:  # a column that is needed is missing: what is known of the others is worth telling
        by_name = ((place, column_meaning(name, layout.units[place])) for place, name in enumerate(layout.names))
        return {place: says for place, says in by_name if says is not None}
    return {column.place: column.meaning for found in used.values() for column in found}
