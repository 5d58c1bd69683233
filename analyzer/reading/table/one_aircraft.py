"""Tables of received state vectors: one row a second for each aircraft, in metres and metres per second.

Archives of aircraft broadcasts commonly have the columns time, icao24, lat, lon, velocity, heading, vertrate,
baroaltitude, geoaltitude, lastposupdate. The names carry no units and `heading` is the track over the ground there, so
such a table is known by its set of names and read by this list instead of by its single names.
"""

from typing import TYPE_CHECKING

from analyzer.errors import TrackFileError
from analyzer.reading.table.column_names import ColumnMeaning
from analyzer.reading.table.layout import TableLayout, folded
from analyzer.reading.wording import listed

if TYPE_CHECKING:
    import pandas as pd

_ADDRESS = "icao24"
_MARKS = frozenset({"velocity", "vertrate", "baroaltitude", "geoaltitude", "lastposupdate"})
_MEANINGS = {
    "velocity": ColumnMeaning("groundspeed", "speed", "m/s", 1.0),
    "heading": ColumnMeaning("track", "angle", "deg", 1.0),
    "vertrate": ColumnMeaning("vertical_speed", "speed", "m/s", 1.0),
    "baroaltitude": ColumnMeaning("altitude_pressure", "length", "m", 1.0),
    "geoaltitude": ColumnMeaning("altitude_geometric", "length", "m", 1.0),
    "lastposupdate": ColumnMeaning("position_time", "time", "s", 1.0),
    _ADDRESS: ColumnMeaning("address", "text", None, 1.0),
}


def state_vector_meanings(layout: TableLayout) -> dict[int, ColumnMeaning]:
    """Return what the columns of such a table mean, by place; empty for any other table."""
    places = {folded(name): place for place, name in reversed(list(enumerate(layout.names)))}
    if _ADDRESS not in places or len(_MARKS & places.keys()) < 2:
        return {}
    return {places[name]: meaning for name, meaning in _MEANINGS.items() if name in places}


def refuse_several_aircraft(addresses: "pd.Series[str]", source: str, column: str) -> None:
    """Raise TrackFileError where the rows belong to more than one aircraft."""
    found = addresses.dropna().astype(str).str.strip().str.lower()
    names = found[found != ""].unique()
    if len(names) > 1:
        raise TrackFileError(
            f'{source}, column "{column}": rows of {len(names):,} aircraft ({listed(sorted(names), 6)}); '
            "keep the rows of one"
        )
