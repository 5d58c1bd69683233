"""All measurements of one attempt, in one call."""

from dataclasses import dataclass

import numpy as np

from analyzer.flown import AltitudeProfile, AltitudeRecord, Attempt, Motion, altitude_profile, at_moments, take_off_s
from analyzer.given import Frame, Options, Procedure, Track, Wind
from analyzer.judged.measurements.altitudes import inbound_passage_s, measure_altitudes
from analyzer.judged.measurements.containment import measure_containment
from analyzer.judged.measurements.ground import ends_on_ground, touchdown_s
from analyzer.judged.measurements.intercept import measure_intercept
from analyzer.judged.measurements.laps import measure_laps
from analyzer.judged.measurements.legs import measure_legs
from analyzer.judged.measurements.speed import measure_speed
from analyzer.judged.measurements.timing import measure_timing
from analyzer.judged.measurements.turns import measure_turns
from analyzer.judged.measurements.values import AttemptMeasures
from analyzer.planned import Area
from analyzer.units import FloatArray


def measure_attempt(
    attempt: Attempt,
    track: Track,
    motion: Motion,
    wind: Wind | None,
    procedure: Procedure,
    frame: Frame,
    areas: tuple[Area, ...],
    altitude_record: AltitudeRecord | None,
    options: Options,
    profile: "RecordedProfile | None" = None,
) -> AttemptMeasures:
    """Return everything that is measured of one attempt.

    Parameters
    ----------
    attempt : Attempt
    track : Track
        Its airspeed and heading columns are used where it has them.
    motion : Motion
        Of the whole track.
    wind : Wind or None
        None: no bank, radius, drift correction or wind-adjusted time.
    procedure : Procedure
    frame : Frame
    areas : tuple of Area
        The procedure's protection; may be empty.
    altitude_record : AltitudeRecord or None
        None: no altitude is measured, and no cone over a station.
    options : Options
        `position_sigma_m` as stated by the user.
    profile : RecordedProfile, optional
        Of the altitude record, where several attempts share it; made from the record otherwise.
    """
    shared = recorded_profile(altitude_record) if profile is None else profile
    smoothed, sigma_m = shared.profile, shared.sigma_m
    altitude_m = None
    if altitude_record is not None:
        altitude_m = at_moments(motion, altitude_record.time_s, altitude_record.altitude_m)
    return AttemptMeasures(
        containment=measure_containment(attempt, motion, procedure, areas, options.position_sigma_m),
        altitudes=measure_altitudes(
            attempt,
            procedure,
            smoothed,
            sigma_m,
            threshold_passed_s(attempt, motion, procedure, frame),
            ends_on_ground(attempt, track, motion),
            touchdown_s(inbound_passage_s(attempt), attempt, motion, smoothed),
            float(motion.time_s[0]),
            take_off_s(motion) is not None,
        ),
        intercept=measure_intercept(attempt, motion, procedure, frame, altitude_m, options.position_sigma_m, wind),
        timing=measure_timing(attempt, motion, wind, procedure, frame),
        turns=measure_turns(attempt, track, motion, wind),
        speed=measure_speed(attempt, track, motion, wind, procedure, frame, smoothed),
        laps=measure_laps(attempt, motion, procedure),
        legs=measure_legs(attempt, track, motion, wind, procedure, frame),
    )


@dataclass(frozen=True)
class RecordedProfile:
    """The altitude record freed of noise with the record's 1 sigma at its moments; None twice without altitudes."""

    profile: AltitudeProfile | None
    sigma_m: FloatArray | None


def recorded_profile(record: AltitudeRecord | None) -> RecordedProfile:
    """Return the smoothed altitude of a record: a tenth of a second for an hour, so once for all attempts."""
    if record is None:
        return RecordedProfile(None, None)
    profile = altitude_profile(record.time_s, record.altitude_m)
    if profile is None:
        return RecordedProfile(None, None)
    return RecordedProfile(profile, np.interp(profile.time_s, record.time_s, record.sigma_m))


def threshold_passed_s(attempt: Attempt, motion: Motion, procedure: Procedure, frame: Frame) -> float | None:
    """Return when the final came nearest to the runway threshold, None without a runway or a final."""
    passage_s = inbound_passage_s(attempt)
    if procedure.runway is None or passage_s is None:
        return None
    along, cross = frame.along_cross_m(procedure.runway.latitude_deg, procedure.runway.longitude_deg)
    inside = np.flatnonzero((motion.time_s >= passage_s) & (motion.time_s <= attempt.end_s))
    if inside.size == 0:
        return None
    distance = np.hypot(motion.along_m[inside] - along, motion.cross_m[inside] - cross)
    return float(motion.time_s[inside[int(np.argmin(distance))]])
