"""The tables of what stands around a reversal: its clearance, and the final after it."""

from collections.abc import Iterator

from analyzer.judged import (
    ArcMeasure,
    AttemptMeasures,
    ClearedMeasure,
    Descent,
    DescentRate,
    FinalMeasure,
    MissedMeasure,
)
from analyzer.shown.report.view import wording
from analyzer.shown.report.view.values import Cell, TableView
from analyzer.standards import Tolerances, figure
from analyzer.units import METRES_PER_FOOT


def clearance_table(cleared: ClearedMeasure) -> TableView:
    """Return what was cleared beside what was flown."""
    rows = []
    kept, crossed = cleared.assigned, cleared.crossing
    if cleared.leave_s is not None:
        rows.append(
            _row("leave the hold", wording.clock(cleared.leave_s), wording.clock(cleared.left_s), cleared.left_s)
        )
    if kept is not None:
        flown = kept.reason or f"{wording.feet(kept.low_m)} to {wording.feet(kept.high_m)}"
        asked = f"{wording.feet(kept.limit_m)} until {wording.clock(kept.until_s)}"
        rows.append(_row("assigned altitude", asked, flown, kept.left_s if kept.reason is None else None))
    if crossed is not None:
        bound = crossed.limit.low_m if crossed.limit.low_m is not None else crossed.limit.high_m
        asked = f"{crossed.limit.rule} {wording.feet(bound)}"
        rows.append(_row("altitude over the fix", asked, wording.feet(crossed.altitude_m), crossed.at_s))
    return TableView("cleared", "The clearance", ("what", "cleared", "flown", "at"), tuple(rows))


def _row(what: str, asked: str, flown: str, at_s: float | None) -> tuple[Cell, ...]:
    at = Cell(wording.clock(at_s), at_s=at_s, is_number=True)
    return (Cell(what), Cell(asked), Cell(flown), at)


def arc_table(arc: ArcMeasure, tolerances: Tolerances) -> TableView:
    """Return how the arc that leads to the fix was flown."""
    allowed = f"within {wording.miles(tolerances.si('tracking.arc_nm'), 1)}"
    side = "outside" if arc.worst_m >= 0.0 else "inside"
    rows = [
        _row("farthest off its radius", allowed, f"{wording.miles(abs(arc.worst_m))} {side}", arc.worst_at_s),
    ]
    if arc.lead_deg is not None:
        asked = f"about {wording.degrees(arc.asked_lead_deg)}"
        rows.append(
            _row("turn off it, degrees of bearing before its end", asked, wording.degrees(arc.lead_deg), arc.end_s)
        )
    note = "The lead is that of a turn of 90° at 3°/s; a turn of less begins later."
    return TableView("arc", "The arc to the fix", ("what", "asked for", "flown", "at"), tuple(rows), "", note)


def final_table(measures: AttemptMeasures, tolerances: Tolerances) -> TableView:
    """Return what was flown on the final, line by line beside what was asked for."""
    final = measures.final
    assert final is not None
    rows = [_tracking(final, tolerances)]
    for step in final.steps:
        name = step.step.ident or wording.miles(step.step.distance_m, 1)
        asked = f"at or above {wording.feet(step.step.low_m)}"
        rows.append(_row(f"until step-down fix {name}", asked, wording.feet(step.worst_m), step.worst_at_s))
    minimum = next((one for one in measures.altitudes if one.limit.segment == "final"), None)
    if minimum is not None and minimum.worst_m is not None and minimum.limit.low_m is not None:
        asked = f"at or above {wording.feet(minimum.limit.low_m)}"
        rows.append(_row("minimum held", asked, wording.feet(minimum.worst_m), minimum.worst_at_s))
    descent = measures.descent
    for rate, key, name in () if descent is None else _rates(descent):
        rows.append(_row(name, f"up to {wording.number(figure(key).value)} ft/min", _rate(rate.rate_mps), rate.at_s))
    if final.gate is not None:
        gate = final.gate
        needle = "" if gate.deflection is None else f", needle {wording.parts_of_scale(abs(gate.deflection))}"
        flown = f"{_rate(gate.rate_mps)} down, {wording.knots(gate.groundspeed_mps)} over the ground{needle}"
        rows.append(
            _row(f"at {wording.feet(gate.height_m)} above the field", "steady, on the course", flown, gate.at_s)
        )
    if final.point_s is not None:
        rows.append(_to_the_point(final, final.point_s))
    rows += _missed(final.missed)
    note = "Descent rates and steadiness as commonly taught (common practice); the others by the chart."
    heads = ("what", "asked for", "flown", "at")
    return TableView("final", "The final", heads, tuple(rows), "", note)


def _rates(descent: Descent) -> Iterator[tuple[DescentRate, str, str]]:
    if descent.final is not None:
        yield descent.final, "descent.final", "fastest descent, over 10 s"
    if descent.low is not None:
        yield descent.low, "descent.low", "the same, low above the field"


def _to_the_point(final: FinalMeasure, point_s: float) -> tuple[Cell, ...]:
    asked = wording.NO_VALUE
    if final.charted_s is not None and final.planned_s is not None:
        asked = f"{wording.seconds(final.planned_s)} at this groundspeed (charted: {wording.seconds(final.charted_s)})"
    return _row("fix to missed approach point", asked, wording.seconds(point_s - final.start_s), point_s)


def _tracking(final: FinalMeasure, tolerances: Tolerances) -> tuple[Cell, ...]:
    allowed = tolerances.value("tracking.deflection")
    flown = final.reason or f"{wording.parts_of_scale(final.deflection)}, {wording.miles(final.off_m)} off"
    return _row("needle, largest", f"within {allowed:g} of full scale", flown, final.deflection_at_s)


def _rate(rate_mps: float) -> str:
    return f"{wording.number(60.0 * rate_mps / METRES_PER_FOOT)} ft/min"


def _missed(missed: MissedMeasure | None) -> list[tuple[Cell, ...]]:
    if missed is None:
        return []
    point = "at or before its point" if missed.point_s is None else f"by {wording.clock(missed.point_s)}"
    rows = [_row("missed approach begun", point, wording.clock(missed.climb_s), missed.climb_s)]
    if missed.low_m is not None:
        rows.append(_row("lowest in it", "not below the minimum", wording.feet(missed.low_m), missed.low_at_s))
    if missed.climbed_m is not None:
        asked = wording.NO_VALUE if missed.climb_to_m is None else wording.feet(missed.climb_to_m)
        rows.append(_row("climbed to", asked, wording.feet(missed.climbed_m), missed.climbed_at_s))
    return rows
