"""What hostile, damaged and wrongly named files meet: a refusal in one line that says what to do, and no harm.

The table of attacks is the list of cases below: name, bytes, words that the refusal must hold.
"""

import gzip
import io
import os
import time
import tracemalloc
import zipfile
from pathlib import Path

import pytest
import readers_material as material

from analyzer.errors import TrackFileError
from analyzer.reading.formats.xml_guard import XmlLimits, check_xml
from analyzer.reading.track_file import read_track, read_track_bytes

TWO_SECONDS_S = 2.0  # of processor time: other work on the machine does not count
FIFTY_MEGABYTES = 50_000_000

_TEN_TIMES = "".join(f"<!ENTITY a{i} '{f'&a{i - 1};' * 10}'>" for i in range(1, 12))
ENTITY_BOMB = f"<!DOCTYPE g [<!ENTITY a0 'aaaaaaaaaa'>{_TEN_TIMES}]>"
MANY_ATTRIBUTES = "<e " + " ".join(f'a{i}="1"' for i in range(5000)) + "/>"
QUADRATIC_BOMB = f"<!DOCTYPE g [<!ENTITY a '{'a' * 50_000}'>]>"
EXTERNAL_FILE = '<!DOCTYPE g [<!ENTITY f SYSTEM "file:///etc/passwd">]>'
EXTERNAL_TYPE = '<!DOCTYPE gpx SYSTEM "http://invalid.invalid/x.dtd">'
PARAMETER_ENTITY = '<!DOCTYPE g [<!ENTITY % p SYSTEM "file:///etc/passwd"> %p;]>'


def _zip() -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        archive.writestr("a.gpx", material.gpx())
        archive.writestr("b.gpx", material.gpx())
    return stream.getvalue()


def _in_utf_16(document: bytes) -> bytes:
    return document.decode().replace("UTF-8", "UTF-16").encode("utf-16")


ATTACKS: list[tuple[str, bytes, tuple[str, ...]]] = [
    ("entity bomb", material.gpx(head=ENTITY_BOMB, name="&a11;"), ("line 2", "document type", "delete")),
    ("quadratic entity bomb", material.gpx(head=QUADRATIC_BOMB, name="&a;" * 1000), ("document type",)),
    ("external entity", material.gpx(head=EXTERNAL_FILE, name="&f;"), ("document type",)),
    ("external document type", material.gpx(head=EXTERNAL_TYPE), ("document type",)),
    ("parameter entity", material.gpx(head=PARAMETER_ENTITY), ("document type",)),
    ("entity bomb in UTF-16", _in_utf_16(material.gpx(head=ENTITY_BOMB, name="&a11;")), ("document type",)),
    ("external entity in UTF-16", _in_utf_16(material.gpx(head=EXTERNAL_FILE, name="&f;")), ("document type",)),
    ("entity bomb in UTF-7", material.gpx(head=ENTITY_BOMB).replace(b"UTF-8", b"UTF-7"), ("document type",)),
    ("entity without declaration", material.gpx(name="&x;"), ("line", "undefined entity")),
    ("deep nesting", b"<gpx>" + b"<a>" * 500_000, ("nested too deeply", "64")),
    ("deep nesting in a point", material.gpx(extra="<e>" * 200_000), ("nested too deeply",)),
    ("deep nesting in KML", b"<kml>" + b"<Folder>" * 500_000, ("nested too deeply",)),
    ("huge attribute", material.gpx(extra=f'<e a="{"x" * 2_000_000}"/>'), ("attribute is too long",)),
    ("thousands of attributes", material.gpx(extra=MANY_ATTRIBUTES), ("attributes",)),
    ("huge text", material.gpx(extra=f"<speed>{'1' * 3_000_000}</speed>"), ("text that is too long",)),
    ("gzip in gzip", gzip.compress(gzip.compress(material.gpx())), ("gzip", "unpack")),
    ("gzip of zeros", gzip.compress(bytes(10_000_000)), ("times its size", "unpack")),
    ("zip of two tracks", _zip(), ("zip", "unpack", "a.gpx, b.gpx")),
    ("tar", b"a.gpx".ljust(257, b"\0") + b"ustar" + b"\0" * 300, ("tar", "unpack")),
    ("program", b"\x7fELF\x02\x01\x01" + b"\0" * 200, ("a program",)),
    ("picture", b"\x89PNG\r\n\x1a\n" + b"\0" * 200, ("PNG",)),
    ("random bytes", bytes((i * 97 + i // 7) % 256 for i in range(5000)), ("binary",)),
    ("zero bytes", b"\0" * 5000, ("zero bytes",)),
    ("empty", b"", ("empty",)),
    ("blanks", b" \r\n\t\n", ("no text",)),
    ("web page", b"<!DOCTYPE html><html><body>log in</body></html>", ("web page",)),
    ("other XML", b"<?xml version='1.0'?><svg></svg>", ("<svg>", "<gpx>")),
    ("JSON", b'{"type": "FeatureCollection"}', ("JSON",)),
    ("prose", b"This is a letter, and nothing else.\nKind regards\n", ("columns for latitude and longitude",)),
    ("one line of prose", b"hello", ("no table", "hello", "time, latitude, longitude")),
    ("header without rows", b"time,lat,lon\n", ("line 1", "no rows")),
    ("rows without header", b"1,2,3\n4,5,6\n", ("no header line",)),
    ("mismatched tags", b"<gpx><trk></gpx>", ("line 1", "mismatched tag")),
    ("second root", material.gpx() + b"<gpx/>", ("junk after document element",)),
    ("unknown encoding", material.gpx().replace(b"UTF-8", b"x-no-such"), ("x-no-such", "UTF-8")),
    ("positions of 1e308", material.table(9).replace(b"46.2", b"1e308").replace(b"-101.5", b"1e308"), ("no readable",)),
    ("infinite positions", material.table(9).replace(b"46.2", b"inf").replace(b"-101.5", b"-inf"), ("no readable",)),
    ("positions of 1e308 in GPX", material.gpx(9).replace(b'lat="46.2', b'lat="1e308'), ("no readable position",)),
    ("times of 1e308", b"elapsed_s,lat,lon\n1e308,46.2,-101.5\n-1e308,46.2,-101.5\n", ("time",)),
    ("a million columns", b",".join(b"c%d" % i for i in range(1_000_000)) + b"\n1,2,3\n", ("columns",)),
    ("one line of megabytes", b"time,lat,lon " * 400_000, ("attack.file",)),
    ("zero bytes in GPX", material.gpx(9).replace(b"<ele>", b"<ele>\0"), ("binary",)),
    ("control characters in names", b"ti\x1bme\x07,l\x00at,lon\n" * 300, ("binary",)),
]  # fmt: skip


@pytest.mark.parametrize(("data", "words"), [attack[1:] for attack in ATTACKS], ids=[attack[0] for attack in ATTACKS])
def test_attack_is_refused_in_one_line(data: bytes, words: tuple[str, ...]) -> None:
    started = time.process_time()
    with pytest.raises(TrackFileError) as refusal:
        read_track_bytes(data, "attack.file")
    text = str(refusal.value)
    assert text.startswith("attack.file")
    assert "\n" not in text
    assert len(text) < 400
    for word in words:
        assert word in text
    assert time.process_time() - started < TWO_SECONDS_S


SLOW: list[tuple[str, bytes]] = [
    ("comments that never end", b"<!--" * 100_000),
    ("angles with many blanks", b"time,lat,lon\n" + (b"1,46" + b" " * 30 + b"x,1\n") * 20_000),
    ("names that are taken apart", b",".join(b"altlatlonspd" * 9 + b"%d" % i for i in range(1_000))),
    ("lines of delimiters", b"," * 2_000_000),
    ("quotes", b'"' * 2_000_000),
    ("a layout in each row", b"time,lat,lon\n" + b"".join(b"%s,1,2\n" % (b"ab" * (i % 20)) for i in range(9_999))),
    ("sentences without an end", b"$GPRMC," * 200_000),
    ("fixes of all sizes", b"".join(b"B0900004612000N10130000WA0150001500%s\n" % (b"x" * i) for i in range(190)) * 50),
    ("names of elements", b"<gpx>" + b"".join(b"<a%d/>" % i for i in range(50_000)) + b"</gpx>"),
]  # fmt: skip


@pytest.mark.parametrize("data", [slow[1] for slow in SLOW], ids=[slow[0] for slow in SLOW])
def test_input_made_to_be_slow_is_refused_soon(data: bytes) -> None:
    """Each is a search that goes back and forth where it is written carelessly; the first two once took minutes."""
    started = time.process_time()
    with pytest.raises(TrackFileError):
        read_track_bytes(data, "slow.file")
    assert time.process_time() - started < TWO_SECONDS_S


def test_entity_bomb_takes_no_memory() -> None:
    data = material.gpx(head=ENTITY_BOMB, name="&a11;")
    tracemalloc.start()
    with pytest.raises(TrackFileError):
        read_track_bytes(data, "attack.gpx")
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < FIFTY_MEGABYTES


def test_wide_cells_take_no_memory_beyond_their_own_size() -> None:
    """One huge cell in a column of times must not make every row as wide as itself."""
    rows = b"".join(b"%d,46.2,-101.5\n" % i for i in range(20_000))
    data = b"time,lat,lon\n" + rows + b"x" * 2_000_000 + b",46.2,-101.5\n"
    tracemalloc.start()
    track = read_track_bytes(data, "wide.csv")
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert len(track) == 20_000
    assert peak < FIFTY_MEGABYTES


def test_outside_text_reaches_errors_without_control_or_direction_marks() -> None:
    header = "time,la\u202et\x1b[31m,l\u200bon," + "x" * 10_000 + "\n1,2,3,4\n"
    with pytest.raises(TrackFileError) as refusal:
        read_track_bytes(header.encode(), "a\u202eb\n.csv".replace("\n", ""))
    text = str(refusal.value)
    assert all(character.isprintable() for character in text.replace("\u202e", ""))
    assert "\x1b" not in text
    assert len(text) < 1000


def test_name_from_the_file_is_one_short_line() -> None:
    track = read_track_bytes(material.gpx(name="&lt;script&gt;\u202e\n" + "n" * 10_000), "a.gpx")
    assert track.name.startswith("<script> nnn")
    assert len(track.name) == 200
    assert "\u202e" not in track.name


def test_folder_missing_file_and_pipe_are_refused(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.gpx"
    os.mkfifo(pipe)
    for path, words in (
        (tmp_path, "is a folder"),
        (tmp_path / "none.gpx", "no such file"),
        (pipe, "not a regular file"),
    ):
        with pytest.raises(TrackFileError, match=words):
            read_track(path)


def test_file_beyond_the_size_limit_is_refused_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "large.csv"
    with path.open("wb") as stream:
        stream.truncate(10_000_000_000)  # a hole: takes no room on the disk
    started = time.process_time()
    with pytest.raises(TrackFileError, match=r"larger than 1 MB.*--max-megabytes"):
        read_track(path, max_bytes=1_000_000)
    assert time.process_time() - started < TWO_SECONDS_S


def test_more_points_than_the_limit_are_refused() -> None:
    with pytest.raises(TrackFileError, match="too many points"):
        check_xml(material.gpx(12), "a.gpx", XmlLimits(points=10), ("trkpt",))


def test_guard_lets_a_plain_track_pass() -> None:
    check_xml(material.gpx(12), "a.gpx", XmlLimits(points=12), ("trkpt",))


@pytest.mark.parametrize(
    ("limits", "words"),
    [
        (XmlLimits(depth=3), "nested too deeply"),
        (XmlLimits(attributes=1), "too many attributes"),
        (XmlLimits(attribute_characters=5), "attribute is too long"),
        (XmlLimits(text_characters=5), "text that is too long"),
        (XmlLimits(elements=5), "too many elements"),
    ],
)
def test_each_limit_of_the_guard_fires(limits: XmlLimits, words: str) -> None:
    with pytest.raises(TrackFileError, match=words):
        check_xml(material.gpx(), "a.gpx", limits)


def test_guard_refuses_half_a_document() -> None:
    with pytest.raises(TrackFileError, match="stops before its end"):
        check_xml(material.gpx()[:-20], "a.gpx")
