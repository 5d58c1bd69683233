"""One protected area: its shape and where it comes from."""

from dataclasses import dataclass
from typing import Any, Literal

AreaName = Literal["primary", "secondary", "entry zone", "distance limit"]


@dataclass(frozen=True)
class Area:
    """A part of the protection.

    Parameters
    ----------
    name : str
        "primary", "secondary" (the ring outside the primary), "entry zone", "distance limit".
    shape : shapely Polygon or MultiPolygon
        Metres in the frame's axes: x is along, y is cross.
    criteria : str
        "US", "ICAO" or "procedure" (the distance limit).
    reference : str
        Document and paragraph.
    status : str
        How well the figures are known: "read", "second hand", "from memory", "calculated", "common practice".
    note : str
        One sentence for the report; may be empty.
    published : bool
        False where the criteria publish no such area and it was computed instead: how far inside it the flight was is
        told, leaving it is not a failure.
    """

    name: AreaName
    shape: Any
    criteria: str
    reference: str
    status: str
    note: str = ""
    published: bool = True
