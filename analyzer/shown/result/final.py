"""The final of an attempt as the result file holds it."""

from analyzer.judged import FinalMeasure, GateMeasure
from analyzer.shown.result import flight_types as shape
from analyzer.shown.result.rounding import FEET, KNOTS, NAUTICAL_MILES, SECONDS, number, rounded
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_FPM, MPS_PER_KNOT


def final_result(final: FinalMeasure | None) -> shape.FinalResult | None:
    """Return what was flown on the final, None where the procedure file says nothing of one."""
    if final is None:
        return None
    missed = final.missed
    return {
        "start_s": rounded(final.start_s, SECONDS),
        "end_s": rounded(final.end_s, SECONDS),
        "max_deflection": number(final.deflection, 1.0, 2),
        "max_deflection_at_s": number(final.deflection_at_s, 1.0, SECONDS),
        "off_course_nm": number(final.off_m, METRES_PER_NM, NAUTICAL_MILES),
        "not_assessed": final.reason,
        "steps": [
            {
                "ident": one.step.ident,
                "distance_nm": rounded(one.step.distance_m / METRES_PER_NM, NAUTICAL_MILES),
                "limit_ft": rounded(one.step.low_m / METRES_PER_FOOT, FEET),
                "passed_s": rounded(one.passed_s, SECONDS),
                "worst_ft": rounded(one.worst_m / METRES_PER_FOOT, FEET),
            }
            for one in final.steps
        ],
        "missed_approach": None
        if missed is None
        else {
            "climb_s": rounded(missed.climb_s, SECONDS),
            "point_s": number(missed.point_s, 1.0, SECONDS),
            "lowest_ft": number(missed.low_m, METRES_PER_FOOT, FEET),
            "climbed_to_ft": number(missed.climbed_m, METRES_PER_FOOT, FEET),
        },
        "point_s": number(final.point_s, 1.0, SECONDS),
        "charted_s": number(final.charted_s, 1.0, SECONDS),
        "planned_s": number(final.planned_s, 1.0, SECONDS),
        "gate": None if final.gate is None else _gate(final.gate),
    }


def _gate(gate: GateMeasure) -> shape.GateResult:
    return {
        "at_s": rounded(gate.at_s, SECONDS),
        "height_ft": number(gate.height_m, METRES_PER_FOOT, FEET),
        "descent_fpm": number(gate.rate_mps, MPS_PER_FPM, 0),
        "groundspeed_kt": number(gate.groundspeed_mps, MPS_PER_KNOT, KNOTS),
        "deflection": number(gate.deflection, 1.0, 2),
    }
