"""The truth about a flight as values, and the sector rule of holding entries."""

from dataclasses import dataclass

from analyzer.flown import FixPassage, Phase
from analyzer.given import AltitudeRule, AltitudeSegment, Entry, FlownAs, PhaseName
from analyzer.synthesis.truth_measures import Violation


@dataclass(frozen=True)
class TurnTruth:
    """One turn: roll-in to wings level, change of heading in degrees, positive right."""

    phase: PhaseName
    lap: int
    start_s: float
    end_s: float
    degrees: float


@dataclass(frozen=True)
class AltitudeTruth:
    """One altitude segment: its stretch of time, rule and violations."""

    segment: AltitudeSegment
    rule: AltitudeRule
    start_s: float
    end_s: float
    violations: tuple[Violation, ...]


@dataclass(frozen=True)
class AttemptTruth:
    """What one attempt was, SI; times in seconds after the track's first moment.

    `established` holds one value a lap, None where never; distances and intercept values are of the last lap.
    `intercept_angle_deg` is None where the track ends before it can be told, and where the intercept ran to the fix
    without a turn onto the course: the definition says nothing there. Where the course is overrun and taken up
    again with a turn of its own, the angle before that turn is `intercept_angle_later_deg`. `return_window_s` is the
    stretch in which the aircraft turns back for the next attempt. `doubts` names definitions that this flight leaves
    open.
    """

    number: int
    start_s: float
    end_s: float
    passages: tuple[FixPassage, ...]
    flown_as: FlownAs
    entry: Entry | None
    entry_expected: Entry | None
    entry_near_boundary: bool
    arrival_track_true_deg: float
    laps: int
    phases: tuple[Phase, ...]
    turns: tuple[TurnTruth, ...]
    established: tuple[float | None, ...]
    established_at_m: float | None
    intercept_angle_deg: float | None
    intercept_angle_later_deg: float | None
    overshoot_m: float
    crossings: int
    rms_deflection: float | None
    max_deflection: float | None
    timed_legs_s: tuple[float | None, ...]
    altitudes: tuple[AltitudeTruth, ...]
    max_distance_m: float
    distance_excursions: tuple[Violation, ...]
    wrong_side: bool
    complete: bool
    return_window_s: tuple[float, float] | None
    doubts: tuple[str, ...]

    @property
    def timed_leg_s(self) -> float | None:
        """The timed leg of the last lap, None where the method has none or it was not finished."""
        return self.timed_legs_s[-1]


@dataclass(frozen=True)
class Truth:
    """The flight as it was; `tas_mps` is the mean true airspeed of all that was flown in the air."""

    wind_from_deg_true: float
    wind_speed_mps: float
    tas_mps: float
    attempts: tuple[AttemptTruth, ...]


def sector_entry(track_relative_deg: float, side: int) -> tuple[Entry, bool]:
    """Return the entry that the sector rule gives and whether a sector's edge is within 5 degrees.

    Parameters
    ----------
    track_relative_deg : float
        Arrival track minus inbound course.
    side : int
        +1 for right turns.

    Notes
    -----
    AIM 5-3-8 j: a line at 70 degrees to the inbound course on the holding side. Right turns: direct for tracks from
    290 through 0 to 110 degrees right of the inbound course, teardrop from 110 to 180, parallel from 180 to 290.
    """
    track = (side * track_relative_deg) % 360.0
    entry: Entry = "teardrop" if 110.0 < track <= 180.0 else "parallel" if 180.0 < track < 290.0 else "direct"
    edge = min(abs(track - 110.0), abs(track - 180.0), abs(track - 290.0))
    return entry, edge <= 5.0
