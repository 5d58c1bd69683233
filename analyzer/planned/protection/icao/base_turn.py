"""Template of the base turn (teardrop), [PANS-OPS II] I-4-3 appendix C, 3.1 and table C-1."""

import math
from dataclasses import dataclass

from analyzer.planned.protection.icao.design_conditions import AreaConditions
from analyzer.planned.protection.icao.fix_tolerance import FixTolerance, dme_tolerance_m
from analyzer.planned.protection.icao.wind_spirals import AirPosition, Discs, fix_discs, joined, turn_discs
from analyzer.standards import AREAS_ICAO, FLYING

_BANK_S = AREAS_ICAO["icao.area.bank_time"].value
_TIMING_S = AREAS_ICAO["icao.area.timing"].value
_REACTION_S = AREAS_ICAO["icao.area.reaction"].value


@dataclass(frozen=True)
class BaseTurnLimits:
    """Nearest and farthest start of the inbound turn along the outbound track, metres from the fix."""

    nearest_m: float
    farthest_m: float


def timed_limits(conditions: AreaConditions, outbound_s: float, fix_radius_m: float) -> BaseTurnLimits:
    """Return lines 14 and 15: (t - 5)(v - w') - z and (t + 21)(v + w') + z.

    t - 5 is 10 s of timing less 5 s of bank; t + 21 is 10 s of timing, 6 s of reaction and 5 s of bank.
    """
    slow, fast = conditions.tas_mps - conditions.wind_mps, conditions.tas_mps + conditions.wind_mps
    return BaseTurnLimits(
        (outbound_s - _TIMING_S + _BANK_S) * slow - fix_radius_m,
        (outbound_s + _TIMING_S + _REACTION_S + _BANK_S) * fast + fix_radius_m,
    )


def distance_limits(conditions: AreaConditions, outbound_m: float) -> BaseTurnLimits:
    """Return the limits of an outbound leg that ends at a DME distance: its tolerance, reaction and bank."""
    slow, fast = conditions.tas_mps - conditions.wind_mps, conditions.tas_mps + conditions.wind_mps
    tolerance_m = dme_tolerance_m(outbound_m)
    return BaseTurnLimits(
        outbound_m - tolerance_m + _BANK_S * min(slow, 0.0),
        outbound_m + tolerance_m + (_REACTION_S + _BANK_S) * fast,
    )


def base_turn_outbound_s(conditions: AreaConditions, divergence_deg: float) -> float:
    """Return the outbound time that belongs to a divergence: line 10 solved for T, seconds.

    36 / phi minutes up to 170 kt; above, 0.215 V / phi. Both are the time after which a turn at the criteria's rate
    ends on the inbound track.
    """
    knots = conditions.tas_mps * 3600.0 / 1852.0
    slow = AREAS_ICAO["icao.base_turn.slow"].value
    fast = AREAS_ICAO["icao.base_turn.fast"].value * knots
    minutes = (slow if knots <= AREAS_ICAO["icao.base_turn.fast_from"].value else fast) / divergence_deg
    return minutes * 60.0


def latest_turn_m(conditions: AreaConditions, within_m: float) -> float:
    """Return how far out the turn may start so that in still air it stays within a distance of the fix."""
    radius = conditions.radius_m
    return math.sqrt(max((within_m - radius) ** 2 - radius**2, 0.0)) if within_m > radius else 0.0


def template_base_turn(
    conditions: AreaConditions, divergence_deg: float, limits: BaseTurnLimits, tolerance: FixTolerance
) -> Discs:
    """Return the discs of the base turn area; x is the reciprocal of the inbound track, the outbound lies at +phi.

    The inbound turns are those of the document, in the order of its points: d and e from b2 (farthest start, outer
    protection line of the outbound track), f from b4 (farthest, inner line), g and h about the fifth centre, i and j
    from b3 (nearest, inner line). The wind acts through the turn, E per degree (lines 16 to 19); its effect along the
    outbound leg is in the lengths.
    """
    starts = base_turn_starts(divergence_deg, limits, tolerance)
    inbound = joined(turn_discs(starts["b2"], conditions, -100.0), turn_discs(starts["b4"], conditions, -100.0))
    crossing = crossing_point(conditions, inbound)
    return joined(
        fix_discs(tolerance.corners(), tolerance.radius_m),
        inbound,
        turn_discs(crossing, conditions, -100.0),
        turn_discs(starts["b3"], conditions, -235.0),
    )


def base_turn_starts(divergence_deg: float, limits: BaseTurnLimits, tolerance: FixTolerance) -> dict[str, AirPosition]:
    """Return b1 to b4: the nearest and the farthest start of the inbound turn on both protection lines.

    b1 (nearest) and b2 (farthest) are on the line away from the inbound track, b3 and b4 on the one towards it.
    """
    cosine, sine = math.cos(math.radians(divergence_deg)), math.sin(math.radians(divergence_deg))
    starts = {}
    for name, distance_m, side in (
        ("b1", limits.nearest_m, 1.0),
        ("b2", limits.farthest_m, 1.0),
        ("b3", limits.nearest_m, -1.0),
        ("b4", limits.farthest_m, -1.0),
    ):
        off_m = side * tolerance.cross_at_m(abs(distance_m))
        x_m, y_m = cosine * distance_m - sine * off_m, sine * distance_m + cosine * off_m
        starts[name] = AirPosition(x_m, y_m, divergence_deg, 0.0)
    return starts


def crossing_point(conditions: AreaConditions, inbound: Discs) -> AirPosition:
    """Return k, where the farthest turning aircraft that drifts outbound crosses the inbound track, heading across it.

    k lies on the inbound track and on the tangent to the spirals of the farthest turns that stands at 90 degrees plus
    the drift angle d = arcsin(w/V) to it (Table I-4-3-App C-1, line 20; second hand). From there it turns inbound about
    the fifth centre, r behind k. A wind as strong as the airspeed has no such line: the outermost point is taken.
    """
    share = conditions.wind_mps / conditions.tas_mps
    drift = math.asin(share) if share < 1.0 else 0.0
    reach_m = inbound.x_m * math.cos(drift) + inbound.y_m * math.sin(drift) + inbound.radius_m
    return AirPosition(float(reach_m.max()) / math.cos(drift), 0.0, -90.0, 0.0)


def entry_discs(conditions: AreaConditions, outbound_deg: float, tolerance: FixTolerance) -> Discs:
    """Return the discs of entries within 30 degrees of the outbound track: 11 s straight on, then a turn onto it.

    [PANS-OPS II] I-4-3, 3.5.3 (sector, read) and appendix C, 3.1.2.5.2 (points l, m and n, read); lines 21 to 24: 11 v,
    and the wind W = 11 w' + E per degree (second hand).

    Parameters
    ----------
    outbound_deg : float
        Angle of the outbound track from the x axis, towards the manoeuvring side.
    """
    sector = FLYING["icao.entry.reversal"].value
    groups = []
    for off in (-sector, sector):
        start = AirPosition(0.0, 0.0, outbound_deg + off, 0.0).after(conditions, _REACTION_S + _BANK_S)
        groups.append(turn_discs(start, conditions, math.copysign(100.0, -off)))
    return joined(*groups).placed(tolerance.corners(), tolerance.radius_m)
