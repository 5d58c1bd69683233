"""The shape of one attempt in the result file: see `result_types`."""

from typing import Literal, NotRequired

from typing_extensions import TypedDict  # pydantic can't read typing.TypedDict before Python 3.12

from analyzer.given import AltitudeRule, AltitudeSegment, Entry, FlownAs, PhaseName
from analyzer.judged import Severity, Side, Verdict
from analyzer.shown.result.flight_types import ArcFlownResult, ClearedResult, FinalResult
from analyzer.shown.result.plan_types import CardResult

LimitAreaName = Literal["distance limit", "primary", "secondary"]
Outcome = Literal["to standard", "not to standard", "not assessed"]


class FixPassageResult(TypedDict):
    """Closest point of approach of one pass by the fix."""

    at_s: float
    distance_nm: float
    direction: Literal["outbound", "inbound"]


class PhaseResult(TypedDict):
    """One stretch of the attempt."""

    name: PhaseName
    lap: int
    start_s: float
    end_s: float


class ExcursionResult(TypedDict):
    """One stretch outside an area."""

    area: LimitAreaName
    start_s: float
    end_s: float
    max_nm: float
    at_s: float


class ContainmentResult(TypedDict):
    """Whether the flight kept inside; the margin is positive inside, null where nothing limits it."""

    verdict: Side
    margin_nm: float | None
    max_distance_nm: float
    excursions: list[ExcursionResult]
    margin_area: LimitAreaName | None
    margin_at_s: float | None
    sigma_nm: float
    max_distance_at_s: float


class ViolationResult(TypedDict):
    """One stretch outside an altitude limit."""

    start_s: float
    end_s: float
    worst_ft: float
    at_s: float


class AltitudeResult(TypedDict):
    """One segment's altitudes against its limit; `limit_ft` is [low, high] for "between"."""

    segment: AltitudeSegment
    rule: AltitudeRule
    limit_ft: float | list[float]
    worst_ft: float | None
    verdict: Verdict
    violations: list[ViolationResult]
    worst_at_s: float | None
    margin_ft: float | None
    sigma_ft: float | None
    reason: str | None
    judged_from_s: float | None


class InterceptResult(TypedDict):
    """How the inbound course was taken up; null where it can't be measured.

    `judged_deflection` is the largest that the verdict is given on: without the last half mile before a station.
    """

    angle_deg: float | None
    overshoot_nm: float | None
    crossings: int | None
    established: bool
    established_s: float | None
    established_at_nm: float | None
    rms_deflection: float | None
    max_deflection: float | None
    judged_deflection: float | None
    verdict: Verdict


class TimingResult(TypedDict):
    """The timed leg flown."""

    leg_s: float
    planned_s: float
    wind_adjusted_s: float | None
    verdict: Verdict
    leg: PhaseName
    lap: int
    start_s: float
    sigma_s: float


class TurnResult(TypedDict):
    """One turn; degrees and rates are positive to the right. `held_bank_deg` is the largest bank held for 3 s."""

    phase: PhaseName
    lap: int
    degrees: float
    mean_rate_deg_s: float
    max_rate_deg_s: float
    mean_bank_deg: float | None
    held_bank_deg: float | None
    bank_recorded: bool
    radius_nm: float | None
    method: Literal["air heading", "ground track"]
    start_s: float
    end_s: float


class SpeedResult(TypedDict):
    """The highest speed, of the best kind that the track allows; at most one of the three maxima is there."""

    max_ias_kt: NotRequired[float]
    max_tas_kt: NotRequired[float]
    max_groundspeed_kt: NotRequired[float]
    limit_kt: float | None
    verdict: Verdict
    at_s: float | None


class LapResult(TypedDict):
    """One circuit of a hold."""

    lap: int
    outbound_s: float | None
    inbound_s: float | None
    established_s: float | None


class LegResult(TypedDict):
    """One straight leg; `drift_correction_deg` is what the wind asked for, positive to the right."""

    phase: PhaseName
    lap: int
    track_deg_true: float
    heading_deg_true: float | None
    course_deg_true: float | None
    drift_correction_deg: float | None


class FindingResult(TypedDict):
    """One thing the debrief says. The margin is negative beyond the limit."""

    code: str
    severity: Severity
    phase: PhaseName | None
    lap: int | None
    at_s: float | None
    text: str
    advice: str
    reference: str
    measured: float | None
    limit: float | None
    margin: float | None
    unit: str


class DeductionResult(TypedDict):
    """Points taken off a score, for which finding."""

    score: str
    code: str
    points: float
    text: str


class OwnItemResult(TypedDict):
    """One item of the pilot's self-assessment beside what the track shows."""

    item: str
    own: str | None
    remark: str
    shown: str
    codes: list[str]
    meeting: str


class CauseResult(TypedDict):
    """One thing flown otherwise than asked for; the contribution is the part of the effect that goes with it.

    `asked` is the plan's value of the same quantity. `before_nm` is the effect as measured, `after_nm` what is left
    with this alone put right. `path` is the re-flown path, [longitude, latitude] each, from `from_s` on; `path_nm` is
    the same as [along, cross].
    """

    name: str
    flown: float | None
    asked: float | None
    unit: str
    before_nm: float | None
    after_nm: float | None
    contribution_nm: float | None
    sigma_nm: float | None
    text: str
    remedy: str
    from_s: float
    path: list[list[float]]
    path_nm: list[list[float]]


class EffectResult(TypedDict):
    """One thing that went wrong, its causes by contribution; `together_nm` is left with all of them put right."""

    name: str
    size_nm: float | None
    together_nm: float | None
    text: str
    causes: list[CauseResult]


class CausesResult(TypedDict):
    """Why it happened, from flying it again; `reason` says why there is nothing to say."""

    lap: int
    reproduction_nm: float | None
    reason: str
    effects: list[EffectResult]


class ScoresResult(TypedDict):
    """0-100, null where not assessed; the scale is this project's own."""

    containment: float | None
    altitude: float | None
    intercept: float | None
    timing: float | None
    overall: float | None


class AttemptResult(TypedDict):
    """One reversal found in the track; `procedure` is an index into `procedures` where there are several."""

    number: int
    procedure: NotRequired[int]
    start_s: float
    end_s: float
    fix_passages: list[FixPassageResult]
    flown_as: FlownAs
    entry: Entry | None
    entry_expected: Entry | None
    entry_near_boundary: bool
    laps: int
    phases: list[PhaseResult]
    containment: ContainmentResult
    altitudes: list[AltitudeResult]
    intercept: InterceptResult
    timing: TimingResult | None
    turns: list[TurnResult]
    speed: SpeedResult
    final: FinalResult | None
    cleared: NotRequired[ClearedResult]
    arc: NotRequired[ArcFlownResult]
    findings: list[FindingResult]
    scores: ScoresResult
    result: Outcome
    result_reason: str
    arrival_track_deg_true: float | None
    wrong_side: bool
    complete: bool
    evidence: list[str]
    not_assessed: list[str]
    lap_times: list[LapResult]
    legs: list[LegResult]
    deductions: list[DeductionResult]
    self_assessment: list[OwnItemResult]
    cards: list[CardResult]
    causes: CausesResult | None
