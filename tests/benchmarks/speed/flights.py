"""The flights that the speed is measured on, written as GPX: noisy, in an invented place."""

from dataclasses import replace
from pathlib import Path

import numpy as np

from analyzer.reading.procedure_file.read import read_procedure
from analyzer.run.demo.scenario import DEMO_FLIGHTS, procedure_text
from analyzer.synthesis import fly
from analyzer.synthesis.sensor import Recording, Sensor
from analyzer.synthesis.write import write_recording

RECEIVER = Sensor(interval_s=1.0, white_m=0.8, wander_m=2.5, altitude_kind="geometric", altitude_sigma_m=1.5)
BETWEEN_LEGS_S = 900.0  # straight flight between two turns on the way
METRES_PER_DEGREE = 111_195.0


def write_procedure(folder: Path) -> Path:
    """Write the procedure of the demo's 45/180; returns where."""
    path = folder / "procedure.toml"
    path.write_text(procedure_text(DEMO_FLIGHTS[0].procedure), encoding="utf-8")
    return path


def write_lessons(folder: Path, procedure: Path, count: int) -> list[Path]:
    """Write small flights of one reversal each, all different."""
    loaded = read_procedure(procedure)
    tracks = []
    for seed in range(count):
        track = folder / f"lesson_{seed:05d}.gpx"
        write_recording(fly(loaded, replace(DEMO_FLIGHTS[0].plan, ending="level"), seed, RECEIVER), track)
        tracks.append(track)
    return tracks


def write_flight(path: Path, procedure: Path, points: int, interval_s: float = 1.0) -> Path:
    """Write one flight of so many points: a way there that turns every quarter of an hour, then a reversal.

    Parameters
    ----------
    path : Path
        Ends in .gpx.
    procedure : Path
    points : int
    interval_s : float
        Between two points.
    """
    loaded = read_procedure(procedure)
    plan = replace(DEMO_FLIGHTS[0].plan, ending="level")
    flight = fly(loaded, plan, 3, replace(RECEIVER, interval_s=interval_s))
    recording = _last(flight.recording, points)
    missing = points - len(recording.time_s)
    if missing > 0:
        recording = _with_a_way_there(recording, missing, interval_s, plan.tas_mps)
    write_recording(replace(flight, recording=recording), path)
    return path


def _last(recording: Recording, points: int) -> Recording:
    rows = slice(max(0, len(recording.time_s) - points), None)
    assert recording.altitude_m is not None
    return replace(
        recording,
        time_s=recording.time_s[rows] - recording.time_s[rows][0],
        latitude_deg=recording.latitude_deg[rows],
        longitude_deg=recording.longitude_deg[rows],
        altitude_m=recording.altitude_m[rows],
    )


def _with_a_way_there(recording: Recording, points: int, step_s: float, speed_mps: float) -> Recording:
    """Put straight legs with turns between them before a recording, built backwards from its first position."""
    generator = np.random.default_rng(points)
    ahead = [0, min(len(recording.time_s) - 1, round(5.0 / step_s))]  # far enough that noise doesn't turn the way
    east = np.deg2rad(recording.longitude_deg[ahead]) * np.cos(np.deg2rad(recording.latitude_deg[0]))
    north = np.deg2rad(recording.latitude_deg[ahead])
    turn_rate = np.zeros(points)
    sign = 1.0
    for start in range(int(BETWEEN_LEGS_S / step_s), points, int(BETWEEN_LEGS_S / step_s)):
        lasts = int(
            generator.uniform(30.0, 80.0) / step_s
        )  # at standard rate; back and forth, so that the way stays about
        turn_rate[start : start + lasts] = 3.0 * sign
        sign = -sign
    heading = np.arctan2(east[1] - east[0], north[1] - north[0]) + np.deg2rad(np.cumsum(turn_rate) * step_s)
    back_north = -np.cumsum(np.cos(heading)) * step_s * speed_mps / METRES_PER_DEGREE
    back_east = -np.cumsum(np.sin(heading)) * step_s * speed_mps / METRES_PER_DEGREE
    wobble = generator.normal(0.0, RECEIVER.white_m / METRES_PER_DEGREE, (2, points))
    latitude = (recording.latitude_deg[0] + back_north + wobble[0])[::-1]
    longitude = recording.longitude_deg[0] + (back_east + wobble[1])[::-1] / np.cos(np.deg2rad(46.0))
    assert recording.altitude_m is not None
    altitude = recording.altitude_m[0] + generator.normal(0.0, 2.0, points)
    return replace(
        recording,
        time_s=np.concatenate([np.arange(points), np.arange(points, points + len(recording.time_s))]) * step_s,
        latitude_deg=np.concatenate([latitude, recording.latitude_deg]),
        longitude_deg=np.concatenate([longitude, recording.longitude_deg]),
        altitude_m=np.concatenate([altitude, recording.altitude_m]),
    )
