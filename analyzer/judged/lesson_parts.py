"""The parts of a lesson that are no reversals: finals without one, and what no procedure fits."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from analyzer.flown import (
    Attempt,
    Flight,
    StraightIn,
    Unclaimed,
    find_straight_ins,
    sets_course_s,
    unclaimed_turns,
    within,
)
from analyzer.planned import Plan
from analyzer.units import METRES_PER_NM

#: passages of the fix nearer in time than this are one (own choice)
SAME_S = 60.0
#: a reversal before a final begins over the fix; who passes it farther abeam is on vectors (own choice)
OVER_FIX_M = 0.75 * METRES_PER_NM
#: what is flown so shortly before and after a part belongs to it (own choice)
ABOUT_S = 60.0


@dataclass(frozen=True)
class FlownPart:
    """One straight-in of a lesson: the index of its procedure, and when it was flown with the way to it and from it."""

    index: int
    straight: StraightIn
    start_s: float
    end_s: float


def parts_of(
    pairs: Sequence[tuple[Flight, Plan]], shared: Sequence[Sequence[Attempt]]
) -> tuple[tuple[tuple[Attempt, ...], ...], tuple[FlownPart, ...]]:
    """Return the attempts of each procedure, numbered anew, and the finals that no reversal led to.

    Parameters
    ----------
    pairs : sequence of (Flight, Plan)
    shared : sequence of sequence of Attempt
        Those of each procedure, as they were shared out.

    Notes
    -----
    A straight-in goes before what only looks like a reversal begun at the same passage: never established, never back,
    or of no known shape. Of several procedures that one final fits, it goes to the one whose chart sends arrivals on
    that track straight in, else to the one on whose course it was established first.
    """
    several = len(pairs) > 1
    sure = [[one for one in attempts if not several or _is_sure(one)] for attempts in shared]
    found: list[tuple[int, StraightIn]] = []
    for index, (flight, plan) in enumerate(pairs):
        others = [one for place, attempts in enumerate(sure) if place != index for one in attempts]
        found += [(index, one) for one in find_straight_ins(flight, plan, sure[index], others)]
    approaches = [
        one
        for attempts, (_, plan) in zip(shared, pairs, strict=True)
        if plan.procedure.reversal != "holding"
        for one in attempts
        if _came_back(one)
    ]
    found = [each for each in found if not _ends_approach(each[1], approaches)]
    kept: list[tuple[int, StraightIn]] = []
    for index, one in sorted(found, key=lambda each: _preference(each[1], pairs[each[0]][1])):
        if not any(abs(one.passed_s - other.passed_s) < SAME_S or _overlap(one, other) for _, other in kept):
            kept.append((index, one))
    kept.sort(key=lambda each: each[1].passed_s)
    left = [
        [one for one in attempts if not any(_is_its_beginning(one, straight) for _, straight in kept)]
        for attempts in shared
    ]
    return _in_time(pairs, left, kept)


def unclaimed(flight: Flight, attempts: Sequence[Attempt], parts: Sequence[FlownPart]) -> tuple[Unclaimed, ...]:
    """Return what looks like a reversal between the parts of a lesson."""
    spans = [(one.first_passage_s - ABOUT_S, (one.last_inbound_passage_s or one.end_s) + ABOUT_S) for one in attempts]
    spans += [(part.straight.joined_s - ABOUT_S, part.straight.end_s + ABOUT_S) for part in parts]
    return unclaimed_turns(flight.motion, spans)


def _is_sure(attempt: Attempt) -> bool:
    """Whether it came back, established on the way."""
    return _came_back(attempt) and any(moment is not None for moment in attempt.established_s)


def _came_back(attempt: Attempt) -> bool:
    """Whether it was begun over the fix, flown in a known shape, and came back to the fix."""
    over = attempt.passages[0].distance_m <= OVER_FIX_M
    return over and attempt.complete and attempt.flown_as != "other"


def _ends_approach(one: StraightIn, approaches: Sequence[Attempt]) -> bool:
    """Whether the final follows a reversal of an approach: then it is its final."""
    ends = (attempt.last_inbound_passage_s for attempt in approaches)
    return any(end is not None and abs(end - one.passed_s) < SAME_S for end in ends)


def _preference(one: StraightIn, plan: Plan) -> tuple[bool, bool, float]:
    arrival = one.arrival_track_true_deg
    charted = arrival is not None and plan.procedure.is_no_reversal_course(arrival)
    return (one.inside_fix, not charted, one.joined_s)


def _overlap(one: StraightIn, other: StraightIn) -> bool:
    return min(one.end_s, other.end_s) - max(one.joined_s, other.joined_s) > SAME_S


def _is_its_beginning(attempt: Attempt, straight: StraightIn) -> bool:
    """Whether a doubtful attempt begins or ends with the straight-in: it is the way from it, or to it."""
    begins = abs(attempt.first_passage_s - straight.passed_s) < SAME_S
    ends = abs(attempt.passages[-1].at_s - straight.passed_s) < SAME_S
    return (begins and not _is_sure(attempt)) or (ends and not _came_back(attempt))


def _in_time(
    pairs: Sequence[tuple[Flight, Plan]], left: Sequence[Sequence[Attempt]], kept: Sequence[tuple[int, StraightIn]]
) -> tuple[tuple[tuple[Attempt, ...], ...], tuple[FlownPart, ...]]:
    """Return the attempts numbered anew, with the time between them and the straight-ins parted."""
    flown = sorted(
        ((index, one) for index, attempts in enumerate(left) for one in attempts),
        key=lambda each: each[1].first_passage_s,
    )
    moments = sorted(
        [(one.first_passage_s, one.last_inbound_passage_s or one.end_s, index) for index, one in flown]
        + [(one.passed_s, one.passed_s, index) for index, one in kept]
    )
    last_s = float(pairs[0][0].motion.time_s[-1])
    parts = []
    for index, one in kept:
        before = [each for each in moments if each[0] < one.passed_s - 1e-6]
        after = [each for each in moments if each[0] > one.passed_s + 1e-6]
        start_s, end_s = 0.0, last_s
        if before:
            flight = pairs[index][0]
            start_s = sets_course_s(min(before[-1][1], one.passed_s), one.passed_s, flight.motion, flight.turns)
        if after:
            flight = pairs[after[0][2]][0]
            end_s = sets_course_s(one.passed_s, after[0][0], flight.motion, flight.turns)
        parts.append(FlownPart(index, one, min(start_s, one.joined_s), max(end_s, one.passed_s)))
    shared: list[list[Attempt]] = [[] for _ in pairs]
    for number, (index, attempt) in enumerate(flown, 1):
        start_s, end_s = attempt.start_s, attempt.end_s
        for part in parts:
            if attempt.first_passage_s > part.straight.passed_s:
                start_s = max(start_s, min(part.end_s, attempt.first_passage_s))
            elif (attempt.last_inbound_passage_s or attempt.first_passage_s) <= part.straight.passed_s + SAME_S:
                end_s = min(end_s, max(part.start_s, attempt.last_inbound_passage_s or attempt.first_passage_s))
        shared[index].append(replace(within(attempt, start_s, end_s), number=number))
    return tuple(tuple(attempts) for attempts in shared), tuple(parts)
