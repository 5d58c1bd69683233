"""A whole lesson: one recording judged by several procedures, each reversal by the one that it fits."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from analyzer.errors import OptionError
from analyzer.flown import Flight, best_fit, share_out
from analyzer.given import Options, Procedure, QualityNote, Track, Wind
from analyzer.judged.assessment import AssessedAttempt, Assessment, assess_flight, checked_track, read_for

MOST_PROCEDURES = 40  # a folder of more is a whole collection: each costs as much time as a flight of its own


@dataclass(frozen=True)
class Lesson:
    """One recording with an assessment for each procedure, in the order given.

    Each assessment holds the attempts that went to its procedure, numbered over all of them in the order of time.
    `notes` belong to none of them alone.
    """

    parts: tuple[Assessment, ...]
    notes: tuple[QualityNote, ...] = ()

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
    pairs = [read_for(track, procedure, options) for procedure in procedures]
    best = _best_wind([flight for flight, _ in pairs])
    if best is not None:  # a part without turns of its own was flown in the wind of the others
        told = replace(options, wind=best)
        pairs = [
            read_for(track, plan.procedure, told) if flight.wind is None else (flight, plan) for flight, plan in pairs
        ]
    shared, notes = share_out(pairs)
    alone = len(pairs) == 1
    parts = tuple(
        assess_flight(
            replace(flight, attempts=attempts, notes=flight.notes if alone else _kept(flight)),
            plan,
            options,
            alone=alone,
        )
        for (flight, plan), attempts in zip(pairs, shared, strict=True)
    )
    return Lesson(parts, notes + tuple(_nothing_flown(parts)))


def fit_of(track: Track, procedure: Procedure) -> float | None:
    """Return how well a recording fits a procedure: the points of its best reversal; None without a reversal.

    The points are those by which several procedures share a recording: a reversal that was established inbound, passed
    the fix near, along the course and in the shape asked for, has about four; one that only looks like it, less.
    """
    flight, plan = read_for(checked_track(track), procedure, Options())
    return best_fit(flight, plan)


def _best_wind(flights: Sequence[Flight]) -> Wind | None:
    """Return the wind that is known best, None where none is."""
    known = [flight.wind for flight in flights if flight.wind is not None]
    if not known:
        return None
    return min(
        known, key=lambda wind: float("inf") if wind.covariance is None else wind.covariance[0] + wind.covariance[3]
    )


def _kept(flight: Flight) -> tuple[QualityNote, ...]:
    """Leave out why one procedure found no reversal: another may have."""
    return tuple(note for note in flight.notes if not note.code.startswith("no-reversal"))


def _nothing_flown(parts: Sequence[Assessment]) -> Iterator[QualityNote]:
    for part in parts:
        if not part.attempts and len(parts) > 1:
            yield QualityNote("not-flown", f"{part.procedure.title}: no reversal of this recording fits it.")
