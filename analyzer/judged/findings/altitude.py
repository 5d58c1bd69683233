"""Judges each segment's altitudes against its limit."""

from dataclasses import replace

from analyzer.judged.findings.altitude_words import (
    SAME_HEIGHT_M,
    SAME_MOMENT_S,
    Beyond,
    advice_on,
    altitude_remedy,
    code_of,
    established_or_end_s,
    in_doubt_of_the_moment,
    levelled_below,
    reference_of,
    sentence,
    severity_of,
)
from analyzer.judged.findings.case import SIGMAS_OF_DOUBT, Case, Part, verdict_of
from analyzer.judged.findings.needle_words import established_words
from analyzer.judged.findings.values import Finding, Verdict
from analyzer.judged.measurements.values import AltitudeMeasure, AltitudeViolation
from analyzer.units import METRES_PER_FOOT, clock, feet, span

BAND_M = 100.0 * METRES_PER_FOOT  # the band that counts as having reached an altitude
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
        if verdict == "not to standard" and in_doubt_of_the_moment(case, measure):
            verdict = "too close to call"
            findings.append(_moment_too_close(case, measure))
        elif verdict == "too close to call":
            close.append(measure)
        verdicts.append(verdict)
        if verdict == "not assessed":
            missing.append(f"Altitude of {_segment_words(case, measure.limit.segment)}: {_reason(measure)}.")
        elif verdict == "not to standard":
            broken.append(measure)
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
    code = code_of(case, limit, violation, low=low)
    beyond = abs(worst_m - bound_m)
    when = span(violation.start_s, violation.end_s) if violation else f"at {clock(at_s or 0.0)}"
    others = len(measure.violations) - 1
    more = f", one of {others + 1} such stretches" if others > 0 else ""
    margin_m = allowed_margin_m(case, measure) or 0.0
    reading = f"{feet(worst_m)} at {clock(at_s or 0.0)}, {feet(beyond)} {'low' if low else 'high'}{more}"
    level = violation is not None and violation.level_m is not None and levelled_below(case, limit, violation)
    return Finding(
        code,
        severity_of(case, code, beyond),
        phase,
        lap,
        at_s,
        sentence(case, Beyond(code, name, bound_m, when, reading, beyond, level)),
        advice_on(case, code, bound_m, phase),
        reference_of(case, code),
        worst_m / METRES_PER_FOOT,
        (worst_m + (margin_m if worst_m > bound_m else -margin_m)) / METRES_PER_FOOT,  # with the tolerance, if any
        margin_m / METRES_PER_FOOT,
        "ft",
    )


def _worst_violation(measure: AltitudeMeasure) -> AltitudeViolation | None:
    if not measure.violations or measure.worst_m is None:
        return None
    return min(measure.violations, key=lambda v: abs(v.worst_m - (measure.worst_m or 0.0)))


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


def _moment_too_close(case: Case, measure: AltitudeMeasure) -> Finding:
    """Too low only just before the moment from which it was allowed, which nobody knows to the second."""
    low_m, worst_m = measure.limit.low_m or 0.0, measure.worst_m or 0.0
    first = min(one.start_s for one in measure.violations)
    until_s, doubt_s = established_or_end_s(case), case.tolerances.value("intercept.established_doubt_s")
    phase, lap = case.phase_at(measure.worst_at_s)
    return Finding(
        "altitude-too-close",
        "note",
        phase,
        lap,
        measure.worst_at_s,
        f"At {clock(measure.worst_at_s or first)} the flight was {feet(low_m - worst_m)} below the {feet(low_m)} of "
        f"{_segment_words(case, measure.limit.segment)}; the descent through it began {until_s - first:.0f} s before "
        f"the flight was established, and that moment is known to {doubt_s:g} s: too close to call.",
        f"See the flight steady {established_words(case)}, then descend: a few seconds later there is no question.",
        case.tolerances.reference("intercept.established_doubt_s"),
        worst_m / METRES_PER_FOOT,
        low_m / METRES_PER_FOOT,
        (worst_m - low_m) / METRES_PER_FOOT,
        "ft",
    )
