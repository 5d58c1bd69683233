"""Judges the circuits of a hold against each other and against the minute."""

from math import hypot

from analyzer.judged.findings.case import SIGMAS_OF_DOUBT, Case, Part
from analyzer.judged.findings.cleared_hold import judge_circuits, judge_leaving
from analyzer.judged.findings.values import Finding
from analyzer.judged.findings.wording import magnetic
from analyzer.judged.measurements.values import LapMeasure
from analyzer.planned import SolvedPlan
from analyzer.units import METRES_PER_NM, clock, miles, seconds

SHORTEST_OUTBOUND_S = 15.0  # no outbound leg shorter than this is advised
LAPS_FOR_DRIFT = 3  # two turning points show no trend


def judge_hold(case: Case) -> Part:
    """Return findings on a hold's laps, its inbound legs and what was cleared; nothing for other reversals."""
    if not case.procedure.is_hold:
        return Part("not assessed")
    leaving, missing = judge_leaving(case)
    laps = [f for f in (_drift(case), _inbound_legs(case), _converged(case)) if f is not None]
    findings = (*laps, *leaving, *judge_circuits(case))
    failing = any(finding.severity != "note" for finding in findings)
    return Part("not to standard" if failing else "to standard", findings, missing)


def _moment(case: Case, lap: int) -> float | None:
    phase = case.attempt.phase("reversal turn", lap)
    return phase.start_s if phase else None


def _drift(case: Case) -> Finding | None:
    """Drift of the turning point across the course, and along it where the outbound times do not explain it."""
    laps = [lap for lap in case.measures.laps if lap.roll_in_along_m is not None and lap.roll_in_cross_m is not None]
    if case.clearance.hold.leave_at_s is not None:
        laps = [lap for lap in laps if lap.lap < case.attempt.laps]  # the last one turns where the time to leave asks
    if case.attempt.entry != "direct":
        laps = [lap for lap in laps if lap.lap > 1]  # a teardrop or parallel entry turns elsewhere by its nature
    if case.attempt.laps < LAPS_FOR_DRIFT or len(laps) < 2:
        return None
    drift_m, across_m = _shift(case, laps)
    limit_m = case.tolerances.si("timing.lap_drift_nm")
    sigma_m = 2**0.5 * case.measures.containment.sigma_m
    if drift_m - limit_m < 2.0 * sigma_m:
        return None
    last = laps[-1]
    at_s = _moment(case, last.lap)
    away = "towards" if across_m * case.procedure.side < 0 else "away from"
    return Finding(
        "laps-drift",
        "minor",
        "reversal turn",
        last.lap,
        at_s,
        f"From lap {laps[0].lap} to lap {last.lap} (at {clock(at_s or 0.0)}) the point where the turn inbound began "
        "moved by "
        f"{miles(drift_m)}, {away} the inbound course; the limit is {miles(limit_m)}.",
        _keep_heading(case, last.lap),
        case.tolerances.reference("timing.lap_drift_nm"),
        drift_m / METRES_PER_NM,
        limit_m / METRES_PER_NM,
        (limit_m - drift_m) / METRES_PER_NM,
        "NM",
    )


def _keep_heading(case: Case, lap: int) -> str:
    """Advise one heading from lap to lap: the plan's where the wind is known."""
    solved = case.measures.solved
    heading = solved.heading_true_deg("outbound", lap) if isinstance(solved, SolvedPlan) else None
    if heading is None:
        return (
            "Find the inbound drift correction, correct for it outbound the other way, and keep that from lap to lap."
        )
    return f"Fly heading {magnetic(case.procedure, heading)} outbound in this wind, on every lap."


def _shift(case: Case, laps: list[LapMeasure]) -> tuple[float, float]:
    first, last = laps[0], laps[-1]
    across = (last.roll_in_cross_m or 0.0) - (first.roll_in_cross_m or 0.0)
    along = (last.roll_in_along_m or 0.0) - (first.roll_in_along_m or 0.0)
    if first.outbound_s is None or last.outbound_s is None:
        along = 0.0
    elif abs(first.outbound_s - last.outbound_s) > case.tolerances.value("timing.leg_s"):
        along = 0.0  # the pilot changed the time: the turning point was meant to move
    return hypot(along, across), across


def _time_outbound(case: Case, lap: LapMeasure, off_s: float) -> str:
    """Advise one time outbound: the wind's where it is known, as the finding on the timing does."""
    timing = case.measures.timing
    wind_s = None if timing is None else timing.wind_adjusted_s
    if wind_s is None or lap.outbound_s is None:
        better = (
            "" if lap.outbound_s is None else f": about {max(lap.outbound_s - off_s, SHORTEST_OUTBOUND_S):.0f} s here"
        )
        word, over = ("Shorten", "over") if off_s > 0 else ("Lengthen", "short")
        return f"{word} the next outbound leg by what the inbound leg was {over}{better}."
    if (lap.outbound_s - wind_s) * off_s > 0.0:
        return f"With the outbound heading corrected for the wind, fly {seconds(wind_s)} outbound."
    if abs(lap.outbound_s - wind_s) > case.tolerances.value("timing.leg_s"):
        return (
            f"Look at the outbound heading and the turns first; with them right, fly {seconds(wind_s)} outbound in "
            "this wind."
        )
    return f"Look at the outbound heading and the turns: the time of {seconds(lap.outbound_s)} was not at fault."


def _sigma_s(case: Case) -> float:
    return case.measures.timing.sigma_s if case.measures.timing else 1.0


def _asked_inbound_s(case: Case) -> float | None:
    """Return the time of the inbound leg; where no outbound time makes it right in this wind, what the plan gives."""
    asked_s = case.procedure.outbound_s
    if asked_s is None or case.procedure.outbound_m is not None:
        return None
    solved = case.measures.solved
    if isinstance(solved, SolvedPlan) and abs(solved.inbound_s - asked_s) > case.tolerances.value(
        "timing.inbound_leg_s"
    ):
        return solved.inbound_s
    return asked_s


def _timed_inbound(case: Case) -> list[tuple[float, LapMeasure]]:
    """Return how far each lap's inbound leg was off its time.

    Without the entry's lap, and without the one that was shortened or stretched to leave the hold at a time.
    """
    asked_s = _asked_inbound_s(case)
    if asked_s is None:
        return []
    last = case.attempt.laps if case.clearance.hold.leave_at_s is not None else case.attempt.laps + 1
    laps = [lap for lap in case.measures.laps if 1 < lap.lap < last]
    return [(lap.inbound_s - asked_s, lap) for lap in laps if lap.inbound_s is not None]


def _converged(case: Case) -> Finding | None:
    """Praise inbound legs that came to their time: one was off it by more than the tolerance, the last is right."""
    legs = _timed_inbound(case)
    limit_s = case.tolerances.value("timing.inbound_leg_s")
    if len(legs) < 2 or abs(legs[-1][0]) > limit_s or max(abs(off_s) for off_s, _ in legs) <= limit_s:
        return None
    lap = legs[-1][1]
    phase = case.attempt.phase("inbound", lap.lap)
    at_s = None if phase is None else phase.end_s
    times = ", ".join(f"{seconds(one.inbound_s or 0.0)} in lap {one.lap}" for _, one in legs)
    by = "" if at_s is None else f" by {clock(at_s)}"
    return Finding(
        "laps-converged",
        "note",
        "inbound",
        lap.lap,
        at_s,
        f"The inbound leg came to its time{by}: {times}.",
        "That is how the wind is worked out in a hold: keep the time and the heading of the last lap.",
        "AIM 5-3-8 j4" if case.is_us else case.tolerances.reference("timing.inbound_leg_s"),
    )


def _inbound_legs(case: Case) -> Finding | None:
    """Judge the inbound leg of the last lap: the laps before it are there to find the wind."""
    legs, asked_s = _timed_inbound(case), _asked_inbound_s(case)
    if not legs or asked_s is None:
        return None
    limit_s = case.tolerances.value("timing.inbound_leg_s")
    off_s, lap = legs[-1]
    if abs(off_s) - limit_s < SIGMAS_OF_DOUBT * _sigma_s(case):
        return None
    long = off_s > 0
    turn = case.attempt.phase("reversal turn", lap.lap)
    at_s = turn.end_s if turn else None
    out = "" if lap.outbound_s is None else f" after {seconds(lap.outbound_s)} outbound"
    return Finding(
        "inbound-leg-long" if long else "inbound-leg-short",
        "minor",
        "inbound",
        lap.lap,
        at_s,
        f"The inbound leg of lap {lap.lap}, from {clock(at_s or 0.0)}, lasted {seconds(lap.inbound_s or 0.0)}{out}, "
        f"{seconds(abs(off_s))} {'more' if long else 'less'} than the {seconds(asked_s)} asked for.",
        _time_outbound(case, lap, off_s),
        "AIM 5-3-8 j4" if case.is_us else case.tolerances.reference("timing.inbound_leg_s"),
        lap.inbound_s,
        asked_s + (limit_s if long else -limit_s),
        limit_s - abs(off_s),
        "s",
    )
