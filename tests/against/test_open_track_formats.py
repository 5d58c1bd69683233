"""IGC and NMEA 0183 against libraries that other people wrote: aerofiles and pynmea2, both MIT licensed, from PyPI.

They write or read the same flights; skipped where they are not installed (`pip install aerofiles pynmea2`). Compared
last with aerofiles 1.5.6 and pynmea2 1.19.0.
"""

import io
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import numpy as np
import pytest

from analyzer.reading.track_file import read_track_bytes
from analyzer.units.factors import MPS_PER_KMH, MPS_PER_KNOT

START = datetime(2024, 1, 13, 23, 59, 50, tzinfo=UTC)  # the clock passes midnight
COUNT = 40
HALF_A_MILLIMINUTE_DEG = 0.5 / 60_000.0
HALF_A_TENTHOUSANDTH_MINUTE_DEG = 0.5 / 600_000.0
PLACES = [(46.2, -101.5), (-33.4, 151.2), (-12.9, -3.05), (52.123456, 6.98765)]


@pytest.mark.parametrize(("latitude", "longitude"), PLACES)
def test_igc_written_by_another_library(latitude: float, longitude: float) -> None:
    igc: Any = pytest.importorskip("aerofiles.igc", reason="aerofiles is not installed")
    stream = io.BytesIO()
    writer = igc.Writer(stream)
    writer.write_headers(
        {
            "manufacturer_code": "XXX",
            "logger_id": "TBX",
            "date": date(2024, 1, 13),
            "logger_type": "test",
            "gps_receiver": "test",
        }
    )
    writer.write_fix_extensions([("FXA", 3), ("TAS", 3), ("TRT", 3)])
    for i in range(COUNT):
        moment = START + timedelta(seconds=i)
        writer.write_fix(
            moment.time(),
            latitude=latitude + i * 5e-4,
            longitude=longitude,
            valid=True,
            pressure_alt=1500 + i,
            gps_alt=1530 + i,
            extensions=["030", f"{200 + i:03d}", "000"],
        )
    track = read_track_bytes(stream.getvalue(), "written.igc")
    assert track.start == START
    np.testing.assert_array_equal(track.time_s, np.arange(COUNT))
    assert track.latitude_deg == pytest.approx(latitude + np.arange(COUNT) * 5e-4, abs=1.01 * HALF_A_MILLIMINUTE_DEG)
    assert track.longitude_deg == pytest.approx(longitude, abs=1.01 * HALF_A_MILLIMINUTE_DEG)
    assert track.altitude_m is not None
    # no setting is known: the satellite height is nearer to the altimeter than a pressure altitude without one
    assert track.altitude_m.tolist() == [1530.0 + i for i in range(COUNT)]
    assert track.altitude_kind == "geometric"
    assert track.sensors["tas_mps"] == pytest.approx((200 + np.arange(COUNT)) * MPS_PER_KMH)
    assert track.sensors["track_true_deg"].tolist() == [0.0] * COUNT


@pytest.mark.parametrize(("latitude", "longitude"), PLACES)
def test_nmea_written_by_another_library(latitude: float, longitude: float) -> None:
    pynmea2: Any = pytest.importorskip("pynmea2", reason="pynmea2 is not installed")
    lines = []
    for i in range(COUNT):
        moment = START + timedelta(seconds=i)
        here = latitude + i * 5e-4
        north, east = _degrees_minutes(here, 2), _degrees_minutes(longitude, 3)
        letters = ("N" if here >= 0 else "S", "E" if longitude >= 0 else "W")
        clock = moment.strftime("%H%M%S.00")
        gga = (clock, north, letters[0], east, letters[1], "1", "08", "0.9", f"{1500 + i}.5", "M", "-20.0", "M", "", "")
        rmc = (clock, "A", north, letters[0], east, letters[1], "108.0", "0.0", moment.strftime("%d%m%y"), "", "")
        lines += [str(pynmea2.GGA("GN", "GGA", gga)), str(pynmea2.RMC("GN", "RMC", rmc))]
    parsed = [pynmea2.parse(line, check=True) for line in lines]
    track = read_track_bytes(("\r\n".join(lines) + "\r\n").encode(), "written.log")
    fixes = parsed[1::2]
    assert track.start == datetime.combine(fixes[0].datestamp, time(), UTC) + timedelta(
        hours=fixes[0].timestamp.hour, minutes=fixes[0].timestamp.minute, seconds=fixes[0].timestamp.second
    )
    np.testing.assert_array_equal(track.time_s, np.arange(COUNT))
    assert track.latitude_deg == pytest.approx([fix.latitude for fix in fixes], abs=1e-9)
    assert track.longitude_deg == pytest.approx([fix.longitude for fix in fixes], abs=1e-9)
    assert track.latitude_deg == pytest.approx(
        latitude + np.arange(COUNT) * 5e-4, abs=1.01 * HALF_A_TENTHOUSANDTH_MINUTE_DEG
    )
    assert track.altitude_m is not None
    assert track.altitude_m.tolist() == [sentence.altitude for sentence in parsed[::2]]
    assert track.sensors["groundspeed_mps"] == pytest.approx([fix.spd_over_grnd * MPS_PER_KNOT for fix in fixes])


def _degrees_minutes(angle: float, digits: int) -> str:
    degrees, minutes = divmod(round(abs(angle) * 600_000.0) / 10_000.0, 60.0)
    return f"{int(degrees):0{digits}d}{minutes:07.4f}"
