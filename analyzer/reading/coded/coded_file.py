"""A file of coded procedures with its index, so that one airport is found without reading the whole file."""

import mmap
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from analyzer.reading.coded.cycle import Cycle
from analyzer.reading.coded.records import RECORD_LENGTH, FixReference, Station, is_primary, station_of
from analyzer.units import visible

#: sections whose points are named from elsewhere, found by identifier and region
POINT_SECTIONS = ("EA", "D ", "DB", "PN")


@dataclass(frozen=True)
class CodedFile:
    """An opened file: where each airport's records and each named point stand.

    Parameters
    ----------
    path : Path
    cycle : Cycle or None
    airports : mapping of airport identifier to [start, end] byte ranges
    points : mapping of "section ident region" to a byte position
    reversals : list of rows for finding a procedure by its place: see `reversal_rows`
    """

    path: Path
    cycle: Cycle | None
    airports: dict[str, list[list[int]]]
    points: dict[str, int]
    reversals: list[list[Any]]

    def airport_records(self, airport: str) -> list[str]:
        """Return the records of an airport, or none."""
        ranges = self.airports.get(airport, [])
        with self.path.open("rb") as stream:
            return [line for start, end in ranges for line in _lines_at(stream, start, end)]

    def station(self, reference: FixReference, own: dict[tuple[str, str], Station]) -> Station | None:
        """Return the point of a reference: one of the airport's own, else one of the file's; None where it has none.

        Parameters
        ----------
        reference : FixReference
        own : mapping of (section, ident) to Station
            From `own_stations` of the airport's records.
        """
        found = own.get((reference.section, reference.ident))
        if found is not None:
            return found
        position = self.points.get(f"{reference.section}{reference.ident} {reference.region}")
        if position is None:
            return None
        with self.path.open("rb") as stream:
            lines = _lines_at(stream, position, position + RECORD_LENGTH)
        return station_of(lines[0]) if lines else None


def own_stations(records: Iterable[str]) -> dict[tuple[str, str], Station]:
    """Return the points among an airport's records by section and identifier; ("PA", "") is the airport itself."""
    stations: dict[tuple[str, str], Station] = {}
    for line in records:
        section = "PN" if line[4:6] == "PN" else "P" + line[12]
        if section not in ("PA", "PC", "PG", "PI", "PN") or not is_primary(line, 21):
            continue
        station = station_of(line)
        if station is not None:
            stations[(section, "" if section == "PA" else station.ident)] = station
    return stations


def raw_lines(place: Path) -> Iterator[tuple[int, bytes]]:
    """Give each line of a file with the place where it begins, in bytes."""
    if place.stat().st_size == 0:
        return
    with place.open("rb") as stream, mmap.mmap(stream.fileno(), 0, access=mmap.ACCESS_READ) as data:
        position, end = 0, len(data)
        while position < end:
            stop = data.find(b"\n", position)
            stop = end if stop < 0 else stop
            # a "line" of megabytes is not a record; only its start is looked at
            raw = data[position : min(stop, position + RECORD_LENGTH + 2)].rstrip(b"\r")
            yield position, raw
            position = stop + 1


def _lines_at(stream: Any, start: int, end: int) -> list[str]:
    stream.seek(start)
    text = stream.read(end - start).decode("latin-1")
    return [visible(line) for line in (piece.rstrip("\r") for piece in text.split("\n")) if len(line) == RECORD_LENGTH]
