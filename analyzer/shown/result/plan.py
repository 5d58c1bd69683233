"""A solved plan in the result file: legs that a machine can fly."""

from analyzer.given import Procedure, frame_of
from analyzer.planned import NoPlan, PathLeg, SolvedPlan, deflection
from analyzer.shown.result import plan_types as shape
from analyzer.shown.result.rounding import DEGREES, KNOTS, NAUTICAL_MILES, SECONDS, course, number, rounded
from analyzer.units import METRES_PER_NM, MPS_PER_KNOT


def plan_result(plan: SolvedPlan | NoPlan, procedure: Procedure) -> shape.PlanResult:
    """Return a plan as the result file holds it; headings and times as exact as they were solved."""
    wind: shape.PlanWindResult | None = None
    if plan.wind is not None:
        wind = {
            "from_deg_true": course(plan.wind.from_deg_true),
            "speed_kt": rounded(plan.wind.speed_mps / MPS_PER_KNOT, KNOTS),
        }
    solved = plan if isinstance(plan, SolvedPlan) else None
    roll_outs = [] if solved is None else _roll_outs(solved, procedure)
    return {
        "kind": plan.method,
        "entry": plan.entry,
        "tas_kt": rounded(plan.tas_mps / MPS_PER_KNOT, KNOTS),
        "wind": wind,
        "no_plan": plan.reason if isinstance(plan, NoPlan) else None,
        "start": {"at": "fix", "track_true_deg": None if solved is None else _start_track(solved, procedure)},
        "legs": [] if solved is None else [_leg(leg, solved, procedure) for leg in solved.legs],
        "roll_out": roll_outs[-1] if roll_outs else None,
        "roll_outs": roll_outs,
        "inbound_s": None if solved is None else rounded(solved.inbound_s, SECONDS),
        "latest_start_nm": None if solved is None else number(solved.latest_start_m, METRES_PER_NM, NAUTICAL_MILES),
        "room_nm": None if solved is None else number(solved.room_m, METRES_PER_NM, NAUTICAL_MILES),
        "conditions": [] if solved is None else _conditions(solved),
        "rule_of_thumb": None if solved is None else _rule(solved),
    }


def _start_track(plan: SolvedPlan, procedure: Procedure) -> float | None:
    """Ground track over the fix: the arrival of an entry, the inbound course of a circuit, the outbound track."""
    if plan.arrival_true_deg is not None:
        return course(plan.arrival_true_deg)
    first = plan.legs[0]
    if first.turn_deg is not None:
        return course(procedure.inbound_true_deg)
    if first.heading_true_deg is None or first.drift_correction_deg is None:
        return None
    return course(first.heading_true_deg - first.drift_correction_deg)


def _leg(leg: PathLeg, plan: SolvedPlan, procedure: Procedure) -> shape.PlanLegResult:
    heading, onto, end = leg.heading_true_deg, leg.to_heading_true_deg, leg.end
    turning, kind = leg.turn_deg, None if end is None else end.kind
    distance_nm = None if end is None else number(end.distance_m, METRES_PER_NM, NAUTICAL_MILES)
    by_dme = kind in ("station distance", "distance from the fix")
    return {
        "kind": "leg" if turning is None else "turn",
        "phase": leg.phase,
        "lap": leg.lap,
        "duration_s": rounded(leg.duration_s, SECONDS),
        "heading_magnetic_deg": None if heading is None else course(procedure.magnetic_deg(heading)),
        "heading_true_deg": None if heading is None else course(heading),
        "track": leg.tracked if turning is None else None,
        "time_s": rounded(_timed_s(leg), SECONDS) if kind == "time" else None,
        "clock_from": end.clock_from if end is not None and kind == "time" else None,
        "to_dme_nm": distance_nm if by_dme else None,
        "dme_of": None if not by_dme else "station" if kind == "station distance" else "fix",
        "to_along_nm": distance_nm if kind == "distance along the course" else None,
        "to_course": kind == "course",
        "lead_nm": distance_nm if kind == "course" else None,
        "lead_deg": _lead_deg(leg, procedure) if kind == "course" else None,
        "to_fix": kind == "fix",
        "turn": None if turning is None else "right" if turning > 0.0 else "left",
        "degrees": None if turning is None else rounded(abs(turning), DEGREES),
        "to_heading_magnetic_deg": None if onto is None else course(procedure.magnetic_deg(onto)),
        "to_heading_true_deg": None if onto is None else course(onto),
        "rate_deg_s": None if turning is None else rounded(plan.rate_deg_s, 4),
        "bank_deg": None if turning is None else rounded(plan.bank_deg, DEGREES),
    }


def _timed_s(leg: PathLeg) -> float:
    return leg.duration_s if leg.timed_s is None else leg.timed_s


def _lead_deg(leg: PathLeg, procedure: Procedure) -> float | None:
    """Degrees off the course at the station where the turn onto it begins, None for guidance without an angle."""
    scale = procedure.guidance.full_scale_deg
    if scale is None:
        return None
    return rounded(abs(float(deflection(procedure, frame_of(procedure), leg.along_m[-1], leg.cross_m[-1]))) * scale, 2)


def _roll_outs(plan: SolvedPlan, procedure: Procedure) -> list[shape.PlanRollOutResult]:
    found: list[shape.PlanRollOutResult] = []
    for turn, inbound in zip(plan.legs, plan.legs[1:], strict=False):
        if inbound.phase == "inbound" and turn.turn_deg is not None:
            found.append(
                {
                    "lap": turn.lap,
                    "along_nm": rounded(float(turn.along_m[-1]) / METRES_PER_NM, NAUTICAL_MILES),
                    "cross_nm": rounded(float(turn.cross_m[-1]) / METRES_PER_NM, NAUTICAL_MILES),
                    "ground_track_true_deg": course(procedure.inbound_true_deg),
                }
            )
    return found


def _conditions(plan: SolvedPlan) -> list[shape.PlanConditionResult]:
    result: list[shape.PlanConditionResult] = []
    for one in plan.conditions:
        unit, scale, places = ("NM", METRES_PER_NM, NAUTICAL_MILES) if one.unit == "m" else (one.unit, 1.0, SECONDS)
        result.append(
            {
                "name": one.name,
                "asked": rounded(one.asked / scale, places),
                "got": rounded(one.got / scale, places),
                "unit": unit,
                "met": one.met,
            }
        )
    return result


def _rule(plan: SolvedPlan) -> shape.PlanRuleResult | None:
    thumb = plan.thumb
    if thumb is None:
        return None
    return {
        "name": thumb.name,
        "correction_deg": number(thumb.correction_deg, 1.0, DEGREES),
        "time_s": number(thumb.time_s, 1.0, SECONDS),
        "off_nm": rounded(thumb.off_m / METRES_PER_NM, NAUTICAL_MILES),
    }
