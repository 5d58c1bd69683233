"""The fields of the chart form, in the order in which a chart is read."""

from typing import Literal, NamedTuple

FieldKind = Literal[
    "text", "choice", "latitude", "longitude", "variation", "course", "sectors",
    "altitude", "distance", "speed", "minutes", "degrees", "date",
]  # fmt: skip
TURNS, TEARDROP, HOLDS = ("procedure turn",), ("teardrop",), ("hold in lieu", "holding")
SEGMENTS = ("arrival", "reversal", "inbound", "final")
ALTITUDE_RULES = (
    ("", "–"),
    ("at_or_above", "at or above"),
    ("at_or_below", "at or below"),
    ("at", "at"),
    ("between", "between"),
)
STEP_ROWS = 3


class Field(NamedTuple):
    """One field: `key` is the dotted key of the procedure file, `mark` its letter on the picture of a chart.

    `kinds` are the reversals that have it, all where empty; `unit` stands behind the box.
    """

    key: str
    label: str
    kind: FieldKind
    example: str = ""
    hint: str = ""
    unit: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    kinds: tuple[str, ...] = ()
    mark: str = ""


class Section(NamedTuple):
    """Fields that the eyes meet together; `folded` ones are opened where wanted."""

    key: str
    title: str
    where: str
    fields: tuple[Field, ...]
    folded: bool = False


def _position(table: str, what: str, examples: tuple[str, str], mark: str = "") -> tuple[Field, Field]:
    return (
        Field(f"{table}.latitude", f"{what}, latitude", "latitude", examples[0], mark=mark),
        Field(f"{table}.longitude", f"{what}, longitude", "longitude", examples[1], mark=mark),
    )


_TITLE = Section(
    "title",
    "Title",
    "at the top of the chart",
    (
        Field("title", "Title", "text", "VOR 12, Harrow Flats", "The name of the procedure and the place.", mark="A"),
        Field(
            "reversal",
            "Kind of reversal",
            "choice",
            hint="A barb beside the course: procedure turn. A racetrack: hold. Two courses that part: teardrop.",
            choices=(
                ("procedure turn", "procedure turn (barb)"),
                ("teardrop", "teardrop (two courses)"),
                ("hold in lieu", "hold in lieu (racetrack)"),
                ("holding", "holding (no approach)"),
            ),
            mark="E",
        ),
    ),
)
_FIX = Section(
    "fix",
    "The fix",
    "the point where the reversal starts and ends; its position stands in the box of the station",
    (
        Field("fix.ident", "Name of the fix", "text", "HRF", mark="B"),
        *_position("fix", "Fix", ("N46 12.0", "W101 30.0"), "B"),
        Field("fix.elevation_ft", "Elevation of the station", "altitude", "1900", "May be left out.", "ft"),
        Field(
            "guidance.kind",
            "The needle follows",
            "choice",
            choices=(("VOR", "VOR"), ("NDB", "NDB"), ("localizer", "localizer"), ("RNAV", "RNAV (GPS)")),
            mark="B",
        ),
    ),
)
_COURSES = Section(
    "courses",
    "Courses",
    "along the line through the fix; magnetic, as printed",
    (
        Field("course.inbound_deg", "Inbound course", "course", "118", "Flown towards the fix.", "°", mark="C"),
        Field(
            "course.outbound_deg",
            "Outbound course",
            "course",
            "280",
            "By category where the chart has several: A 280, C 272.",
            "°",
            kinds=TEARDROP,
            mark="C",
        ),
        Field("course.variation_deg", "Variation", "variation", "7° E", "East or west, as on the chart.", mark="D"),
    ),
)
_BARB = Section(
    "barb",
    "Barb or racetrack",
    "the side on which the reversal is drawn",
    (
        Field(
            "course.turn_side",
            "Side",
            "choice",
            hint="Barb: left or right of the outbound course, looking outbound. Racetrack: the direction of its turns.",
            choices=(("", "–"), ("left", "left"), ("right", "right")),
            mark="E",
        ),
        Field(
            "course.offset_deg",
            "Heading at the barb",
            "course",
            "343",
            "The number on the barb that leads away; 45° from the course where there is none.",
            "°",
            kinds=TURNS,
            mark="E",
        ),
    ),
)
_LIMITS = Section(
    "limits",
    "Limits",
    "notes beside the plan",
    (
        Field("limits.remain_within_nm", "Remain within", "distance", "10", "Of the fix.", "NM", mark="F"),
        Field(
            "limits.outbound_min",
            "Timed leg",
            "minutes",
            "1",
            "Outbound leg of a hold or teardrop, offset leg of a procedure turn. Or a distance, in the next box.",
            "min",
            mark="F",
        ),
        Field("limits.outbound_nm", "Leg by distance", "distance", "4", "", "NM"),
        Field("limits.max_ias_kt", "Highest speed", "speed", "200", "", "kt", mark="F"),
    ),
)
_RUNWAY = Section(
    "runway",
    "Runway",
    "the sketch of the aerodrome; for the drawing and the final",
    (
        Field("runway.ident", "Runway", "text", "12", mark="H"),
        *_position("runway", "Threshold", ("N46 09.02", "W101 23.85"), "H"),
        Field("runway.elevation_ft", "Threshold elevation", "altitude", "1870", "", "ft", mark="H"),
    ),
)
_AREAS = Section(
    "areas",
    "Criteria and category",
    "the lines of minimums; who publishes the chart",
    (
        Field(
            "protection.category",
            "Category of the aircraft",
            "choice",
            choices=(("", "A, unless said otherwise"), *((letter, letter) for letter in "ABCDE")),
            mark="I",
        ),
        Field(
            "protection.criteria",
            "Criteria",
            "choice",
            choices=(("", "US, unless said otherwise"), ("US", "US"), ("ICAO", "ICAO")),
        ),
    ),
)
_NEEDLE = Section(
    "needle",
    "Another station, width of the needle",
    "only where the station is not at the fix, or the needle is not the usual one",
    (
        *_position("guidance", "Station", ("N46 12.0", "W101 30.0")),
        Field("guidance.full_scale_deg", "Full scale", "degrees", "10", "To one side.", "°"),
        Field("guidance.full_scale_nm", "Full scale, by distance", "distance", "1", "To one side, RNAV.", "NM"),
        Field(
            "limits.timing_from",
            "The time counts from",
            "choice",
            choices=(("", "as the criteria say"), ("wings level", "wings level"), ("turn start", "start of the turn")),
        ),
    ),
    folded=True,
)
_TURN_BY = Section(
    "turn_by",
    "A limit from another station, sectors without reversal",
    "such as 'turn within 8 DME' or NoPT",
    (
        Field("limits.outbound_limit.dme_nm", "Turn within", "distance", "8", "", "NM DME"),
        Field("limits.outbound_limit.ident", "Of the station", "text", "HRF"),
        *_position("limits.outbound_limit", "That station", ("N46 12.0", "W101 30.0")),
        Field(
            "no_reversal_from",
            "No reversal from",
            "sectors",
            "080-156",
            "Arrival courses, clockwise; several with commas.",
        ),
    ),
    folded=True,
)
_FINAL = Section(
    "final",
    "Final fix, missed approach, arc",
    "the rest of the plan and the profile",
    (
        Field("final_fix.ident", "Final fix, where it is another", "text", "HFL"),
        *_position("final_fix", "Final fix", ("N46 10.0", "W101 26.0")),
        Field("missed_approach.at_nm", "Missed approach point, before the threshold", "distance", "0.5", "", "NM"),
        Field("missed_approach.at_min", "Or by time from the final fix", "minutes", "2.5", "", "min"),
        Field("missed_approach.groundspeed_kt", "At a groundspeed of", "speed", "90", "", "kt"),
        Field("missed_approach.climb_to_ft", "Climb to", "altitude", "5500", "", "ft"),
        Field("arc.ident", "Arc, of the station", "text", "HRF"),
        *_position("arc", "Arc, station", ("N46 12.0", "W101 30.0")),
        Field("arc.radius_nm", "Arc, radius", "distance", "10", "", "NM"),
        Field("arc.from_deg", "Arc, from radial", "course", "230", "", "°"),
        Field("arc.to_deg", "Arc, to radial", "course", "298", "", "°"),
    ),
    folded=True,
)
_SOURCE = Section(
    "source",
    "Edition of the chart",
    "the margin; so that an old chart says so on the debrief",
    (
        Field("source.name", "Edition", "text", "2605"),
        Field("source.in_force_from", "In force from", "date", "2026-04-16"),
        Field("source.in_force_until", "No longer from", "date", "2026-05-14"),
    ),
    folded=True,
)

BEFORE_PROFILE = (_TITLE, _FIX, _COURSES, _BARB, _LIMITS)
AFTER_PROFILE = (_RUNWAY, _AREAS, _NEEDLE, _TURN_BY, _FINAL, _SOURCE)
SECTIONS = BEFORE_PROFILE + AFTER_PROFILE
FIELDS: dict[str, Field] = {field.key: field for section in SECTIONS for field in section.fields}
#: what the profile's rows are called on a chart
SEGMENT_LABELS = {
    "arrival": "Before the fix, arriving",
    "reversal": "During the reversal",
    "inbound": "Inbound, once established",
    "final": "After the fix, on final",
}
STEP_FIELDS = (
    Field("ident", "Name", "text", "HFD"),
    Field("distance_nm", "Distance", "distance", "2.5", unit="NM"),
    Field("at_or_above", "At or above", "altitude", "2900", unit="ft"),
    Field("latitude", "From, latitude", "latitude", "", "The fix where left out."),
    Field("longitude", "From, longitude", "longitude"),
)
