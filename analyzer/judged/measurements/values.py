"""The measured values of one attempt, SI, frozen: what the judging step works from."""

from dataclasses import dataclass
from typing import Literal

from analyzer.flown import FlownTurn
from analyzer.given import AltitudeLimit, PhaseName
from analyzer.judged.measurements.cleared_values import ClearedMeasure
from analyzer.judged.measurements.final_values import ArcMeasure, FinalMeasure
from analyzer.planned import NoPlan, SolvedPlan

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
    1-sigma uncertainty; `margin_area` which edge was nearest and `margin_at_s` when. `computed`: nothing that must not
    be left is known, the margin is to an area that no document of the criteria publishes; what lay outside such an area
    is in `computed_excursions`.
    """

    margin_m: float | None
    sigma_m: float
    margin_area: LimitArea | None
    margin_at_s: float | None
    max_distance_m: float
    max_distance_at_s: float
    excursions: tuple[Excursion, ...]
    computed: bool = False
    computed_excursions: tuple[Excursion, ...] = ()


@dataclass(frozen=True)
class AltitudeViolation:
    """One stretch outside a limit; `worst_m` is the altitude at the worst moment, `worst_at_s`.

    `level_m` is the altitude at which it was flown level the longest, None where it never was.
    """

    start_s: float
    end_s: float
    worst_m: float
    worst_at_s: float
    level_m: float | None = None


@dataclass(frozen=True)
class AltitudeMeasure:
    """One segment's altitudes against its limit.

    `worst_m` is the altitude nearest to or farthest beyond the limit, None where the segment was not flown or the
    track has no altitudes (`reason` says which); `margin_m` positive inside the limit; `sigma_m` 1 sigma there.
    `judged_from_s` is when an arrival had reached its altitude, where it was still on its way there at its beginning;
    `judged_until_s` when a final's landing began, its runway was passed or the track ended. `reading_m` is how far
    beyond the limit still counts as at it.
    """

    limit: AltitudeLimit
    worst_m: float | None
    worst_at_s: float | None
    margin_m: float | None
    sigma_m: float | None
    violations: tuple[AltitudeViolation, ...]
    reason: str | None = None
    judged_from_s: float | None = None
    judged_until_s: float | None = None
    reading_m: float = 0.0


@dataclass(frozen=True)
class NearStation:
    """How far off the course the flight was near the station, established: the largest distance, when, its 1 sigma.

    `established_s` is when a flight that was not established by its needle was so by its position, in or near the cone.
    """

    off_m: float
    at_s: float
    sigma_m: float
    established_s: float | None = None


@dataclass(frozen=True)
class Homing:
    """The nose kept on the beacon from one moment to another, and by how much the bearing turned meanwhile, degrees."""

    start_s: float
    end_s: float
    turned_deg: float


@dataclass(frozen=True)
class Intercept:
    """How the inbound course was taken up, on the last lap. None where it can't be measured.

    `rms_deflection` and `max_deflection` are over established to the fix, in parts of full scale, and
    `max_deflection_sigma` is the 1 sigma of the largest. `overshoot_deflection` is the overshoot in parts of full
    scale where it was largest.

    `turn_onto_course_s` is when roll-in of the turn that ended on (or crossed) the course began: the turn after the
    intercept leg, or the reversal turn where there is no such leg. `turn_late_s` is how many seconds too late it
    began (negative: too early): cross-track at the moment when the ground track is parallel to the course at the end
    of that turn, divided by the cross-track speed just before roll-in; None where that speed is under 5 m/s.
    `established_after_fix_s` is when an aircraft that was not established before the inbound passage became so
    afterwards, None where it never did.

    The `steady_deflection` values are like the `max_deflection` ones, but only where the needle of an angular station
    can be followed: not in the last mile before it, where a few metres move it through its whole scale; what the
    position says there is in `near`. `homing` is that of the way in to a beacon.
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
    overshoot_deflection: float | None = None
    max_deflection_sigma: float | None = None
    angle_at_s: float | None = None
    angle_sigma_deg: float | None = None
    turn_onto_course_s: float | None = None
    turn_late_s: float | None = None
    turn_late_sigma_s: float | None = None
    established_after_fix_s: float | None = None
    steady_deflection: float | None = None
    steady_deflection_at_s: float | None = None
    steady_deflection_sigma: float | None = None
    near: NearStation | None = None
    homing: Homing | None = None


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
class HeldBank:
    """The largest bank that was held for 3 s in a turn, when that began, its 1 sigma, and whether it was recorded."""

    degrees: float
    at_s: float
    sigma_deg: float
    recorded: bool


@dataclass(frozen=True)
class LegEnd:
    """Where an outbound leg that is charted by distance ended: roll-in of the reversal turn.

    `along_m` is counted along the course from the fix, as area navigation does; `from_fix_m` straight, as a distance
    read from a station at the fix is. Beside the course the first is the smaller one: too far out counts by it.
    """

    lap: int
    at_s: float
    along_m: float
    from_fix_m: float
    charted_m: float
    sigma_m: float
    cross_m: float = 0.0

    def out_m(self, *, along_the_course: bool) -> float:
        """Return how far out the leg ended: along the course in a hold, from the fix in a teardrop."""
        return self.along_m if along_the_course else self.from_fix_m


@dataclass(frozen=True)
class TurnMeasure:
    """One turn with its phase; bank and radius None where no airspeed is known. Sigmas are of the means, 1 sigma."""

    phase: PhaseName
    lap: int
    turn: FlownTurn
    mean_bank_deg: float | None
    radius_m: float | None
    bank_sigma_deg: float | None = None
    rate_sigma_deg_s: float | None = None
    held_bank: HeldBank | None = None


@dataclass(frozen=True)
class Speed:
    """The highest speed between the first and the inbound passage, of the best kind the track allows.

    `estimated_ias_mps` is the indicated airspeed that the highest true airspeed comes to at its altitude, None where
    `kind` is "ias" or it can't be known; `sigma_mps` is of the speed that is compared with the limit. `low_mps` and
    `high_mps` are the lowest and highest indicated airspeed from the end of the outbound turn to the start of the
    reversal turn, smoothed over 5 s, None where the track has no airspeed.
    """

    kind: Literal["ias", "tas", "groundspeed"]
    max_mps: float
    at_s: float
    limit_ias_mps: float | None
    sigma_mps: float
    estimated_ias_mps: float | None = None
    low_mps: float | None = None
    high_mps: float | None = None


@dataclass(frozen=True)
class LapMeasure:
    """One circuit of a hold: its timed outbound leg and its inbound leg in seconds, None where not flown.

    The inbound leg runs from the end of the reversal turn (wings level) to the fix. `roll_in_along_m` and
    `roll_in_cross_m` are where the reversal turn of the lap began.
    """

    lap: int
    outbound_s: float | None
    inbound_s: float | None
    established_s: float | None
    roll_in_along_m: float | None = None
    roll_in_cross_m: float | None = None


@dataclass(frozen=True)
class LegMeasure:
    """One straight phase: how it was flown and what the wind asked for.

    Made for `outbound`, `offset leg`, `intercept` and `inbound` of each lap that lasted at least 10 s. Means are over
    the straight part: without the first and the last 5 s where the leg is long enough.

    Parameters
    ----------
    phase, lap, start_s, end_s
        The phase.
    track_true_deg : float
        Mean ground track.
    track_sigma_deg : float
        Its 1 sigma.
    heading_true_deg : float or None
        Mean air heading: from a heading column, else the ground velocity less the wind; None where neither is known.
    heading_sigma_deg : float or None
        Its 1 sigma, the wind's uncertainty included.
    course_true_deg : float or None
        Course to make good: a procedure turn's or teardrop's outbound course, the offset heading, the inbound course;
        of a hold's or racetrack's outbound leg the reciprocal of the inbound course. None for `intercept`.
    drift_correction_deg : float or None
        What the wind asked for on that course: the single wind correction angle, positive to the right, (also on a
        hold's outbound leg, where three times the inbound leg's opposite is asked for: the judging step knows that).
    end_deflection : float or None
        Needle at the end of the leg, in parts of full scale of the procedure's guidance about the outbound course.
        Positive where the aircraft was right of that course, seen flying outbound. Only for `outbound` of a procedure
        turn flown as 45/180 or 80/260 and of a teardrop; None elsewhere.
    """

    phase: PhaseName
    lap: int
    start_s: float
    end_s: float
    track_true_deg: float
    track_sigma_deg: float
    heading_true_deg: float | None
    heading_sigma_deg: float | None
    course_true_deg: float | None
    drift_correction_deg: float | None
    end_deflection: float | None = None


@dataclass(frozen=True)
class DescentRate:
    """The fastest descent that lasted so many seconds, when it began, and its 1 sigma."""

    rate_mps: float
    at_s: float
    lasting_s: float
    sigma_mps: float


@dataclass(frozen=True)
class TooHigh:
    """From when and how far before the runway no normal descent led to it; height and distance at the final's end."""

    at_s: float
    distance_m: float
    height_m: float
    end_distance_m: float
    end_s: float


@dataclass(frozen=True)
class Descent:
    """The fastest descents of each part, None where it was not flown; `low` is below 1,000 ft above the runway."""

    outbound: DescentRate | None
    inbound: DescentRate | None
    final: DescentRate | None
    low: DescentRate | None
    too_high: TooHigh | None


@dataclass(frozen=True)
class AttemptMeasures:
    """All that was measured of one attempt.

    `solved` is what the wind asked for, with the method and the entry that were flown; None where the wind is not known
    or there is no such method.
    """

    containment: Containment
    altitudes: tuple[AltitudeMeasure, ...]
    intercept: Intercept
    timing: Timing | None
    turns: tuple[TurnMeasure, ...]
    speed: Speed | None
    laps: tuple[LapMeasure, ...]
    legs: tuple[LegMeasure, ...] = ()
    leg_end: LegEnd | None = None
    solved: SolvedPlan | NoPlan | None = None
    final: FinalMeasure | None = None
    descent: Descent | None = None
    cleared: ClearedMeasure | None = None
    arc: ArcMeasure | None = None
