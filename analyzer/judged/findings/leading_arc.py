"""Judges an arc that leads to the fix."""

from analyzer.judged.findings.case import Case, Part, verdict_of
from analyzer.judged.findings.values import Finding
from analyzer.units import METRES_PER_NM, clock, miles

OFF_ARC = "tracking.arc_nm"


def judge_arc(case: Case) -> Part:
    """Return the finding on an arc flown too far off its radius; nothing where none was flown."""
    arc = case.measures.arc
    if arc is None:
        return Part("not assessed")
    allowed_m = case.tolerances.si(OFF_ARC)
    verdict = verdict_of(allowed_m - abs(arc.worst_m), arc.sigma_m)
    if verdict != "not to standard":
        return Part(verdict)
    phase, lap = case.phase_at(arc.worst_at_s)
    side = "outside" if arc.worst_m > 0.0 else "inside"
    turn = "towards" if arc.worst_m > 0.0 else "away from"
    finding = Finding(
        "off-the-arc", "major", phase, lap, arc.worst_at_s,
        f"At {clock(arc.worst_at_s)} the flight was {miles(abs(arc.worst_m))} {side} the arc of "
        f"{miles(arc.radius_m, 1)}; {miles(allowed_m, 1)} are allowed.",
        f"Turn 10° to 20° {turn} the station as soon as the distance moves by half a mile, and wait.",
        case.tolerances.reference(OFF_ARC), arc.worst_m / METRES_PER_NM, allowed_m / METRES_PER_NM,
        (allowed_m - abs(arc.worst_m)) / METRES_PER_NM, "NM",
    )  # fmt: skip
    return Part(verdict, (finding,))
