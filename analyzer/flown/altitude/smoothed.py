"""The altitude as flown: recorded altitudes freed of noise without rounding off where a climb or descent begins."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from analyzer.flown.altitude.pentadiagonal import FiveDiagonals, solve_five_diagonals
from analyzer.units import METRES_PER_FOOT, BoolArray, FloatArray, robust_sigma

BLOCK_MEAN_BELOW_S = 0.4  # faster recordings are averaged in blocks first: a climb takes seconds to begin
BLOCK_S = 0.5
NOISE_LEAST_M = 0.3 * METRES_PER_FOOT  # rounding of altitudes; keeps the sigmas above zero for perfect simulator data
#: how fast the vertical speed of "level" flight wanders, (m/s)^2 per second, and how heavy the tail of its changes is;
#: settled on altitudes with 5 to 20 ft of noise at 1 s and 5 s: `tests.benchmarks.settled.altitude_wander`
WANDER_MPS2_PER_S = 0.1 * METRES_PER_FOOT**2
TAIL = 0.5
ITERATIONS = 12
PIECE, OVERLAP = 12_000, 600  # altitudes smoothed at once, and taken along at either side
OUTLIER_SIGMAS = 3.0
#: an altitude that stands so far off the middle one of itself and its neighbours is wild and left out: at least 30 m,
#: and more than an aircraft climbs or descends at 3600 ft/min between two altitudes
WILD_LEAST_M, WILD_MPS, WILD_SIGMAS, WILD_NEIGHBOURS = 30.0, 60.0 * METRES_PER_FOOT, 8.0, 3


@dataclass(frozen=True)
class AltitudeProfile:
    """Smoothed altitude, arrays of shape (n,), straight in between.

    Parameters
    ----------
    time_s, altitude_m : array
        Moments and altitudes.
    noise_sigma_m : array
        1 sigma of the smoothed altitude from the scatter of the record alone: what the altimeter itself is off by
        does not show in it.
    noise_m : float
        1 sigma of one recorded altitude, estimated from the data.
    """

    time_s: FloatArray
    altitude_m: FloatArray
    noise_sigma_m: FloatArray
    noise_m: float


def altitude_profile(time_s: FloatArray, altitude_m: FloatArray) -> AltitudeProfile | None:
    """Return the altitude without its noise.

    Parameters
    ----------
    time_s : array, shape (n,)
        Increasing.
    altitude_m : array, shape (n,)
        nan where a moment has none.

    Returns
    -------
    AltitudeProfile or None
        None for fewer than two altitudes; unsmoothed for fewer than five.

    Notes
    -----
    Least squares of the recorded altitudes (Huber weights) and of the changes of slope between them, each change with
    a variance of its own that is estimated along with it: most become zero, so that level flight is averaged over its
    whole length, and the few that are left are where the aircraft began or ended a climb or descent. Expectation and
    maximisation for Student's t, as in Lange, Little and Taylor, J. Am. Stat. Assoc. 84 (1989) 881; the normal
    equations have five diagonals.
    """
    good = np.isfinite(altitude_m) & np.isfinite(time_s)
    time, altitude = np.asarray(time_s[good], dtype=float), np.asarray(altitude_m[good], dtype=float)
    if time.size < 2:
        return None
    tame = _tame(time, altitude)
    time, altitude = time[tame], altitude[tame]
    if float(np.median(np.diff(time))) < BLOCK_MEAN_BELOW_S:
        time, altitude = _block_means(time, altitude)
    noise = _noise_m(time, altitude)
    if time.size < 5:
        return AltitudeProfile(time, altitude, np.full(time.shape, noise), noise)
    smooth, sigma = _smooth_in_pieces(time, altitude, noise)
    return AltitudeProfile(time, smooth, sigma, noise)


def _tame(time: FloatArray, altitude: FloatArray) -> BoolArray:
    """Return which altitudes are not wild: single ones, or up to three in a row, far off their neighbours."""
    width = 2 * WILD_NEIGHBOURS + 1
    if time.size < width:
        return np.ones(time.shape, dtype=bool)
    around = np.pad(altitude, WILD_NEIGHBOURS, mode="reflect")
    middle = np.median(np.lib.stride_tricks.sliding_window_view(around, width), axis=1)
    interval = np.maximum(np.gradient(time), 1e-3)
    limit = np.maximum(WILD_LEAST_M, WILD_MPS * interval)
    return np.asarray(np.abs(altitude - middle) <= np.maximum(limit, WILD_SIGMAS * _noise_m(time, altitude)))


def _block_means(time: FloatArray, altitude: FloatArray) -> tuple[FloatArray, FloatArray]:
    _, group, count = np.unique(np.floor((time - time[0]) / BLOCK_S), return_inverse=True, return_counts=True)
    means = [np.bincount(group, weights=values) / count for values in (time, altitude)]
    # the first and the last moment stay: the profile covers the record
    means[0][0], means[0][-1] = time[0], time[-1]
    return means[0], means[1]


def _noise_m(time: FloatArray, altitude: FloatArray) -> float:
    """Scatter of an altitude about the line between its neighbours, robust; not under a share of the rounding step."""
    if time.size < 5:
        return NOISE_LEAST_M
    share = (time[1:-1] - time[:-2]) / (time[2:] - time[:-2])
    miss = altitude[1:-1] - (altitude[:-2] + share * (altitude[2:] - altitude[:-2]))
    scatter = robust_sigma(miss / np.sqrt(1.0 + share**2 + (1.0 - share) ** 2))
    steps = np.abs(np.diff(altitude))
    steps = steps[steps > 1e-6]
    rounding = float(np.min(steps)) if steps.size else 0.0
    # most of a record in steps of 25 or 100 ft shows no scatter at all
    if rounding < 3.0 * METRES_PER_FOOT:
        rounding = 0.0
    return max(NOISE_LEAST_M, scatter, rounding / float(np.sqrt(12.0)))


def _smooth_in_pieces(time: FloatArray, altitude: FloatArray, noise: float) -> tuple[FloatArray, FloatArray]:
    """Smooth a long record piece by piece: it bounds the memory, and an altitude knows nothing of one so far away."""
    smooth, sigma = np.empty_like(altitude), np.empty_like(altitude)
    pieces = max(1, round(time.size / PIECE))
    for first, after in pairwise(np.linspace(0, time.size, pieces + 1).astype(int).tolist()):
        start = max(0, first - OVERLAP)
        around = slice(start, after + OVERLAP)
        own = slice(first - start, after - start)
        piece = _smooth(time[around], altitude[around], noise)
        smooth[first:after], sigma[first:after] = piece[0][own], piece[1][own]
    return smooth, sigma


def _smooth(time: FloatArray, altitude: FloatArray, noise: float) -> tuple[FloatArray, FloatArray]:
    step = np.diff(time)
    change = np.stack([1.0 / step[:-1], -1.0 / step[:-1] - 1.0 / step[1:], 1.0 / step[1:]])
    usual = WANDER_MPS2_PER_S * 0.5 * (step[:-1] + step[1:])
    variance = 10.0 * usual
    weight = np.full(time.shape, noise**-2)
    inner = time.size - 2
    smooth, sigma = altitude, np.full(time.shape, noise)
    for _ in range(ITERATIONS):
        main, first, second = weight.copy(), np.zeros(time.size - 1), (change[0] * change[2]) / variance
        for shift in range(3):
            main[shift : inner + shift] += change[shift] ** 2 / variance
        first[:-1] += change[0] * change[1] / variance
        first[1:] += change[1] * change[2] / variance
        smooth, spread = solve_five_diagonals(FiveDiagonals(main, first, second), weight * altitude)
        slope_change = change[0] * smooth[:-2] + change[1] * smooth[1:-1] + change[2] * smooth[2:]
        doubt = (
            change[0] ** 2 * spread.main[:-2] + change[1] ** 2 * spread.main[1:-1] + change[2] ** 2 * spread.main[2:]
        )
        doubt += 2.0 * (change[0] * change[1] * spread.first[:-1] + change[1] * change[2] * spread.first[1:])
        doubt += 2.0 * change[0] * change[2] * spread.second
        variance = (TAIL * usual + slope_change**2 + np.maximum(doubt, 0.0)) / (TAIL + 1.0)
        miss = np.maximum(np.abs(altitude - smooth), 1e-9)
        weight = np.minimum(1.0, OUTLIER_SIGMAS * noise / miss) / noise**2
        sigma = np.sqrt(np.maximum(spread.main, 0.0))
    return smooth, sigma
