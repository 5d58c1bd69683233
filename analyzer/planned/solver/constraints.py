"""What a plan must keep: its side of the course, the distance limit, the primary area, its time inbound."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from analyzer.given import Procedure
from analyzer.planned.protection.area import Area
from analyzer.planned.protection.margins import point_margins_m
from analyzer.planned.solver.values import Condition, NoPlanError, PathLeg, SolvedPlan
from analyzer.units import METRES_PER_NM

#: a hold's plan goes at most so far beyond the inbound course, to the side away from it (own choice)
MOST_BEYOND_M = 0.2 * METRES_PER_NM
#: rounding of a path drawn in steps
_GRAIN_M = 10.0


def checked(plan: SolvedPlan, procedure: Procedure, areas: Sequence[Area], doubt_m: float) -> SolvedPlan:
    """Return the plan with where each condition stands.

    Raises
    ------
    NoPlanError
        Where it leaves what must not be left.
    """
    beyond_m = _beyond_m(plan.legs, procedure.side, plan.entry)
    conditions = []
    if procedure.is_hold:
        conditions.append(_at_most("beyond the inbound course", MOST_BEYOND_M, beyond_m))
    limit_m = procedure.remain_within_m
    if limit_m is not None:
        conditions.append(_at_most("distance from the fix", limit_m - doubt_m, plan.farthest_m))
    primary = next((area.shape for area in areas if area.name == "primary"), None)
    room_m = None
    if primary is not None:
        along = np.concatenate([leg.along_m for leg in plan.legs])
        cross = np.concatenate([leg.cross_m for leg in plan.legs])
        room_m = float(np.min(point_margins_m(primary, along, cross)))
        conditions.append(Condition("room to the primary area", doubt_m, room_m, "m", room_m >= doubt_m - _GRAIN_M))
    conditions.append(Condition("inbound leg", 0.0, plan.inbound_s, "s", plan.inbound_s > 0.0))
    plan = replace(plan, beyond_m=beyond_m, room_m=room_m, conditions=tuple(conditions))
    failed = next((condition for condition in conditions if not condition.met), None)
    if failed is not None:
        raise NoPlanError(_reason(failed), failed)
    return plan


def _at_most(name: str, asked: float, got: float) -> Condition:
    return Condition(name, asked, got, "m", got <= asked + _GRAIN_M)


def _reason(failed: Condition) -> str:
    over_nm = abs(failed.got - failed.asked) / METRES_PER_NM
    if failed.name == "beyond the inbound course":
        return (
            f"the wind carries the aircraft {failed.got / METRES_PER_NM:.1f} NM to the side away from the hold; ask "
            "for longer legs or another hold"
        )
    if failed.name == "distance from the fix":
        return f"the pattern goes {over_nm:.1f} NM beyond the distance limit in this wind; ask for another approach"
    if failed.name == "room to the primary area":
        return f"the pattern leaves the primary area by {over_nm:.1f} NM in this wind; ask for another approach"
    return (
        "the turn back reaches the course only behind the fix in this wind; fly farther out where that is allowed, or "
        "ask for another approach"
    )


def _beyond_m(legs: Sequence[PathLeg], side: int, entry: str | None) -> float:
    """Return how far the path goes beyond the course; the way into an entry is not counted."""
    beyond = 0.0
    for leg in legs:
        into_entry = leg.lap == 1 and leg.phase in ("outbound turn", "outbound") and entry is not None
        if into_entry or leg.phase == "outbound turn":
            continue
        lateral = -side * leg.cross_m
        if leg.lap == 1 and entry == "parallel" and leg.phase == "reversal turn":
            lateral = lateral[-1:]  # it begins on the other side: what counts is where it ends
        beyond = max(beyond, float(np.max(lateral)))
    return beyond
