"""Texts of a chart: courses as magnetic, altitudes in feet, what was assumed."""

from analyzer.given import AltitudeLimit, Procedure
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT

CAUTION = "Training only, not for navigation or flight planning. The published chart in force decides."


def course_text(procedure: Procedure, true_deg: float) -> str:
    """Return a true course as three magnetic digits: 118°."""
    degrees = round(procedure.magnetic_deg(true_deg)) % 360
    return f"{degrees or 360:03d}°"


def feet(metres: float) -> str:
    """Return metres as whole feet."""
    return f"{metres / METRES_PER_FOOT:,.0f}"


def limit_text(limit: AltitudeLimit) -> str:
    """Return an altitude limit in words."""
    if limit.rule == "between":
        return f"between {feet(limit.low_m or 0.0)} and {feet(limit.high_m or 0.0)} ft"
    value = limit.low_m if limit.low_m is not None else limit.high_m
    return f"{limit.rule} {feet(value or 0.0)} ft"


def variation_text(procedure: Procedure) -> str:
    """Return the variation with its side."""
    return f"{abs(procedure.variation_deg):.1f}° {'E' if procedure.variation_deg >= 0 else 'W'}"


def nautical_miles(metres: float, decimals: int = 1) -> str:
    """Return a distance in NM without needless zeros."""
    text = f"{metres / METRES_PER_NM:.{decimals}f}"
    return f"{text.rstrip('0').rstrip('.') if '.' in text else text} NM"


def facts(procedure: Procedure) -> list[tuple[str, str, bool]]:
    """Return name, value and whether it is a default, for the table of the procedure."""
    guidance = procedure.guidance
    full_scale = (
        f"{guidance.full_scale_deg:g}° either side"
        if guidance.full_scale_deg is not None
        else f"{nautical_miles(guidance.full_scale_m or 0.0, 2)} either side"
    )
    defaults = procedure.defaults
    looking = "turns" if procedure.is_hold else "side, looking outbound"
    rows = [
        ("Reversal", procedure.reversal, False),
        ("Fix", procedure.fix.ident or "unnamed", False),
        ("Inbound course", f"{course_text(procedure, procedure.inbound_true_deg)} magnetic", False),
        ("Outbound course", f"{course_text(procedure, procedure.outbound_true_deg)} magnetic", False),
        ("Turn", f"{procedure.turn_side} ({looking})", False),
        ("Variation", variation_text(procedure), False),
        ("Guidance", guidance.kind, False),
        ("Full scale", full_scale, bool({"guidance.full_scale_deg", "guidance.full_scale_nm"} & defaults)),
    ]
    if procedure.reversal == "procedure turn":
        rows.append(
            ("Offset heading", course_text(procedure, procedure.offset_true_deg), "course.offset_deg" in defaults)
        )
    if procedure.remain_within_m is not None:
        within_default = "limits.remain_within_nm" in defaults
        rows.append(("Remain within", nautical_miles(procedure.remain_within_m), within_default))
    if procedure.outbound_m is not None:
        rows.append(("Outbound leg", nautical_miles(procedure.outbound_m), False))
    elif procedure.outbound_s is not None:
        name = "Offset leg" if procedure.reversal == "procedure turn" else "Outbound leg"
        rows.append((name, f"{procedure.outbound_s / 60.0:g} min", "limits.outbound_min" in defaults))
    if procedure.max_ias_mps is not None:
        speed = f"{procedure.max_ias_mps / MPS_PER_KNOT:.0f} kt IAS"
        rows.append(("Maximum speed", speed, "limits.max_ias_kt" in defaults))
    rows.append(("Criteria", procedure.criteria, "protection.criteria" in defaults))
    rows.append(("Category", procedure.category, "protection.category" in defaults))
    return rows


def summary(procedure: Procedure) -> str:
    """Return what the drawing shows in one sentence, for readers who don't see it."""
    within = f" within {nautical_miles(procedure.remain_within_m)}" if procedure.remain_within_m is not None else ""
    altitudes = "; ".join(f"{limit.segment} {limit_text(limit)}" for limit in procedure.altitudes)
    return (
        f"{procedure.reversal.capitalize()} at {procedure.fix.ident or 'the fix'}{within}, inbound "
        f"{course_text(procedure, procedure.inbound_true_deg)} magnetic, {procedure.turn_side} turn, "
        f"{procedure.criteria} areas{': ' + altitudes if altitudes else ''}."
    )
