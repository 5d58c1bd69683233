"""Numbers in the words of pilots: minutes and seconds, nautical miles, feet, knots, degrees magnetic."""

from analyzer.given import Procedure


def magnetic(procedure: Procedure, true_deg: float) -> str:
    """Return a true course or heading as three digits magnetic, 360 for north."""
    whole = round(procedure.magnetic_deg(true_deg)) % 360
    return f"{whole or 360:03d}°"


def in_phase(phase: str | None) -> str:
    """Return ", in the reversal turn," or the like; a comma alone for no phase."""
    if phase is None:
        return ","
    article = {"inbound": "on the inbound leg", "outbound": "on the outbound leg", "final": "on final"}
    return f", {article.get(phase, f'in the {phase}' if phase != 'offset leg' else 'on the offset leg')},"


def limb(phase: str) -> str:
    """Return the phase as the name of a leg."""
    return {"outbound": "outbound leg", "inbound": "inbound leg", "intercept": "intercept leg"}.get(phase, phase)
