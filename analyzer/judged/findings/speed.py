"""Judges the speed against its limit, and whether it was held."""

from analyzer.judged.findings.case import SIGMAS_OF_DOUBT, Case, Part, verdict_of
from analyzer.judged.findings.values import Finding
from analyzer.units import MPS_PER_KNOT, clock, knots

SPEED_WORDS = {"ias": "indicated airspeed", "tas": "true airspeed", "groundspeed": "groundspeed"}


def judge_speed(case: Case) -> Part:
    """Return the verdict on the speed limit and the findings on speed."""
    speed = case.measures.speed
    held = _held(case)
    if speed is None:
        return Part("not assessed", held, ("Speed: the track does not show it.",))
    if speed.limit_ias_mps is None:
        return Part("not assessed", held, ("Speed: neither the procedure nor its criteria give a limit.",))
    compared, name = speed.max_mps, SPEED_WORDS[speed.kind]
    if speed.kind != "ias":
        if speed.estimated_ias_mps is not None:
            compared, name = (
                speed.estimated_ias_mps,
                f"indicated airspeed worked out from the {SPEED_WORDS[speed.kind]}",
            )
        elif speed.kind == "groundspeed" or speed.max_mps > speed.limit_ias_mps:
            reason = f"Speed: only the {SPEED_WORDS[speed.kind]} is known, which does not tell the indicated airspeed."
            return Part("not assessed", held, (reason,))
    margin = speed.limit_ias_mps - compared
    verdict = verdict_of(margin, speed.sigma_mps)
    if verdict == "to standard":
        return Part(verdict, held)
    phase, lap = case.phase_at(speed.at_s)
    reference = "AIM 5-3-8 j" if case.procedure.is_hold else "AIM 5-4-9 a3"
    if not case.is_us:
        reference = f"ICAO Doc 8168 Vol II, Table {'II-4-1-2' if case.procedure.is_hold else 'I-4-1-2'}"
    if "limits.max_ias_kt" not in case.procedure.defaults:
        reference = "chart: speed limit"
    numbers = (compared / MPS_PER_KNOT, speed.limit_ias_mps / MPS_PER_KNOT, margin / MPS_PER_KNOT, "kt")
    start = f"At {clock(speed.at_s)} the {name} was {knots(compared)}, "
    if verdict == "too close to call":
        finding = Finding(
            "speed-too-close",
            "note",
            phase,
            lap,
            speed.at_s,
            f"{start}within the doubt of {knots(SIGMAS_OF_DOUBT * speed.sigma_mps)} (2 sigma) about the limit of "
            f"{knots(speed.limit_ias_mps)}: too close to call.",
            "A recorded airspeed would settle it."
            if speed.kind != "ias"
            else "A calibrated airspeed record would settle it.",
            reference,
            *numbers,
        )
        return Part(verdict, (finding, *held))
    finding = Finding(
        "too-fast",
        "major",
        phase,
        lap,
        speed.at_s,
        f"{start}{knots(-margin)} over the limit of {knots(speed.limit_ias_mps)}.",
        "Reduce speed three minutes before the fix and hold it until established inbound.",
        reference,
        *numbers,
    )
    return Part(verdict, (finding, *held))


def _held(case: Case) -> tuple[Finding, ...]:
    speed = case.measures.speed
    if speed is None or speed.low_mps is None or speed.high_mps is None:
        return ()
    key = f"{case.task}.speed_kt"
    limit = case.tolerances.si(key)
    off = (speed.high_mps - speed.low_mps) / 2.0  # about the middle: the kindest speed to have been aiming at
    if verdict_of(limit - off, speed.sigma_mps if speed.kind == "ias" else MPS_PER_KNOT) != "not to standard":
        return ()
    outbound = case.attempt.phase("outbound", 1)
    at_s = outbound.start_s if outbound else case.attempt.first_passage_s
    finding = Finding(
        "speed-not-held",
        "minor",
        "outbound" if outbound else None,
        1,
        at_s,
        f"From {clock(at_s)} to the reversal turn the indicated airspeed went from {knots(speed.low_mps)} to "
        f"{knots(speed.high_mps)}, more than {knots(limit)} either way of any one speed.",
        f"Set the power for one speed at the fix and hold it within {knots(limit)}: the times are worked out for it.",
        case.tolerances.reference(key),
        off / MPS_PER_KNOT,
        limit / MPS_PER_KNOT,
        (limit - off) / MPS_PER_KNOT,
        "kt",
    )
    return (finding,)
