"""The procedure as it was understood, defaults marked as defaults."""

from pathlib import PurePath

from analyzer.given import MissedApproach, Place, Procedure
from analyzer.shown.report.view import wording
from analyzer.shown.report.view.values import Cell, TableView


def procedure_table(procedure: Procedure) -> TableView:
    """Each line of the procedure with where it comes from: the file, or a default."""
    magnetic = procedure.magnetic_deg

    def both(true_deg: float) -> str:
        return f"{wording.course(magnetic(true_deg))} magnetic, {wording.course(true_deg)} true"

    side = "east" if procedure.variation_deg >= 0 else "west"
    variation = f"{wording.number(abs(procedure.variation_deg), 1)}° {side}"
    if procedure.variation_source == "WMM":
        variation += ", World Magnetic Model"
    guidance = procedure.guidance
    scale = (
        wording.degrees(guidance.full_scale_deg, 1)
        if guidance.full_scale_deg is not None
        else wording.miles(guidance.full_scale_m)
    )
    rows: list[tuple[str, str, tuple[str, ...]]] = [
        ("reversal", procedure.reversal, ("reversal",)),
        ("fix", _place(procedure.fix), ("fix.ident", "fix.elevation_ft")),
        ("inbound course", both(procedure.inbound_true_deg), ("course.inbound_deg",)),
        ("variation", variation, ("course.variation_deg",)),
        ("turn side", _turn_side(procedure), ("course.turn_side",)),
        ("outbound course", both(procedure.outbound_true_deg), ("course.outbound_deg",)),
        ("guidance", guidance.kind, ("guidance.kind",)),
        ("full needle deflection", scale, ("guidance.full_scale_deg", "guidance.full_scale_nm")),
        ("remain within", wording.miles(procedure.remain_within_m, 1), ("limits.remain_within_nm",)),
        ("outbound time or distance", _leg(procedure), ("limits.outbound_min", "limits.outbound_nm")),
        ("timing starts at", procedure.timing_from, ("limits.timing_from",)),
        ("highest indicated airspeed", wording.knots(procedure.max_ias_mps), ("limits.max_ias_kt",)),
        ("criteria", procedure.criteria, ("protection.criteria",)),
        ("category", procedure.category, ("protection.category",)),
    ]
    if procedure.reversal == "procedure turn":
        rows.insert(6, ("offset heading (45/180)", both(procedure.offset_true_deg), ("course.offset_deg",)))
    if procedure.runway is not None:
        rows.append(("runway", _place(procedure.runway), ()))
    rows += [(name, value, ()) for name, value in _charted(procedure)]
    return TableView(
        "procedure",
        "The procedure as understood",
        ("line", "value", "from"),
        tuple(
            (Cell(name), Cell(value), Cell("default" if set(keys) & procedure.defaults else "file"))
            for name, value, keys in rows
        ),
        note=f"File: {PurePath(procedure.source).name}." if procedure.source else "",
    )


def _charted(procedure: Procedure) -> list[tuple[str, str]]:
    """Return the lines of what the file may say beyond its required keys."""
    rows: list[tuple[str, str]] = []
    limit, missed, arc = procedure.outbound_limit, procedure.missed_approach, procedure.arc
    if limit is not None:
        rows.append(("turn within", f"{wording.miles(limit.distance_m, 1)} of {_place(limit.station)}"))
    if procedure.no_reversal_from:
        sectors = [
            " to ".join(wording.course(procedure.magnetic_deg(edge)) for edge in sector) + " magnetic"
            for sector in procedure.no_reversal_from
        ]
        rows.append(("no reversal from arrival courses", wording.listed(sectors)))
    if arc is not None:
        ends = [wording.course(procedure.magnetic_deg(end)) for end in (arc.from_true_deg, arc.to_true_deg)]
        radius = wording.miles(arc.radius_m, 1)
        rows.append(("arc", f"{radius} about {_place(arc.station)}, radials {ends[0]} to {ends[1]} magnetic"))
    if procedure.final_fix is not None:
        rows.append(("final fix", _place(procedure.final_fix)))
    for step in procedure.steps:
        origin = "the fix" if step.origin == procedure.fix else _place(step.origin)
        where = f"{wording.miles(step.distance_m, 1)} from {origin}"
        rows.append((f"step-down fix {step.ident or ''}".strip(), f"{where}: at or above {wording.feet(step.low_m)}"))
    if missed is not None:
        rows.append(("missed approach point", _missed_approach(missed)))
    return rows


def _missed_approach(missed: MissedApproach) -> str:
    climb = f", climb to {wording.feet(missed.climb_to_m)}" if missed.climb_to_m is not None else ""
    if missed.before_runway_m is not None:
        return f"{wording.miles(missed.before_runway_m, 1)} before the threshold{climb}"
    after = wording.seconds(missed.after_s)
    return f"{after} from the final fix at {wording.knots(missed.groundspeed_mps)} over the ground{climb}"


def _turn_side(procedure: Procedure) -> str:
    if procedure.is_hold:
        return f"{procedure.turn_side} turns"
    return f"{procedure.turn_side} of the outbound course"


def _leg(procedure: Procedure) -> str:
    if procedure.outbound_m is not None:
        return wording.miles(procedure.outbound_m, 1)
    return wording.seconds(procedure.outbound_s) if procedure.outbound_s is not None else "free"


def _place(place: Place) -> str:
    ident = f"{place.ident}, " if place.ident else ""
    north, east = ("N" if place.latitude_deg >= 0 else "S"), ("E" if place.longitude_deg >= 0 else "W")
    height = f", {wording.feet(place.elevation_m)}" if place.elevation_m is not None else ""
    return f"{ident}{abs(place.latitude_deg):.4f}° {north} {abs(place.longitude_deg):.4f}° {east}{height}"
