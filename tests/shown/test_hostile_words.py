"""Hostile words in every place that text from outside comes in by: each page stays what it is with harmless words.

A page holds the same elements with the same attributes in the same order, nothing that is not seen, and the words as
words; data files are whole JSON.
"""

import json
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
import readers_material as material
from reading_material import flown, procedure_for

from analyzer import assess
from analyzer.errors import ReversalDebriefError
from analyzer.files.whole_files import json_text, write_whole
from analyzer.given.procedure import AltitudeLimit, Procedure
from analyzer.given.track import QualityNote, Track
from analyzer.reading.track_file import read_track_bytes
from analyzer.run import cli
from analyzer.shown.chart.draw import chart_content
from analyzer.shown.report.overview import FlightRow, index_html
from analyzer.shown.report.progress import class_html, progress_html
from analyzer.shown.report.progress_measures import ProgressFlight
from analyzer.synthesis import Sensor

HARMLESS = "Plain words"
HOSTILE = {
    "script": "<script>alert(1)</script>",
    "end of everything": "</script></style></title></svg></table><img src=x onerror=alert(1)>",
    "quotes": "\"' onmouseover='alert(1)' x=\"><img src=x onerror=alert(1)>",
    "sections and comments": "]]> --> <!-- <![CDATA[ &lt;script&gt; &#x3c;",
    "templates": "{{7*7}} {% for x in y %} ${7*7} #{7*7} $\\frac{1}{0}$",
    "address": "javascript:alert(1)",
    "control": "a\x00b\x1b[31mc\x07\x85\r\nd\x7f",
    "direction and lines": "a\u202eb\u2066c\u200f\u2028d\u2029\ufeff",
    "half a character": "a\ud800b\udfff",
    "ten thousand": "n" * 10_000,
}
UNSEEN = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u200b-\u200f\u2028-\u202e\u2066-\u2069\ufeff\ud800-\udfff]")


class Skeleton(HTMLParser):
    """Elements with the names of their attributes, in order, and the words between them."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, tuple[str, ...]]] = []
        self.words: list[str] = []
        self.addresses: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, tuple(name for name, _ in attrs)))
        self.addresses += [value or "" for name, value in attrs if name in ("href", "src", "xlink:href", "action")]

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def check_alike(page: str, harmless: str) -> Skeleton:
    """Fail where a page with hostile words is built otherwise than with harmless ones."""
    found, expected = Skeleton(page), Skeleton(harmless)
    assert found.elements == expected.elements
    assert not any(name.startswith("on") for _, names in found.elements for name in names)
    assert not any(address.strip().lower().startswith(("javascript", "data:text")) for address in found.addresses)
    assert not UNSEEN.search(page)
    page.encode("utf-8")
    return found


def named(words: str) -> tuple[Track, Procedure]:
    """A flight and a procedure with the words in every field of text."""
    usual = procedure_for()
    fix = replace(usual.fix, ident=words)
    procedure = replace(
        usual,
        title=words,
        fix=fix,
        runway=replace(fix, latitude_deg=46.18, longitude_deg=-101.45),
        guidance=replace(usual.guidance, station=fix),
        altitudes=(AltitudeLimit("reversal", "at or above", 1402.0, None),),
        source=words,
        notes=(words,),
    )
    track = replace(
        FLIGHT,
        name=words,
        columns_used=(words, words),
        quality=(QualityNote("note", words),),
        altitude_m=np.full(len(FLIGHT), 1300.0),
        altitude_kind="geometric",
    )
    return track, procedure


#: a position in 3 s: soon read, as the flight itself is of no interest here
FLIGHT = flown(procedure_for(), "45/180", Sensor(interval_s=3.0, white_m=3.0)).track


@pytest.fixture(scope="module")
def harmless() -> dict[str, str]:
    return pages(HARMLESS)


def pages(words: str) -> dict[str, str]:
    """Everything that is written of a flight and a procedure with the words in them."""
    track, procedure = named(words)
    debrief = assess(track, procedure)
    result = debrief.to_dict()
    flights = [ProgressFlight(words, words, f"2024-01-0{day}", result, words) for day in (1, 2, 3)]
    return {
        "report": debrief.to_html(),
        "chart": chart_content(procedure, ".html"),
        "drawing": chart_content(procedure, ".svg"),
        "geometry": chart_content(procedure, ".geojson"),
        "result": json_text(result),
        "overview": index_html([FlightRow(words, None, result), FlightRow(words, None, None, words)]),
        "progress": progress_html(flights),
        "class": class_html(flights),
    }


@pytest.mark.parametrize("attack", HOSTILE)
def test_words_of_values_stay_words(attack: str, harmless: dict[str, str], tmp_path: Path) -> None:
    words = HOSTILE[attack]
    made = pages(words)
    for name in ("report", "chart"):
        check_alike(made[name], harmless[name])
    ElementTree.fromstring(made["drawing"])
    check_alike(made["drawing"], harmless["drawing"])
    for name in ("overview", "progress", "class"):
        found, expected = Skeleton(made[name]), Skeleton(harmless[name])
        assert found.elements == expected.elements
    for name in ("geometry", "result"):
        json.loads(made[name])
    if attack == "templates":
        assert "{{7*7}}" in "".join(Skeleton(made["report"]).words)
        assert "{{7*7}}" in "".join(Skeleton(made["overview"]).words)
    for name, content in made.items():
        write_whole(tmp_path / name, content)  # half a character can't be written as it is


WRITABLE = {name: words for name, words in HOSTILE.items() if name not in ("control", "half a character")}


@pytest.fixture(scope="module")
def harmless_files(tmp_path_factory: pytest.TempPathFactory) -> str:
    return from_files(HARMLESS, tmp_path_factory.mktemp("harmless"))


@pytest.mark.parametrize("attack", WRITABLE)
def test_words_of_files_stay_words(attack: str, harmless_files: str, tmp_path: Path) -> None:
    """Through the front door: a table's column and file name, a procedure file, tolerances, the pilot's own view."""
    found = check_alike(from_files(WRITABLE[attack], tmp_path), harmless_files)
    if attack == "script":
        assert "".join(found.words).count("<script>alert(1)") >= 4


def from_files(words: str, folder: Path) -> str:
    """The report of a flight from files, all of them with the words in every text they may hold."""
    short, quoted = words[:40].strip(), json.dumps
    stem = re.sub(r"[/\x00]", "_", short)
    track = folder / f"{stem}.csv"
    header = f'elapsed_s,latitude,longitude,altitude_ft,"{words[:200].replace(chr(34), chr(34) * 2)}"'
    rows = [
        f"{t:.0f},{lat:.7f},{lon:.7f},4900,1"
        for t, lat, lon in zip(FLIGHT.time_s, FLIGHT.latitude_deg, FLIGHT.longitude_deg, strict=True)
    ]
    track.write_text("\n".join([header, *rows]), encoding="utf-8")
    procedure = folder / f"{stem}.toml"
    procedure.write_text(
        f'title = {quoted(words[:200])}\nreversal = "procedure turn"\n[fix]\nlatitude = 46.2\nlongitude = -101.5\n'
        f"ident = {quoted(short)}\n[runway]\nlatitude = 46.18\nlongitude = -101.45\nident = {quoted(short)}\n"
        '[course]\ninbound_deg = 111\nvariation_deg = 7\nturn_side = "right"\n[guidance]\nkind = "VOR"\n'
        f"[source]\nname = {quoted(short)}\n",
        encoding="utf-8",
    )
    tolerances = folder / "own_tolerances.toml"
    tolerances.write_text(f"title = {quoted(words[:200])}\nnote = {quoted(words[:200])}\n[timing]\nleg_s = 15\n")
    own = folder / "own_view.toml"
    own.write_text(f'[grades]\naltitude = "perform"\n[remarks]\naltitude = {quoted(words[:3_000])}\n', encoding="utf-8")
    debrief = assess(track, procedure, tolerances=str(tolerances), self_assessment=own)
    json_text(debrief.to_dict()).encode()
    return debrief.to_html()


def test_names_and_descriptions_of_a_gpx_file_are_text() -> None:
    hostile = "&lt;script&gt;alert(1)&lt;/script&gt;&#x202e;"
    data = material.gpx(6, name=f"{hostile}</name><desc>{hostile}</desc><cmt>{hostile}</cmt><src>{hostile}</src><name>")
    track = read_track_bytes(data, "a.gpx")
    assert track.name.isprintable()
    assert "<script>" in track.name
    with pytest.raises(ReversalDebriefError, match=r"line \d+"):
        read_track_bytes(material.gpx(6, name="<script>alert(1)"), "a.gpx")


OPTIONS = ["--tolerances", "--wind", "--forecast-wind", "--reversal", "--columns", "--clock", "--airport", "--output"]


@pytest.mark.parametrize("option", [*OPTIONS, "--procedure", "TRACK"])
@pytest.mark.parametrize("words", ["a\x1b[2J\x07b\u202ec", "a\nb\rc", "x" * 3_000, "a\udcffb", "%s{0}{{7*7}}"])
def test_options_are_echoed_on_one_line_that_can_be_seen(
    option: str, words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = {"--procedure": str(tmp_path / "p.toml"), "--output": str(tmp_path / "out")}
    track = words if option == "TRACK" else str(tmp_path / "t.gpx")
    (tmp_path / "t.gpx").write_bytes(material.gpx())
    (tmp_path / "p.toml").write_text('title = "x"\n')
    if option != "TRACK":
        arguments[option] = str(tmp_path / words) if option == "--output" else words
    given = [part for pair in arguments.items() for part in pair]
    assert cli.run(["assess", track, *given]) != 0
    error = capsys.readouterr().err
    assert "Traceback" not in error
    assert "\x1b" not in error
    assert "\u202e" not in error
    assert "\r" not in error
    if option != "TRACK":
        assert error.count("\n") == 1 or error.count("p.toml: ") == error.count("\n")


DAMAGES: list[Any] = [{}, {"track": {}}, {"track": {"start_utc": 5}, "attempts": []}, {"attempts": 5, "track": None}]


@pytest.mark.parametrize("content", DAMAGES, ids=str)
def test_made_up_results_are_refused_by_progress(
    content: dict[str, Any], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    place = tmp_path / "made_up.json"
    place.write_text(json.dumps({"schema": "reversal-debrief/1", **content}))
    assert cli.run(["progress", str(place), "--output", str(tmp_path / "progress.html")]) != 0
    assert "no result file of this program" in capsys.readouterr().err
