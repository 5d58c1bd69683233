"""Packed files: the one track in a gzip file or a zip archive (KMZ is one), unpacked under caps on size and ratio.

A few bytes can unpack to more than a machine holds. Nothing is believed that an archive says about itself: the unpacked
bytes are counted while they come. Source: RFC 1952 (gzip), RFC 1951 (deflate), the zip format as `zipfile` reads it.
"""

import io
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from pathlib import PurePosixPath

from analyzer.errors import TrackFileError
from analyzer.reading.wording import listed, plain

GZIP_MARK, ZIP_MARK = b"\x1f\x8b", b"PK\x03\x04"
#: unpacked bytes; as much as a track that is not packed may have
LARGEST_UNPACKED_BYTES = 256 * 1024 * 1024
#: text of a track packs to a tenth, of a parked aircraft to a hundredth; deflate itself reaches 1,030
LARGEST_RATIO = 300
#: below this much the ratio harms nobody
_HARMLESS_BYTES = 4 * 1024 * 1024
_MOST_ENTRIES = 1_000
_MOST_MEMBERS = 100  # a gzip file may be several one after the other
_CHUNK = 1 << 18
#: what a track in an archive ends in
_TRACK_ENDINGS = frozenset(
    {".gpx", ".kml", ".csv", ".tsv", ".txt", ".log", ".igc", ".nmea", ".json", ".geojson", ".tcx", ".fit"}
)
_METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)  # the others may need any amount of memory


def is_packed(data: bytes) -> bool:
    """Whether the bytes are a gzip file or a zip archive."""
    return data.startswith((GZIP_MARK, ZIP_MARK))


def unpacked(data: bytes, source: str, largest: int = LARGEST_UNPACKED_BYTES) -> tuple[bytes, str]:
    """Return the bytes of the one track in a packed file, and what it is called there ("" in a gzip file).

    Parameters
    ----------
    data : bytes
        What `is_packed` is true of.
    source : str
        The file as errors name it.
    largest : int
        More unpacked bytes are refused.

    Raises
    ------
    TrackFileError
        Where it is damaged, encrypted or too large, or holds no track or several.
    """
    try:
        if data.startswith(GZIP_MARK):
            return _gathered(_gzip_chunks(data), len(data), source, largest), ""
        return _from_zip(data, source, largest)
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, ValueError, OSError) as error:
        raise TrackFileError(
            f"{source}: a packed file that can't be unpacked ({plain(error)}); copy it again"
        ) from error


def _gathered(chunks: Iterable[bytes], packed_bytes: int, source: str, largest: int) -> bytes:
    """Return the chunks as one, refused as soon as there are too many."""
    kept: list[bytes] = []
    count = 0
    for chunk in chunks:
        count += len(chunk)
        if count > largest:
            raise TrackFileError(
                f"{source}: unpacks to more than {largest / 1e6:,.0f} MB; unpack it and export the flight alone"
            )
        if count > _HARMLESS_BYTES and count > LARGEST_RATIO * packed_bytes:
            raise TrackFileError(
                f"{source}: unpacks to over {LARGEST_RATIO} times its size, which no track does; unpack it first if "
                "you trust it"
            )
        kept.append(chunk)
    return b"".join(kept)


def _gzip_chunks(data: bytes) -> Iterator[bytes]:
    rest = data
    for _ in range(_MOST_MEMBERS):
        member = zlib.decompressobj(wbits=31)
        waiting = rest
        while not member.eof:
            chunk = member.decompress(waiting, _CHUNK)
            waiting = member.unconsumed_tail
            if not chunk and not waiting and not member.eof:
                return  # cut short: what came before the end is handed over
            yield chunk
        rest = member.unused_data.lstrip(b"\x00")
        if not rest.startswith(GZIP_MARK):
            return


def _from_zip(data: bytes, source: str, largest: int) -> tuple[bytes, str]:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        entries = [entry for entry in archive.infolist() if not entry.is_dir()]
        names = [entry.filename for entry in entries]
        if len(entries) > _MOST_ENTRIES:
            raise TrackFileError(f"{source}: a zip archive of {len(entries):,} files; unpack it and name the track")
        if "[Content_Types].xml" in names or "mimetype" in names:
            raise TrackFileError(f"{source}: holds a spreadsheet or an office document; save the sheet as CSV")
        entry = _the_track(entries, source)
        if entry.flag_bits & 1:
            raise TrackFileError(f"{source}: the zip archive is encrypted; unpack it first")
        if entry.compress_type not in _METHODS:
            raise TrackFileError(f"{source}: is packed by a method that is not read here; unpack it first")
        with archive.open(entry) as stream:
            chunks = iter(lambda: stream.read(_CHUNK), b"")
            return _gathered(chunks, max(1, entry.compress_size), source, largest), plain(entry.filename, 120)


def _the_track(entries: list[zipfile.ZipInfo], source: str) -> zipfile.ZipInfo:
    """Return the one entry that is a track; of a KMZ its main document."""
    tracks = [entry for entry in entries if _is_track(entry.filename)]
    # OGC 12-007r2: the main document of a KMZ is the KML file at its top
    main = [entry for entry in tracks if entry.filename.lower() == "doc.kml"]
    found = main if len(main) == 1 else tracks
    if len(found) == 1:
        return found[0]
    if not found:
        held = listed(entry.filename for entry in entries)
        raise TrackFileError(
            f"{source}: a zip archive without a track in it, but: {held}; unpack it and name the track"
        )
    raise TrackFileError(
        f"{source}: a zip archive of {len(found)} tracks: {listed(entry.filename for entry in found)}; unpack it, they "
        "can be named together"
    )


def _is_track(name: str) -> bool:
    path = PurePosixPath(name)
    hidden = any(part.startswith((".", "__MACOSX")) for part in path.parts)
    return not hidden and path.suffix.lower() in _TRACK_ENDINGS
