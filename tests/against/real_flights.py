"""Windows of real flights from an open archive of ADS-B samples, read at run time; none is kept in the project.

Source: the wheel of the PyPI package `traffic`, version 2.13 (MIT licence), holds recordings of aircraft broadcasts.
Only the windows named in WINDOWS are read, straight from the wheel; the package is not imported. The wheel is
named in the environment variable REVERSAL_DEBRIEF_REAL_FLIGHTS, or, where REVERSAL_DEBRIEF_DOWNLOADS=1 is set,
downloaded with pip once (28 MB) and kept beside other temporary files; otherwise the tests are skipped with the reason.

What has to be known of these recordings:
- rows come every 5 s (one file: every second) and are partly drawn straight between received positions;
- positions are up to 3 s late or early, so that the speed between two rows is off by 60 kt;
- altitudes are pressure altitudes;
- in the calibration flights the column `track` is wrapped to a signed byte, and was interpolated after that: 256 is
  added back where the positions ask for it, and a value that fits the way of the positions in neither form is left out;
- a few of their ground speeds are 256 kt too high; none within these windows.
"""

import csv
import gzip
import hashlib
import json
import os
import subprocess
import sys
import tempfile
import zipfile
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from pyproj import Geod

PACKAGE = "traffic==2.13"
WHEEL = "traffic-2.13-py3-none-any.whl"
WHEEL_SHA256 = "5e0cd61d931d03103294361542188f08f959a55e862d5cba80ab61291021e66c"
SAMPLES = "traffic/data/samples/"
DOWNLOAD_LIMIT_S = 50.0
WRONG_WAY_DEG = 30.0  # of a wrapped and interpolated track against the way of the positions


@dataclass(frozen=True)
class Window:
    """Part of a recording: its file in the wheel, first and last moment in UTC."""

    file: str
    first: str
    last: str
    wrapped: bool = True


WINDOWS = {
    "hold": Window("featured/belevingsvlucht", "2018-05-30T15:40:00", "2018-05-30T15:56:00", wrapped=False),
    "racetracks": Window("calibration/kingston", "2018-06-26T18:16:00", "2018-06-26T18:32:00"),
    "80/260": Window("calibration/monastir", "2018-11-21T12:20:00", "2018-11-21T12:25:25"),
    "base turn": Window("calibration/guatemala", "2018-03-26T17:00:00", "2018-03-26T17:08:40"),
    "no reversal": Window("calibration/munich", "2019-03-05T00:36:00", "2019-03-05T00:46:00"),
}

# Courses, sides and fixes below are readings of the plotted tracks, not clearances or charts; they are given as
# degrees true (variation 0), and limits that the tracks can't show are left at their defaults.
PROCEDURES = {
    # apparent fix where both inbound legs end in a right turn; level at 9,000 ft pressure altitude
    "hold": """
        title = "Hold, read from the track"
        reversal = "holding"
        fix = { ident = "RLA", latitude = 52.1915, longitude = 6.3185 }
        course = { inbound_deg = 323, variation_deg = 0, turn_side = "right" }
        guidance = { kind = "RNAV" }
        limits = { outbound_min = 1.0 }
        altitudes_ft = { reversal = { at = 9000 } }
        protection = { criteria = "ICAO", category = "D" }
        """,
    # the fix is not known: a point between the way out and the way back, which both pass within 0.2 NM
    "80/260": """
        title = "80/260, read from the track"
        reversal = "procedure turn"
        fix = { ident = "RLB", latitude = 35.7403, longitude = 10.598 }
        course = { inbound_deg = 81, variation_deg = 0, turn_side = "right" }
        guidance = { kind = "RNAV" }
        protection = { criteria = "ICAO", category = "C" }
        """,
    # over a station
    "base turn": """
        title = "Base turn, read from the track"
        reversal = "teardrop"
        fix = { ident = "RLC", latitude = 15.00864, longitude = -90.47034 }
        course = { inbound_deg = 69, outbound_deg = 288, variation_deg = 0 }
        guidance = { kind = "VOR" }
        protection = { criteria = "ICAO", category = "C" }
        """,
    # the fix is not known: a point on the leg that all laps share, before the turn that starts at one place
    "racetracks": """
        title = "Racetracks, read from the track"
        reversal = "procedure turn"
        fix = { ident = "RLD", latitude = 18.1120, longitude = -76.8600 }
        course = { inbound_deg = 121, variation_deg = 0, turn_side = "left" }
        guidance = { kind = "RNAV" }
        protection = { criteria = "ICAO", category = "B" }
        """,
    # a point on the straight way in, ten miles from a runway
    "no reversal": """
        title = "Straight in, read from the track"
        reversal = "procedure turn"
        fix = { ident = "RLE", latitude = 48.3557, longitude = 11.67 }
        course = { inbound_deg = 83, variation_deg = 0, turn_side = "right" }
        guidance = { kind = "RNAV" }
        protection = { criteria = "ICAO", category = "C" }
        """,
}


def procedure_file(folder: Path, name: str, *changes: tuple[str, str]) -> Path:
    """Write a procedure file, with parts of its text changed."""
    text = "\n".join(line.strip() for line in PROCEDURES[name].strip().splitlines()) + "\n"
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path = folder / "procedure.toml"
    path.write_text(text, encoding="utf-8")
    return path


def track_file(folder: Path, name: str, *, velocities: bool = True) -> Path:
    """Write a window as a track file, with or without its ground speed and track."""
    rows = window_rows(name)
    path = folder / ("flight.csv" if velocities else "positions.csv")
    names = ["time", "latitude", "longitude", "pressure_altitude_ft"]
    names += ["groundspeed_kt", "track_deg"] if velocities else []
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(names)
        writer.writerows([row[: len(names)] for row in rows])
    return path


@cache
def window_rows(name: str) -> tuple[tuple[str, ...], ...]:
    """Rows of a window: time, latitude, longitude, pressure altitude (ft), ground speed (kt), track (deg or "")."""
    window = WINDOWS[name]
    with zipfile.ZipFile(wheel()) as archive:
        samples = json.loads(gzip.decompress(archive.read(f"{SAMPLES}{window.file}.json.gz")))
    first, last = (datetime.fromisoformat(text).replace(tzinfo=UTC).timestamp() for text in (window.first, window.last))
    of_window = {
        sample["timestamp"] / 1000.0: sample for sample in samples if first <= sample["timestamp"] / 1000.0 <= last
    }
    ordered = [of_window[moment] for moment in sorted(of_window)]
    tracks = _unwrapped(ordered) if window.wrapped else [float(sample["track"]) for sample in ordered]
    return tuple(
        (
            datetime.fromtimestamp(sample["timestamp"] / 1000.0, UTC).strftime("%Y-%m-%dT%H:%M:%SZ"),
            f"{sample['latitude']:.8f}",
            f"{sample['longitude']:.8f}",
            f"{sample['altitude']:.0f}",
            f"{sample['groundspeed']:.0f}",
            "" if track is None else f"{track:.0f}",
        )
        for sample, track in zip(ordered, tracks, strict=True)
    )


def _unwrapped(samples: list[dict[str, float]]) -> list[float | None]:
    """Tracks of a signed byte as degrees from 0 to 360: which of two it is the way of the positions says."""
    latitude = np.array([sample["latitude"] for sample in samples])
    longitude = np.array([sample["longitude"] for sample in samples])
    count = len(samples)
    before, after = np.maximum(np.arange(count) - 1, 0), np.minimum(np.arange(count) + 1, count - 1)
    way, _, _ = Geod(ellps="WGS84").inv(longitude[before], latitude[before], longitude[after], latitude[after])
    found: list[float | None] = []
    for sample, bearing in zip(samples, way, strict=True):
        byte = sample["track"] % 256.0
        possible = [value for value in (byte, byte + 256.0) if value < 360.0]
        off = [abs((value - bearing + 180.0) % 360.0 - 180.0) for value in possible]
        best = int(np.argmin(off))
        found.append(possible[best] if off[best] <= WRONG_WAY_DEG else None)
    return found


#: nothing is fetched unless this variable of the environment is set; `.ci/run` sets it
DOWNLOADS = "REVERSAL_DEBRIEF_DOWNLOADS"
NOT_ASKED = f"{DOWNLOADS}=1 fetches them"


def wheel() -> Path:
    """Return the wheel; skip the test with the reason where it can't be had."""
    path, reason = _found()
    if reason:
        pytest.skip(f"recordings of real flights can't be had: {path.name}: {reason}")
    return path


@cache  # a download that failed is not tried again with every test
def _found() -> tuple[Path, str]:
    named = os.environ.get("REVERSAL_DEBRIEF_REAL_FLIGHTS")
    path = Path(named) if named else Path(tempfile.gettempdir()) / "reversal_debrief_real_flights" / WHEEL
    if not path.is_file():
        reason = "no such file" if named else _download(path) if os.environ.get(DOWNLOADS) else NOT_ASKED
        if reason:
            return path, reason
    known = hashlib.sha256(path.read_bytes()).hexdigest() == WHEEL_SHA256
    return path, "" if known else "another file than the one these tests know"


def _download(path: Path) -> str:
    """Put the wheel in its place in one step, as several processes may do so; returns why it failed."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=path.parent) as folder:
        command = [sys.executable, "-m", "pip", "download", PACKAGE, "--no-deps", "--only-binary", ":all:"]
        command += ["--quiet", "--disable-pip-version-check", "--retries", "1", "--timeout", "15", "--dest", folder]
        try:
            ended = subprocess.run(command, capture_output=True, text=True, timeout=DOWNLOAD_LIMIT_S, check=False)
        except (OSError, subprocess.TimeoutExpired) as error:
            return f"pip download {PACKAGE}: {type(error).__name__}"
        if ended.returncode != 0:
            said = ended.stderr.strip().splitlines()
            return f"pip download {PACKAGE}: {said[-1] if said else 'failed'}"
        Path(folder, WHEEL).replace(path)
    return ""
