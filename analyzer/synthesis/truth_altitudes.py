"""The altitude segments of a noise-free flight and what was flown outside their limits."""

import numpy as np

from analyzer.given import AltitudeSegment, Procedure
from analyzer.synthesis.aircraft import State
from analyzer.synthesis.truth_measures import altitude_violations
from analyzer.synthesis.truth_values import AltitudeTruth

ON_GROUND_MPS = 40.0 * 1852.0 / 3600.0


def altitude_truths(
    state: State,
    procedure: Procedure,
    first_s: float,
    established_s: float | None,
    out_s: float | None,
    start_s: float,
    end_s: float,
) -> tuple[AltitudeTruth, ...]:
    """Return the segments of one attempt that have a limit, with their violations.

    Parameters
    ----------
    state : State
    procedure : Procedure
    first_s : float
        First passage of the fix.
    established_s, out_s : float or None
        Established inbound on the last lap; inbound passage.
    start_s, end_s : float
        Of the attempt.
    """
    until = out_s if out_s is not None else end_s
    spans: dict[AltitudeSegment, tuple[float, float]] = {
        "arrival": (start_s, first_s),
        "reversal": (first_s, established_s if established_s is not None else until),
    }
    if established_s is not None:
        spans["inbound"] = (established_s, until)
    if out_s is not None:
        spans["final"] = (out_s, end_s)
    result = []
    for limit in procedure.altitudes:
        if limit.segment not in spans:
            continue
        begin, end = spans[limit.segment]
        first, last = (int(np.clip(np.searchsorted(state.time_s, at), 0, len(state) - 1)) for at in (begin, end))
        span = slice(first, last + 1)
        lands = limit.segment == "final" and float(state.groundspeed_mps[-1]) < ON_GROUND_MPS
        found = altitude_violations(state.time_s[span], state.altitude_m[span], limit, lands)
        result.append(AltitudeTruth(limit.segment, limit.rule, begin, end, found))
    return tuple(result)
