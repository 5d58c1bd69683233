"""The shape of what stands around a reversal in the result file: its clearance, the arc to it, the final after it."""

from typing import NotRequired

from typing_extensions import TypedDict  # pydantic can't read typing.TypedDict before Python 3.12

from analyzer.given import AltitudeRule


class StepResult(TypedDict):
    """One step-down fix: the minimum until it is passed, and the lowest altitude flown until then."""

    ident: str | None
    distance_nm: float
    limit_ft: float
    passed_s: float
    worst_ft: float


class MissedApproachResult(TypedDict):
    """A missed approach: where the climb began, where its point was passed, the lowest altitude after that."""

    climb_s: float
    point_s: float | None
    lowest_ft: float | None
    climbed_to_ft: NotRequired[float | None]


class GateResult(TypedDict):
    """The final where it came down through a height above the field: rate of descent, groundspeed, needle."""

    at_s: float
    height_ft: float | None
    descent_fpm: float | None
    groundspeed_kt: float | None
    deflection: float | None


class FinalResult(TypedDict):
    """What was flown after the inbound passage; `not_assessed` says why the needle was not followed.

    `point_s` is when the missed approach point was passed; `charted_s` the chart's time to it from the final fix,
    `planned_s` the same at the groundspeed that was flown.
    """

    start_s: float
    end_s: float
    max_deflection: float | None
    max_deflection_at_s: float | None
    off_course_nm: float | None
    not_assessed: str | None
    steps: list[StepResult]
    missed_approach: MissedApproachResult | None
    point_s: NotRequired[float | None]
    charted_s: NotRequired[float | None]
    planned_s: NotRequired[float | None]
    gate: NotRequired[GateResult | None]


class AssignedAltitudeResult(TypedDict):
    """How an assigned altitude was kept; `until_s` is the clearance, or the fix where that came later."""

    limit_ft: float | None
    from_s: float
    until_s: float
    cleared_s: float | None
    lowest_ft: float | None
    highest_ft: float | None
    not_assessed: str | None


class CrossingAltitudeResult(TypedDict):
    """How the fix was crossed; `limit_ft` as for an altitude of the chart."""

    rule: AltitudeRule
    limit_ft: float | None
    at_s: float
    flown_ft: float | None


class ClearedResult(TypedDict):
    """What was flown of the clearance's altitudes and of the time to leave a hold."""

    assigned_altitude: AssignedAltitudeResult | None
    crossing_altitude: CrossingAltitudeResult | None
    leave_s: float | None
    left_s: float | None


class ArcFlownResult(TypedDict):
    """How the arc to the fix was flown; `worst_nm` is positive outside its radius, `lead_deg` of bearing."""

    start_s: float
    end_s: float
    worst_nm: float | None
    worst_at_s: float
    lead_deg: float | None
    asked_lead_deg: float | None
