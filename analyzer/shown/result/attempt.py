"""One attempt in the result file."""

from typing import Literal

from analyzer.flown import Attempt
from analyzer.given import Frame, Procedure, frame_of
from analyzer.judged import (
    AltitudeMeasure,
    AssessedAttempt,
    AttemptMeasures,
    Cause,
    Causes,
    Finding,
    Judgement,
    Speed,
    Verdict,
)
from analyzer.shown.result import attempt_types as shape
from analyzer.shown.result.cleared import arc_result, cleared_result
from analyzer.shown.result.final import final_result
from analyzer.shown.result.plan import plan_result
from analyzer.shown.result.rounding import (
    DEGREES,
    FEET,
    KNOTS,
    NAUTICAL_MILES,
    PLACES,
    SECONDS,
    course,
    limit_ft,
    number,
    rounded,
)
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT


def attempt_result(assessed: AssessedAttempt, procedure: Procedure) -> shape.AttemptResult:
    """Return one attempt as the result file holds it."""
    attempt, measures, judgement, scores = assessed.attempt, assessed.measures, assessed.judgement, assessed.scores
    result: shape.AttemptResult = {
        "number": attempt.number,
        "start_s": rounded(attempt.start_s, SECONDS),
        "end_s": rounded(attempt.end_s, SECONDS),
        "fix_passages": [
            {
                "at_s": rounded(passage.at_s, SECONDS),
                "distance_nm": rounded(passage.distance_m / METRES_PER_NM, NAUTICAL_MILES),
                "direction": passage.direction,
            }
            for passage in attempt.passages
        ],
        "flown_as": attempt.flown_as,
        "entry": attempt.entry,
        "entry_expected": attempt.entry_expected,
        "entry_near_boundary": attempt.entry_near_boundary,
        "laps": attempt.laps,
        "phases": _phases(attempt),
        "containment": _containment(measures, judgement),
        "altitudes": [
            altitude_result(measure, verdict)
            for measure, verdict in zip(measures.altitudes, judgement.altitudes, strict=True)
        ],
        "intercept": _intercept(measures, judgement),
        "timing": _timing(measures, judgement),
        "turns": _turns(measures),
        "speed": _speed(measures.speed, judgement),
        "final": final_result(measures.final),
        "findings": [finding_result(finding) for finding in judgement.findings],
        "scores": {
            "containment": number(scores.containment, 1.0, 1),
            "altitude": number(scores.altitude, 1.0, 1),
            "intercept": number(scores.intercept, 1.0, 1),
            "timing": number(scores.timing, 1.0, 1),
            "overall": number(scores.overall, 1.0, 1),
        },
        "result": scores.result,
        "result_reason": scores.reason,
        "arrival_track_deg_true": None
        if attempt.arrival_track_true_deg is None
        else course(attempt.arrival_track_true_deg),
        "wrong_side": bool(attempt.wrong_side),
        "complete": bool(attempt.complete),
        "evidence": list(attempt.evidence),
        "not_assessed": list(judgement.not_assessed),
        "lap_times": [
            {
                "lap": lap.lap,
                "outbound_s": number(lap.outbound_s, 1.0, SECONDS),
                "inbound_s": number(lap.inbound_s, 1.0, SECONDS),
                "established_s": number(lap.established_s, 1.0, SECONDS),
            }
            for lap in measures.laps
        ],
        "legs": [
            {
                "phase": leg.phase,
                "lap": leg.lap,
                "track_deg_true": course(leg.track_true_deg),
                "heading_deg_true": None if leg.heading_true_deg is None else course(leg.heading_true_deg),
                "course_deg_true": None if leg.course_true_deg is None else course(leg.course_true_deg),
                "drift_correction_deg": number(leg.drift_correction_deg, 1.0, DEGREES),
            }
            for leg in measures.legs
        ],
        "deductions": [
            {
                "score": deduction.score,
                "code": deduction.code,
                "points": rounded(deduction.points, 1),
                "text": deduction.text,
            }
            for deduction in scores.deductions
        ],
        "self_assessment": [
            {
                "item": row.item,
                "own": row.own,
                "remark": row.remark,
                "shown": row.shown,
                "codes": list(row.codes),
                "meeting": row.meeting,
            }
            for row in assessed.own
        ],
        "cards": [
            {
                "title": card.title,
                "conditions": card.conditions,
                "lines": list(card.lines),
                "plan": plan_result(card.plan, procedure),
            }
            for card in assessed.cards
        ],
        "causes": None if assessed.causes is None else _causes(assessed.causes, procedure),
    }
    if measures.cleared is not None:
        result["cleared"] = cleared_result(measures.cleared)
    if measures.arc is not None:
        result["arc"] = arc_result(measures.arc)
    return result


def _phases(attempt: Attempt) -> list[shape.PhaseResult]:
    return [
        {
            "name": phase.name,
            "lap": phase.lap,
            "start_s": rounded(phase.start_s, SECONDS),
            "end_s": rounded(phase.end_s, SECONDS),
        }
        for phase in attempt.phases
    ]


def _containment(measures: AttemptMeasures, judgement: Judgement) -> shape.ContainmentResult:
    containment = measures.containment
    return {
        "verdict": judgement.containment,
        "margin_nm": number(containment.margin_m, METRES_PER_NM, NAUTICAL_MILES),
        "max_distance_nm": rounded(containment.max_distance_m / METRES_PER_NM, NAUTICAL_MILES),
        "excursions": [
            {
                "area": excursion.area,
                "start_s": rounded(excursion.start_s, SECONDS),
                "end_s": rounded(excursion.end_s, SECONDS),
                "max_nm": rounded(excursion.max_m / METRES_PER_NM, NAUTICAL_MILES),
                "at_s": rounded(excursion.at_s, SECONDS),
            }
            for excursion in containment.excursions
        ],
        "margin_area": containment.margin_area,
        "margin_at_s": number(containment.margin_at_s, 1.0, SECONDS),
        "sigma_nm": rounded(containment.sigma_m / METRES_PER_NM, NAUTICAL_MILES),
        "max_distance_at_s": rounded(containment.max_distance_at_s, SECONDS),
    }


def altitude_result(measure: AltitudeMeasure, verdict: Verdict) -> shape.AltitudeResult:
    """Return what was flown of one altitude limit."""
    return {
        "segment": measure.limit.segment,
        "rule": measure.limit.rule,
        "limit_ft": limit_ft(measure.limit),
        "worst_ft": number(measure.worst_m, METRES_PER_FOOT, FEET),
        "verdict": verdict,
        "violations": [
            {
                "start_s": rounded(violation.start_s, SECONDS),
                "end_s": rounded(violation.end_s, SECONDS),
                "worst_ft": rounded(violation.worst_m / METRES_PER_FOOT, FEET),
                "at_s": rounded(violation.worst_at_s, SECONDS),
            }
            for violation in measure.violations
        ],
        "worst_at_s": number(measure.worst_at_s, 1.0, SECONDS),
        "margin_ft": number(measure.margin_m, METRES_PER_FOOT, FEET),
        "sigma_ft": number(measure.sigma_m, METRES_PER_FOOT, FEET),
        "reason": measure.reason,
        "judged_from_s": number(measure.judged_from_s, 1.0, SECONDS),
    }


def _intercept(measures: AttemptMeasures, judgement: Judgement) -> shape.InterceptResult:
    intercept = measures.intercept
    return {
        "angle_deg": number(intercept.angle_deg, 1.0, DEGREES),
        "overshoot_nm": number(intercept.overshoot_m, METRES_PER_NM, NAUTICAL_MILES),
        "crossings": intercept.crossings,
        "established": bool(intercept.established),
        "established_s": number(intercept.established_s, 1.0, SECONDS),
        "established_at_nm": number(intercept.established_at_m, METRES_PER_NM, NAUTICAL_MILES),
        "rms_deflection": number(intercept.rms_deflection, 1.0, 3),
        "max_deflection": number(intercept.max_deflection, 1.0, 3),
        "judged_deflection": number(intercept.steady_deflection, 1.0, 3),
        "verdict": judgement.intercept,
    }


def _timing(measures: AttemptMeasures, judgement: Judgement) -> shape.TimingResult | None:
    timing = measures.timing
    if timing is None:
        return None
    return {
        "leg_s": rounded(timing.leg_s, SECONDS),
        "planned_s": rounded(timing.planned_s, SECONDS),
        "wind_adjusted_s": number(timing.wind_adjusted_s, 1.0, SECONDS),
        "verdict": judgement.timing,
        "leg": timing.leg,
        "lap": timing.lap,
        "start_s": rounded(timing.start_s, SECONDS),
        "sigma_s": rounded(timing.sigma_s, SECONDS),
    }


def _turns(measures: AttemptMeasures) -> list[shape.TurnResult]:
    return [
        {
            "phase": measure.phase,
            "lap": measure.lap,
            "degrees": rounded(measure.turn.degrees, DEGREES),
            "mean_rate_deg_s": rounded(measure.turn.mean_rate_deg_s, 3),
            "max_rate_deg_s": rounded(measure.turn.max_rate_deg_s, 3),
            "mean_bank_deg": number(measure.mean_bank_deg, 1.0, DEGREES),
            "held_bank_deg": None if measure.held_bank is None else rounded(measure.held_bank.degrees, DEGREES),
            "bank_recorded": measure.held_bank is not None and measure.held_bank.recorded,
            "radius_nm": number(measure.radius_m, METRES_PER_NM, NAUTICAL_MILES),
            "method": measure.turn.method,
            "start_s": rounded(measure.turn.start_s, SECONDS),
            "end_s": rounded(measure.turn.end_s, SECONDS),
        }
        for measure in measures.turns
    ]


def _speed(speed: Speed | None, judgement: Judgement) -> shape.SpeedResult:
    if speed is None:
        return {"limit_kt": None, "verdict": judgement.speed, "at_s": None}
    limit_kt = number(speed.limit_ias_mps, MPS_PER_KNOT, KNOTS)
    result: shape.SpeedResult = {
        "limit_kt": limit_kt,
        "verdict": judgement.speed,
        "at_s": rounded(speed.at_s, SECONDS),
    }
    fastest_kt = rounded(speed.max_mps / MPS_PER_KNOT, KNOTS)
    key: Literal["max_ias_kt", "max_tas_kt", "max_groundspeed_kt"]
    if speed.kind == "ias":
        key = "max_ias_kt"
    elif speed.kind == "tas":
        key = "max_tas_kt"
    else:
        key = "max_groundspeed_kt"
    result[key] = fastest_kt
    return result


def _causes(causes: Causes, procedure: Procedure) -> shape.CausesResult:
    frame = frame_of(procedure)

    def miles(metres: float | None) -> float | None:
        return number(metres, METRES_PER_NM, NAUTICAL_MILES)

    return {
        "lap": causes.lap,
        "reproduction_nm": miles(causes.reproduction_m),
        "reason": causes.reason,
        "effects": [
            {
                "name": effect.name,
                "size_nm": miles(effect.size_m),
                "together_nm": miles(effect.together_m),
                "text": effect.text,
                "causes": [
                    {
                        "name": cause.name,
                        "flown": number(cause.flown, 1.0, 3),
                        "asked": number(cause.asked, 1.0, 3),
                        "unit": cause.unit,
                        "before_nm": miles(cause.before_m),
                        "after_nm": miles(cause.after_m),
                        "contribution_nm": miles(cause.contribution_m),
                        "sigma_nm": miles(cause.sigma_m),
                        "text": cause.text,
                        "remedy": cause.remedy,
                        "from_s": rounded(cause.from_s, SECONDS),
                        "path": _places(frame, cause),
                        "path_nm": [
                            [
                                rounded(along / METRES_PER_NM, NAUTICAL_MILES),
                                rounded(cross / METRES_PER_NM, NAUTICAL_MILES),
                            ]
                            for along, cross in zip(cause.along_m, cause.cross_m, strict=True)
                        ],
                    }
                    for cause in effect.causes
                ],
            }
            for effect in causes.effects
        ],
    }


def _places(frame: Frame, cause: Cause) -> list[list[float]]:
    latitude, longitude = frame.latitude_longitude_from_along_cross(cause.along_m, cause.cross_m)
    return [[rounded(east, PLACES), rounded(north, PLACES)] for north, east in zip(latitude, longitude, strict=True)]


def finding_result(finding: Finding) -> shape.FindingResult:
    """Return one finding."""
    return {
        "code": finding.code,
        "severity": finding.severity,
        "phase": finding.phase,
        "lap": finding.lap,
        "at_s": number(finding.at_s, 1.0, SECONDS),
        "text": finding.text,
        "advice": finding.advice,
        "reference": finding.reference,
        "measured": number(finding.measured, 1.0, 4),
        "limit": number(finding.limit, 1.0, 4),
        "margin": number(finding.margin, 1.0, 4),
        "unit": finding.unit,
    }
