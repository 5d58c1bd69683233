"""The circuits of a hold, one by one."""

import numpy as np

from analyzer.flown import Attempt, Motion
from analyzer.given import Procedure
from analyzer.judged.measurements.altitudes import inbound_passage_s
from analyzer.judged.measurements.timing import timed_span
from analyzer.judged.measurements.values import LapMeasure


def measure_laps(attempt: Attempt, motion: Motion, procedure: Procedure) -> tuple[LapMeasure, ...]:
    """Return one measure for each circuit of a hold, in order; none where no hold was flown."""
    if attempt.flown_as != "hold":
        return ()
    return tuple(_lap(attempt, motion, procedure, lap) for lap in range(1, attempt.laps + 1))


def _lap(attempt: Attempt, motion: Motion, procedure: Procedure, lap: int) -> LapMeasure:
    span = timed_span(attempt, motion, procedure, lap)
    reversal = attempt.phase("reversal turn", lap)
    last = [phase for phase in attempt.phases if phase.lap == lap and phase.name != "final"]
    reached_fix = lap < attempt.laps or inbound_passage_s(attempt) is not None
    inbound_s = None
    if reversal is not None and reached_fix and last[-1].end_s > reversal.end_s:
        inbound_s = last[-1].end_s - reversal.end_s
    along_m = cross_m = None
    if reversal is not None:
        along_m = float(np.interp(reversal.start_s, motion.time_s, motion.along_m))
        cross_m = float(np.interp(reversal.start_s, motion.time_s, motion.cross_m))
    return LapMeasure(
        lap=lap,
        outbound_s=None if span is None else span[1] - span[0],
        inbound_s=inbound_s,
        established_s=attempt.established_s[lap - 1] if lap <= len(attempt.established_s) else None,
        roll_in_along_m=along_m,
        roll_in_cross_m=cross_m,
    )
