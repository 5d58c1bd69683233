"""The clearance: what was asked of one flight and no chart says, as frozen values in SI."""

from dataclasses import dataclass, field, replace
from typing import Literal

from analyzer.given.procedure import ALTITUDE_SEGMENTS, AltitudeLimit, AltitudeRule, AltitudeSegment, Procedure
from analyzer.units import METRES_PER_FOOT

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
class CrossingAltitude:
    """How the fix is to be crossed; `low_m` bounds from below, `high_m` from above, both equal for "at"."""

    rule: AltitudeRule
    low_m: float | None
    high_m: float | None


@dataclass(frozen=True)
class Clearance:
    """What was asked of one flight; None where nothing was said.

    `assigned_altitude_m` holds until `cleared_at_s`, the moment of the clearance for the approach in seconds after the
    flight's first point, negative where it came before; `crossing` is for the first passage of the fix after it;
    `source` is the file.
    """

    reversal: ReversalAsked | None = None
    hold: HoldClearance = field(default_factory=HoldClearance)
    assigned_altitude_m: float | None = None
    cleared_at_s: float | None = None
    landing: Landing | None = None
    source: str | None = None
    crossing: CrossingAltitude | None = None


def cleared_procedure(procedure: Procedure, clearance: Clearance) -> Procedure:
    """Return a hold's procedure with what the clearance says in the place of what the chart says.

    Its leg becomes the one cleared, and the altitude cleared is to be held from the first passage of the fix on; in a
    hold that is no approach, on its inbound legs as well. The procedure's notes say so. Other reversals stay as they
    are.
    """
    hold = clearance.hold
    if not procedure.is_hold or (hold.leg_s is None and hold.altitude_m is None):
        return procedure
    said = []
    if hold.leg_s is not None:
        defaults = procedure.defaults - {"limits.outbound_min"}
        procedure = replace(procedure, outbound_s=hold.leg_s, outbound_m=None, defaults=defaults)
        said.append(f"a leg of {hold.leg_s / 60.0:g} min")
    if hold.altitude_m is not None:
        on_approach: tuple[AltitudeSegment, ...] = ("reversal",)
        segments = ("reversal", "inbound") if procedure.reversal == "holding" else on_approach
        kept = tuple(limit for limit in procedure.altitudes if limit.segment not in segments)
        held = tuple(AltitudeLimit(segment, "at", hold.altitude_m, hold.altitude_m) for segment in segments)
        limits = sorted((*kept, *held), key=lambda limit: ALTITUDE_SEGMENTS.index(limit.segment))
        procedure = replace(procedure, altitudes=tuple(limits))
        said.append(f"{hold.altitude_m / METRES_PER_FOOT:,.0f} ft to be held")
    note = f"The hold is judged as cleared, not as charted: {' and '.join(said)}."
    return procedure if note in procedure.notes else replace(procedure, notes=(*procedure.notes, note))
