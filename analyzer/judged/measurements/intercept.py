"""How the inbound course was taken up: angle, overshoot, crossings, the needle from established to the fix."""

from dataclasses import dataclass, replace

import numpy as np

from analyzer.flown import Attempt, Flight, FlownTurn, Motion, established_time
from analyzer.given import Frame, Procedure
from analyzer.judged.measurements.altitudes import inbound_passage_s
from analyzer.judged.measurements.arc import track_in_turn
from analyzer.judged.measurements.containment import POSITION_SIGMA_M
from analyzer.judged.measurements.crossings import EXACT_NOISE_M, Crossing, course_crossings, needle_crossings
from analyzer.judged.measurements.homing import measure_homing
from analyzer.judged.measurements.near_station import measure_near_station, near_of
from analyzer.judged.measurements.straight import straight_fit
from analyzer.judged.measurements.values import Intercept
from analyzer.planned import Plan, deflection, in_cone
from analyzer.units import BoolArray, FloatArray, wrap_180

#: a course line that is crossed by less than the doubt about a smoothed position is not overshot there: two sigma of
#: its own noise, and what satellite positions wander by together, which that noise does not show; a simulator's don't
CROSSING_SIGMAS, WANDER_M, EXACT_M = 2.0, 8.0, 2.0
#: where a turn runs straight onto the course, any side that is seen counts: its angle is asked for, no overshoot
TAKEN_UP_M, TAKEN_UP_EXACT_M = 3.0, 0.3
#: the track before a turn is taken over up to so many seconds, after so many for the wings to be level
LEVEL_WINDOW_S, LEVEL_LEAST_S = 10.0, 3.0
#: a window that leaves more doubt than this, as one with a gap in it, is made longer
LEVEL_SIGMA_DEG = 1.5
#: a turn that starts nearer to the inbound course than this is a correction, not the turn onto it
TURN_ONTO_LEAST_DEG = 10.0
#: a course line that is crossed on the way out, as a parallel entry may do, is not taken up there
INBOUND_WITHIN_DEG = 90.0
#: straight enough to read a track from: 0.7 deg/s is what a correction of a few degrees takes
LEVEL_RATE_DEG_S = 0.7
#: how well the moment of a roll-in is known (seconds, 1 sigma), and the slowest cross-track speed it is judged at
ROLL_IN_SIGMA_S, SLOWEST_CROSS_MPS = 0.7, 5.0


@dataclass(frozen=True)
class _Stretch:
    """Motion from the start of the last reversal turn to the fix or the end, shape (n,), its ends interpolated."""

    time_s: FloatArray
    along_m: FloatArray
    cross_m: FloatArray
    relative_deg: FloatArray
    rate_deg_s: FloatArray
    deflection: FloatArray
    sigma_m: FloatArray
    cone: BoolArray

    def at(self, values: FloatArray, moment_s: float) -> float:
        """Return one of the columns at a moment."""
        return float(np.interp(moment_s, self.time_s, values))

    def track_deg(self, moment_s: float) -> float:
        """Return the track relative to the inbound course at a moment, in [-180, 180)."""
        unwrapped = np.degrees(np.unwrap(np.radians(self.relative_deg)))
        return wrap_180(self.at(unwrapped, moment_s))


@dataclass(frozen=True)
class _Angle:
    """Angle between track and course, where it was taken and with which sigma; the turn onto the course."""

    degrees: float
    at_s: float
    sigma_deg: float
    turn: FlownTurn | None


def measure_intercept(attempt: Attempt, flight: Flight, plan: Plan, position_sigma_m: float | None = None) -> Intercept:
    """Return how the inbound course was taken up on the last lap.

    Parameters
    ----------
    attempt : Attempt
    flight : Flight
        Where its wind is known, an angle inside a turn is told from the arc through the air; where its altitude is
        known, the station has a cone.
    plan : Plan
    position_sigma_m : float, optional
        As stated by the user; 10 m otherwise.
    """
    motion, wind, altitude_m = flight.motion, flight.wind, flight.altitude_m
    procedure, frame = plan.procedure, plan.frame
    stated = POSITION_SIGMA_M if position_sigma_m is None else position_sigma_m
    established_s = attempt.established_s[-1] if attempt.established_s else None
    passage_s = inbound_passage_s(attempt)
    stop_s = attempt.end_s if passage_s is None else passage_s
    needle = deflection(procedure, frame, motion.along_m, motion.cross_m)
    cone = in_cone(procedure, frame, motion.along_m, motion.cross_m, altitude_m)
    reversal = attempt.phase("reversal turn", attempt.laps)
    if reversal is None or not stop_s > reversal.start_s:
        return _nothing(established_s, motion, stated)
    stretch = _stretch(motion, needle, cone, reversal.start_s, stop_s)
    wander_m = EXACT_M if motion.noise_m < EXACT_NOISE_M else WANDER_M
    least_m = np.maximum(wander_m, CROSSING_SIGMAS * stretch.sigma_m)
    counted = needle_crossings(motion, procedure, frame, altitude_m, reversal.start_s, stop_s)
    line = course_crossings(stretch.time_s, stretch.cross_m, least_m, None)
    side = procedure.side * (-1 if attempt.wrong_side else 1)
    until_s = stop_s if established_s is None else min(established_s, stop_s)
    overshoot_m, overshoot_at_s = _overshoot(stretch, line, side, until_s)
    seen_m = TAKEN_UP_EXACT_M if motion.noise_m < EXACT_NOISE_M else TAKEN_UP_M
    cut = course_crossings(stretch.time_s, stretch.cross_m, np.full(len(stretch.time_s), seen_m), None)
    onto = tuple(one for one in cut if abs(stretch.track_deg(one.at_s)) < INBOUND_WITHIN_DEG)
    blows = (0.0, 0.0) if wind is None else frame.along_cross_from_east_north(wind.east_mps, wind.north_mps)
    angle = _angle(attempt, motion, stretch, onto, reversal.end_s, until_s, blows)
    late_s, late_sigma_s = _turn_late(motion, stretch, angle, stated) if angle is not None else (None, None)
    rms, largest, largest_at_s = _kept(stretch, established_s, stop_s)
    near = near_of(flight, plan)[np.clip(np.searchsorted(motion.time_s, stretch.time_s), 0, len(motion) - 1)]
    far = replace(stretch, cone=stretch.cone | near)
    _, steady, steady_at_s = _kept(far, established_s, stop_s)
    turn = None if angle is None else angle.turn
    after_s = None
    if established_s is None and passage_s is not None:
        after_s = established_time(motion, needle, cone, passage_s, attempt.end_s, to_fix=False)
    return Intercept(
        angle_deg=None if angle is None else angle.degrees,
        overshoot_m=overshoot_m,
        overshoot_at_s=overshoot_at_s,
        crossings=len(counted),
        established=established_s is not None,
        established_s=established_s,
        established_at_m=None if established_s is None else _distance_m(motion, established_s),
        rms_deflection=rms,
        max_deflection=largest,
        max_deflection_at_s=largest_at_s,
        sigma_m=max(stated, stretch.at(stretch.sigma_m, until_s)),
        overshoot_deflection=(None if overshoot_at_s is None else abs(stretch.at(stretch.deflection, overshoot_at_s))),
        max_deflection_sigma=(
            None if largest_at_s is None else _deflection_sigma(procedure, frame, stretch, largest_at_s, stated)
        ),
        angle_at_s=None if angle is None else angle.at_s,
        angle_sigma_deg=None if angle is None else angle.sigma_deg,
        turn_onto_course_s=None if turn is None else turn.start_s,
        turn_late_s=late_s,
        turn_late_sigma_s=late_sigma_s,
        established_after_fix_s=after_s,
        near=measure_near_station(attempt, flight, plan, reversal.start_s, stop_s),
        homing=measure_homing(flight, plan, reversal.end_s, stop_s),
        steady_deflection=steady,
        steady_deflection_at_s=steady_at_s,
        steady_deflection_sigma=(
            None if steady_at_s is None else _deflection_sigma(procedure, frame, stretch, steady_at_s, stated)
        ),
    )


def _nothing(established_s: float | None, motion: Motion, stated: float) -> Intercept:
    """Return what is left to say without a reversal turn."""
    return Intercept(
        angle_deg=None,
        overshoot_m=None,
        overshoot_at_s=None,
        crossings=None,
        established=established_s is not None,
        established_s=established_s,
        established_at_m=None if established_s is None else _distance_m(motion, established_s),
        rms_deflection=None,
        max_deflection=None,
        max_deflection_at_s=None,
        sigma_m=stated,
    )


def _stretch(motion: Motion, needle: FloatArray, cone: BoolArray, start_s: float, stop_s: float) -> _Stretch:
    inside = (motion.time_s > start_s) & (motion.time_s < stop_s)
    time = np.concatenate([[start_s], motion.time_s[inside], [stop_s]])
    unwrapped = np.degrees(np.unwrap(np.radians(motion.track_relative_deg)))
    columns = (
        motion.along_m,
        motion.cross_m,
        unwrapped,
        motion.turn_rate_deg_s,
        needle,
        motion.position_sigma_m,
    )
    along, cross, relative, rate, deflected, sigma = (np.interp(time, motion.time_s, values) for values in columns)
    nearest = np.clip(np.searchsorted(motion.time_s, time), 0, len(motion) - 1)
    wrapped = wrap_180(relative)
    return _Stretch(time, along, cross, wrapped, rate, deflected, sigma, cone[nearest])


def _overshoot(stretch: _Stretch, line: tuple[Crossing, ...], side: int, until_s: float) -> tuple[float, float | None]:
    """Largest cross-track away from the manoeuvre between the first crossing and established, and when."""
    if not line or line[0].at_s >= until_s:
        return 0.0, None
    between = (stretch.time_s >= line[0].at_s) & (stretch.time_s <= until_s)
    time = np.concatenate([stretch.time_s[between], [until_s]])
    beyond = -side * np.interp(time, stretch.time_s, stretch.cross_m)
    worst = int(np.argmax(beyond))
    if beyond[worst] <= 0.0:
        return 0.0, None
    return float(beyond[worst]), float(time[worst])


def _kept(
    stretch: _Stretch, established_s: float | None, stop_s: float
) -> tuple[float | None, float | None, float | None]:
    """Root mean square and largest deflection from established to the fix, outside the cone, and when."""
    if established_s is None or established_s >= stop_s:
        return None, None, None
    heard = (stretch.time_s >= established_s) & (stretch.time_s <= stop_s) & ~stretch.cone
    if not np.any(heard):
        return None, None, None
    time, needle = stretch.time_s[heard], stretch.deflection[heard]
    worst = int(np.argmax(np.abs(needle)))
    return float(np.sqrt(np.mean(needle**2))), float(abs(needle[worst])), float(time[worst])


def _deflection_sigma(procedure: Procedure, frame: Frame, stretch: _Stretch, at_s: float, stated: float) -> float:
    along, cross = stretch.at(stretch.along_m, at_s), stretch.at(stretch.cross_m, at_s)
    sigma = max(stated, stretch.at(stretch.sigma_m, at_s))
    shifted = deflection(procedure, frame, along, np.array([cross - sigma, cross + sigma]))
    return float(0.5 * (shifted[1] - shifted[0]))


def _angle(
    attempt: Attempt,
    motion: Motion,
    stretch: _Stretch,
    line: tuple[Crossing, ...],
    reversal_end_s: float,
    until_s: float,
    wind_mps: tuple[float, float],
) -> _Angle | None:
    """Angle at the last level moment before the turn onto the course; at the first crossing without such a turn."""
    reversal_turn = next(
        (turn for name, lap, turn in reversed(attempt.turns) if name == "reversal turn" and lap == attempt.laps), None
    )
    intercept = attempt.phase("intercept", attempt.laps)
    if intercept is not None:
        later = [
            turn for name, lap, turn in attempt.turns if lap == attempt.laps and turn.start_s >= reversal_end_s - 1.0
        ]
        before_s = reversal_end_s
        for turn in later:
            if turn.start_s > intercept.end_s:
                break
            start = stretch.track_deg(turn.start_s)
            if abs(start) >= TURN_ONTO_LEAST_DEG and start * turn.degrees < 0.0:
                return _level_angle(motion, before_s, turn.start_s, turn)
            before_s = turn.end_s
        # rolled out short of the course at a shallow angle, and onto it by corrections too small to be a turn
        level_s = None if line and line[0].at_s <= reversal_end_s else _last_level_s(stretch, reversal_end_s, until_s)
        if level_s is not None:
            return _level_angle(motion, reversal_end_s, level_s, None)
    if line:
        at_s = line[0].at_s
        track, sigma = stretch.track_deg(at_s), float(np.interp(at_s, motion.time_s, motion.track_sigma_deg))
        if reversal_turn is not None:
            arc = track_in_turn(motion, at_s, reversal_turn.start_s, reversal_turn.end_s, wind_mps)
            track, sigma = arc if arc is not None and arc[1] < sigma else (track, sigma)
        return _Angle(abs(track), at_s, sigma, reversal_turn)
    if reversal_turn is None:
        return None
    sigma = float(np.interp(reversal_turn.end_s, motion.time_s, motion.track_sigma_deg))
    return _Angle(0.0, reversal_turn.end_s, sigma, reversal_turn)


def _level_angle(motion: Motion, from_s: float, to_s: float, turn: FlownTurn | None) -> _Angle | None:
    """Track over the last seconds of a straight, from the recorded positions."""
    fit = None
    for window_s in (LEVEL_WINDOW_S, 2.0 * LEVEL_WINDOW_S, 3.0 * LEVEL_WINDOW_S):
        first = min(max(from_s, to_s - window_s), to_s - LEVEL_LEAST_S)
        longer = straight_fit(motion, first, to_s)
        if longer is not None and (fit is None or longer.track_sigma_deg < fit.track_sigma_deg):
            fit = longer
        if fit is not None and fit.track_sigma_deg <= LEVEL_SIGMA_DEG:
            break
    if fit is None:
        return None
    return _Angle(abs(fit.track_relative_deg), to_s, fit.track_sigma_deg, turn)


def _last_level_s(stretch: _Stretch, from_s: float, until_s: float) -> float | None:
    level = (stretch.time_s >= from_s) & (stretch.time_s <= until_s) & (np.abs(stretch.rate_deg_s) < LEVEL_RATE_DEG_S)
    index = np.flatnonzero(level)
    return float(stretch.time_s[index[-1]]) if index.size else None


def _turn_late(motion: Motion, stretch: _Stretch, angle: _Angle, stated: float) -> tuple[float | None, float | None]:
    """Seconds by which the turn onto the course began too late, see `Intercept`."""
    turn = angle.turn
    if turn is None:
        return None, None
    before = straight_fit(motion, turn.start_s - 6.0, turn.start_s)
    if before is None or abs(before.cross_mps) < SLOWEST_CROSS_MPS:
        return None, None
    around = (stretch.time_s >= 0.5 * (turn.start_s + turn.end_s)) & (stretch.time_s <= turn.end_s + 3.0)
    index = np.flatnonzero(around)
    if index.size == 0:
        return None, None
    parallel = int(index[np.argmin(np.abs(stretch.relative_deg[index]))])
    if abs(stretch.relative_deg[parallel]) > TURN_ONTO_LEAST_DEG:
        return None, None
    late_s = float(stretch.cross_m[parallel]) / before.cross_mps
    sigma = float(np.hypot(max(stated, stretch.sigma_m[parallel]) / before.cross_mps, ROLL_IN_SIGMA_S))
    return late_s, sigma


def _distance_m(motion: Motion, at_s: float) -> float:
    along, cross = (np.interp(at_s, motion.time_s, values) for values in (motion.along_m, motion.cross_m))
    return float(np.hypot(along, cross))
