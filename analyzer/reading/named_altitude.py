"""The altitude of a format that is no table, where the user says what it is: `--columns gps_altitude_ft=ele`."""

from collections.abc import Mapping
from dataclasses import replace

from analyzer.errors import TrackFileError
from analyzer.given import RecordedAltitude
from analyzer.reading.record import RawRecord
from analyzer.reading.table.column_names import column_meaning
from analyzer.reading.wording import plain

_KINDS: dict[str, RecordedAltitude] = {
    "altitude": "unstated",
    "altitude_indicated": "indicated",
    "altitude_pressure": "pressure",
    "altitude_geometric": "geometric",
    "altitude_ellipsoidal": "ellipsoidal",
}


def with_named_altitude(record: RawRecord, columns: Mapping[str, str], kind_of_file: str) -> RawRecord:
    """Return the record with its altitude in the unit, and of the kind, that the user names.

    Parameters
    ----------
    record : RawRecord
        Altitudes in metres as the format has them.
    columns : mapping of str to str
        One altitude, as {"gps_altitude_ft": "ele"}; `altitude_ft` is what the altimeter showed.
    kind_of_file : str
        As refusals name it.

    Raises
    ------
    TrackFileError
        For anything else: only tables have columns.
    """
    names = {column.lower(): kind for kind, (_, column) in record.altitudes.items()}
    (key, name), *others = columns.items()
    meaning = column_meaning(key)
    if others or meaning is None or meaning.meaning not in _KINDS or name.strip().lower() not in names:
        held = next(iter(names), "ele")
        raise TrackFileError(
            f"{record.source}: --columns is for tables, this is a {kind_of_file} file; leave the option out, or name "
            f"its altitude's unit alone, as gps_altitude_ft={plain(held)}"
        )
    found = names[name.strip().lower()]
    values, column = record.altitudes[found]
    kind = "indicated" if key.strip().lower() == "altitude_ft" else _KINDS[meaning.meaning]
    return replace(record, altitudes={kind: (values * meaning.factor, column)})
