"""Judges the altitudes of a clearance: kept until cleared and past the fix, and the one over the fix."""

from analyzer.judged.findings.case import Case, Part, verdict_of, worst_verdict
from analyzer.judged.findings.values import Finding, Severity, Verdict
from analyzer.judged.measurements.cleared_values import AssignedMeasure, CrossingMeasure
from analyzer.units import METRES_PER_FOOT, clock, feet, seconds

#: no pilot may deviate from a clearance (14 CFR 91.123 (a), read); AIM 4-4-10 a says the same
NO_DEVIATION = "14 CFR 91.123 (a); AIM 4-4-10 a"
#: off a published route the last assigned altitude is kept until established on a segment (14 CFR 91.175 (i), read)
UNTIL_ESTABLISHED = "14 CFR 91.175 (i)"


def judge_clearance(case: Case) -> Part:
    """Return findings on the altitudes that were cleared; nothing where the clearance names none."""
    cleared = case.measures.cleared
    if cleared is None or "altitudes" in case.withheld:
        return Part("not assessed")
    verdicts: list[Verdict] = []
    findings: list[Finding] = []
    missing: list[str] = []
    if cleared.assigned is not None:
        verdict, finding = _assigned(case, cleared.assigned)
        verdicts.append(verdict)
        findings += [] if finding is None else [finding]
        if cleared.assigned.reason is not None:
            missing.append(f"Assigned altitude of {feet(cleared.assigned.limit_m)}: {cleared.assigned.reason}.")
    if cleared.crossing is not None:
        verdict, finding = _crossing(case, cleared.crossing)
        verdicts.append(verdict)
        findings += [] if finding is None else [finding]
        if cleared.crossing.altitude_m is None:
            missing.append("Altitude over the fix: the track has none there.")
    return Part(worst_verdict(verdicts), tuple(findings), tuple(missing))


def _assigned(case: Case, kept: AssignedMeasure) -> tuple[Verdict, Finding | None]:
    if kept.low_m is None or kept.high_m is None or kept.left_s is None:
        return "not assessed", None
    allowed_m = case.tolerances.si(f"{case.task}.altitude_ft")
    below_m, above_m = kept.limit_m - kept.low_m, kept.high_m - kept.limit_m
    off_m = max(below_m, above_m)
    verdict = verdict_of(allowed_m - off_m + kept.reading_m, kept.sigma_m)
    if verdict != "not to standard":
        return verdict, None
    low = below_m >= above_m
    at_s = (kept.low_at_s if low else kept.high_at_s) or kept.left_s
    worst_m = kept.low_m if low else kept.high_m
    code, severity, words = _left(case, kept, off_m, low=low)
    phase, lap = case.phase_at(at_s)
    limit_m = kept.limit_m + (-allowed_m if low else allowed_m)
    text, advice, reference = words
    text = text.replace("{reading}", f"{feet(worst_m)} at {clock(at_s)}")
    return verdict, Finding(
        code, severity, phase, lap, kept.left_s, text, advice, reference, worst_m / METRES_PER_FOOT,
        limit_m / METRES_PER_FOOT, (allowed_m - off_m) / METRES_PER_FOOT, "ft",
    )  # fmt: skip


def _left(case: Case, kept: AssignedMeasure, off_m: float, *, low: bool) -> tuple[str, Severity, tuple[str, str, str]]:
    """Return code, severity and words of an assigned altitude that was left."""
    left_s, limit = kept.left_s or 0.0, feet(kept.limit_m)
    critical = off_m > case.tolerances.si("assigned.critical_altitude_ft")
    cleared = kept.cleared_s
    if not low:
        text = f"At {clock(left_s)} the flight climbed away from the {limit} assigned: {{reading}}."
        advice = "Read the altitude back, set it, and trim for level flight when it is reached."
        return "climbed-off-assigned-altitude", "critical" if critical else "major", (text, advice, NO_DEVIATION)
    if cleared is not None and left_s >= cleared:
        text = (
            f"At {clock(left_s)}, cleared but {seconds(kept.until_s - left_s)} before the fix, the flight left the "
            f"{limit} assigned: {{reading}}."
        )
        advice = f"Keep {limit} until the fix, unless the route to it is a published one with a lower minimum."
        return "descended-before-segment", "major", (text, advice, UNTIL_ESTABLISHED)
    early = (
        f"{seconds(cleared - left_s)} before the approach was cleared (at {clock(cleared)})"
        if cleared is not None
        else f"{seconds(kept.until_s - left_s)} before the fix"
    )
    text = f"At {clock(left_s)}, {early}, the flight left the {limit} assigned: {{reading}}."
    advice = f'Stay at {limit} until you hear "cleared"; ask for lower if you need it.'
    return "descended-before-cleared", "critical" if critical else "major", (text, advice, NO_DEVIATION)


def _crossing(case: Case, crossed: CrossingMeasure) -> tuple[Verdict, Finding | None]:
    if crossed.altitude_m is None:
        return "not assessed", None
    limit, flown_m = crossed.limit, crossed.altitude_m
    allowed_m = case.tolerances.si(f"{case.task}.altitude_ft") if limit.rule == "at" else 0.0
    margins = [] if limit.low_m is None else [(flown_m - limit.low_m + allowed_m, limit.low_m - allowed_m)]
    margins += [] if limit.high_m is None else [(limit.high_m + allowed_m - flown_m, limit.high_m + allowed_m)]
    margin_m, edge_m = min(margins)
    verdict = verdict_of(margin_m + crossed.reading_m, crossed.sigma_m)
    if verdict != "not to standard":
        return verdict, None
    bound_m = limit.low_m if limit.low_m is not None else limit.high_m
    phase, lap = case.phase_at(crossed.at_s)
    off_m = abs(flown_m - (bound_m or 0.0))
    side = "below" if flown_m < (bound_m or 0.0) else "above"
    return verdict, Finding(
        "crossing-altitude-missed", "major", phase, lap, crossed.at_s,
        f"The fix was crossed at {clock(crossed.at_s)} at {feet(flown_m)}, {feet(off_m)} {side} the "
        f"{feet(bound_m or 0.0)} cleared ({limit.rule}).",
        "Work out early where to begin: height to lose over the rate, times the groundspeed; say so if it won't do.",
        f"clearance; {NO_DEVIATION}", flown_m / METRES_PER_FOOT, edge_m / METRES_PER_FOOT,
        margin_m / METRES_PER_FOOT, "ft",
    )  # fmt: skip
