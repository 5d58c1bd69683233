"""Attempts, entry, laps, method and the phases of each reversal: flown segments and the plan together."""

from dataclasses import dataclass
from typing import Literal

from analyzer.flown.turns.turn_states import FlownTurn as FlownTurn

PhaseName = Literal[
    "arrival",
    "outbound turn",
    "outbound",
    "offset turn",
    "offset leg",
    "reversal turn",
    "intercept",
    "inbound",
    "final",
]
PHASE_NAMES: tuple[PhaseName, ...] = (
    "arrival",
    "outbound turn",
    "outbound",
    "offset turn",
    "offset leg",
    "reversal turn",
    "intercept",
    "inbound",
    "final",
)
FlownAs = Literal["45/180", "80/260", "teardrop", "racetrack", "hold", "other"]
Entry = Literal["direct", "teardrop", "parallel"]


@dataclass(frozen=True)
class FixPassage:
    """Closest point of approach of one pass by the fix."""

    at_s: float
    distance_m: float
    direction: Literal["outbound", "inbound"]


@dataclass(frozen=True)
class Phase:
    """One stretch of an attempt; `lap` counts the circuits of a hold from 1, and is 1 elsewhere."""

    name: PhaseName
    lap: int
    start_s: float
    end_s: float


@dataclass(frozen=True)
class Attempt:
    """One reversal found in the track. Times are seconds after the track's first moment.

    `phases` are in order, without gaps or overlaps. `turns` pairs each turn with its phase's name and lap.
    `established_s` is None where never established; `evidence` says why the reversal is called what it is called.
    """

    number: int
    start_s: float
    end_s: float
    passages: tuple[FixPassage, ...]
    flown_as: FlownAs
    entry: Entry | None
    entry_expected: Entry | None
    entry_near_boundary: bool
    arrival_track_true_deg: float | None
    laps: int
    phases: tuple[Phase, ...]
    turns: tuple[tuple[PhaseName, int, FlownTurn], ...]
    established_s: tuple[float | None, ...]
    complete: bool
    wrong_side: bool
    evidence: tuple[str, ...]

    def phase(self, name: PhaseName, lap: int | None = None) -> Phase | None:
        """Return the last phase of that name (of that lap), or None."""
        found = [phase for phase in self.phases if phase.name == name and lap in (None, phase.lap)]
        return found[-1] if found else None

    @property
    def first_passage_s(self) -> float:
        """Moment of the first passage of the fix: where the reversal starts."""
        return self.passages[0].at_s

    @property
    def last_inbound_passage_s(self) -> float | None:
        """Moment of the last inbound passage: where the reversal ends, or None where the track lacks it."""
        inbound = [passage.at_s for passage in self.passages[1:] if passage.direction == "inbound"]
        return inbound[-1] if inbound else None
