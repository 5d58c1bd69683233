"""The straight legs: track and heading flown, and what the wind asked for."""

import numpy as np

from analyzer.flown import Attempt, Motion, Phase
from analyzer.given import Frame, PhaseName, Procedure, Track, Wind
from analyzer.judged.measurements.straight import StraightFit, straight_fit
from analyzer.judged.measurements.values import LegEnd, LegMeasure
from analyzer.units import circular_mean_deg, difference_deg, wrap_360

STRAIGHT_LEGS: tuple[PhaseName, ...] = ("outbound", "offset leg", "intercept", "inbound")
LEAST_LEG_S = 10.0
TRIMMED_S, TRIMMED_FROM_S = 5.0, 20.0
COMPASS_SIGMA_DEG = 1.0  # a heading column is taken to be right within a degree, 1 sigma (own choice)
#: the needle at the end of an outbound leg that follows a course
WITH_OUTBOUND_COURSE = ("45/180", "80/260", "teardrop")


def measure_legs(
    attempt: Attempt, track: Track, motion: Motion, wind: Wind | None, procedure: Procedure, frame: Frame
) -> tuple[LegMeasure, ...]:
    """Return one measure for each straight phase that lasted at least 10 s, in order, see `LegMeasure`."""
    measures = []
    for phase in attempt.phases:
        if phase.name not in STRAIGHT_LEGS or phase.end_s - phase.start_s < LEAST_LEG_S:
            continue
        start_s, end_s = phase.start_s, phase.end_s
        if end_s - start_s >= TRIMMED_FROM_S:
            start_s, end_s = start_s + TRIMMED_S, end_s - TRIMMED_S
        fit = straight_fit(motion, start_s, end_s)
        if fit is not None:
            measures.append(_leg(phase, (start_s, end_s), fit, attempt, track, motion, wind, procedure, frame))
    return tuple(measures)


def measure_leg_end(attempt: Attempt, motion: Motion, procedure: Procedure, position_sigma_m: float) -> LegEnd | None:
    """Return where the last lap's outbound leg ended, None where the procedure gives it no distance or none was flown.

    Parameters
    ----------
    attempt : Attempt
        Flown as a hold, or as a teardrop where a teardrop is charted.
    motion : Motion
    procedure : Procedure
    position_sigma_m : float
        Of one position, 1 sigma.
    """
    charted_teardrop = attempt.flown_as == "teardrop" and procedure.reversal == "teardrop"
    reversal = attempt.phase("reversal turn", attempt.laps)
    if procedure.outbound_m is None or reversal is None or not (attempt.flown_as == "hold" or charted_teardrop):
        return None
    along_m, cross_m = (
        float(np.interp(reversal.start_s, motion.time_s, axis)) for axis in (motion.along_m, motion.cross_m)
    )
    return LegEnd(
        lap=attempt.laps,
        at_s=reversal.start_s,
        along_m=along_m,
        from_fix_m=float(np.hypot(along_m, cross_m)),
        charted_m=procedure.outbound_m,
        sigma_m=position_sigma_m,
        cross_m=cross_m,
    )


def _leg(
    phase: Phase,
    span: tuple[float, float],
    fit: StraightFit,
    attempt: Attempt,
    track: Track,
    motion: Motion,
    wind: Wind | None,
    procedure: Procedure,
    frame: Frame,
) -> LegMeasure:
    course = _course_true_deg(phase.name, attempt, procedure)
    heading = _heading_column(track, procedure, span)
    if heading is None and wind is not None:
        heading = _air_heading(fit, wind, frame)
    return LegMeasure(
        phase=phase.name,
        lap=phase.lap,
        start_s=phase.start_s,
        end_s=phase.end_s,
        track_true_deg=float(wrap_360(fit.track_relative_deg + frame.inbound_true_deg)),
        track_sigma_deg=fit.track_sigma_deg,
        heading_true_deg=None if heading is None else heading[0],
        heading_sigma_deg=None if heading is None else heading[1],
        course_true_deg=course,
        drift_correction_deg=None
        if course is None or wind is None
        else _drift_correction_deg(course, wind, fit, frame),
        end_deflection=_end_deflection(phase, attempt, motion, procedure, frame),
    )


def _course_true_deg(name: PhaseName, attempt: Attempt, procedure: Procedure) -> float | None:
    if name == "inbound":
        return procedure.inbound_true_deg
    if name == "offset leg":
        return procedure.offset_true_deg
    if name == "outbound":
        rounded = attempt.flown_as in ("hold", "racetrack")
        return procedure.reciprocal_true_deg if rounded else procedure.outbound_true_deg
    return None


def _heading_column(track: Track, procedure: Procedure, span: tuple[float, float]) -> tuple[float, float] | None:
    """Mean true heading of a column and its 1 sigma, None without one."""
    for name, variation_deg in (("heading_true_deg", 0.0), ("heading_magnetic_deg", procedure.variation_deg)):
        values = track.sensors.get(name)
        if values is None:
            continue
        values = values[(track.time_s >= span[0]) & (track.time_s <= span[1])]
        values = values[np.isfinite(values)]
        if values.size < 3:
            continue
        mean = circular_mean_deg(values)
        if np.isfinite(mean):
            scatter = float(np.std(difference_deg(mean, values))) / float(np.sqrt(values.size))
            return float(wrap_360(mean + variation_deg)), float(np.hypot(COMPASS_SIGMA_DEG, scatter))
    return None


def _air_heading(fit: StraightFit, wind: Wind, frame: Frame) -> tuple[float, float] | None:
    """Heading as direction of the ground velocity less the wind, and its 1 sigma."""
    east, north = frame.east_north_from_along_cross(fit.along_mps, fit.cross_mps)
    east, north = float(east) - wind.east_mps, float(north) - wind.north_mps
    speed = float(np.hypot(east, north))
    if speed < 1.0:
        return None
    variance = (np.radians(fit.track_sigma_deg) * fit.groundspeed_mps) ** 2
    if wind.covariance is not None:
        ee, en, _, nn, _, _ = wind.covariance
        across = np.array([north, -east]) / speed
        variance += across[0] ** 2 * ee + 2.0 * across[0] * across[1] * en + across[1] ** 2 * nn
    sigma = float(np.degrees(np.sqrt(max(variance, 0.0)) / speed))
    return float(wrap_360(np.degrees(np.arctan2(east, north)))), sigma


def _drift_correction_deg(course_true_deg: float, wind: Wind, fit: StraightFit, frame: Frame) -> float | None:
    """Wind correction angle on a course, positive to the right; None where no heading holds it."""
    tas_mps = wind.tas_mps
    if tas_mps is None:
        east, north = frame.east_north_from_along_cross(fit.along_mps, fit.cross_mps)
        tas_mps = float(np.hypot(east - wind.east_mps, north - wind.north_mps))
    course = np.radians(course_true_deg)
    to_the_right = wind.east_mps * np.cos(course) - wind.north_mps * np.sin(course)
    if tas_mps <= abs(to_the_right):
        return None
    return float(-np.degrees(np.arcsin(to_the_right / tas_mps)))


def _end_deflection(phase: Phase, attempt: Attempt, motion: Motion, procedure: Procedure, frame: Frame) -> float | None:
    """Needle about the outbound course at the end of the leg, positive right of it, seen flying outbound."""
    if phase.name != "outbound" or procedure.is_hold or attempt.flown_as not in WITH_OUTBOUND_COURSE:
        return None
    if attempt.flown_as == "teardrop" and procedure.reversal != "teardrop":
        return None  # a procedure turn has no course for a teardrop's outbound leg
    guidance = procedure.guidance
    relative = np.radians(procedure.outbound_true_deg - procedure.inbound_true_deg)
    station_along, station_cross = frame.along_cross_m(guidance.station.latitude_deg, guidance.station.longitude_deg)
    along, cross = (float(np.interp(phase.end_s, motion.time_s, axis)) for axis in (motion.along_m, motion.cross_m))
    right = along * np.sin(relative) + cross * np.cos(relative)
    if guidance.full_scale_m is not None:
        return float(right / guidance.full_scale_m)
    if guidance.full_scale_deg is None:
        return None
    ahead = -(along - station_along) * np.cos(relative) + (cross - station_cross) * np.sin(relative)
    return float(np.degrees(np.arctan2(right, abs(ahead))) / guidance.full_scale_deg)
