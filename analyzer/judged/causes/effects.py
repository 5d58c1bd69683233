"""What went wrong, as numbers of a re-flight: overshoot, short, beyond a limit, roll-out in the wrong place."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from analyzer.flown import Attempt, Motion
from analyzer.judged.causes.correction import LEAST_OVERSHOOT_M
from analyzer.judged.causes.reflight import Reflight, Turn, corners, fly, parallel_point, reversal_number, rolled_out
from analyzer.judged.causes.turns import onto_course_number
from analyzer.judged.causes.values import EffectName
from analyzer.judged.measurements.values import AttemptMeasures
from analyzer.planned import Plan, point_margins_m
from analyzer.units import METRES_PER_NM

LEAST_SHORT_M = 0.3 * METRES_PER_NM
LATE_ESTABLISHED_M = 1.0 * METRES_PER_NM
LEAST_DISPLACED_M = 0.15 * METRES_PER_NM
NEARLY_PARALLEL_DEG = 30.0
ENDS_ON_COURSE = ("hold", "racetrack", "teardrop", "80/260")


@dataclass(frozen=True)
class Yardstick:
    """One effect: `size_m` gives how bad it is on a circuit, metres, zero or more.

    `measured_m` is how bad it was as flown, None where only the re-flight says so.
    """

    name: EffectName
    size_m: Callable[[Reflight], float]
    measured_m: float | None = None


@dataclass(frozen=True)
class RollOut:
    """Where the reversal turn ended as measured, along and cross, metres.

    `level_m` with wings level, `parallel_m` where the ground track was parallel to the course, None where it never was.
    """

    level_m: tuple[float, float] | None
    parallel_m: tuple[float, float] | None


def yardsticks(
    circuit: Reflight,
    attempt: Attempt,
    measures: AttemptMeasures,
    plan: Plan,
    corrected: Reflight,
    ended: RollOut,
) -> tuple[Yardstick, ...]:
    """Return the effects that this circuit shows, the worst kind first.

    `corrected` is the circuit with everything put right: the roll-out point is measured from where it then is; `ended`
    is where the reversal turn ended on the track.
    """
    procedure, protection = plan.procedure, plan.areas
    found = []
    limit_m = procedure.remain_within_m
    outside = {excursion.area for excursion in measures.containment.excursions}
    primary = next((area.shape for area in protection if area.name == "primary"), None)
    if primary is not None and outside & {"primary", "secondary"}:
        deepest = max(e.max_m for e in measures.containment.excursions if e.area in ("primary", "secondary"))
        found.append(Yardstick("primary area", lambda c: _depth_m(c, primary), deepest))
    if limit_m is not None and "distance limit" in outside:
        beyond_limit = measures.containment.max_distance_m - limit_m
        found.append(Yardstick("distance limit", lambda c: max(_farthest_m(c) - limit_m, 0.0), beyond_limit))
    side = procedure.side * (-1 if attempt.wrong_side else 1)
    direct = attempt.flown_as in ENDS_ON_COURSE
    onto = onto_course_number(circuit)
    beyond = -side * rolled_out(circuit)[1] if direct else 0.0
    if not _overshot(measures):
        pass  # whatever the re-flight does, the flight stayed on its side of the course
    elif direct and beyond > LEAST_OVERSHOOT_M:
        found.append(Yardstick("overshoot", lambda c: abs(rolled_out(c)[1]), _overshoot_m(measures)))
    elif onto is not None and _past_course_m(circuit) > LEAST_OVERSHOOT_M:
        found.append(Yardstick("overshoot", lambda c: abs(_past_course_m(c)), _overshoot_m(measures)))
    if direct and -beyond > LEAST_SHORT_M and _late_to_establish(measures):
        short_m = None if ended.parallel_m is None else abs(ended.parallel_m[1])
        found.append(Yardstick("rolled out short", lambda c: abs(rolled_out(c)[1]), short_m))
    place = rolled_out if direct else turned_back
    right = place(corrected)

    def displaced(changed: Reflight) -> float:
        here = place(changed)
        return float(np.hypot(here[0] - right[0], here[1] - right[1]))

    if displaced(circuit) > LEAST_DISPLACED_M:
        at = ended.parallel_m if direct else ended.level_m
        away_m = None if at is None else float(np.hypot(at[0] - right[0], at[1] - right[1]))
        found.append(Yardstick("roll-out point", displaced, away_m))
    return tuple(found)


def measured_roll_out(attempt: Attempt, lap: int, motion: Motion) -> RollOut:
    """Return where the reversal turn of a lap ended on the track, by its largest part where it was flown in several."""
    turns = [turn for name, of_lap, turn in attempt.turns if name == "reversal turn" and of_lap == lap]
    if not turns:
        return RollOut(None, None)
    turn = max(turns, key=lambda one: abs(one.degrees))
    level_m = _place(motion, turn.end_s)
    inside = np.flatnonzero((motion.time_s >= turn.start_s) & (motion.time_s <= turn.end_s))
    track = np.arctan2(motion.cross_mps[inside], -motion.along_mps[inside])
    near = np.abs(track) < np.radians(NEARLY_PARALLEL_DEG)
    crossed = np.flatnonzero(near[:-1] & near[1:] & (track[:-1] * track[1:] <= 0.0) & (track[:-1] != track[1:]))
    if crossed.size == 0:
        return RollOut(level_m, None)
    last = int(crossed[-1])
    share = track[last] / (track[last] - track[last + 1])
    before, after = motion.time_s[inside[last]], motion.time_s[inside[last + 1]]
    return RollOut(level_m, _place(motion, float(before + share * (after - before))))


def _place(motion: Motion, at_s: float) -> tuple[float, float]:
    return (
        float(np.interp(at_s, motion.time_s, motion.along_m)),
        float(np.interp(at_s, motion.time_s, motion.cross_m)),
    )


def _overshot(measures: AttemptMeasures) -> bool:
    """Whether the course was overshot, or whether it was is not known."""
    return measures.intercept.overshoot_m is None or _overshoot_m(measures) is not None


def _overshoot_m(measures: AttemptMeasures) -> float | None:
    """Return the overshoot as the page and the file have it, None where none was measured."""
    overshoot_m = measures.intercept.overshoot_m
    return overshoot_m if overshoot_m is not None and overshoot_m > LEAST_OVERSHOOT_M else None


def _late_to_establish(measures: AttemptMeasures) -> bool:
    """Whether too little was left of the inbound course: a roll-out short of it is else a normal intercept."""
    at_m = measures.intercept.established_at_m
    return not measures.intercept.established or at_m is None or at_m < LATE_ESTABLISHED_M


def turned_back(circuit: Reflight) -> tuple[float, float]:
    """Along and cross at the end of the reversal turn."""
    return corners(circuit)[reversal_number(circuit) + 1]


def _past_course_m(circuit: Reflight) -> float:
    """Cross-track past the course where the turn from the intercept leg is parallel to it, negative short of it."""
    number = onto_course_number(circuit)
    if number is None:
        return 0.0
    turn = circuit.pieces[number]
    assert isinstance(turn, Turn)
    start = corners(circuit)[number]
    # turning right onto the course comes from its right... seen inbound: from positive cross with a left heading
    from_side = 1.0 if turn.degrees > 0.0 else -1.0
    return -from_side * parallel_point(circuit, turn, start)[1]


def _farthest_m(circuit: Reflight) -> float:
    path = fly(circuit)
    return float(np.max(np.hypot(path.along_m, path.cross_m)))


def _depth_m(circuit: Reflight, shape: object) -> float:
    path = fly(circuit)
    return max(0.0, -float(np.min(point_margins_m(shape, path.along_m, path.cross_m))))
