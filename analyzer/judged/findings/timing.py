"""Judges the end of a charted leg: its time against the chart and the wind, or its distance against the chart."""

from dataclasses import dataclass

from analyzer.judged.findings.case import SIGMAS_OF_DOUBT, Case, Part, verdict_of
from analyzer.judged.findings.values import Finding, Severity
from analyzer.judged.findings.wording import limb, turn_place
from analyzer.judged.measurements.values import LapMeasure, LegEnd, Timing
from analyzer.planned import NoPlan, SolvedPlan
from analyzer.standards import FLYING
from analyzer.units import METRES_PER_NM, clock, miles, seconds

#: the leg of a 45/180 whose area is designed on its timing: this many tolerances over are a major fault (own choice)
TOLERANCES_FOR_MAJOR = 2.0
_NOTE: Severity = "note"
HANDBOOK_OFFSET_S = FLYING["us.offset_leg.handbook"].value


@dataclass(frozen=True)
class LegLimits:
    """What a timed leg is judged by, seconds.

    Between `low_s` and `high_s` it needs no tolerance; `tolerance_s` either way is to standard; `major_s` over what
    both the chart and the wind ask, `longest_s`, is a major fault, infinity where nothing makes it one.
    """

    low_s: float
    high_s: float
    longest_s: float
    tolerance_s: float
    major_s: float


def leg_limits(case: Case, timing: Timing) -> LegLimits:
    """Return the limits of the timed leg.

    The charted time of a hold's or base turn's leg must not be exceeded (US holds in lieu: AIM 5-4-9 a5), but no
    document gives a tolerance: a quarter of that time is allowed, half of it is a major fault (own choice: on a leg of
    a minute 15 and 30 s, the larger of which moves the turn by about a mile at 120 kt). A leg is short only against
    what the wind asks. The first outbound leg of a hold is flown by the clock to find the wind (AIM 5-3-8 j4), so that
    the charted time is right there as well; so it is for the offset leg of a 45/180.
    """
    asked_s = timing.planned_s if timing.wind_adjusted_s is None else timing.wind_adjusted_s
    low_s, longest_s = min(timing.planned_s, asked_s), max(timing.planned_s, asked_s)
    tolerance_s = case.tolerances.value("timing.leg_s")
    if timing.leg == "offset leg":
        major_s = float("inf") if case.is_us else TOLERANCES_FOR_MAJOR * tolerance_s
        return LegLimits(low_s, longest_s, longest_s, tolerance_s, major_s)
    if case.procedure.is_hold and timing.lap > 1:
        low_s = high_s = asked_s
    else:
        high_s = longest_s
    tolerance_s = max(tolerance_s, case.tolerances.value("timing.leg_share") * timing.planned_s)
    major_s = max(tolerance_s, case.tolerances.value("timing.leg_major_share") * timing.planned_s)
    return LegLimits(low_s, high_s, longest_s, tolerance_s, major_s)


def judge_timing(case: Case) -> Part:
    """Return the verdict on the end of the charted leg and its finding: by distance where that is charted."""
    if case.measures.leg_end is not None:
        return _by_distance(case, case.measures.leg_end)
    if case.measures.timing is not None:
        return _by_time(case, case.measures.timing)
    return Part("not assessed", (), (_why_not(case),))


def _by_time(case: Case, timing: Timing) -> Part:
    limits = leg_limits(case, timing)
    off_s = min(timing.leg_s - limits.low_s, 0.0) + max(timing.leg_s - limits.high_s, 0.0)
    verdict = verdict_of(limits.tolerance_s - abs(off_s), timing.sigma_s)
    missing: tuple[str, ...] = ()
    if timing.wind_adjusted_s is None:
        why = "no time is right in this wind" if _without_plan(case) else "the wind is not known"
        missing = (f"Timing against the wind: {why}, so the still-air time is the measure.",)
    if verdict != "to standard" and case.left_on_time(timing.lap):
        sentence = (
            f"The {limb(timing.leg)} of lap {timing.lap} was adjusted to leave on time: its length is not judged."
        )
        return Part("to standard", (), (*missing, sentence))
    earlier = tuple(_put_right(case)) if verdict == "to standard" else ()
    if verdict == "to standard":
        return Part(verdict, earlier, missing)
    finding = _too_close(case, timing, limits, off_s) if verdict == "too close to call" else None
    return Part(verdict, (finding or _off(case, timing, limits, off_s),), missing)


def _asked_words(case: Case, timing: Timing, bound_s: float) -> str:
    asked_s = timing.wind_adjusted_s
    name = "charted" if "limits.outbound_min" not in case.procedure.defaults else "by the rule"
    if asked_s is None:
        against = "none right in this wind" if _without_plan(case) else "the wind not known"
        return f"{seconds(timing.planned_s)} {name}, {against}"
    if abs(asked_s - timing.planned_s) < 1.0:
        return f"{seconds(timing.planned_s)} {name}"
    if seconds(bound_s) != seconds(asked_s):
        return f"{seconds(bound_s)} {name}, {seconds(asked_s)} in this wind"
    return f"the wind asked for {seconds(asked_s)} ({seconds(timing.planned_s)} in still air)"


def _without_plan(case: Case) -> bool:
    return isinstance(case.measures.solved, NoPlan)


def _numbers(timing: Timing, limits: LegLimits, off_s: float) -> tuple[float, float, float, str]:
    limit_s = limits.high_s + limits.tolerance_s if off_s > 0 else limits.low_s - limits.tolerance_s
    return timing.leg_s, limit_s, limits.tolerance_s - abs(off_s), "s"


def _start(case: Case, timing: Timing) -> str:
    return f"from {'the start of the turn at ' if _from_the_turn(case) else ''}{clock(timing.start_s)}"


def _off(case: Case, timing: Timing, limits: LegLimits, off_s: float) -> Finding:
    long = off_s > 0
    bound_s = limits.high_s if long else limits.low_s  # what the leg is measured by: the charted time or the wind's
    asked_s = timing.planned_s if timing.wind_adjusted_s is None else timing.wind_adjusted_s
    over_s = timing.leg_s - limits.longest_s - SIGMAS_OF_DOUBT * timing.sigma_s
    # a short leg keeps nearer the fix; a timed hold's may be what the wind asks for, which is not known
    may_be_asked = timing.wind_adjusted_s is None and case.procedure.reversal == "holding"
    severity: Severity = "major" if long and over_s >= limits.major_s and not may_be_asked else "minor"
    return Finding(
        "leg-too-long" if long else "leg-too-short",
        severity,
        timing.leg,
        timing.lap,
        timing.start_s,
        f"The {limb(timing.leg)}, {_start(case, timing)}, lasted {seconds(timing.leg_s)}, {seconds(abs(off_s))} too "
        f"{'long' if long else 'short'}: {_asked_words(case, timing, bound_s)}.",
        f"Start the clock {_clock_start(case)} and turn at {seconds(asked_s)}.",
        leg_reference(case),
        *_numbers(timing, limits, off_s),
    )


def _too_close(case: Case, timing: Timing, limits: LegLimits, off_s: float) -> Finding:
    bound_s = limits.high_s if off_s > 0 else limits.low_s
    return Finding(
        "timing-too-close",
        "note",
        timing.leg,
        timing.lap,
        timing.start_s,
        f"The {limb(timing.leg)}, {_start(case, timing)}, lasted {seconds(timing.leg_s)}; "
        f"{_asked_words(case, timing, bound_s)}; the difference is within "
        f"{seconds(SIGMAS_OF_DOUBT * timing.sigma_s)} of the {limits.tolerance_s:.0f} s tolerance: too close to call.",
        "A recording with a point every second would settle it.",
        leg_reference(case),
        *_numbers(timing, limits, off_s),
    )


def _put_right(case: Case) -> list[Finding]:
    """Return a minor finding where an earlier lap's leg was far too long and the last one is right."""
    timing = case.measures.timing
    if timing is None or timing.leg != "outbound":
        return []
    limits = leg_limits(case, timing)
    least_s = limits.major_s + SIGMAS_OF_DOUBT * timing.sigma_s
    over = [
        lap
        for lap in case.measures.laps
        if lap.lap < timing.lap and (lap.outbound_s or 0.0) >= _longest_s(case, limits, lap.lap) + least_s
    ]
    return [_long_before(case, timing, limits, max(over, key=lambda lap: lap.outbound_s or 0.0))] if over else []


def _longest_s(case: Case, limits: LegLimits, lap: int) -> float:
    """Return what chart and wind ask of a lap's outbound leg at most: an entry may need more than a circuit."""
    solved = case.measures.solved
    asked_s = solved.timed_s("outbound", lap) if isinstance(solved, SolvedPlan) else None
    return limits.longest_s if asked_s is None else max(limits.longest_s, asked_s)


def _long_before(case: Case, timing: Timing, limits: LegLimits, lap: LapMeasure) -> Finding:
    leg = case.attempt.phase("outbound", lap.lap)
    flown_s = lap.outbound_s or 0.0
    return Finding(
        "leg-too-long",
        "minor",
        "outbound",
        lap.lap,
        None if leg is None else leg.start_s,
        f"The outbound leg of lap {lap.lap} lasted {seconds(flown_s)}, {seconds(flown_s - limits.longest_s)} too long; "
        f"it was put right by lap {timing.lap}.",
        f"Start the clock {_clock_start(case)} in every lap.",
        leg_reference(case),
        flown_s,
        limits.longest_s + limits.tolerance_s,
        limits.longest_s + limits.tolerance_s - flown_s,
        "s",
    )


def _by_distance(case: Case, end: LegEnd) -> Part:
    """Judge a leg that ends at a distance: the charted length is a limit, a shorter leg is none's fault."""
    limit_m = case.tolerances.si("timing.leg_over_nm")
    hold = case.procedure.is_hold  # its leg is a length along the course; a teardrop's ends at a distance from the fix
    out_m = end.out_m(along_the_course=hold)
    over_m = out_m - end.charted_m
    verdict = verdict_of(limit_m - over_m, end.sigma_m)
    if verdict == "to standard":
        return Part(verdict)
    doubt_m = SIGMAS_OF_DOUBT * end.sigma_m
    place = "out along the course" if hold else "from the fix"
    flown = f"The outbound leg of lap {end.lap}" if end.lap > 1 else "The outbound leg"
    text = (
        f"{flown} ended at {clock(end.at_s)}, {miles(out_m)} {place}, {miles(over_m)} beyond the "
        f"{miles(end.charted_m)} asked for"
    )
    numbers = (
        out_m / METRES_PER_NM,
        (end.charted_m + limit_m) / METRES_PER_NM,
        (limit_m - over_m) / METRES_PER_NM,
    )
    if verdict == "too close to call":
        code, severity = "timing-too-close", _NOTE
        text += f": within {doubt_m:.0f} m of the {miles(limit_m)} tolerance, too close to call."
        advice = "A recording with better positions would settle it; turn earlier next time."
    else:
        far = over_m - doubt_m >= case.tolerances.si("timing.leg_major_over_nm")
        code, severity = "leg-too-long", "major" if far else "minor"
        text += "."
        place = turn_place(case.procedure, case.measures.solved, end.lap)
        advice = f"Begin the turn inbound at {place}: the leg's length is a limit."
    finding = Finding(
        code, severity, "outbound", end.lap, end.at_s, text, advice, leg_reference(case), *numbers, unit="NM"
    )
    return Part(verdict, (finding,))


def leg_reference(case: Case) -> str:
    """Return where the leg's time or length stands; its tolerance is this project's own, as the documents give none."""
    own = "tolerance: own choice"
    if case.procedure.reversal == "hold in lieu" and case.is_us:
        return f"AIM 5-4-9 a5; {own}"
    if case.procedure.is_hold:
        by = "j5" if case.procedure.outbound_m is not None else "j4"
        return f"{f'AIM 5-3-8 {by}' if case.is_us else 'chart; ICAO Doc 8168, holding'}; {own}"
    if case.procedure.reversal == "teardrop":
        return (
            f"{'chart' if case.is_us else 'chart; ICAO Doc 8168 Vol II, Part I, Section 4, Chapter 3, 3.5.4.3'}; {own}"
        )
    if case.is_us:
        return f"chart; {own}"
    return "ICAO Doc 8168 Vol II, Part I, Section 4, Chapter 3, 3.5.4.1; tolerance as designed for: 3.6.2 h) 1)"


def _why_not(case: Case) -> str:
    if case.attempt.flown_as == "80/260":
        return "Timing: an 80/260 has no timed leg."
    if case.procedure.reversal == "procedure turn":
        return _own_choice(case) if case.is_us else "Timing: no timed leg was flown."
    if case.procedure.outbound_s is None and case.procedure.outbound_m is None:
        return "Timing: the procedure gives no time or length for a leg."
    return "Timing: the leg's beginning or end is not on the track."


def _own_choice(case: Case) -> str:
    """Say that nobody times a US procedure turn's leg, and what the handbook's exercise flies."""
    leg = next((leg for leg in case.measures.legs if leg.phase == "offset leg"), None)
    flown = "" if leg is None else f" {seconds(leg.end_s - leg.start_s)} were flown;"
    return (
        "Timing: point, type and rate of the turn are the pilot's choice (AIM 5-4-9 a1), the chart gives no time."
        f"{flown} the handbook's exercise has {HANDBOOK_OFFSET_S:.0f} s after roll-out (IFH ch. 7)."
    )


def _from_the_turn(case: Case) -> bool:
    return case.procedure.reversal == "procedure turn" and case.procedure.timing_from == "turn start"


def _clock_start(case: Case) -> str:
    if case.procedure.is_hold:
        return "abeam the fix or with wings level, whichever is later,"
    if case.procedure.reversal == "teardrop":
        return "over the fix or with wings level outbound"
    return "as the turn begins" if _from_the_turn(case) else "with wings level"
