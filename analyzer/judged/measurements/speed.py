"""The highest speed of the reversal, of the best kind the track allows, and how steady the airspeed was."""

from dataclasses import dataclass

import numpy as np

from analyzer.flown import AltitudeProfile, Attempt, Flight, Motion, local_polynomial
from analyzer.given import Frame, Track, Wind
from analyzer.judged.measurements.altitudes import inbound_passage_s
from analyzer.judged.measurements.values import Speed
from analyzer.planned import Plan
from analyzer.standards import cas_from_tas_mps
from analyzer.units import MPS_PER_KNOT, FloatArray, robust_sigma

SMOOTHING_S = 5.0  # gusts and a flickering needle are not changes of speed
MOTION_SMOOTHING_S = 12.0  # half width, for airspeeds from the motion less the wind
#: an airspeed column is taken to be right within 1 kt, 1 sigma (own choice)
READING_SIGMA_MPS = 1.0 * MPS_PER_KNOT
#: indicated from true airspeed in air that is 5 degrees off standard, 1 sigma: half of 5/288 (own choice)
TEMPERATURE_SHARE = 0.009
LEAST_SHARE_KNOWN = 0.5  # a column with fewer values in the reversal says too little about its maximum


@dataclass(frozen=True)
class _Airspeeds:
    """Smoothed airspeed at moments of the reversal, shape (n,), with the 1 sigma of one value."""

    time_s: FloatArray
    speed_mps: FloatArray
    sigma_mps: FloatArray


def measure_speed(attempt: Attempt, flight: Flight, plan: Plan) -> Speed | None:
    """Return the highest speed from the first passage of the fix to the inbound one or the attempt's end.

    Indicated airspeed where the track has it; else true airspeed, from its column or from the motion less the wind;
    else groundspeed. None where nothing was recorded in that time. The indicated is estimated from the true airspeed
    in standard air where the altitude is known.

    Parameters
    ----------
    attempt : Attempt
    flight : Flight
    plan : Plan
    """
    track, motion, wind, profile = flight.track, flight.motion, flight.wind, flight.recorded.profile
    start_s = attempt.first_passage_s if attempt.passages else attempt.start_s
    passage_s = inbound_passage_s(attempt)
    end_s = attempt.end_s if passage_s is None else passage_s
    limit = plan.procedure.max_ias_mps
    indicated = _column(track, "ias_mps", start_s, end_s)
    true = _column(track, "tas_mps", start_s, end_s)
    if indicated is not None:
        low, high = _range(indicated, attempt)
        fastest = int(np.argmax(indicated.speed_mps))
        return Speed(
            "ias",
            float(indicated.speed_mps[fastest]),
            float(indicated.time_s[fastest]),
            limit,
            float(np.hypot(READING_SIGMA_MPS, indicated.sigma_mps[fastest])),
            None,
            low,
            high,
        )
    low = high = None
    if true is not None:
        as_indicated = _as_indicated(true, profile)
        if as_indicated is not None:
            low, high = _range(as_indicated, attempt)
    elif wind is not None:
        true = _from_motion(motion, wind, plan.frame, start_s, end_s)
    if true is not None:
        as_indicated = _as_indicated(true, profile)
        # the limit is an indicated airspeed: the moment at which that was highest
        compared = true if as_indicated is None else as_indicated
        fastest = int(np.argmax(compared.speed_mps))
        return Speed(
            "tas",
            float(np.max(true.speed_mps)),
            float(true.time_s[fastest]),
            limit,
            float(compared.sigma_mps[fastest]),
            None if as_indicated is None else float(as_indicated.speed_mps[fastest]),
            low,
            high,
        )
    inside = (motion.time_s >= start_s) & (motion.time_s <= end_s) & ~motion.in_gap
    if not np.any(inside):
        return None
    ground = motion.groundspeed_mps[inside]
    fastest = int(np.argmax(ground))
    return Speed(
        "groundspeed",
        float(ground[fastest]),
        float(motion.time_s[inside][fastest]),
        limit,
        float(motion.speed_sigma_mps[inside][fastest]),
    )


def _column(track: Track, name: str, start_s: float, end_s: float) -> _Airspeeds | None:
    """Return an airspeed column smoothed over 5 s; None where too little of the reversal has one."""
    values = track.sensors.get(name)
    if values is None:
        return None
    inside = (track.time_s >= start_s) & (track.time_s <= end_s)
    near = (track.time_s >= start_s - SMOOTHING_S) & (track.time_s <= end_s + SMOOTHING_S)
    known = np.isfinite(values)
    if np.count_nonzero(inside & known) < max(5.0, LEAST_SHARE_KNOWN * np.count_nonzero(inside)):
        return None
    time = track.time_s[near & known]
    series = _without_spikes(values[near & known])
    at_s = track.time_s[inside & known]
    # tricube weights of this half width reach as far as a mean over 5 s
    fit = local_polynomial(at_s, time, series[:, None], np.ones(time.shape), 0.8 * SMOOTHING_S, 1)
    rest = np.interp(at_s, time, series) - fit.value[:, 0]
    noise = robust_sigma(rest)
    return _Airspeeds(at_s, fit.value[:, 0], np.hypot(READING_SIGMA_MPS, noise * fit.value_factor))


def _without_spikes(values: FloatArray) -> FloatArray:
    """Replace single values that stand off both neighbours by the middle one of the three."""
    if values.size < 3:
        return values
    three = np.stack([values[:-2], values[1:-1], values[2:]])
    middle = np.median(three, axis=0)
    result = values.copy()
    spread = robust_sigma(values[1:-1] - middle)
    off = np.abs(values[1:-1] - middle) > max(5.0 * spread, 5.0 * MPS_PER_KNOT)
    result[1:-1][off] = middle[off]
    return result


def _from_motion(motion: Motion, wind: Wind, frame: Frame, start_s: float, end_s: float) -> _Airspeeds | None:
    """Return the true airspeed as ground velocity less the wind, with the doubt of both."""
    inside = (motion.time_s >= start_s) & (motion.time_s <= end_s) & ~motion.in_gap
    if not np.any(inside):
        return None
    along, cross = frame.along_cross_from_east_north(wind.east_mps, wind.north_mps)
    speed = np.hypot(motion.along_mps[inside] - along, motion.cross_mps[inside] - cross)
    time, sigma = motion.time_s[inside], motion.speed_sigma_mps[inside]
    if time.size > 4:
        # the largest of many noisy speeds is too large: an aircraft changes its airspeed over tens of seconds
        speed = local_polynomial(time, time, speed[:, None], np.ones(time.shape), MOTION_SMOOTHING_S, 1).value[:, 0]
    wind_variance = 0.0 if wind.covariance is None else 0.5 * (wind.covariance[0] + wind.covariance[3])
    return _Airspeeds(time, speed, np.sqrt(sigma**2 + wind_variance))


def _as_indicated(true: _Airspeeds, profile: AltitudeProfile | None) -> _Airspeeds | None:
    """Return the indicated airspeed that a true one comes to in standard air; None without altitudes."""
    if profile is None:
        return None
    altitude = np.interp(true.time_s, profile.time_s, profile.altitude_m)
    speed = np.asarray(cas_from_tas_mps(true.speed_mps, altitude))
    if not np.all(np.isfinite(speed)):
        return None
    return _Airspeeds(true.time_s, speed, np.hypot(true.sigma_mps, TEMPERATURE_SHARE * speed))


def _range(indicated: _Airspeeds, attempt: Attempt) -> tuple[float | None, float | None]:
    """Return the lowest and highest from the end of each outbound turn to the start of the reversal turn."""
    between = np.zeros(indicated.time_s.shape, dtype=bool)
    for lap in range(1, attempt.laps + 1):
        reversal = attempt.phase("reversal turn", lap)
        first = attempt.phase("outbound", lap)
        if reversal is not None and first is not None:
            between |= (indicated.time_s >= first.start_s) & (indicated.time_s <= reversal.start_s)
    if not np.any(between):
        return None, None
    return float(np.min(indicated.speed_mps[between])), float(np.max(indicated.speed_mps[between]))
