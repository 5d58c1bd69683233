"""The procedure: what the chart asks for, as frozen values in SI. Reading the file is `readers/procedure_file`."""

from dataclasses import dataclass
from typing import Literal

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
class Procedure:
    """A course reversal as charted, defaults filled in.

    Courses are degrees true unless the name says magnetic. `defaults` holds the dotted keys ("limits.outbound_min")
    that the file left out, so that the report can show them as defaults. `notes` are sentences for the report, such
    as where a variation comes from.
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
