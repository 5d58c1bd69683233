"""The demo's lesson: 70 minutes with a hold, a procedure turn, two straight-ins, a missed approach and its hold."""

from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

from analyzer.given import AltitudeLimit, AltitudeSegment, Procedure
from analyzer.synthesis import FlightPlan, FlownLesson, FlyingError, LessonPart, Pilot, Sensor, fly_lesson
from analyzer.units import METRES_PER_FOOT as FOOT, METRES_PER_NM, MPS_PER_KNOT

TRACK = "lesson.csv"
PROCEDURES = ("vor_12_hold.toml", "ndb_a.toml", "rnav_z_30.toml", "sudro_hold.toml")
SEED, ARRIVAL_M = 21, 2.0 * METRES_PER_NM
#: what was asked: the hold is to be left in time, 5,000 ft until cleared for the approach, the beacon crossed there
CLEARANCE = MappingProxyType(
    {
        "hold": {"leave_at": "+14:30"},
        "assigned_altitude_ft": 5000,
        "cleared_at": "+15:30",
        "crossing_altitude_ft": {"at_or_above": 4800},
    }
)
#: a simulator's log of positions and altitudes, a row each second
RECORDER = Sensor(white_m=1.5, altitude_step_m=1.0 * FOOT, position_decimals=6)
_WIND = {"wind_from_deg_true": 290.0, "wind_speed_mps": 17.0 * MPS_PER_KNOT, "tas_mps": 118.0 * MPS_PER_KNOT}
#: down to the runway, 6 NM past the fix, and up again
_TOUCH_AND_GO = (
    (0.0, 3800.0),
    (0.5, 3700.0),
    (2.6, 3050.0),
    (3.1, 3050.0),
    (5.95, 1870.0),
    (6.3, 1870.0),
    (9.5, 2900.0),
)
#: along the minimum to the missed approach point, then up; the step-down fix, at 3 NM, is passed 120 ft too low
_MISSED = ((0.9, 4100.0), (2.4, 2880.0), (3.1, 2860.0), (4.4, 2450.0), (5.5, 2450.0), (10.0, 4000.0))


def demo_lesson(procedures: dict[str, Procedure], well: Pilot, badly: Pilot) -> FlownLesson:
    """Fly the lesson; `procedures` by the names of their files, `badly` flies the procedure turn."""
    hold, turn, straight, missed = (procedures[name] for name in PROCEDURES)
    levels: tuple[tuple[AltitudeSegment, float], ...] = (
        ("arrival", 5060.0), ("reversal", 5000.0), ("inbound", 5000.0), ("final", 5000.0),
    )  # fmt: skip
    assigned = tuple(AltitudeLimit(segment, "at", feet * FOOT, feet * FOOT) for segment, feet in levels)
    short_m, errors = 0.5 * METRES_PER_NM, (FlyingError("early descent", 90.0), FlyingError("late turn", 12.0))
    parts = (
        LessonPart(
            replace(hold, altitudes=assigned),
            _plan("hold", well, laps=2, final_m=short_m, arrival_track_true_deg=320.0),
        ),
        LessonPart(turn, _plan("45/180", badly, outbound_s=150.0, final_m=short_m, errors=errors)),
        LessonPart(straight, _plan("straight in", well, final_m=7.0 * METRES_PER_NM), _final(_TOUCH_AND_GO)),
        LessonPart(straight, _plan("straight in", well, final_m=7.0 * METRES_PER_NM), _final(_MISSED)),
        LessonPart(missed, _plan("hold", well, laps=2, final_m=short_m)),
    )
    return fly_lesson(parts, SEED, RECORDER, Path(TRACK).stem, hold.runway)


def _plan(method: str, pilot: Pilot, **more: object) -> FlightPlan:
    return FlightPlan(method, pilot=pilot, arrival_m=ARRIVAL_M, **_WIND, **more)  # type: ignore[arg-type]


def _final(corners: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    return tuple((miles * METRES_PER_NM, feet * FOOT) for miles, feet in corners)
