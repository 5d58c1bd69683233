"""Teardrops and base turns: out on one course, one turn back onto the inbound course."""

import math
from dataclasses import dataclass

from analyzer.planned.solver.air import Air, way_round
from analyzer.planned.solver.holds import AIM_BEYOND_M, ENTRY_DEG, LEAST_LEG_S, MOST_LEG_S
from analyzer.planned.solver.procedure_turns import clock_words
from analyzer.planned.solver.sketch import Sketch
from analyzer.planned.solver.values import Condition, LegEnd, NoPlanError
from analyzer.units import METRES_PER_NM

#: own choices: a charted leg may end this much farther out than in still air to keep the turn on its side, and a turn
#: may end this far beyond the course where the charted leg allows no more
FARTHER_M, MOST_BEYOND_M = 0.3 * METRES_PER_NM, 0.5 * METRES_PER_NM
#: a leg charted as a time may take so many times as long in a headwind (own choice)
MOST_STRETCH = 2.0


@dataclass(frozen=True, slots=True)
class Charted:
    """What the chart says of the outbound leg: relative track, seconds or metres, None for what it leaves open."""

    track_deg: float
    seconds: float | None = None
    distance_m: float | None = None
    from_x_m: float = 0.0
    from_y_m: float = 0.0


def free_teardrop() -> Charted:
    """Return the teardrop of a procedure turn: 30 degrees off, as long as its turn needs."""
    return Charted(180.0 - ENTRY_DEG)


def fly_teardrop(air: Air, charted: Charted, still: Air) -> tuple[Sketch, float]:
    """Return the flight and the seconds of its inbound leg; `still` is the same aircraft without wind.

    The charted course is held. A charted leg ends as far out as in still air, or up to 0.3 NM farther where the wind
    would carry the turn through the course; an open one when the turn ends on the course.
    """
    sketch = Sketch(air, air.heading_for_track(charted.track_deg))
    vx, vy = air.ground_mps(sketch.heading_deg)
    back_y = air.turn(sketch.heading_deg, way_round(sketch.heading_deg, air.heading_for_track(0.0), 1))[1]
    on_course_s = -back_y / vy if vy > 0.0 else math.inf
    ground = math.hypot(vx, vy)
    if charted.seconds is None and charted.distance_m is None:
        leg_s = max(on_course_s, LEAST_LEG_S)
        longest = MOST_LEG_S
    else:
        far_m = charted.distance_m if charted.distance_m is not None else (charted.seconds or 0.0) * still.tas_mps
        charted_s = far_m / ground
        wanted_s = (-AIM_BEYOND_M - back_y) / vy if vy > 0.0 else math.inf
        room_s = 0.0 if charted.distance_m is not None else FARTHER_M / ground
        leg_s = min(max(charted_s, wanted_s), charted_s + room_s)
        longest = max(MOST_LEG_S, MOST_STRETCH * (charted.seconds or 0.0))
        if charted.distance_m is not None:
            longest = math.inf
    if leg_s > longest:
        raise NoPlanError(
            f"the outbound leg would need {clock_words(min(leg_s, 3599.0))}: not with this speed; ask for vectors or "
            "another approach",
            Condition("outbound leg", longest, leg_s, "s", met=False),
        )
    beside = vy * leg_s + back_y
    if -beside > MOST_BEYOND_M:
        raise NoPlanError(
            f"the wind carries the turn {-beside / METRES_PER_NM:.1f} NM through the course from the charted leg; ask "
            "for vectors or another approach",
            Condition("roll-out beyond the course", MOST_BEYOND_M, -beside, "m", met=False),
        )
    by_distance = charted.distance_m is not None
    end = LegEnd("time", clock_from="fix")
    if by_distance:
        at_fix = charted.from_x_m == 0.0 and charted.from_y_m == 0.0
        end = LegEnd("distance from the fix" if at_fix else "station distance", charted.distance_m)
    sketch.straight("outbound", leg_s, tracked=True, timed_s=None if by_distance else leg_s, end=end)
    sketch.onto_course(1)
    return sketch, sketch.to_fix()
