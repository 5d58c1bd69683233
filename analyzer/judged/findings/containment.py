"""Judges whether the flight stayed where it is protected."""

from analyzer.given import frame_of
from analyzer.judged.findings.case import SIGMAS_OF_DOUBT, Case, Part, verdict_of
from analyzer.judged.findings.values import Finding, Severity
from analyzer.judged.findings.wording import in_phase
from analyzer.judged.measurements.values import Excursion, LimitArea
from analyzer.units import METRES_PER_NM, clock, knots, miles, span

LEAST_TAILWIND_MPS = 2.5  # less is not worth a word
#: farther beyond the distance limit than this is critical: no procedure leaves that much room there (own choice)
CRITICAL_BEYOND_LIMIT_M = 1.0 * METRES_PER_NM


def judge_containment(case: Case) -> Part:
    """Return the verdict on containment ("to standard" means inside) and its findings."""
    containment = case.measures.containment
    verdict = verdict_of(containment.margin_m, containment.sigma_m)
    if containment.margin_m is None:
        return Part(
            "not assessed", (), ("Containment: the procedure gives neither a distance limit nor a protected area.",)
        )
    findings = []
    sure = [e for e in containment.excursions if e.max_m >= SIGMAS_OF_DOUBT * containment.sigma_m]
    for area in ("distance limit", "primary", "secondary"):
        of_area = [e for e in sure if e.area == area]
        if area == "primary":  # beyond the secondary area says it already
            of_area = [e for e in of_area if not any(o.area == "secondary" and _overlap(e, o) for o in sure)]
        if of_area:
            findings.append(_left(case, max(of_area, key=lambda e: e.max_m), len(of_area)))
    if verdict == "too close to call" and not findings:
        findings.append(_too_close(case))
    if findings and any(f.code.startswith("left-") for f in findings):
        verdict = "not to standard"
    missing = []
    beyond = [e for e in containment.computed_excursions if e.max_m >= SIGMAS_OF_DOUBT * containment.sigma_m]
    if beyond:
        findings.append(_outside_computed(case, max(beyond, key=lambda e: e.max_m)))
    if containment.computed and verdict != "to standard":
        # a margin to an area that nobody publishes can be told, but decides nothing
        verdict, findings = "not assessed", [f for f in findings if f.code != "containment-too-close"]
        missing.append("Containment: the area is a computed one, the rules publish none for this reversal.")
    if not case.attempt.complete and verdict == "to standard":
        missing.append(f"Containment after {clock(case.attempt.end_s)}: the reversal is not complete on the track.")
    return Part(verdict, tuple(findings), tuple(missing))


def _overlap(one: Excursion, other: Excursion) -> bool:
    return one.start_s <= other.end_s and other.start_s <= one.end_s


def area_reference(case: Case, area: LimitArea) -> str:
    """Return document and paragraph of an area, from the drawn areas where they are given."""
    for drawn in case.protection:
        if drawn.name == area:
            return drawn.reference
    if area == "distance limit":
        return "AIM 5-4-9 a" if case.is_us else "chart: distance limit"
    return "FAA Order 8260.3, procedure turn areas" if case.is_us else "ICAO Doc 8168 Vol II, Part I, Section 4, ch. 3"


def _left(case: Case, worst: Excursion, count: int) -> Finding:
    again = f", the largest of {count} excursions" if count > 1 else ""
    when = f"outside {span(worst.start_s, worst.end_s)}{again}"
    reference = area_reference(case, worst.area)
    distance = worst.max_m / METRES_PER_NM
    if worst.area == "distance limit":
        limit_m = case.procedure.remain_within_m
        severity: Severity = "critical" if worst.max_m > CRITICAL_BEYOND_LIMIT_M else "major"
        flown = case.measures.containment.max_distance_m
        limit = None if limit_m is None else limit_m / METRES_PER_NM
        return Finding(
            "left-distance-limit",
            severity,
            worst.phase,
            worst.lap,
            worst.at_s,
            f"At {clock(worst.at_s)}{in_phase(worst.phase)} the flight was {miles(flown)} from the fix, "
            f"{miles(worst.max_m)} beyond the {'' if limit is None else f'{limit:g} NM '}limit ({when}).",
            _distance_advice(case),
            reference,
            flown / METRES_PER_NM,
            limit,
            -distance,
            "NM",
        )
    code, name = {
        "primary": ("left-primary-area", "the primary area"),
        "secondary": ("left-secondary-area", "the whole protected area, secondary included"),
    }[worst.area]
    side = "the other side of the course is not protected as widely" if case.attempt.wrong_side else ""
    return Finding(
        code,
        "critical",
        worst.phase,
        worst.lap,
        worst.at_s,
        f"At {clock(worst.at_s)}{in_phase(worst.phase)} the flight was {miles(worst.max_m)} outside {name} ({when}).",
        f"Turn on the charted side: {side}."
        if side
        else "Correct heading and time for the wind so that the whole turn stays on the protected side and inside "
        "the area.",
        reference,
        distance,
        0.0,
        -distance,
        "NM",
    )


def _outside_computed(case: Case, worst: Excursion) -> Finding:
    """Return the note on a flight outside an area that was computed because no document draws one."""
    return Finding(
        "outside-computed-area",
        "note",
        worst.phase,
        worst.lap,
        worst.at_s,
        f"At {clock(worst.at_s)}{in_phase(worst.phase)} the flight was {miles(worst.max_m)} outside the area that was "
        "computed for this reversal; no published area is known, so this is not judged.",
        "Look at what took the flight so far: the leg, the wind, the turn.",
        area_reference(case, "primary"),
        worst.max_m / METRES_PER_NM,
        0.0,
        -worst.max_m / METRES_PER_NM,
        "NM",
    )


def _distance_advice(case: Case) -> str:
    limit_m = case.procedure.remain_within_m
    if limit_m is None:
        return "Start the reversal earlier."
    tail_mps = 0.0
    if case.wind is not None:
        tail_mps = float(
            frame_of(case.procedure).along_cross_from_east_north(case.wind.east_mps, case.wind.north_mps)[0]
        )
    wind = f"; {knots(tail_mps)} of tailwind carry the flight out" if tail_mps > LEAST_TAILWIND_MPS else ""
    return (
        f"Shorten the outbound leg so that the whole turn stays inside {limit_m / METRES_PER_NM:g} NM, with a mile to "
        f"spare{wind}."
    )


def _too_close(case: Case) -> Finding:
    containment = case.measures.containment
    margin_m = containment.margin_m or 0.0
    phase, lap = case.phase_at(containment.margin_at_s)
    at = "" if containment.margin_at_s is None else f"At {clock(containment.margin_at_s)} "
    where = containment.margin_area or "limit"
    edge = "the distance limit" if where == "distance limit" else f"the edge of the {where} area"
    inside = "inside" if margin_m >= 0 else "outside"
    return Finding(
        "containment-too-close",
        "note",
        phase,
        lap,
        containment.margin_at_s,
        f"{at}the flight was {miles(abs(margin_m))} {inside} {edge}, less than twice the {containment.sigma_m:.0f} m "
        "that the positions are uncertain by: too close to call.",
        "A recorder with better positions, or a smaller stated uncertainty that you can vouch for, would settle it; "
        "next time leave more room.",
        area_reference(case, containment.margin_area) if containment.margin_area else "",
        margin_m / METRES_PER_NM,
        0.0,
        margin_m / METRES_PER_NM,
        "NM",
    )
