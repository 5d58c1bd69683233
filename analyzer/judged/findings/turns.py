"""Judges bank and rate of turn."""

from analyzer.judged.findings.case import Case, Part, verdict_of
from analyzer.judged.findings.values import Finding, Severity, Verdict
from analyzer.judged.findings.wording import in_phase
from analyzer.judged.measurements.values import TurnMeasure
from analyzer.standards import FLYING
from analyzer.units import clock, rate_of_bank_deg_s

STANDARD_RATE_DEG_S = FLYING["turn.standard_rate"].value
BANK_FOR_RATE_DEG = FLYING["icao.bank"].value  # 25 degrees or 3 deg/s, whichever is less
ROLLING_S = 4.0  # rolling in and out at about 5 deg/s takes half of this each; it lowers a turn's mean rate
SMALLEST_TURN_DEG = 40.0  # of a shorter turn the rolling is too large a part to judge its rate
DEFAULT_RATE_SIGMA_DEG_S = 0.1


def asked_rate_deg_s(tas_mps: float | None, turned_deg: float | None = None) -> float:
    """Rate of turn that is asked for: 3 deg/s, or that of 25 degrees of bank where it is slower.

    Parameters
    ----------
    tas_mps : float or None
        True airspeed; None: 3 deg/s.
    turned_deg : float, optional
        With it the mean over a whole turn from roll-in to wings level is returned: rolling lowers it.
    """
    rate = STANDARD_RATE_DEG_S
    if tas_mps is not None and tas_mps > 0.0:
        rate = min(rate, rate_of_bank_deg_s(BANK_FOR_RATE_DEG, tas_mps))
    if turned_deg is None or turned_deg == 0.0:
        return rate
    return abs(turned_deg) / (abs(turned_deg) / rate + ROLLING_S)


def judge_turns(case: Case) -> Part:
    """Return findings on bank and rate, the worst of each kind, with how many turns had it."""
    slow: list[tuple[float, Finding]] = []
    fast: list[tuple[float, Finding]] = []
    steep: list[tuple[float, Finding]] = []
    for measure in case.measures.turns:
        if measure.phase in ("arrival", "final"):
            continue
        steep += _steep(case, measure)
        if abs(measure.turn.degrees) < SMALLEST_TURN_DEG:
            continue
        for word, found in (("slow", slow), ("fast", fast)):
            if word == "slow" and not measure.phase.endswith("turn"):
                continue  # a gentle turn on the way to the course is a correction, and no turn flown too slowly
            found += _rate(case, measure, word)
    findings = []
    for found in (steep, slow, fast):
        if found:
            findings.append(min(found, key=lambda pair: pair[0])[1])
    verdict: Verdict = "not to standard" if findings else "to standard" if case.measures.turns else "not assessed"
    missing: tuple[str, ...] = ()
    if case.measures.turns and all(measure.held_bank is None for measure in case.measures.turns):
        missing = ("Bank: the true airspeed is not known, so the bank of the turns can't be worked out.",)
    return Part(verdict, tuple(findings), missing)


def _steep(case: Case, measure: TurnMeasure) -> list[tuple[float, Finding]]:
    held = measure.held_bank
    if held is None:
        return []
    limit = case.tolerances.value("turns.bank_deg")
    margin = limit - held.degrees
    if verdict_of(margin, held.sigma_deg) != "not to standard":
        return []
    severity: Severity = "minor"
    if held.degrees > case.tolerances.value("turns.critical_bank_deg"):
        severity = "critical"
    elif held.degrees > case.tolerances.value("turns.major_bank_deg"):
        severity = "major"
    turn = measure.turn
    source = "recorded" if held.recorded else "worked out from airspeed and rate of turn"
    shown = f"{held.degrees:.1f}" if round(held.degrees) == round(limit) else f"{held.degrees:.0f}"
    finding = Finding(
        "bank-too-steep",
        severity,
        measure.phase,
        measure.lap,
        held.at_s,
        f"In the turn from {clock(turn.start_s)} to {clock(turn.end_s)}{in_phase(measure.phase)} a bank of {shown}° "
        f"({source}) was held for 3 s or longer, over the {limit:g}° limit.",
        f"Bank for 3°/s, about 15 % of the true airspeed in knots, and never more than {limit:g}°.",
        case.tolerances.reference("turns.bank_deg"),
        held.degrees,
        limit,
        margin,
        "deg",
    )
    return [(margin, finding)]


def _rate_advice(tas_mps: float | None) -> str:
    """Advise 3 deg/s by the clock, or 25 degrees of bank for an aircraft so fast that it turns more slowly with it."""
    rate = asked_rate_deg_s(tas_mps)
    bank = "the bank for 3°/s" if rate >= STANDARD_RATE_DEG_S else f"{BANK_FOR_RATE_DEG:.0f}° of bank"
    clock_words = f"{90.0 / rate:.0f} s for 90°"
    return f"Set {bank} at once and hold it until the roll-out lead; check the turn by the clock, {clock_words}."


def _rate(case: Case, measure: TurnMeasure, word: str) -> list[tuple[float, Finding]]:
    turn = measure.turn
    asked = asked_rate_deg_s(turn.tas_mps, turn.degrees)
    key = f"turns.{word}_rate_share"
    limit = asked * case.tolerances.value(key)
    flown = abs(turn.mean_rate_deg_s)
    margin = flown - limit if word == "slow" else limit - flown
    sigma = DEFAULT_RATE_SIGMA_DEG_S if measure.rate_sigma_deg_s is None else measure.rate_sigma_deg_s
    if verdict_of(margin, sigma) != "not to standard":
        return []
    basis = "" if turn.method == "air heading" else " over the ground"
    needed_s = abs(turn.degrees) / asked
    flown_s = turn.end_s - turn.start_s
    finding = Finding(
        f"turn-too-{word}",
        "minor",
        measure.phase,
        measure.lap,
        turn.start_s,
        f"From {clock(turn.start_s)} to {clock(turn.end_s)}{in_phase(measure.phase)} the mean rate of turn{basis} was "
        f"{flown:.1f}°/s instead of {asked:.1f}°/s with rolling in and out: {abs(turn.degrees):.0f}° took "
        f"{flown_s:.0f} s instead of {needed_s:.0f} s.",
        _rate_advice(turn.tas_mps),
        case.tolerances.reference(key),
        flown,
        limit,
        margin,
        "deg/s",
    )
    return [(margin / asked, finding)]
