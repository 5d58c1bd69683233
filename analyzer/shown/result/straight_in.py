"""A final that no reversal led to as the result file holds it."""

from analyzer.judged import AssessedStraightIn
from analyzer.shown.result import lesson_types as shape
from analyzer.shown.result.attempt import altitude_result, finding_result
from analyzer.shown.result.cleared import arc_result, cleared_result
from analyzer.shown.result.final import final_result
from analyzer.shown.result.rounding import SECONDS, course, rounded


def straight_in_result(one: AssessedStraightIn, procedure: int | None = None) -> shape.StraightInResult:
    """Return a straight-in; `procedure` is the index of its procedure where there are several."""
    straight, measures, judgement = one.straight, one.measures, one.judgement
    arrival = straight.arrival_track_true_deg
    result: shape.StraightInResult = {
        "start_s": rounded(one.attempt.start_s, SECONDS),
        "joined_s": rounded(straight.joined_s, SECONDS),
        "passed_s": rounded(straight.passed_s, SECONDS),
        "end_s": rounded(one.attempt.end_s, SECONDS),
        "joined": "past the fix" if straight.inside_fix else "before the fix",
        "arrival_track_deg_true": None if arrival is None else course(arrival),
        "altitudes": [
            altitude_result(measure, verdict)
            for measure, verdict in zip(measures.altitudes, judgement.altitudes, strict=True)
        ],
        "final": final_result(measures.final),
        "findings": [finding_result(finding) for finding in judgement.findings],
        "result": one.result,
        "why": one.why,
    }
    if procedure is not None:
        result["procedure"] = procedure
    if measures.cleared is not None:
        result["cleared"] = cleared_result(measures.cleared)
    if measures.arc is not None:
        result["arc"] = arc_result(measures.arc)
    return result
