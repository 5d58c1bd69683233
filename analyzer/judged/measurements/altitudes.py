"""Altitudes flown against the limit of each segment: the worst altitude and the stretches outside."""

from dataclasses import dataclass, replace

import numpy as np

from analyzer.flown import AltitudeProfile, Attempt, RecordedProfile
from analyzer.given import AltitudeLimit, AltitudeSegment, Procedure
from analyzer.judged.measurements.arrival import judged_from_s
from analyzer.judged.measurements.ground import Ground
from analyzer.judged.measurements.values import AltitudeMeasure, AltitudeViolation
from analyzer.units import METRES_PER_FOOT, FloatArray

#: an altitude to be flown exactly is held within 100 ft (own definition, after common practice)
EXACT_BAND_M = 100.0 * METRES_PER_FOOT
#: altimeter altitude is known to 20 ft, 1 sigma, unless the user says otherwise (own choice)
ALTIMETER_SIGMA_M = 20.0 * METRES_PER_FOOT
#: a stretch counts from this many sigma of depth on; shallower ones show in the worst altitude and its margin alone,
#: so that noise about an altitude flown at its limit makes no violation
DEPTH_SIGMAS, DEPTH_NOISE_SIGMAS = 1.5, 2.5
#: a stretch that starts flat inside the scatter starts where the altitude begins to leave the limit
FLAT_SHARE, FLAT_LEAST_S = 0.25, 2.0


@dataclass(frozen=True)
class SegmentSpan:
    """When a segment was flown; `reason` says why it was not."""

    start_s: float
    end_s: float
    reason: str | None = None


def segment_span(segment: AltitudeSegment, attempt: Attempt, judged_until_s: float | None = None) -> SegmentSpan:
    """Return when an altitude segment was flown.

    Parameters
    ----------
    segment : str
        "arrival": up to the first passage of the fix; "reversal": from there until established inbound on the last
        lap, or to the inbound passage where never established; "inbound": from established on the last lap to the
        fix; "final": after the inbound passage.
    attempt : Attempt
    judged_until_s : float, optional
        End of the final: when the runway threshold was passed.
    """
    first_s = attempt.first_passage_s if attempt.passages else attempt.start_s
    inbound_s = inbound_passage_s(attempt)
    until_s = attempt.end_s if inbound_s is None else inbound_s
    established_s = attempt.established_s[-1] if attempt.established_s else None
    if segment == "arrival":
        flown = first_s > attempt.start_s
        return SegmentSpan(attempt.start_s, first_s, None if flown else "the track starts at the fix")
    if segment == "reversal":
        return SegmentSpan(first_s, until_s if established_s is None else min(established_s, until_s))
    if segment == "inbound":
        if established_s is None:
            return SegmentSpan(until_s, until_s, "the inbound course was not established")
        return SegmentSpan(established_s, until_s)
    if inbound_s is None:
        return SegmentSpan(attempt.end_s, attempt.end_s, "the fix was not passed inbound")
    end_s = attempt.end_s if judged_until_s is None else min(judged_until_s, attempt.end_s)
    return SegmentSpan(inbound_s, end_s, None if end_s > inbound_s else "the track ends at the fix")


def inbound_passage_s(attempt: Attempt) -> float | None:
    """Return when the last lap's inbound passage was, None where the last lap was not flown to the fix."""
    final = attempt.phase("final")
    if final is not None:
        return final.start_s
    last = attempt.last_inbound_passage_s
    reached = attempt.phases[-1].end_s if attempt.phases else attempt.end_s
    return last if last is not None and last >= reached - 1.0 else None


def measure_altitudes(
    attempt: Attempt, procedure: Procedure, recorded: RecordedProfile, ground: Ground
) -> tuple[AltitudeMeasure, ...]:
    """Return one measure for each altitude limit of the procedure, in the procedure's order.

    Parameters
    ----------
    attempt : Attempt
    procedure : Procedure
    recorded : RecordedProfile
        Altimeter altitude with the 1 sigma of the record, the altimeter's own error included.
    ground : Ground
        Where the attempt and its track touch the ground: a landing breaks no limit.
    """
    profile, record_sigma_m = recorded.profile, recorded.sigma_m
    measures = []
    for limit in procedure.altitudes:
        span = segment_span(limit.segment, attempt, ground.threshold_passed_s)
        if profile is None or record_sigma_m is None:
            measures.append(_not_measured(limit, "the track has no altitudes"))
        elif span.reason is not None or span.end_s <= span.start_s:
            measures.append(_not_measured(limit, span.reason or "the segment was not flown"))
        else:
            ground_s = float(profile.time_s[-1]) if ground.landed else ground.touched_s
            measure = _measure(limit, span, profile, record_sigma_m, ground_s if limit.segment == "final" else None)
            if limit.segment == "arrival" and measure.margin_m is not None and measure.margin_m < 0.0:
                flown = _flown(limit, profile, record_sigma_m).part(*_covered(span, profile))
                begins_s = judged_from_s(
                    attempt, ground.track_starts_s, ground.took_off, flown.time_s, flown.altitude_m, flown.margin_m
                )
                if begins_s > flown.time_s[0]:
                    later = SegmentSpan(begins_s, span.end_s)
                    measure = replace(_measure(limit, later, profile, record_sigma_m, None), judged_from_s=begins_s)
            measures.append(measure)
    return tuple(measures)


def _covered(span: SegmentSpan, profile: AltitudeProfile) -> tuple[float, float]:
    """Return the part of a segment that has altitudes."""
    return max(span.start_s, float(profile.time_s[0])), min(span.end_s, float(profile.time_s[-1]))


def _flown(limit: AltitudeLimit, profile: AltitudeProfile, record_sigma_m: FloatArray) -> "_Flown":
    return _Flown(
        profile.time_s,
        profile.altitude_m,
        margin_m(limit, profile.altitude_m),
        profile.noise_sigma_m,
        np.maximum(record_sigma_m, profile.noise_sigma_m),
    )


def _not_measured(limit: AltitudeLimit, reason: str) -> AltitudeMeasure:
    return AltitudeMeasure(limit, None, None, None, None, (), reason)


@dataclass(frozen=True)
class _Flown:
    """Altitudes of one segment with its ends interpolated, shape (n,); margin is positive inside the limit."""

    time_s: FloatArray
    altitude_m: FloatArray
    margin_m: FloatArray
    noise_sigma_m: FloatArray
    sigma_m: FloatArray

    def part(self, start_s: float, end_s: float) -> "_Flown":
        """Return the stretch from one moment to another, both interpolated."""
        inside = (self.time_s > start_s) & (self.time_s < end_s)
        time = np.concatenate([[start_s], self.time_s[inside], [end_s]])
        columns = (self.altitude_m, self.margin_m, self.noise_sigma_m, self.sigma_m)
        return _Flown(time, *(np.interp(time, self.time_s, values) for values in columns))


def margin_m(limit: AltitudeLimit, altitude_m: FloatArray) -> FloatArray:
    """Return how far inside its limit each altitude is, negative outside; an exact altitude has a band of 100 ft."""
    band = EXACT_BAND_M if limit.rule == "at" else 0.0
    above = np.inf if limit.low_m is None else altitude_m - (limit.low_m - band)
    below = np.inf if limit.high_m is None else (limit.high_m + band) - altitude_m
    return np.asarray(np.minimum(above, below), dtype=np.float64)


def _measure(
    limit: AltitudeLimit,
    span: SegmentSpan,
    profile: AltitudeProfile,
    record_sigma_m: FloatArray,
    ground_s: float | None,
) -> AltitudeMeasure:
    start_s, end_s = _covered(span, profile)
    if end_s <= start_s:
        return _not_measured(limit, "the track has no altitudes in this segment")
    # the corners of a band lie between two moments: the margin is taken again where the segment is cut
    flown = _with_band_corners(limit, _flown(limit, profile, record_sigma_m).part(start_s, end_s))
    if ground_s is not None:
        landing_s = _landing_s(limit, profile, start_s, ground_s)
        if landing_s <= start_s:
            return _not_measured(limit, "only the landing was flown below the limit")
        flown = flown.part(start_s, min(end_s, landing_s))
    if limit.rule == "at":
        captured_s = _captured_s(flown)
        if captured_s is None:
            return _not_measured(limit, "the altitude was not reached before the segment ended")
        flown = flown.part(captured_s, float(flown.time_s[-1]))
    worst = int(np.argmin(flown.margin_m))
    return AltitudeMeasure(
        limit,
        float(flown.altitude_m[worst]),
        float(flown.time_s[worst]),
        float(flown.margin_m[worst]),
        float(flown.sigma_m[worst]),
        _violations(limit, flown),
    )


def _with_band_corners(limit: AltitudeLimit, flown: _Flown) -> _Flown:
    """Return the same with the crossings of the limits as moments of their own: margins are then straight between."""
    edges = [
        edge
        for edge in (
            None if limit.low_m is None else limit.low_m - (EXACT_BAND_M if limit.rule == "at" else 0.0),
            None if limit.high_m is None else limit.high_m + (EXACT_BAND_M if limit.rule == "at" else 0.0),
        )
        if edge is not None
    ]
    time = flown.time_s
    extra = []
    for edge in edges:
        above = flown.altitude_m - edge
        index = np.flatnonzero(above[:-1] * above[1:] < 0.0)
        extra.append(time[index] + (time[index + 1] - time[index]) * above[index] / (above[index] - above[index + 1]))
    time = np.unique(np.concatenate([time, *extra]))
    altitude = np.interp(time, flown.time_s, flown.altitude_m)
    margins = margin_m(limit, altitude)
    margins[np.abs(margins) < 1e-9] = 0.0
    return _Flown(
        time,
        altitude,
        margins,
        np.interp(time, flown.time_s, flown.noise_sigma_m),
        np.interp(time, flown.time_s, flown.sigma_m),
    )


def _landing_s(limit: AltitudeLimit, profile: AltitudeProfile, from_s: float, ground_s: float) -> float:
    """Moment from which the aircraft stayed below the lower limit until it was on the ground; never before `from_s`."""
    if limit.low_m is None:
        return ground_s
    floor = limit.low_m - (EXACT_BAND_M if limit.rule == "at" else 0.0)
    time = profile.time_s
    above = np.flatnonzero((profile.altitude_m >= floor) & (time >= from_s) & (time <= ground_s))
    if above.size == 0:
        return from_s
    last = int(above[-1])
    if last + 1 >= time.size or time[last + 1] > ground_s:
        return ground_s
    drop = profile.altitude_m[last] - profile.altitude_m[last + 1]
    share = (profile.altitude_m[last] - floor) / drop if drop > 0.0 else 0.0
    return float(profile.time_s[last] + share * (profile.time_s[last + 1] - profile.time_s[last]))


def _captured_s(flown: _Flown) -> float | None:
    """Moment from which an exact altitude is judged: first reached; None where it was still being approached.

    An aircraft that never came nearer by as much as the band was not climbing or descending to the altitude: it is
    judged from the start.
    """
    inside = np.flatnonzero(flown.margin_m >= 0.0)
    if inside.size:
        return float(flown.time_s[inside[0]])
    approached = flown.margin_m[-1] - flown.margin_m[0]
    return None if approached > EXACT_BAND_M else float(flown.time_s[0])


def _violations(limit: AltitudeLimit, flown: _Flown) -> tuple[AltitudeViolation, ...]:
    found = []
    outside = 0.5 * (flown.margin_m[:-1] + flown.margin_m[1:]) < 0.0
    edges = np.flatnonzero(np.diff(np.concatenate([[False], outside, [False]]).astype(int)))
    for first, last in zip(edges[::2], edges[1::2], strict=True):
        worst = int(first + np.argmin(flown.margin_m[first : last + 1]))
        depth = -flown.margin_m[worst]
        counts_from = max(
            DEPTH_SIGMAS * min(float(flown.sigma_m[worst]), ALTIMETER_SIGMA_M),
            DEPTH_NOISE_SIGMAS * float(flown.noise_sigma_m[worst]),
        )
        if depth <= counts_from:
            continue
        start_s = _left_limit_s(flown, worst, int(first), -1)
        end_s = _left_limit_s(flown, worst, int(last), +1)
        found.append(AltitudeViolation(start_s, end_s, float(flown.altitude_m[worst]), float(flown.time_s[worst])))
    return tuple(found)


def _left_limit_s(flown: _Flown, worst: int, edge: int, direction: int) -> float:
    """Moment at which a stretch outside begins (direction -1) or ends (+1).

    It is the crossing of the limit, except where the altitude lies flat within its scatter about the limit before it
    leaves it: there the smoothed altitude may have crossed at any moment, and the stretch begins where it bends away.
    """
    order = np.arange(worst, edge + direction, direction)
    depth, time = -flown.margin_m[order], flown.time_s[order]
    shallow = np.minimum(2.0 * flown.noise_sigma_m[order] + 1.0 * METRES_PER_FOOT, 0.5 * depth[0])
    reached = np.flatnonzero(depth <= shallow)
    if reached.size == 0 or reached[0] == 0:
        return float(time[-1])
    near = int(reached[0])
    before = max(near - 3, 0)
    slope = (depth[before] - depth[near]) / abs(time[before] - time[near])
    if slope <= 0.0:
        return float(time[-1])
    flat_s = abs(time[-1] - time[near]) - depth[near] / slope
    if flat_s <= FLAT_LEAST_S:
        return float(time[-1])
    bend = near
    while bend + 1 < time.size:
        step = abs(time[bend + 1] - time[bend])
        if abs(depth[bend] - depth[bend + 1]) <= FLAT_SHARE * slope * step:
            break
        bend += 1
    return float(time[bend])
