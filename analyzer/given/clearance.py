"""The clearance: what was asked of one flight and no chart says, as frozen values in SI."""

from dataclasses import dataclass, field
from typing import Literal

ReversalAsked = Literal["required", "not permitted", "as charted"]
Landing = Literal["straight in", "circling"]


@dataclass(frozen=True)
class HoldClearance:
    """A clearance to hold; None where it said nothing.

    `laps` circuits, the entry's among them; `leave_at_s` seconds after the flight's first point, which may lie outside
    the recording; `altitude_m` above mean sea level; `leg_s` the outbound leg, which goes before the procedure's.
    """

    laps: int | None = None
    leave_at_s: float | None = None
    altitude_m: float | None = None
    leg_s: float | None = None


@dataclass(frozen=True)
class Clearance:
    """What was asked of one flight; None where nothing was said.

    `assigned_altitude_m` holds until `cleared_at_s`, the moment of the clearance for the approach in seconds after the
    flight's first point, negative where it came before; `source` is the file.
    """

    reversal: ReversalAsked | None = None
    hold: HoldClearance = field(default_factory=HoldClearance)
    assigned_altitude_m: float | None = None
    cleared_at_s: float | None = None
    landing: Landing | None = None
    source: str | None = None
