"""The shape of the parts of a lesson that are no reversals: finals without one, and what no procedure fits."""

from typing import Literal, NotRequired

from typing_extensions import TypedDict  # pydantic can't read typing.TypedDict before Python 3.12

from analyzer.shown.result.attempt_types import AltitudeResult, FindingResult, Outcome
from analyzer.shown.result.flight_types import ArcFlownResult, ClearedResult, FinalResult


class StraightInResult(TypedDict):
    """A final that no reversal led to; `procedure` is an index into `procedures` where there are several.

    `joined` says where the final course was taken up: before the fix, or past it as on vectors. `why` is what chart and
    clearance say of the reversal that was not flown.
    """

    procedure: NotRequired[int]
    start_s: float
    joined_s: float
    passed_s: float
    end_s: float
    joined: Literal["before the fix", "past the fix"]
    arrival_track_deg_true: float | None
    altitudes: list[AltitudeResult]
    final: FinalResult | None
    cleared: NotRequired[ClearedResult]
    arc: NotRequired[ArcFlownResult]
    findings: list[FindingResult]
    result: Outcome
    why: str


class UnclaimedResult(TypedDict):
    """Something like a reversal that no procedure fits: never judged."""

    what: Literal["turn back", "circuit"]
    start_s: float
    end_s: float
