"""Flights whose every moment is known, recorded at each interval and with each kind of columns."""

from dataclasses import dataclass

import numpy as np

from analyzer.flown import Motion, read_flight
from analyzer.flown.motion.motion import estimate_motion
from analyzer.given import frame_of
from analyzer.planned import Plan
from analyzer.synthesis import HUMAN, Flight as Flown, FlightPlan, Sensor, fly
from analyzer.units import METRES_PER_NM as NM, MPS_PER_KNOT as KNOT, FloatArray
from tests.doubt_flights import METHODS, procedure

INTERVALS_S = (0.2, 0.5, 1.0, 2.0, 3.0, 5.0, 10.0)
COLUMNS: dict[str, tuple[str, ...]] = {
    "positions": (),
    "ground speed": ("groundspeed_mps", "track_true_deg"),
    "airspeed": ("tas_mps",),
    "air": ("tas_mps", "heading_true_deg"),
    "all": ("groundspeed_mps", "track_true_deg", "tas_mps", "heading_true_deg"),
}
AWAY_FROM_END_S = 15.0


@dataclass(frozen=True)
class Doubts:
    """Errors of one flight over their stated sigmas, by what is read."""

    ratios: dict[str, FloatArray]


def flown(seed: int, interval_s: float, columns: str) -> Flown:
    """A human pilot in a wind, recorded with white noise; the seed draws all but the interval and the columns.

    Positions do not wander as a whole here: what satellite positions wander by together shows in no single flight, and
    is allowed for where distances are judged.
    """
    draw = np.random.default_rng([seed, 41])
    method = METHODS[seed % len(METHODS)]
    plan = FlightPlan(
        method="teardrop" if method == "charted teardrop" else method, tas_mps=float(draw.uniform(75.0, 150.0)) * KNOT,
        wind_from_deg_true=float(draw.uniform(0.0, 360.0)), wind_speed_mps=float(draw.uniform(0.0, 30.0)) * KNOT,
        laps=2 if method == "hold" else 1, arrival_m=4 * NM, final_m=2.5 * NM, pilot=HUMAN,
    )  # fmt: skip
    sensor = Sensor(
        interval_s=interval_s, white_m=float(draw.uniform(0.5, 8.0)), columns=COLUMNS[columns],
        speed_sigma_mps=float(draw.uniform(0.3, 1.0)), angle_sigma_deg=float(draw.uniform(0.5, 2.0)),
    )  # fmt: skip
    return fly(procedure(method, bool(draw.random() < 0.5)), plan, seed=seed, sensor=sensor)


def motion_ratios(one: Flown, motion: Motion | None = None) -> dict[str, FloatArray]:
    """Errors of position, speed, track and turn rate over their stated sigmas, away from the ends and from gaps."""
    if motion is None:
        motion, _ = estimate_motion(one.track, frame_of(one.procedure))
    state, time = one.state, motion.time_s
    sure = ~motion.in_gap & (time > AWAY_FROM_END_S) & (time < time[-1] - AWAY_FROM_END_S)
    at = time[sure] + one.recording.first_s

    def off(name: str) -> FloatArray:
        return np.asarray(getattr(motion, name)[sure] - np.interp(at, state.time_s, getattr(state, name)))

    angle = np.unwrap(np.arctan2(state.cross_mps, -state.along_mps))
    was_track = np.interp(at, state.time_s, angle)
    was_rate = np.degrees(np.interp(at, state.time_s, np.gradient(angle, state.time_s)))
    track = np.degrees(np.angle(np.exp(1j * (np.radians(motion.track_relative_deg[sure]) - was_track))))
    place, speed = (np.tile(sigma[sure], 2) for sigma in (motion.position_sigma_m, motion.speed_sigma_mps))
    return {
        "position": np.concatenate([off("along_m"), off("cross_m")]) / place,
        "speed": np.concatenate([off("along_mps"), off("cross_mps")]) / speed,
        "track": track / motion.track_sigma_deg[sure],
        "turn rate": (motion.turn_rate_deg_s[sure] - was_rate) / motion.turn_rate_sigma_deg_s[sure],
    }


def doubts(seed: int, interval_s: float, columns: str) -> Doubts:
    """Fly, record and read one flight, and compare."""
    one = flown(seed, interval_s, columns)
    flight = read_flight(one.track, Plan(one.procedure, frame_of(one.procedure)))
    ratios = motion_ratios(one, flight.motion) | {"wind": np.array([]), "airspeed": np.array([])}
    wind = flight.wind
    if wind is not None and wind.covariance is not None:
        ee, en, _, nn, _, tt = wind.covariance
        blows = np.radians(one.truth.wind_from_deg_true + 180.0)
        was = one.truth.wind_speed_mps * np.array([np.sin(blows), np.cos(blows)])
        miss = np.array([wind.east_mps, wind.north_mps]) - was
        ratios["wind"] = np.linalg.solve(np.linalg.cholesky([[ee, en], [en, nn]]), miss)
        if wind.tas_mps is not None:
            ratios["airspeed"] = np.array([(wind.tas_mps - one.truth.tas_mps) / np.sqrt(tt)])
    return Doubts(ratios)
