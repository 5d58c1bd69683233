"""Procedure turns: 45/180 with the turn back either way, 80/260, and where to begin the turn."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from analyzer.planned.solver.air import Air, way_round
from analyzer.planned.solver.holds import LEAST_LEG_S, MOST_LEG_S
from analyzer.planned.solver.roots import roots_between
from analyzer.planned.solver.sketch import LEAST_DEG, Piece, Sketch, coordinates_m
from analyzer.planned.solver.values import Condition, LegEnd, NoPlanError
from analyzer.standards import FLYING
from analyzer.units import METRES_PER_NM, FloatArray

#: straight outbound leg of a procedure turn, as in the handbook's exercise
OUTBOUND_S = 60.0 * FLYING["ifh.45_180.outbound"].value
#: room that a path leaves within the distance limit, and the least time outbound, own choices: 0.5 NM is 10 s of
#: timing at 110 kt and a turn begun 5 s late
SPARE_M, LEAST_OUTBOUND_S, MOST_OUTBOUND_S = 0.5 * METRES_PER_NM, 15.0, 420.0
OFFSET_LEG_S = 60.0 * FLYING["us.offset_leg.customary"].value
EIGHTY_DEG = FLYING["ifh.80_260.first"].value
#: a first turn of an 80/260 smaller than this is none, a larger one than the second is another manoeuvre; level time
#: between the turns shorter than the third is flown through (own choices)
LEAST_FIRST_DEG, MOST_FIRST_DEG, LEAST_LEVEL_S = 30.0, 95.0, 5.0
#: the leg of a 45/180 is flown so much longer, in such steps, for an intercept of at least 30 degrees (own choices)
LONGER_S, LONGER_STEP_S = 24.0, 2.0


@dataclass(frozen=True, slots=True)
class Turned:
    """A procedure turn from the start of the turn off the course on, and its roll-out from there."""

    sketch: Sketch
    x_m: float
    y_m: float

    @property
    def intercept_deg(self) -> float:
        """Angle between the track of the intercept leg and the course; a right one where it turns straight onto it."""
        leg = next(
            (piece for piece in self.sketch.pieces if piece.phase == "intercept" and piece.turn_deg is None), None
        )
        if leg is None:
            return 90.0
        vx, vy = self.sketch.air.ground_mps(leg.heading_deg)
        return math.degrees(math.atan2(abs(vy), -vx))


def offset_leg_s(air: Air, charted_s: float | None, charted_m: float | None, off_turn_s: float) -> float:
    """Straight part of a 45/180's offset leg in still air; `off_turn_s` where the clock starts with the turn."""
    if charted_m is not None:
        return charted_m / air.tas_mps
    return max((OFFSET_LEG_S if charted_s is None else charted_s) - off_turn_s, 0.0)


def forty_five(
    air: Air,
    offset_deg: float,
    charted: tuple[float | None, float | None],
    from_turn_start: bool,
    aim_y_m: float | None,
    turn_back: int = 1,
) -> Turned:
    """Return a 45/180 from the start of its turn off the course: its time brings the roll-out where still air does.

    Parameters
    ----------
    air : Air
    offset_deg : float
        Charted track of the offset leg, relative, in the solver's plane (135 for 45 degrees).
    charted : tuple
        Seconds and metres of the leg, None for what is not charted.
    from_turn_start : bool
        Whether the clock starts with the turn off the course.
    aim_y_m : float or None
        Distance from the course at the roll-out; None for the still-air flight.
    turn_back : int
        +1: the 180 goes the other way than the 45; -1: the same way.
    """
    sketch = Sketch(air, air.heading_for_track(180.0))
    heading, back = air.heading_for_track(offset_deg), air.heading_for_track(offset_deg + 180.0)
    off = way_round(sketch.heading_deg, heading, -1)
    sketch.turn("offset turn", off)
    turn_s = sketch.time_s if from_turn_start else 0.0
    turned = air.turn(heading, way_round(heading, back, turn_back))
    vy = air.ground_mps(heading)[1]
    if aim_y_m is None:
        leg_s = offset_leg_s(air, *charted, turn_s)
    else:
        leg_s = (aim_y_m - sketch.y_m - turned[1]) / vy if vy > 0.0 else math.inf
    if leg_s > MOST_LEG_S:
        asked = "no time on the 45° leg" if math.isinf(leg_s) else f"the 45° leg would need {clock_words(leg_s)}"
        raise NoPlanError(
            f"{asked}{' brings the turn back far enough out' if math.isinf(leg_s) else ''}: not with this speed; ask "
            "for vectors or another approach",
            Condition("offset leg", MOST_LEG_S, leg_s, "s", met=False),
        )
    leg_s = leg_s if aim_y_m is None else max(leg_s, min(LEAST_LEG_S, offset_leg_s(air, *charted, turn_s)))
    end = LegEnd("time", clock_from="turn start" if from_turn_start else "wings level")

    def flown(seconds: float) -> Turned:
        leg = sketch.copy()
        leg.straight("offset leg", seconds, timed_s=seconds + turn_s, end=end)
        x, y = leg.x_m + turned[0], leg.y_m + turned[1]
        leg.onto_course(turn_back, first_deg=abs(_off_inbound(offset_deg)))
        return Turned(leg, x, y)

    found = flown(leg_s)
    if aim_y_m is None:
        return found
    tries = [found]
    while tries[-1].intercept_deg < LEAST_DEG and leg_s + LONGER_STEP_S * len(tries) <= MOST_LEG_S:
        if LONGER_STEP_S * len(tries) > LONGER_S:
            return max(tries, key=lambda one: one.intercept_deg)
        tries.append(flown(leg_s + LONGER_STEP_S * len(tries)))
    return tries[-1]


def _off_inbound(offset_deg: float) -> float:
    """Angle to the course of the reciprocal of the offset track."""
    return (offset_deg + 180.0 + 180.0) % 360.0 - 180.0


def eighty(air: Air, aim_y_m: float | None) -> Turned:
    """Return an 80/260 from its first turn on: level time between, or a smaller first turn, end on the course."""
    inbound = air.heading_for_track(0.0)
    outbound = air.heading_for_track(180.0)

    def rolled_out(first_deg: float, level_s: float) -> Turned:
        sketch = Sketch(air, outbound)
        sketch.turn("offset turn", -first_deg)
        if level_s > 0.0:
            end = LegEnd("time", clock_from="wings level")
            sketch.straight("offset turn", level_s, timed_s=level_s, end=end)
        through = way_round(sketch.heading_deg, inbound, 1)
        dx, dy, _ = air.turn(sketch.heading_deg, through)
        return Turned(sketch, sketch.x_m + dx, sketch.y_m + dy)

    still = rolled_out(EIGHTY_DEG, 0.0)
    if aim_y_m is not None:
        vy = air.ground_mps(outbound - EIGHTY_DEG)[1]
        level_s = (aim_y_m - still.y_m) / vy if vy > 0.0 else math.inf
        if level_s > MOST_LEG_S:
            raise NoPlanError(
                "no time between the two turns brings the aircraft back onto the course; ask for another way to reverse"
            )
        still = rolled_out(EIGHTY_DEG, level_s) if level_s >= LEAST_LEVEL_S else _other_first(rolled_out, aim_y_m)
    still.sketch.onto_course(1)
    return still


def _other_first(fly: Callable[[float, float], Turned], aim_y_m: float) -> Turned:
    """Return the flight whose first turn is so much smaller, or a little larger, that it ends on the course.

    The nearest to it where none does.
    """
    grid = [MOST_FIRST_DEG - 5.0 * k for k in range(int((MOST_FIRST_DEG - LEAST_FIRST_DEG) / 5.0) + 1)]
    places = roots_between(lambda first: fly(first, 0.0).y_m - aim_y_m, grid)
    if places:
        return fly(places[0], 0.0)
    return min((fly(first, 0.0) for first in grid), key=lambda turned: abs(turned.y_m - aim_y_m))


def shape_m(turned: Turned) -> tuple[FloatArray, FloatArray]:
    """Return x and y of a procedure turn from the start of its turn off the course to the course."""
    parts = [coordinates_m(turned.sketch.air, piece)[1:] for piece in turned.sketch.pieces]
    return np.concatenate([x for x, _ in parts]), np.concatenate([y for _, y in parts])


def latest_start_m(turned: Turned, limit_m: float) -> float:
    """Return how far out along the course the turn may begin so that all of it stays within a distance of the fix.

    Raises
    ------
    NoPlanError
        Where it is wider than that.
    """
    x, y = shape_m(turned)
    if float(np.max(np.abs(y))) >= limit_m:
        raise NoPlanError(
            f"the turn goes {float(np.max(np.abs(y))) / METRES_PER_NM:.1f} NM off the course, more than the distance "
            f"limit of {limit_m / METRES_PER_NM:.1f} NM leaves; ask for another approach"
        )
    return float(np.min(np.sqrt(limit_m**2 - y**2) - x))


def outbound_seconds(air: Air, turned: Turned, limit_m: float | None, aim_x_m: float | None) -> float:
    """Return the time outbound: two minutes in still air, as far out as that in a wind, or what the limit leaves."""
    rate = air.ground_mps(air.heading_for_track(180.0))[0]
    seconds = OUTBOUND_S if aim_x_m is None else (aim_x_m - turned.x_m) / rate
    least = LEAST_OUTBOUND_S
    if limit_m is not None:
        seconds = min(seconds, latest_start_m(turned, limit_m - SPARE_M) / rate)
        latest = latest_start_m(turned, limit_m) / rate
        if latest < least:
            raise NoPlanError(
                f"the turn would have to begin {latest * rate / METRES_PER_NM:.1f} NM after the fix to stay within "
                f"{limit_m / METRES_PER_NM:g} NM: not in this wind; ask for vectors or another approach",
                Condition("outbound leg", least, latest, "s", met=False),
            )
    seconds = max(seconds, least)
    if seconds > MOST_OUTBOUND_S:
        raise NoPlanError(
            f"the outbound leg would take {clock_words(seconds)}: not with this speed; ask for vectors or another "
            "approach",
            Condition("outbound leg", MOST_OUTBOUND_S, seconds, "s", met=False),
        )
    return seconds


def fly_procedure_turn(air: Air, turned: Turned, seconds: float) -> tuple[Sketch, float]:
    """Return the whole flight from the fix and the seconds of its inbound leg."""
    sketch = Sketch(air, air.heading_for_track(180.0))
    sketch.straight("outbound", seconds, tracked=True, timed_s=seconds, end=LegEnd("time", clock_from="fix"))
    dx, dy, dt = sketch.x_m, sketch.y_m, sketch.time_s
    for piece in turned.sketch.pieces:
        sketch.pieces.append(_moved(piece, dx, dy, dt))
    done = turned.sketch
    sketch.x_m, sketch.y_m, sketch.time_s = done.x_m + dx, done.y_m + dy, done.time_s + dt
    sketch.heading_deg = done.heading_deg
    sketch.roll_out_m = (done.roll_out_m[0] + dx, done.roll_out_m[1] + dy)
    return sketch, sketch.to_fix()


def _moved(piece: Piece, dx: float, dy: float, dt: float) -> Piece:
    return replace(piece, x_m=piece.x_m + dx, y_m=piece.y_m + dy, start_s=piece.start_s + dt)


def clock_words(seconds: float) -> str:
    """Return a time as a stop watch shows it."""
    whole = round(seconds)
    return f"{whole // 60}:{whole % 60:02d}"
