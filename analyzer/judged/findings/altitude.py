"""Judges each segment's altitudes against its limit."""

from dataclasses import replace

from analyzer.given import AltitudeLimit, PhaseName
from analyzer.judged.findings.case import SIGMAS_OF_DOUBT, Case, Part, verdict_of
from analyzer.judged.findings.values import Finding, Severity, Verdict
from analyzer.judged.measurements.values import AltitudeMeasure, AltitudeViolation
from analyzer.units import METRES_PER_FOOT, clock, feet, span

#: below the minimum descent altitude by so much is critical: nothing below it is protected (own choice)
CRITICAL_BELOW_MDA_M = 50.0 * METRES_PER_FOOT
#: a violation that ends within this of the segment's end was still going on there
SAME_MOMENT_S = 1.0
BAND_M = 100.0 * METRES_PER_FOOT  # the band that counts as having reached an altitude
SAME_HEIGHT_M = 0.5 * METRES_PER_FOOT
SEGMENT_WORDS = {
    "arrival": "the arrival",
    "reversal": "the reversal",
    "inbound": "the inbound leg",
    "final": "the final segment",
}


def _segment_words(case: Case, segment: str) -> str:
    return "the hold" if segment == "reversal" and case.procedure.is_hold else SEGMENT_WORDS[segment]


def _listed(names: list[str]) -> str:
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 2 else names)


def judge_altitudes(case: Case) -> tuple[tuple[Verdict, ...], Part]:
    """Return each measure's verdict in their order, and all of them as one part."""
    verdicts: list[Verdict] = []
    findings: list[Finding] = []
    missing: list[str] = []
    broken: list[AltitudeMeasure] = []
    close: list[AltitudeMeasure] = []
    for measure in case.measures.altitudes:
        verdict = verdict_of(_margin_with_reading_m(case, measure), measure.sigma_m)
        if verdict == "too close to call" and _only_on_the_way(measure):
            verdict = "to standard"
        verdicts.append(verdict)
        if verdict == "not assessed":
            missing.append(f"Altitude of {_segment_words(case, measure.limit.segment)}: {_reason(measure)}.")
        elif verdict == "not to standard":
            broken.append(measure)
        elif verdict == "too close to call":
            close.append(measure)
    findings += [_broken(case, *one) for one in _joined(case, broken)]
    if close:
        findings.append(_too_close(case, close))
    return tuple(verdicts), Part("not assessed", tuple(findings), tuple(missing))


def _joined(case: Case, broken: list[AltitudeMeasure]) -> list[tuple[AltitudeMeasure, str]]:
    """Broken limits with the words for their segments: a descent that went on below the same minimum is one fault."""
    found: list[tuple[AltitudeMeasure, str]] = []
    for measure in broken:
        words = _segment_words(case, measure.limit.segment)
        earlier, earlier_words = found[-1] if found else (None, "")
        if earlier is None or not _goes_on(earlier, measure):
            found.append((measure, words))
            continue
        one, other = earlier.violations[-1], measure.violations[0]
        worse = min(one, other, key=lambda each: each.worst_m)
        through = replace(worse, start_s=one.start_s, end_s=other.end_s)
        lower = min(earlier, measure, key=lambda each: each.worst_m or 0.0)
        violations = (*earlier.violations[:-1], through, *measure.violations[1:])
        found[-1] = (replace(lower, limit=earlier.limit, violations=violations), f"{earlier_words} and {words}")
    return found


def _goes_on(earlier: AltitudeMeasure, later: AltitudeMeasure) -> bool:
    if not earlier.violations or not later.violations or earlier.limit.rule != later.limit.rule:
        return False
    low_m = later.limit.low_m
    if low_m is None or low_m != earlier.limit.low_m or later.limit.segment == "final":
        return False
    one, other = earlier.violations[-1], later.violations[0]
    return max(one.worst_m, other.worst_m) < low_m and abs(other.start_s - one.end_s) <= SAME_MOMENT_S


def _only_on_the_way(measure: AltitudeMeasure) -> bool:
    """Whether the worst of an altitude to be held is where its band was entered on the way to it and never left."""
    limit = measure.limit
    if limit.rule != "at" or limit.low_m is None or measure.worst_m is None or measure.violations:
        return False
    if SIGMAS_OF_DOUBT * (measure.sigma_m or 0.0) >= BAND_M:
        return False  # altitudes in doubt by the whole band show no altitude held in it
    return abs(abs(measure.worst_m - limit.low_m) - BAND_M) < SAME_HEIGHT_M


def _reason(measure: AltitudeMeasure) -> str:
    return (measure.reason or "not measured").rstrip(".")


def _margin_with_reading_m(case: Case, measure: AltitudeMeasure) -> float | None:
    """Return the margin that decides: at a minimum or maximum an altimeter is read to half of its smallest division."""
    margin_m = allowed_margin_m(case, measure)
    return None if margin_m is None else margin_m + measure.reading_m


def allowed_margin_m(case: Case, measure: AltitudeMeasure) -> float | None:
    """Margin inside what the limit and the tolerance set allow together, metres; None where not measured.

    A minimum or maximum has no tolerance, except the set's own below the minimum descent altitude; an altitude to be
    held has the set's.
    """
    limit = measure.limit
    if measure.worst_m is None:
        return None
    if limit.rule == "at" and limit.low_m is not None:
        return case.tolerances.si(f"{case.task}.altitude_ft") - abs(measure.worst_m - limit.low_m)
    margins = []
    if limit.low_m is not None:
        allowed = case.tolerances.si("final.minimum_descent_below_ft") if limit.segment == "final" else 0.0
        margins.append(measure.worst_m - limit.low_m + allowed)
    if limit.high_m is not None:
        margins.append(limit.high_m - measure.worst_m)
    return min(margins) if margins else measure.margin_m


def _broken(case: Case, measure: AltitudeMeasure, name: str) -> Finding:
    limit = measure.limit
    worst_m = measure.worst_m if measure.worst_m is not None else 0.0
    violation = _worst_violation(measure)
    at_s = violation.worst_at_s if violation else measure.worst_at_s
    phase, lap = case.phase_at(at_s)
    low = limit.low_m is not None and worst_m < limit.low_m
    bound_m = (limit.low_m if low else limit.high_m) or 0.0
    code = _code(case, limit, violation, low=low)
    beyond = abs(worst_m - bound_m)
    when = span(violation.start_s, violation.end_s) if violation else f"at {clock(at_s or 0.0)}"
    others = len(measure.violations) - 1
    more = f", one of {others + 1} such stretches" if others > 0 else ""
    margin_m = allowed_margin_m(case, measure) or 0.0
    reading = f"{feet(worst_m)} at {clock(at_s or 0.0)}, {feet(beyond)} {'low' if low else 'high'}"
    texts = {
        "descended-before-fix": f"{when[0].upper() + when[1:]}, before the fix was crossed outbound, the flight was "
        "below "
        f"the {feet(bound_m)} of the arrival: {reading}.",
        "descended-before-established": f"{when[0].upper() + when[1:]}, before being established inbound, the flight "
        "was "
        f"below the {feet(bound_m)} of {name}: {reading}{more}.",
        "below-minimum-altitude": f"{when[0].upper() + when[1:]} the flight was below the {feet(bound_m)} minimum of "
        f"{name}: {reading}{more}.",
        "below-minimum-descent-altitude": f"{when[0].upper() + when[1:]} the flight was below the minimum descent "
        "altitude "
        f"of {feet(bound_m)}: {reading}{more}.",
        "above-maximum-altitude": f"{when[0].upper() + when[1:]} the flight was above the {feet(bound_m)} maximum of "
        f"{name}: "
        f"{reading}{more}.",
        "off-assigned-altitude": f"{when[0].upper() + when[1:]} the flight was off the {feet(bound_m)} of {name}: "
        f"{reading}{more}.",
    }
    return Finding(
        code,
        _severity(case, code, beyond),
        phase,
        lap,
        at_s,
        texts[code],
        _advice(code, bound_m, phase),
        _reference(case, code),
        worst_m / METRES_PER_FOOT,
        (worst_m + (margin_m if worst_m > bound_m else -margin_m)) / METRES_PER_FOOT,  # with the tolerance, if any
        margin_m / METRES_PER_FOOT,
        "ft",
    )


def _worst_violation(measure: AltitudeMeasure) -> AltitudeViolation | None:
    if not measure.violations or measure.worst_m is None:
        return None
    return min(measure.violations, key=lambda v: abs(v.worst_m - (measure.worst_m or 0.0)))


def _code(case: Case, limit: AltitudeLimit, violation: AltitudeViolation | None, *, low: bool) -> str:
    if limit.rule == "at":
        return "off-assigned-altitude"
    if not low:
        return "above-maximum-altitude"
    if limit.segment == "final":
        return "below-minimum-descent-altitude"
    if violation is not None:
        first = case.attempt.first_passage_s
        went_down = violation.start_s > case.attempt.start_s + SAME_MOMENT_S
        if limit.segment == "arrival" and went_down and abs(violation.end_s - first) <= SAME_MOMENT_S:
            return "descended-before-fix"
        if (
            limit.segment == "reversal"
            and violation.start_s > first + SAME_MOMENT_S
            and _until_established(case, violation)
        ):
            return "descended-before-established"
    return "below-minimum-altitude"


def _until_established(case: Case, violation: AltitudeViolation) -> bool:
    """Whether the stretch lasted until the segment's end and the next segment allows less: a descent begun early."""
    reversal, inbound = case.procedure.altitude("reversal"), case.procedure.altitude("inbound")
    if reversal is None or reversal.low_m is None:
        return False
    if inbound is not None and inbound.low_m is not None and inbound.low_m >= reversal.low_m:
        return False
    ends = [moment for moment in case.attempt.established_s if moment is not None]
    passage = case.attempt.last_inbound_passage_s
    end_s = ends[-1] if ends else passage if passage is not None else case.attempt.end_s
    return violation.end_s >= end_s - SAME_MOMENT_S


def _severity(case: Case, code: str, beyond_m: float) -> Severity:
    if code in ("above-maximum-altitude", "off-assigned-altitude"):
        return "major"
    if code == "below-minimum-descent-altitude":
        return "critical" if beyond_m >= CRITICAL_BELOW_MDA_M - SAME_HEIGHT_M else "major"  # as it is told, rounded
    return "critical" if beyond_m > case.tolerances.si(f"{case.task}.altitude_ft") else "major"


def _advice(code: str, bound_m: float, phase: PhaseName | None) -> str:
    turning = phase is not None and phase.endswith("turn")
    return {
        "descended-before-fix": f"Hold {feet(bound_m)} until the fix is crossed, or abeam, outbound; then descend.",
        "descended-before-established": f"Hold {feet(bound_m)} until the needle is within half scale and the track "
        "within 10° of the course; then descend.",
        "below-minimum-altitude": f"Level off 50 ft above {feet(bound_m)} and trim before the next turn.",
        "below-minimum-descent-altitude": "Lead the level-off by a tenth of the descent rate, adding power as it "
        f"begins, and hold {feet(bound_m)}; below it only with the runway in sight.",
        "above-maximum-altitude": f"Be at or below {feet(bound_m)} before the segment begins; plan the descent by "
        "time.",
        "off-assigned-altitude": f"Hold {feet(bound_m)} through the turns: add back pressure with the bank, check "
        "every 10 s."
        if turning
        else f"Trim at {feet(bound_m)} after each turn, check every 10 s, and correct 100 ft at once with 200 ft a "
        "minute.",
    }[code]


def _reference(case: Case, code: str) -> str:
    if code == "below-minimum-descent-altitude":
        return f"chart; {case.tolerances.reference('final.minimum_descent_below_ft')}"
    if code == "off-assigned-altitude":
        return f"chart; {case.tolerances.reference(f'{case.task}.altitude_ft')}"
    if code == "above-maximum-altitude" or not case.is_us:
        return "chart: altitude of the segment"
    if case.procedure.is_hold:
        return "chart; AIM 5-4-9 a5, b3" if code == "descended-before-established" else "chart: altitude of the segment"
    return "chart; AIM 5-4-9 a2" if code == "descended-before-fix" else "chart; AIM 5-4-9 a"


def altitude_remedy(kind: str) -> str:
    """Return what would settle an altitude that is too close to call, by the kind of the record."""
    words = kind.lower()
    if "geometric" in words and "temperature" not in words:
        return "Enter the temperature and the station's elevation, or record the altimeter's altitude, to settle it."
    if "geometric" in words:
        return "Record the altimeter's altitude, or enter the altimeter setting with a pressure altitude, to settle it."
    if "pressure" in words and ("setting" not in words or "unknown" in words):
        return "Enter the altimeter setting to settle it."
    if "indicated" in words:
        return "A record of the altimeter to the foot, without scatter, would settle it."
    return "An altimeter whose error is known to be smaller (a smaller stated altitude uncertainty) would settle it."


def _too_close(case: Case, measures: list[AltitudeMeasure]) -> Finding:
    """One finding for all segments in doubt, told by the one with the least margin: what settles one settles all."""
    measure = min(measures, key=lambda one: (allowed_margin_m(case, one) or 0.0) / (one.sigma_m or 1.0))
    limit = measure.limit
    worst_m = measure.worst_m if measure.worst_m is not None else 0.0
    margin_m = allowed_margin_m(case, measure) or 0.0
    sigma_m = measure.sigma_m or 0.0
    bounds = [bound for bound in (limit.low_m, limit.high_m) if bound is not None]
    bound_m = min(bounds, key=lambda bound: abs(bound - worst_m)) if bounds else 0.0
    phase, lap = case.phase_at(measure.worst_at_s)
    at = "" if measure.worst_at_s is None else f"At {clock(measure.worst_at_s)} "
    away = feet(abs(worst_m - bound_m))
    relation = "above" if worst_m >= bound_m else "below"
    others = [_segment_words(case, other.limit.segment) for other in measures if other is not measure]
    more = f", and the same goes for {_listed(others)}" if others else ""
    band = f", of {feet(abs(worst_m - bound_m) + margin_m)} allowed" if limit.rule == "at" else ""
    return Finding(
        "altitude-too-close",
        "note",
        phase,
        lap,
        measure.worst_at_s,
        f"{at}the flight was {away} {relation} the {feet(bound_m)} of {_segment_words(case, limit.segment)}{band}; the "
        f"altitudes are uncertain by {feet(SIGMAS_OF_DOUBT * sigma_m)} (2 sigma): too close to call{more}.",
        altitude_remedy(case.altitude_kind or case.altitude_note),
        "chart: altitude of the segment",
        worst_m / METRES_PER_FOOT,
        (worst_m + (margin_m if worst_m > bound_m else -margin_m)) / METRES_PER_FOOT
        if limit.rule == "at"
        else bound_m / METRES_PER_FOOT,
        margin_m / METRES_PER_FOOT,
        "ft",
    )
