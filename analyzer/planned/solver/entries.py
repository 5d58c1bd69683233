"""Teardrop and parallel entries of a hold; a direct one is a circuit."""

import math

from analyzer.planned.solver.air import short_way, way_round
from analyzer.planned.solver.holds import AIM_BEYOND_M, LEAST_LEG_S, MOST_LEG_S, Leg
from analyzer.planned.solver.sketch import STEEP_DEG, USUAL_DEG, Sketch
from analyzer.planned.solver.values import Condition, LegEnd, NoPlanError
from analyzer.standards import FLYING
from analyzer.units import METRES_PER_NM

ENTRY_DEG = FLYING["entry.teardrop"].value
#: a teardrop entry is widened up to this where the wind carries its turn through the course (own choice), and its time
#: is stretched up to one and a half times, the longest that the racetrack entry of the criteria allows for a minute
WIDEST_ENTRY_DEG, ENTRY_STRETCH = 60.0, FLYING["icao.entry.offset_time"].value / FLYING["entry.time"].value
#: a turn that ends beyond the course ends no farther beyond it than this share of the distance to the fix: six degrees
#: of needle (own choice)
NEAR_SHARE = 0.1
#: a parallel entry is to end at most so far on the side away from the hold: its outbound track closes on the course for
#: that, by a few degrees (own choices: [AIM] 5-3-8 j has it parallel to the course on that side, and gives no distance)
PARALLEL_BESIDE_M, CLOSING_DEG = 0.2 * METRES_PER_NM, (0.0, 2.0, 4.0, 6.0, 8.0, 10.0, 12.0, 15.0)
#: seconds of inbound leg that an entry in lieu of a procedure turn needs: established for 10 s (own choice)
ESTABLISHED_S = 10.0


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
    inbound = air.heading_for_track(0.0)
    back_x, back_y, _ = air.turn(entry.heading_deg, way_round(entry.heading_deg, inbound, 1))
    vx, vy = air.ground_mps(heading)
    leg_s = charted_s
    if leg.distance_m is not None:
        leg_s = max(leg.seconds_to_distance(entry.x_m, entry.y_m, vx, vy), 0.0)
    else:
        wanted_m = -AIM_BEYOND_M if aim_m is None else aim_m
        if aim_m is not None or entry.y_m + vy * leg_s + back_y < wanted_m:
            leg_s = (wanted_m - entry.y_m - back_y) / vy if vy > 0.0 else math.inf
        if aim_m is not None and wanted_m < 0.0:  # near the fix the needle shows little beside the course as much
            share = NEAR_SHARE
            at_once_m = entry.y_m + back_y + share * (entry.x_m + back_x)
            leg_s = max(leg_s, -at_once_m / (vy + share * vx) if vy + share * vx > 0.0 else math.inf)
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
    a longer leg where that is needed for an inbound leg of `inbound_least_s`. A turn at the fix that ends far on the
    side away from the hold is made up for by an outbound track that closes on the course.
    """
    air = sketch.air
    _turn_to_parallel(sketch, leg, charted_s, arrival_deg, still_x_m)
    vx, vy = air.ground_mps(sketch.heading_deg)
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


def _turn_to_parallel(
    sketch: Sketch, leg: Leg, charted_s: float, arrival_deg: float | None, still_x_m: float | None
) -> None:
    """Turn at the fix onto the outbound track of a parallel entry, closing where it would end far off the course."""
    air, start = sketch.air, sketch.copy()
    for closing_deg in CLOSING_DEG:
        turned = start.copy()
        heading = air.heading_for_track(180.0 - closing_deg)
        turn_at_fix(turned, arrival_deg, heading)
        vx, vy = air.ground_mps(heading)
        if leg.distance_m is not None:
            leg_s = leg.seconds_to_distance(turned.x_m, turned.y_m, vx, vy)
        else:
            leg_s = charted_s if still_x_m is None else (still_x_m - turned.x_m) / vx
        if turned.y_m + vy * max(leg_s, LEAST_LEG_S) >= -PARALLEL_BESIDE_M:
            break
    sketch.go_on_from(turned)


def _parallel_trial(
    sketch: Sketch, leg: Leg, leg_s: float, angle_deg: float, arrival_deg: float | None
) -> tuple[float, Sketch]:
    flown = sketch.copy()
    timed = leg.distance_m is None
    clock = LegEnd("time", clock_from="fix" if arrival_deg is None else "wings level")
    flown.straight("outbound", leg_s, timed_s=leg_s if timed else None, end=clock if timed else leg.end())
    flown.onto_course(-1, first_deg=angle_deg, most_deg=angle_deg)
    return flown.to_fix(), flown
