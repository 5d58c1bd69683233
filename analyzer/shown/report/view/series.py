"""What the figures and the cursor show over time for one stretch of the flight, worked out from the lower layers."""

from typing import Any, NamedTuple

import numpy as np

from analyzer.flown import Attempt
from analyzer.given import ALTITUDE_SEGMENTS, AltitudeSegment
from analyzer.judged import EXACT_BAND_M, AssessedAttempt, Assessment, segment_span
from analyzer.planned import deflection, in_cone, point_margins_m
from analyzer.units import BoolArray, FloatArray

MOST_SAMPLES = 1500  # a figure is under 900 pixels wide, and the cursor interpolates
FEWEST_SAMPLES = 400  # of one of many attempts: a page of an hour stays under a megabyte


class Series(NamedTuple):
    """Arrays of shape (n,) at evenly spaced moments; SI and degrees; nan where a value is not known.

    `deflection` is nan inside the cone of a station. `margin_m` is to the nearest edge of the distance limit and the
    primary area, from the first passage of the fix to the inbound one, nan elsewhere. `low_m` and `high_m` are the
    altitude limits of the segment the aircraft is in.
    """

    time_s: FloatArray
    east_m: FloatArray
    north_m: FloatArray
    along_m: FloatArray
    cross_m: FloatArray
    track_true_deg: FloatArray
    track_relative_deg: FloatArray
    turn_rate_deg_s: FloatArray
    groundspeed_mps: FloatArray
    distance_m: FloatArray
    deflection: FloatArray
    in_cone: BoolArray
    in_gap: BoolArray
    altitude_m: FloatArray
    low_m: FloatArray
    high_m: FloatArray
    margin_m: FloatArray

    @property
    def altitude_inside_m(self) -> FloatArray:
        """How far the altitude lies inside its limits, metres: negative outside, nan where there is no limit."""
        band = np.where(self.low_m == self.high_m, EXACT_BAND_M, 0.0)  # an exact altitude is held within its band
        low = np.where(np.isfinite(self.low_m), self.altitude_m - self.low_m + band, np.inf)
        high = np.where(np.isfinite(self.high_m), self.high_m - self.altitude_m + band, np.inf)
        inside = np.minimum(low, high)
        return np.where(np.isfinite(inside), inside, np.nan)


def segment_spans(assessed: AssessedAttempt) -> dict[AltitudeSegment, tuple[float, float]]:
    """When each altitude segment was held against its limit, seconds; segments that were not flown are left out."""
    measures = {one.limit.segment: one for one in assessed.measures.altitudes}
    found: dict[AltitudeSegment, tuple[float, float]] = {}
    for name in ALTITUDE_SEGMENTS:
        span, measure = segment_span(name, assessed.attempt), measures.get(name)
        start_s, end_s = span.start_s, span.end_s
        if measure is not None:
            start_s, end_s = measure.judged_from_s or start_s, measure.judged_until_s or end_s
        unjudged = name == "final" and measure is not None and measure.reason is not None
        if span.reason is None and end_s > start_s and not unjudged:
            found[name] = (start_s, end_s)
    return found


def series_of(
    assessment: Assessment, start_s: float, end_s: float, attempt: Attempt | None, *, every_point: bool = False
) -> Series:
    """Series between two moments of the flight, at most `MOST_SAMPLES` long unless `every_point` is asked for.

    With many attempts it is shorter.
    """
    motion, frame, procedure = assessment.motion, assessment.frame, assessment.procedure
    inside = np.flatnonzero((motion.time_s >= start_s - 1e-6) & (motion.time_s <= end_s + 1e-6))
    if inside.size == 0:
        inside = np.arange(len(motion))
    most = max(FEWEST_SAMPLES, MOST_SAMPLES // max(1, len(assessment.attempts) // 2, assessment.parts_told // 2))
    inside = inside if every_point else inside[:: 1 + (inside.size - 1) // most]
    time, along, cross = motion.time_s[inside], motion.along_m[inside], motion.cross_m[inside]
    altitude = _altitude(assessment, time)
    known = altitude if np.isfinite(altitude).any() else None
    cone = in_cone(procedure, frame, along, cross, known)
    east, north = frame.east_north_from_along_cross(along, cross)
    low, high = _limits(assessment, attempt, time)
    return Series(
        time_s=time,
        east_m=np.asarray(east),
        north_m=np.asarray(north),
        along_m=along,
        cross_m=cross,
        track_true_deg=motion.track_true_deg[inside],
        track_relative_deg=motion.track_relative_deg[inside],
        turn_rate_deg_s=motion.turn_rate_deg_s[inside],
        groundspeed_mps=motion.groundspeed_mps[inside],
        distance_m=motion.distance_m[inside],
        deflection=np.where(cone, np.nan, deflection(procedure, frame, along, cross)),
        in_cone=cone,
        in_gap=motion.in_gap[inside],
        altitude_m=altitude,
        low_m=low,
        high_m=high,
        margin_m=_margin(assessment, attempt, time, along, cross),
    )


def _altitude(assessment: Assessment, time: FloatArray) -> FloatArray:
    record = assessment.altitude
    if record is None:
        return np.full(time.shape, np.nan)
    good = np.isfinite(record.altitude_m)
    if good.sum() < 2:
        return np.full(time.shape, np.nan)
    return np.interp(time, record.time_s[good], record.altitude_m[good], left=np.nan, right=np.nan)


def _limits(assessment: Assessment, attempt: Attempt | None, time: FloatArray) -> tuple[FloatArray, FloatArray]:
    low, high = np.full(time.shape, np.nan), np.full(time.shape, np.nan)
    assessed = next((one for one in assessment.attempts if one.attempt is attempt), None)
    for segment, (start, end) in segment_spans(assessed).items() if assessed is not None else ():
        limit = assessment.procedure.altitude(segment)
        if limit is not None:
            inside = (time >= start) & (time <= end)
            low[inside] = np.nan if limit.low_m is None else limit.low_m
            high[inside] = np.nan if limit.high_m is None else limit.high_m
    return low, high


def _margin(
    assessment: Assessment, attempt: Attempt | None, time: FloatArray, along: FloatArray, cross: FloatArray
) -> FloatArray:
    margin = np.full(time.shape, np.nan)
    edges = [area.shape for area in assessment.protection if area.name in ("primary", "distance limit")]
    if attempt is None or not edges:
        return margin
    end = attempt.last_inbound_passage_s
    inside = (time >= attempt.first_passage_s) & (time <= (attempt.end_s if end is None else end))
    if inside.any():
        margin[inside] = np.min([point_margins_m(shape, along[inside], cross[inside]) for shape in edges], axis=0)
    return margin


def cut_open_deg(relative_deg: FloatArray) -> float:
    """Direction off the inbound course, degrees, that the track crosses least: where a figure of it is cut open."""
    crossings = []
    for cut in range(-180, 180, 10):
        laid = np.mod(relative_deg - cut, 360.0)
        clearance = float(np.min(np.minimum(laid, 360.0 - laid)))
        crossings.append((int(np.sum(np.abs(np.diff(laid)) > 180.0)), -clearance, cut))
    return float(min(crossings)[2])


def laid_open_deg(relative_deg: Any, cut_deg: float) -> Any:
    """Directions off the inbound course from `cut_deg` up to a full turn more."""
    return np.mod(np.asarray(relative_deg) - cut_deg, 360.0) + cut_deg
