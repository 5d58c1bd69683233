"""Holds and racetracks: the circuit, and the direct, teardrop and parallel entries."""

import math
from dataclasses import dataclass

from analyzer.planned.solver.air import Air, NoSuchHeadingError, short_way, way_round
from analyzer.planned.solver.roots import roots_between
from analyzer.planned.solver.sketch import STEEP_DEG, USUAL_DEG, Sketch
from analyzer.planned.solver.values import Condition, LegEnd, NoPlanError
from analyzer.standards import FLYING
from analyzer.units import METRES_PER_NM, MPS_PER_KNOT

#: own choices: leg at least and at most, and the inbound leg off its time by at most this share where the outbound leg
#: is at one of its ends: 35 % of the airspeed on the nose makes a minute 100 s after the shortest outbound leg
LEAST_LEG_S, MOST_LEG_S, INBOUND_SHARE = 15.0, 180.0, 0.67
#: corrections outbound that are tried: 60 degrees at most (own choice)
GRID_DEG = tuple(float(k) for k in range(-60, 61, 6))
#: a turn at the fix of a direct entry is at least and at most this (own choices)
LEAST_TURN_DEG, MOST_TURN_DEG = 60.0, 330.0
LEAST_OUTBOUND_SHARE = 0.05
#: a plan does not roll out farther than this beyond the course; where still air does less, that is the aim in a wind
#: too (own choice: it leaves room to the 0.2 NM that a hold may go beyond)
AIM_BEYOND_M = 0.15 * METRES_PER_NM
ENTRY_DEG = FLYING["entry.teardrop"].value
#: a teardrop entry is widened up to this where the wind carries its turn through the course (own choice), and its time
#: is stretched up to one and a half times, the longest that the racetrack entry of the criteria allows for a minute
WIDEST_ENTRY_DEG, ENTRY_STRETCH = 60.0, FLYING["icao.entry.offset_time"].value / FLYING["entry.time"].value
#: seconds of inbound leg that an entry in lieu of a procedure turn needs: established for 10 s (own choice)
ESTABLISHED_S = 10.0


@dataclass(frozen=True, slots=True)
class Leg:
    """What ends the outbound leg: the time asked of the inbound leg, or a distance.

    The distance is that from a point of the plane, as a DME shows it, or along the course (`by_track`), as area
    navigation counts it, [AIM] 5-3-8 j.
    """

    inbound_s: float | None = None
    distance_m: float | None = None
    from_x_m: float = 0.0
    from_y_m: float = 0.0
    by_track: bool = False

    def seconds_to_distance(self, x_m: float, y_m: float, vx: float, vy: float) -> float:
        """Return the time from a place until the distance is reached on the leg.

        A leg shorter than the pattern is wide has exceeded it before it begins: there it counts along the course.
        """
        assert self.distance_m is not None
        if self.by_track:
            return (self.distance_m - x_m) / vx if vx > 0.0 else -1.0
        dx, dy = x_m - self.from_x_m, y_m - self.from_y_m
        speed2 = vx * vx + vy * vy
        half = (dx * vx + dy * vy) / speed2
        rest = (dx * dx + dy * dy - self.distance_m**2) / speed2
        inner = half * half - rest
        seconds = -half + math.copysign(math.sqrt(max(inner, 0.0)), 1.0 if self.outwards else -1.0)
        if inner >= 0.0 and seconds >= 0.0:
            return seconds
        end_x_m = self.from_x_m + (self.distance_m if self.outwards else -self.distance_m)
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


def trial(sketch: Sketch, leg: Leg, correction_deg: float, *, to_course: bool = False) -> Circuit | None:
    """Fly the circuit from where the sketch stands with a correction of the outbound heading; None where it is none.

    `to_course` chooses a timed leg so that the turn ends on the course, whatever that makes of the inbound leg.
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
        leg_s = min(max(leg_s, before_abeam_s + LEAST_LEG_S), before_abeam_s + longest_s(leg))
    beside, rolled_out_x = y + vy * leg_s + back_y, x + vx * leg_s + back_x
    return Circuit(heading, leg_s, leg_s - before_abeam_s, beside, rolled_out_x / speed)


def longest_s(leg: Leg) -> float:
    """Return the longest time of an outbound leg: three minutes, or twice the leg where that is asked to be longer."""
    return max(MOST_LEG_S, 2.0 * (leg.inbound_s or 0.0))


def solve_circuit(sketch: Sketch, leg: Leg) -> Circuit:
    """Return the circuit that rolls out on the course, its inbound leg as asked.

    Raises
    ------
    NoPlanError
        Where no correction up to 60 degrees brings the turn onto the course, or the inbound leg is far off its time.
    """

    def beside(correction_deg: float) -> float | None:
        circuit = trial(sketch, leg, correction_deg)
        return None if circuit is None else circuit.beside_m

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
    if asked is not None and abs(_off_s(best, leg)) > INBOUND_SHARE * asked:
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


# --- entries -------------------------------------------------------------------------------------------------------


def turn_at_fix(sketch: Sketch, arrival_deg: float | None, heading_deg: float) -> None:
    """Turn the short way from the heading of the arrival onto the entry's heading; no turn where none is known."""
    if arrival_deg is None:
        sketch.heading_deg = heading_deg % 360.0
        return
    sketch.heading_deg = arrival_deg % 360.0
    sketch.turn("outbound turn", short_way(sketch.heading_deg, heading_deg))


def teardrop_entry(
    sketch: Sketch, leg: Leg, charted_s: float, arrival_deg: float | None, still_beside_m: float | None
) -> float:
    """Fly a teardrop entry and return the seconds of its inbound leg.

    In still air: 30 degrees off the reciprocal for the charted time or to the charted distance. In a wind the track is
    held, and the time such that the turn ends where it does in still air (`still_beside_m`, None for that flight
    itself); where it would go through the course the leg is lengthened, then the track widened.
    """
    aim = None if still_beside_m is None else max(still_beside_m, -AIM_BEYOND_M)
    found = None
    for off_deg in (ENTRY_DEG, 35.0, 40.0, 45.0, 50.0, WIDEST_ENTRY_DEG):
        found = _teardrop_trial(sketch, leg, charted_s, arrival_deg, off_deg, aim)
        if found[1] >= -AIM_BEYOND_M - 1.0:
            break
    assert found is not None
    entry, beside, leg_s = found
    if beside < -AIM_BEYOND_M - 1.0:
        raise NoPlanError(
            f"the wind carries the turn of a teardrop entry {-beside / METRES_PER_NM:.1f} NM through the course; ask "
            "for another entry or for longer legs",
            Condition("roll-out beyond the course", AIM_BEYOND_M, -beside, "m", met=False),
        )
    timed = leg.distance_m is None
    clock = LegEnd("time", clock_from="fix" if arrival_deg is None else "wings level")
    entry.straight("outbound", leg_s, timed_s=leg_s if timed else None, end=clock if timed else leg.end())
    entry.onto_course(1)
    sketch.go_on_from(entry)
    return sketch.to_fix()


def _teardrop_trial(
    sketch: Sketch, leg: Leg, charted_s: float, arrival_deg: float | None, off_deg: float, aim_m: float | None
) -> tuple[Sketch, float, float]:
    """Return the flight as far as the entry's heading, where its turn ends beside the course, and the leg's time."""
    entry, air = sketch.copy(), sketch.air
    heading = air.heading_for_track(180.0 - off_deg)
    turn_at_fix(entry, arrival_deg, heading)
    back_y = air.turn(entry.heading_deg, way_round(entry.heading_deg, air.heading_for_track(0.0), 1))[1]
    vx, vy = air.ground_mps(heading)
    leg_s = charted_s
    if leg.distance_m is not None:
        leg_s = max(leg.seconds_to_distance(entry.x_m, entry.y_m, vx, vy), 0.0)
    else:
        wanted_m = -AIM_BEYOND_M if aim_m is None else aim_m
        if aim_m is not None or entry.y_m + vy * leg_s + back_y < wanted_m:
            leg_s = (wanted_m - entry.y_m - back_y) / vy if vy > 0.0 else math.inf
        leg_s = min(max(leg_s, LEAST_LEG_S), ENTRY_STRETCH * charted_s)
    return entry, entry.y_m + vy * leg_s + back_y, leg_s


def parallel_entry(
    sketch: Sketch,
    leg: Leg,
    charted_s: float,
    arrival_deg: float | None,
    still_x_m: float | None,
    inbound_least_s: float,
) -> float:
    """Fly a parallel entry and return the seconds of its inbound leg.

    Outbound on the reciprocal track for the charted time (in a wind: as far out as in still air, `still_x_m`), then a
    turn towards the holding side onto an intercept that reaches the course before the fix: 45 degrees, steeper or after
    a longer leg where that is needed for an inbound leg of `inbound_least_s`.
    """
    air = sketch.air
    heading = air.heading_for_track(180.0)
    turn_at_fix(sketch, arrival_deg, heading)
    vx, vy = air.ground_mps(heading)
    leg_s = charted_s
    if leg.distance_m is not None:
        leg_s = max(leg.seconds_to_distance(sketch.x_m, sketch.y_m, vx, vy), 0.0)
    elif still_x_m is not None:
        leg_s = min(max((still_x_m - sketch.x_m) / vx, LEAST_LEG_S), max(MOST_LEG_S, charted_s))
    best: tuple[float, Sketch] | None = None
    longest = leg_s if leg.distance_m is not None else max(MOST_LEG_S, charted_s)
    while True:
        for angle in (USUAL_DEG, 50, 55, STEEP_DEG):
            inbound_s, flown = _parallel_trial(sketch, leg, leg_s, angle, arrival_deg)
            if best is None or inbound_s > best[0]:
                best = inbound_s, flown
            if inbound_s >= inbound_least_s:
                break
        if best is None or best[0] >= inbound_least_s or leg_s >= longest:
            break
        leg_s = min(leg_s + 5.0, longest)
    assert best is not None
    inbound_s, flown = best
    if inbound_s < 0.0:
        raise NoPlanError(
            "a parallel entry comes back to the course only behind the fix; ask for another entry or for longer legs",
            Condition("inbound leg of the entry", inbound_least_s, inbound_s, "s", met=False),
        )
    sketch.go_on_from(flown)
    return inbound_s


def _parallel_trial(
    sketch: Sketch, leg: Leg, leg_s: float, angle_deg: float, arrival_deg: float | None
) -> tuple[float, Sketch]:
    flown = sketch.copy()
    timed = leg.distance_m is None
    clock = LegEnd("time", clock_from="fix" if arrival_deg is None else "wings level")
    flown.straight("outbound", leg_s, timed_s=leg_s if timed else None, end=clock if timed else leg.end())
    flown.onto_course(-1, first_deg=angle_deg, most_deg=angle_deg)
    return flown.to_fix(), flown


def holds_inbound(air: Air) -> bool:
    """Whether a heading holds the inbound course and the reciprocal."""
    try:
        air.heading_for_track(0.0)
        air.heading_for_track(180.0)
    except NoSuchHeadingError:
        return False
    return True
