"""Flights of every kind that a page can show, flown by the synthesizer: for tests and benchmarks of whole pages."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

from analyzer.given import Options, Procedure
from analyzer.judged import Lesson, assess_lesson
from analyzer.reading import read_procedure
from analyzer.synthesis import HUMAN, FlightPlan, FlyingError, Pilot, Sensor, fly
from analyzer.units.factors import METRES_PER_NM as NM, MPS_PER_KNOT as KT
from tests.lessons import PROCEDURES, lesson

PLACES = (Path(__file__).with_name("procedures"), Path(str(resources.files("analyzer.run.demo"))))
CARELESS = Pilot(wind_correction=0.4, heading_sigma_deg=3.0, bank_sigma=0.12, altitude_sigma_m=14.0, reaction_s=3.0)
RECORDER = Sensor(interval_s=1.0, white_m=1.5, altitude_step_m=0.3048)
TABLET = Sensor(interval_s=2.0, white_m=2.0, altitude_kind="geometric", altitude_sigma_m=2.0)


@dataclass(frozen=True)
class Flown:
    """One flight: over which procedure file, how flown and recorded, with which options judged."""

    procedure: str
    plan: FlightPlan
    sensor: Sensor = RECORDER
    seed: int = 1
    options: Mapping[str, Any] = field(default_factory=dict)


def _errors(**sizes: float | None) -> tuple[FlyingError, ...]:
    return tuple(FlyingError(name.replace("_", " "), size) for name, size in sizes.items())  # type: ignore[arg-type]


def _plan(method: str, from_deg: float, kt: float, pilot: Pilot = HUMAN, **more: Any) -> FlightPlan:
    return FlightPlan(
        method,  # type: ignore[arg-type]
        wind_from_deg_true=from_deg,
        wind_speed_mps=kt * KT,
        pilot=pilot,
        **{"tas_mps": 105.0 * KT, **more},
    )


FLIGHTS: Mapping[str, Flown] = {
    "calm and right": Flown("vor_procedure_turn", _plan("45/180", 0.0, 0.0, ending="land", final_m=5.0 * NM)),
    "landing": Flown("vor_12", _plan("45/180", 310.0, 9.0, ending="land", final_m=6.0 * NM), seed=3),
    "through the course": Flown("vor_procedure_turn", _plan("80/260", 40.0, 32.0, CARELESS, outbound_s=150.0), seed=5),
    "beyond the limit": Flown(
        "vor_procedure_turn",
        _plan("45/180", 300.0, 38.0, CARELESS, errors=_errors(past_the_distance_limit=2500.0, level_bust=110.0)),
        seed=7,
    ),
    "wrong side": Flown(
        "vor_procedure_turn", _plan("45/180", 200.0, 18.0, errors=_errors(wrong_side=None, overshoot=None)), seed=9
    ),
    "never established": Flown("vor_12", _plan("45/180", 90.0, 15.0, errors=_errors(never_established=None)), seed=11),
    "racetrack": Flown("vor_procedure_turn", _plan("racetrack", 220.0, 20.0), seed=13),
    "teardrop by beacon": Flown(
        "ndb_teardrop", _plan("teardrop", 140.0, 25.0, CARELESS, errors=_errors(early_descent=90.0)), seed=15
    ),
    "80/260 by beacon": Flown("ndb_a", _plan("80/260", 300.0, 40.0, CARELESS, outbound_s=215.0), TABLET, 17),
    "hold in lieu": Flown(
        "rnav_30", _plan("hold", 250.0, 14.0, entry="teardrop", arrival_track_true_deg=95.0), seed=19
    ),
    "hold of four laps": Flown("vor_holding", _plan("hold", 95.0, 30.0, laps=4, tas_mps=170.0 * KT), seed=21),
    "hold 320 ft low": Flown(
        "vor_12_hold", _plan("hold", 200.0, 24.0, CARELESS, laps=2, errors=_errors(level_bust=97.0)), seed=23
    ),
    "two reversals": Flown("vor_12", _plan("45/180", 250.0, 22.0, attempts=2), TABLET, 25),
    "straight in": Flown("vor_12", _plan("straight in", 120.0, 8.0), seed=27),
    "ends in the turn": Flown("vor_12", _plan("45/180", 20.0, 12.0, stop_in="reversal turn"), seed=29),
}
LESSONS: Mapping[str, int] = {"lesson of four": 5004, "lesson of three": 5011}


@cache
def procedure_named(name: str) -> Procedure:
    """Return a procedure file of the tests or the demo."""
    found = next(place / f"{name}.toml" for place in PLACES if (place / f"{name}.toml").is_file())
    return read_procedure(found)


@cache
def shown(name: str) -> Lesson:
    """Return a flight of `FLIGHTS` or `LESSONS` as judged."""
    if name in LESSONS:
        one = lesson(LESSONS[name], 4 if "four" in name else 3)
        return assess_lesson(replace(one.track, name=name), PROCEDURES)
    flown = FLIGHTS[name]
    procedure = procedure_named(flown.procedure)
    track = fly(procedure, flown.plan, flown.seed, flown.sensor).track
    return assess_lesson(replace(track, name=name), [procedure], Options(**flown.options))
