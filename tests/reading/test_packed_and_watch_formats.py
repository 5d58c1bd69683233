"""Packed tracks, GeoJSON, and the recordings of sports watches: the same flight as in GPX, and hostile ones refused."""

import gzip
import io
import json
import sys
import time
import zipfile
import zlib
from collections.abc import Callable

import numpy as np
import pytest
import readers_material as material

from analyzer.errors import TrackFileError
from analyzer.reading.containers import LARGEST_RATIO, unpacked
from analyzer.reading.track_file import read_track_bytes

A_CENTIMETRE_DEG = 1e-7
A_BOMB_MAY_TAKE_S = 5.0


def zipped(entries: dict[str, bytes], method: int = zipfile.ZIP_DEFLATED) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", method) as archive:
        for name, data in entries.items():
            archive.writestr(name, data)
    return buffer.getvalue()


def refusal(data: bytes, name: str = "track") -> str:
    with pytest.raises(TrackFileError) as caught:
        read_track_bytes(data, name, "track")
    assert "\n" not in str(caught.value)
    return str(caught.value)


@pytest.mark.parametrize(
    "data",
    [
        gzip.compress(material.gpx(30)),
        gzip.compress(material.table(30)),
        gzip.compress(material.gpx(30)[:900]) + gzip.compress(material.gpx(30)[900:]),
        zipped({"flight.gpx": material.gpx(30)}),
        zipped({"__MACOSX/._flight.gpx": b"x", "notes.pdf": b"%PDF", "lesson/flight.gpx": material.gpx(30)}),
        zipped({"doc.kml": material.kml(30), "files/other.kml": b"<kml/>", "files/icon.png": b"\x89PNG"}),
        zipped({"flight.gpx": material.gpx(30)}, zipfile.ZIP_STORED),
        material.geojson(30),
        material.tcx(30),
        material.fit(30),
        gzip.compress(material.fit(30)),
    ],
)
def test_the_same_flight_as_plain(data: bytes) -> None:
    pytest.importorskip("fitdecode")
    track = read_track_bytes(data, "track", "track")
    plain = read_track_bytes(material.gpx(30), "track", "track")
    assert len(track) == 30
    assert track.start == material.START
    assert np.array_equal(track.time_s, plain.time_s)
    assert np.allclose(track.latitude_deg, plain.latitude_deg, atol=A_CENTIMETRE_DEG, rtol=0.0)
    assert np.allclose(track.longitude_deg, plain.longitude_deg, atol=A_CENTIMETRE_DEG, rtol=0.0)
    assert track.altitude_m is not None
    if track.altitude_kind == "geometric":
        assert plain.altitude_m is not None
        assert np.allclose(track.altitude_m, plain.altitude_m, atol=0.2)


def test_a_watchs_speed_is_kept() -> None:
    pytest.importorskip("fitdecode")
    track = read_track_bytes(material.fit(30), "watch.fit", "watch")
    assert np.allclose(track.sensors["groundspeed_mps"], 55.6)


def test_errors_name_the_file_within_the_archive() -> None:
    said = refusal(zipped({"flight.gpx": b"<gpx><trk></gpx>"}), "lesson.zip")
    assert said.startswith("lesson.zip, flight.gpx, line 1")


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (
            zipped({"a.gpx": material.gpx(), "b.gpx": material.gpx()}),
            "of 2 tracks: a.gpx, b.gpx; unpack it",
        ),
        (zipped({"readme.pdf": b"%PDF"}), "a zip archive without a track in it, but: readme.pdf"),
        (
            zipped({"[Content_Types].xml": b"<x/>", "xl/sheet.csv": b"x"}),
            "a spreadsheet or an office",
        ),
        (zipped({f"{number}.txt": b"" for number in range(1001)}), "a zip archive of 1,001 files"),
        (zipped({"a.csv": zipped({"b.gpx": material.gpx()})}), "holds a zip archive in a packed file"),
        (gzip.compress(gzip.compress(material.gpx())), "holds a gzip file in a packed one"),
        (zipped({"a.gpx": material.gpx()}, zipfile.ZIP_LZMA), "packed by a method that is not read here"),
        (b"PK\x03\x04" + b"\x00" * 100, "can't be unpacked"),
        (b"\x1f\x8b\x08\x00" + b"\xff" * 100, "can't be unpacked"),
        (zipped({"a.gpx": material.gpx(200)})[:-30], "can't be unpacked"),
    ],
)
def test_what_holds_no_single_track_is_refused_in_one_line(data: bytes, said: str) -> None:
    assert said in refusal(data)


def test_an_encrypted_archive_is_refused() -> None:
    data = bytearray(zipped({"a.gpx": material.gpx()}))
    data[6] |= 1  # the flag in the local header and in the directory
    data[data.index(b"PK\x01\x02") + 8] |= 1
    assert "encrypted" in refusal(bytes(data))


def test_damage_in_the_middle_is_found_by_its_sum() -> None:
    data = bytearray(zipped({"a.gpx": material.gpx(300)}, zipfile.ZIP_STORED))
    data[5000] ^= 0xFF
    assert "can't be unpacked" in refusal(bytes(data))


def test_a_gzip_file_cut_short_is_read_as_far_as_it_goes() -> None:
    packed = gzip.compress(material.table(3000))
    track = read_track_bytes(packed[: len(packed) // 2], "track", "track")
    assert 500 < len(track) < 3000


def bomb_of_zeros(megabytes: int) -> bytes:
    packer = zlib.compressobj(9, zlib.DEFLATED, 31)
    return b"".join(packer.compress(bytes(1_000_000)) for _ in range(megabytes)) + packer.flush()


@pytest.mark.parametrize(
    "make",
    [
        lambda: bomb_of_zeros(60),
        lambda: zipped({"a.gpx": bytes(40_000_000)}),
        lambda: bomb_of_zeros(2) * 99,
    ],
)
def test_bombs_are_refused_soon_in_little_memory(make: Callable[[], bytes]) -> None:
    import tracemalloc

    data = make()
    tracemalloc.start()
    started = time.process_time()
    said = refusal(data)
    taken = time.process_time() - started
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert f"over {LARGEST_RATIO} times its size" in said
    assert taken < A_BOMB_MAY_TAKE_S
    assert peak < 100_000_000


def test_a_directory_that_lies_about_the_size_gains_nothing() -> None:
    data = bytearray(zipped({"a.gpx": bytes(20_000_000)}))
    place = data.index(b"PK\x01\x02") + 24
    data[place : place + 4] = (1000).to_bytes(4, "little")  # unpacked size in the directory
    assert "can't be unpacked" in refusal(bytes(data)) or "times its size" in refusal(bytes(data))


def test_more_than_the_cap_is_refused() -> None:
    packed = gzip.compress(material.table(20_000))
    with pytest.raises(TrackFileError, match="unpacks to more than 0 MB"):
        unpacked(packed, "track", 100_000)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ('{"a": 1}', "holds JSON, not a track"),
        ("[1, 2, 3]", "holds JSON, not a track"),
        ('{"type": "FeatureCollection", "features": []}', "GeoJSON without points that have a time"),
        (
            '{"type": "Feature", "geometry": {"type": "LineString", "coordinates": [[1, 2], [3, 4]]}}',
            "holds 1 line without times",
        ),
        ('{"type": "Feature"', "the JSON breaks off or is damaged"),
        ("[" * 100_000, "the JSON breaks off or is damaged"),
        (
            '{"type": "Feature", "properties": {"times": [1]}, "geometry": {"type": "LineString", "coordinates": 5}}',
            "GeoJSON",
        ),
    ],
)
def test_json_that_is_no_track(content: str, said: str) -> None:
    assert said in refusal(content.encode())


def test_points_with_times_in_milliseconds() -> None:
    features = [
        {
            "type": "Feature",
            "properties": {"timestamp": int(material.START.timestamp() * 1000) + 1000 * i},
            "geometry": {"type": "Point", "coordinates": [-101.5, 46.2 + i * 0.0005]},
        }
        for i in range(20)
    ]
    features[3]["geometry"]["coordinates"] = ["x", None]  # type: ignore[index]
    track = read_track_bytes(json.dumps({"type": "FeatureCollection", "features": features}).encode(), "t", "t")
    assert track.start == material.START
    assert len(track) == 19
    assert track.altitude_m is None


def test_times_without_places_are_counted() -> None:
    content = json.loads(material.geojson(20))
    content["features"][0]["properties"]["coordTimes"].append(material.stamp(20))
    track = read_track_bytes(json.dumps(content).encode(), "t", "t")
    assert [note.text for note in track.quality if note.code == "moments_without_pair"] == [
        "1 time or position stand alone: left out."
    ] or any("stand" in note.text for note in track.quality if note.code == "moments_without_pair")


def test_a_watchs_xml_goes_through_the_guard() -> None:
    entity = material.tcx(5).replace(b"?><Training", b'?><!DOCTYPE x [<!ENTITY a "b">]><Training')
    assert "document type or entity declaration" in refusal(entity)
    assert "no Trackpoint with a time and a position" in refusal(material.tcx(0))
    cut = read_track_bytes(material.tcx(40)[:-1200], "t", "t")
    assert "file_cut_short" in {note.code for note in cut.quality}


def test_a_binary_recording_without_its_library_names_the_extra(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "fitdecode", None)
    said = refusal(material.fit(5), "watch.fit")
    assert said == (
        "watch.fit: a FIT recording needs the extra [watch]; install it with: pip install 'reversal-debrief[watch]', "
        "or export the track as GPX"
    )


def test_a_damaged_binary_recording_is_read_as_far_as_it_goes_or_refused() -> None:
    pytest.importorskip("fitdecode")
    whole = material.fit(50)
    cut = read_track_bytes(whole[: len(whole) // 2], "watch.fit", "watch")
    assert 10 < len(cut) < 50
    assert "without positions" in refusal(material.fit(0))
    random = np.random.default_rng(5)
    told: list[str] = []
    for _ in range(60):
        damaged = bytearray(whole)
        for place in random.integers(14, len(whole), 6):
            damaged[place] = int(random.integers(256))
        try:
            read_track_bytes(bytes(damaged), "watch.fit", "watch")
        except TrackFileError as error:
            told.append(str(error))
    assert not [line for line in told if "\n" in line]
