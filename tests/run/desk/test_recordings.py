"""Recordings: received whole under their SHA-256; what they are called never becomes a path, nor markup."""

import hashlib
import io
import os
from html.parser import HTMLParser

import pytest
from desk_visitor import ADDRESS, visited

from analyzer.errors import DeskError, OutputError
from analyzer.run.desk.deliveries import shown_name
from analyzer.run.desk.recordings import PlainFiles
from analyzer.run.desk.store.lesson_list import Wanted, lesson_list
from analyzer.run.desk.store.lessons import lesson_of, put_away

MARKUP = "<img src=x onerror=alert(1)>\"'&{{7*7}}.gpx"


@pytest.fixture(scope="module")
def visitor(tmp_path_factory):
    with visited(tmp_path_factory.mktemp("desk")) as one:
        yield one


def send(visitor, name, data=None):
    data = name.encode("utf-8", "replace") if data is None else data
    return visitor.post("/recordings", {"file": (io.BytesIO(data), name)})


def files_of(folder):
    return {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}


class Tags(HTMLParser):
    def __init__(self):
        super().__init__()
        self.found = []

    def handle_starttag(self, tag, attrs):
        self.found.append((tag, tuple(name for name, _ in attrs)))


def tags(html):
    parser = Tags()
    parser.feed(html)
    return parser.found


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("../../etc/cron.d/evil.gpx", "evil.gpx"),
        ("..\\..\\evil.gpx", "evil.gpx"),
        ("/etc/passwd", "passwd"),
        ("C:\\flights\\monday.igc", "monday.igc"),
        ("..", ".."),
        ("a\x00b.gpx", "a b.gpx"),
        ("CON", "CON"),
        ("x" * 10_000 + ".gpx", "x" * 187 + "…" + "x" * 8 + ".gpx"),
        ("\u202egpx.exe", "gpx.exe"),
        (MARKUP, MARKUP),
    ],
)
def test_a_name_never_becomes_a_path(visitor, name, shown):
    folder = visitor.desk.folder
    before = files_of(folder.parent)
    data = name.encode()
    assert shown_name(name) == shown
    said = send(visitor, name, data).json["received"][0]["name"]
    assert said == shown or set(name) & set('"\\')  # these two the test's own client writes as no browser does
    new = {one for one in files_of(folder.parent) - before if "desk.sqlite" not in one}
    assert new == {f"{folder.name}/recordings/{hashlib.sha256(data).hexdigest()}"}


def test_markup_in_a_name_stays_text(visitor):
    """The pages have the same elements as with a harmless name."""
    harmless = send(visitor, "harmless.gpx", b"harmless").json["received"][0]["lesson"]
    hostile = send(visitor, MARKUP, b"hostile").json["received"][0]["lesson"]
    one, other = (visitor.get(f"/lessons/{number}").text for number in (harmless, hostile))
    assert tags(other) == tags(one)
    assert "<img src=x" not in other


def test_a_file_is_on_the_disk_before_its_row(visitor, monkeypatch):
    """Where the row can't be written the file is there, and nothing was confirmed; where the file can't, no row is."""
    files: PlainFiles = visitor.desk.recordings
    with visitor.desk.store.reading() as view:
        before = lesson_list(view, Wanted()).total

    def full(handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    answer = send(visitor, "no room.gpx")
    assert "can't be kept" in answer.json["refused"][0]["error"]
    assert "no space left" in answer.json["refused"][0]["error"]
    monkeypatch.undo()
    with visitor.desk.store.reading() as view:
        assert lesson_list(view, Wanted()).total == before
    assert not list(files.folder.glob(".*"))


def test_too_large_a_recording_is_refused_and_leaves_nothing(tmp_path):
    files = PlainFiles(tmp_path / "files")
    with pytest.raises(DeskError, match="larger than 3 MB"):
        files.keep(io.BytesIO(bytes(3_000_001)), "flight.gpx", most_bytes=3_000_000)
    assert not list(files.folder.iterdir())
    assert files.keep(io.BytesIO(bytes(3_000_000)), "flight.gpx", most_bytes=3_000_000).size_bytes == 3_000_000


def test_a_file_that_was_changed_is_not_handed_out(tmp_path):
    files = PlainFiles(tmp_path / "files", ".json")
    kept = files.keep_bytes(b"one", "result")
    assert files.read(kept.sha256) == b"one"
    (files.folder / f"{kept.sha256}.json").write_bytes(b"two")
    with pytest.raises(DeskError, match="is not what was kept"):
        files.read(kept.sha256)
    for name in ("../secret", "", "A" * 64, kept.sha256 + "/../x"):
        with pytest.raises(DeskError, match="not a SHA-256"):
            files.read(name)
    with pytest.raises(DeskError, match="bring it back"):
        files.read("0" * 64)


def test_what_a_killed_desk_left_half_written_is_swept(tmp_path):
    files = PlainFiles(tmp_path / "files")
    (files.folder / ".0123.partial").write_bytes(b"half")
    kept = files.keep_bytes(b"whole", "x")
    files.sweep()
    assert [path.name for path in files.folder.iterdir()] == [kept.sha256]


def test_a_full_disk_is_told_in_one_line(tmp_path, monkeypatch):
    files = PlainFiles(tmp_path / "files")
    monkeypatch.setattr(os, "replace", lambda *_: (_ for _ in ()).throw(OSError(28, "No space left on device")))
    with pytest.raises(OutputError, match=r"flight.gpx: can't be kept in .*no space left on device"):
        files.keep(io.BytesIO(b"x"), "flight.gpx")
    assert not list(files.folder.iterdir())


def test_the_same_bytes_are_one_lesson(visitor):
    first = send(visitor, "one.gpx", b"the same").json["received"][0]
    again = send(visitor, "two.gpx", b"the same").json["received"][0]
    assert (first["known"], again["known"]) == (False, True)
    assert again["lesson"] == first["lesson"]
    with visitor.desk.store.writing() as change:
        put_away(change, first["lesson"])
    send(visitor, "three.gpx", b"the same")
    with visitor.desk.store.reading() as view:
        assert not lesson_of(view, first["lesson"]).put_away


def test_an_empty_recording_or_an_unknown_pilot_or_chart_is_refused(visitor):
    assert "empty" in send(visitor, "empty.gpx", b"").json["refused"][0]["error"]
    for field in ("pilot", "chart"):
        data = {"file": (io.BytesIO(field.encode()), "x.gpx"), field: "999"}
        assert "there is no such" in visitor.post("/recordings", data).json["refused"][0]["error"]


def test_a_browser_without_script_is_led_to_the_lesson_or_told(visitor):
    html = {"Accept": "text/html"}
    data = {"file": (io.BytesIO(b"without script"), "x.gpx")}
    answer = visitor.post("/recordings", data, html)
    assert answer.status_code == 303
    assert answer.headers["Location"].startswith("/lessons/")
    answer = visitor.post("/recordings", {"file": (io.BytesIO(b""), "empty.gpx")}, html)
    assert answer.status_code == 400
    assert "the file is empty" in answer.text
    assert visitor.post("/recordings", {}, html).status_code == 400


def test_a_request_that_is_too_large_is_refused_unread(visitor):
    answer = visitor.client.post(
        "/recordings",
        base_url=ADDRESS,
        headers={"Origin": ADDRESS, "X-Desk-Form": visitor.gate.form_value, "Content-Length": str(2**40)},
        content_type="multipart/form-data; boundary=x",
        input_stream=io.BytesIO(b""),
    )
    assert answer.status_code in (400, 413)


def test_a_form_with_thousands_of_fields_is_refused(visitor):
    fields = {f"f{number}": "x" for number in range(3_000)}
    answer = visitor.post("/recordings", {**fields, "file": (io.BytesIO(b"x"), "x.gpx")})
    assert answer.status_code == 413
