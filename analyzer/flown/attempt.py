"""What one reversal was: values only, which `reversals/attempts` finds."""

from dataclasses import dataclass
from typing import Literal

from analyzer.given import Entry, FlownAs, PhaseName


@dataclass(frozen=True)
class FlownTurn:
    """One turn of at least 15 degrees: from the start of roll-in to wings level.

    `degrees` is positive to the right; degrees and rates are of the air heading where the wind is known (`method`
    "air heading"), of the ground track otherwise ("ground track").
    """

    start_s: float
    end_s: float
    degrees: float
    mean_rate_deg_s: float
    max_rate_deg_s: float
    tas_mps: float | None
    method: Literal["air heading", "ground track"]

    @property
    def direction(self) -> int:
        """+1 for a turn to the right, -1 to the left."""
        return 1 if self.degrees >= 0.0 else -1


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
