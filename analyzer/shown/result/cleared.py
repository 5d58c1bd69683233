"""What was flown of a clearance and of an arc as the result file holds it."""

from analyzer.judged import ArcMeasure, ClearedMeasure
from analyzer.shown.result import flight_types as shape
from analyzer.shown.result.rounding import DEGREES, FEET, NAUTICAL_MILES, SECONDS, number, rounded
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM


def cleared_result(cleared: ClearedMeasure) -> shape.ClearedResult:
    """Return what was flown of a clearance."""
    kept, crossed = cleared.assigned, cleared.crossing
    limit_m = None if crossed is None else crossed.limit.low_m
    if crossed is not None and limit_m is None:
        limit_m = crossed.limit.high_m
    return {
        "assigned_altitude": None
        if kept is None
        else {
            "limit_ft": _feet(kept.limit_m),
            "from_s": rounded(kept.from_s, SECONDS),
            "until_s": rounded(kept.until_s, SECONDS),
            "cleared_s": number(kept.cleared_s, 1.0, SECONDS),
            "lowest_ft": _feet(kept.low_m),
            "highest_ft": _feet(kept.high_m),
            "not_assessed": kept.reason,
        },
        "crossing_altitude": None
        if crossed is None
        else {
            "rule": crossed.limit.rule,
            "limit_ft": _feet(limit_m),
            "at_s": rounded(crossed.at_s, SECONDS),
            "flown_ft": _feet(crossed.altitude_m),
        },
        "leave_s": number(cleared.leave_s, 1.0, SECONDS),
        "left_s": number(cleared.left_s, 1.0, SECONDS),
    }


def _feet(metres: float | None) -> float | None:
    return number(metres, METRES_PER_FOOT, FEET)


def arc_result(arc: ArcMeasure) -> shape.ArcFlownResult:
    """Return how the arc to the fix was flown."""
    return {
        "start_s": rounded(arc.start_s, SECONDS),
        "end_s": rounded(arc.end_s, SECONDS),
        "worst_nm": number(arc.worst_m, METRES_PER_NM, NAUTICAL_MILES),
        "worst_at_s": rounded(arc.worst_at_s, SECONDS),
        "lead_deg": number(arc.lead_deg, 1.0, DEGREES),
        "asked_lead_deg": number(arc.asked_lead_deg, 1.0, DEGREES),
    }
