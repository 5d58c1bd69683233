"""Needle, established, crossings, overshoot and limits of a noise-free flight, by the published definitions."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from analyzer.given import AltitudeLimit, Procedure, frame_of
from analyzer.synthesis.aircraft import State
from analyzer.units import METRES_PER_FOOT, FloatArray, runs

ARRIVAL_MEAN_S = 30.0
ESTABLISHED_DEFLECTION = 0.5
ESTABLISHED_TRACK_DEG = 10.0
ESTABLISHED_FOR_S = 10.0
CROSSING_DEFLECTION = 0.1
#: half-angle of the cone of ambiguity from the vertical, PANS-OPS II 2.5.1 and 2.5.2
CONE_DEG = {"VOR": 50.0, "NDB": 40.0}


@dataclass(frozen=True)
class Violation:
    """One stretch beyond a limit; `worst` is the largest distance beyond it, metres, at `worst_at_s`."""

    start_s: float
    end_s: float
    worst_m: float
    worst_at_s: float


def arrival_track_deg(state: State, passage_s: float) -> float:
    """Return the mean ground track of the last 30 s before a passage, relative to the inbound course."""
    span = (state.time_s > passage_s - ARRIVAL_MEAN_S) & (state.time_s <= passage_s)
    angle = np.radians(state.track_relative_deg[span])
    return float(np.degrees(np.arctan2(np.sin(angle).mean(), np.cos(angle).mean())))


def deflections(state: State, procedure: Procedure) -> FloatArray:
    """Return the needle in parts of full scale, positive where the aircraft is right of the inbound course."""
    guidance = procedure.guidance
    if guidance.full_scale_m is not None:
        return state.cross_m / guidance.full_scale_m
    along, cross = frame_of(procedure).along_cross_m(guidance.station.latitude_deg, guidance.station.longitude_deg)
    angle = np.degrees(np.arctan2(state.cross_m - cross, np.abs(state.along_m - along)))
    return np.asarray(angle / (guidance.full_scale_deg or 10.0))


def true_cone_radius_m(state: State, procedure: Procedure) -> FloatArray:
    """Return the radius about the fix inside which the needle does not count, zeros where there is no cone."""
    guidance = procedure.guidance
    half_angle = CONE_DEG.get(guidance.kind)
    elevation = guidance.station.elevation_m
    at_fix = (
        guidance.station.latitude_deg == procedure.fix.latitude_deg
        and guidance.station.longitude_deg == procedure.fix.longitude_deg
    )
    if elevation is None and at_fix:
        elevation = procedure.fix.elevation_m
    if half_angle is None or elevation is None or not at_fix:
        return np.zeros(len(state))
    return np.asarray(np.maximum(0.0, state.altitude_m - elevation) * np.tan(np.radians(half_angle)))


def established_index(
    state: State, deflection: FloatArray, in_cone: npt.NDArray[np.bool_], first: int, last: int, to_fix: bool
) -> int | None:
    """Return the first index from which needle and track stay within bounds for 10 s or to the fix, or None.

    Inside the cone the needle neither establishes nor breaks. Where the flight does not reach the fix (`to_fix`
    False) fewer than 10 s to the end do not establish.
    """
    span = slice(first, last + 1)
    on_track = np.abs(state.track_relative_deg[span]) <= ESTABLISHED_TRACK_DEG
    on_needle = np.abs(deflection[span]) <= ESTABLISHED_DEFLECTION
    cone = in_cone[span]
    begins = on_track & on_needle & ~cone
    stays = on_track & (on_needle | cone)
    time = state.time_s[span]
    count = len(time)
    broken = np.where(stays, count, np.arange(count))
    next_break = np.minimum.accumulate(broken[::-1])[::-1]
    for index in np.flatnonzero(begins).tolist():
        stop = int(next_break[index])
        if stop >= count:
            if to_fix or time[-1] - time[index] >= ESTABLISHED_FOR_S:
                return first + index
            return None
        if time[stop] - time[index] >= ESTABLISHED_FOR_S:
            return first + index
    return None


def count_crossings(deflection: FloatArray, in_cone: npt.NDArray[np.bool_]) -> int:
    """Return how often the course is crossed, excursions of under a tenth of full scale ignored."""
    sides = np.where(np.abs(deflection) >= CROSSING_DEFLECTION, np.sign(deflection), 0.0)
    sides = sides[~in_cone]
    sides = sides[sides != 0.0]
    return int(np.count_nonzero(np.diff(sides)))


def overshoot_of(cross_m: FloatArray, side: int) -> float:
    """Return the largest distance on the side away from the manoeuvre after the first crossing, else 0."""
    changes = np.flatnonzero(cross_m[1:] * cross_m[:-1] < 0.0)
    if not changes.size:
        return 0.0
    return float(max(0.0, np.max(-side * cross_m[changes[0] + 1 :])))


def time_crossed(time_s: FloatArray, values: FloatArray, index: int) -> float:
    """Return when the values pass zero between an index and the next, linearly."""
    before, after = float(values[index]), float(values[index + 1])
    part = before / (before - after) if before != after else 0.0
    return float(time_s[index] + part * (time_s[index + 1] - time_s[index]))


def beyond(time_s: FloatArray, excess: FloatArray) -> tuple[Violation, ...]:
    """Return the stretches in which `excess` is positive, starts and ends interpolated to zero."""
    outside = excess > 0.0
    found = []
    for first, after in runs(outside):
        start = time_crossed(time_s, excess, first - 1) if first > 0 else float(time_s[0])
        end = time_crossed(time_s, excess, after - 1) if after < len(excess) else float(time_s[-1])
        worst = first + int(np.argmax(excess[first:after]))
        found.append(Violation(start, end, float(excess[worst]), float(time_s[worst])))
    return tuple(found)


def distance_excursions(time_s: FloatArray, distance_m: FloatArray, limit_m: float) -> tuple[Violation, ...]:
    """Return the stretches beyond the distance limit."""
    return beyond(time_s, distance_m - limit_m)


def altitude_violations(
    time_s: FloatArray, altitude_m: FloatArray, limit: AltitudeLimit, lands: bool
) -> tuple[Violation, ...]:
    """Return the stretches outside an altitude limit.

    `worst_m` is the distance beyond the limit itself. At an "at" altitude more than 100 ft count, and only once the
    altitude was reached. Where the flight lands, the last descent below the limit is the landing.
    """
    tolerance = 100.0 * METRES_PER_FOOT if limit.rule == "at" else 0.0
    excess = np.full(len(time_s), -np.inf)
    if limit.low_m is not None and limit.rule != "at or below":
        excess = np.maximum(excess, limit.low_m - altitude_m)
    if limit.high_m is not None and limit.rule != "at or above":
        excess = np.maximum(excess, altitude_m - limit.high_m)
    if limit.rule == "at":
        reached = np.flatnonzero(excess <= tolerance)
        if not reached.size:
            return ()
        begin = int(reached[0])
        time_s, excess = time_s[begin:], excess[begin:]
    found = beyond(time_s, excess - tolerance)
    if lands and found and found[-1].end_s >= float(time_s[-1]) - 1e-6:
        found = found[:-1]
    return tuple(Violation(one.start_s, one.end_s, one.worst_m + tolerance, one.worst_at_s) for one in found)
