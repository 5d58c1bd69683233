"""What a procedure file may say beyond its required keys, in the result file's units; null or empty otherwise."""

from collections.abc import Callable

from analyzer.given import Place, Procedure
from analyzer.shown.result import types as shape
from analyzer.shown.result.rounding import FEET, NAUTICAL_MILES, course, number
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT


def charted_result(procedure: Procedure, place_result: Callable[[Place], shape.PlaceResult]) -> shape.ChartedResult:
    """Return the optional tables of a procedure; `place_result` writes a point."""

    def magnetic(true_deg: float) -> float:
        return course(procedure.magnetic_deg(true_deg))

    limit, missed, arc = procedure.outbound_limit, procedure.missed_approach, procedure.arc
    return {
        "outbound_limit": None
        if limit is None
        else {"dme_nm": _miles(limit.distance_m), "station": place_result(limit.station)},
        "no_reversal_from": [[magnetic(first), magnetic(last)] for first, last in procedure.no_reversal_from],
        "steps": [
            {
                "ident": step.ident,
                "distance_nm": _miles(step.distance_m),
                "origin": place_result(step.origin),
                "at_or_above_ft": number(step.low_m, METRES_PER_FOOT, FEET),
            }
            for step in procedure.steps
        ],
        "final_fix": None if procedure.final_fix is None else place_result(procedure.final_fix),
        "missed_approach": None
        if missed is None
        else {
            "at_nm": _miles(missed.before_runway_m),
            "at_min": number(missed.after_s, 60.0, 3),
            "groundspeed_kt": number(missed.groundspeed_mps, MPS_PER_KNOT, 2),
            "climb_to_ft": number(missed.climb_to_m, METRES_PER_FOOT, FEET),
        },
        "arc": None
        if arc is None
        else {
            "station": place_result(arc.station),
            "radius_nm": _miles(arc.radius_m),
            "from_deg": magnetic(arc.from_true_deg),
            "to_deg": magnetic(arc.to_true_deg),
        },
    }


def _miles(metres: float | None) -> float | None:
    return number(metres, METRES_PER_NM, NAUTICAL_MILES)
