"""Thirty-two seeded flights, and how the errors of what was read from them compare with the stated sigmas.

Procedures, winds, airspeeds, recorders and pilots are drawn; the seeds are never chosen by their outcome. What is
compared is an error over its own 1 sigma: honest doubts make it about one, root mean square. What a single recording
can't show of itself and the program allows for is drawn as it is allowed for: where satellite positions lie as a whole,
and the constant errors of an airspeed and a heading column.
"""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from analyzer.flown import Flight, read_flight
from analyzer.flown.altitude.altimeter_record import altitude_record
from analyzer.flown.wind.from_columns import AIRSPEED_ERROR, HEADING_ERROR_DEG
from analyzer.given import AltitudeLimit, Guidance, Options, Place, Procedure, Track, frame_of
from analyzer.judged.measurements.containment import POSITION_SIGMA_M
from analyzer.judged.measurements.turns import measure_turns
from analyzer.planned import Plan
from analyzer.synthesis import HUMAN, Flight as Flown, FlightPlan, Sensor, fly
from analyzer.units import METRES_PER_FOOT as FOOT, METRES_PER_NM as NM, MPS_PER_KNOT as KNOT, bank_of_turn_deg

SEEDS = range(5000, 5032)
METHODS = ("45/180", "80/260", "hold", "charted teardrop")
COLUMNS = ("tas_mps", "heading_true_deg")
FIX = Place(46.2, -101.5, "HRF", 1900 * FOOT)


def procedure(method: str, right: bool) -> Procedure:
    side = 1.0 if right else -1.0
    teardrop = method == "charted teardrop"
    return Procedure(
        title="VOR-A", reversal={"hold": "hold in lieu", "charted teardrop": "teardrop"}.get(method, "procedure turn"),
        fix=FIX, inbound_true_deg=125.0, variation_deg=7.0, variation_source="file",
        turn_side="right" if right else "left",
        outbound_true_deg=(305.0 + 24.0 * side) % 360.0 if teardrop else 305.0,
        offset_true_deg=(305.0 + 45.0 * side) % 360.0, guidance=Guidance("VOR", FIX, 10.0, None),
        remain_within_m=10 * NM, outbound_s=None if teardrop else 60.0, outbound_m=None, timing_from="wings level",
        max_ias_mps=None,
        altitudes=tuple(
            AltitudeLimit(segment, "at or above", low * FOOT, None)
            for segment, low in (("arrival", 5500), ("reversal", 4600), ("inbound", 4600), ("final", 3100))
        ),
        criteria="US", category="A",
    )  # fmt: skip


@cache
def flown(seed: int) -> Flown:
    """The flight of a seed, recorded with columns of airspeed and heading."""
    draw = np.random.default_rng([seed, 31])
    method = METHODS[seed % len(METHODS)]
    plan = FlightPlan(
        method="teardrop" if method == "charted teardrop" else method, tas_mps=float(draw.uniform(75.0, 140.0)) * KNOT,
        wind_from_deg_true=float(draw.uniform(0.0, 360.0)), wind_speed_mps=float(draw.uniform(0.0, 25.0)) * KNOT,
        laps=2 if method == "hold" else 1, arrival_m=4 * NM, final_m=2.5 * NM, pilot=HUMAN,
    )  # fmt: skip
    sensor = Sensor(
        interval_s=float(draw.choice([1.0, 1.0, 2.0])), white_m=float(draw.uniform(1.0, 5.0)),
        wander_m=float(draw.uniform(0.0, 3.0)), altitude_sigma_m=float(draw.uniform(3.0, 15.0)) * FOOT,
        columns=COLUMNS, speed_sigma_mps=float(draw.uniform(0.3, 1.0)),
        angle_sigma_deg=float(draw.uniform(0.5, 2.0)),
    )  # fmt: skip
    flight = fly(procedure(method, bool(draw.random() < 0.5)), plan, seed=seed, sensor=sensor)
    return replace(flight, track=_with_constant_errors(flight.track, draw))


def _with_constant_errors(track: Track, draw: np.random.Generator) -> Track:
    """Move a track as a whole, and give its columns the constant errors that columns have."""
    north_m, east_m, factor, turned = draw.standard_normal(4)
    north_m, east_m = POSITION_SIGMA_M * north_m, POSITION_SIGMA_M * east_m
    sensors = dict(track.sensors)
    if sensors:
        sensors["tas_mps"] = sensors["tas_mps"] * (1.0 + AIRSPEED_ERROR * factor)
        sensors["heading_true_deg"] = np.mod(sensors["heading_true_deg"] + HEADING_ERROR_DEG * turned, 360.0)
    per_degree_m = 60.0 * NM
    return replace(
        track,
        latitude_deg=track.latitude_deg + north_m / per_degree_m,
        longitude_deg=track.longitude_deg + east_m / per_degree_m / np.cos(np.radians(FIX.latitude_deg)),
        sensors=sensors,
    )


@cache
def read(seed: int, columns: bool) -> Flight:
    """What is read of a flight with its columns, or of the same one without them."""
    one = flown(seed)
    track = one.track if columns else replace(one.track, sensors={})
    return read_flight(
        track, Plan(one.procedure, frame_of(one.procedure)), altitude_record(track, one.procedure, Options())
    )


@dataclass(frozen=True)
class Spread:
    """Errors over their sigmas: how many, root mean square, the largest."""

    count: int
    rms: float
    largest: float


def spread(values: list[float]) -> Spread:
    found = np.abs(np.array(values))
    return Spread(len(found), float(np.sqrt(np.mean(found**2))), float(np.max(found)))


def wind_errors(columns: bool) -> list[float]:
    """Length of the wind's error in its own covariance, over the root of two: about one where the doubt is honest."""
    errors = []
    for seed in SEEDS:
        truth, wind = flown(seed).truth, read(seed, columns).wind
        if wind is None or wind.covariance is None:
            continue
        blows = np.radians(truth.wind_from_deg_true + 180.0)
        miss = np.array([wind.east_mps, wind.north_mps]) - truth.wind_speed_mps * np.array(
            [np.sin(blows), np.cos(blows)]
        )
        ee, en, _, nn, _, _ = wind.covariance
        errors.append(float(np.sqrt(miss @ np.linalg.solve([[ee, en], [en, nn]], miss) / 2.0)))
    return errors


def airspeed_errors(columns: bool) -> list[float]:
    errors = []
    for seed in SEEDS:
        truth, wind = flown(seed).truth, read(seed, columns).wind
        if wind is not None and wind.covariance is not None and wind.tas_mps is not None:
            errors.append((wind.tas_mps - truth.tas_mps) / float(np.sqrt(wind.covariance[5])))
    return errors


def bank_errors(columns: bool) -> list[float]:
    """Mean bank of each turn that is matched by one of the truth, by the truth's rate and airspeed, over its sigma."""
    errors = []
    for seed in SEEDS:
        truth, flight = flown(seed).truth, read(seed, columns)
        if flight.wind is None or not flight.attempts or not truth.attempts:
            continue
        true = {(turn.phase, turn.lap): turn for turn in truth.attempts[0].turns}
        for measure in measure_turns(flight.attempts[0], flight):
            turn = true.get((measure.phase, measure.lap))
            if (
                turn is None
                or measure.mean_bank_deg is None
                or measure.bank_sigma_deg is None
                or abs(turn.degrees) < 60.0
            ):
                continue
            if abs(measure.turn.degrees - turn.degrees) < 20.0:
                bank = bank_of_turn_deg(abs(turn.degrees) / (turn.end_s - turn.start_s), truth.tas_mps)
                errors.append((measure.mean_bank_deg - bank) / measure.bank_sigma_deg)
    return errors


def farthest_errors(columns: bool) -> list[float]:
    """The largest distance from the fix, over the doubt that a distance is judged with."""
    errors = []
    for seed in SEEDS:
        truth, flight = flown(seed).truth.attempts[0], read(seed, columns)
        motion = flight.motion
        out = (motion.time_s >= truth.passages[0].at_s) & (motion.time_s <= truth.passages[-1].at_s)
        at = int(np.flatnonzero(out)[np.argmax(motion.distance_m[out])])
        sigma = np.hypot(motion.position_sigma_m[at], POSITION_SIGMA_M)
        errors.append(float((motion.distance_m[at] - truth.max_distance_m) / sigma))
    return errors
