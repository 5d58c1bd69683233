"""The timed leg: how long it was flown, and how long the wind asked for."""

import numpy as np

from analyzer.flown import Attempt, Motion
from analyzer.given import PhaseName, Procedure
from analyzer.judged.measurements.values import Timing
from analyzer.planned import NoPlan, SolvedPlan

#: how well roll-in and wings level are known, 1 sigma: a least value and a share of the recording's interval, up to a
#: longest one beyond which the fit of the whole turn carries; `tests.benchmarks.settled.edge_sigma`
EDGE_LEAST_S, EDGE_INTERVALS, EDGE_LONGEST_S = 0.4, 0.4, 2.0


def edge_sigma_s(motion: Motion) -> float:
    """Return how well the moment of a roll-in or of wings level is known, 1 sigma, seconds."""
    interval = motion.step_s if motion.samples is None else motion.samples.interval_s
    return EDGE_LEAST_S + EDGE_INTERVALS * min(interval, EDGE_LONGEST_S)


def timed_leg_name(attempt: Attempt, procedure: Procedure) -> PhaseName | None:
    """Return which phase is timed: a 45/180's offset leg, the outbound leg of a hold or of a charted teardrop, or None.

    A US procedure turn has no time of its own (AIM 5-4-9 a1): its leg is timed only where the file gives one.
    """
    if attempt.flown_as == "45/180" and procedure.reversal == "procedure turn":
        given = procedure.criteria != "US" or "limits.outbound_min" not in procedure.defaults
        return "offset leg" if given else None
    charted_teardrop = attempt.flown_as == "teardrop" and procedure.reversal == "teardrop"
    return "outbound" if attempt.flown_as == "hold" or charted_teardrop else None


def timed_span(attempt: Attempt, motion: Motion, procedure: Procedure, lap: int) -> tuple[float, float] | None:
    """Return start and end of a lap's timed leg, None where it has none or the reversal turn was not begun.

    Of a 45/180 the offset leg, from wings level or from the start of the offset turn (the procedure's `timing_from`)
    to roll-in of the reversal turn; of a hold the outbound leg, from abeam the fix or wings level, whichever is later.
    A base turn's clock starts over the fix or with wings level outbound, the documents don't say which: the start
    counts that comes nearer to the time asked for (own choice).
    """
    name = timed_leg_name(attempt, procedure)
    reversal = attempt.phase("reversal turn", lap)
    leg = None if name is None else attempt.phase(name, lap)
    if reversal is None or leg is None:
        return None
    if name == "offset leg":
        turn = attempt.phase("offset turn", lap)
        start_s = turn.start_s if procedure.timing_from == "turn start" and turn is not None else leg.start_s
        return start_s, leg.end_s
    abeam_s = _abeam_s(motion, leg.start_s, leg.end_s)
    if abeam_s is None:
        return None
    if attempt.flown_as == "teardrop" and procedure.outbound_s is not None:
        asked_s = procedure.outbound_s
        start_s = min((attempt.first_passage_s, abeam_s), key=lambda start: abs(leg.end_s - start - asked_s))
        return start_s, leg.end_s
    return abeam_s, leg.end_s


def _abeam_s(motion: Motion, start_s: float, end_s: float) -> float | None:
    """Moment from which the aircraft is abeam the fix or beyond; the start where it is already, None where never."""
    inside = (motion.time_s > start_s) & (motion.time_s < end_s)
    time = np.concatenate([[start_s], motion.time_s[inside], [end_s]])
    along = np.interp(time, motion.time_s, motion.along_m)
    beyond = np.flatnonzero(along >= 0.0)
    if beyond.size == 0:
        return None
    first = int(beyond[0])
    if first == 0:
        return start_s
    share = -along[first - 1] / (along[first] - along[first - 1])
    return float(time[first - 1] + share * (time[first] - time[first - 1]))


def measure_timing(
    attempt: Attempt, motion: Motion, procedure: Procedure, solved: SolvedPlan | NoPlan | None
) -> Timing | None:
    """Return the timed leg of the last lap, None where the procedure or the method has none or it was not finished.

    A leg that ends at a distance is measured by `measure_leg_end`.

    Parameters
    ----------
    attempt : Attempt
    motion : Motion
    procedure : Procedure
        Its outbound time; a leg that ends at a distance is not timed.
    solved : SolvedPlan, NoPlan or None
        What the wind asked for; without a plan `wind_adjusted_s` is None.
    """
    name = timed_leg_name(attempt, procedure)
    span = timed_span(attempt, motion, procedure, attempt.laps)
    if name is None or span is None or procedure.outbound_s is None:
        return None
    return Timing(
        leg=name,
        lap=attempt.laps,
        start_s=span[0],
        leg_s=span[1] - span[0],
        planned_s=procedure.outbound_s,
        wind_adjusted_s=solved.timed_s(name, attempt.laps) if isinstance(solved, SolvedPlan) else None,
        sigma_s=float(np.sqrt(2.0)) * edge_sigma_s(motion),
    )
