"""What a file holds, told by its first bytes; what is not a track is refused in words."""

import codecs
import contextlib
import re
from enum import Enum
from typing import Any
from xml.parsers import expat

from analyzer.errors import TrackFileError
from analyzer.reading.wording import plain

#: what a line of the formats without a head looks like; their readers, which few files need, go by the same
FIX_RECORD = rb"(?m)^B\d{6}\d{7}[NS]\d{8}[EW][AV][-\d]\d{4}[-\d]\d{4}[^\r\n]{0,200}"
SENTENCE = rb"\$[A-Z]{2}(RMC|GGA),([ -)+-~]{10,120})(?:\*([0-9A-Fa-f]{2}))?"
_LOOK_BYTES = 4096
_LOOK_TEXT_BYTES = 262_144  # flight recorders may write long declarations before the first fix


class _FoundError(Exception):
    """The first element has been seen."""


class Content(Enum):
    """Formats that a reader exists for."""

    GPX = "GPX"
    KML = "KML"
    IGC = "IGC"
    NMEA = "NMEA 0183"
    GEOJSON = "GeoJSON"
    TCX = "TCX"
    FIT = "FIT"
    TABLE = "table"


_SIGNATURES: tuple[tuple[bytes, int, str], ...] = (
    (b"\x1f\x8b", 0, "a gzip file in a packed one; unpack it first"),
    (b"PK\x03\x04", 0, "a zip archive in a packed file; unpack it first"),
    (b"PK\x05\x06", 0, "an empty zip archive"),
    (b"BZh", 0, "a bzip2 archive; unpack it first"),
    (b"\xfd7zXZ\x00", 0, "an xz archive; unpack it first"),
    (b"7z\xbc\xaf\x27\x1c", 0, "a 7z archive; unpack it first"),
    (b"Rar!\x1a\x07", 0, "a rar archive; unpack it first"),
    (b"\x28\xb5\x2f\xfd", 0, "a zstd archive; unpack it first"),
    (b"ustar", 257, "a tar archive; unpack it first"),
    (b"%PDF", 0, "a PDF document; export the track itself as GPX or CSV"),
    (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", 0, "a binary office document; save the table as CSV"),
    (b"SQLite format 3\x00", 0, "an SQLite database; export the track as GPX or CSV"),
    (b"\x89PNG\r\n\x1a\n", 0, "a PNG picture"),
    (b"\xff\xd8\xff", 0, "a JPEG picture"),
    (b"GIF8", 0, "a GIF picture"),
    (b"PAR1", 0, "a Parquet table; save it as CSV"),
    (b"\x7fELF", 0, "a program"),
    (b"MZ", 0, "a program"),
)
_BYTE_ORDER_MARKS = (  # the longer ones first: UTF-32 little endian starts like UTF-16
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_WHITESPACE = b" \t\r\n\x0b\x0c"


def recognised(data: bytes, source: str) -> tuple[Content, bytes]:
    """Return which reader the bytes are for, and the bytes it should read.

    The bytes come back without a byte-order mark, and as UTF-8 where they were UTF-16 or UTF-32.

    Raises
    ------
    TrackFileError
        For an empty file, and for binary, compressed or other content that holds no readable track.
    """
    if not data:
        raise TrackFileError(f"{source}: the file is empty; copy it from the recorder again")
    if data[8:12] == b".FIT" and not _is_text_beginning(data, b".FIT"):
        return Content.FIT, data
    for mark, offset, words in _SIGNATURES:
        if data[offset : offset + len(mark)] == mark and not _is_text_beginning(data, mark):
            raise TrackFileError(f"{source}: holds {words}; GPX or CSV is expected")
    data = _as_eight_bit(data, source).rstrip(b"\x00")  # zeros at the end: space a recorder never came to write
    if not data.strip(_WHITESPACE):
        raise TrackFileError(f"{source}: holds no text, only blanks or zero bytes; copy it from the recorder again")
    head = data[:_LOOK_BYTES]
    unprintable = sum(byte < 32 and byte not in _WHITESPACE for byte in head)
    if b"\x00" in head or unprintable > 0.02 * len(head):
        raise TrackFileError(f"{source}: holds binary data, no text; export the track as GPX or CSV")
    if head.lstrip(_WHITESPACE)[:1] == b"<":
        return _xml_content(data, source), data.lstrip(_WHITESPACE)
    return _text_content(data[:_LOOK_TEXT_BYTES], source), data


def _is_text_beginning(data: bytes, mark: bytes) -> bool:
    """Return whether a short, printable signature is just how a text starts."""
    return (
        mark in (b"MZ", b"BZh", b"GIF8", b"PAR1", b".FIT")
        and b"\x00" not in data[:_LOOK_BYTES]
        and data[:_LOOK_BYTES].isascii()
    )


def _as_eight_bit(data: bytes, source: str) -> bytes:
    for mark, name in _BYTE_ORDER_MARKS:
        if data.startswith(mark):
            return data[len(mark) :] if name == "utf-8" else _recoded(data[len(mark) :], name, source)
    head = data[:_LOOK_BYTES]
    if len(head) >= 4 and b"\x00" in head:
        pairs = len(head) // 2
        if head[1::2].count(0) > 0.8 * pairs and head[0::2].count(0) < 0.1 * pairs:
            return _recoded(data, "utf-16-le", source)
        if head[0::2].count(0) > 0.8 * pairs and head[1::2].count(0) < 0.1 * pairs:
            return _recoded(data, "utf-16-be", source)
    return data


def _recoded(data: bytes, name: str, source: str) -> bytes:
    try:
        text = data.decode(name)
    except UnicodeDecodeError:
        width = 4 if "32" in name else 2
        text = data[: len(data) // width * width].decode(name, errors="replace")
        if text.count("\ufffd") > 1 + 0.001 * len(text):
            raise TrackFileError(f"{source}: starts like {name.upper()} text but is not; save it as UTF-8") from None
    return _without_declared_encoding(text).encode("utf-8", errors="replace")


def _without_declared_encoding(text: str) -> str:
    """Take the encoding out of an XML declaration: it is no longer true once the text is UTF-8."""
    if not text.lstrip().startswith("<?xml"):
        return text
    head, mark, rest = text.partition("?>")
    return re.sub(r"""\sencoding\s*=\s*(["'])[^"']*\1""", "", head[:1000]) + head[1000:] + mark + rest


def _xml_content(data: bytes, source: str) -> Content:
    name = _first_element(data[: 16 * _LOOK_BYTES])
    if name == "html":
        raise TrackFileError(f"{source}: holds a web page, not a track; download the GPX or CSV file itself")
    if name in ("gpx", ""):
        return Content.GPX
    if name == "kml":
        return Content.KML
    if name == "trainingcenterdatabase":
        return Content.TCX
    raise TrackFileError(f"{source}: an XML file of <{plain(name)}>, not of <gpx>; export the track as GPX or CSV")


def _first_element(head: bytes) -> str:
    """Return the local name of the first element, or of an HTML document type; "" where none can be read."""
    names: list[str] = []

    def stop_at(name: str, *_: Any) -> Any:
        names.append(name.rpartition(":")[2].lower())
        raise _FoundError

    def look_at_document_type(name: str, *_: Any) -> Any:
        if name.lower() == "html":
            stop_at(name)

    parser = expat.ParserCreate()
    parser.StartElementHandler = stop_at
    parser.StartDoctypeDeclHandler = look_at_document_type
    with contextlib.suppress(_FoundError, expat.ExpatError, LookupError, ValueError):
        parser.Parse(head, False)
    return names[0] if names else ""


def _text_content(head: bytes, source: str) -> Content:
    if re.search(FIX_RECORD, head):
        return Content.IGC
    if re.search(SENTENCE, head):
        return Content.NMEA
    if head.lstrip(_WHITESPACE)[:1] in (b"{", b"["):
        return Content.GEOJSON
    return Content.TABLE
