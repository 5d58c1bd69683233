"""The arc that leads to the fix: how far off its radius, and where the turn off it began."""

import numpy as np

from analyzer.flown import Flight
from analyzer.judged.measurements.containment import POSITION_SIGMA_M
from analyzer.judged.measurements.final_values import ArcMeasure
from analyzer.planned import Plan
from analyzer.standards import figure
from analyzer.units import METRES_PER_NM, runs, wrap_180

# All of these are own choices.
#: who flies across the bearing of the station, so near to the radius, is on the arc
CANDIDATE_M, TANGENT_DEG = 2.5 * METRES_PER_NM, 40.0
#: for at least so many degrees of bearing, and so long
LEAST_DEG, LEAST_S = 10.0, 30.0
#: it counts from where it is within this of the radius
REACHED_M = 0.5 * METRES_PER_NM
STANDARD_RATE_DEG_S = figure("turn.standard_rate").value


def measure_arc(from_s: float, to_s: float, flight: Flight, plan: Plan) -> ArcMeasure | None:
    """Return how the arc was flown between two moments, None where the procedure has none or it was not flown.

    Parameters
    ----------
    from_s, to_s : float
        The arrival: to the passage of the fix, or where the course was joined.
    flight : Flight
    plan : Plan
    """
    arc, motion = plan.procedure.arc, flight.motion
    if arc is None:
        return None
    station_along, station_cross = plan.frame.along_cross_m(arc.station.latitude_deg, arc.station.longitude_deg)
    east, north = plan.frame.east_north_from_along_cross(motion.along_m - station_along, motion.cross_m - station_cross)
    away = np.hypot(east, north)
    bearing = np.degrees(np.arctan2(east, north))
    sweep = float(wrap_180(arc.to_true_deg - arc.from_true_deg))
    way = 1.0 if sweep >= 0.0 else -1.0
    gone = np.asarray(wrap_180(bearing - arc.from_true_deg)) * way  # degrees of bearing flown of the arc's
    tangent = np.abs(np.asarray(wrap_180(motion.track_true_deg - (bearing + 90.0 * way)))) <= TANGENT_DEG
    on = (motion.time_s >= from_s) & (motion.time_s <= to_s) & tangent & (np.abs(away - arc.radius_m) <= CANDIDATE_M)
    on &= (gone >= -LEAST_DEG) & (gone <= abs(sweep) + LEAST_DEG)
    stretches = [
        (a, b) for a, b in runs(on) if (b - a) * motion.step_s >= LEAST_S and gone[b - 1] - gone[a] >= LEAST_DEG
    ]
    if not stretches:
        return None
    first, stop = stretches[-1]
    reached = np.flatnonzero(np.abs(away[first:stop] - arc.radius_m) <= REACHED_M)
    first += int(reached[0]) if reached.size else 0
    turn = next(
        (
            each
            for each in flight.turns
            if each.start_s >= motion.time_s[first] and abs(each.degrees) > 45.0 and each.start_s <= to_s
        ),
        None,
    )
    end_s = float(motion.time_s[stop - 1]) if turn is None else min(turn.start_s, float(motion.time_s[stop - 1]))
    here = np.flatnonzero((motion.time_s >= motion.time_s[first]) & (motion.time_s <= max(end_s, motion.time_s[first])))
    worst = int(here[int(np.argmax(np.abs(away[here] - arc.radius_m)))])
    speed = float(np.interp(end_s, motion.time_s, motion.groundspeed_mps))
    left_deg = abs(sweep) - float(np.interp(end_s, motion.time_s, gone))
    return ArcMeasure(
        float(motion.time_s[first]),
        end_s,
        float(away[worst] - arc.radius_m),
        float(motion.time_s[worst]),
        max(POSITION_SIGMA_M, float(motion.position_sigma_m[worst])),
        arc.radius_m,
        None if turn is None else left_deg,
        float(np.degrees(speed / np.radians(STANDARD_RATE_DEG_S) / arc.radius_m)),
    )
