"""The last circuit of a hold that is to be left at a time: when to turn inbound in this wind."""

from dataclasses import replace
from datetime import datetime, timedelta

from analyzer.flown import Attempt
from analyzer.given import Wind
from analyzer.judged.findings.wording import fix_name, magnetic
from analyzer.planned import Asked, Plan, SolvedPlan
from analyzer.units import clock, clock_words

#: the inbound legs that a circuit is looked for with; a shorter one leaves no time on the course (own choice)
SHORTEST_INBOUND_S, LONGEST_INBOUND_S = (10.0, 20.0, 30.0, 40.0, 50.0), 240.0
#: a last circuit longer than this share of a whole one is a whole one and another (own choice)
LONGEST_SHARE = 1.5
STEPS = 12


def leaving_lines(
    attempt: Attempt, plan: Plan, air: tuple[float, Wind | None], leave_s: float | None, start: datetime | None
) -> tuple[str, ...]:
    """Return the line that says when to turn inbound so as to be over the fix in time; none without a time to leave.

    Parameters
    ----------
    attempt : Attempt
        Its last circuit is the one that is told.
    plan : Plan
    air : (float, Wind or None)
        True airspeed, metres per second, and wind.
    leave_s : float or None
        When to leave, seconds of the recording.
    start : datetime or None
        The recording's first moment.
    """
    if leave_s is None or not plan.procedure.is_hold or len(attempt.passages) < 2:
        return ()
    began_s = attempt.passages[-2].at_s
    name = fix_name(plan.procedure)
    when = clock(leave_s) if start is None else f"{start + timedelta(seconds=leave_s):%H:%M:%S} UTC ({clock(leave_s)})"
    whole = _circuit(plan, air, plan.procedure.outbound_s or 60.0)
    tried = (_circuit(plan, air, inbound_s) for inbound_s in SHORTEST_INBOUND_S)
    shortest = next((each for each in tried if each is not None), None)  # a wind may leave no shorter one
    if whole is None or shortest is None:
        return ()
    one_s, least_s = _lasting_s(whole), _lasting_s(shortest)
    more = 0
    while leave_s - began_s > LONGEST_SHARE * one_s and leave_s - began_s - one_s >= least_s:
        began_s, more = began_s + one_s, more + 1
    if leave_s - began_s < least_s:
        return (
            f"Leave {name} at {when}: from over it at {clock(began_s)} on there was no time for another circuit, the "
            f"shortest takes {clock_words(least_s)}; stretch the one before.",
        )
    last = _circuit_lasting(plan, air, leave_s - began_s)
    turn = None if last is None else next((leg for leg in last.legs if leg.phase == "reversal turn"), None)
    heading = None if last is None else last.heading_true_deg("outbound")
    if last is None or turn is None or heading is None:
        return ()
    at_s = began_s + float(turn.time_s[0] - last.legs[0].time_s[0])
    again = "" if not more else f"fly {more} whole circuit{'s' if more > 1 else ''} of {clock_words(one_s)} first; "
    return (
        f"Leave {name} at {when}: {again}from over it at {clock(began_s)} fly heading "
        f"{magnetic(plan.procedure, heading)} outbound and turn inbound at {clock(at_s)}; the inbound leg then takes "
        f"{clock_words(last.inbound_s)}.",
    )


def _circuit(plan: Plan, air: tuple[float, Wind | None], inbound_s: float) -> SolvedPlan | None:
    """Return a circuit from over the fix on the inbound course, with so long an inbound leg."""
    timed = replace(plan.procedure, reversal="holding", outbound_s=inbound_s, outbound_m=None)
    solved = Plan(timed, plan.frame).solved(Asked(timed, air[0], air[1], "hold", "direct"))
    return solved if isinstance(solved, SolvedPlan) else None


def _lasting_s(solved: SolvedPlan) -> float:
    return float(solved.legs[-1].time_s[-1] - solved.legs[0].time_s[0])


def _circuit_lasting(plan: Plan, air: tuple[float, Wind | None], lasting_s: float) -> SolvedPlan | None:
    low, high = SHORTEST_INBOUND_S[0], LONGEST_INBOUND_S
    found = None
    for _ in range(STEPS):
        middle = 0.5 * (low + high)
        one = _circuit(plan, air, middle)
        if one is None or _lasting_s(one) < lasting_s:
            low = middle
        else:
            high = middle
        found = one or found
    return found
