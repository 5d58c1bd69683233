"""Whole lessons: a hold with its clearance, reversals and straight-ins with their finals, a missed approach after each.

What is wrong with a lesson is put into it: by the altitudes of a final, or by what the clearance asked of what was
flown. A twin without a fault is the same lesson, flown or cleared rightly.
"""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from analyzer.given import MissedApproach, Place, Procedure, StepFix, Track, frame_of
from analyzer.synthesis import HUMAN, AttemptTruth, FlightPlan, FlownLesson, LessonPart, Sensor, fly_lesson
from analyzer.units.factors import METRES_PER_FOOT as FOOT, METRES_PER_NM as NM, MPS_PER_KNOT as KT
from tests.lessons import HOLD_HOME, HOLD_IN_LIEU, HOLD_SOUTH, METHODS, NDB_TURN, VOR_TURN

RECORDER = Sensor(white_m=2.0, altitude_step_m=1.0 * FOOT)
ASSIGNED_FT, STEP_FT, MINIMUM_FT, FIELD_FT = 5600.0, 3300.0, 2500.0, 1900.0
STEP_NM, RUNWAY_NM, POINT_NM = 3.0, 6.0, 5.5
#: fault: the finding that names it
FAULTS = {
    "late leaving": "left-late",
    "descent before cleared": "descended-before-cleared",
    "crossing altitude missed": "crossing-altitude-missed",
    "step-down broken": "below-step-down-fix",
    "minimum broken on the missed approach": "below-minimum-on-missed-approach",
}


def _approach(procedure: Procedure) -> Procedure:
    """Return an approach with a runway 6 NM past the fix, a step-down fix at 3 NM, a missed approach point."""
    frame = frame_of(procedure)
    latitude, longitude = frame.latitude_longitude_from_along_cross(-RUNWAY_NM * NM, 0.0)
    final = tuple(
        replace(limit, low_m=MINIMUM_FT * FOOT) if limit.segment == "final" else limit for limit in procedure.altitudes
    )
    course = procedure.inbound_true_deg
    return replace(
        procedure,
        altitudes=final,
        runway=Place(float(latitude), float(longitude), "RWY", FIELD_FT * FOOT),
        steps=(StepFix(STEP_NM * NM, procedure.fix, STEP_FT * FOOT, "STEP"),),
        missed_approach=MissedApproach(before_runway_m=(RUNWAY_NM - POINT_NM) * NM, climb_to_m=5500.0 * FOOT),
        no_reversal_from=((course - 45.0, course + 45.0),),
    )


def _hold(procedure: Procedure) -> Procedure:
    """Return a delay hold at the assigned altitude."""
    limits = tuple(
        replace(limit, rule="at", low_m=ASSIGNED_FT * FOOT, high_m=ASSIGNED_FT * FOOT)
        for limit in procedure.altitudes
        if limit.segment in ("reversal", "inbound", "final")
    )
    return replace(procedure, altitudes=limits)


#: as flown: the holds are left at their altitude
FLOWN = (_approach(VOR_TURN), _approach(NDB_TURN), _approach(HOLD_IN_LIEU), _hold(HOLD_HOME), _hold(HOLD_SOUTH))
#: as judged: a hold has no final
PROCEDURES = tuple(
    replace(one, altitudes=tuple(limit for limit in one.altitudes if limit.segment != "final"))
    if one.reversal == "holding"
    else one
    for one in FLOWN
)
HOLDS, APPROACHES = (3, 4), (0, 1, 2)


@dataclass(frozen=True)
class Part:
    """One part: which procedure, how it was flown ("straight in" for no reversal), from fix to fix."""

    procedure: int
    method: str
    first_s: float
    last_s: float
    truth: AttemptTruth | None


@dataclass(frozen=True)
class WholeLesson:
    """A recording with its clearance, what is true of its parts, and the fault that was put in."""

    track: Track
    clearance: dict[str, Any]
    parts: tuple[Part, ...]
    fault: str | None
    faulty_part: int | None


def _final(random: np.random.Generator, fault: str | None) -> tuple[tuple[float, float], ...]:
    """Return altitudes against the distance past the fix; the fault, if any, is the final's own."""
    above = float(random.uniform(40.0, 90.0))
    step = STEP_FT + above if fault != "step-down broken" else STEP_FT - float(random.uniform(60.0, 250.0))
    low = MINIMUM_FT + above
    corners = [(2.3, step), (3.1, step), (4.6, low), (5.5, low)]
    if fault == "minimum broken on the missed approach":
        corners += [(5.75, MINIMUM_FT - float(random.uniform(60.0, 200.0)))]
    last_nm, last_ft = corners[-1]
    corners += [(last_nm + 3.0, last_ft + 1200.0)]
    return tuple((miles * NM, feet * FOOT) for miles, feet in corners)


def whole_lesson(seed: int, parts: int | None = None, fault: str | None = "drawn") -> WholeLesson:
    """Return a lesson of three to six parts in random order and wind; every second one has a fault, drawn as well."""
    random = np.random.default_rng([seed, 77])
    count = int(random.integers(3, 7)) if parts is None else parts
    if fault == "drawn":
        fault = str(random.choice(list(FAULTS))) if random.random() < 0.5 else None
    air = {
        "tas_mps": float(random.uniform(90, 130)) * KT,
        "wind_from_deg_true": float(random.uniform(0, 360)),
        "wind_speed_mps": float(random.uniform(0, 25)) * KT,
    }
    # a hold first, an approach after it, then anything
    chosen = [int(random.choice(HOLDS)), int(random.choice(APPROACHES))]
    chosen += [int(random.integers(len(PROCEDURES))) for _ in range(count - 2)]
    wrong = int(random.choice([n for n, index in enumerate(chosen) if index in APPROACHES]))
    planned: list[LessonPart] = []
    methods: list[str] = []
    for number, index in enumerate(chosen):
        procedure = FLOWN[index]
        approach = index in APPROACHES
        reversal = number == 1 or not approach or random.random() < 0.6
        methods.append(str(random.choice(METHODS[procedure.title])) if reversal else "straight in")
        plan = FlightPlan(
            methods[-1],  # type: ignore[arg-type]
            pilot=HUMAN,
            laps=int(random.integers(2, 4)) if not approach else 1,
            arrival_m=3.0 * NM,
            final_m=8.5 * NM if approach else 0.5 * NM,
            **air,
        )
        final = _final(random, fault if number == wrong else None) if approach else ()
        planned.append(LessonPart(procedure, plan, final))
    flown = fly_lesson(planned, int(random.integers(1 << 30)), RECORDER)
    told = tuple(
        Part(index, method, part.first_s, part.last_s, part.truth)
        for index, method, part in zip(chosen, methods, flown.parts, strict=True)
    )
    faulty = {"late leaving": 0, "descent before cleared": None, "crossing altitude missed": 1}.get(fault or "", wrong)
    return WholeLesson(flown.track, _clearance(random, flown, fault), told, fault, None if fault is None else faulty)


def _clearance(random: np.random.Generator, flown: FlownLesson, fault: str | None) -> dict[str, Any]:
    """Return what was asked of the hold and of the approach after it, in the words of a clearance file."""
    hold, approach = flown.parts[:2]
    late_s = float(random.uniform(50, 120)) if fault == "late leaving" else float(random.uniform(-15, 15))
    cleared_s = approach.first_s - float(random.uniform(20, 60))
    if fault == "descent before cleared":
        cleared_s = approach.first_s + float(random.uniform(60, 100))
    over_ft = float(np.interp(approach.first_s, np.arange(len(flown.altitude_m)), flown.altitude_m)) / FOOT
    missed = fault == "crossing altitude missed"
    crossing_ft = over_ft + float(random.uniform(60, 300)) if missed else over_ft - float(random.uniform(60, 300))
    asked = {
        "hold": {"leave_at": _moment(hold.last_s - late_s)},
        "assigned_altitude_ft": ASSIGNED_FT,
        "cleared_at": _moment(cleared_s),
    }
    if fault == "descent before cleared":
        return asked  # the fix was crossed before the clearance: the next passage of it is another one
    return asked | {"crossing_altitude_ft": {"at_or_above": round(crossing_ft)}}


def _moment(seconds: float) -> str:
    whole = round(seconds)
    return f"+{whole // 60:02d}:{whole % 60:02d}"
