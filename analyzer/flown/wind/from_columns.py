"""Wind from recorded heading and airspeed: ground velocity less velocity through the air."""

import numpy as np

from analyzer.flown.motion.motion import Motion
from analyzer.flown.wind.from_turns import COLUMN_AIRSPEED_SIGMA_MPS, SAME_WIND_M
from analyzer.given import Frame, Wind
from analyzer.units import FloatArray, robust_sigma

AIRSPEED_ERROR = 0.03  # 1 sigma of an airspeed column's calibration, common practice
HEADING_ERROR_DEG = 3.0  # 1 sigma of a heading column's constant error (deviation, rounded variation), common practice
SCATTER_MPS = 1.0  # 1 sigma of what is left from moment to moment, at least
FLYING_PART = 0.7  # of the usual airspeed: slower is taken as on the ground or about to be
INDEPENDENT_S = (4.0, 30.0)  # gusts, lags and smoothing are alike over about so long: the record shows how long


def wind_from_columns(motion: Motion, frame: Frame, heading_true_deg: FloatArray, tas_mps: FloatArray) -> Wind | None:
    """Return the wind that heading and airspeed columns show, or None where they don't fit the flight.

    Parameters
    ----------
    motion : Motion
    frame : Frame
    heading_true_deg, tas_mps : array, shape (n,)
        At the motion's moments, nan where missing.

    Returns
    -------
    Wind or None
        With the covariance that the stated errors of the columns leave. A constant error of either column is
        estimated along with the wind, from the turns.
    """
    good = np.isfinite(heading_true_deg) & np.isfinite(tas_mps) & (tas_mps > 15.0) & ~motion.in_gap
    good &= (motion.distance_m < SAME_WIND_M) & (motion.groundspeed_mps > 15.0)
    if np.any(good):  # on the landing roll-out the wheels decide the heading, and the airspeed lags
        good &= tas_mps > FLYING_PART * np.median(tas_mps[good])
    index = np.flatnonzero(good)
    if len(index) < 30:
        return None
    index = index[:: max(1, len(index) // 3000)]
    east, north = frame.east_north_from_along_cross(motion.along_mps[index], motion.cross_mps[index])
    angle = np.radians(heading_true_deg[index])
    air_east, air_north = tas_mps[index] * np.sin(angle), tas_mps[index] * np.cos(angle)
    # unknown: wind east, wind north, airspeed factor - 1, heading error in rad
    zero, one = np.zeros(len(index)), np.ones(len(index))
    design = np.concatenate(
        [
            np.column_stack([one, zero, air_east, air_north]),
            np.column_stack([zero, one, air_north, -air_east]),
        ]
    )
    observed = np.concatenate([east - air_east, north - air_north])
    prior = np.diag([0.0, 0.0, 1.0 / AIRSPEED_ERROR**2, 1.0 / np.radians(HEADING_ERROR_DEG) ** 2])
    step = float(np.median(np.diff(motion.time_s[index]))) if len(index) > 1 else 1.0
    independent_s = 15.0  # to begin with
    scatter = SCATTER_MPS
    weight = np.ones(len(observed))
    solution = np.zeros(4)
    covariance = np.eye(4)
    for _ in range(6):
        share = min(1.0, step / independent_s)
        normal = (design * (weight * share / scatter**2)[:, None]).T @ design + prior
        solution = np.linalg.solve(normal, design.T @ (weight * share / scatter**2 * observed))
        covariance = np.linalg.inv(normal)
        rest = observed - design @ solution
        scatter = max(SCATTER_MPS, robust_sigma(rest))
        weight = np.minimum(1.0, 2.0 * scatter / np.maximum(np.abs(rest), 1e-9))
        independent_s = _alike_s(np.clip(rest, -3.0 * scatter, 3.0 * scatter).reshape(2, -1), step)
    if scatter > 6.0 or abs(solution[2]) > 0.2 or abs(np.degrees(solution[3])) > 20.0:
        return None  # the columns contradict the path: wrong units, a frozen gyro, a heading that is a track
    tas = float(np.median(tas_mps[index])) * (1.0 + float(solution[2]))
    tas_sigma = np.hypot(scatter * np.sqrt(independent_s / max(step * len(index), 1.0)), COLUMN_AIRSPEED_SIGMA_MPS)
    tas_variance = float(tas_sigma**2 + tas**2 * covariance[2, 2])
    upper = (
        float(covariance[0, 0]),
        float(covariance[0, 1]),
        float(tas * covariance[0, 2]),
        float(covariance[1, 1]),
        float(tas * covariance[1, 2]),
        tas_variance,
    )
    return Wind(float(solution[0]), float(solution[1]), tas, upper, "heading and airspeed columns")


def _alike_s(rest: FloatArray, step_s: float) -> float:
    """How long what is left over stays alike, shape (2, n): its autocorrelation, summed up to its first zero."""
    left = rest - np.mean(rest, axis=1, keepdims=True)
    power = float(np.sum(left**2))
    total = 1.0
    for lag in range(1, min(left.shape[1] - 1, int(INDEPENDENT_S[1] / step_s) + 1)):
        alike = float(np.sum(left[:, lag:] * left[:, :-lag])) / max(power, 1e-12)
        if alike <= 0.0:
            break
        total += 2.0 * alike
    return float(np.clip(step_s * total, *INDEPENDENT_S))


def better_of(first: Wind | None, second: Wind | None) -> Wind | None:
    """Return the wind with the smaller uncertainty."""
    known = [wind for wind in (first, second) if wind is not None and wind.covariance is not None]
    if not known:
        return first or second
    return min(known, key=lambda wind: wind.covariance[0] + wind.covariance[3] if wind.covariance else np.inf)
