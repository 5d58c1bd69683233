"""Teardrops and base turns: out on one course, one turn back onto the inbound course."""

import math
from dataclasses import dataclass

from analyzer.planned.solver.air import Air, way_round
from analyzer.planned.solver.entries import ENTRY_DEG
from analyzer.planned.solver.holds import AIM_BEYOND_M, LEAST_LEG_S
from analyzer.planned.solver.procedure_turns import clock_words
from analyzer.planned.solver.sketch import Sketch
from analyzer.planned.solver.slant import over_the_ground_m
from analyzer.planned.solver.values import Condition, LegEnd, NoPlanError
from analyzer.units import METRES_PER_NM

#: own choices: a leg charted by time may end farther out than in still air, by up to this share of its length, to keep
#: the turn on its side (ICAO Doc 8168 Vol I, second hand: allow for the wind in heading and timing), and a turn may end
#: this far beyond the course where the charted leg allows no more: the first after a leg by time, the second after one
#: by distance, whose end is fixed
FARTHER_SHARE, MOST_BEYOND_M, MOST_BEYOND_FIXED_M = 0.3, 0.3 * METRES_PER_NM, 0.5 * METRES_PER_NM
#: an open leg, as long as its turn needs, is no longer than this (own choice)
MOST_OPEN_S = 240.0
#: a leg charted as a time may take so many times as long in a headwind, to the same place over the ground; from the
#: second figure on the controller should know (own choices: a headwind of 35 % makes two minutes three, one of 43 %
#: three and a half, which nobody expects of a leg charted as two)
MOST_STRETCH, TOLD_STRETCH = 1.75, 1.5
#: a smaller difference from the charted time is not spoken of (own choice)
LEAST_TOLD_S = 10.0


@dataclass(frozen=True, slots=True)
class Charted:
    """What the chart says of the outbound leg: relative track, seconds or metres, None for what it leaves open.

    `by_station`: the distance is read from a station at the fix, from `height_m` above it.
    """

    track_deg: float
    seconds: float | None = None
    distance_m: float | None = None
    by_station: bool = False
    height_m: float = 0.0


def free_teardrop() -> Charted:
    """Return the teardrop of a procedure turn: 30 degrees off, as long as its turn needs."""
    return Charted(180.0 - ENTRY_DEG)


def told_time(charted_s: float | None, timed_s: float | None) -> tuple[str, ...]:
    """Return the sentence on a time that the wind makes other than charted, none where it hardly does."""
    if charted_s is None or timed_s is None or abs(timed_s - charted_s) < LEAST_TOLD_S:
        return ()
    chart = f"The chart's {clock_words(charted_s)} is for still air; this wind asks for {clock_words(timed_s)}"
    if timed_s <= TOLD_STRETCH * charted_s:
        return (f"{chart}.",)
    return (f"{chart}, over half as long again: tell the controller, or ask for another way to reverse.",)


def fly_teardrop(air: Air, charted: Charted, still: Air, farther_share: float = FARTHER_SHARE) -> tuple[Sketch, float]:
    """Return the flight and the seconds of its inbound leg; `still` is the same aircraft without wind.

    The charted course is held. A charted leg ends as far out as in still air, or farther by up to a share of its length
    where the wind would carry the turn through the course; an open one when the turn ends on the course.
    """
    sketch = Sketch(air, air.heading_for_track(charted.track_deg))
    vx, vy = air.ground_mps(sketch.heading_deg)
    back_y = air.turn(sketch.heading_deg, way_round(sketch.heading_deg, air.heading_for_track(0.0), 1))[1]
    on_course_s = -back_y / vy if vy > 0.0 else math.inf
    ground = math.hypot(vx, vy)
    if charted.seconds is None and charted.distance_m is None:
        leg_s = max(on_course_s, LEAST_LEG_S)
        longest = MOST_OPEN_S
    else:
        far_m = (charted.seconds or 0.0) * still.tas_mps
        if charted.distance_m is not None:
            far_m = over_the_ground_m(charted.distance_m, charted.height_m)
        charted_s = far_m / ground
        wanted_s = (-AIM_BEYOND_M - back_y) / vy if vy > 0.0 else math.inf
        room_s = 0.0 if charted.distance_m is not None else farther_share * charted_s
        longest = math.inf if charted.seconds is None else MOST_STRETCH * charted.seconds
        leg_s = min(max(charted_s, wanted_s), max(min(charted_s + room_s, longest), charted_s))
    if leg_s > longest:
        would = "" if charted.seconds is None else f" instead of {clock_words(charted.seconds)}"
        raise NoPlanError(
            f"the outbound leg would need {clock_words(min(leg_s, 3599.0))}{would}: not with this speed; ask for "
            "vectors or another approach",
            Condition("outbound leg", longest, leg_s, "s", met=False),
        )
    beside = vy * leg_s + back_y
    most_m = MOST_BEYOND_M if charted.distance_m is None else MOST_BEYOND_FIXED_M
    if -beside > most_m:
        raise NoPlanError(
            f"the wind carries the turn {-beside / METRES_PER_NM:.1f} NM through the course from the charted leg; ask "
            "for vectors or another approach",
            Condition("roll-out beyond the course", most_m, -beside, "m", met=False),
        )
    by_distance = charted.distance_m is not None
    end = LegEnd("time", clock_from="fix")
    if by_distance:
        end = LegEnd("station distance" if charted.by_station else "distance from the fix", charted.distance_m)
    sketch.straight("outbound", leg_s, tracked=True, timed_s=None if by_distance else leg_s, end=end)
    sketch.onto_course(1)
    return sketch, sketch.to_fix()
