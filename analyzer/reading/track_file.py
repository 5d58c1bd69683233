"""One door for all track files: the format is told by the content, not by the suffix alone."""

from collections.abc import Callable, Mapping
from os import PathLike, fstat
from pathlib import Path

from analyzer.errors import TrackFileError
from analyzer.given import Track
from analyzer.reading.containers import is_packed, unpacked
from analyzer.reading.content import Content, recognised
from analyzer.reading.record import RawRecord
from analyzer.reading.repair import checked_track
from analyzer.reading.wording import plain

LARGEST_FILE_BYTES = 256 * 1024 * 1024


def read_track(
    path: str | PathLike[str], columns: Mapping[str, str] | None = None, max_bytes: int = LARGEST_FILE_BYTES
) -> Track:
    """Return the track that a file holds, whatever its suffix.

    Parameters
    ----------
    path : path
        GPX 1.0 or 1.1, KML or GeoJSON with times, IGC, NMEA 0183, TCX, FIT, or a table (CSV) with a header line; or
        one of them packed as gzip, zip or KMZ.
    columns : mapping of str to str, optional
        For tables: which column holds a meaning, as {"time": "Zulu", "latitude": "Breite"}.
    max_bytes : int
        Larger files are refused before they are read.

    Raises
    ------
    TrackFileError
        One line: the file, the place in it, what is wrong, what would be right.
    """
    file = Path(path)
    source = plain(file, 200)
    return read_track_bytes(read_bytes(file, source, max_bytes), source, file.stem, columns)


def read_track_bytes(
    data: bytes, source: str, stem: str | None = None, columns: Mapping[str, str] | None = None
) -> Track:
    """Return the track that the bytes of a file hold; arguments and errors as `read_track`."""
    name = plain(stem if stem is not None else source, 200) or "track"
    if is_packed(data):
        data, inner = unpacked(data, source)
        source = f"{source}, {inner}" if inner else source
    kind, text_bytes = recognised(data, source)
    if kind is Content.TABLE:
        from analyzer.reading.table.table import read_table  # pandas takes half a second to import

        return checked_track(read_table(text_bytes, source, name, columns))
    record = _reader(kind)(text_bytes, source, name)
    if columns:
        from analyzer.reading.named_altitude import with_named_altitude

        record = with_named_altitude(record, columns, kind.value)
    return checked_track(record)


def _reader(kind: Content) -> Callable[[bytes, str, str], RawRecord]:
    """Return the reader of a format; only the one that is needed is loaded."""
    if kind is Content.GPX:
        from analyzer.reading.formats.gpx import read_gpx

        return read_gpx
    if kind is Content.KML:
        from analyzer.reading.formats.kml import read_kml

        return read_kml
    if kind is Content.IGC:
        from analyzer.reading.formats.igc import read_igc

        return read_igc
    if kind is Content.GEOJSON:
        from analyzer.reading.formats.geojson import read_geojson

        return read_geojson
    if kind is Content.TCX:
        from analyzer.reading.formats.tcx import read_tcx

        return read_tcx
    if kind is Content.FIT:
        from analyzer.reading.formats.fit import read_fit

        return read_fit
    from analyzer.reading.formats.nmea import read_nmea

    return read_nmea


def read_bytes(file: Path, source: str, max_bytes: int) -> bytes:
    """Return a regular file's bytes, never more than `max_bytes`."""
    try:
        if file.is_dir():
            raise TrackFileError(f"{source}: is a folder; name the track file in it")
        if file.exists() and not file.is_file():
            raise TrackFileError(f"{source}: is not a regular file; save the track to a file first")
        with file.open("rb") as stream:
            size = fstat(stream.fileno()).st_size  # not more is asked for: a large limit costs nothing
            # a file that is too large is refused unread; one that grows meanwhile is found out by its last byte
            data = b"" if size > max_bytes else stream.read(size + 1)
    except FileNotFoundError as error:
        raise TrackFileError(f"{source}: no such file; check the name and the folder") from error
    except (OSError, ValueError) as error:  # ValueError: a null character in the name
        reason = getattr(error, "strerror", None) or str(error)
        raise TrackFileError(f"{source}: can't be read ({plain(reason)})") from error
    if max(size, len(data)) > max_bytes:
        raise TrackFileError(
            f"{source}: larger than {max_bytes / 1e6:,.0f} MB; export the flight alone, or raise the limit with "
            "--max-megabytes"
        )
    return data
