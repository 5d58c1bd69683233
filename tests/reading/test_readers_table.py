"""Tables: names of columns, layouts, times, units, and what is refused."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
import readers_material as material

from analyzer.errors import TrackFileError
from analyzer.given.track import Track
from analyzer.reading.table.column_names import column_meaning, is_unit
from analyzer.reading.track_file import read_track_bytes
from analyzer.units.factors import METRES_PER_FOOT, MPS_PER_FPM, MPS_PER_KMH, MPS_PER_KNOT

ONE_MICROSECOND_S = 1e-6
ONE_MILLIMETRE_M = 1e-3
HALF_DIGIT_DEG = 5e-7


def read(text: str | bytes, **columns: str) -> Track:
    data = text if isinstance(text, bytes) else text.encode()
    return read_track_bytes(data, "flight.csv", columns=columns or None)


def refusal(text: str | bytes, **columns: str) -> str:
    with pytest.raises(TrackFileError) as error:
        read(text, **columns)
    assert "\n" not in str(error.value)
    return str(error.value)


def codes(track: Track) -> list[str]:
    return [note.code for note in track.quality]


@pytest.mark.parametrize(
    ("name", "meaning", "factor"),
    [
        ("time", "time", 1.0),
        ("Time Stamp", "time", 1.0),
        ("UTC", "time", 1.0),
        ("DateTime", "time", 1.0),
        ("elapsed_s", "elapsed", 1.0),
        ("Elapsed (ms)", "elapsed", 1e-3),
        ("LAT", "latitude", 1.0),
        ("Latitude (deg)", "latitude", 1.0),
        ("lng", "longitude", 1.0),
        ("Long.", "longitude", 1.0),
        ("altitude_ft", "altitude", METRES_PER_FOOT),
        ("alt", "altitude", METRES_PER_FOOT),
        ("Altitude (m)", "altitude", 1.0),
        ("ALTITUDEM", "altitude", 1.0),
        ("Indicated Altitude [ft]", "altitude_indicated", METRES_PER_FOOT),
        ("pressure_altitude_ft", "altitude_pressure", METRES_PER_FOOT),
        ("Flight Level", "altitude_pressure", 100 * METRES_PER_FOOT),
        ("gps_altitude_ft", "altitude_geometric", METRES_PER_FOOT),
        ("GPS Alt (m)", "altitude_geometric", 1.0),
        ("ele", "altitude_geometric", 1.0),
        ("groundspeed_kt", "groundspeed", MPS_PER_KNOT),
        ("GndSpd [kt]", "groundspeed", MPS_PER_KNOT),
        ("gs", "groundspeed", MPS_PER_KNOT),
        ("SOG", "groundspeed", MPS_PER_KNOT),
        ("Ground Speed (km/h)", "groundspeed", MPS_PER_KMH),
        ("ground-speed m/s", "groundspeed", 1.0),
        ("track_deg", "track", 1.0),
        ("COG", "track", 1.0),
        ("heading_deg", "heading_magnetic", 1.0),
        ("HDG", "heading_magnetic", 1.0),
        ("Heading (true)", "heading_true", 1.0),
        ("true_heading_deg", "heading_true", 1.0),
        ("ias_kt", "ias", MPS_PER_KNOT),
        ("Indicated Airspeed", "ias", MPS_PER_KNOT),
        ("KTAS", "tas", MPS_PER_KNOT),
        ("TAS (m/s)", "tas", 1.0),
        ("bank_deg", "bank", 1.0),
        ("Roll (rad)", "bank", 57.29577951308232),
        ("vertical_speed_fpm", "vertical_speed", MPS_PER_FPM),
        ("VSpd", "vertical_speed", MPS_PER_FPM),
        ("vs (m/s)", "vertical_speed", 1.0),
        ("deflection", "deflection", 1.0),
        ("CDI (%)", "deflection", 0.01),
    ],
)
def test_a_name_says_meaning_and_unit(name: str, meaning: str, factor: float) -> None:
    found = column_meaning(name)
    assert found is not None
    assert (found.meaning, found.factor) == (meaning, factor)


@pytest.mark.parametrize(
    "name",
    [
        *("", "x", "Altitude (furlong)", "Altitude (deg)", "selected altitude"),
        *("wind speed", "target heading", "latitude error", "vertical speed target", "battery", "lateral g"),
    ],
)
def test_other_names_say_nothing(name: str) -> None:
    assert column_meaning(name) is None


def test_units_of_a_units_line() -> None:
    assert all(map(is_unit, ["ft", "[kt]", "deg", "m/s", "yyyy-mm-dd", "hh:mm:ss", "UTC", "(m)"]))
    assert not any(map(is_unit, ["", "46.2", "N", "altitude", "2024-01-13"]))


def test_a_plain_table() -> None:
    track = read(material.table(4))
    assert track.name == "flight.csv"
    assert track.start == material.START
    assert track.time_s.tolist() == [0.0, 1.0, 2.0, 3.0]
    assert track.altitude_m == pytest.approx(np.arange(5000, 5004) * METRES_PER_FOOT, abs=ONE_MILLIMETRE_M)
    assert track.altitude_kind == "unstated"
    assert track.columns_used == ("time", "lat", "lon", "alt_ft")
    assert codes(track) == []


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_delimiters_and_line_ends(delimiter: str, line_end: str) -> None:
    data = material.table(4, delimiter=delimiter).replace(b"\n", line_end.encode())
    assert len(read(data)) == 4


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "latin-1", "cp1252"])
def test_encodings(encoding: str) -> None:
    text = "time,lat,lon,Höhe\n0,46.2,-101.5,1°\n1,46.2005,-101.5,2°\n"
    track = read(text.encode(encoding))
    assert len(track) == 2
    assert ("not_utf8" in codes(track)) == (encoding in ("latin-1", "cp1252"))


def test_decimal_commas_between_semicolons() -> None:
    track = read("elapsed_s;lat;lon;altitude_ft\n0,5;46,2;-101,5;5000,5\n1,5;46,2005;-101,5;5001\n")
    assert track.time_s.tolist() == [0.0, 1.0]
    assert track.latitude_deg.tolist() == [46.2, 46.2005]
    assert track.altitude_m is not None
    assert track.altitude_m[0] == pytest.approx(5000.5 * METRES_PER_FOOT)


def test_quoted_decimal_commas_between_commas() -> None:
    assert read('elapsed_s,lat,lon\n0,"46,2","-101,5"\n1,"46,2005","-101,5"\n').latitude_deg[1] == 46.2005


def test_commas_that_are_both_are_refused() -> None:
    text = "time,lat,lon,alt\n" + "".join(f"{i},46,2{i},-101,5,1500,5\n" for i in range(4))
    assert "both decimal sign and delimiter" in refusal(text)


def test_thousands_in_quotes() -> None:
    track = read('elapsed_s,lat,lon,alt_ft\n0,46.2,-101.5,"5,500"\n1,46.2005,-101.5,"5,501"\n')
    assert track.altitude_m is not None
    assert track.altitude_m[0] == pytest.approx(5500 * METRES_PER_FOOT)


def test_preamble_units_line_and_repeated_header() -> None:
    head = "Date,UTC Time,Latitude,Longitude,Altitude,GndSpd\n"
    text = (
        "# Recorder 7, aircraft INVENTED\nsoftware,1.2,3,4\n\n" + head + "yyyy-mm-dd,hh:mm:ss,deg,deg,m,km/h\n"
        "2024-01-13,09:00:00,46.2,-101.5,1500,200\n2024-01-13,09:00:01,46.2005,-101.5,1501,200\n"
        + head
        + "2024-01-13,09:00:02,46.201,-101.5,1502,200\n"
    )
    track = read(text)
    assert track.start == material.START
    assert track.time_s.tolist() == [0.0, 1.0, 2.0]
    assert track.altitude_m is not None
    assert track.altitude_m.tolist() == [1500.0, 1501.0, 1502.0]
    assert track.sensors["groundspeed_mps"][0] == pytest.approx(200 * MPS_PER_KMH)
    assert codes(track) == ["repeated_headers"]


def test_units_line_above_the_header() -> None:
    track = read("#yyyy-mm-dd,hh:mm:ss,deg,deg,m\nDate,Time,Lat,Lon,Alt\n2024-01-13,09:00:00,46.2,-101.5,1500\n"
                 "2024-01-13,09:00:01,46.2005,-101.5,1501\n")  # fmt: skip
    assert track.altitude_m is not None
    assert track.altitude_m.tolist() == [1500.0, 1501.0]


def test_a_later_header_with_other_columns_is_refused() -> None:
    text = "time,lat,lon\n0,46.2,-101.5\n1,46.2005,-101.5\ntime,lon,lat\n2,-101.5,46.201\n"
    assert 'a later header has "lon" where the first has "lat"' in refusal(text)


def test_a_stray_quote_swallows_nothing() -> None:
    assert len(read('time,lat,lon,remark\n0,46.2,-101.5,"x\n1,46.2005,-101.5,y\n2,46.201,-101.5,z\n')) == 3


def test_rows_of_other_lengths() -> None:
    track = read("elapsed_s,lat,lon,alt_ft\n0,46.2,-101.5\n1,46.2005,-101.5,5000,7,8\n2,46.2\n3,46.2015,-101.5,5000,\n")
    assert track.time_s.tolist() == [0.0, 1.0, 3.0]
    assert "rows_without_position" in codes(track)


def test_a_header_cut_short_without_rows() -> None:
    """Found by mutation: pandas raises IndexError where columns are asked for by place and there are no rows."""
    data = b"time,ice,ice,ice,ice,ice,ice,ice,ice,ice,ice,icao24,lat,lon,velocity,heading,vertrate,c"
    assert "line 1 is followed by no rows" in refusal(data)


def test_a_last_line_cut_short_is_left_out() -> None:
    """A number that the cut left half of would be a place far away."""
    track = read("elapsed_s,lat,lon,alt_ft\n0,46.2,-101.51,5000\n1,46.2005,-101.51,5000\n2,46.201,-101.5")
    assert track.time_s.tolist() == [0.0, 1.0]


@pytest.mark.parametrize(
    ("first", "second", "dated"),
    [
        ("1705136400", "1705136401", True),
        ("1705136400.0", "1705136401.0", True),
        ("1705136400000", "1705136401000", True),
        ("1705136400000000", "1705136401000000", True),
        ("1705136400000000000", "1705136401000000000", True),
        ("1.7051364E9", "1.705136401E9", True),
        ("45304.375", "45304.3750115741", True),
        ("20240113090000", "20240113090001", True),
        ("100", "101", False),
        ("09:00:00", "09:00:01", False),
        ("2024-01-13T10:00:00+01:00", "2024-01-13T10:00:01+01:00", True),
    ],
)
def test_ways_to_write_a_moment(first: str, second: str, dated: bool) -> None:
    track = read(f"time,lat,lon\n{first},46.2,-101.5\n{second},46.2005,-101.5\n")
    assert track.time_s.tolist() == pytest.approx([0.0, 1.0], abs=1e-3)
    assert (track.start is not None) == dated
    if track.start is not None:
        assert abs(track.start - material.START) < timedelta(milliseconds=1)


def test_time_in_milliseconds_by_its_name() -> None:
    assert read("time_ms,lat,lon\n0,46.2,-101.5\n500,46.2005,-101.5\n").time_s.tolist() == [0.0, 0.5]


@pytest.mark.parametrize(
    ("header", "row"),
    [
        ("time,lat,lon", "{clock}"),
        ("date,time,lat,lon", "2024-01-13,{clock}"),
        ("date,time,lat,lon", "{date},{clock}"),
        ("date,time,lat,lon", "{date},{compact}"),
    ],
)
def test_the_clock_wraps_at_midnight(header: str, row: str) -> None:
    """Also where the date column stays behind."""
    moments = [datetime(2024, 1, 13, 23, 59, 58, tzinfo=UTC) + timedelta(seconds=i) for i in range(5)]
    rows = [
        row.format(clock=f"{moment:%H:%M:%S}", date=f"{moment:%Y-%m-%d}", compact=f"{moment:%H%M%S}".lstrip("0") or "0")
        + f",{46.2 + i * 0.0005},-101.5"
        for i, moment in enumerate(moments)
    ]
    track = read("\n".join([header, *rows]) + "\n")
    assert track.time_s.tolist() == [0.0, 1.0, 2.0, 3.0, 4.0]
    assert np.all(np.diff(track.latitude_deg) > 0)


@pytest.mark.parametrize("offset", ["-7", "-07:00", "-7.0"])
def test_local_time_with_an_offset_column(offset: str) -> None:
    text = f"Local Date,Local Time,UTC Offset,lat,lon\n2024-01-13,02:00:00,{offset},46.2,-101.5\n"
    track = read(text + f"2024-01-13,02:00:01,{offset},46.2005,-101.5\n")
    assert track.start == material.START
    assert codes(track) == ["no_altitude"]


def test_local_time_without_an_offset_is_said() -> None:
    track = read("Local Date,Local Time,lat,lon\n2024-01-13,02:00:00,46.2,-101.5\n2024-01-13,02:00:01,46.2005,-101.5\n")
    assert "time_without_zone" in codes(track)


def test_elapsed_steps_refine_times_cut_to_whole_seconds() -> None:
    rows = [f"2024-01-13T09:00:{i // 5:02d}Z,{i / 5 + 100},{46.2 + i * 1e-4:.4f},-101.5" for i in range(20)]
    track = read("\n".join(["time,elapsed_s,lat,lon", *rows]) + "\n")
    assert np.diff(track.time_s) == pytest.approx(0.2, abs=ONE_MICROSECOND_S)
    assert track.start == material.START
    assert "finer_steps" in codes(track)


def test_ambiguous_days_are_asked_for_and_answered() -> None:
    text = "time,lat,lon\n03/04/2024 10:00:00,46.2,-101.5\n03/04/2024 10:00:01,46.2005,-101.5\n"
    assert "date_order=dmy (or mdy)" in refusal(text)
    april, march = read(text, date_order="dmy").start, read(text, date_order="mdy").start
    assert april is not None
    assert march is not None
    assert (april.month, march.month) == (4, 3)
    assert "expected dmy (day first) or mdy (month first)" in refusal(text, date_order="ymd")


@pytest.mark.parametrize(
    ("latitude", "longitude"),
    [
        ("46.2 N", "101.5 W"),
        ("N46.2", "W101.5"),
        ("N46 12.0", "W101 30.0"),
        ("46°12'00\"N", "101°30'00\"W"),
        ("46:12:00 N", "101:30:00 W"),
        ("+46 12 0", "-101 30 0"),
        ("46.2", "258.5"),
    ],
)
def test_ways_to_write_a_position(latitude: str, longitude: str) -> None:
    quoted = latitude.replace('"', '""'), longitude.replace('"', '""')
    rows = "".join(f'{i},"{quoted[0]}","{quoted[1]}"\n' for i in range(2))
    track = read("elapsed_s,lat,lon\n" + rows)
    assert track.latitude_deg == pytest.approx(46.2, abs=HALF_DIGIT_DEG)
    assert track.longitude_deg == pytest.approx(-101.5, abs=HALF_DIGIT_DEG)


def test_columns_option_names_what_can_not_be_guessed() -> None:
    text = "Zeit;Breite;Laenge;Hoehe;alt\n0;46,2;-101,5;1500;9\n1;46,2005;-101,5;1501;9\n"
    assert "columns found: Zeit, Breite, Laenge, Hoehe, alt" in refusal(text)
    assert "--columns latitude=..." in refusal(text)
    track = read(text, time="zeit", latitude="Breite", longitude="LAENGE", altitude_m="Hoehe")
    assert track.altitude_m is not None
    assert track.altitude_m.tolist() == [1500.0, 1501.0]
    assert track.columns_used == ("Zeit", "Breite", "Laenge", "Hoehe")


def test_columns_option_that_names_no_meaning_or_no_column() -> None:
    text = "time,lat,lon\n0,46.2,-101.5\n1,46.2005,-101.5\n"
    assert "did you mean latitude?" in refusal(text, latitud="lat")
    assert 'no column "la"; did you mean "lat"?' in refusal(text, latitude="la")


def test_the_columns_option_wins_over_the_names() -> None:
    text = "time,lat,lon,x,y\n0,1,2,46.2,-101.5\n1,1,2,46.2005,-101.5\n"
    assert read(text, latitude="x", longitude="y").latitude_deg.tolist() == [46.2, 46.2005]


def test_no_column_for_time() -> None:
    assert "no column for time; columns found: lat, lon; name it with --columns time=..." in refusal(
        "lat,lon\n1,2\n1,3\n"
    )


def test_a_time_column_that_can_not_be_read() -> None:
    assert 'column "time": no time can be read, the first is "noon"' in refusal("time,lat,lon\nnoon,1,2\nlater,1,3\n")


def test_swapped_positions_are_refused() -> None:
    assert "look swapped" in refusal("time,lat,lon\n0,-101.5,46.2\n1,-101.5,46.2005\n")


@pytest.mark.parametrize("bad", ["nan", "inf", "-inf", "", "91", "-90.0001", "1e308", "x", "9" * 400])
def test_impossible_latitudes_are_left_out(bad: str) -> None:
    track = read(f"time,lat,lon\n0,46.2,-101.5\n1,{bad},-101.5\n2,46.201,-101.5\n3,46.2015,-101.5\n")
    assert track.time_s.tolist() == [0.0, 2.0, 3.0]
    assert codes(track)[-2] in ("rows_without_position", "impossible_positions")


@pytest.mark.parametrize("bad", ["nan", "inf", "-inf", "", "1e400", "x"])
def test_impossible_times_are_left_out(bad: str) -> None:
    track = read(f"elapsed_s,lat,lon\n0,46.2,-101.5\n{bad},46.2,-101.5\n2,46.201,-101.5\n3,46.2015,-101.5\n")
    assert track.time_s.tolist() == [0.0, 2.0, 3.0]


def test_altitudes_in_order_of_preference() -> None:
    names = ["gps_altitude_ft", "pressure_altitude_ft", "altitude_ft", "indicated_altitude_ft"]
    kinds = ["geometric", "geometric", "indicated", "indicated"]
    used_ft = [1000, 1000, 3000, 4000]
    for last in range(1, 5):
        header = ",".join(["time,lat,lon", *names[:last]])
        rows = [
            f"{i},{46.2 + i * 0.0005},-101.5," + ",".join(str(1000 * n) for n in range(1, last + 1)) for i in range(3)
        ]
        track = read("\n".join([header, *rows]) + "\n")
        assert track.altitude_kind == kinds[last - 1]
        assert track.altitude_m is not None
        assert track.altitude_m[0] == pytest.approx(used_ft[last - 1] * METRES_PER_FOOT)


def test_an_empty_better_altitude_gives_way() -> None:
    text = "time,lat,lon,altitude_ft,gps_altitude_ft\n0,46.2,-101.5,,5000\n1,46.2005,-101.5,,5000\n"
    assert read(text).altitude_kind == "geometric"


def test_altitude_without_a_unit_is_feet_and_said() -> None:
    track = read("elapsed_s,lat,lon,Altitude\n0,46.2,-101.5,5000\n1,46.2005,-101.5,5000\n")
    assert track.altitude_m is not None
    assert track.altitude_m[0] == pytest.approx(5000 * METRES_PER_FOOT)
    assert codes(track) == ["altitude_unit_assumed"]


def sensor_table(header: str, cells: str, count: int = 40) -> str:
    """Return a table of a flight due north at 55.6 m/s with the same sensor cells in each row."""
    rows = [f"{i},{46.2 + i * 0.0005:.4f},-101.5,{cells}" for i in range(count)]
    return "\n".join([f"elapsed_s,lat,lon,{header}", *rows]) + "\n"


@pytest.mark.parametrize(("unit", "value"), [("knots", 108.0), ("metres per second", 55.6), ("km/h", 200.1)])
def test_a_speed_without_a_unit_is_settled_by_the_positions(unit: str, value: float) -> None:
    track = read(sensor_table("speed", str(value)))
    assert track.sensors["groundspeed_mps"][0] == pytest.approx(55.6, abs=0.1)
    assert any(unit in note.text for note in track.quality)


def test_a_speed_that_fits_no_unit_is_not_used() -> None:
    track = read(sensor_table("speed", "77"))
    assert track.sensors == {}
    assert "speed_not_used" in codes(track)


def test_a_ground_speed_that_contradicts_the_positions_is_not_used() -> None:
    track = read(sensor_table("groundspeed_kt", "70"))
    assert track.sensors == {}
    assert "groundspeed_not_used" in codes(track)
    assert "groundspeed_kt" not in track.columns_used


def test_a_ground_speed_of_another_unit_than_its_name_says_is_read_in_it() -> None:
    track = read(sensor_table("groundspeed_kt", "55.6"))
    assert track.sensors["groundspeed_mps"][0] == pytest.approx(55.6)
    assert "groundspeed_unit" in codes(track)


def test_a_course_column_is_used_only_as_far_as_it_is_the_track() -> None:
    assert read(sensor_table("course", "359.5")).sensors["track_true_deg"][0] == 359.5
    selected = read(sensor_table("course", "118"))
    assert selected.sensors == {}
    assert "course_not_used" in codes(selected)
    assert read(sensor_table("track_deg", "45")).sensors == {}


def test_all_sensors() -> None:
    header = (
        "groundspeed_kt,track_deg,heading_deg,true_heading_deg,ias_kt,tas_kt,bank_deg,vertical_speed_fpm,deflection"
    )
    track = read(sensor_table(header, "108,0,353,360,90,100,-5,-500,-0.25"))
    first = {name: float(values[0]) for name, values in track.sensors.items()}
    assert first == pytest.approx(
        {
            "groundspeed_mps": 108 * MPS_PER_KNOT,
            "track_true_deg": 0.0,
            "heading_magnetic_deg": 353.0,
            "heading_true_deg": 0.0,
            "ias_mps": 90 * MPS_PER_KNOT,
            "tas_mps": 100 * MPS_PER_KNOT,
            "bank_deg": -5.0,
            "vertical_speed_mps": -500 * MPS_PER_FPM,
            "deflection": -0.25,
        }
    )


def test_a_deflection_beyond_full_scale_is_something_else() -> None:
    track = read(sensor_table("deflection", "25"))
    assert track.sensors == {}
    assert "deflection_not_used" in codes(track)


@pytest.mark.parametrize("count", [499, 500, 501, 999, 1000, 1001])
def test_columns_of_text_at_the_size_of_a_sample(count: int) -> None:
    """Looking at a sample must end whatever the number of rows; a sample of 501 rows once did not."""
    rows = "".join(f"{material.stamp(i)},{46.2 + i * 0.0005:.4f},-101.5,x\n" for i in range(count))
    assert len(read("time,lat,lon,altitude_ft\n" + rows)) == count


def test_unknown_columns_are_ignored() -> None:
    track = read("elapsed_s,lat,lon,engine,lat2\n0,46.2,-101.5,1,2\n1,46.2005,-101.5,1,2\n")
    assert track.columns_used == ("elapsed_s", "lat", "lon")


def test_the_first_of_equal_names_counts() -> None:
    assert read("time,lat,lon,lat\n0,46.2,-101.5,1\n1,46.2005,-101.5,1\n").latitude_deg[0] == 46.2
