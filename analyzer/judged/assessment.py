"""The order of the steps from a track and a procedure to everything the report shows."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from analyzer.errors import TrackFileError
from analyzer.flown import (
    AltitudeRecord,
    Attempt,
    Flight,
    Motion,
    Others,
    altitude_record,
    read_flight,
    recorded_tas_mps,
)
from analyzer.given import (
    LONGEST_RECORD_S,
    Frame,
    JudgedPart,
    Options,
    Procedure,
    QualityNote,
    Track,
    Wind,
    cleared_procedure,
    longest_flight,
)
from analyzer.judged.briefed_wind import briefed_notes
from analyzer.judged.causes import Causes, cause_finding, explain
from analyzer.judged.cleared_parts import PartAsked, share_clearance
from analyzer.judged.file_mistakes import CODE as MISTAKEN, file_mistake
from analyzer.judged.findings import Case, Judgement, missing_reversal, rightly_straight_in
from analyzer.judged.findings.judging import judge
from analyzer.judged.flight_card import FlightCard, card_for_plan, leaving_lines
from analyzer.judged.measurements.asked_for import next_plan, planning_tas_mps
from analyzer.judged.measurements.measure import measure_attempt
from analyzer.judged.measurements.straight_in import track_over_fix_deg
from analyzer.judged.measurements.values import AttemptMeasures
from analyzer.judged.recording_doubts import met
from analyzer.judged.scoring import Scores, score
from analyzer.judged.self_assessment import ComparedItem, SelfAssessment, compare, read_self_assessment
from analyzer.judged.withheld import attempt_without, measures_without, withheld_parts
from analyzer.planned import (
    Area,
    NominalPath,
    Plan,
    RoomLeft,
    SolvedPlan,
    default_method,
    nominal_path,
    nominal_paths,
    plan_of,
    room_left,
)
from analyzer.standards import Tolerances, load_tolerances


@dataclass(frozen=True)
class AssessedAttempt:
    """One reversal: what was flown, measured, judged, weighed.

    `own` holds the pilot's self-assessment beside what the track shows; empty where none was given. `cards` say what to
    fly next time: in the wind of the flight and in the forecast wind, those that are known. `causes` says why it
    happened, None where that was not looked for. `withheld` are the parts that a doubtful record keeps from judgement.
    """

    attempt: Attempt
    measures: AttemptMeasures
    judgement: Judgement
    scores: Scores
    own: tuple[ComparedItem, ...] = ()
    cards: tuple[FlightCard, ...] = ()
    causes: Causes | None = None
    withheld: frozenset[JudgedPart] = frozenset()


@dataclass(frozen=True)
class Assessment:
    """Everything that is known after all steps; the result file and the report are made from it.

    `room` is what the flight's own speed and wind left of the primary area, None where one of the three is not known;
    `parts_told` is how many parts of a lesson are told together with it.
    """

    track: Track
    procedure: Procedure
    frame: Frame
    motion: Motion
    wind: Wind | None
    wind_reason: str
    altitude: AltitudeRecord | None
    protection: tuple[Area, ...]
    nominal: tuple[NominalPath, ...]
    attempts: tuple[AssessedAttempt, ...]
    notes: tuple[QualityNote, ...]
    options: Options = field(default_factory=Options)
    room: RoomLeft | None = None
    parts_told: int = 1

    @property
    def doubts(self) -> tuple[str, ...]:
        """The sentences that nobody should read the verdict without, each once; a mistake in the file comes first."""
        notes = sorted((*self.track.quality, *self.notes), key=lambda note: note.code != MISTAKEN)
        return tuple(dict.fromkeys(note.text for note in notes if note.on_first_screen))


def assess_track(track: Track, procedure: Procedure, options: Options | None = None) -> Assessment:
    """Return everything that a track shows about a procedure's reversal: the order of the steps and nothing else.

    Parameters
    ----------
    track : Track
        At least two points. Of several flights, with hours between them, the one with most points is assessed.
    procedure : Procedure
    options : Options, optional

    Raises
    ------
    TrackFileError
        For a track of fewer than two points, or of several days.
    ToleranceFileError
        Where the options name tolerances that can't be read.
    """
    options = Options() if options is None else options
    flight, plan = read_for(checked_track(track), procedure, options)
    return assess_flight(flight, plan, options)


def checked_track(track: Track) -> Track:
    """Return the one flight of a track that is assessed.

    Raises
    ------
    TrackFileError
        For a track of fewer than two points, or of several days.
    """
    if len(track) < 2:
        raise TrackFileError(f"{track.name}: {len(track)} points; a track needs at least two")
    track = longest_flight(track)
    if track.duration_s > LONGEST_RECORD_S:
        raise TrackFileError(
            f"{track.name}: runs for {track.duration_s / 86_400.0:,.0f} days, which is not a single flight; "
            "cut out the flight and try again"
        )
    return track


def read_for(track: Track, procedure: Procedure, options: Options, others: Others | None = None) -> tuple[Flight, Plan]:
    """Return a track as it is read about the fix of a procedure, and the plan of the procedure as it was cleared."""
    procedure = cleared_procedure(procedure, options.clearance)
    plan = plan_of(procedure)
    track = met(track, procedure, options)
    altitude = altitude_record(track, procedure, options)
    tas_mps = recorded_tas_mps(track, altitude, options)
    return read_flight(track, plan, altitude, options.wind, tas_mps, others), plan


def assess_flight(
    flight: Flight,
    plan: Plan,
    options: Options,
    *,
    alone: bool = True,
    asked: Mapping[int, PartAsked] | None = None,
) -> Assessment:
    """Return everything about the attempts of a flight that has been read.

    `alone`: by one procedure only; `asked` is what the clearance asked of each attempt, by its number.
    """
    procedure = plan.procedure
    if asked is None:
        asked = share_clearance([(procedure, attempt) for attempt in flight.attempts], options)
    tolerances = load_tolerances(options.tolerances)
    own = None if options.self_assessment is None else read_self_assessment(options.self_assessment)
    if own is not None and options.anonymous:
        own = replace(own, remarks={})  # free words may name anybody
    return Assessment(
        track=flight.track,
        procedure=procedure,
        frame=plan.frame,
        motion=flight.motion,
        wind=flight.wind,
        wind_reason=flight.wind_reason,
        altitude=flight.altitude,
        protection=plan.areas,
        nominal=_planned_paths(plan, flight),
        attempts=tuple(
            _assessed(attempt, flight, plan, tolerances, options, (own, asked[attempt.number]))
            for attempt in flight.attempts
        ),
        notes=(_mistaken(flight, procedure) if alone else ())
        + _procedure_notes(procedure)
        + flight.notes
        + briefed_notes(flight, plan, options)
        + (_notes_without_reversal(flight, procedure, options) if alone else ()),
        options=options,
        room=_room(procedure, plan.areas, flight.wind) if alone else None,  # of several each leaves its own
    )


def _assessed(
    attempt: Attempt,
    flight: Flight,
    plan: Plan,
    tolerances: Tolerances,
    options: Options,
    said: tuple[SelfAssessment | None, PartAsked],
) -> AssessedAttempt:
    """Return one attempt measured, judged, weighed and explained; `said`: by the pilot, and by the clearance."""
    own, asked = said
    withheld = withheld_parts((*flight.track.quality, *plan.procedure.doubts, *flight.notes), attempt.number)
    measures = measures_without(measure_attempt(attempt, flight, plan, options, asked), withheld)
    attempt = attempt_without(attempt, withheld)
    judgement = judge(
        Case(
            attempt,
            measures,
            plan,
            tolerances,
            flight.wind,
            "" if flight.altitude is None else flight.altitude.note,
            "" if flight.altitude is None else flight.altitude.kind,
            asked.reversal_expected,
            withheld,
            asked.clearance,
        )
    )
    told = "manoeuvre" not in withheld  # nothing is explained, and no next flight planned, from what is not known
    causes = explain(attempt, measures, flight, plan) if told else None
    main_cause = cause_finding(causes, judgement)
    if main_cause is not None:
        judgement = replace(judgement, findings=(*judgement.findings, main_cause))
    return AssessedAttempt(
        attempt,
        measures,
        judgement,
        score(judgement, attempt, measures),
        () if own is None else compare(own, judgement),
        _cards(plan, attempt, flight, options, asked.clearance.hold.leave_at_s) if told else (),
        causes,
        frozenset(withheld),
    )


def _room(procedure: Procedure, areas: tuple[Area, ...], wind: Wind | None) -> RoomLeft | None:
    if wind is None or not wind.tas_mps:
        return None
    return room_left(procedure, areas, wind.tas_mps, wind.speed_mps)


def _mistaken(flight: Flight, procedure: Procedure) -> tuple[QualityNote, ...]:
    """Return the question whether the file holds a usual mistake, where the flight fits it without."""
    question = file_mistake(flight, procedure)
    return () if question is None else (question,)


def _procedure_notes(procedure: Procedure) -> tuple[QualityNote, ...]:
    """Return what the reader of the procedure has to say: doubtful values, the variation's source, old records."""
    return procedure.doubts + tuple(QualityNote("procedure", text) for text in procedure.notes)


def _planned_paths(plan: Plan, flight: Flight) -> tuple[NominalPath, ...]:
    """Return the planned paths of what was flown first, of the procedure's usual method where nothing was.

    In a wind the second one is the plan that card, findings and causes speak of.
    """
    tas_mps = planning_tas_mps(flight)
    if tas_mps is None:
        return ()
    if not flight.attempts:
        return nominal_paths(plan.procedure, tas_mps, flight.wind, default_method(plan.procedure))
    first = flight.attempts[0]
    method = default_method(plan.procedure) if first.flown_as == "other" else first.flown_as
    still = nominal_paths(plan.procedure, tas_mps, None, method, first.entry_expected or first.entry or "direct")
    corrected = None if flight.wind is None else next_plan(first, flight, plan, flight.wind)
    if isinstance(corrected, SolvedPlan) and corrected.wind is not None:
        return (*still, nominal_path(corrected))
    return still


def _cards(
    plan: Plan, attempt: Attempt, flight: Flight, options: Options, leave_s: float | None
) -> tuple[FlightCard, ...]:
    """Return the cards for the next flight as this one was flown; `leave_s`: when its hold was to be left."""
    winds = [(flight.wind, "Next time, in the same wind"), (options.forecast_wind, "Next time, in the forecast wind")]
    cards = []
    for wind, title in winds:
        solved = None if wind is None else next_plan(attempt, flight, plan, wind)
        if solved is not None:
            air = (solved.tas_mps, wind)
            leaving = leaving_lines(attempt, plan, air, leave_s, flight.track.start) if wind is flight.wind else ()
            cards.append(card_for_plan(plan.procedure, solved, title, leaving))
    return tuple(cards)


def _notes_without_reversal(flight: Flight, procedure: Procedure, options: Options) -> tuple[QualityNote, ...]:
    """Return the note that a reversal which was required is missing, or that none was allowed and none was flown."""
    if flight.attempts:
        return ()
    finding = missing_reversal(procedure, options.reversal_expected, None)
    if finding is not None:
        return (QualityNote(finding.code, finding.text),)
    if not any(note.code == "no-reversal-straight-in" for note in flight.notes):
        return ()
    arrival_deg = track_over_fix_deg(flight.motion, procedure.inbound_true_deg)
    right = rightly_straight_in(procedure, options.reversal_expected, arrival_deg)
    return () if right is None else (QualityNote("no-reversal-right", right),)
