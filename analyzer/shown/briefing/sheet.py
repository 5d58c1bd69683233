"""Everything the briefing sheet says, gathered as strings: plan, entry, steps, limits, altitudes and what if."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from analyzer.given import AltitudeLimit, Entry, FlownAs, Procedure, Wind, wind_from
from analyzer.judged import FlightCard, card_for_plan, end_reading
from analyzer.planned import Asked, NoPlan, PathLeg, Plan, SolvedPlan, default_method, entry_sector, plan_of
from analyzer.standards import isa_temperature_k
from analyzer.units import (
    KELVIN_AT_0_C,
    METRES_PER_FOOT,
    METRES_PER_NM,
    MPS_PER_KNOT,
    clock_words,
    feet,
    knots,
    miles,
)

#: wind speeds beside the forecast one that the sheet answers as well, knots
WHAT_IF_KT = 10.0
#: below standard an altimeter shows too much: about this share of the height above the station for each 10 degrees
#: (AIM 7-3: the rule of thumb of 4 %)
COLD_SHARE_PER_10_K = 0.04
#: a smaller error is not said, and the others in steps of 10 ft (own choices)
LEAST_COLD_M, STEP_M = 50.0 * METRES_PER_FOOT, 10.0 * METRES_PER_FOOT


@dataclass(frozen=True)
class Briefed:
    """What a sheet is for: the question and its answers.

    Parameters
    ----------
    plan : Plan
    asked : Asked
    solved, still : SolvedPlan or NoPlan
        In the wind and in still air.
    card : FlightCard
    near_boundary : bool
        The arrival lies within 5 degrees of a sector's boundary: the other entry is as good.
    temperature_k : float or None
        At the station.
    """

    plan: Plan
    asked: Asked
    solved: SolvedPlan | NoPlan
    still: SolvedPlan | NoPlan
    card: FlightCard
    near_boundary: bool = False
    temperature_k: float | None = None


def briefed(
    procedure: Procedure,
    tas_mps: float,
    wind: Wind | None,
    arrival_true_deg: float | None = None,
    method: FlownAs | None = None,
    temperature_k: float | None = None,
) -> Briefed:
    """Return the plan for a procedure before the flight.

    Parameters
    ----------
    procedure : Procedure
    tas_mps : float
    wind : Wind or None
    arrival_true_deg : float, optional
        Ground track to the fix: gives a hold's entry. Without it a hold is entered along its inbound course.
    method : str, optional
        Default: the procedure's usual one.
    temperature_k : float, optional
    """
    plan = plan_of(procedure)
    entry: Entry | None = None
    near = False
    if procedure.is_hold:
        entry = "direct"
        if arrival_true_deg is not None:
            entry, near = entry_sector(arrival_true_deg, procedure.inbound_true_deg, procedure.side)
    arrival = arrival_true_deg if procedure.is_hold else None
    asked = Asked(procedure, tas_mps, wind, method or default_method(procedure), entry, arrival)
    solved = plan.solved(asked)
    card = card_for_plan(procedure, solved, "What to fly")
    return Briefed(plan, asked, solved, plan.solved(asked.calm), card, near, temperature_k)


def answered(procedure: Procedure, question: Mapping[str, Any]) -> Briefed:
    """Return the sheet for a question whose values may be functions of the procedure."""
    return briefed(
        procedure, **{key: value(procedure) if callable(value) else value for key, value in question.items()}
    )


def leg_rows(sheet: Briefed) -> list[tuple[str, str, str, str]]:
    """Return each leg: its name, what is flown, how long or how far, and the same in still air."""
    if not isinstance(sheet.solved, SolvedPlan):
        return []
    procedure = sheet.plan.procedure
    still = sheet.still.legs if isinstance(sheet.still, SolvedPlan) else ()
    several = sheet.solved.legs[-1].lap > 1
    rows = []
    for leg in sheet.solved.legs:
        twin = next((one for one in still if _twins(one, leg)), None)
        name = f"{leg.phase}, lap {leg.lap}" if several else leg.phase
        rows.append(
            (name, _flown(procedure, leg), _length(procedure, leg), "" if twin is None else _still(procedure, twin))
        )
    return rows


def _twins(one: PathLeg, leg: PathLeg) -> bool:
    return one.phase == leg.phase and one.lap == leg.lap and (one.turn_deg is None) == (leg.turn_deg is None)


def _still(procedure: Procedure, leg: PathLeg) -> str:
    return f"{_flown(procedure, leg)}, {_length(procedure, leg)}" if leg.turn_deg is None else _flown(procedure, leg)


def _flown(procedure: Procedure, leg: PathLeg) -> str:
    if leg.turn_deg is not None:
        return f"{'right' if leg.turn_deg > 0.0 else 'left'} {abs(leg.turn_deg):.0f}°"
    return f"heading {course(procedure, leg.heading_true_deg or 0.0)}"


def _length(procedure: Procedure, leg: PathLeg) -> str:
    reading = end_reading(procedure, leg.end)
    if reading:
        return f"to {reading}"
    return clock_words(leg.duration_s if leg.timed_s is None else leg.timed_s)


def course(procedure: Procedure, true_deg: float) -> str:
    """Return a true course as three magnetic digits."""
    whole = round(procedure.magnetic_deg(true_deg)) % 360
    return f"{whole or 360:03d}°"


def limit_rows(sheet: Briefed) -> list[tuple[str, str]]:
    """Return what must not be left and how much room the plan keeps."""
    solved, procedure = sheet.solved, sheet.plan.procedure
    if not isinstance(solved, SolvedPlan):
        return []
    rows = []
    if procedure.remain_within_m is not None:
        rows.append(("Remain within", f"{procedure.remain_within_m / METRES_PER_NM:g} NM of the fix"))
        rows.append(("Farthest of this plan", miles(solved.farthest_m)))
    if solved.latest_start_m is not None:
        rows.append(("Begin the turn off the course at the latest", f"{miles(solved.latest_start_m)} from the fix"))
    if solved.room_m is not None:
        rows.append(("Room to the primary area", miles(solved.room_m)))
    if solved.beyond_m > 0.02 * METRES_PER_NM:
        rows.append(("Beyond the inbound course, at most", miles(solved.beyond_m)))
    rows.append(("Inbound to the fix", clock_words(solved.inbound_s)))
    return rows


def altitude_rows(sheet: Briefed) -> list[tuple[str, str, str]]:
    """Return each charted altitude with its segment, and what cold air makes of it where a temperature is given."""
    return [(limit.segment, _limit(limit), _cold(sheet, limit)) for limit in sheet.plan.procedure.altitudes]


def _limit(limit: AltitudeLimit) -> str:
    if limit.rule == "between":
        return f"between {feet(limit.low_m or 0.0)} and {feet(limit.high_m or 0.0)}"
    return f"{limit.rule} {feet((limit.high_m if limit.low_m is None else limit.low_m) or 0.0)}"


def _cold(sheet: Briefed, limit: AltitudeLimit) -> str:
    """Say how much lower than shown the aircraft is in cold air; nothing of warm air, where it is higher."""
    station_m = sheet.plan.procedure.fix.elevation_m
    if sheet.temperature_k is None or station_m is None or limit.low_m is None:
        return ""
    colder_k = float(isa_temperature_k(station_m)) - sheet.temperature_k
    height_m = limit.low_m - station_m
    lower_m = COLD_SHARE_PER_10_K * colder_k / 10.0 * height_m
    return f"about {feet(round(lower_m / STEP_M) * STEP_M)} lower than shown" if lower_m >= LEAST_COLD_M else ""


def what_if_rows(sheet: Briefed) -> list[tuple[str, str]]:
    """Return the wind ten knots less and more, each with the legs that change."""
    wind = sheet.asked.wind
    rows = []
    for more_kt in (-WHAT_IF_KT, WHAT_IF_KT):
        speed_mps = (0.0 if wind is None else wind.speed_mps) + more_kt * MPS_PER_KNOT
        if speed_mps < 0.0 or wind is None:
            continue
        other = wind_from(wind.from_deg_true, speed_mps)
        answer = sheet.plan.solved(replace(sheet.asked, wind=other))
        name = f"{knots(speed_mps)} ({'+' if more_kt > 0 else '−'}{abs(more_kt):.0f})"
        rows.append((name, _in_short(sheet.plan.procedure, answer)))
    return rows


def _in_short(procedure: Procedure, answer: SolvedPlan | NoPlan) -> str:
    if isinstance(answer, NoPlan):
        return f"No plan: {answer.reason}."
    parts = []
    several = answer.legs[-1].lap > 1
    for leg in answer.legs:
        if leg.turn_deg is None and leg.phase in ("outbound", "offset leg", "offset turn"):
            name = f"{leg.phase}, lap {leg.lap}:" if several else leg.phase
            parts.append(f"{name} {course(procedure, leg.heading_true_deg or 0.0)}, {_length(procedure, leg)}")
    if answer.latest_start_m is not None:
        parts.append(f"begin the turn by {miles(answer.latest_start_m)}")
    return "; ".join(parts) + "."


def conditions(sheet: Briefed) -> list[tuple[str, str]]:
    """Return wind, airspeed, arrival and entry."""
    procedure, asked = sheet.plan.procedure, sheet.asked
    wind = asked.wind
    air = "still air"
    if wind is not None and wind.speed_mps > 0.0:
        air = f"{course(procedure, wind.from_deg_true)} magnetic at {knots(wind.speed_mps)}"
    rows = [("Wind", air), ("True airspeed", knots(asked.tas_mps)), ("Method", asked.method)]
    if asked.arrival_true_deg is not None:
        rows.append(("Arrival", f"track {course(procedure, asked.arrival_true_deg)}"))
    if asked.entry is not None:
        near = " (within 5° of a boundary: the neighbour is as good)" if sheet.near_boundary else ""
        rows.append(("Entry", f"{asked.entry}{near}"))
    if sheet.temperature_k is not None:
        rows.append(("Temperature at the station", f"{sheet.temperature_k - KELVIN_AT_0_C:.0f} °C"))
    return rows
