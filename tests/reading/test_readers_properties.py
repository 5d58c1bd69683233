"""Drawn tracks, layouts and nonsense: the same flight comes back from every layout, and nothing brings a reader down.

READER_EXAMPLES asks for more examples than the quick run has.
"""

import os
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings, strategies as st
from hypothesis.extra import numpy as arrays

from analyzer.errors import TrackFileError
from analyzer.reading.record import RawRecord
from analyzer.reading.repair import checked_track
from analyzer.reading.track_file import read_track_bytes
from analyzer.units.factors import METRES_PER_FOOT, MPS_PER_KMH, MPS_PER_KNOT

QUICK = settings(
    max_examples=int(os.environ.get("READER_EXAMPLES", "25")),
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
ONE_MILLISECOND_S = 1e-3
TENTH_OF_A_METRE_DEG = 1e-6
TENTH_OF_A_METRE_M = 0.1
HUNDREDTH_MPS = 0.01

TIME_STYLES = {
    "time": "%Y-%m-%dT%H:%M:%S.%fZ",
    "Timestamp (UTC)": "%Y-%m-%d %H:%M:%S.%f",
    "UTC": "%Y/%m/%d %H:%M:%S.%f",
    "date time": "%d-%b-%Y %H:%M:%S.%f",
    "date_time": "%d.%m.%Y %H:%M:%S.%f",
    "datetime": "%Y%m%dT%H%M%SZ",
}
ALTITUDES = [
    ("altitude_ft", METRES_PER_FOOT, "indicated"),
    ("Alt (m)", 1.0, "unstated"),
    ("Pressure Altitude [ft]", METRES_PER_FOOT, "pressure"),
    ("GPSAltitudeM", 1.0, "geometric"),
]
SPEEDS = [
    ("GndSpd [kt]", MPS_PER_KNOT),
    ("ground_speed_kmh", MPS_PER_KMH),
    ("GROUNDSPEED (m/s)", 1.0),
    ("sog", MPS_PER_KNOT),
]


@dataclass(frozen=True)
class Flight:
    """A drawn flight: a smooth path, whole-second steps."""

    start: datetime
    time_s: np.ndarray
    latitude_deg: np.ndarray
    longitude_deg: np.ndarray
    altitude_m: np.ndarray
    speed_mps: float


@st.composite
def flights(draw: st.DrawFn) -> Flight:
    count = draw(st.integers(2, 60))
    start = draw(st.datetimes(datetime(2001, 1, 1), datetime(2049, 1, 1))).replace(microsecond=0, tzinfo=UTC)
    steps = np.random.default_rng(draw(st.integers(0, 1000))).integers(1, 4, count - 1)
    time_s = np.concatenate(([0.0], np.cumsum(steps)))
    speed = draw(st.floats(30.0, 120.0))
    course = np.radians(draw(st.floats(0.0, 360.0)))
    latitude0, longitude0 = draw(st.floats(-60.0, 60.0)), draw(st.floats(1.0, 170.0))  # 0, 0 is not a fix
    north = speed * time_s * np.cos(course) / 111_194.9  # metres in a degree on the sphere of the readers' comparison
    east = speed * time_s * np.sin(course) / 111_194.9 / np.cos(np.radians(latitude0))
    altitude = draw(st.floats(0.0, 5000.0)) + draw(st.floats(-5.0, 5.0)) * time_s
    return Flight(start, time_s, latitude0 + north, longitude0 + east, altitude, speed)


def written(flight: Flight, draw: st.DrawFn) -> tuple[bytes, str, float]:
    """Return the flight as a table in a drawn layout, its kind of altitude and its first moment's fraction."""
    time_name = draw(st.sampled_from([*TIME_STYLES, "epoch", "time_ms", "split", "elapsed_s"]))
    altitude_name, altitude_unit, kind = draw(st.sampled_from(ALTITUDES))
    speed_name, speed_unit = draw(st.sampled_from(SPEEDS))
    delimiter = draw(st.sampled_from([",", ";", "\t", "|"]))
    comma = delimiter != "," and draw(st.booleans())

    def number(value: float, digits: int) -> str:
        text = f"{value:.{digits}f}"
        return text.replace(".", ",") if comma else text

    names = ["latitude", "Long.", altitude_name, speed_name, "remark"]
    remarks = draw(st.lists(st.sampled_from(["", "x", "vor", "n/a"]), min_size=1, max_size=3))
    rows = []
    for i, seconds in enumerate(flight.time_s):
        moment = flight.start + timedelta(seconds=float(seconds))
        if time_name == "split":
            cells = [moment.strftime("%Y-%m-%d"), moment.strftime("%H:%M:%S")]
        elif time_name == "epoch":
            cells = [str(int(moment.timestamp()))]
        elif time_name == "time_ms":
            cells = [str(int(moment.timestamp() * 1000))]
        elif time_name == "elapsed_s":
            cells = [number(float(seconds) + 7.0, 1)]
        else:
            cells = [moment.strftime(TIME_STYLES[time_name])]
        cells += [
            number(flight.latitude_deg[i], 7),
            number(flight.longitude_deg[i], 7),
            number(flight.altitude_m[i] / altitude_unit, 2),
            number(flight.speed_mps / speed_unit, 3),
            remarks[i % len(remarks)],
        ]
        rows.append(delimiter.join(cells))
    names = (["Date", "Time of day"] if time_name == "split" else [time_name]) + names
    header = delimiter.join(names)
    header = header.upper() if draw(st.booleans()) else header
    preamble = draw(st.lists(st.sampled_from(["# a recorder", "", "version: 2", "a;b,c"]), max_size=3))
    if draw(st.booleans()) and len(rows) > 2:
        rows.insert(len(rows) // 2, header)
    end = draw(st.sampled_from(["\n", "\r\n"]))
    text = end.join([*preamble, header, *rows]) + draw(st.sampled_from(["", end, end + end]))
    return (
        text.encode(draw(st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "latin-1"]))),
        kind,
        time_name != "elapsed_s",
    )


@given(flights(), st.data())
@QUICK
def test_the_same_flight_comes_back_from_every_layout(flight: Flight, data: st.DataObject) -> None:
    table, kind, dated = written(flight, data.draw)
    track = read_track_bytes(table, "a.csv")
    assert track.time_s == pytest.approx(flight.time_s, abs=ONE_MILLISECOND_S)
    assert track.start == (flight.start if dated else None)
    assert track.latitude_deg == pytest.approx(flight.latitude_deg, abs=TENTH_OF_A_METRE_DEG)
    assert track.longitude_deg == pytest.approx(flight.longitude_deg, abs=TENTH_OF_A_METRE_DEG)
    assert track.altitude_kind == kind
    assert track.altitude_m == pytest.approx(flight.altitude_m, abs=TENTH_OF_A_METRE_M)
    assert track.sensors["groundspeed_mps"] == pytest.approx(flight.speed_mps, abs=HUNDREDTH_MPS)


def check_refusal(error: TrackFileError) -> None:
    """Fail where a refusal is not one line that begins with the file."""
    assert str(error).startswith("a.")
    assert "\n" not in str(error)


wild = st.one_of(
    st.floats(allow_nan=True, allow_infinity=True),
    st.floats(-200.0, 200.0),
    st.integers(0, 20).map(float),
    st.just(0.0),
)


@given(st.integers(0, 30), st.booleans(), st.data())
@QUICK
def test_any_rows_become_a_checked_track_or_a_refusal(count: int, dated: bool, data: st.DataObject) -> None:
    def column() -> np.ndarray:
        return np.array(data.draw(arrays.arrays(np.float64, count, elements=wild, fill=st.floats(-200.0, 200.0))))

    record = RawRecord("a.csv", "a", column() + (1.7e9 if dated else 0.0), dated, column(), column())
    record.add_altitude(column(), "geometric", "ele")
    for sensor in ("groundspeed_mps", "track_true_deg", "heading_magnetic_deg"):
        record.add_sensor(sensor, column(), sensor)
    record.undecided["track_true_deg"] = ("course", column())
    if data.draw(st.booleans()):
        record.part = np.array(data.draw(arrays.arrays(np.int64, count, elements=st.integers(1, 3))))
    try:
        track = checked_track(record)
    except TrackFileError as error:
        check_refusal(error)
        return
    assert len(track) >= 2
    assert np.all(np.diff(track.time_s) > 0)
    assert np.all(np.isfinite(track.latitude_deg) & np.isfinite(track.longitude_deg))
    for values in track.sensors.values():
        assert not np.any(np.isinf(values))


@given(st.one_of(st.binary(max_size=300), st.text(max_size=300).map(lambda text: text.encode("utf-8", "replace"))))
@QUICK
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    try:
        track = read_track_bytes(data, "a.file")
    except TrackFileError as error:
        check_refusal(error)
    else:
        assert len(track) >= 2


cell = st.one_of(
    st.sampled_from(
        ["", "nan", "inf", "46.2", "-101,5", "2024-01-13T09:00:00Z", "09:00", "lat", "1e999", '"', "N46 1.5", "True"]
    ),
    st.integers(-(10**20), 10**20).map(str),
    st.floats().map(str),
    st.text(max_size=8),
)


@given(
    st.lists(st.lists(cell, min_size=3, max_size=6), min_size=1, max_size=12),
    st.sampled_from(["time,lat,lon", "elapsed_s,lat,lon,alt,speed,course", "date,time,lat,lon,utc offset,elapsed_s"]),
    st.sampled_from([",", ";", "\t"]),
)
@QUICK
def test_any_cells_under_a_header_are_read_or_refused(rows: list[list[str]], header: str, delimiter: str) -> None:
    text = "\n".join([header.replace(",", delimiter), *(delimiter.join(row) for row in rows)])
    try:
        track = read_track_bytes(text.encode("utf-8", "replace"), "a.csv")
    except TrackFileError as error:
        check_refusal(error)
    else:
        assert len(track) >= 2


def test_an_offset_of_ten_to_the_304_hours_is_refused_without_a_warning() -> None:
    """Found by drawn cells: an overflow."""
    text = b"date,time,lat,lon,utc offset,elapsed_s\n,,\n,,,,4.993592041284211e+304,\n"
    with pytest.raises(TrackFileError):
        read_track_bytes(text, "a.csv")
