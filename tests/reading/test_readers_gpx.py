"""GPX: the direct reader against gpxpy, dialects, several tracks, damage."""

import math
import os
import re
from datetime import datetime
from pathlib import Path

import gpxpy
import numpy as np
import pytest
import readers_material as material
from hypothesis import given, settings, strategies as st

from analyzer.errors import TrackFileError
from analyzer.reading.formats.gpx import DeclinedError, read_gpx, read_gpx_directly
from analyzer.reading.track_file import read_track, read_track_bytes

ONE_MICROSECOND_S = 1e-6


def codes(data: bytes) -> list[str]:
    return [note.code for note in read_track_bytes(data, "a.gpx").quality]


def test_a_plain_track(tmp_path: Path) -> None:
    path = tmp_path / "north_leg.gpx"
    path.write_bytes(material.gpx(4, name=""))
    track = read_track(path)
    assert track.name == "north_leg"
    assert track.start == material.START
    assert track.time_s.tolist() == [0.0, 1.0, 2.0, 3.0]
    assert track.latitude_deg[3] == pytest.approx(46.2015, abs=1e-9)
    assert track.longitude_deg.tolist() == [-101.5] * 4
    assert track.altitude_m is not None
    assert track.altitude_m.tolist() == [1500.0, 1501.0, 1502.0, 1503.0]
    assert track.altitude_kind == "geometric"
    assert track.columns_used == ("time", "lat", "lon", "ele")
    assert track.quality == ()


def test_the_content_decides_not_the_suffix(tmp_path: Path) -> None:
    path = tmp_path / "wrong.csv"
    path.write_bytes(material.gpx(4))
    assert len(read_track(path)) == 4
    path = tmp_path / "wrong.gpx"
    path.write_bytes(material.table(3))
    assert len(read_track(path)) == 3


def test_columns_option_is_refused_for_gpx() -> None:
    with pytest.raises(TrackFileError, match="--columns is for tables"):
        read_track_bytes(material.gpx(), "a.gpx", columns={"time": "t"})


_times = st.lists(st.floats(0.0, 1e6).map(lambda s: round(s, 3)), min_size=1, max_size=12)


@st.composite
def gpx_documents(draw: st.DrawFn) -> str:
    """Draw documents as the schema allows them, with what writers add."""
    tracks = []
    for _ in range(draw(st.integers(1, 3))):
        segments = []
        for _ in range(draw(st.integers(1, 3))):
            points = []
            for seconds in draw(_times):
                latitude = draw(st.floats(-90, 90).map(lambda v: round(v, 7)))
                longitude = draw(st.floats(-180, 180).map(lambda v: round(v, 7)))
                zone = draw(st.sampled_from(["Z", ".250Z", "+00:00", "-07:00", "+05:30", ".5Z"]))
                stamp = datetime.fromtimestamp(1.7e9 + seconds, material.UTC).strftime("%Y-%m-%dT%H:%M:%S") + zone
                elevation = draw(st.sampled_from(["", "<ele>1500.25</ele>", "<ele> -12 </ele>", "<!-- none -->"]))
                extra = draw(st.sampled_from(["", "<name>x &amp; y</name>", "<extensions><q>5</q></extensions>"]))
                points.append(
                    f'<trkpt lat="{latitude:.7f}" lon="{longitude:.7f}">{elevation}<time>{stamp}</time>{extra}</trkpt>'
                )
            gap = draw(st.sampled_from(["", "\n", "<!-- a comment -->"]))
            segments.append(f"<trkseg>{gap.join(points)}</trkseg>")
        tracks.append(f"<trk>{''.join(segments)}</trk>")
    head = '<?xml version="1.0"?><gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1">'
    return f"{head}{''.join(tracks)}</gpx>"


@given(gpx_documents())
@settings(max_examples=int(os.environ.get("READER_EXAMPLES", "30")), deadline=None)
def test_direct_reader_agrees_with_gpxpy(text: str) -> None:
    """The library reads the same points, times and elevations from the same document."""
    record = read_gpx_directly(text.encode(), "a.gpx", "a")
    points = [point for track in gpxpy.parse(text).tracks for segment in track.segments for point in segment.points]
    assert record.latitude_deg.tolist() == [point.latitude for point in points]
    assert record.longitude_deg.tolist() == [point.longitude for point in points]
    expected = [point.time.timestamp() for point in points if point.time]
    assert len(expected) == len(points)
    assert record.time_s == pytest.approx(expected, abs=ONE_MICROSECOND_S)
    elevations = [math.nan if point.elevation is None else point.elevation for point in points]
    if record.altitude_m is None:
        assert all(map(math.isnan, elevations))
    else:
        np.testing.assert_array_equal(record.altitude_m, elevations)


def test_prefixed_elements_are_the_same_elements() -> None:
    plain = material.gpx(4).decode()
    prefixed = re.sub(r"(</?)(?=[a-z])", r"\1g:", plain).replace("xmlns=", "xmlns:g=")
    assert "<g:trkpt" in prefixed
    expected, track = read_track_bytes(plain.encode(), "a.gpx"), read_track_bytes(prefixed.encode(), "a.gpx")
    np.testing.assert_array_equal(track.latitude_deg, expected.latitude_deg)
    np.testing.assert_array_equal(track.time_s, expected.time_s)
    assert track.name == expected.name


def test_gpxpy_takes_over_what_the_direct_reader_declines() -> None:
    """Expat reads no encodings of several bytes a character but the Unicode ones."""
    data = material.gpx(3).replace(b"UTF-8", b"EUC-JP")
    with pytest.raises(DeclinedError):
        read_gpx_directly(data, "a.gpx", "a")
    record = read_gpx(data, "a.gpx", "a")
    assert record.notes[0].code == "read_the_long_way"
    assert record.latitude_deg.tolist() == pytest.approx([46.2, 46.2005, 46.201])
    assert record.altitude_m is not None
    assert record.altitude_m.tolist() == [1500.0, 1501.0, 1502.0]


def test_unreadable_times_are_refused_with_an_example_of_what_is_right() -> None:
    data = material.gpx(3).replace(b"2024-01-13T", b"13th of January, ")
    with pytest.raises(TrackFileError, match="2024-01-13T09:00:00Z"):
        read_track_bytes(data, "a.gpx")


def test_several_tracks_and_segments_are_joined_in_order_of_time() -> None:
    late, early = material.gpx(6), material.gpx(3)
    cut = late.index(b"<trkpt", late.index(b"09:00:02Z"))
    document = (
        late[: late.index(b"<trkpt")]
        + late[cut : late.index(b"</trkseg>")]
        + b"</trkseg></trk><trk><trkseg>"
        + early[early.index(b"<trkpt") : early.index(b"</trkseg>")]
        + b"</trkseg></trk></gpx>"
    )
    track = read_track_bytes(document, "a.gpx")
    assert track.time_s.tolist() == [0.0, 1.0, 2.0, 3.0, 4.0, 5.0]
    assert np.all(np.diff(track.latitude_deg) > 0)
    assert [note.code for note in track.quality] == ["time_goes_back"]


def test_another_aircraft_at_the_same_time_is_left_out() -> None:
    one, other = material.gpx(60), material.gpx(50).replace(b'lon="-101.5"', b'lon="-101.9"')
    document = one[: one.index(b"</gpx>")] + other[other.index(b"<trk>") :]
    track = read_track_bytes(document, "a.gpx")
    assert len(track) == 60
    assert set(track.longitude_deg.tolist()) == {-101.5}
    assert "tracks_at_the_same_time" in [note.code for note in track.quality]


def test_speed_and_course_are_taken_by_local_name() -> None:
    """GPX 1.0 has speed in m/s and course in degrees true; extensions repeat them under other prefixes."""
    plain = material.gpx(12, extra="<course>0.5</course><speed>55.5</speed>")
    nested = material.gpx(
        12,
        extra='<extensions><v:e xmlns:v="urn:v"><v:speed>55.5</v:speed><v:course>360.5</v:course></v:e></extensions>',
    )
    for data in (plain, nested):
        track = read_track_bytes(data, "a.gpx")
        assert track.sensors["groundspeed_mps"].tolist() == [55.5] * 12
        assert track.sensors["track_true_deg"].tolist() == [0.5] * 12
        assert track.columns_used[-2:] == ("speed", "course")


def test_time_and_elevation_of_extensions_are_not_the_points_own() -> None:
    extra = "<extensions><time>2020-01-01T00:00:00Z</time><ele>9</ele></extensions>"
    for data in (material.gpx(3, extra=extra), material.gpx(3).replace(b"<ele>", extra.encode() + b"<ele>")):
        track = read_track_bytes(data, "a.gpx")
        assert track.start == material.START
        assert track.altitude_m is not None
        assert track.altitude_m[0] == 1500.0


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32"])
def test_encodings_with_and_without_byte_order_mark(encoding: str) -> None:
    text = material.gpx(3, name="Flug über Grün").decode()
    track = read_track_bytes(text.replace("UTF-8", encoding.upper().removesuffix("-SIG")).encode(encoding), "a.gpx")
    assert track.name == "Flug über Grün"
    assert len(track) == 3


def test_latin_1_is_read_whether_declared_or_not() -> None:
    text = material.gpx(3, name="Übung").decode()
    for declared in ("UTF-8", "ISO-8859-1"):
        data = text.replace("UTF-8", declared).encode("latin-1")
        assert read_track_bytes(data, "a.gpx").name == "Übung"


def test_a_file_cut_short_is_read_to_where_it_stops() -> None:
    data = material.gpx(5)
    track = read_track_bytes(data[: data.rindex(b"<time>")], "a.gpx")
    assert len(track) == 4
    assert [note.code for note in track.quality] == ["file_cut_short"]


def test_zeros_after_the_end_are_space_never_written() -> None:
    assert len(read_track_bytes(material.gpx(5) + b"\0" * 4096, "a.gpx")) == 5


def test_decimal_commas_are_read_and_said() -> None:
    data = material.gpx(3).replace(b'lon="-101.5"', b'lon="-101,5"')
    assert read_track_bytes(data, "a.gpx").longitude_deg.tolist() == [-101.5] * 3
    assert codes(data) == ["decimal_comma"]


def test_points_without_position_or_time_are_left_out_and_counted() -> None:
    data = material.gpx(6).replace(b'lat="46.200500"', b'lat="x"').replace(b"09:00:03Z", b"noon")
    track = read_track_bytes(data, "a.gpx")
    assert track.time_s.tolist() == [0.0, 2.0, 4.0, 5.0]
    assert {note.code for note in track.quality} == {"times_not_readable", "rows_without_time", "rows_without_position"}


def test_damaged_dates_are_not_taken_for_day_month_year() -> None:
    """Found by mutation: 20-01-13 looked like a date whose order must be asked for."""
    data = material.gpx(5)
    assert len(read_track_bytes(data.replace(b"2024-01-13T09:00:02", b"20-01-13T09:00:02"), "a.gpx")) == 4
    with pytest.raises(TrackFileError, match="none of 5 points has a readable time"):
        read_track_bytes(data.replace(b"2024-01-13T", b"13-01-2024T"), "a.gpx")


def test_a_route_or_waypoints_are_no_track() -> None:
    data = b'<gpx><wpt lat="1" lon="2"/><rte><rtept lat="1" lon="2"/><rtept lat="1" lon="2"/></rte></gpx>'
    with pytest.raises(TrackFileError, match="1 waypoint and 2 route points but no track points"):
        read_track_bytes(data, "a.gpx")


def test_a_track_without_times_is_refused() -> None:
    data = b'<gpx><trk><trkseg><trkpt lat="1" lon="2"/><trkpt lat="1" lon="2.1"/></trkseg></trk></gpx>'
    with pytest.raises(TrackFileError, match="none of 2 points has a readable time"):
        read_track_bytes(data, "a.gpx")


def test_a_single_point_is_refused() -> None:
    with pytest.raises(TrackFileError, match="1 point of 1 can be used; a track needs at least two"):
        read_track_bytes(material.gpx(1), "a.gpx")


def test_a_damaged_place_is_named_by_line_and_column() -> None:
    data = material.gpx(3).replace(b"</time>", b"</tim>", 1)
    with pytest.raises(TrackFileError, match=r"a\.gpx, line 3, column \d+: XML error: mismatched tag"):
        read_track_bytes(data, "a.gpx")


def test_long_files_are_read_in_chunks(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = read_track_bytes(material.gpx(30), "a.gpx")
    monkeypatch.setattr("analyzer.reading.formats.gpx._CHUNK", 7)
    chunked = read_track_bytes(material.gpx(30), "a.gpx")
    np.testing.assert_array_equal(chunked.latitude_deg, whole.latitude_deg)
    np.testing.assert_array_equal(chunked.time_s, whole.time_s)
