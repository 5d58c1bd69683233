"""Judges a hold against its clearance: the time to leave, the circuits asked for, circuits that nobody asked for."""

from analyzer.judged.findings.case import SIGMAS_OF_DOUBT, Case
from analyzer.judged.findings.values import Finding, Severity
from analyzer.units import clock, seconds

_PRAISE: Severity = "note"
PASSAGE_SIGMA_S = 1.0  # a passage of the fix is known to about a second
#: so many tolerances off the time to leave are a major fault (own choice: a minute is what is left of a whole leg)
TOLERANCES_FOR_MAJOR = 2.0


def judge_leaving(case: Case) -> tuple[tuple[Finding, ...], tuple[str, ...]]:
    """Return the finding on the time at which the hold was left, praise included, and what could not be judged.

    The pattern is to be adjusted so that the fix is left at the exact time specified (AIM 5-3-8 k), "as close as
    possible" in a test (IR.III.B.S5); neither gives seconds, so the tolerance is this project's own.
    """
    asked_s, left_s = case.clearance.hold.leave_at_s, case.left_s
    if asked_s is None or not case.procedure.is_hold:
        return (), ()
    if left_s is None:
        return (), ("Leaving time: the recording does not show the hold being left over the fix.",)
    off_s = left_s - asked_s
    limit_s = case.tolerances.value("timing.leave_s")
    late = "late" if off_s > 0 else "early"
    if abs(off_s) <= limit_s + SIGMAS_OF_DOUBT * PASSAGE_SIGMA_S:
        code, severity = "left-on-time", _PRAISE
        end = f": on time (within {limit_s:.0f} s)."
        advice = "That is what the last circuit is shortened for: keep doing it so."
    else:
        over_s = abs(off_s) - SIGMAS_OF_DOUBT * PASSAGE_SIGMA_S
        code, severity = f"left-{late}", "major" if over_s >= TOLERANCES_FOR_MAJOR * limit_s else "minor"
        end = f"; {limit_s:.0f} s are allowed here."
        way = "Shorten" if off_s > 0 else "Lengthen"
        advice = f"{way} the last outbound leg: half of what is left of the time, less the two turns, goes outbound."
    off = f"{seconds(abs(off_s))} {late} of the {clock(asked_s)} cleared"
    text = f"The hold was left over the fix at {clock(left_s)}, {off}{end}{_last_circuit(case)}"
    reference = f"{'AIM 5-3-8 k' if case.is_us else 'clearance'}; tolerance: own choice"
    finding = Finding(
        code, severity, "inbound", case.attempt.laps, left_s, text, advice, reference, off_s, limit_s,
        limit_s - abs(off_s), "s",
    )  # fmt: skip
    return (finding,), ()


def _last_circuit(case: Case) -> str:
    """Say how the last circuit was made to fit: its two legs, and the outbound leg of the one before."""
    laps = case.measures.laps
    if not laps or laps[-1].outbound_s is None or laps[-1].inbound_s is None:
        return ""
    before = laps[-2].outbound_s if len(laps) > 1 else None
    said = "" if before is None else f" (the one before: {seconds(before)})"
    return (
        f" The last circuit was flown with {seconds(laps[-1].outbound_s)} outbound{said} "
        f"and {seconds(laps[-1].inbound_s)} inbound."
    )


def judge_circuits(case: Case) -> tuple[Finding, ...]:
    """Return the finding on the number of circuits: other than cleared, or more than the one of a hold in lieu.

    Once cleared for the approach and at the altitude, further circuits of a hold in lieu are neither necessary nor
    expected, and the controller is to be told of one (AIM 5-4-9 a5). The ICAO rules at hand say nothing of it.
    """
    flown, asked = case.attempt.laps, case.clearance.hold.laps
    if not case.procedure.is_hold or not case.attempt.complete:
        return ()
    at_s = case.attempt.last_inbound_passage_s
    until = "" if at_s is None else f" until {clock(at_s)}"
    if asked is not None:
        if flown == asked:
            return ()
        text = f"{flown} circuit{'s' if flown > 1 else ''} of the hold {'were' if flown > 1 else 'was'} flown{until}; "
        text += f"the clearance asked for {asked}."
        advice = (
            f"Count the circuits aloud over the fix: {asked}, the entry's among them; tell ATC before you change it."
        )
        return (Finding("circuits-not-as-cleared", "minor", None, flown, at_s, text, advice, "clearance"),)
    if case.procedure.reversal != "hold in lieu" or not case.is_us or flown < 2:
        return ()
    if case.clearance.hold.leave_at_s is not None:
        return ()  # a time to leave asks for as many circuits as it takes
    text = f"{flown} circuits of the hold in lieu were flown{until}; once cleared, only the entry's one is expected."
    advice = "Ask for another circuit, or report it when you are cleared, if you need one to lose height or to settle."
    return (Finding("circuit-not-asked-for", "minor", None, flown, at_s, text, advice, "AIM 5-4-9 a5"),)
