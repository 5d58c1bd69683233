"""The altitudes that a plan leads to: minimums that are no targets, and whether a normal descent gets there."""

import math

from analyzer.given import AltitudeLimit, AltitudeSegment, Procedure
from analyzer.planned import SolvedPlan
from analyzer.standards import FLYING
from analyzer.units import METRES_PER_FOOT, MPS_PER_FPM, feet

SMALLEST_DESCENT_M = 50.0 * METRES_PER_FOOT
#: a rate is said in steps of this, feet a minute
STEP_FPM = 50


def altitude_lines(procedure: Procedure, plan: SolvedPlan) -> list[str]:
    """Return a line for the descent outbound and one for that inbound, where the procedure has them.

    Where the outbound leg alone asks for more than procedures are built for, the turn back is taken for it as well:
    its minimum is the same. What a normal descent can't do is not asked for.
    """
    slow = "slow" if procedure.category in ("A", "B") else "fast"
    first, last = plan.legs[0].lap, plan.legs[-1].lap
    outbound_s, inbound_s = _seconds(plan, first, "outbound"), _seconds(plan, last, "inbound")
    turning_s = _seconds(plan, first, "offset turn", "offset leg", "reversal turn")
    lines = []
    steps: tuple[tuple[AltitudeSegment, AltitudeSegment, str, tuple[float, ...]], ...] = (
        ("arrival", "reversal", "outbound", (outbound_s, outbound_s + turning_s)),
        ("reversal", "inbound", "inbound", (inbound_s,)),
    )
    for before, after, leg, times in steps:
        high, low = procedure.altitude(before), procedure.altitude(after)
        height_m = _descent_m(high, low)
        if height_m is None or low is None or high is None or times[-1] <= 0.0:
            continue
        most_fpm = FLYING[f"icao.descent.{leg}.{slow}"].value
        lines.append(_line(leg, high, low, [height_m / time / MPS_PER_FPM for time in times if time > 0.0], most_fpm))
    return lines


def _descent_m(high: AltitudeLimit | None, low: AltitudeLimit | None) -> float | None:
    """Height between two minimums, None where there is none worth a line."""
    if high is None or low is None or high.low_m is None or low.low_m is None:
        return None
    height_m = high.low_m - low.low_m
    return height_m if height_m >= SMALLEST_DESCENT_M else None


def _line(leg: str, high: AltitudeLimit, low: AltitudeLimit, rates_fpm: list[float], most_fpm: float) -> str:
    assert high.low_m is not None
    assert low.low_m is not None
    floor = f"to {feet(low.low_m)}" if low.rule == "at" else f"not below {feet(low.low_m)}"
    for number, rate_fpm in enumerate(rates_fpm):
        if rate_fpm <= most_fpm:
            where = "Outbound" if leg == "outbound" else "Established inbound"
            where += " and in the turn back" * number
            rate = math.ceil(rate_fpm / STEP_FPM) * STEP_FPM
            return f"{where}, as cleared, {floor}; {rate:,} ft/min is enough."
    return (
        f"Too high {leg} for a normal descent from {feet(high.low_m)} to {feet(low.low_m)}: arrive lower, go round "
        "once more or ask."
    )


def _seconds(plan: SolvedPlan, lap: int, *phases: str) -> float:
    return sum(leg.duration_s for leg in plan.legs if leg.phase in phases and leg.lap == lap)
