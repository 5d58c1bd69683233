"""The cockpit rule beside the solution: three times the drift, a second for each knot, and how far off it ends."""

import math
from collections.abc import Sequence

from analyzer.given import FlownAs, Procedure
from analyzer.planned.solver.air import Air, way_round
from analyzer.planned.solver.values import PathLeg, RuleOfThumb
from analyzer.standards import FLYING
from analyzer.units import MPS_PER_KNOT

DRIFT_FACTOR = FLYING["hold.drift_factor"].value
#: nobody steers more than this for the wind by a rule of thumb (own choice)
MOST_CORRECTION_DEG = 60.0
#: a second for each knot of head or tail wind (common practice)
SECONDS_PER_KNOT = 1.0


def rule_of_thumb(method: FlownAs, procedure: Procedure, air: Air, legs: Sequence[PathLeg]) -> RuleOfThumb | None:
    """Return what the cockpit rule gives and where it rolls out; of holds, racetracks and 45/180 turns.

    Parameters
    ----------
    method : str
    procedure : Procedure
    air : Air
    legs : sequence of PathLeg
        The solved path: the rule is tried on its last lap.
    """
    if method in ("hold", "racetrack"):
        return _three_times(procedure, air, legs)
    if method == "45/180":
        return _second_per_knot(procedure, air, legs)
    return None


def _three_times(procedure: Procedure, air: Air, legs: Sequence[PathLeg]) -> RuleOfThumb | None:
    """Take three times the inbound correction outbound, [AIM] 5-3-8 j, the leg as long as the plan's."""
    outbound = [leg for leg in legs if leg.phase == "outbound" and leg.lap == legs[-1].lap]
    if not outbound:
        return None
    inbound = air.heading_for_track(0.0)
    size = DRIFT_FACTOR * ((inbound + 180.0) % 360.0 - 180.0)
    size = max(-MOST_CORRECTION_DEG, min(MOST_CORRECTION_DEG, size))
    heading = 180.0 - size
    dx, dy, _ = air.turn(inbound, way_round(inbound, heading, 1))
    vx, vy = air.ground_mps(heading)
    _, turned_y, _ = air.turn(heading, way_round(heading, inbound, 1))
    end_x = float(outbound[0].along_m[-1])
    seconds = max((end_x - dx) / vx, 0.0) if vx > 0.0 else outbound[0].duration_s
    off_m = -(dy + vy * seconds + turned_y)
    return RuleOfThumb("three times the inbound drift correction, the other way", procedure.side * -size, None, off_m)


def _second_per_knot(procedure: Procedure, air: Air, legs: Sequence[PathLeg]) -> RuleOfThumb | None:
    """Take a second for each knot of wind along the offset leg, its drift held."""
    leg = next((leg for leg in legs if leg.phase == "offset leg"), None)
    if leg is None or leg.timed_s is None or leg.duration_s <= 0.0 or leg.heading_true_deg is None:
        return None
    charted = procedure.outbound_s
    if charted is None:
        return None
    seconds = leg.duration_s
    speed = math.hypot(
        float(leg.along_m[-1] - leg.along_m[0]) / seconds, float(leg.cross_m[-1] - leg.cross_m[0]) / seconds
    )
    tail_kt = (speed - air.tas_mps) / MPS_PER_KNOT
    timed = max(charted - SECONDS_PER_KNOT * tail_kt, 0.0)
    across = procedure.side * float(leg.cross_m[-1] - leg.cross_m[0]) / seconds
    return RuleOfThumb(
        "a second less for each knot of tail wind, more for head wind",
        None,
        timed,
        -(timed - leg.timed_s) * across,
    )
