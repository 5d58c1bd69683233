"""The benchmark's flights: procedure, plan, pilot, errors and recording drawn from one seed a flight."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from analyzer.given.plane import Frame
from analyzer.given.procedure import AltitudeLimit, Guidance, Place, Procedure
from analyzer.synthesis import Flight, FlightPlan, FlyingError, Pilot, Sensor, fly
from analyzer.units.factors import KELVIN_AT_0_C, METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT

#: seeds of development flights start at 0; these are looked at only to report, never to tune on
HELD_OUT_FROM = 1_000_000

INTERVALS_S = (0.05, 0.1, 0.2, 0.5, 1.0, 1.0, 1.0, 1.0, 2.0, 3.0, 5.0)
METHODS = (
    "45/180",
    "45/180",
    "80/260",
    "teardrop",
    "charted teardrop",
    "racetrack",
    "hold",
    "hold",
    "hold",
    "straight in",
)


@dataclass(frozen=True)
class Case:
    """One flight of the benchmark with what the analyzer is told besides the track."""

    seed: int
    method: str
    clean: bool
    flight: Flight
    sensor: Sensor
    options: dict[str, Any]

    @property
    def interval_s(self) -> float:
        return self.sensor.interval_s

    @property
    def wind_kt(self) -> float:
        return self.flight.truth.wind_speed_mps / MPS_PER_KNOT


def case_of(seed: int) -> Case:
    """Return the flight of a seed; the same seed gives the same flight."""
    draw = np.random.default_rng([seed, 77])
    method = str(draw.choice(METHODS))
    procedure = _procedure(method, draw)
    tas_kt = float(draw.uniform(80.0, 200.0))
    wind_kt = min(float(draw.choice([0.0, draw.uniform(0.0, 15.0), draw.uniform(10.0, 45.0)])), 0.42 * tas_kt)
    errors = _errors(method, procedure, draw)
    pilot = _pilot(draw)
    laps = int(draw.choice([1, 1, 2, 3, 4])) if method == "hold" else 1
    reversal = "straight in" if method == "straight in" else "teardrop" if "teardrop" in method else method
    stop_in, stop_after_s = None, 10.0
    attempts = int(draw.choice([1, 1, 1, 1, 1, 1, 1, 1, 2, 2, 3]))
    if method == "racetrack":  # the way back from a missed approach does not suit its direct entry
        attempts = 1
    if draw.random() < 0.06:
        stop_in = str(draw.choice(["reversal turn", "intercept", "inbound"]))
        stop_after_s = float(draw.uniform(10.0, 25.0))
    plan = FlightPlan(
        method=reversal,  # type: ignore[arg-type]
        tas_mps=tas_kt * MPS_PER_KNOT,
        wind_from_deg_true=float(draw.uniform(0.0, 360.0)),
        wind_speed_mps=wind_kt * MPS_PER_KNOT,
        arrival_track_true_deg=_arrival(method, procedure, draw),
        arrival_m=float(draw.uniform(3.0, 9.0)) * METRES_PER_NM,
        laps=laps,
        attempts=attempts,
        outbound_s=None if method in ("hold", "charted teardrop") else float(draw.uniform(60.0, 150.0)),
        offset_leg_s=None if draw.random() < 0.6 else float(draw.choice([40.0, 60.0, 75.0])),
        divergence_deg=float(draw.uniform(18.0, 30.0)),
        intercept_deg=float(draw.uniform(25.0, 45.0)),
        ending="land" if draw.random() < 0.4 else "level",
        final_m=float(draw.uniform(2.5, 6.0)) * METRES_PER_NM,
        stop_in=stop_in,  # type: ignore[arg-type]
        stop_after_s=stop_after_s,
        pilot=pilot,
        errors=errors,
    )
    sensor, options = _sensor(procedure, draw)
    flight = fly(procedure, plan, seed=seed, sensor=sensor, name=f"flight {seed}")
    return Case(seed, method, not errors, flight, sensor, options)


def _procedure(method: str, draw: np.random.Generator) -> Procedure:
    latitude = float(draw.choice([draw.uniform(-60.0, 60.0), 70.0, draw.uniform(20.0, 55.0)]))
    longitude = float(draw.choice([draw.uniform(-179.0, 179.0), 179.98, -179.99], p=[0.8, 0.1, 0.1]))
    elevation = float(draw.uniform(0.0, 5000.0)) * METRES_PER_FOOT
    fix = Place(latitude, longitude, "HRF", elevation if draw.random() < 0.7 else None)
    inbound = float(draw.uniform(0.0, 360.0))
    right = bool(draw.random() < 0.5)
    sign = 1.0 if right else -1.0
    outbound = (inbound + 180.0) % 360.0
    reversal = "procedure turn"
    if method == "charted teardrop":
        reversal = "teardrop"
        outbound = (outbound + sign * float(draw.choice([18.0, 24.0, 30.0]))) % 360.0
    elif method == "hold" or (method == "straight in" and draw.random() < 0.4):
        reversal = str(draw.choice(["hold in lieu", "holding"]))
    kind = str(draw.choice(["VOR", "VOR", "NDB", "localizer", "RNAV"]))
    station = fix
    if kind == "localizer":  # its aerial stands beyond the runway, on the course
        away = float(draw.uniform(5.0, 7.0)) * METRES_PER_NM
        frame = Frame(latitude, longitude, inbound)
        latitude_of, longitude_of = frame.latitude_longitude_from_along_cross(-away, 0.0)
        station = Place(float(latitude_of), float((longitude_of + 180.0) % 360.0 - 180.0))
    full_scale = {"VOR": 10.0, "NDB": 10.0, "localizer": 2.5}.get(kind)
    guidance = Guidance(kind, station, full_scale, None if full_scale else METRES_PER_NM)  # type: ignore[arg-type]
    return Procedure(
        title="Benchmark",
        reversal=reversal,  # type: ignore[arg-type]
        fix=fix,
        inbound_true_deg=inbound,
        variation_deg=float(draw.uniform(-20.0, 20.0)),
        variation_source="file",
        turn_side="right" if right else "left",
        outbound_true_deg=outbound,
        offset_true_deg=(outbound + sign * 45.0) % 360.0,
        guidance=guidance,
        remain_within_m=None if reversal == "holding" else float(draw.choice([10.0, 10.0, 15.0])) * METRES_PER_NM,
        outbound_s=None if reversal == "teardrop" else 60.0,
        outbound_m=None,
        timing_from=str(draw.choice(["wings level", "wings level", "turn start"])),  # type: ignore[arg-type]
        max_ias_mps=None,
        altitudes=_altitudes(fix.elevation_m or 0.0, draw),
        criteria="US",
        category="A",
    )


def _altitudes(elevation_m: float, draw: np.random.Generator) -> tuple[AltitudeLimit, ...]:
    def feet(above: float) -> float:
        return elevation_m + above * METRES_PER_FOOT

    turn = float(draw.uniform(1800.0, 3500.0))
    arrival = turn + float(draw.choice([0.0, 600.0, 1000.0]))
    inbound = turn - float(draw.choice([0.0, 0.0, 500.0]))
    limits = [AltitudeLimit("arrival", "at or above", feet(arrival), None)]
    rule = draw.random()
    if rule < 0.7:
        limits.append(AltitudeLimit("reversal", "at or above", feet(turn), None))
    elif rule < 0.85:
        limits.append(AltitudeLimit("reversal", "at", feet(turn), feet(turn)))
    else:
        limits.append(AltitudeLimit("reversal", "between", feet(turn), feet(arrival + 500.0)))
    if 0.7 <= rule < 0.85:  # whoever flies at an altitude can't keep above it
        inbound = turn - 400.0
    limits.append(AltitudeLimit("inbound", "at or above", feet(inbound), None))
    limits.append(AltitudeLimit("final", "at or above", feet(float(draw.uniform(500.0, 1000.0))), None))
    return tuple(limits)


def _arrival(method: str, procedure: Procedure, draw: np.random.Generator) -> float | None:
    inbound, side = procedure.inbound_true_deg, procedure.side
    if method == "straight in":
        return (inbound + float(draw.uniform(-25.0, 25.0))) % 360.0
    if method == "racetrack":
        return (inbound + side * float(draw.uniform(-60.0, 60.0))) % 360.0
    if "teardrop" in method:
        return (inbound + 180.0 + float(draw.uniform(-100.0, 100.0))) % 360.0
    return float(draw.uniform(0.0, 360.0))


def _pilot(draw: np.random.Generator) -> Pilot:
    human = draw.random() < 0.7
    shared = {
        "max_bank_deg": float(draw.uniform(25.0, 30.0)),
        "roll_rate_deg_s": float(draw.uniform(3.0, 10.0)),
        "passage_offset_m": float(draw.choice([0.0, 0.0, draw.normal(0.0, 200.0)])),
    }
    if not human:
        return Pilot(**shared)
    return Pilot(
        wind_correction=float(draw.choice([1.0, 0.9, 0.7, 0.4])),
        heading_sigma_deg=float(draw.uniform(0.5, 3.0)),
        speed_sigma_mps=float(draw.uniform(0.3, 1.5)),
        bank_sigma=float(draw.uniform(0.02, 0.1)),
        altitude_sigma_m=float(draw.uniform(2.0, 8.0)),
        rollout_sigma_deg=float(draw.uniform(0.5, 3.0)),
        correlation_s=float(draw.uniform(15.0, 40.0)),
        reaction_s=float(draw.uniform(0.0, 4.0)),
        **shared,
    )


def _errors(method: str, procedure: Procedure, draw: np.random.Generator) -> tuple[FlyingError, ...]:
    if draw.random() < 0.45 or method == "straight in":
        return ()
    known: dict[str, float | None] = {
        "no wind correction": None,
        "late turn": float(draw.uniform(8.0, 20.0)),
        "shallow bank": float(draw.uniform(5.0, 9.0)),
        "wrong heading": float(draw.choice([-1.0, 1.0]) * draw.uniform(8.0, 20.0)),
        "wrong side": None,
        "long timing": float(draw.uniform(15.0, 45.0)),
        "short timing": float(draw.uniform(10.0, 25.0)),
        "early descent": float(draw.uniform(60.0, 400.0)) * METRES_PER_FOOT,
        "level bust": float(draw.uniform(60.0, 300.0)) * METRES_PER_FOOT,
        "past the distance limit": float(draw.uniform(0.2, 1.5)) * METRES_PER_NM,
        "overshoot": float(draw.uniform(0.1, 0.5)) * METRES_PER_NM,
        "too fast": float(draw.uniform(10.0, 30.0)) * MPS_PER_KNOT,
        "never established": None,
    }
    if procedure.is_hold:
        known["wrong entry"] = None
        del known["wrong side"], known["past the distance limit"]
    if procedure.remain_within_m is None:
        known.pop("past the distance limit", None)
    count = int(draw.choice([1, 1, 2]))
    names = draw.choice(sorted(known), size=count, replace=False)
    return tuple(FlyingError(str(name), known[str(name)]) for name in names)  # type: ignore[arg-type]


def _sensor(procedure: Procedure, draw: np.random.Generator) -> tuple[Sensor, dict[str, Any]]:
    interval = float(draw.choice(INTERVALS_S))
    kind = str(draw.choice(["indicated", "indicated", "indicated", "pressure", "geometric"]))
    setting, deviation = 1013.25, 0.0
    options: dict[str, Any] = {}
    if kind == "pressure":
        setting = float(draw.uniform(995.0, 1030.0))
        options["altimeter_setting"] = setting
    if kind == "geometric" and procedure.fix.elevation_m is not None:
        deviation = float(draw.uniform(-20.0, 20.0))
        ground = procedure.fix.elevation_m
        options["temperature_c"] = 288.15 - 0.0065 * ground + deviation - KELVIN_AT_0_C
        options["station_elevation_ft"] = ground / METRES_PER_FOOT
    rough = bool(draw.random() < 0.35)
    simulator = interval <= 0.2
    columns: tuple[str, ...] = ()
    if draw.random() < 0.15:
        columns = ("heading_magnetic_deg", "tas_mps", "groundspeed_mps", "track_true_deg")
    sensor = Sensor(
        interval_s=interval,
        interval_jitter_s=float(draw.choice([0.0, 0.1])) * interval if not simulator else 0.0,
        white_m=float(draw.choice([0.0, 0.3])) if simulator else float(draw.uniform(0.5, 8.0)),
        wander_m=0.0 if simulator else float(draw.uniform(0.0, 5.0)),
        wander_correlation_s=float(draw.uniform(20.0, 120.0)),
        outlier_share=float(draw.uniform(0.002, 0.02)) if rough else 0.0,
        gaps=int(draw.integers(1, 4)) if rough else 0,
        duplicate_share=0.01 if rough else 0.0,
        missing_time_share=0.01 if rough else 0.0,
        missing_altitude_share=0.02 if rough else 0.0,
        altitude_kind=kind,  # type: ignore[arg-type]
        altitude_sigma_m=0.0 if simulator else float(draw.uniform(0.0, 4.0)),
        altitude_step_m=float(draw.choice([0.0, 0.3048, 3.048])),
        altimeter_setting_hpa=setting,
        isa_deviation_k=deviation,
        columns=columns,
        speed_sigma_mps=0.5,
        angle_sigma_deg=1.0,
    )
    return sensor, options
