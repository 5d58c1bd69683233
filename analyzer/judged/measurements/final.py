"""The final: the needle from the fix to where it ends, the step-down fixes, the missed approach."""

from dataclasses import replace

import numpy as np

from analyzer.flown import Attempt, Flight, Motion, RecordedProfile
from analyzer.given import Frame, Procedure, StepFix
from analyzer.judged.measurements.altitudes import inbound_passage_s
from analyzer.judged.measurements.containment import POSITION_SIGMA_M
from analyzer.judged.measurements.final_values import FinalMeasure, GateMeasure, MissedMeasure, StepMeasure
from analyzer.planned import Plan, deflection, full_scale_m, near_station, off_course_m
from analyzer.standards import figure
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, BoolArray, FloatArray

#: a runway farther off the inbound course has a final course of its own, which the file doesn't say (own choice)
OFF_RUNWAY_DEG = 3.0
#: the needle is looked at in 5 s means: one flicker is no deviation (own choice)
MEAN_S = 5.0
SIGMAS = 2.0  # of doubt, as everywhere
#: in the last mile to the runway it is looked at, and the needle is narrow (own choice)
LAST_M = 1.0 * METRES_PER_NM
#: who turns off its course by so much has left the final (own choice)
LEFT_DEG = 60.0
#: steady by this height above the field, looked at over so long (common practice; the seconds are an own choice)
GATE_M, GATE_S = figure("descent.low.height").value * METRES_PER_FOOT, 10.0
#: a climb that goes on for so much height, and does not come down again, is a missed approach (own choice)
CLIMB_M = 300.0 * METRES_PER_FOOT
#: what a position in seconds of flight is worth: the moment a point is passed is known no better (own choice)
MOMENT_SIGMA_S = 2.0


def measure_final(
    attempt: Attempt, flight: Flight, plan: Plan, until_s: float | None, landed_s: float | None = None
) -> FinalMeasure | None:
    """Return what was flown on the final, None where the file says nothing of it or the fix was not passed inbound.

    Parameters
    ----------
    attempt : Attempt
    flight : Flight
    plan : Plan
        Only procedures with a runway, step-down fixes or a missed approach point have a final.
    until_s : float or None
        When the runway threshold was passed, None without a runway.
    landed_s : float, optional
        When the aircraft touched down: what climbs away after that has taken off, and is no missed approach.

    Notes
    -----
    The needle is followed from the fix, clear of the station and the last mile, to the missed approach point, the
    threshold or the climb of a missed approach, whichever comes first.
    """
    procedure, motion = plan.procedure, flight.motion
    start_s = inbound_passage_s(attempt)
    if start_s is None or not (procedure.runway or procedure.steps or procedure.missed_approach):
        return None
    left_s = _left_s(start_s, attempt.end_s, flight)
    if procedure.reversal == "holding" and left_s is not None:
        return None  # a hold is no approach: who leaves it another way has no final
    point_s = point_passed_s(start_s, attempt, flight, plan)
    climb_s = None if landed_s is not None else climb_begun_s(start_s, attempt.end_s, flight.recorded)
    ends = [moment for moment in (until_s, point_s, climb_s, left_s) if moment is not None]
    end_s = min([attempt.end_s, *ends])
    steps = _steps(start_s, end_s, flight, plan)
    missed = None if climb_s is None else _missed(climb_s, point_s, procedure, flight.recorded, attempt.end_s)
    times = _times(start_s, end_s, point_s, flight, plan)
    reason = _no_course(plan)
    inside = (motion.time_s >= start_s) & (motion.time_s <= end_s) & ~motion.in_gap
    inside &= ~near_station(procedure, plan.frame, motion.along_m, motion.cross_m) & ~_last_mile(plan, motion)
    if reason is None and np.count_nonzero(inside) * motion.step_s < 2.0 * MEAN_S:
        reason = "too little of it lies clear of the station and the runway"
    if reason is not None:
        return FinalMeasure(
            start_s, end_s, None, None, None, None, steps, missed, reason, *times, gate_of(start_s, end_s, flight, plan)
        )
    needle = _means(deflection(procedure, plan.frame, motion.along_m, motion.cross_m), motion.step_s)
    # of constant deflection the place counts where it is surest: near the station a metre is a large part of the scale
    scale_m = np.maximum(full_scale_m(procedure, plan.frame, motion.along_m), 1.0)
    sigma = np.maximum(POSITION_SIGMA_M, motion.position_sigma_m) / scale_m
    sure = np.abs(needle) - SIGMAS * sigma
    here = int(np.flatnonzero(inside)[int(np.argmax(sure[inside]))])
    off = off_course_m(procedure, plan.frame, motion.along_m[here], motion.cross_m[here])
    return FinalMeasure(
        start_s,
        end_s,
        abs(float(needle[here])),
        float(motion.time_s[here]),
        float(sigma[here]),
        abs(float(off)),
        steps,
        missed,
        None,
        *times,
        gate_of(start_s, end_s, flight, plan, needle),
    )


def _left_s(start_s: float, end_s: float, flight: Flight) -> float | None:
    """Return where the flight turned away from the final course for good; None where it followed it to the end."""
    motion = flight.motion
    away = np.flatnonzero(
        (motion.time_s >= start_s) & (motion.time_s <= end_s) & (np.abs(motion.track_relative_deg) > LEFT_DEG)
    )
    if not away.size:
        return None
    at_s = float(motion.time_s[away[0]])
    return next((turn.start_s for turn in flight.turns if turn.start_s <= at_s <= turn.end_s), at_s)


def _times(
    start_s: float, end_s: float, point_s: float | None, flight: Flight, plan: Plan
) -> tuple[float | None, float | None, float | None]:
    """Return when the missed approach point was passed, the chart's time to it, and that at the speed flown."""
    missed, motion = plan.procedure.missed_approach, flight.motion
    if missed is None or missed.after_m is None:
        return point_s, None, None
    inside = (motion.time_s >= start_s) & (motion.time_s <= end_s)
    speed = float(np.mean(motion.groundspeed_mps[inside])) if np.any(inside) else 0.0
    return point_s, missed.after_s, missed.after_m / speed if speed > 1.0 else None


def gate_of(
    start_s: float, end_s: float, flight: Flight, plan: Plan, needle: FloatArray | None = None
) -> GateMeasure | None:
    """Return the final where it was last 1,000 ft above the field on the way down; None where it was not."""
    runway, profile, motion = plan.procedure.runway, flight.recorded.profile, flight.motion
    if runway is None or runway.elevation_m is None or profile is None:
        return None
    height_m = profile.altitude_m - runway.elevation_m
    inside = np.flatnonzero((profile.time_s >= start_s) & (profile.time_s <= end_s))
    above = inside[height_m[inside] >= GATE_M]
    if not above.size or above[-1] == inside[-1]:
        return None
    at_s = float(profile.time_s[above[-1]])
    begin, stop = (float(np.interp(at_s + after, profile.time_s, profile.altitude_m)) for after in (0.0, GATE_S))
    known = needle is not None and not bool(near_station(plan.procedure, plan.frame, *_place(motion, at_s)))
    return GateMeasure(
        at_s,
        GATE_M,
        (begin - stop) / GATE_S,
        float(np.interp(at_s, motion.time_s, motion.groundspeed_mps)),
        float(np.interp(at_s, motion.time_s, needle)) if known and needle is not None else None,
    )


def _place(motion: Motion, at_s: float) -> tuple[float, float]:
    along, cross = (float(np.interp(at_s, motion.time_s, axis)) for axis in (motion.along_m, motion.cross_m))
    return along, cross


def _last_mile(plan: Plan, motion: Motion) -> BoolArray:
    """Where the aircraft is within a mile of the runway; nowhere without one."""
    runway = plan.procedure.runway
    if runway is None:
        return np.zeros(len(motion), dtype=bool)
    along, cross = plan.frame.along_cross_m(runway.latitude_deg, runway.longitude_deg)
    return np.asarray(np.hypot(motion.along_m - along, motion.cross_m - cross) < LAST_M)


def _means(values: FloatArray, step_s: float) -> FloatArray:
    count = max(1, round(MEAN_S / step_s))
    padded = np.pad(values, (count // 2, count - 1 - count // 2), mode="edge")
    return np.convolve(padded, np.full(count, 1.0 / count), mode="valid")


def _no_course(plan: Plan) -> str | None:
    """Return why the final's course is not known, None where it is the inbound one."""
    runway = plan.procedure.runway
    if runway is None:
        return None if plan.procedure.missed_approach else "its course is not in the file without a runway"
    along, cross = plan.frame.along_cross_m(runway.latitude_deg, runway.longitude_deg)
    if along >= 0.0:
        return "the runway lies before the fix"
    off_deg = float(np.degrees(np.arctan2(abs(cross), -along)))
    if off_deg > OFF_RUNWAY_DEG:
        return f"the runway lies {off_deg:.0f}° off the inbound course"
    return None


def _along_m(frame: Frame, procedure: Procedure, step: StepFix) -> float:
    """Where along the course a step-down fix stands, negative on the inbound side of the fix."""
    origin = step.origin
    along, _ = frame.along_cross_m(origin.latitude_deg, origin.longitude_deg)
    fix = procedure.fix
    if (origin.latitude_deg, origin.longitude_deg) == (fix.latitude_deg, fix.longitude_deg):
        return -step.distance_m
    # seen from another station the course is met where the distance fits, on the side that lies ahead of the fix
    behind = float(along) - step.distance_m
    return behind if behind < 0.0 and float(along) >= 0.0 else float(along) + step.distance_m


def _steps(start_s: float, end_s: float, flight: Flight, plan: Plan) -> tuple[StepMeasure, ...]:
    profile, sigma_m = flight.recorded.profile, flight.recorded.sigma_m
    if profile is None or sigma_m is None:
        return ()
    motion = flight.motion
    found = []
    for step in plan.procedure.steps:
        at_m = _along_m(plan.frame, plan.procedure, step)
        abeam_s = _abeam_s(motion, at_m, start_s, end_s)
        passed_s = end_s if abeam_s is None else abeam_s
        inside = np.flatnonzero((profile.time_s >= start_s) & (profile.time_s <= passed_s))
        if not inside.size:
            continue
        low = int(inside[int(np.argmin(profile.altitude_m[inside]))])
        worst = float(profile.altitude_m[low])
        found.append(
            StepMeasure(step, passed_s, worst, float(profile.time_s[low]), worst - step.low_m, float(sigma_m[low]))
        )
    return tuple(found)


def point_passed_s(start_s: float, attempt: Attempt, flight: Flight, plan: Plan) -> float | None:
    """Return when the missed approach point was passed, None where it was not or is not in the file."""
    missed, motion = plan.procedure.missed_approach, flight.motion
    if missed is None:
        return None
    if missed.after_m is not None:
        fix = plan.procedure.final_fix or plan.procedure.fix
        from_m, _ = plan.frame.along_cross_m(fix.latitude_deg, fix.longitude_deg)
        at_m = float(from_m) - missed.after_m
    elif plan.procedure.runway is not None and missed.before_runway_m is not None:
        runway_m, _ = plan.frame.along_cross_m(plan.procedure.runway.latitude_deg, plan.procedure.runway.longitude_deg)
        at_m = float(runway_m) + missed.before_runway_m
    else:
        return None
    return _abeam_s(motion, at_m, start_s, attempt.end_s)


def _abeam_s(motion: Motion, along_m: float, from_s: float, to_s: float) -> float | None:
    """Return when a place along the course was first passed inbound, interpolated; None where it was not."""
    inside = np.flatnonzero((motion.time_s >= from_s) & (motion.time_s <= to_s))
    passed = inside[motion.along_m[inside] <= along_m]
    if not passed.size:
        return None
    here = int(passed[0])
    before = max(here - 1, int(inside[0]))
    places, moments = motion.along_m[[here, before]], motion.time_s[[here, before]]
    return float(np.interp(along_m, places, moments)) if places[1] > places[0] else float(moments[0])


def climb_begun_s(start_s: float, end_s: float, recorded: RecordedProfile) -> float | None:
    """Return where the climb of a missed approach began: from the lowest point on, 300 ft up and not down again."""
    profile = recorded.profile
    if profile is None:
        return None
    inside = np.flatnonzero((profile.time_s >= start_s) & (profile.time_s <= end_s))
    if inside.size < 2:
        return None
    altitude = profile.altitude_m[inside]
    lowest = int(np.argmin(altitude))
    if altitude[-1] - altitude[lowest] < CLIMB_M:
        return None
    # level flight along the minimum is not the climb yet: it begins where the lowest altitude is left for good
    level = np.flatnonzero(altitude <= altitude[lowest] + 0.1 * CLIMB_M)
    return float(profile.time_s[inside[int(level[-1])]])


def _missed(
    climb_s: float, point_s: float | None, procedure: Procedure, recorded: RecordedProfile, until_s: float
) -> MissedMeasure:
    limit = procedure.altitude("final")
    profile, sigma_m = recorded.profile, recorded.sigma_m
    to_m = None if procedure.missed_approach is None else procedure.missed_approach.climb_to_m
    if profile is None or sigma_m is None:
        return MissedMeasure(climb_s, point_s, climb_to_m=to_m)
    climbing = np.flatnonzero((profile.time_s >= climb_s) & (profile.time_s <= until_s))
    top = int(climbing[int(np.argmax(profile.altitude_m[climbing]))]) if climbing.size else None
    found = MissedMeasure(
        climb_s,
        point_s,
        climbed_m=None if top is None else float(profile.altitude_m[top]),
        climbed_at_s=None if top is None else float(profile.time_s[top]),
        climb_to_m=to_m,
    )
    if limit is None or limit.low_m is None or point_s is None:
        return found
    after = np.flatnonzero((profile.time_s >= point_s) & (profile.time_s <= max(climb_s, point_s) + 60.0))
    if not after.size:
        return found
    low = int(after[int(np.argmin(profile.altitude_m[after]))])
    lowest = float(profile.altitude_m[low])
    return replace(
        found,
        low_m=lowest,
        low_at_s=float(profile.time_s[low]),
        margin_m=lowest - limit.low_m,
        sigma_m=float(sigma_m[low]),
    )
