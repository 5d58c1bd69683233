"""The tables of what stands around a reversal: its clearance, and the final after it."""

from analyzer.judged import ClearedMeasure
from analyzer.shown.report.view import wording
from analyzer.shown.report.view.values import Cell, TableView


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
    return (Cell(what), Cell(asked, is_number=True), Cell(flown, is_number=True), at)
