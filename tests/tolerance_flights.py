"""Flights within the tolerances of the ICAO criteria, drawn at random and flown by the synthesizer.

[PANS-OPS II] Part I, Section 4, Chapter 3, 3.6.2 (read): speed up to the category's highest, wind w = 2h + 47 kt from
any direction, outbound timing 10 s, reaction 0 to 6 s, heading 5 degrees, 25 degrees of bank or 3 deg/s; entries to a
reversal within 30 degrees of the outbound track (3.5.3, read), to a hold from anywhere.
"""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace

import numpy as np
import shapely

from analyzer.given.procedure import AltitudeLimit, Guidance, Place, Procedure
from analyzer.planned.protection.build import protection_areas
from analyzer.planned.protection.icao.design_conditions import TemplateParameters, flown_conditions
from analyzer.planned.protection.icao.fix_tolerance import dme_tolerance_m
from analyzer.planned.protection.icao.procedure_turn import latest_start_m, nominal_45_180, nominal_80_260
from analyzer.standards.speeds import SPEEDS_ICAO, icao_holding_speed
from analyzer.synthesis import FlightPlan, FlyingError, Pilot, Sensor, fly
from analyzer.units.factors import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT

FIX = Place(46.2, -101.5, "HRF", 579.0)
ALTITUDE_FT = 4600.0
#: near enough to the edge to count as touching it
TOUCHES_M = 185.0  # 0.1 NM
COARSE = Sensor(interval_s=30.0)

Planner = Callable[[Procedure, str, np.random.Generator], FlightPlan]


@dataclass(frozen=True)
class Outcome:
    """How one flight lay in the primary area, and how it was flown.

    `margin_m` is the smallest distance to the edge between the passages of the fix (negative outside); `far_margin_m`
    the same farther than 2 NM from the fix, where the edge is not near only because the fix is; `reach_m` the extremes
    (along low, cross low, along high, cross high) of the path, `distance_m` its largest distance from
    the fix; `turn_start_m` where along the outbound track an offset turn began, 0 for methods without one.
    """

    margin_m: float
    far_margin_m: float
    reach_m: tuple[float, float, float, float]
    distance_m: float
    turn_start_m: float
    plan: FlightPlan
    seed: int


def procedure(reversal: str, criteria: str = "ICAO", category: str = "B", turn_side: str = "right") -> Procedure:
    """Return an invented procedure of a kind."""
    right = 1 if turn_side == "right" else -1
    return Procedure(
        title="Tolerance flights", reversal=reversal, fix=FIX, inbound_true_deg=125.0, variation_deg=7.0,
        variation_source="file", turn_side=turn_side, outbound_true_deg=305.0 + 24.0 * right * (reversal == "teardrop"),
        offset_true_deg=(305.0 + 45.0 * right) % 360.0, guidance=Guidance("VOR", FIX, 10.0, None),
        remain_within_m=10.0 * METRES_PER_NM if reversal == "procedure turn" else None,
        outbound_s=None if reversal == "teardrop" else 60.0, outbound_m=None, timing_from="turn start",
        max_ias_mps=None,
        altitudes=(AltitudeLimit("reversal", "at or above", ALTITUDE_FT * METRES_PER_FOOT, None),), criteria=criteria,
        category=category, defaults=frozenset({"limits.outbound_min"}),
    )  # fmt: skip


def outcome(procedure: Procedure, area: shapely.Polygon, plan: FlightPlan, seed: int) -> Outcome:
    """Fly and return how the path lay in the area, at points a second apart."""
    flight = fly(procedure, plan, seed, COARSE)
    state = flight.state
    per_second = round(1.0 / float(state.time_s[1] - state.time_s[0]))
    near = int(np.argmax(state.distance_m < 2.0 * METRES_PER_NM))
    first = near + int(np.argmin(state.distance_m[near : near + 200 * per_second]))
    # the inbound passage is the last closest point: behind it the final segment's areas protect
    last = len(state) - int(np.argmin(state.distance_m[: max(first, len(state) // 2) : -1])) - 1
    along, cross = state.along_m[first : last + 1 : per_second], state.cross_m[first : last + 1 : per_second]
    points = shapely.points(along, cross)
    distance = shapely.distance(area.exterior, points)
    margin = np.where(shapely.contains(area, points), distance, -distance)
    far = margin[np.hypot(along, cross) > 2.0 * METRES_PER_NM]
    reach = (float(along.min()), float(cross.min()), float(along.max()), float(cross.max()))
    furthest_m = float(np.hypot(along, cross).max())
    starts = [phase.start_s for phase in flight.truth.attempts[0].phases if phase.name == "offset turn"]
    turn_start_m = float(np.interp(starts[0], state.time_s, state.along_m)) if starts else 0.0
    far_margin_m = float(far.min()) if len(far) else float("inf")
    return Outcome(float(margin.min()), far_margin_m, reach, furthest_m, turn_start_m, plan, seed)


def latest_turn_start_m(procedure: Procedure, plan: FlightPlan) -> float:
    """Return how far out the offset turn may begin within the tolerances: the still-air path keeps to the distance.

    The DME is read with its tolerance. US rules leave the start of the turn to the pilot: there is no latest one.
    """
    if procedure.criteria == "US" or procedure.remain_within_m is None or plan.method not in ("45/180", "80/260"):
        return float("inf")
    conditions = flown_conditions(plan.tas_mps, plan.wind_speed_mps)
    timed_s = 60.0 if procedure.category in ("A", "B") else 75.0
    path = nominal_45_180(conditions, timed_s) if plan.method == "45/180" else nominal_80_260(conditions)
    start_m = latest_start_m(path, procedure.remain_within_m)
    return start_m + dme_tolerance_m(start_m)


def tolerance_plan(procedure: Procedure, method: str, generator: np.random.Generator) -> FlightPlan:
    """Return one flight within the tolerances."""
    draw = generator.uniform
    if procedure.is_hold:
        most = icao_holding_speed(ALTITUDE_FT, procedure.category).value
    else:
        most = SPEEDS_ICAO[f"icao.speed.reversal.{procedure.category}"].value
    table = TemplateParameters(float(draw(90.0, most)), ALTITUDE_FT)
    wind_kt = table.wind * float(np.sqrt(draw(0.0, 1.0)))
    arrival = float(draw(0.0, 360.0))
    if not procedure.is_hold:
        arrival = (procedure.outbound_true_deg + float(draw(-30.0, 30.0))) % 360.0
    timing_s = float(draw(-10.0, 10.0)) + float(draw(0.0, 6.0))
    heading_deg = float(draw(-5.0, 5.0))
    if method == "teardrop":
        heading_deg = 0.0  # its outbound leg follows the needle: a heading error is not a tolerance of it
    errors = (
        FlyingError("wrong heading", heading_deg),
        FlyingError("long timing", timing_s),
        FlyingError("late turn", float(draw(0.0, 6.0))),
    )
    category_ab = procedure.category in ("A", "B")
    turn_s = 45.0 / table.rate_deg_s
    leg_s = (60.0 if category_ab else 75.0) - turn_s
    # the templates let the wind drift the aircraft, but not on the courses that the needle guides: this pilot, who
    # corrects the same share everywhere, never comes back to the course of a hold with less than a quarter
    pilot = Pilot(roll_rate_deg_s=8.0, wind_correction=float(draw(0.25 if procedure.is_hold else 0.5, 1.0)))
    plan = FlightPlan(
        method=method,  # type: ignore[arg-type]
        tas_mps=table.tas * MPS_PER_KNOT,
        wind_from_deg_true=float(draw(0.0, 360.0)),
        wind_speed_mps=wind_kt * MPS_PER_KNOT,
        arrival_track_true_deg=arrival,
        arrival_m=3.0 * METRES_PER_NM,
        offset_leg_s=leg_s if method == "45/180" else None,
        intercept_deg=45.0,
        pilot=pilot,
        errors=errors,
        final_m=0.2 * METRES_PER_NM,
    )
    if method in ("45/180", "80/260"):
        # outbound times begin at a minute (I-4-3, 3.5.5, from memory), less the timing tolerance; a fast flight's
        # distance limit may leave less
        shortest_s = min(50.0, 0.8 * latest_turn_start_m(procedure, plan) / plan.tas_mps)
        plan = replace(plan, outbound_s=float(draw(shortest_s, 200.0)))
    return plan


def us_plan(procedure: Procedure, method: str, generator: np.random.Generator) -> FlightPlan:
    """Return one flight of a US procedure turn: up to 200 kt IAS, well corrected, turned in time for the distance."""
    draw = generator.uniform
    table = TemplateParameters(float(draw(80.0, 200.0)), ALTITUDE_FT)
    off_deg = float(draw(-30.0, 30.0)) + (0.0 if method == "racetrack" else 180.0)
    return FlightPlan(
        method=method,  # type: ignore[arg-type]
        tas_mps=table.tas * MPS_PER_KNOT,
        wind_from_deg_true=float(draw(0.0, 360.0)),
        wind_speed_mps=float(draw(0.0, 40.0)) * MPS_PER_KNOT,
        arrival_track_true_deg=(procedure.inbound_true_deg + off_deg) % 360.0,
        arrival_m=3.0 * METRES_PER_NM,
        outbound_s=float(draw(30.0, 130.0)) if method != "racetrack" else float(draw(60.0, 120.0)),
        pilot=Pilot(
            heading_sigma_deg=1.5, rollout_sigma_deg=1.5, reaction_s=1.0, wind_correction=float(draw(0.8, 1.0))
        ),
        final_m=0.2 * METRES_PER_NM,
    )


@contextmanager
def coarse_steps(step_s: float) -> Iterator[None]:
    """Let the synthesizer step more coarsely than its 0.05 s: a long run takes so much less time."""
    modules = [module for name, module in sys.modules.items() if name.startswith("analyzer.synthesis")]
    before = [(module, module.STEP_S) for module in modules if hasattr(module, "STEP_S")]
    try:
        for module, _ in before:
            module.STEP_S = step_s
        yield
    finally:
        for module, old in before:
            module.STEP_S = old


def fly_many(
    procedure: Procedure, method: str, count: int, seed: int, plan_of: Planner = tolerance_plan
) -> list[Outcome]:
    """Return how each of `count` flights lay in the primary area.

    Flights whose offset turn begins past the latest start are outside the tolerances: another is flown instead.
    """
    area = next(area.shape for area in protection_areas(procedure) if area.name == "primary")
    shapely.prepare(area)
    outcomes: list[Outcome] = []
    number = 0
    while len(outcomes) < count:
        number += 1
        plan = plan_of(procedure, method, np.random.default_rng([seed, number]))
        flown = outcome(procedure, area, plan, number)
        if flown.turn_start_m <= latest_turn_start_m(procedure, plan):
            outcomes.append(flown)
    return outcomes
