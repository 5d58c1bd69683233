"""A whole lesson: one recording judged by several procedures, each reversal by the one that it fits."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from analyzer.errors import OptionError
from analyzer.flown import Attempt, Flight, Others, Unclaimed, best_fit, share_out
from analyzer.given import HoldClearance, Options, Procedure, QualityNote, Track
from analyzer.judged.assessment import AssessedAttempt, Assessment, assess_flight, checked_track, read_for
from analyzer.judged.cleared_parts import PartAsked, share_clearance
from analyzer.judged.lesson_parts import FlownPart, parts_of, unclaimed
from analyzer.judged.straight_in import AssessedStraightIn, asked_of_straight_in, assess_straight_in
from analyzer.planned import Plan, plan_of
from analyzer.standards import load_tolerances
from analyzer.units import clock

MOST_PROCEDURES = 40  # a folder of more is a whole collection: each costs as much time as a flight of its own


@dataclass(frozen=True)
class Lesson:
    """One recording with an assessment for each procedure, in the order given.

    Each assessment holds the attempts that went to its procedure, numbered over all of them in the order of time.
    `notes` belong to none of them alone. `straight_ins` are the finals that no reversal led to, with the index of their
    procedure, in the order of time; `unclaimed` is what looks like a reversal and fits none.
    """

    parts: tuple[Assessment, ...]
    notes: tuple[QualityNote, ...] = ()
    straight_ins: tuple[tuple[int, AssessedStraightIn], ...] = ()
    unclaimed: tuple[Unclaimed, ...] = ()

    @property
    def in_order(self) -> tuple[tuple[int, Assessment, AssessedAttempt], ...]:
        """Every attempt in the order of time: index of its procedure, that procedure's assessment, the attempt."""
        found = ((index, part, one) for index, part in enumerate(self.parts) for one in part.attempts)
        return tuple(sorted(found, key=lambda each: each[2].attempt.number))


def assess_lesson(track: Track, procedures: Sequence[Procedure], options: Options | None = None) -> Lesson:
    """Return what a recording shows about several procedures.

    Parameters
    ----------
    track : Track
        As for `assess_track`.
    procedures : sequence of Procedure
        At least one, at most 40.
    options : Options, optional
        For all of them.

    Raises
    ------
    OptionError
        For no procedure or too many.
    TrackFileError, ToleranceFileError
        As `assess_track` does.
    """
    if not 0 < len(procedures) <= MOST_PROCEDURES:
        raise OptionError(f"{len(procedures)} procedures. Expected 1 to {MOST_PROCEDURES}")
    options = Options() if options is None else options
    track = checked_track(track)
    pairs: list[tuple[Flight, Plan]] = []
    fixes = tuple(procedure.fix for procedure in procedures[1:])
    for procedure in procedures:
        others = Others(fixes, pairs[0][0] if pairs else None) if fixes else None
        pairs.append(read_for(track, procedure, options, others))
    shared, notes = share_out(pairs)
    shared, finals = parts_of(pairs, shared)
    straight_s = [one.straight.passed_s for one in finals]
    asked = share_clearance(_in_time(pairs, shared), options, straight_s, alone=len(pairs) == 1)
    pairs = [
        (flight, _plan_as_cleared(plan, procedures[n], shared[n], asked)) for n, (flight, plan) in enumerate(pairs)
    ]
    parts = _assessments(pairs, shared, options, asked)
    tolerances = load_tolerances(options.tolerances)
    straight_ins = tuple(
        (
            one.index,
            assess_straight_in(
                one.straight,
                (one.start_s, one.end_s),
                *pairs[one.index],
                tolerances,
                (asked_of_straight_in(one, shared, finals, options), options),
            ),
        )
        for one in finals
    )
    flown = [attempt for attempts in shared for attempt in attempts]
    left = unclaimed(pairs[0][0], flown, finals) if len(pairs) > 1 else ()
    return Lesson(parts, notes + tuple(_nothing_flown(parts, finals)) + _named(left), straight_ins, left)


def _assessments(
    pairs: Sequence[tuple[Flight, Plan]],
    shared: Sequence[tuple[Attempt, ...]],
    options: Options,
    asked: Mapping[int, PartAsked],
) -> tuple[Assessment, ...]:
    alone = len(pairs) == 1
    return tuple(
        assess_flight(
            flight.with_attempts(attempts, flight.notes if alone else _kept(flight)),
            plan,
            options,
            alone=alone,
            asked=asked,
        )
        for (flight, plan), attempts in zip(pairs, shared, strict=True)
    )


def fit_of(track: Track, procedure: Procedure) -> float | None:
    """Return how well a recording fits a procedure: the points of its best reversal; None without a reversal.

    The points are those by which several procedures share a recording: a reversal that was established inbound, passed
    the fix near, along the course and in the shape asked for, has about four; one that only looks like it, less.
    """
    flight, plan = read_for(checked_track(track), procedure, Options())
    return best_fit(flight, plan)


def _in_time(
    pairs: Sequence[tuple[Flight, Plan]], shared: Sequence[Sequence[Attempt]]
) -> list[tuple[Procedure, Attempt]]:
    flown = [
        (plan.procedure, attempt) for (_, plan), attempts in zip(pairs, shared, strict=True) for attempt in attempts
    ]
    return sorted(flown, key=lambda each: each[1].number)


def _plan_as_cleared(
    plan: Plan, charted: Procedure, attempts: Sequence[Attempt], asked: Mapping[int, PartAsked]
) -> Plan:
    """Return the plan of a hold as charted where the clearance to hold was for another one."""
    if not plan.procedure.is_hold or not attempts or plan.procedure == charted:
        return plan
    mine = any(asked[one.number].clearance.hold != HoldClearance() for one in attempts)
    return plan if mine else plan_of(charted)


def _named(left: Sequence[Unclaimed]) -> tuple[QualityNote, ...]:
    what = {"turn back": "A turn back", "circuit": "A circuit"}
    return tuple(
        QualityNote(
            "no-procedure-given",
            f"{what[one.kind]} at {clock(one.start_s)} (to {clock(one.end_s)}): no procedure given, not judged.",
        )
        for one in left
    )


def _kept(flight: Flight) -> tuple[QualityNote, ...]:
    """Leave out why one procedure found no reversal: another may have."""
    return tuple(note for note in flight.notes if not note.code.startswith("no-reversal"))


def _nothing_flown(parts: Sequence[Assessment], finals: Sequence[FlownPart]) -> Iterator[QualityNote]:
    for index, part in enumerate(parts):
        straight = any(one.index == index for one in finals)
        if not part.attempts and not straight and len(parts) > 1:
            yield QualityNote("not-flown", f"{part.procedure.title}: no reversal of this recording fits it.")
