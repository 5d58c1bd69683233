"""Judges the timed leg against what the wind asked for."""

from analyzer.judged.findings.case import SIGMAS_OF_DOUBT, Case, Part, verdict_of
from analyzer.judged.findings.values import Finding, Severity
from analyzer.judged.findings.wording import limb
from analyzer.judged.measurements.values import Timing
from analyzer.units import clock, seconds

#: a leg of a kind whose area is designed on its timing is a major fault from this many tolerances on (own choice)
TOLERANCES_FOR_MAJOR = 2.0


def judge_timing(case: Case) -> Part:
    """Return the verdict on the timed leg and its finding."""
    timing = case.measures.timing
    if timing is None:
        return Part("not assessed", (), (_why_not(case),))
    asked_s = timing.planned_s if timing.wind_adjusted_s is None else timing.wind_adjusted_s
    low_s, high_s = _accepted(case, timing)
    limit_s = case.tolerances.value("timing.leg_s")
    off_s = min(timing.leg_s - low_s, 0.0) + max(timing.leg_s - high_s, 0.0)
    margin_s = limit_s - abs(off_s)
    verdict = verdict_of(margin_s, timing.sigma_s)
    missing: tuple[str, ...] = ()
    if timing.wind_adjusted_s is None:
        missing = ("Timing against the wind: the wind is not known, so the still-air time is the measure.",)
    if verdict == "to standard":
        return Part(verdict, (), missing)
    asked = (
        f"{seconds(timing.planned_s)} in still air, the wind not known"
        if timing.wind_adjusted_s is None
        else f"the wind asked for {seconds(asked_s)} ({seconds(timing.planned_s)} in still air)"
    )
    bound_s = high_s if off_s > 0 else low_s  # what the leg is measured by: the charted time or the wind's
    if timing.wind_adjusted_s is not None and seconds(bound_s) != seconds(asked_s):
        asked = f"{seconds(bound_s)} charted, {seconds(asked_s)} in this wind"
    leg = limb(timing.leg)
    start = (
        f"from the start of the turn at {clock(timing.start_s)}"
        if _from_the_turn(case)
        else (f"from {clock(timing.start_s)}")
    )
    numbers = (timing.leg_s, high_s + limit_s if off_s > 0 else low_s - limit_s, margin_s, "s")
    reference = case.tolerances.reference("timing.leg_s")
    if verdict == "too close to call":
        finding = Finding(
            "timing-too-close",
            "note",
            timing.leg,
            timing.lap,
            timing.start_s,
            f"The {leg}, {start}, lasted {seconds(timing.leg_s)}; {asked}; the difference is within "
            f"{seconds(SIGMAS_OF_DOUBT * timing.sigma_s)} of the {limit_s:g} s tolerance: too close to call.",
            "A recording with a point every second would settle it.",
            reference,
            *numbers,
        )
        return Part(verdict, (finding,), missing)
    long = off_s > 0
    finding = Finding(
        "leg-too-long" if long else "leg-too-short",
        _severity(case, timing.leg_s - timing.planned_s, limit_s),
        timing.leg,
        timing.lap,
        timing.start_s,
        f"The {leg}, {start}, lasted {seconds(timing.leg_s)}, {seconds(abs(off_s))} too "
        f"{'long' if long else 'short'}: {asked}.",
        f"Start the clock {_clock_start(case)} and turn at {seconds(asked_s)}.",
        reference,
        *numbers,
    )
    return Part(verdict, (finding,), missing)


def _accepted(case: Case, timing: Timing) -> tuple[float, float]:
    """Shortest and longest leg that need no tolerance.

    From the second lap of a hold on it is what the wind asks for. Elsewhere the charted time is right as well: the
    first outbound leg of a hold is flown by the clock to find the wind (AIM 5-3-8 j), and the offset leg of a
    45/180 ends at the pilot's discretion (AIM 5-4-9 a1) or is designed on the charted time (ICAO).
    """
    if timing.wind_adjusted_s is None:
        return timing.planned_s, timing.planned_s
    if case.procedure.is_hold and timing.lap > 1:
        return timing.wind_adjusted_s, timing.wind_adjusted_s
    return min(timing.planned_s, timing.wind_adjusted_s), max(timing.planned_s, timing.wind_adjusted_s)


def _why_not(case: Case) -> str:
    if case.procedure.outbound_m is not None:
        return "Timing: the procedure limits the leg by distance, not by time."
    if case.attempt.flown_as == "80/260":
        return "Timing: an 80/260 has no timed leg."
    if case.procedure.outbound_s is None:
        return "Timing: the procedure gives no time for a leg."
    return "Timing: the timed leg was not flown, or the track does not cover it."


def _from_the_turn(case: Case) -> bool:
    return not case.procedure.is_hold and case.procedure.timing_from == "turn start"


def _clock_start(case: Case) -> str:
    if case.procedure.is_hold:
        return "abeam the fix or with wings level, whichever is later,"
    return "as the turn begins" if _from_the_turn(case) else "with wings level"


def _severity(case: Case, over_chart_s: float, limit_s: float) -> Severity:
    """Legs over the charted time count more where the area is designed on it: ICAO reversals and any hold in lieu.

    Under US criteria the point, the type and the rate of a procedure turn are the pilot's choice (AIM 5-4-9 a1).
    """
    designed_on_time = not case.is_us or case.procedure.reversal == "hold in lieu"
    return "major" if designed_on_time and over_chart_s > TOLERANCES_FOR_MAJOR * limit_s else "minor"
