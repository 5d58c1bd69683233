"""The measured values of one attempt, SI, frozen: what the judging step works from."""

from dataclasses import dataclass
from typing import Literal

from analyzer.phases import FlownTurn, PhaseName
from analyzer.procedure import AltitudeLimit

LimitArea = Literal["distance limit", "primary", "secondary"]


@dataclass(frozen=True)
class Excursion:
    """One stretch outside an area: when, how far at most, and when that was."""

    area: LimitArea
    start_s: float
    end_s: float
    max_m: float
    at_s: float
    phase: PhaseName
    lap: int


@dataclass(frozen=True)
class Containment:
    """How the flight kept inside what must not be left (distance limit and primary area).

    `margin_m` is the smallest distance to that edge, negative outside, None where neither exists; `sigma_m` its
    1-sigma uncertainty; `margin_area` which edge was nearest and `margin_at_s` when.
    """

    margin_m: float | None
    sigma_m: float
    margin_area: LimitArea | None
    margin_at_s: float | None
    max_distance_m: float
    max_distance_at_s: float
    excursions: tuple[Excursion, ...]


@dataclass(frozen=True)
class AltitudeViolation:
    """One stretch outside a limit; `worst_m` is the altitude at the worst moment, `worst_at_s`."""

    start_s: float
    end_s: float
    worst_m: float
    worst_at_s: float


@dataclass(frozen=True)
class AltitudeMeasure:
    """One segment's altitudes against its limit.

    `worst_m` is the altitude nearest to or farthest beyond the limit, None where the segment was not flown or the
    track has no altitudes (`reason` says which); `margin_m` positive inside the limit; `sigma_m` 1 sigma there.
    """

    limit: AltitudeLimit
    worst_m: float | None
    worst_at_s: float | None
    margin_m: float | None
    sigma_m: float | None
    violations: tuple[AltitudeViolation, ...]
    reason: str | None = None


@dataclass(frozen=True)
class Intercept:
    """How the inbound course was taken up, on the last lap. None where it can't be measured.

    `rms_deflection` and `max_deflection` are over established to the fix, in parts of full scale.
    """

    angle_deg: float | None
    overshoot_m: float | None
    overshoot_at_s: float | None
    crossings: int | None
    established: bool
    established_s: float | None
    established_at_m: float | None
    rms_deflection: float | None
    max_deflection: float | None
    max_deflection_at_s: float | None
    sigma_m: float


@dataclass(frozen=True)
class Timing:
    """The timed leg: flown, planned in still air, and what the wind asked for (None where not known)."""

    leg: PhaseName
    lap: int
    start_s: float
    leg_s: float
    planned_s: float
    wind_adjusted_s: float | None
    sigma_s: float


@dataclass(frozen=True)
class TurnMeasure:
    """One turn with its phase; bank and radius None where no airspeed is known."""

    phase: PhaseName
    lap: int
    turn: FlownTurn
    mean_bank_deg: float | None
    radius_m: float | None


@dataclass(frozen=True)
class Speed:
    """The highest speed between the first and the inbound passage, of the best kind the track allows."""

    kind: Literal["ias", "tas", "groundspeed"]
    max_mps: float
    at_s: float
    limit_ias_mps: float | None
    sigma_mps: float


@dataclass(frozen=True)
class LapMeasure:
    """One circuit of a hold: its timed outbound leg and its inbound leg in seconds, None where not flown."""

    lap: int
    outbound_s: float | None
    inbound_s: float | None
    established_s: float | None


@dataclass(frozen=True)
class AttemptMeasures:
    """All that was measured of one attempt."""

    containment: Containment
    altitudes: tuple[AltitudeMeasure, ...]
    intercept: Intercept
    timing: Timing | None
    turns: tuple[TurnMeasure, ...]
    speed: Speed | None
    laps: tuple[LapMeasure, ...]
