"""KML, IGC, NMEA 0183 and state vectors: what is taken from each, and what is refused."""

from datetime import UTC, datetime

import numpy as np
import pytest
import readers_material as material

from analyzer.errors import TrackFileError
from analyzer.given.track import Track
from analyzer.reading.track_file import read_track_bytes
from analyzer.units.factors import MPS_PER_KMH, MPS_PER_KNOT

TENTH_OF_A_METRE_DEG = 1e-6
MILLIMINUTE_DEG = 1.0 / 60_000.0


def read(data: bytes) -> Track:
    return read_track_bytes(data, "flight.log")


def codes(track: Track) -> list[str]:
    return [note.code for note in track.quality]


@pytest.mark.parametrize("make", [material.kml, material.igc, material.nmea, material.gpx])
def test_each_format_is_told_by_its_content_and_says_the_same(make) -> None:  # type: ignore[no-untyped-def]
    track = read(make(30))
    assert len(track) == 30
    assert track.start == material.START
    np.testing.assert_array_equal(track.time_s, np.arange(30.0))
    assert track.latitude_deg == pytest.approx(46.2 + np.arange(30) * material.STEP_DEG, abs=MILLIMINUTE_DEG)
    assert track.longitude_deg == pytest.approx(-101.5, abs=TENTH_OF_A_METRE_DEG)
    assert track.altitude_m is not None
    altitudes = {track.altitude_kind: track.altitude_m, **track.other_altitudes}
    recorded = altitudes["pressure" if make is material.igc else "geometric"]
    assert recorded is not None
    assert recorded.tolist() == [1500.0 + i for i in range(30)]
    assert codes(track) == []


@pytest.mark.parametrize("make", [material.kml, material.igc, material.nmea])
def test_columns_option_is_for_tables(make) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(TrackFileError, match="--columns is for tables"):
        read_track_bytes(make(), "a.log", columns={"time": "t"})


def test_kml_altitudes_are_geometric_and_those_above_ground_are_not_used() -> None:
    assert read(material.kml()).altitude_kind == "geometric"
    above_ground = read(material.kml(mode="relativeToGround"))
    assert above_ground.altitude_m is None
    assert codes(above_ground)[0] == "altitude_above_ground"
    assert read(material.kml()).name == "A flight"


def test_kml_placemarks_of_one_moment_and_one_point() -> None:
    places = "".join(
        f"<Placemark><name>{i}</name><TimeStamp><when>{material.stamp(i)}</when></TimeStamp>"
        f"<Point><coordinates>-101.5,{46.2 + i * 0.0005:.4f},1500</coordinates></Point></Placemark>"
        for i in range(4)
    )
    track = read(f"<kml><Document>{places}</Document></kml>".encode())
    assert track.latitude_deg.tolist() == [46.2, 46.2005, 46.201, 46.2015]


def test_kml_paths_without_times_are_refused() -> None:
    path = "<Placemark><LineString><coordinates>1,2,3 1,2.1,3</coordinates></LineString></Placemark>"
    with pytest.raises(TrackFileError, match="1 path without times"):
        read(f"<kml>{path}</kml>".encode())
    with pytest.raises(TrackFileError, match="no track with times"):
        read(b"<kml><Document/></kml>")


def test_kml_moments_without_a_position_are_counted() -> None:
    data = material.kml(5).replace(b"</when><gx:coord>", b"</when><when>2024-01-13T10:00:00Z</when><gx:coord>", 1)
    track = read(data)
    assert len(track) == 5
    assert codes(track) == ["moments_without_pair"]


def test_kml_cut_short_keeps_complete_tracks_only() -> None:
    one = material.kml(5)
    two = one.replace(b"</gx:Track>", b"</gx:Track>" + one[one.index(b"<gx:Track>") : -60], 1)
    track = read(two[: two.rindex(b"<gx:coord>")])
    assert "file_cut_short" in codes(track)


def test_igc_keeps_both_altitudes_and_without_a_setting_prefers_the_satellite_one() -> None:
    track = read(material.igc())
    assert track.altitude_kind == "geometric"
    assert track.other_altitudes["pressure"][0] == 1500.0
    without_capsule = b"\r\n".join(
        line[:25] + b"00000" + line[30:] if line.startswith(b"B") else line for line in material.igc().split(b"\r\n")
    )
    track = read(without_capsule)
    assert track.altitude_kind == "geometric"
    assert track.altitude_m is not None
    assert track.altitude_m[0] == 1530.0


def test_igc_extensions() -> None:
    track = read(material.igc())
    assert track.sensors["tas_mps"] == pytest.approx(200 * MPS_PER_KMH)
    assert track.columns_used[-1] == "TAS"


def test_igc_hemispheres_signs_and_finer_digits() -> None:
    lines = [
        b"AXXX001",
        b"HFDTEDATE:130124,01",
        b"I033636LAD3737LOD3838TDS",
        b"B0900001234567S09876543EA-0050-0040555",
        b"B0900011234567S09876543EV-0050-0040555",
    ]
    track = read(b"\n".join(lines))
    assert track.start == datetime(2024, 1, 13, 9, 0, 0, 500_000, tzinfo=UTC)
    assert track.latitude_deg[0] == pytest.approx(-(12 + 34.5675 / 60), abs=1e-9)
    assert track.longitude_deg[0] == pytest.approx(98 + 76.5435 / 60, abs=1e-9)
    assert track.altitude_m is not None
    assert track.altitude_m[0] == -40.0
    assert track.other_altitudes["pressure"][0] == -50.0


def test_igc_without_a_date_and_across_midnight() -> None:
    lines = [f"B{clock}46120{i}0N10130000WA0150001500" for i, clock in enumerate(("235958", "235959", "000000"))]
    track = read("\n".join(["AXXX001", *lines]).encode())
    assert track.start is None
    assert track.time_s.tolist() == [0.0, 1.0, 2.0]
    assert "time_without_date" in codes(track)


def test_nmea_takes_speed_track_and_altitude() -> None:
    track = read(material.nmea(20))
    assert track.sensors["groundspeed_mps"] == pytest.approx(108 * MPS_PER_KNOT)
    assert track.sensors["track_true_deg"].tolist() == [0.0] * 20
    assert track.altitude_kind == "geometric"


def test_nmea_sentences_with_a_wrong_sum_are_left_out() -> None:
    data = material.nmea(5).replace(b"4612.0300", b"4612.0400")
    track = read(data)
    assert len(track) == 4
    assert codes(track) == ["damaged_sentences"]


def test_nmea_fixes_that_are_not_valid_are_left_out() -> None:
    invalid = material.sentence("GPRMC,090005.00,V,,,,,,,130124,,,N")
    assert len(read(material.nmea(5) + invalid.encode())) == 5


def test_nmea_fields_that_are_infinite() -> None:
    """Found by mutation: the minutes of an infinite angle are not a number."""
    infinite = (
        b"$GPRMC,090005.00,A,inf,N,10130.0000,W,inf,inf,130124\r\n$GPRMC,inf,A,4612.0000,N,inf,W,1e999,,130124\r\n"
    )
    assert len(read(material.nmea(5) + infinite)) == 5


def test_nmea_across_midnight() -> None:
    start = datetime(2024, 1, 13, 23, 59, 58, tzinfo=UTC)
    track = read(material.nmea(5, start))
    assert track.start == start
    assert track.time_s.tolist() == [0.0, 1.0, 2.0, 3.0, 4.0]
    assert track.altitude_m is not None
    assert track.altitude_m.tolist() == [1500.0, 1501.0, 1502.0, 1503.0, 1504.0]


def test_nmea_with_positions_from_gga_alone_has_no_date() -> None:
    data = b"".join(line for line in material.nmea(5).splitlines(keepends=True) if b"GGA" in line)
    track = read(data)
    assert track.start is None
    assert len(track) == 5
    assert track.altitude_m is not None


def test_nmea_with_other_text_before_each_sentence() -> None:
    data = b"".join(b"[12:00:01.5] port 2: " + line for line in material.nmea(5).splitlines(keepends=True))
    assert len(read(data)) == 5


def test_nmea_with_wrong_sums_only_is_refused() -> None:
    with pytest.raises(TrackFileError, match="10 have a wrong sum"):
        read(material.nmea(5).replace(b",130124", b",130125").replace(b",M,-20", b",M,-21"))


def test_state_vectors_are_metric_and_timed_by_the_position() -> None:
    track = read(material.state_vectors(20))
    assert track.altitude_kind == "geometric"
    assert track.other_altitudes["pressure"][0] == 1500.0
    assert track.time_s.tolist() == [float(2 * i) for i in range(10)]
    assert track.sensors["groundspeed_mps"] == pytest.approx(55.6)
    assert track.sensors["track_true_deg"].tolist() == [0.0] * 10
    assert track.sensors["vertical_speed_mps"].tolist() == [1.0] * 10
    assert "heading_magnetic_deg" not in track.sensors
    assert track.columns_used[0] == "lastposupdate"


def test_state_vectors_of_several_aircraft_are_refused() -> None:
    other = material.state_vectors(5, "def456").split(b"\n", 1)[1]
    with pytest.raises(TrackFileError, match=r"rows of 2 aircraft \(abc123, def456\); keep the rows of one"):
        read(material.state_vectors(5) + other)
