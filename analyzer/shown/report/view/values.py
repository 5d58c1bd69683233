"""What the page shows, as frozen values: plain strings for people, short lists of numbers for the figures.

Figure numbers are already in the units people read: nautical miles east and north of the fix, feet, knots, degrees,
seconds after the track's first moment. Named tuples: making a frozen dataclass takes eight times as long, with every
start of the program.
"""

from typing import Any, Literal, NamedTuple

from analyzer.given import PhaseName

Point = tuple[float, float]
Bounds = tuple[float, float, float, float]  # left, bottom, right, top
Tone = Literal["good", "bad", "open", "plain"]


def phase_letter(number: int) -> str:
    """Return the letter of the phase with a number from 1 on: A to Z, then AA, AB and so on."""
    number -= 1
    first = chr(ord("A") + number // 26 - 1) if number >= 26 else ""
    return first + chr(ord("A") + number % 26)


class Cell(NamedTuple):
    """One place in a table; `at_s` makes it a button that moves the time cursor."""

    text: str
    tone: Tone = "plain"
    at_s: float | None = None
    phase: PhaseName | None = None
    is_number: bool = False
    utc: str = ""


class TableView(NamedTuple):
    """A table with its caption; the first cell of each row is its head. `empty` is said where there are no rows."""

    key: str
    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    empty: str = ""
    note: str = ""


class FindingView(NamedTuple):
    """One finding in words; `before` and `after` are the text about its time, `before` all of it where it has none.

    `number` is the same wherever the finding is shown, 0 for a note; `short` says it in at most six words, `strip` is
    the key of the strip that shows it. `place` is where it stands among the findings of the result file, from 0.
    """

    number: int
    place: int
    code: str
    severity: str
    short: str
    strip: str
    text: str
    before: str
    after: str
    advice: str
    reference: str
    time: str
    utc: str
    at_s: float | None
    phase: str
    measured: str
    limit: str
    margin: str


class ScoreView(NamedTuple):
    """One score with the measured value behind it; `value` None where not assessed, `verdict` in words."""

    name: str
    value: int | None
    shown: str
    verdict: str
    tone: Tone
    fact: str
    deductions: tuple[str, ...] = ()


class AreaShape(NamedTuple):
    """Outer and inner edges of one area."""

    name: str
    rings: tuple[tuple[Point, ...], ...]
    label: str


class Stretch(NamedTuple):
    """The flown path of one phase; `number` is its place in the attempt and stands on the figures and in the table."""

    number: int
    phase: PhaseName
    label: str
    start_s: float
    end_s: float
    points: tuple[Point, ...]


class Mark(NamedTuple):
    """A place on a figure with a word beside it; `at_s` makes it something to jump to."""

    kind: str
    place: Point
    label: str
    at_s: float | None = None


class Callout(NamedTuple):
    """A finding at its place: its number, how bad it is, a few words, the moment to go to, as in `FindingView`."""

    number: int
    severity: str
    place: Point
    words: str
    at_s: float
    finding: int


class Tick(NamedTuple):
    """A whole minute of the flight on the path: where, the heading there (None where not known), the minute."""

    place: Point
    heading_true_deg: float | None
    track_true_deg: float
    minute: int


class Drift(NamedTuple):
    """What the wind did in a turn: the same turn in still air, and from its end to where the flown one ended."""

    still_air: tuple[Point, ...]
    flown_end: Point
    words: str


class PutRight(NamedTuple):
    """The same flight with one thing put right: its path from where it departs, at even steps from `from_s` on."""

    chip: str
    words: str
    path: tuple[Point, ...]
    from_s: float
    step_s: float


class PlanView(NamedTuple):
    """The view from above."""

    areas: tuple[AreaShape, ...]
    planned: tuple[tuple[str, tuple[Point, ...]], ...]
    whole_track: tuple[Point, ...]
    stretches: tuple[Stretch, ...]
    outside: tuple[tuple[Point, ...], ...]
    marks: tuple[Mark, ...]
    course: tuple[Point, Point]
    full_scale: tuple[tuple[Point, ...], ...]
    variation_deg: float
    wind: tuple[float, str] | None
    bounds: Bounds
    close_bounds: Bounds
    title: str
    words: str
    callouts: tuple[Callout, ...] = ()
    ticks: tuple[Tick, ...] = ()
    drifts: tuple[Drift, ...] = ()
    put_right: tuple[PutRight, ...] = ()


class Reference(NamedTuple):
    """A level line across part of a figure, with its word; `kind` is how it is drawn."""

    kind: str
    value: float
    start: float
    end: float
    label: str


class PlotLine(NamedTuple):
    """A line of a figure; `phase` gives it the look of a phase, else `kind` says how it is drawn."""

    kind: str
    points: tuple[Point, ...]
    phase: PhaseName | None = None


class PlotView(NamedTuple):
    """A figure with a value over time or along-track distance.

    `washes` are closed shapes that mark what is outside a limit, `doubt` where a
    value is too close to a limit to call, `gaps` when nothing was recorded; `series` names the cursor's value, "" for
    none.
    """

    key: str
    title: str
    unit: str
    across: Literal["time", "along"]
    x_range: tuple[float, float]
    y_range: tuple[float, float]
    y_ticks: tuple[tuple[float, str], ...]
    lines: tuple[PlotLine, ...]
    references: tuple[Reference, ...]
    washes: tuple[tuple[Point, ...], ...]
    words: str
    series: str = ""
    marks: tuple[Mark, ...] = ()
    missing: str = ""
    doubt: tuple[tuple[Point, ...], ...] = ()
    gaps: tuple[tuple[float, float], ...] = ()
    label: str = ""


class Band(NamedTuple):
    """When a phase was flown: the ground behind the lines of a figure over time and the pieces of the time bar."""

    number: int
    phase: PhaseName
    label: str
    start_s: float
    end_s: float

    @property
    def letter(self) -> str:
        """The phase's letter on plan, strips and time bar; findings have numbers."""
        return phase_letter(self.number)


class PhaseKey(NamedTuple):
    """One phase in the key of the figures, with the places where it was flown: letter, start and words of each."""

    phase: PhaseName
    places: tuple[tuple[str, float, str], ...]


class CardView(NamedTuple):
    """What to fly next time, to be read aloud."""

    title: str
    conditions: str
    lines: tuple[str, ...]


class EffectView(NamedTuple):
    """One thing that went wrong with what caused it: each cause's sentence and its share of the largest, percent."""

    title: str
    text: str
    causes: tuple[tuple[str, str, int], ...]


class EntryView(NamedTuple):
    """The sectors of a hold's entry with the arrival track, courses true."""

    inbound_true_deg: float
    turn_right: bool
    arrival_track_true_deg: float
    flown: str
    expected: str
    words: str


class SeatMoment(NamedTuple):
    """What the pilot saw at a key moment: the needle (parts of full scale, right positive) or a bearing pointer."""

    title: str
    time: str
    at_s: float
    deflection: float | None
    pointer_deg: float | None
    words: str


class AttemptView(NamedTuple):
    """One reversal; without any in the track one of these shows the flight alone, `number` 0."""

    number: int
    title: str
    result: str
    tone: Tone
    headline: str
    scores: tuple[ScoreView, ...]
    worst: tuple[FindingView, ...]
    next_time: tuple[str, ...]
    seat: tuple["SeatMoment", ...]
    findings: tuple[FindingView, ...]
    plan: PlanView
    plots: tuple[PlotView, ...]
    bands: tuple[Band, ...]
    key: tuple[PhaseKey, ...]
    cards: tuple[CardView, ...]
    effects: tuple[EffectView, ...]
    main_cause: str
    causes_note: str
    entry: EntryView | None
    tables: tuple[TableView, ...]
    evidence: tuple[str, ...]
    not_assessed: tuple[str, ...]
    cursor: dict[str, Any]
    ground: tuple[dict[str, Any], ...] = ()
    doubts: tuple[str, ...] = ()


class ReportView(NamedTuple):
    """The whole page."""

    title: str
    procedure: str
    flight: str
    facts: tuple[tuple[str, str], ...]
    attempts: tuple[AttemptView, ...]
    procedure_table: TableView
    wind: tuple[str, ...]
    quality: tuple[str, ...]
    methods: tuple[str, ...]
    sources: TableView
    areas: TableView
    cautions: tuple[str, ...]
    made: str
    more_procedures: tuple[TableView, ...] = ()
