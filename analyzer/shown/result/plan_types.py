"""The types of a plan and a card in the result file."""

from typing import Literal

from typing_extensions import TypedDict

from analyzer.given import Entry, FlownAs, PhaseName


class PlanLegResult(TypedDict):
    """One leg of a plan; keys that don't apply to it are null.

    A "leg" is a straight: its heading, `track` true where it follows a course by the needle, and exactly one end:
    `time_s` counted from `clock_from`, `to_dme_nm` as read from `dme_of`, `to_along_nm` outbound along the course,
    `to_course` (the turn onto it begins `lead_nm` before it) or `to_fix`. A "turn" has its side, its whole size and the
    heading that it ends on; rate or bank, whichever is the smaller, governs.
    """

    kind: Literal["leg", "turn"]
    phase: PhaseName
    lap: int
    duration_s: float
    heading_magnetic_deg: float | None
    heading_true_deg: float | None
    track: bool | None
    time_s: float | None
    clock_from: str | None
    to_dme_nm: float | None
    dme_of: Literal["station", "fix"] | None
    to_along_nm: float | None
    to_course: bool
    lead_nm: float | None
    lead_deg: float | None
    to_fix: bool
    turn: Literal["left", "right"] | None
    degrees: float | None
    to_heading_magnetic_deg: float | None
    to_heading_true_deg: float | None
    rate_deg_s: float | None
    bank_deg: float | None


class PlanWindResult(TypedDict):
    """The wind that a plan is for."""

    from_deg_true: float
    speed_kt: float


class PlanStartResult(TypedDict):
    """Where a plan begins, and the ground track on which it does, null where it does not depend on one."""

    at: Literal["fix"]
    track_true_deg: float | None


class PlanRollOutResult(TypedDict):
    """Where the last turn before the inbound tracking of a lap ends."""

    lap: int
    along_nm: float
    cross_nm: float
    ground_track_true_deg: float


class PlanConditionResult(TypedDict):
    """One thing that a plan has to meet."""

    name: str
    asked: float
    got: float
    unit: str
    met: bool


class PlanRuleResult(TypedDict):
    """What the cockpit rule gives for the same leg and how far beyond the course it would roll out."""

    name: str
    correction_deg: float | None
    time_s: float | None
    off_nm: float


class PlanResult(TypedDict):
    """One solved plan, as data: a machine can fly it. `no_plan` says why there is none; then `legs` is empty."""

    kind: FlownAs
    entry: Entry | None
    tas_kt: float
    wind: PlanWindResult | None
    no_plan: str | None
    start: PlanStartResult
    legs: list[PlanLegResult]
    roll_out: PlanRollOutResult | None
    roll_outs: list[PlanRollOutResult]
    inbound_s: float | None
    latest_start_nm: float | None
    room_nm: float | None
    conditions: list[PlanConditionResult]
    rule_of_thumb: PlanRuleResult | None


class CardResult(TypedDict):
    """What to fly next time, to be read aloud, and the plan that it says in words."""

    title: str
    conditions: str
    lines: list[str]
    plan: PlanResult
