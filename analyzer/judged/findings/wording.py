"""Numbers in the words of pilots: minutes and seconds, nautical miles, feet, knots, degrees magnetic."""

from analyzer.given.procedure import Procedure
from analyzer.units.factors import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT
from analyzer.units.pilot_words import clock as clock


def span(start_s: float, end_s: float) -> str:
    """Return "from mm:ss to mm:ss"."""
    return f"from {clock(start_s)} to {clock(end_s)}"


def miles(distance_m: float) -> str:
    """Return nautical miles with two decimals, as the tables of the report have them."""
    return f"{distance_m / METRES_PER_NM:.2f} NM"


def feet(height_m: float) -> str:
    """Return whole feet with a thousands separator."""
    return f"{round(height_m / METRES_PER_FOOT):,} ft"


def knots(speed_mps: float) -> str:
    """Return whole knots."""
    return f"{round(speed_mps / MPS_PER_KNOT)} kt"


def seconds(time_s: float) -> str:
    """Return whole seconds."""
    return f"{round(time_s)} s"


def magnetic(procedure: Procedure, true_deg: float) -> str:
    """Return a true course or heading as three digits magnetic, 360 for north."""
    whole = round(procedure.magnetic_deg(true_deg)) % 360
    return f"{whole or 360:03d}°"


def side_word(signed: float) -> str:
    """Return "right" for a positive angle or distance, "left" otherwise."""
    return "right" if signed > 0 else "left"


def in_phase(phase: str | None) -> str:
    """Return ", in the reversal turn," or the like; a comma alone for no phase."""
    if phase is None:
        return ","
    article = {"inbound": "on the inbound leg", "outbound": "on the outbound leg", "final": "on final"}
    return f", {article.get(phase, f'in the {phase}' if phase != 'offset leg' else 'on the offset leg')},"


def limb(phase: str) -> str:
    """Return the phase as the name of a leg."""
    return {"outbound": "outbound leg", "inbound": "inbound leg", "intercept": "intercept leg"}.get(phase, phase)
