"""Which plan an attempt is held against, and which one is flown next time: one solution for everybody who asks."""

from dataclasses import replace

import numpy as np

from analyzer.flown import Attempt, Flight
from analyzer.given import Entry, FlownAs, PhaseName, Wind
from analyzer.planned import Asked, NoPlan, Plan, SolvedPlan, default_method
from analyzer.units import difference_deg

#: no aeroplane flies slower over the ground for a whole flight: such a track is a parked one and gets no plan
SLOWEST_FLIGHT_MPS = 10.0


def planning_tas_mps(flight: Flight) -> float | None:
    """Return the airspeed to plan with: the flight's own, None where it hardly moves.

    Of a wind given without an airspeed it is the middle of the speed through that air; without a wind the middle
    groundspeed.
    """
    if flight.wind is not None and flight.wind.tas_mps:
        return flight.wind.tas_mps
    speed_mps = float(np.median(flight.air.speed_mps))
    return speed_mps if speed_mps >= SLOWEST_FLIGHT_MPS else None


def flown_plan(attempt: Attempt, flight: Flight, plan: Plan) -> SolvedPlan | NoPlan | None:
    """Return what the wind of the flight asked for, with the method and the entry that were flown.

    Without a wind it is the plan for still air; None for a method without a plan, or where the flight hardly moves.
    """
    tas_mps = planning_tas_mps(flight)
    if tas_mps is None or attempt.flown_as == "other":
        return None
    asked = _asked(attempt, plan, tas_mps, flight.wind, attempt.flown_as, attempt.entry)
    return plan.solved(replace(asked, go_round=attempt.flown_as == "hold" and attempt.laps > 1))


def next_plan(attempt: Attempt, flight: Flight, plan: Plan, wind: Wind | None) -> SolvedPlan | NoPlan | None:
    """Return what to fly next time in a wind, with the entry that the sectors give.

    It is the object that the flight is held against where that entry was flown.

    A flight on the unprotected side, or one by no method, is shown the procedure's own.
    """
    tas_mps = planning_tas_mps(flight)
    if tas_mps is None:
        return None
    method = default_method(plan.procedure) if attempt.flown_as == "other" else attempt.flown_as
    entry = attempt.entry if attempt.entry_near_boundary else attempt.entry_expected or attempt.entry
    return plan.solved(_asked(attempt, plan, tas_mps, wind, method, entry))


def _asked(
    attempt: Attempt, plan: Plan, tas_mps: float, wind: Wind | None, method: FlownAs, entry: Entry | None
) -> Asked:
    hold = method == "hold"
    arrival = attempt.arrival_track_true_deg if hold and plan.procedure.is_hold else None
    entry = entry or "direct" if hold else None
    if entry != attempt.entry_expected and not attempt.entry_near_boundary:
        arrival = None  # the arrival doesn't lead to this entry: the plan begins on its track
    return Asked(plan.procedure, tas_mps, wind, method, entry, arrival, _same_way(attempt, method))


def _same_way(attempt: Attempt, method: FlownAs) -> bool:
    """Whether the 180 of a 45/180 was turned the same way as the 45."""
    if method != "45/180":
        return False
    turned = {name: turn.degrees for name, _, turn in attempt.turns if name in ("offset turn", "reversal turn")}
    return len(turned) == 2 and turned["offset turn"] * turned["reversal turn"] > 0.0


def asked_correction_deg(
    solved: SolvedPlan | NoPlan | None, phase: PhaseName, lap: int, course_true_deg: float
) -> float | None:
    """Return the correction against a course that the plan asks for on a leg, positive right; None without a plan."""
    heading = solved.heading_true_deg(phase, lap) if isinstance(solved, SolvedPlan) else None
    return None if heading is None else float(difference_deg(course_true_deg, heading))
