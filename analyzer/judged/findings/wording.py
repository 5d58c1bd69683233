"""Numbers in the words of pilots: minutes and seconds, nautical miles, feet, knots, degrees magnetic."""

from analyzer.given import Procedure
from analyzer.planned import LegEnd, NoPlan, SolvedPlan
from analyzer.units import METRES_PER_NM


def magnetic(procedure: Procedure, true_deg: float) -> str:
    """Return a true course or heading as three digits magnetic, 360 for north."""
    whole = round(procedure.magnetic_deg(true_deg)) % 360
    return f"{whole or 360:03d}°"


def fix_name(procedure: Procedure) -> str:
    """Return what the fix is called."""
    return procedure.fix.ident or "the fix"


def end_place(procedure: Procedure, end: LegEnd | None) -> str:
    """Return where a leg by distance ends, as the pilot reads it: "20 DME"; empty for another leg."""
    reading = end_reading(procedure, end)
    if end is None or not reading or reading.endswith("DME"):
        return reading
    along = "along the course " if end.kind == "distance along the course" else ""
    return f"{reading} {along}from {fix_name(procedure)}"


def end_reading(procedure: Procedure, end: LegEnd | None) -> str:
    """Return what is read at the end of a leg by distance: "20 DME", or "4 NM"; empty for another leg."""
    if end is None or end.distance_m is None or end.kind == "course":
        return ""
    nm = f"{round(end.distance_m / METRES_PER_NM, 1):g}"
    by_dme = end.kind == "station distance" and procedure.guidance.kind in ("VOR", "localizer")
    return f"{nm} DME" if by_dme else f"{nm} NM"


def turn_place(procedure: Procedure, solved: SolvedPlan | NoPlan | None, lap: int) -> str:
    """Return where the turn back is to begin after an outbound leg charted by distance, as the pilot reads it."""
    leg = solved.leg("outbound", lap) if isinstance(solved, SolvedPlan) else None
    place = "" if leg is None else end_place(procedure, leg.end)
    return place or f"{(procedure.outbound_m or 0.0) / METRES_PER_NM:g} NM from {fix_name(procedure)}"


def in_phase(phase: str | None) -> str:
    """Return ", in the reversal turn," or the like; a comma alone for no phase."""
    if phase is None:
        return ","
    article = {"inbound": "on the inbound leg", "outbound": "on the outbound leg", "final": "on final"}
    return f", {article.get(phase, f'in the {phase}' if phase != 'offset leg' else 'on the offset leg')},"


def limb(phase: str) -> str:
    """Return the phase as the name of a leg."""
    return {"outbound": "outbound leg", "inbound": "inbound leg", "intercept": "intercept leg"}.get(phase, phase)
