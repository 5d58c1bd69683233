"""Several procedures for one recording: which of them each reversal goes to."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from analyzer.flown.attempt import Attempt, Phase
from analyzer.flown.flight import Flight
from analyzer.flown.reversals.attempts import sets_course_s
from analyzer.given import QualityNote
from analyzer.planned import Plan
from analyzer.units import METRES_PER_NM, clock


@dataclass(frozen=True)
class ShareOutSettings:
    """What decides between procedures that one passage of work would fit. All of them are own choices.

    Parameters
    ----------
    overlap_s : float
        Passages from fix to fix that share more time than this are one piece of work and go to one procedure: the
        turn from one part into the next may be seen by both.
    fix_m : float
        Passing a fix twice as far off as this speaks against its procedure as much as half of being established on
        its course speaks for it.
    course_deg : float
        So does a track over the fix that is off the inbound course by this much.
    way_on_s : float
        A last lap that lasts so long and never came back to the fix is the way on to something else.
    apart_m : float
        Fixes farther from each other than this are passed by different parts of a lesson.
    """

    overlap_s: float = 40.0
    fix_m: float = 0.5 * METRES_PER_NM
    course_deg: float = 20.0
    way_on_s: float = 450.0
    apart_m: float = 5.0 * METRES_PER_NM
    established: float = 3.0
    side: float = 2.0
    shape: float = 1.0


SETTINGS = ShareOutSettings()


@dataclass(frozen=True)
class _Candidate:
    """One attempt as one procedure sees it, and how well it fits."""

    number: int
    attempt: Attempt
    fit: float

    @property
    def from_s(self) -> float:
        return self.attempt.first_passage_s

    @property
    def to_s(self) -> float:
        last = self.attempt.last_inbound_passage_s
        return self.attempt.end_s if last is None else last

    @property
    def came_round(self) -> bool:
        """Whether it came round to the fix again and again, on its side: no way on does, established or not."""
        return self.attempt.complete and self.attempt.laps > 1 and not self.attempt.wrong_side

    @property
    def is_whole(self) -> bool:
        """Whether it came back to the fix, established on the way."""
        return self.attempt.complete and _established(self.attempt)


def share_out(
    pairs: Sequence[tuple[Flight, Plan]], settings: ShareOutSettings = SETTINGS
) -> tuple[tuple[tuple[Attempt, ...], ...], tuple[QualityNote, ...]]:
    """Give each reversal to the procedure that it fits best.

    Parameters
    ----------
    pairs : sequence of (Flight, Plan)
        The same recording as each procedure sees it, about its own fix.
    settings : ShareOutSettings

    Returns
    -------
    attempts : tuple of tuple of Attempt
        Those of each procedure, in the order of `pairs`; numbered in the order of time over all of them.
    notes : tuple of QualityNote
        What was left out because it is the way on from a reversal by another procedure.

    Notes
    -----
    Fit is a sum of points: established inbound, the fix passed near, the track over it along the inbound course, on the
    side that is protected, in a shape that the procedure asks for. Of two that overlap the better one stays. One that
    never comes back to its fix stays only outside the span of a whole one by another procedure: over one fix every
    way on from a reversal looks like the beginning of another.
    """
    several = len(pairs) > 1
    candidates = [
        _Candidate(number, attempt, _fit(attempt, flight, plan, settings))
        for number, (flight, plan) in enumerate(pairs)
        for attempt in (
            _flown_for_themselves(flight.attempts, plan.procedure.side, settings) if several else flight.attempts
        )
    ]
    kept: list[_Candidate] = []
    notes: list[QualityNote] = []
    for one in sorted(candidates, key=lambda each: (not each.is_whole, -each.fit, each.from_s)):
        rivals = [each for each in kept if each.number != one.number]
        if any(_overlap_s(one, each) > settings.overlap_s for each in rivals):
            continue
        way_on = not one.is_whole and not one.came_round
        if way_on and any(each.is_whole and _way_on(one, each, pairs, settings) for each in rivals):
            notes.append(_left_out(one, pairs[one.number][1]))
            continue
        kept.append(one)
    kept.sort(key=lambda each: each.from_s)
    shared: list[list[Attempt]] = [[] for _ in pairs]
    for number, (one, attempt) in enumerate(zip(kept, _parted(kept, pairs), strict=True), 1):
        shared[one.number].append(replace(attempt, number=number))
    return tuple(tuple(attempts) for attempts in shared), tuple(notes)


def best_fit(flight: Flight, plan: Plan, settings: ShareOutSettings = SETTINGS) -> float | None:
    """Return the points of the reversal that fits best, as `share_out` counts them; None where there is none."""
    return max((_fit(attempt, flight, plan, settings) for attempt in flight.attempts), default=None)


def _flown_for_themselves(attempts: Sequence[Attempt], side: int, settings: ShareOutSettings) -> list[Attempt]:
    """Leave out ways on: an open last lap without an end, and a way from one attempt to the next, never on course.

    In a lesson the flight goes on to its next part over the fix, which looks like the beginning of another circuit.
    """
    kept = [_without_way_on(attempt, side, settings) for attempt in attempts]
    between = set()
    for before, one in pairwise(kept):
        last_s = before.last_inbound_passage_s
        if last_s is not None and abs(one.first_passage_s - last_s) < 1.0 and not _established(one):
            between.add(one.first_passage_s)
    return [one for one in kept if one.first_passage_s not in between]


def _without_way_on(attempt: Attempt, side: int, settings: ShareOutSettings) -> Attempt:
    """Return an attempt without a last lap that never came back: so long none lasts, and its turns say nothing."""
    last_s = attempt.last_inbound_passage_s
    if attempt.complete or attempt.laps < 2 or last_s is None or attempt.end_s - last_s < settings.way_on_s:
        return attempt
    laps = attempt.laps - 1
    phases = tuple(phase for phase in attempt.phases if phase.lap <= laps)
    turns = tuple(turn for turn in attempt.turns if turn[1] <= laps)
    back = [flown for name, _, flown in turns if name == "reversal turn"]
    return replace(
        attempt,
        laps=laps,
        phases=(*phases, Phase("final", laps, last_s, attempt.end_s)),
        turns=turns,
        wrong_side=attempt.wrong_side and any(flown.direction != side for flown in back),
        established_s=attempt.established_s[:laps],
        complete=True,
    )


def _parted(kept: Sequence[_Candidate], pairs: Sequence[tuple[Flight, Plan]]) -> list[Attempt]:
    """Return the attempts with their ends where the flight sets course for the fix of the next one's procedure."""
    parted = [one.attempt for one in kept]
    for place, (one, following) in enumerate(pairwise(kept)):
        if one.number == following.number:
            continue
        flight = pairs[following.number][0]
        cut_s = max(sets_course_s(one.to_s, following.from_s, flight.motion, flight.turns), one.to_s)
        parted[place] = within(parted[place], parted[place].start_s, cut_s)
        parted[place + 1] = within(parted[place + 1], min(cut_s, following.from_s), parted[place + 1].end_s)
    return parted


def within(attempt: Attempt, start_s: float, end_s: float) -> Attempt:
    """Return an attempt with the way to it and on from it cut to a span."""
    start_s, end_s = max(start_s, attempt.start_s), min(end_s, attempt.end_s)
    cut = (replace(one, start_s=max(one.start_s, start_s), end_s=min(one.end_s, end_s)) for one in attempt.phases)
    phases = tuple(phase for phase in cut if phase.end_s > phase.start_s)
    return replace(attempt, start_s=start_s, end_s=end_s, phases=phases)


def _fit(attempt: Attempt, flight: Flight, plan: Plan, settings: ShareOutSettings) -> float:
    points = settings.established * sum(moment is not None for moment in attempt.established_s) / attempt.laps
    farthest_m = max((passage.distance_m for passage in attempt.passages), default=0.0)
    points -= 0.5 * settings.established * (farthest_m / (2.0 * settings.fix_m)) ** 2
    last_s = attempt.last_inbound_passage_s
    if last_s is not None:
        motion = flight.motion
        before = (motion.time_s >= last_s - 30.0) & (motion.time_s <= last_s - 2.0)
        if np.any(before):
            off_deg = float(np.mean(np.abs(motion.track_relative_deg[before])))
            points -= 0.5 * settings.established * (off_deg / settings.course_deg) ** 2
    points -= settings.side * attempt.wrong_side
    return points + settings.shape * _shape(attempt, plan)


def _shape(attempt: Attempt, plan: Plan) -> float:
    """Return 1 for a shape that the procedure asks for, 0 for one that it allows, -1 for none of them."""
    if attempt.flown_as == "other":
        return -1.0
    if plan.procedure.is_hold:
        # an offset turn is no part of a hold: it is a procedure turn, seen by a hold at the same fix
        return -1.0 if any(name == "offset turn" for name, _, _ in attempt.turns) else min(1.0, 0.5 * attempt.laps)
    if plan.procedure.reversal == "teardrop":
        return 1.0 if attempt.flown_as == "teardrop" else 0.0
    return 1.0 if attempt.flown_as in ("45/180", "80/260") else 0.0


def _established(attempt: Attempt) -> bool:
    return any(moment is not None for moment in attempt.established_s)


def _overlap_s(one: _Candidate, other: _Candidate) -> float:
    return min(one.to_s, other.to_s) - max(one.from_s, other.from_s)


def _way_on(
    one: _Candidate, whole: _Candidate, pairs: Sequence[tuple[Flight, Plan]], settings: ShareOutSettings
) -> bool:
    """Whether an attempt begins in the span of a whole one, from its arrival to the end of its final.

    One that came back to a fix far from the other's is no way on from it, badly flown or not.
    """
    fix = pairs[whole.number][1].procedure.fix
    away_m = float(np.hypot(*pairs[one.number][1].frame.along_cross_m(fix.latitude_deg, fix.longitude_deg)))
    if one.attempt.complete and away_m > settings.apart_m:
        return False
    return whole.attempt.start_s <= one.from_s <= whole.attempt.end_s


def _left_out(one: _Candidate, plan: Plan) -> QualityNote:
    return QualityNote(
        "other-work",
        f"From {clock(one.from_s)} on the flight left the fix of {plan.procedure.title} and did not come back to it "
        "established: taken for the way on from the part before it and not judged. If it was meant to be a reversal, "
        "cut it out and hand it in by itself.",
    )
