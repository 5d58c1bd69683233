"""Writes a recording as a track file: GPX 1.1 or CSV, by the suffix, whole or not at all."""

from datetime import timedelta
from pathlib import Path
from xml.sax.saxutils import escape

import numpy as np

from analyzer.errors import OptionError
from analyzer.files import write_whole
from analyzer.synthesis.flight import Flight
from analyzer.synthesis.lesson import FlownLesson
from analyzer.synthesis.sensor import FLIGHT_DAY, Recording
from analyzer.units import METRES_PER_FOOT, MPS_PER_FPM, MPS_PER_KNOT

SUFFIXES = (".gpx", ".csv")

_ALTITUDE_COLUMNS = {"indicated": "altitude_ft", "pressure": "pressure_altitude_ft", "geometric": "gps_altitude_ft"}
#: column of the file, its unit in SI, decimals
_SENSOR_COLUMNS = {
    "groundspeed_mps": ("groundspeed_kt", MPS_PER_KNOT, 1),
    "track_true_deg": ("track_deg", 1.0, 1),
    "heading_magnetic_deg": ("heading_deg", 1.0, 1),
    "heading_true_deg": ("true_heading_deg", 1.0, 1),
    "ias_mps": ("ias_kt", MPS_PER_KNOT, 1),
    "tas_mps": ("tas_kt", MPS_PER_KNOT, 1),
    "bank_deg": ("bank_deg", 1.0, 1),
    "vertical_speed_mps": ("vertical_speed_fpm", MPS_PER_FPM, 0),
    "deflection": ("deflection", 1.0, 3),
}


def write_recording(flight: Flight | FlownLesson, path: Path) -> None:
    """Write the raw rows of a flight's recording, with repeated and missing times as they are.

    Parameters
    ----------
    flight : Flight or FlownLesson
    path : Path
        Ends in .gpx or .csv. GPX elevations are geometric heights; it holds no columns besides.

    Raises
    ------
    OptionError
        For another suffix.
    OutputError
        Where the file can't be written; nothing is left behind then.
    """
    suffix = path.suffix.lower()
    if suffix not in SUFFIXES:
        raise OptionError(f"{path}: a track is written as {' or '.join(SUFFIXES)}; the name's ending says which")
    recording = flight.recording
    text = _gpx(recording, flight.track.name) if suffix == ".gpx" else _csv(recording)
    write_whole(path, text)


def _stamp(time_s: float) -> str:
    """Moment of a row, ISO 8601 in UTC; empty for a row without time."""
    if not np.isfinite(time_s):
        return ""
    moment = FLIGHT_DAY + timedelta(milliseconds=round(time_s * 1000.0))
    text = moment.strftime("%Y-%m-%dT%H:%M:%S")
    milliseconds = moment.microsecond // 1000
    return f"{text}.{milliseconds:03d}Z" if milliseconds else f"{text}Z"


def _csv(recording: Recording) -> str:
    names = ["time", "latitude", "longitude"]
    altitude = recording.altitude_m
    if altitude is not None and recording.altitude_kind is not None:
        names.append(_ALTITUDE_COLUMNS[recording.altitude_kind])
    shown = []
    for key, values in recording.sensors.items():
        name, unit, decimals = _SENSOR_COLUMNS[key]
        names.append(name)
        shown.append((values / unit, decimals))
    lines = [",".join(names)]
    for row, time_s in enumerate(recording.time_s.tolist()):
        cells = [_stamp(time_s), f"{recording.latitude_deg[row]:.8f}", f"{recording.longitude_deg[row]:.8f}"]
        if altitude is not None:
            cells.append(_number(altitude[row] / METRES_PER_FOOT, 1))
        cells += [_number(values[row], decimals) for values, decimals in shown]
        lines.append(",".join(cells))
    return "\n".join(lines) + "\n"


def _number(value: float, decimals: int) -> str:
    return f"{value:.{decimals}f}" if np.isfinite(value) else ""


def _gpx(recording: Recording, name: str) -> str:
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        '<gpx version="1.1" creator="Reversal Debrief, synthesized" xmlns="http://www.topografix.com/GPX/1/1">',
        f"<trk><name>{escape(name)}</name><trkseg>",
    ]
    altitude = recording.altitude_m
    for row, time_s in enumerate(recording.time_s.tolist()):
        inside = ""
        if altitude is not None and np.isfinite(altitude[row]):
            inside = f"<ele>{altitude[row]:.2f}</ele>"
        stamp = _stamp(time_s)
        if stamp:
            inside += f"<time>{stamp}</time>"
        lines.append(
            f'<trkpt lat="{recording.latitude_deg[row]:.8f}" lon="{recording.longitude_deg[row]:.8f}">{inside}</trkpt>'
        )
    lines.append("</trkseg></trk></gpx>")
    return "\n".join(lines) + "\n"
