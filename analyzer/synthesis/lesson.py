"""A lesson: several parts flown one after the other, with the way between them, as one recording.

Each part is flown about its own fix; the way from the end of one to the start of the next is flown here, in the same
wind, with turns of 3 degrees a second and a climb or descent at the pilot's rate.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analyzer.given import Frame, Place, Procedure, Track, frame_of
from analyzer.synthesis.flight import fly
from analyzer.synthesis.plan import FlightPlan
from analyzer.synthesis.sensor import Recording, Sensor, position_noise
from analyzer.synthesis.truth_values import AttemptTruth
from analyzer.units import METRES_PER_NM, FloatArray

RATE_RAD_S = float(np.radians(3.0))
#: the way to the next part leads over a place so far before its start, on its first track
BEFORE_M, CLOSE_M, REACHED_M = 2.5 * METRES_PER_NM, 1.0 * METRES_PER_NM, 0.7 * METRES_PER_NM
ASIDE_M = 3.0 * METRES_PER_NM
LONGEST_WAY_S = 3600
TAKE_OFF_ROLL_S, CLIMB_OUT_S = 30, 40


@dataclass(frozen=True)
class LessonPart:
    """One part of a lesson.

    Parameters
    ----------
    procedure : Procedure
    plan : FlightPlan
        Its airspeed and wind are those of all parts.
    final : tuple of (float, float)
        Altitude against the distance flown past the fix, metres, straight lines between, from the one at the fix on; in
        the place of what was flown after the last passage of the fix. Empty: as flown.
    """

    procedure: Procedure
    plan: FlightPlan
    final: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class PartFlown:
    """When a part was flown: from its first passage of the fix to its last one, seconds of the recording.

    `truth` is that of its reversal, in its own seconds; None for a straight-in.
    """

    first_s: float
    last_s: float
    end_s: float
    truth: AttemptTruth | None = None


@dataclass(frozen=True)
class FlownLesson:
    """A lesson as it was recorded, with what is true of its parts; `altitude_m` is free of noise."""

    track: Track
    recording: Recording
    parts: tuple[PartFlown, ...]
    altitude_m: FloatArray


@dataclass
class _Rows:
    """Rows of a recording while it grows, in the plane about the first fix, one a second."""

    east_m: list[float]
    north_m: list[float]
    altitude_m: list[float]

    def add(self, east: FloatArray, north: FloatArray, altitude: FloatArray) -> None:
        self.east_m += east.tolist()
        self.north_m += north.tolist()
        self.altitude_m += altitude.tolist()


def fly_lesson(
    parts: Sequence[LessonPart], seed: int, sensor: Sensor, name: str = "lesson", runway: Place | None = None
) -> FlownLesson:
    """Return a lesson of one recording, a row each second.

    Parameters
    ----------
    parts : sequence of LessonPart
        In the order of time.
    seed : int
    sensor : Sensor
        Its noise of position and altitude, and its altitude's step; it records nothing besides.
    name : str
    runway : Place, optional
        Where the lesson begins with a take-off; without one it begins with the arrival of its first part.
    """
    home = frame_of(parts[0].procedure)
    generator = np.random.default_rng([seed, 3])
    rows, flown = _Rows([], [], []), []
    for number, part in enumerate(parts):
        east, north, altitude, passed, truth = _flown(part, seed + 1000 * number, home)
        if not rows.east_m and runway is not None:
            _take_off(rows, runway, home, part.plan)
        if rows.east_m:
            _way(rows, (east, north, altitude), part.plan)
        begins = len(rows.east_m)
        rows.add(east, north, altitude)
        flown.append(PartFlown(begins + passed[0], begins + passed[1], float(len(rows.east_m) - 1), truth))
    recording = _recorded(rows, home, sensor, generator)
    return FlownLesson(recording.track(name), recording, tuple(flown), np.asarray(rows.altitude_m))


def _flown(
    part: LessonPart, seed: int, home: Frame
) -> tuple[FloatArray, FloatArray, FloatArray, tuple[float, float], AttemptTruth | None]:
    """Fly one part; its places in the plane about the first fix, its first and last passage, and what is true of it."""
    flight = fly(part.procedure, part.plan, seed)
    state, frame = flight.state, frame_of(part.procedure)
    time = np.arange(0.0, float(state.time_s[-1]), 1.0)
    along, cross, altitude = (
        np.interp(time, state.time_s, each) for each in (state.along_m, state.cross_m, state.altitude_m)
    )
    latitude, longitude = frame.latitude_longitude_from_along_cross(along, cross)
    east, north = home.east_north_m(np.asarray(latitude), np.asarray(longitude))
    truth = flight.truth.attempts[-1] if flight.truth.attempts else None
    if truth is not None:
        passages = [one.at_s for one in truth.passages]
    else:
        passages = [float(time[int(np.argmin(np.hypot(along, cross)))])]
    if part.final:
        after = time >= passages[-1]
        corners = ((0.0, float(altitude[after][0])), *part.final)
        altitude[after] = np.interp(-along[after], [at for at, _ in corners], [height for _, height in corners])
    return np.asarray(east), np.asarray(north), altitude, (passages[0], passages[-1]), truth


def _wind_mps(plan: FlightPlan) -> FloatArray:
    towards = np.radians(plan.wind_from_deg_true + 180.0)
    return plan.wind_speed_mps * np.array([np.sin(towards), np.cos(towards)])


def _take_off(rows: _Rows, runway: Place, home: Frame, plan: FlightPlan) -> None:
    """Roll and climb out from a runway, into the direction of the first fix's final, the other way round."""
    place = np.array(home.east_north_m(runway.latitude_deg, runway.longitude_deg), dtype=float).ravel()
    ahead = np.radians(home.inbound_true_deg)
    step = plan.tas_mps * np.array([np.sin(ahead), np.cos(ahead)])
    height = runway.elevation_m or 0.0
    for second in range(5 + TAKE_OFF_ROLL_S + CLIMB_OUT_S):
        share = min(max(second - 5, 0) / TAKE_OFF_ROLL_S, 1.0)
        place = place + share * step
        height += plan.pilot.climb_rate_mps if second >= 5 + TAKE_OFF_ROLL_S else 0.0
        rows.add(place[:1], place[1:], np.array([height]))


def _way(rows: _Rows, towards: tuple[FloatArray, FloatArray, FloatArray], plan: FlightPlan) -> None:
    """Fly from the end of the last piece to the start of the next, over places before it, so that its track fits."""
    east, north, altitude = towards
    wind, speed = _wind_mps(plan), plan.tas_mps
    place, height = np.array([rows.east_m[-1], rows.north_m[-1]]), rows.altitude_m[-1]
    over_ground = place - np.array([rows.east_m[-4], rows.north_m[-4]])
    air = over_ground / 3.0 - wind
    heading = float(np.arctan2(air[0], air[1]))
    first = np.array([east[0], north[0]])
    ahead = np.array([east[15] - east[0], north[15] - north[0]])
    ahead = ahead / np.hypot(*ahead)
    targets = [first - BEFORE_M * ahead, first - CLOSE_M * ahead, first]
    way = targets[0] - place
    if float(way @ ahead) < -0.5 * float(np.hypot(*way)):  # against its direction: downwind and base, as vectored
        aside = np.array([ahead[1], -ahead[0]])
        aside = aside if float((place - first) @ aside) >= 0.0 else -aside
        targets = [first + ASIDE_M * aside, targets[0] + ASIDE_M * aside, *targets]
    climb = plan.pilot.climb_rate_mps
    found: list[tuple[float, float, float]] = []
    while targets and len(found) < LONGEST_WAY_S:
        track = float(np.arctan2(*(targets[0] - place)))
        across = wind[0] * np.cos(track) - wind[1] * np.sin(track)
        wanted = track - float(np.arcsin(np.clip(across / speed, -1.0, 1.0)))
        off = (wanted - heading + np.pi) % (2.0 * np.pi) - np.pi
        heading += float(np.clip(off, -RATE_RAD_S, RATE_RAD_S))
        place = place + speed * np.array([np.sin(heading), np.cos(heading)]) + wind
        height += float(np.clip(altitude[0] - height, -climb, climb))
        if np.hypot(*(targets[0] - place)) < (REACHED_M if len(targets) > 1 else 1.2 * speed):
            targets = targets[1:]
        found.append((float(place[0]), float(place[1]), height))
    rows.add(*(np.array([one[axis] for one in found]) for axis in range(3)))


def _recorded(rows: _Rows, home: Frame, sensor: Sensor, generator: np.random.Generator) -> Recording:
    time = np.arange(len(rows.east_m), dtype=float)
    noise_east, noise_north = (position_noise(time, sensor, generator) for _ in range(2))
    latitude, longitude = home.latitude_longitude_deg(
        np.asarray(rows.east_m) + noise_east, np.asarray(rows.north_m) + noise_north
    )
    altitude = np.asarray(rows.altitude_m) + sensor.altitude_sigma_m * generator.standard_normal(len(time))
    if sensor.altitude_step_m:
        altitude = np.round(altitude / sensor.altitude_step_m) * sensor.altitude_step_m
    return Recording(
        time_s=time,
        latitude_deg=np.round(latitude, sensor.position_decimals),
        longitude_deg=np.round(longitude, sensor.position_decimals),
        altitude_m=altitude,
        altitude_kind=sensor.altitude_kind,
        sensors={},
        first_s=0.0,
        last_s=float(time[-1]),
    )
