"""Which altitude of a table is used, what its name and units say, and positions written in unusual ways."""

import re

import numpy as np
import pytest

from analyzer.errors import TrackFileError
from analyzer.flown import altitude_record
from analyzer.given import Options, Track
from analyzer.reading import read_track_bytes
from analyzer.run.call_options import parsed_columns
from analyzer.units import METRES_PER_FOOT
from tests.hand_flown import procedure

ONE_FOOT_M = METRES_PER_FOOT
#: 30.12 inches of mercury lower the pressure altitude by 185 ft: 0.2 in at 927 ft each (AIM 7-2-2: "approximately 1,000
#: feet of altitude for each inch", and the standard atmosphere's exact 27.3 ft per hPa near the ground)
SETTING_INHG, SETTING_SHIFT_FT, SHIFT_WITHIN_FT = 30.12, 185.0, 2.0


def read(header: str, cells: str, units: str = "", columns: dict[str, str] | None = None) -> Track:
    rows = [f"{i},{46.2 + i * 0.0005:.4f},-101.5,{cells}" for i in range(10)]
    lines = [f"elapsed_s,lat,lon,{header}", *([f"s,deg,deg,{units}"] if units else []), *rows]
    return read_track_bytes("\n".join(lines).encode() + b"\n", "flight.csv", columns=columns)


def codes(track: Track) -> list[str]:
    return [note.code for note in track.quality]


@pytest.mark.parametrize(
    ("header", "kind"),
    [
        *(("altitude_ft", "indicated"), ("AltB", "indicated"), ("Indicated Altitude", "indicated")),
        *(("Altitude", "unstated"), ("alt_ft", "unstated"), ("Height", "unstated"), ("PLANE ALTITUDE", "unstated")),
        *(("AltMSL", "geometric"), ("altitudeAMSL", "geometric"), ('"alt,ftmsl"', "geometric")),
        *(("altWGS84", "ellipsoidal"), ("HAE", "ellipsoidal")),
        *(("mode_c", "pressure"), ("AltP", "pressure"), ("PALT", "pressure"), ("Baro Altitude (ft)", "pressure")),
    ],
)
def test_the_name_tells_above_what_an_altitude_is(header: str, kind: str) -> None:
    track = read(header, "5600")
    assert track.altitude_kind == kind
    assert track.altitude_m == pytest.approx(5600.0 * METRES_PER_FOOT)


@pytest.mark.parametrize(
    ("header", "units", "kind"),
    [
        ("Altitude", "ft msl", "geometric"),
        ("Altitude", "ft wgs", "ellipsoidal"),
        ("AltB", "ft Baro", "indicated"),
        ("AltMSL", "ft msl", "geometric"),
        ("Altitude", "furlong", "unstated"),
    ],
)
def test_a_units_line_tells_the_datum_and_drops_no_column(header: str, units: str, kind: str) -> None:
    track = read(header, "5600", units)
    assert track.altitude_kind == kind
    assert track.altitude_m == pytest.approx(5600.0 * METRES_PER_FOOT)
    assert ("furlong" in " ".join(note.text for note in track.quality)) == (units == "furlong")


def test_a_column_of_settings_corrects_the_pressure_altitude() -> None:
    track = read("pressure_altitude_ft,gps_altitude_ft,BaroA", f"5415,5570,{SETTING_INHG}", "ft,ft,inHg")
    assert track.altitude_kind == "pressure"
    record = altitude_record(track, procedure(), Options())
    assert record is not None
    assert record.kind == "pressure, corrected for the setting"
    off_ft = record.altitude_m / METRES_PER_FOOT - (5415.0 + SETTING_SHIFT_FT)
    assert np.max(np.abs(off_ft)) <= SHIFT_WITHIN_FT
    assert re.search(r"the recorded geometric heights lie (2[89]|3[0-2]) ft below them", record.note)


def test_a_given_setting_makes_a_pressure_altitude_the_better_one() -> None:
    track = read("pressure_altitude_ft,gps_altitude_ft", "5415,5570")
    assert track.altitude_kind == "geometric"
    record = altitude_record(track, procedure(), Options(altimeter_setting_hpa=1020.0))
    assert record is not None
    assert record.kind == "pressure, corrected for the setting"


def test_a_barometric_altitude_beside_a_setting_is_what_the_altimeter_showed() -> None:
    track = read("Baro Altitude (ft),Barometer Setting (inHg)", "5600,30.12")
    assert track.altitude_kind == "indicated"
    assert "barometric_altitude" in codes(track)


def test_heights_above_ground_are_no_altitude_and_said() -> None:
    track = read("Height AGL", "900")
    assert track.altitude_m is None
    (note,) = (note for note in track.quality if note.code == "height_above_ground")
    assert note.on_first_screen


def test_units_in_cells() -> None:
    assert read("altitude_ft", "5600 ft").altitude_m == pytest.approx(5600.0 * METRES_PER_FOOT)
    assert read("Altitude", "1706.9 m").altitude_m == pytest.approx(1706.9)
    assert read("altitude_ft,groundspeed_kt", '"5,600 ft",108 kt').altitude_m == pytest.approx(5600 * METRES_PER_FOOT)


def test_two_altitudes_of_one_kind_that_differ_are_not_judged() -> None:
    track = read("altitude_ft,Indicated Altitude", "5600,4600")
    (note,) = (note for note in track.quality if note.code == "altitudes_contradict")
    assert note.not_judged == ("altitudes",)
    assert "altitudes_contradict" not in codes(read("altitude_ft,Indicated Altitude (m)", "5600,1706.9"))


@pytest.mark.parametrize(
    ("header", "row", "columns"),
    [
        ("time,N/S,latitude,E/W,longitude", "{t},N,46.2,W,101.5", None),
        ("time,latitude,N/S,longitude,E/W", "{t},4612.000,N,10130.000,W", None),
        ("time,position", '{t},"46.2, -101.5"', None),
        ("time,lat/lon", "{t},46.2N 101.5W", None),
        ("time,latitude,longitude", "{t},462000000,-1015000000", None),
        ("{t},46.2,-101.5", "{t},46.2,-101.5", {"elapsed_s": "#1", "latitude": "#2", "longitude": "#3"}),
    ],
)
def test_positions_however_written(header: str, row: str, columns: dict[str, str] | None) -> None:
    lines = [header.format(t=0), *(row.format(t=1 + i) for i in range(5))]
    track = read_track_bytes("\n".join(lines).encode(), "a.csv", columns=columns)
    assert track.latitude_deg == pytest.approx(46.2, abs=1e-9)
    assert track.longitude_deg == pytest.approx(-101.5, abs=1e-9)


def test_columns_by_quotes_and_by_number() -> None:
    assert parsed_columns('altitude_ft="__alt,ftmsl",time=#1') == {"altitude_ft": "__alt,ftmsl", "time": "#1"}
    text = b'"_real,_time","__lat,__deg","__lon,__deg","__alt,ftmsl"\n0,46.2,-101.5,5600\n1,46.2005,-101.5,5600\n'
    by_name = {"elapsed_s": "_real,_time", "latitude": "__lat,__deg", "longitude": "#3", "altitude_ft": "__alt,ftmsl"}
    track = read_track_bytes(text, "a.csv", columns=by_name)
    assert track.altitude_kind == "indicated"
    assert track.columns_used == ("_real,_time", "__lat,__deg", "__lon,__deg", "__alt,ftmsl")
    with pytest.raises(TrackFileError, match='no column "#9"'):
        read_track_bytes(text, "a.csv", columns={**by_name, "altitude_ft": "#9"})


def test_what_was_not_used_is_told() -> None:
    (text,) = (note.text for note in read("altitude_ft,OAT", "5600,3").quality if note.code == "columns_not_used")
    assert text == "Columns not used: OAT."
