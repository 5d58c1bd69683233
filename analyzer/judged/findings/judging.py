"""Puts the subjects together into one judgement."""

from analyzer.given import JudgedPart
from analyzer.judged.findings.altitude import judge_altitudes
from analyzer.judged.findings.case import Case, Part
from analyzer.judged.findings.clearance import judge_clearance
from analyzer.judged.findings.containment import judge_containment
from analyzer.judged.findings.descent import judge_descent
from analyzer.judged.findings.final import judge_final
from analyzer.judged.findings.hold import judge_hold
from analyzer.judged.findings.intercept import judge_intercept
from analyzer.judged.findings.leading_arc import judge_arc
from analyzer.judged.findings.method import judge_method, judge_side
from analyzer.judged.findings.speed import judge_speed
from analyzer.judged.findings.timing import judge_timing
from analyzer.judged.findings.turns import judge_turns
from analyzer.judged.findings.values import SEVERITIES, Finding, Judgement, Side, Verdict

_SIDES: dict[Verdict, Side] = {
    "to standard": "inside",
    "not to standard": "outside",
    "too close to call": "too close to call",
    "not assessed": "not assessed",
}
_WORDS: dict[JudgedPart, str] = {
    "containment": "Containment",
    "altitudes": "Altitudes",
    "manoeuvre": "Method, turns, timing and intercept",
    "speed": "Speed",
}


def judge(case: Case) -> Judgement:
    """Verdicts and findings of one attempt.

    Parameters
    ----------
    case : Case
        What was flown, what was measured of it, what was asked for, and how much is allowed.

    Returns
    -------
    Judgement
        Findings in the order of severity, then of time.

    Notes
    -----
    A verdict is "too close to call" where the margin is smaller than twice its 1-sigma uncertainty. Findings that
    carry no verdict of their own (angle, crossings, rates, headings, laps) are raised only
    beyond the limit by more than that.
    """
    kept = {part: Part("not assessed", (), (f"{_WORDS[part]}: {reason}",)) for part, reason in case.withheld.items()}
    silent = Part("not assessed")  # the parts of a manoeuvre that is not judged say so once
    containment = kept.get("containment") or judge_containment(case)
    altitudes, altitude = judge_altitudes(case)
    manoeuvre = kept.get("manoeuvre")
    speed = kept.get("speed") or judge_speed(case)
    intercept = manoeuvre or judge_intercept(case)
    timing = silent if manoeuvre else judge_timing(case)
    contained = containment.verdict != "not to standard"
    method = judge_side(case) if manoeuvre else judge_method(case, contained=contained)
    parts = (
        containment,
        altitude,
        judge_descent(case),
        intercept,
        timing,
        silent if manoeuvre else judge_turns(case),
        speed,
        silent if manoeuvre else judge_hold(case),
        judge_final(case),
        judge_clearance(case),
        judge_arc(case),
        silent if "containment" in kept else method,
    )
    findings = sorted((finding for part in parts for finding in part.findings), key=_order)
    return Judgement(
        _SIDES[containment.verdict],
        altitudes,
        intercept.verdict,
        timing.verdict,
        speed.verdict,
        tuple(findings),
        tuple(sentence for part in parts for sentence in part.not_assessed),
    )


def judge_finals(case: Case) -> Judgement:
    """Verdicts and findings of a final that no reversal led to; the verdict on the intercept is that on the final."""
    altitudes, altitude = judge_altitudes(case)
    final = judge_final(case)
    parts = (altitude, judge_descent(case), final, judge_clearance(case), judge_arc(case))
    findings = sorted((finding for part in parts for finding in part.findings), key=_order)
    said = tuple(sentence for part in parts for sentence in part.not_assessed)
    return Judgement("not assessed", altitudes, final.verdict, "not assessed", "not assessed", tuple(findings), said)


def _order(finding: Finding) -> tuple[int, float, str]:
    return (
        SEVERITIES.index(finding.severity),
        finding.at_s if finding.at_s is not None else float("inf"),
        finding.code,
    )
