"""Judges rates of descent, and whether the runway could still be reached in a normal descent."""

from analyzer.judged.findings.case import SIGMAS_OF_DOUBT, Case, Part
from analyzer.judged.findings.values import Finding
from analyzer.judged.measurements.values import DescentRate, TooHigh
from analyzer.standards import figure
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, clock, feet, miles

FAST_CATEGORIES = ("C", "D", "E")


def judge_descent(case: Case) -> Part:
    """Return findings on how the flight came down: the fastest rate against its limit, and too high for the runway."""
    descent = case.measures.descent
    if descent is None:
        return Part("not assessed")
    speed = "fast" if case.procedure.category in FAST_CATEGORIES else "slow"
    rates = [
        (descent.low, "descent.low", "below 1,000 ft above the runway"),
        (descent.final, "descent.final", "on the final"),
    ]
    if not case.is_us and not case.procedure.is_hold:
        rates += [
            (descent.outbound, f"icao.descent.outbound.{speed}", "outbound, over a minute,"),
            (descent.inbound, f"icao.descent.inbound.{speed}", "inbound, over a minute,"),
        ]
    found = [_too_fast(case, rate, key, where) for rate, key, where in rates if rate is not None]
    said = [finding for finding in found if finding is not None]
    findings = [min(said, key=lambda one: (one.margin or 0.0) / (one.limit or 1.0))] if said else []
    if descent.too_high is not None:
        findings.append(_too_high(case, descent.too_high))
    return Part("not to standard" if findings else "to standard", tuple(findings))


def _too_fast(case: Case, rate: DescentRate, key: str, where: str) -> Finding | None:
    limit = figure(key)
    per_minute = 60.0 / METRES_PER_FOOT
    flown = rate.rate_mps * per_minute
    if limit.value - flown >= -SIGMAS_OF_DOUBT * rate.sigma_mps * per_minute:
        return None
    phase, lap = case.phase_at(rate.at_s)
    paragraph = f"{limit.document} {limit.paragraph}".strip()
    source = "common practice, no document" if limit.status == "common practice" else paragraph
    return Finding(
        "descent-rate",
        "minor",
        phase,
        lap,
        rate.at_s,
        f"From {clock(rate.at_s)} to {clock(rate.at_s + rate.lasting_s)}, {where} the rate of descent was "
        f"{flown:,.0f} ft/min, more than {limit.value:,.0f} ft/min"
        f"{' (common practice)' if limit.status == 'common practice' else ''}.",
        "Begin the descent at the fix and set the rate that the distance asks for: 5 times the groundspeed in knots is "
        "about 3 degrees.",
        source,
        flown,
        limit.value,
        limit.value - flown,
        "ft/min",
    )


def _too_high(case: Case, too_high: TooHigh) -> Finding:
    steepest = figure("final.steepest")
    phase, lap = case.phase_at(too_high.at_s)
    gradient = too_high.height_m / METRES_PER_FOOT / (too_high.end_distance_m / METRES_PER_NM)
    return Finding(
        "too-high-for-the-runway",
        "minor",
        phase,
        lap,
        too_high.at_s,
        f"From {clock(too_high.at_s)}, {miles(too_high.distance_m)} before the runway, a normal descent to it was no "
        f"longer possible: at {clock(too_high.end_s)} the flight was {feet(too_high.height_m)} above it, "
        f"{miles(too_high.end_distance_m)} away, {gradient:,.0f} ft/NM where {steepest.value:.0f} is the steepest "
        "straight-in final.",
        "Descend at the fix so as to be at the minimum 2 to 3 NM before the runway; too high there, go around.",
        f"{steepest.document} {steepest.paragraph}; common practice",
        gradient,
        steepest.value,
        steepest.value - gradient,
        "ft/NM",
    )
