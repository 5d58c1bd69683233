"""Dimensions of the US procedure-turn area: value, document, paragraph and status.

Document: FAA Order 8260.3 (procedure-turn paragraph, 234 in edition B). The document itself was not at hand: the row
for 10 NM up to 6000 ft was read in a secondary account, the others are from memory. Each row passes the consistency
test that the edge away from the manoeuvre is parallel to the course: R1 - 1 NM = R3 - offset.
"""

from dataclasses import dataclass

from analyzer.standards import AREAS_US, FLYING

DOCUMENT = "FAA Order 8260.3, procedure-turn area (edition B, paragraph 234)"

#: the first centre lies abeam the fix on the manoeuvring side
NEAR_CENTRE_OFFSET_NM = AREAS_US["us.area.near_offset"].value
#: width of the secondary area at its arcs and beside the far edge
SECONDARY_WIDTH_NM = AREAS_US["us.area.secondary"].value
#: upper edge of the lowest and of the middle altitude band
BAND_TOP_FT = (AREAS_US["us.area.band.low_top"].value, AREAS_US["us.area.band.middle_top"].value)
BAND_NAMES = ("up to 6000 ft", "above 6000 to 10000 ft", "above 10000 ft")
#: length limits of the table's rows, NM
SHORT_LENGTH_NM, NORMAL_LENGTH_NM, LONGEST_LENGTH_NM = (
    FLYING[f"us.remain_within.{which}"].value for which in ("least", "normal", "most")
)


@dataclass(frozen=True)
class ProcedureTurnDimensions:
    """One row of the table in NM: arcs of the primary area about the near and the far centre, offset of the latter."""

    far_centre_offset_nm: float
    near_radius_nm: float
    far_radius_nm: float
    status: str


def altitude_band(altitude_ft: float) -> int:
    """Return the number of the altitude band: 0 up to 6000 ft, 1 up to 10000 ft, 2 above."""
    return sum(altitude_ft > top for top in BAND_TOP_FT)


def procedure_turn_dimensions(length_nm: float, band: int) -> ProcedureTurnDimensions:
    """Return the row of the dimension table for a procedure-turn length and an altitude band.

    Parameters
    ----------
    length_nm : float
        "Remain within" distance. Up to 5 NM the 5 NM row holds; above 10 NM the far radius grows with the length.
    band : int
        From `altitude_band`.
    """
    offset = AREAS_US["us.area.far_offset.10nm"].value
    if length_nm <= SHORT_LENGTH_NM:
        near, far = AREAS_US["us.area.radius.5nm.near"].value, AREAS_US["us.area.radius.5nm.far"].value
        return ProcedureTurnDimensions(offset, near, far, "from memory")
    wider = AREAS_US["us.area.band.step"].value * band
    near = AREAS_US["us.area.radius.10nm.near"].value + wider
    far = AREAS_US["us.area.radius.10nm.far"].value + wider
    if length_nm <= NORMAL_LENGTH_NM:
        return ProcedureTurnDimensions(offset, near, far, "second hand" if band == 0 else "from memory")
    far += AREAS_US["us.area.beyond.slope"].value * (length_nm - NORMAL_LENGTH_NM)
    return ProcedureTurnDimensions(far - (near - NEAR_CENTRE_OFFSET_NM), near, far, "from memory")
