"""What one flight's speed and wind leave of the protected area: "with your 24 kt of wind the room left was ..."."""

from collections.abc import Sequence
from dataclasses import dataclass

from analyzer.given import Procedure
from analyzer.planned.protection.area import Area
from analyzer.planned.protection.icao.areas import flown_areas


@dataclass(frozen=True)
class RoomLeft:
    """How far the primary area reaches beyond the area of the flight, metres; negative where it falls short.

    `outbound_m` at the outbound end, `manoeuvre_m` on the manoeuvring side, `other_m` on the other side of the course.
    Behind the fix both begin at the fix's tolerance, so there is nothing to compare.
    """

    outbound_m: float
    manoeuvre_m: float
    other_m: float


def room_left(procedure: Procedure, areas: Sequence[Area], tas_mps: float, wind_speed_mps: float) -> RoomLeft | None:
    """Return the room that the primary area has in hand for a flight of that speed in a wind from anywhere.

    Parameters
    ----------
    procedure : Procedure
    areas : sequence of Area
        The procedure's, from `protection_areas`.
    tas_mps, wind_speed_mps : float
        As flown. The flight's own area has the same tolerances as the criteria's.

    Returns
    -------
    RoomLeft or None
        None where the procedure has no primary area.
    """
    primary = next((area.shape for area in areas if area.name == "primary"), None)
    if primary is None:
        return None
    flown = flown_areas(procedure, tas_mps, wind_speed_mps)[0].shape
    _, low, far, high = (ours - theirs for ours, theirs in zip(primary.bounds, flown.bounds, strict=True))
    on_the_right = procedure.side == 1
    return RoomLeft(far, high if on_the_right else -low, -low if on_the_right else high)
