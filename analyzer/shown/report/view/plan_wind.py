"""What the wind did, for the plan view: headings at whole minutes, drift in the turns; and the flight put right."""

import math

import numpy as np

from analyzer.given import Wind
from analyzer.judged import AssessedAttempt, Assessment
from analyzer.shown.report.view import wording
from analyzer.shown.report.view.chips import chip_words
from analyzer.shown.report.view.series import Series
from analyzer.shown.report.view.values import Drift, Point, PutRight, Tick
from analyzer.units import METRES_PER_NM, FloatArray

LEAST_DRIFT_M = 150.0  # what the wind adds to a turn is drawn from so much on: less is hidden by the path
MOST_TICKS = 40
PUT_RIGHT_STEP_S = 2.0
USUAL_SPEED_MPS = 50.0  # of a path that is timed without a known airspeed; causes are known with one only
_DRIFT_POINTS = 60


def points(east_m: FloatArray, north_m: FloatArray) -> tuple[Point, ...]:
    """Return places in nautical miles for the page."""
    east, north = np.round(east_m / METRES_PER_NM, 4), np.round(north_m / METRES_PER_NM, 4)
    return tuple(zip(east.tolist(), north.tolist(), strict=True))


def heading_true_deg(series: Series, wind: Wind) -> FloatArray:
    """Return where the nose pointed, degrees true, shape (n,): the ground velocity with the wind taken off."""
    track = np.radians(series.track_true_deg)
    east = series.groundspeed_mps * np.sin(track) - wind.east_mps
    north = series.groundspeed_mps * np.cos(track) - wind.north_mps
    return np.asarray(np.mod(np.degrees(np.arctan2(east, north)), 360.0))


def minute_ticks(assessment: Assessment, series: Series) -> tuple[Tick, ...]:
    """Return the whole minutes of the stretch; every second or fifth of a long one."""
    start, end = float(series.time_s[0]), float(series.time_s[-1])
    step = next(
        each for each in (1, 2, 5, 10, 30, 60, 240, 1440) if (end - start) / 60.0 / each <= MOST_TICKS or each == 1440
    )
    first = math.ceil(start / 60.0 / step) * step
    heading = heading_true_deg(series, assessment.wind) if assessment.wind is not None else None
    found: list[Tick] = []
    for minute in range(first, int(end // 60) + 1, step):
        if len(found) >= 2 * MOST_TICKS:
            break
        index = int(np.argmin(np.abs(series.time_s - 60.0 * minute)))
        if abs(float(series.time_s[index]) - 60.0 * minute) > 5.0 or series.in_gap[index]:
            continue
        place = points(series.east_m[index : index + 1], series.north_m[index : index + 1])[0]
        nose = None if heading is None else round(float(heading[index]), 1)
        found.append(Tick(place, nose, round(float(series.track_true_deg[index]), 1), minute))
    return tuple(found)


def drifts(assessment: Assessment, assessed: AssessedAttempt | None, series: Series) -> tuple[Drift, ...]:
    """Return what the wind did in each turn of the reversal: the flown path with the wind's way taken off."""
    wind = assessment.wind
    if assessed is None or wind is None:
        return ()
    found = []
    for one in assessed.measures.turns:
        start, end = one.turn.start_s, one.turn.end_s
        inside = np.flatnonzero((series.time_s >= start) & (series.time_s <= end))
        blown_m = wind.speed_mps * (end - start)
        if inside.size < 4 or blown_m < LEAST_DRIFT_M:
            continue
        inside = inside[:: max(1, inside.size // _DRIFT_POINTS)]
        since = series.time_s[inside] - start
        still = points(series.east_m[inside] - wind.east_mps * since, series.north_m[inside] - wind.north_mps * since)
        flown = points(series.east_m[inside[-1:]], series.north_m[inside[-1:]])[0]
        words = (
            f"{one.phase}: in {wording.seconds(end - start)} the wind moved the aircraft {wording.miles(blown_m)}; "
            "the thin line is the same turn in still air"
        )
        found.append(Drift(still, flown, words))
    return tuple(found)


def put_right(assessment: Assessment, assessed: AssessedAttempt | None) -> tuple[PutRight, ...]:
    """Return the re-flown path of each cause that has one, the largest of each effect first; each cause once."""
    causes = assessed.causes if assessed is not None else None
    if causes is None:
        return ()
    found: dict[str, PutRight] = {}
    for effect in causes.effects:
        for cause in effect.causes:
            if cause.name in found or len(cause.along_m) < 2:
                continue
            east, north = assessment.frame.east_north_from_along_cross(cause.along_m, cause.cross_m)
            time = _flying_times_s(np.asarray(east), np.asarray(north), assessment.wind)
            even = np.arange(0.0, time[-1] + PUT_RIGHT_STEP_S, PUT_RIGHT_STEP_S)
            path = points(np.interp(even, time, east), np.interp(even, time, north))
            words = wording.sentence(cause.text)
            found[cause.name] = PutRight(chip_words(effect, cause), words, path, cause.from_s, PUT_RIGHT_STEP_S)
    return tuple(found.values())


def _flying_times_s(east_m: FloatArray, north_m: FloatArray, wind: Wind | None) -> FloatArray:
    """Return when each place of a path is reached, seconds after its first, shape (n,), at the flight's airspeed.

    A step d takes the time t in which the air, moving with w, leaves |d - w t| to the true airspeed V: V t.
    """
    step_east, step_north = np.diff(east_m), np.diff(north_m)
    length = np.hypot(step_east, step_north)
    if wind is None or wind.tas_mps is None or wind.speed_mps >= wind.tas_mps:
        return np.concatenate([[0.0], np.cumsum(length / USUAL_SPEED_MPS)])
    against = step_east * wind.east_mps + step_north * wind.north_mps
    spare = wind.tas_mps**2 - wind.speed_mps**2
    took = (-against + np.sqrt(against**2 + spare * length**2)) / spare
    return np.concatenate([[0.0], np.cumsum(took)])
