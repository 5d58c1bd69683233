"""Judges the final: the needle to its end, step-down fixes, the missed approach."""

from collections.abc import Iterator

from analyzer.judged.findings.case import Case, Part, verdict_of, worst_verdict
from analyzer.judged.findings.values import Finding, Severity, Verdict
from analyzer.judged.measurements.final import MOMENT_SIGMA_S
from analyzer.judged.measurements.final_values import FinalMeasure, StepMeasure
from analyzer.units import METRES_PER_FOOT, clock, feet, miles, seconds

TRACKING = "tracking.deflection"
#: beyond the whole scale the aircraft is not on the final any more: go around (common practice)
FULL_SCALE = 1.0
#: altimeters are read to half their smallest division, 10 ft: nothing less is below a minimum (own choice)
INDICATED_BAND_M = 10.0 * METRES_PER_FOOT
#: below a minimum by so much there is no margin left in a procedure's design for other errors (own choice)
CRITICAL_BELOW_M = 100.0 * METRES_PER_FOOT
#: from deciding to climbing: power, pitch, the aircraft's answer (own choice; no document gives a figure)
LATE_S, VERY_LATE_S = 5.0, 20.0
STEP_REFERENCE = "chart: minimum until the step-down fix"
MISSED_REFERENCE = "chart: missed approach point; FAA-S-ACS-8C IR.VI.A.S13"


def judge_final(case: Case) -> Part:
    """Return the verdict on the final and its findings; nothing where the file says nothing of a final."""
    final = case.measures.final
    if final is None:
        return Part("not assessed")
    findings: list[Finding] = []
    verdicts: list[Verdict] = []
    for verdict, finding in (_tracked(case, final), *_steps(case, final), *_missed(case, final)):
        verdicts.append(verdict)
        if finding is not None:
            findings.append(finding)
    said = () if final.reason is None else (f"Tracking on the final: {final.reason}.",)
    return Part(worst_verdict(verdicts), tuple(findings), said)


def _finding(
    case: Case, code: str, severity: Severity, at_s: float, words: tuple[str, str, str], figures: tuple[float, float]
) -> Finding:
    """Return a finding; `words` are text, advice and reference, `figures` what was measured and its limit in feet."""
    phase, lap = case.phase_at(at_s)
    measured, limit = figures
    return Finding(code, severity, phase, lap, at_s, *words, measured, limit, measured - limit, "ft")


def _tracked(case: Case, final: FinalMeasure) -> tuple[Verdict, Finding | None]:
    if final.deflection is None or final.deflection_at_s is None:
        return "not assessed", None
    allowed = case.tolerances.value(TRACKING)
    verdict = verdict_of(allowed - final.deflection, final.deflection_sigma)
    if verdict != "not to standard":
        return verdict, None
    phase, lap = case.phase_at(final.deflection_at_s)
    guidance = case.procedure.guidance
    if guidance.kind == "NDB" and guidance.full_scale_deg is not None:
        off = f"{final.deflection * guidance.full_scale_deg:.0f}° off the bearing"
        limit, gone = f"{allowed * guidance.full_scale_deg:.1f}° allowed", f"{guidance.full_scale_deg:.0f}° off"
    else:
        off = f"the needle at {final.deflection:.2f} of full scale"
        limit, gone = f"{allowed:g} allowed", "at full scale"
    return verdict, Finding(
        "final-not-tracked",
        "critical" if final.deflection >= FULL_SCALE else "major",
        phase,
        lap,
        final.deflection_at_s,
        f"At {clock(final.deflection_at_s)}, on the final, {off} ({miles(final.off_m or 0.0)} off); {limit}.",
        f"Hold a heading for the wind from the fix on and correct in steps of 5°; {gone} go around.",
        case.tolerances.reference(TRACKING),
        final.deflection,
        allowed,
        allowed - final.deflection,
        "full scale",
    )


def _below(case: Case, margin_m: float, sigma_m: float) -> Verdict:
    """Return the verdict on a height above a minimum: of an indicated record what the altimeter showed decides."""
    if case.altitude_kind == "indicated":
        return "to standard" if margin_m >= -INDICATED_BAND_M else "not to standard"
    return verdict_of(margin_m, sigma_m)


def _steps(case: Case, final: FinalMeasure) -> Iterator[tuple[Verdict, Finding | None]]:
    for step in final.steps:
        verdict = _below(case, step.margin_m, step.sigma_m)
        yield verdict, _step_finding(case, step) if verdict == "not to standard" else None


def _step_finding(case: Case, step: StepMeasure) -> Finding:
    name = step.step.ident or f"the step-down fix at {miles(step.step.distance_m)}"
    low = feet(step.step.low_m)
    text = (
        f"At {clock(step.worst_at_s)} the flight was at {feet(step.worst_m)}, {feet(-step.margin_m)} below the {low} "
        f"that hold until {name}, passed at {clock(step.passed_s)}."
    )
    severity: Severity = "critical" if step.margin_m <= -CRITICAL_BELOW_M else "major"
    figures = (step.worst_m / METRES_PER_FOOT, step.step.low_m / METRES_PER_FOOT)
    advice = f"Level at {low} until {name} is behind you, then descend."
    return _finding(case, "below-step-down-fix", severity, step.worst_at_s, (text, advice, STEP_REFERENCE), figures)


def _missed(case: Case, final: FinalMeasure) -> Iterator[tuple[Verdict, Finding | None]]:
    missed = final.missed
    if missed is None or missed.point_s is None:
        return
    late_s = missed.climb_s - missed.point_s
    verdict = verdict_of(LATE_S - late_s, MOMENT_SIGMA_S)
    finding = None
    if verdict == "not to standard":
        phase, lap = case.phase_at(missed.climb_s)
        finding = Finding(
            "missed-approach-late",
            "critical" if late_s > VERY_LATE_S else "major",
            phase,
            lap,
            missed.climb_s,
            f"At {clock(missed.climb_s)} the missed approach was begun, {seconds(late_s)} after its point was passed "
            f"(at {clock(missed.point_s)}).",
            "At the point without the runway in sight climb at once: obstacles beyond it are not allowed for.",
            MISSED_REFERENCE,
            late_s,
            LATE_S,
            LATE_S - late_s,
            "s",
        )
    yield verdict, finding
    if missed.margin_m is None or missed.low_m is None or missed.low_at_s is None:
        return
    verdict = _below(case, missed.margin_m, missed.sigma_m or 0.0)
    limit_m = missed.low_m - missed.margin_m
    if verdict != "not to standard":
        yield verdict, None
        return
    text = (
        f"On the missed approach, at {clock(missed.low_at_s)}, the flight was at {feet(missed.low_m)}, "
        f"{feet(-missed.margin_m)} below the minimum of {feet(limit_m)}."
    )
    advice = "Once you go around never go lower: power and pitch first, then the rest."
    figures = (missed.low_m / METRES_PER_FOOT, limit_m / METRES_PER_FOOT)
    words = (text, advice, "14 CFR 91.175(c); FAA-S-ACS-8C IR.VI.A.S12")
    yield verdict, _finding(case, "below-minimum-on-missed-approach", "critical", missed.low_at_s, words, figures)
