"""Holds and racetracks: the circuit, from any heading over the fix; the other entries are in `entries`."""

import math
from dataclasses import dataclass

from analyzer.planned.solver.air import Air, way_round
from analyzer.planned.solver.roots import roots_between
from analyzer.planned.solver.sketch import Sketch
from analyzer.planned.solver.slant import over_the_ground_m
from analyzer.planned.solver.values import Condition, LegEnd, NoPlanError
from analyzer.units import METRES_PER_NM, MPS_PER_KNOT

#: own choices: leg at least and at most, and the inbound leg off its time by at most this share where the outbound leg
#: is at one of its ends: 35 % of the airspeed on the nose makes a minute 100 s after the shortest outbound leg
LEAST_LEG_S, MOST_LEG_S, INBOUND_SHARE = 15.0, 180.0, 0.67
#: corrections outbound that are tried: 60 degrees at most (own choice)
GRID_DEG = tuple(float(k) for k in range(-60, 61, 6))
#: a turn at the fix of a direct entry is at least and at most this (own choices)
LEAST_TURN_DEG, MOST_TURN_DEG = 20.0, 330.0
LEAST_OUTBOUND_SHARE = 0.05
#: an entry is to leave at least so much of the inbound leg (own choice)
LEAST_INBOUND_S = 15.0
#: a plan does not roll out farther than this beyond the course; where still air does less, that is the aim in a wind
#: too (own choice: it leaves room to the 0.2 NM that a hold may go beyond)
AIM_BEYOND_M = 0.15 * METRES_PER_NM


@dataclass(frozen=True, slots=True)
class Leg:
    """What ends the outbound leg: the time asked of the inbound leg, or a distance.

    The distance is that from a point of the plane, as a DME shows it (from `height_m` above it), or along the course
    (`by_track`), as area navigation counts it, [AIM] 5-3-8 j.
    """

    inbound_s: float | None = None
    distance_m: float | None = None
    from_x_m: float = 0.0
    from_y_m: float = 0.0
    by_track: bool = False
    height_m: float = 0.0

    @property
    def ground_m(self) -> float:
        """The distance over the ground at which the distance is read."""
        assert self.distance_m is not None
        return self.distance_m if self.by_track else over_the_ground_m(self.distance_m, self.height_m)

    def seconds_to_distance(self, x_m: float, y_m: float, vx: float, vy: float) -> float:
        """Return the time from a place until the distance is reached on the leg.

        A leg shorter than the pattern is wide has exceeded it before it begins: there it counts along the course.
        """
        end_m = self.ground_m
        if self.by_track:
            return (end_m - x_m) / vx if vx > 0.0 else -1.0
        dx, dy = x_m - self.from_x_m, y_m - self.from_y_m
        speed2 = vx * vx + vy * vy
        half = (dx * vx + dy * vy) / speed2
        rest = (dx * dx + dy * dy - end_m**2) / speed2
        inner = half * half - rest
        seconds = -half + math.copysign(math.sqrt(max(inner, 0.0)), 1.0 if self.outwards else -1.0)
        if inner >= 0.0 and seconds >= 0.0:
            return seconds
        end_x_m = self.from_x_m + (end_m if self.outwards else -end_m)
        return (end_x_m - x_m) / vx if vx > 0.0 else -1.0

    @property
    def outwards(self) -> bool:
        """Whether the distance grows on the leg; it shrinks where the station lies outbound of the fix."""
        return self.from_x_m <= 0.0 or self.from_x_m < (self.distance_m or 0.0)

    def end(self) -> LegEnd:
        """Return what ends the leg, in words of a `LegEnd`."""
        if self.distance_m is None:
            return LegEnd("time", clock_from="abeam or wings level, the later")
        return LegEnd("distance along the course" if self.by_track else "station distance", self.distance_m)


@dataclass(frozen=True, slots=True)
class Circuit:
    """One trial of the circuit: outbound heading, leg seconds and clock time, roll-out, and the inbound seconds."""

    heading_deg: float
    leg_s: float
    timed_s: float
    beside_m: float
    inbound_s: float


def trial(
    sketch: Sketch, leg: Leg, correction_deg: float, *, to_course: bool = False, outbound_s: float | None = None
) -> Circuit | None:
    """Fly the circuit from where the sketch stands with a correction of the outbound heading; None where it is none.

    `to_course` chooses a timed leg so that the turn ends on the course, whatever that makes of the inbound leg;
    `outbound_s` is a time by the clock that is given.
    """
    air, heading = sketch.air, 180.0 + correction_deg
    inbound = air.heading_for_track(0.0)
    vx, vy = air.ground_mps(heading)
    out = way_round(sketch.heading_deg, heading, 1)
    if vx <= LEAST_OUTBOUND_SHARE * air.tas_mps or not LEAST_TURN_DEG <= out <= MOST_TURN_DEG:
        return None
    dx, dy, _ = air.turn(sketch.heading_deg, out)
    x, y = sketch.x_m + dx, sketch.y_m + dy
    back_x, back_y, _ = air.turn(heading, way_round(heading, inbound, 1))
    before_abeam_s = max(-x / vx, 0.0)
    speed = -air.ground_mps(inbound)[0]
    if leg.distance_m is not None:
        leg_s = leg.seconds_to_distance(x, y, vx, vy)
        if leg_s < 0.0:
            return None
    else:
        assert leg.inbound_s is not None
        leg_s = (speed * leg.inbound_s - x - back_x) / vx
        if to_course:
            leg_s = -(y + back_y) / vy if vy != 0.0 else -1.0
            if leg_s < before_abeam_s + LEAST_LEG_S:
                return None
        if outbound_s is not None:
            leg_s = before_abeam_s + outbound_s
        leg_s = min(max(leg_s, before_abeam_s + LEAST_LEG_S), before_abeam_s + longest_s(leg))
    beside, rolled_out_x = y + vy * leg_s + back_y, x + vx * leg_s + back_x
    return Circuit(heading, leg_s, leg_s - before_abeam_s, beside, rolled_out_x / speed)


def longest_s(leg: Leg) -> float:
    """Return the longest time of an outbound leg: three minutes, or twice the leg where that is asked to be longer."""
    return max(MOST_LEG_S, 2.0 * (leg.inbound_s or 0.0))


def solve_circuit(sketch: Sketch, leg: Leg, *, entering: bool = False) -> Circuit:
    """Return the circuit that rolls out on the course, its inbound leg as asked.

    A circuit that enters the hold from across the course (`entering`) flies the first outbound leg for the charted
    time, [AIM] 5-3-8 j4, where that ends before the fix: its inbound leg is as long as it comes.

    Raises
    ------
    NoPlanError
        Where no correction up to 60 degrees brings the turn onto the course, or the inbound leg is far off its time.
    """

    def beside(correction_deg: float) -> float | None:
        circuit = trial(sketch, leg, correction_deg)
        return None if circuit is None else circuit.beside_m

    if entering and leg.inbound_s is not None:
        first_s = leg.inbound_s

        def beside_first(correction_deg: float) -> float | None:
            circuit = trial(sketch, leg, correction_deg, outbound_s=first_s)
            return None if circuit is None or circuit.inbound_s <= LEAST_INBOUND_S else circuit.beside_m

        firsts = [trial(sketch, leg, place, outbound_s=first_s) for place in roots_between(beside_first, GRID_DEG)]
        entered = [circuit for circuit in firsts if circuit is not None]
        if entered:
            return min(entered, key=lambda circuit: abs(circuit.heading_deg - 180.0))
    places = roots_between(beside, GRID_DEG)
    solved = [circuit for place in places if (circuit := trial(sketch, leg, place)) is not None]
    if not solved and leg.inbound_s is not None:
        longer = [circuit for k in GRID_DEG if (circuit := trial(sketch, leg, k, to_course=True)) is not None]
        solved = [one for one in longer if abs(one.beside_m) < 1.0 and one.inbound_s > leg.inbound_s]
        solved = sorted(solved, key=lambda circuit: circuit.inbound_s)[:1]
    if not solved:
        return _nearest(sketch, leg)
    best = min(solved, key=lambda circuit: (abs(_off_s(circuit, leg)) > 1.0, abs(circuit.heading_deg - 180.0)))
    asked = leg.inbound_s
    if asked is not None and not entering and abs(_off_s(best, leg)) > INBOUND_SHARE * asked:
        failed = Condition("inbound leg", asked, best.inbound_s, "s", met=False)
        end, speed = ("shortest", LEAST_LEG_S) if best.inbound_s > asked else ("longest", longest_s(leg))
        raise NoPlanError(
            f"{_wind_words(sketch.air)}no outbound time brings an inbound leg of {asked:.0f} s: the {end}, "
            f"{speed:.0f} s, makes it {best.inbound_s:.0f} s; ask for "
            f"{'longer' if best.inbound_s > asked else 'shorter'} legs",
            failed,
        )
    return best


def _wind_words(air: Air) -> str:
    """Say a wind along the course, as the pilot meets it inbound; nothing of one across it."""
    along_kt, across_kt = air.wind_x_mps / MPS_PER_KNOT, air.wind_y_mps / MPS_PER_KNOT
    if abs(along_kt) < 2.0 * abs(across_kt):
        return ""
    where = "on the nose" if along_kt > 0.0 else "on the tail"
    return f"{abs(along_kt):.0f} kt {where} inbound at {air.tas_mps / MPS_PER_KNOT:.0f} kt: "


def _off_s(circuit: Circuit, leg: Leg) -> float:
    return 0.0 if leg.inbound_s is None else circuit.inbound_s - leg.inbound_s


def _nearest(sketch: Sketch, leg: Leg) -> Circuit:
    """Return the circuit that ends nearest to the course, on the holding side of it, or say that there is none."""
    trials = [circuit for k in GRID_DEG if (circuit := trial(sketch, leg, k)) is not None]
    if not trials:
        raise NoPlanError("the wind stops the outbound leg: not with this speed; ask for vectors or another approach")
    inside = [circuit for circuit in trials if circuit.beside_m >= -AIM_BEYOND_M and circuit.inbound_s > 0.0]
    if inside:
        return min(inside, key=lambda circuit: circuit.beside_m)
    nearest = max(trials, key=lambda circuit: circuit.beside_m)
    beyond_nm = -nearest.beside_m / METRES_PER_NM
    raise NoPlanError(
        f"even {abs(nearest.heading_deg - 180.0):.0f}° of correction outbound lets the wind carry the turn "
        f"{beyond_nm:.1f} NM through the course; ask for longer legs or another hold",
        Condition("roll-out beyond the course", AIM_BEYOND_M, -nearest.beside_m, "m", met=False),
    )


def fly_circuit(sketch: Sketch, leg: Leg, circuit: Circuit) -> float:
    """Fly a solved circuit and return the seconds of its inbound leg."""
    sketch.turn("outbound turn", way_round(sketch.heading_deg, circuit.heading_deg, 1))
    timed_s = circuit.timed_s if leg.distance_m is None else None
    sketch.straight("outbound", circuit.leg_s, timed_s=timed_s, end=leg.end())
    sketch.onto_course(1)
    return sketch.to_fix()
