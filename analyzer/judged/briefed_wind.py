"""What was briefed beside what blew: the legs that the two winds ask for, one sentence for each reversal."""

from analyzer.flown import Attempt, Flight
from analyzer.given import Options, PhaseName, Procedure, QualityNote, Wind
from analyzer.judged.findings.wording import magnetic
from analyzer.judged.measurements.asked_for import next_plan
from analyzer.planned import NoPlan, Plan, SolvedPlan
from analyzer.units import clock_words, knots

_LEGS: tuple[PhaseName, ...] = ("outbound", "offset leg", "offset turn")


def briefed_notes(flight: Flight, plan: Plan, options: Options) -> tuple[QualityNote, ...]:
    """Return a note for each reversal on the wind that was briefed; none where none was.

    Parameters
    ----------
    flight : Flight
        Without a wind the notes say that there is nothing to compare with.
    plan : Plan
    options : Options
        `brief_wind`.
    """
    if options.brief_wind is None:
        return ()
    return tuple(_note(attempt, flight, plan, options.brief_wind) for attempt in flight.attempts)


def _note(attempt: Attempt, flight: Flight, plan: Plan, briefed: Wind) -> QualityNote:
    said = f"Briefed for {_wind(plan.procedure, briefed)}"
    if flight.wind is None:
        return QualityNote("briefed-wind", f"{said}; what blew is not known.", attempt=attempt.number)
    before, after = next_plan(attempt, flight, plan, briefed), next_plan(attempt, flight, plan, flight.wind)
    text = f"{said}; {_wind(plan.procedure, flight.wind)} blew (magnetic)."
    text += f" The briefing's plan: {_legs(plan.procedure, before)}. This wind's: {_legs(plan.procedure, after)}."
    return QualityNote("briefed-wind", text, attempt=attempt.number)


def _wind(procedure: Procedure, wind: Wind) -> str:
    return f"{magnetic(procedure, wind.from_deg_true)} at {knots(wind.speed_mps)}"


def _legs(procedure: Procedure, plan: SolvedPlan | NoPlan | None) -> str:
    """Return headings and times of the legs that the wind changes, those of the last lap."""
    if not isinstance(plan, SolvedPlan):
        return "none" if plan is None else f"none, {plan.reason}"
    parts = []
    for phase in _LEGS:
        leg = plan.leg(phase, plan.legs[-1].lap)
        if leg is not None and leg.heading_true_deg is not None:
            timed = "" if leg.timed_s is None else f" for {clock_words(leg.timed_s)}"
            parts.append(f"{phase} {magnetic(procedure, leg.heading_true_deg)}{timed}")
    return ", ".join(parts)
