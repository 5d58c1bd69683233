"""The procedure: what the chart asks for, as frozen values in SI. Reading the file is `reading/procedure_file`."""

from dataclasses import dataclass
from typing import Literal

from analyzer.given.track import QualityNote
from analyzer.units import difference_deg, reciprocal_deg, visible

ReversalKind = Literal["procedure turn", "teardrop", "hold in lieu", "holding"]
Side = Literal["left", "right"]
GuidanceKind = Literal["VOR", "NDB", "localizer", "RNAV"]
TimingFrom = Literal["wings level", "turn start"]
Criteria = Literal["US", "ICAO"]
AltitudeSegment = Literal["arrival", "reversal", "inbound", "final"]
AltitudeRule = Literal["at or above", "at or below", "at", "between"]

ALTITUDE_SEGMENTS: tuple[AltitudeSegment, ...] = ("arrival", "reversal", "inbound", "final")


@dataclass(frozen=True)
class Place:
    """A named point: WGS 84 degrees, elevation in metres above mean sea level or None where not given."""

    latitude_deg: float
    longitude_deg: float
    ident: str | None = None
    elevation_m: float | None = None

    def __post_init__(self) -> None:
        if self.ident is not None:
            object.__setattr__(self, "ident", visible(self.ident))


@dataclass(frozen=True)
class Guidance:
    """What the needle follows. Exactly one of the full-scale values is set; `station` is the fix unless given."""

    kind: GuidanceKind
    station: Place
    full_scale_deg: float | None
    full_scale_m: float | None


@dataclass(frozen=True)
class AltitudeLimit:
    """One segment's altitude rule; `low_m` bounds from below, `high_m` from above, both equal for "at"."""

    segment: AltitudeSegment
    rule: AltitudeRule
    low_m: float | None
    high_m: float | None


@dataclass(frozen=True)
class DistanceLimit:
    """A limit by the distance from a station that need not be the fix, as "turn within 8 DME"; metres."""

    station: Place
    distance_m: float

    def __post_init__(self) -> None:
        _above_zero("distance_m", self.distance_m)


@dataclass(frozen=True)
class StepFix:
    """A step-down fix between the fix and the runway: `distance_m` from `origin`, and at or above `low_m` until there.

    Where `origin` is the procedure's fix, the distance counts on the inbound side, along the final course.
    """

    distance_m: float
    origin: Place
    low_m: float
    ident: str | None = None

    def __post_init__(self) -> None:
        if self.ident is not None:
            object.__setattr__(self, "ident", visible(self.ident))


@dataclass(frozen=True)
class MissedApproach:
    """Where an approach ends: `before_runway_m` before the threshold, or `after_s` from the final fix; one of them.

    `groundspeed_mps` is what the charted time goes with; `climb_to_m` above mean sea level, None where not given.
    """

    before_runway_m: float | None = None
    after_s: float | None = None
    groundspeed_mps: float | None = None
    climb_to_m: float | None = None

    def __post_init__(self) -> None:
        if (self.before_runway_m is None) == (self.after_s is None):
            raise ValueError("a missed approach point is given by a distance or by a time")
        if (self.after_s is None) != (self.groundspeed_mps is None):
            raise ValueError("a time to the missed approach point goes with a groundspeed")

    @property
    def after_m(self) -> float | None:
        """Distance from the final fix that time and groundspeed stand for, metres; None where a distance is given."""
        return None if self.after_s is None or self.groundspeed_mps is None else self.after_s * self.groundspeed_mps


@dataclass(frozen=True)
class LeadingArc:
    """An arc that leads to the fix: flown from the bearing `from_true_deg` to `to_true_deg`, seen from `station`."""

    station: Place
    radius_m: float
    from_true_deg: float
    to_true_deg: float

    def __post_init__(self) -> None:
        _above_zero("radius_m", self.radius_m)


@dataclass(frozen=True)
class Procedure:
    """A course reversal as charted, defaults filled in.

    Courses are degrees true unless the name says magnetic. `defaults` holds the dotted keys ("limits.outbound_min")
    that the file left out, so that the report can show them as defaults. `notes` are sentences for the report, such
    as where a variation comes from; `doubts` are notes on values that contradict each other, which nobody should read
    the verdict without. `no_reversal_from` holds sectors of arrival courses, degrees true, clockwise from
    the first to the second, from which the reversal is not flown; `steps` are in order of flight; `final_fix` is None
    where it is the fix of the reversal.
    """

    title: str
    reversal: ReversalKind
    fix: Place
    inbound_true_deg: float
    variation_deg: float
    variation_source: Literal["file", "WMM"]
    turn_side: Side
    outbound_true_deg: float
    offset_true_deg: float
    guidance: Guidance
    remain_within_m: float | None
    outbound_s: float | None
    outbound_m: float | None
    timing_from: TimingFrom
    max_ias_mps: float | None
    altitudes: tuple[AltitudeLimit, ...]
    criteria: Criteria
    category: str
    runway: Place | None = None
    defaults: frozenset[str] = frozenset()
    source: str | None = None
    notes: tuple[str, ...] = ()
    outbound_limit: DistanceLimit | None = None
    no_reversal_from: tuple[tuple[float, float], ...] = ()
    steps: tuple[StepFix, ...] = ()
    final_fix: Place | None = None
    missed_approach: MissedApproach | None = None
    arc: LeadingArc | None = None
    doubts: tuple[QualityNote, ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "title", visible(self.title))
        object.__setattr__(self, "notes", tuple(visible(note) for note in self.notes))
        if self.source is not None:
            object.__setattr__(self, "source", visible(self.source))

    @property
    def is_hold(self) -> bool:
        """Whether the reversal is a racetrack at the fix: hold in lieu or holding."""
        return self.reversal in ("hold in lieu", "holding")

    @property
    def side(self) -> int:
        """Sign of the manoeuvre side as a cross-track: +1 to the right of the inbound course, -1 to the left.

        It is also the direction of the reversal turn: +1 right, -1 left. A hold's turn side is the direction of its
        turns; a procedure turn's or teardrop's is seen looking outbound.
        """
        right = 1 if self.turn_side == "right" else -1
        return right if self.is_hold else -right

    @property
    def inbound_magnetic_deg(self) -> float:
        """Inbound course, degrees magnetic."""
        return self.magnetic_deg(self.inbound_true_deg)

    @property
    def reciprocal_true_deg(self) -> float:
        """The inbound course flown outbound, degrees true; differs from `outbound_true_deg` for a teardrop."""
        return float(reciprocal_deg(self.inbound_true_deg))

    def magnetic_deg(self, true_deg: float) -> float:
        """Return a true course as magnetic, in [0, 360)."""
        return float(difference_deg(self.variation_deg, true_deg)) % 360.0

    def altitude(self, segment: AltitudeSegment) -> AltitudeLimit | None:
        """Return the segment's limit or None where the procedure has none."""
        return next((limit for limit in self.altitudes if limit.segment == segment), None)

    def is_no_reversal_course(self, course_true_deg: float) -> bool:
        """Whether an arrival on this course, degrees true, is charted to go straight in."""
        return any((course_true_deg - first) % 360.0 <= (last - first) % 360.0 for first, last in self.no_reversal_from)


def _above_zero(name: str, value: float) -> None:
    if not value > 0.0:
        raise ValueError(f"{name} must be above zero, not {value:g}")
