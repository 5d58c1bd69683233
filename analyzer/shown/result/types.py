"""The shape of the result file, "reversal-debrief/1": the one place that names its keys.

The published JSON Schema (`schemas/result.schema.json`) is made from these types by `schemas`. Times `*_s` are
seconds after the track's first moment with a time. Cross-track is positive to the right of the inbound course, seen
flying inbound; along-track is positive on the outbound side of the fix; an altitude deviation is flown minus limit; a
containment margin is positive inside. Keys may be added to a version; none is removed or changes its meaning.
"""

from typing import Any, Literal, NotRequired

from typing_extensions import TypedDict  # pydantic can't read typing.TypedDict before Python 3.12

from analyzer.given import AltitudeRule, AltitudeSegment, Criteria, GuidanceKind, ReversalKind, TimingFrom
from analyzer.shown.result.attempt_types import AttemptResult
from analyzer.shown.result.lesson_types import StraightInResult, UnclaimedResult

SCHEMA: Literal["reversal-debrief/1"] = "reversal-debrief/1"
TurnSide = Literal["left", "right"]


class QualityResult(TypedDict):
    """One thing that was seen or repaired in the track; those on the first screen bear on the verdict."""

    code: str
    text: str
    on_first_screen: bool


class TrackResult(TypedDict):
    """What was read. `source_sha256` is of the file's bytes, null for a track that came from no file."""

    name: str
    points: int
    duration_s: float
    median_interval_s: float | None
    columns_used: list[str]
    quality: list[QualityResult]
    start_utc: str | None
    position_noise_m: float | None
    source_sha256: str | None


class PlaceResult(TypedDict):
    """A named point, WGS 84."""

    ident: str | None
    latitude: float
    longitude: float
    elevation_ft: float | None


class CourseResult(TypedDict):
    """Courses magnetic (`*_deg`) and true (`*_deg_true`); variation in degrees east."""

    inbound_deg: float
    inbound_deg_true: float
    outbound_deg: float
    outbound_deg_true: float
    offset_deg: float
    offset_deg_true: float
    variation_deg: float
    variation_source: Literal["file", "WMM"]
    turn_side: TurnSide


class GuidanceResult(TypedDict):
    """What the needle follows; one of the full-scale values is null."""

    kind: GuidanceKind
    full_scale_deg: float | None
    full_scale_nm: float | None
    latitude: float
    longitude: float
    ident: str | None


class LimitsResult(TypedDict):
    """Limits of the procedure; null where it has none."""

    remain_within_nm: float | None
    outbound_min: float | None
    outbound_nm: float | None
    timing_from: TimingFrom
    max_ias_kt: float | None


class AltitudeLimitResult(TypedDict):
    """One segment's altitude rule; `limit_ft` is [low, high] for "between"."""

    segment: AltitudeSegment
    rule: AltitudeRule
    limit_ft: float | list[float]


class CriteriaResult(TypedDict):
    """By which criteria the protected areas are drawn."""

    criteria: Criteria
    category: str


class DistanceLimitResult(TypedDict):
    """A limit by the distance from a station."""

    dme_nm: float | None
    station: PlaceResult


class StepResult(TypedDict):
    """A step-down fix, by its distance from a place."""

    ident: str | None
    distance_nm: float | None
    origin: PlaceResult
    at_or_above_ft: float | None


class MissedApproachResult(TypedDict):
    """Where the approach ends: before the threshold, or after a time from the final fix."""

    at_nm: float | None
    at_min: float | None
    groundspeed_kt: float | None
    climb_to_ft: float | None


class ArcResult(TypedDict):
    """An arc that leads to the fix, from one radial of its station to another, degrees magnetic."""

    station: PlaceResult
    radius_nm: float | None
    from_deg: float
    to_deg: float


class ChartedResult(TypedDict):
    """The optional tables; `no_reversal_from` holds sectors of arrival courses, degrees magnetic, clockwise."""

    outbound_limit: DistanceLimitResult | None
    no_reversal_from: list[list[float]]
    steps: list[StepResult]
    final_fix: PlaceResult | None
    missed_approach: MissedApproachResult | None
    arc: ArcResult | None


class ProcedureResult(TypedDict):
    """The procedure as understood. `defaults` are the dotted keys that the file left out."""

    title: str
    reversal: ReversalKind
    fix: PlaceResult
    course: CourseResult
    guidance: GuidanceResult
    limits: LimitsResult
    altitudes: list[AltitudeLimitResult]
    protection: CriteriaResult
    runway: PlaceResult | None
    charted: ChartedResult
    defaults: list[str]
    source: str | None
    notes: list[str]


class WindResult(TypedDict):
    """The wind with 1 sigma; sigma is null for a wind that was given."""

    from_deg_true: float
    speed_kt: float
    tas_kt: float | None
    from_sigma_deg: float | None
    speed_sigma_kt: float | None
    tas_sigma_kt: float | None
    method: str


class AltitudeRecordResult(TypedDict):
    """Which altitude was compared with the limits, and how well it is known."""

    kind: str
    note: str
    median_sigma_ft: float | None


class RoomResult(TypedDict):
    """What the flight's speed and wind left of the primary area, negative where it falls short: outbound and aside."""

    outbound_nm: float | None
    manoeuvre_nm: float | None
    other_nm: float | None


class ProgramResult(TypedDict):
    """What wrote the file. `made_at_utc` is null unless a clock was given: the same input gives the same bytes."""

    name: str
    version: str
    made_at_utc: str | None


class Result(TypedDict):
    """The result file. `schema` is "reversal-debrief/1"; `protection` is a GeoJSON FeatureCollection (RFC 7946)."""

    schema: Literal["reversal-debrief/1"]
    caution: str
    program: ProgramResult
    track: TrackResult
    procedure: ProcedureResult
    wind: WindResult | None
    wind_reason: str
    altitude_record: AltitudeRecordResult | None
    tolerances: str | None
    protection: dict[str, Any]
    room: RoomResult | None
    procedures: NotRequired[list[ProcedureResult]]
    attempts: list[AttemptResult]
    straight_ins: NotRequired[list[StraightInResult]]
    no_procedure_given: NotRequired[list[UnclaimedResult]]
