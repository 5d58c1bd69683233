"""Altitudes flown against the limit of each segment: the worst altitude and the stretches outside."""

from dataclasses import dataclass, replace

import numpy as np

from analyzer.flown import AltitudeProfile, Attempt, RecordedProfile
from analyzer.given import AltitudeLimit, AltitudeSegment, Procedure
from analyzer.judged.measurements.altitude_stretch import (
    EXACT_BAND_M,
    Stretch,
    margin_m,
    violations_of,
    with_band_corners,
)
from analyzer.judged.measurements.arrival import judged_from_s
from analyzer.judged.measurements.ground import Ground
from analyzer.judged.measurements.landing import Landing, Touchdown, landing_of
from analyzer.judged.measurements.values import AltitudeMeasure
from analyzer.units import FloatArray

#: the part of a doubt that a limit must be away from a level to be told from it
SIGMAS_OF_DOUBT = 2.0


@dataclass(frozen=True)
class SegmentSpan:
    """When a segment was flown; `reason` says why it was not."""

    start_s: float
    end_s: float
    reason: str | None = None


def segment_span(segment: AltitudeSegment, attempt: Attempt, ground: Ground | None = None) -> SegmentSpan:
    """Return when an altitude segment was flown.

    Parameters
    ----------
    segment : str
        "arrival": up to the first passage of the fix; "reversal": from there until established inbound on the last
        lap, or to the inbound passage where never established; "inbound": from established on the last lap to the
        fix; "final": after the inbound passage.
    attempt : Attempt
    ground : Ground, optional
        The final ends where the runway threshold or the missed approach point was passed; behind the fix there is no
        final of a runway before it.
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
    ground = Ground() if ground is None else ground
    if ground.runway_before_fix:
        return SegmentSpan(inbound_s, inbound_s, "the runway lies before the fix, and so does the way down to it")
    ends = [moment for moment in (ground.threshold_passed_s, ground.missed_point_s) if moment is not None]
    end_s = min([attempt.end_s, *ends])
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
    attempt: Attempt,
    procedure: Procedure,
    recorded: RecordedProfile,
    ground: Ground,
    held_until_s: float | None = None,
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
    held_until_s : float, optional
        When the approach was cleared: from then on the altitude that was cleared for a hold is free.
    """
    measures = []
    for limit in procedure.altitudes:
        span = segment_span(limit.segment, attempt, ground)
        if held_until_s is not None and limit.rule == "at" and held_until_s < span.end_s:
            span = SegmentSpan(span.start_s, max(held_until_s, span.start_s), span.reason)
        if recorded.profile is None or recorded.sigma_m is None:
            measures.append(_not_measured(limit, "the track has no altitudes"))
        elif span.reason is not None or span.end_s <= span.start_s:
            measures.append(_not_measured(limit, span.reason or "the segment was not flown"))
        else:
            altitudes = _Altitudes(
                recorded.profile,
                recorded.sigma_m,
                0.0 if limit.rule == "at" else recorded.reading_m,
                recorded.reading_m > 0.0,
                ground.touchdown if limit.segment == "final" else None,
            )
            measures.append(_judged_measure(limit, span, altitudes, attempt, ground))
    return tuple(measures)


@dataclass(frozen=True)
class _Altitudes:
    """The record that a limit is held against, and the landing that it ends with.

    `reading_m` is how far beyond the limit still counts as at it; where an altimeter showed the altitudes (`indicated`)
    the 1 sigma is of the recording alone, else it is what all altitudes are off by together.
    """

    profile: AltitudeProfile
    sigma_m: FloatArray
    reading_m: float
    indicated: bool
    touchdown: Touchdown | None

    def stretch(self, limit: AltitudeLimit, span: SegmentSpan) -> Stretch | None:
        """Return the part of a segment that has altitudes, with the crossings of the limit; None without any."""
        start_s, end_s = (
            max(span.start_s, float(self.profile.time_s[0])),
            min(span.end_s, float(self.profile.time_s[-1])),
        )
        if end_s <= start_s:
            return None
        whole = Stretch(
            self.profile.time_s,
            self.profile.altitude_m,
            margin_m(limit, self.profile.altitude_m),
            self.profile.noise_sigma_m,
            np.maximum(self.sigma_m, self.profile.noise_sigma_m),
        )
        # the corners of a band lie between two moments: the margin is taken again where the segment is cut
        return with_band_corners(limit, whole.part(start_s, end_s))

    def landing(self, limit: AltitudeLimit, from_s: float) -> Landing | None:
        """Return the landing, None without one."""
        if self.touchdown is None or limit.low_m is None:
            return None
        floor_m = limit.low_m - (EXACT_BAND_M if limit.rule == "at" else 0.0)
        noise = self.profile.noise_sigma_m
        scatter = np.hypot(noise, self.sigma_m) if self.indicated else noise
        return landing_of(floor_m, self.profile, scatter, self.touchdown, from_s)


def _not_measured(limit: AltitudeLimit, reason: str) -> AltitudeMeasure:
    return AltitudeMeasure(limit, None, None, None, None, (), reason)


def _judged_measure(
    limit: AltitudeLimit, span: SegmentSpan, altitudes: _Altitudes, attempt: Attempt, ground: Ground
) -> AltitudeMeasure:
    """Measure a segment; an arrival only from where it had reached its altitude."""
    measure = _measure(limit, span, altitudes)
    flown = altitudes.stretch(limit, span)
    if limit.segment != "arrival" or flown is None or measure.margin_m is None or measure.margin_m >= 0.0:
        return measure
    begins_s = judged_from_s(
        attempt, ground.track_starts_s, ground.took_off, flown.time_s, flown.altitude_m, flown.margin_m
    )
    if begins_s <= flown.time_s[0]:
        return measure
    return replace(_measure(limit, SegmentSpan(begins_s, span.end_s), altitudes), judged_from_s=begins_s)


def _measure(limit: AltitudeLimit, span: SegmentSpan, altitudes: _Altitudes) -> AltitudeMeasure:
    flown = altitudes.stretch(limit, span)
    if flown is None:
        return _not_measured(limit, "the track has no altitudes in this segment")
    start_s, end_s = float(flown.time_s[0]), float(flown.time_s[-1])
    landing = altitudes.landing(limit, start_s)
    landed = landing is not None and landing.from_s < end_s
    if landing is not None and landed:
        if landing.from_s <= start_s:
            return _not_measured(limit, "only the landing was flown below the limit")
        flown = flown.part(start_s, landing.from_s)
    if limit.rule == "at":
        captured_s = _captured_s(flown)
        if captured_s is None:
            return _not_measured(limit, "the altitude was not reached before the segment ended")
        flown = flown.part(captured_s, float(flown.time_s[-1]))
    violations = violations_of(flown, altitudes.reading_m)
    seen = flown
    if landing is not None and landed and not violations and _in_doubt(flown, altitudes.reading_m):
        # in a descent through a minimum that is not known to the foot, what was flown before it tells how low it was
        seen = flown.part(start_s, max(landing.descent_from_s, start_s + 1e-3))
    worst = int(np.argmin(seen.margin_m))
    return AltitudeMeasure(
        limit,
        float(seen.altitude_m[worst]),
        float(seen.time_s[worst]),
        float(seen.margin_m[worst]),
        float(seen.sigma_m[worst]),
        violations,
        reading_m=altitudes.reading_m,
        judged_until_s=float(flown.time_s[-1]) if limit.segment == "final" else None,
    )


def _in_doubt(flown: Stretch, reading_m: float) -> bool:
    """Whether the last altitude of a stretch is known less well than an altimeter is read."""
    return SIGMAS_OF_DOUBT * float(flown.sigma_m[-1]) > reading_m


def _captured_s(flown: Stretch) -> float | None:
    """Moment from which an exact altitude is judged: first reached; None where it was still being approached.

    An aircraft that never came nearer by as much as the band was not climbing or descending to the altitude: it is
    judged from the start.
    """
    inside = np.flatnonzero(flown.margin_m >= 0.0)
    if inside.size:
        return float(flown.time_s[inside[0]])
    approached = flown.margin_m[-1] - flown.margin_m[0]
    return None if approached > EXACT_BAND_M else float(flown.time_s[0])
