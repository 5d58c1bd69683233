"""What a solution says: the legs to be flown, where each condition stands, or why there is no plan."""

from dataclasses import dataclass
from typing import Literal

from analyzer.given import Entry, FlownAs, PhaseName, Wind
from analyzer.units import FloatArray

ClockFrom = Literal["fix", "abeam", "wings level", "abeam or wings level, the later", "turn start"]
EndKind = Literal["time", "station distance", "distance along the course", "distance from the fix", "course", "fix"]


@dataclass(frozen=True)
class LegEnd:
    """What ends a straight leg.

    Parameters
    ----------
    kind : str
        "time": the clock. "station distance": the distance read from the station. "distance along the course": outbound
        of the fix, as area navigation counts it. "distance from the fix": the straight one. "course": the turn onto the
        inbound course begins. "fix": it is reached.
    distance_m : float or None
        Of the two kinds of distance; of "course": how far from the course.
    clock_from : str or None
        Of "time": where the clock starts.
    """

    kind: EndKind
    distance_m: float | None = None
    clock_from: ClockFrom | None = None


@dataclass(frozen=True)
class PathLeg:
    """One leg of a planned path, metres in the frame's axes, with the phase it belongs to and its instructions.

    `heading_true_deg` is None for a turn; `turn_deg` is None for a straight and positive to the right;
    `drift_correction_deg` is heading minus track on a straight, positive to the right; `timed_s` is what the clock
    is asked for (a hold's outbound leg is timed from abeam the fix), None where the leg is not timed; `lap` counts
    the circuits of a hold, its entry being 1. `tracked` straights follow a course by the needle, the others a heading;
    `to_heading_true_deg` is the heading that a turn ends on; `end` says what ends a straight.
    """

    phase: PhaseName
    along_m: FloatArray
    cross_m: FloatArray
    time_s: FloatArray
    heading_true_deg: float | None
    turn_deg: float | None = None
    drift_correction_deg: float | None = None
    timed_s: float | None = None
    lap: int = 1
    tracked: bool = False
    to_heading_true_deg: float | None = None
    end: LegEnd | None = None

    @property
    def duration_s(self) -> float:
        """Seconds from the leg's first to its last moment."""
        return float(self.time_s[-1] - self.time_s[0])


@dataclass(frozen=True)
class Condition:
    """One thing that a plan has to meet: what is asked, what the plan gives, in one unit, and whether it does."""

    name: str
    asked: float
    got: float
    unit: str
    met: bool


@dataclass(frozen=True)
class RuleOfThumb:
    """What the cockpit rule gives for the same leg, and how far off the course that would roll out.

    `name` says the rule in words; `correction_deg` is its heading's correction (positive to the right of the reciprocal
    course), `time_s` its time, None where it gives none; `off_m` is how far from the plan's roll-out it ends,
    across the course, positive beyond the course (away from the manoeuvring side).
    """

    name: str
    correction_deg: float | None
    time_s: float | None
    off_m: float


@dataclass(frozen=True)
class SolvedPlan:
    """One way to fly a reversal in one wind, solved on the exact path.

    Parameters
    ----------
    method, entry : str
    tas_mps, rate_deg_s, bank_deg : float
        Airspeed, and the turns: the smaller of standard rate and 25 degrees of bank.
    wind : Wind or None
        None: still air.
    legs : tuple of PathLeg
    roll_out_m : tuple of float
        Along and cross where the last turn before the inbound tracking of the last lap ends.
    inbound_s : float
        From that roll-out (or from the turn onto the course) to the fix, in the last lap.
    beyond_m : float
        The farthest that the plan goes to the side away from the manoeuvre from the reversal turn on (in a hold from
        the outbound leg on), zero or more.
    farthest_m : float
        Distance from the fix.
    conditions : tuple of Condition
    notes : tuple of str
        What a pilot should know of the plan: conditions that the wind does not let it meet in full.
    thumb : RuleOfThumb or None
    room_m : float or None
        Smallest distance to the edge of the primary area, None without one.
    latest_start_m : float or None
        Procedure turn within a distance: farthest place along the course to begin the turn off it.
    arrival_true_deg : float or None
        Ground track on which a hold is entered, None where the plan does not depend on it or it is not known.
    """

    method: FlownAs
    entry: Entry | None
    tas_mps: float
    rate_deg_s: float
    bank_deg: float
    wind: Wind | None
    legs: tuple[PathLeg, ...]
    roll_out_m: tuple[float, float]
    inbound_s: float
    beyond_m: float
    farthest_m: float
    conditions: tuple[Condition, ...] = ()
    notes: tuple[str, ...] = ()
    thumb: RuleOfThumb | None = None
    room_m: float | None = None
    latest_start_m: float | None = None
    arrival_true_deg: float | None = None

    def leg(self, phase: PhaseName, lap: int = 1) -> PathLeg | None:
        """Return the longest straight of a phase in a lap; a lap beyond those planned is like the last one."""
        lap = min(lap, self.legs[-1].lap)
        legs = [leg for leg in self.legs if leg.phase == phase and leg.lap == lap and leg.turn_deg is None]
        return max(legs, key=lambda leg: leg.duration_s, default=None)

    def heading_true_deg(self, phase: PhaseName, lap: int = 1) -> float | None:
        """Return the heading asked for on a leg, None where the plan has no such leg."""
        leg = self.leg(phase, lap)
        return None if leg is None else leg.heading_true_deg

    def timed_s(self, phase: PhaseName, lap: int = 1) -> float | None:
        """Return what the clock is asked for on a leg, None where the plan does not time it."""
        leg = self.leg(phase, lap)
        return None if leg is None else leg.timed_s


@dataclass(frozen=True)
class NoPlan:
    """Why there is no way to fly it like this: one sentence in a pilot's words, and what falls short by how much."""

    method: FlownAs
    entry: Entry | None
    tas_mps: float
    wind: Wind | None
    reason: str
    failed: Condition | None = None


class NoPlanError(Exception):
    """Raised inside the solver: `reason` and `failed` become those of the `NoPlan`."""

    def __init__(self, reason: str, failed: Condition | None = None) -> None:
        super().__init__(reason)
        self.reason, self.failed = reason, failed
