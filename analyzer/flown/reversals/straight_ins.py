"""Finals that no reversal led to: straight in over the fix, by an arc, or vectored to an intercept inside the fix."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analyzer.flown.attempt import Attempt
from analyzer.flown.flight import Flight
from analyzer.planned import Plan, full_scale_m, off_course_m
from analyzer.units import METRES_PER_NM, circular_mean_deg, runs, wrap_360


@dataclass(frozen=True)
class StraightInSettings:
    """When a stretch of flight is a final that was joined without a reversal. All of them are own choices.

    Parameters
    ----------
    track_deg, needle, near_m : float
        On the course the ground track is within this of it, and the aircraft within this share of full scale, or
        within this distance where the scale is narrower.
    bridged_s : float
        Off it for less than this is a wobble.
    lasting_s, past_m : float
        So long it is followed, and so far past the fix, or half of the way from there to the runway.
    before_runway_m : float
        An intercept inside the fix lies at least so far before the runway.
    reach_m : float
        Farther off the fix nothing is looked for.
    same_s : float
        Passages of the fix nearer in time than this are one.
    went_away_deg : float
        Who turned off the course by more than this after a reversal did something else before coming back to it.
    """

    track_deg: float = 15.0
    needle: float = 0.5
    near_m: float = 0.15 * METRES_PER_NM
    bridged_s: float = 15.0
    lasting_s: float = 20.0
    past_m: float = 1.0 * METRES_PER_NM
    before_runway_m: float = 1.0 * METRES_PER_NM
    reach_m: float = 15.0 * METRES_PER_NM
    same_s: float = 60.0
    went_away_deg: float = 100.0
    arrival_s: float = 30.0


SETTINGS = StraightInSettings()


@dataclass(frozen=True)
class StraightIn:
    """One final without a reversal.

    Parameters
    ----------
    joined_s : float
        From when on it was established on the course.
    passed_s : float
        When it passed the fix, or joined the course inside it.
    end_s : float
        Where it left the course.
    inside_fix : bool
        Whether it joined the course past the fix: vectors.
    arrival_track_true_deg : float or None
        Mean ground track of the last half minute before the fix was passed, or before the course was joined inside it.
    """

    joined_s: float
    passed_s: float
    end_s: float
    inside_fix: bool
    arrival_track_true_deg: float | None


def find_straight_ins(
    flight: Flight,
    plan: Plan,
    own: Sequence[Attempt],
    others: Sequence[Attempt],
    settings: StraightInSettings = SETTINGS,
) -> tuple[StraightIn, ...]:
    """Return the finals of a procedure that no reversal led to, in the order of time.

    Parameters
    ----------
    flight : Flight
    plan : Plan
        Only an approach with a runway, step-down fixes or a missed approach point has a final.
    own : sequence of Attempt
        Reversals by this procedure: the finals that follow them are theirs.
    others : sequence of Attempt
        Reversals by other procedures: what was flown during one is part of it.
    """
    procedure = plan.procedure
    if procedure.reversal == "holding" or not (procedure.runway or procedure.steps or procedure.missed_approach):
        return ()
    motion = flight.motion
    found = []
    for first, stop in _on_course(flight, plan, settings):
        one = _straight_in(flight, plan, first, stop, settings)
        if one is None or any(_is_part_of(one, attempt, settings) for attempt in (*own, *others)):
            continue
        if any(_is_final_of(one, attempt, motion.time_s, motion.track_relative_deg, settings) for attempt in own):
            continue
        found.append(one)
    return tuple(found)


def _on_course(flight: Flight, plan: Plan, settings: StraightInSettings) -> list[tuple[int, int]]:
    motion = flight.motion
    off_m = np.abs(off_course_m(plan.procedure, plan.frame, motion.along_m, motion.cross_m))
    scale_m = full_scale_m(plan.procedure, plan.frame, motion.along_m)
    on = off_m <= np.maximum(settings.needle * scale_m, settings.near_m)
    on &= np.abs(motion.track_relative_deg) <= settings.track_deg
    on &= motion.distance_m <= settings.reach_m
    joined: list[tuple[int, int]] = []
    for first, stop in runs(on):
        if joined and (first - joined[-1][1]) * motion.step_s <= settings.bridged_s:
            joined[-1] = joined[-1][0], stop
        else:
            joined.append((first, stop))
    return [(first, stop) for first, stop in joined if (stop - first) * motion.step_s >= settings.lasting_s]


def _straight_in(flight: Flight, plan: Plan, first: int, stop: int, settings: StraightInSettings) -> StraightIn | None:
    motion, runway = flight.motion, plan.procedure.runway
    runway_m = -np.inf
    if runway is not None:
        runway_m = float(plan.frame.along_cross_m(runway.latitude_deg, runway.longitude_deg)[0])
        if runway_m >= 0.0:
            return None
    past_m = min(settings.past_m, -0.5 * runway_m)
    along = motion.along_m[first:stop]
    if along[-1] > -past_m or not np.any((along <= 0.0) & (along >= runway_m)):
        return None
    inside = bool(along[0] < 0.0)
    if inside and along[0] < runway_m + settings.before_runway_m:
        return None
    at = first if inside else first + int(np.flatnonzero(along <= 0.0)[0])
    passed_s = float(motion.time_s[at])
    before = (motion.time_s >= passed_s - settings.arrival_s) & (motion.time_s < passed_s)
    relative_deg = circular_mean_deg(motion.track_relative_deg[before]) if np.any(before) else float("nan")
    arrival = float(wrap_360(relative_deg + plan.procedure.inbound_true_deg)) if np.isfinite(relative_deg) else None
    return StraightIn(float(motion.time_s[first]), passed_s, float(motion.time_s[stop - 1]), inside, arrival)


def _is_part_of(one: StraightIn, attempt: Attempt, settings: StraightInSettings) -> bool:
    """Whether the fix was passed during a reversal, from its first passage on; after the last one it is a way on."""
    last_s = attempt.last_inbound_passage_s
    to_s = attempt.end_s if last_s is None else last_s - settings.same_s
    return attempt.first_passage_s - settings.same_s <= one.passed_s <= to_s


def _is_final_of(
    one: StraightIn, attempt: Attempt, time_s: np.ndarray, track_deg: np.ndarray, settings: StraightInSettings
) -> bool:
    """Whether it is what follows a reversal by the same procedure, without having gone away in between."""
    last_s = attempt.last_inbound_passage_s
    if last_s is None or one.passed_s < last_s - settings.same_s or one.passed_s > attempt.end_s + settings.same_s:
        return False
    between = (time_s >= last_s) & (time_s <= one.passed_s)
    return not np.any(np.abs(track_deg[between]) > settings.went_away_deg)
