"""Cleaned and smoothed motion in the plane about the fix, with its noise."""

from dataclasses import dataclass

import numpy as np

from analyzer.flown.motion.flyable import not_flyable
from analyzer.flown.motion.gap_bridges import mended_at_edges
from analyzer.flown.motion.local_polynomial import local_polynomial
from analyzer.flown.motion.rounded_turns import rounding
from analyzer.flown.motion.velocity_path import steadied_path
from analyzer.given import Frame, QualityNote, Track
from analyzer.units import BoolArray, FloatArray, robust_sigma

COARSE_STEP_S = 1.0  # step of the output for recordings of about 1 Hz and slower
FINE_STEP_S = 0.5  # for faster ones: a roll-in takes 3 to 6 s, so half a second resolves it
SHORTEST_STEP_S = 0.1  # of recordings shorter than a step
BLOCK_MEAN_BELOW_S = 0.3  # faster recordings are averaged in blocks of FINE_STEP_S first
GAP_INTERVALS = 3.5  # an interval this many times the middle one, and over GAP_LEAST_S, is a gap
GAP_LEAST_S = 4.0
OUTLIER_SIGMAS = 6.0
OUTLIER_LEAST_M = 25.0
OUTLIER_COARSE_S = 1.5  # positions farther apart than this show the corners of a turn less well
NOISE_LEAST_M = 0.1  # rounding of positions; keeps the sigmas above zero for perfect simulator data


@dataclass(frozen=True)
class Motion:
    """State of the aircraft at evenly spaced moments, arrays of shape (n,).

    Parameters
    ----------
    time_s : array
        Seconds after the track's first moment, evenly spaced by `step_s`, from the first moment to the last.
    along_m, cross_m : array
        Position in the frame's along/cross axes.
    along_mps, cross_mps : array
        Ground velocity in the same axes.
    turn_rate_deg_s : array
        Rate of the ground track, positive to the right.
    position_sigma_m, speed_sigma_mps, track_sigma_deg, turn_rate_sigma_deg_s : array
        1 sigma of the above: noise, and in coarse recordings what a curve through few positions rounds off.
    in_gap : array of bool
        Moments inside a gap of the recording, where the state is only bridged.
    noise_m : float
        1 sigma of the recorded positions, estimated from the data.
    inbound_true_deg : float
        The frame's inbound course, so that tracks can be given as true.
    samples : Samples
        The cleaned positions as recorded, for fits that go back to them.
    along_mps2, cross_mps2 : array, optional
        Acceleration over the ground.
    recorded_scatter_m : float, optional
        1 sigma of the recorded positions about the path, where velocity columns show the path better than they do.
    speed_noise_mps, turn_rate_noise_deg_s : array, optional
        The part of noise alone of the sigmas; None where it is all of them.
    """

    time_s: FloatArray
    along_m: FloatArray
    cross_m: FloatArray
    along_mps: FloatArray
    cross_mps: FloatArray
    turn_rate_deg_s: FloatArray
    position_sigma_m: FloatArray
    speed_sigma_mps: FloatArray
    track_sigma_deg: FloatArray
    turn_rate_sigma_deg_s: FloatArray
    in_gap: BoolArray
    noise_m: float
    inbound_true_deg: float
    samples: "Samples | None" = None
    along_mps2: FloatArray | None = None
    cross_mps2: FloatArray | None = None
    recorded_scatter_m: float | None = None
    speed_noise_mps: FloatArray | None = None
    turn_rate_noise_deg_s: FloatArray | None = None

    def __len__(self) -> int:
        return len(self.time_s)

    @property
    def step_s(self) -> float:
        """Seconds between moments."""
        return float(self.time_s[1] - self.time_s[0]) if len(self) > 1 else COARSE_STEP_S

    @property
    def scatter_m(self) -> float:
        """1 sigma of the recorded positions about the path."""
        return self.noise_m if self.recorded_scatter_m is None else self.recorded_scatter_m

    @property
    def groundspeed_mps(self) -> FloatArray:
        """Speed over the ground."""
        return np.hypot(self.along_mps, self.cross_mps)

    @property
    def track_relative_deg(self) -> FloatArray:
        """Ground track minus inbound course in [-180, 180): 0 inbound, positive to the right, -180 outbound."""
        relative = np.degrees(np.arctan2(self.cross_mps, -self.along_mps))
        return np.where(relative >= 180.0, relative - 360.0, relative)

    @property
    def track_true_deg(self) -> FloatArray:
        """Ground track, degrees true in [0, 360)."""
        return np.mod(self.track_relative_deg + self.inbound_true_deg, 360.0)

    @property
    def distance_m(self) -> FloatArray:
        """Distance from the fix."""
        return np.hypot(self.along_m, self.cross_m)


@dataclass(frozen=True)
class Samples:
    """The recorded positions that are used, shape (n,): outliers have weight 0."""

    time_s: FloatArray
    along_m: FloatArray
    cross_m: FloatArray
    weight: FloatArray
    interval_s: float


def estimate_motion(track: Track, frame: Frame) -> tuple[Motion, tuple[QualityNote, ...]]:
    """Return the smoothed motion of a track in the plane about the fix, and notes on what was left out.

    Parameters
    ----------
    track : Track
        At least two moments.
    frame : Frame

    Returns
    -------
    Motion
        From the first moment to the last; positions and velocities of local cubics whose width follows from the noise
        that the data show (see `smoothing_half_width_s`).
    tuple of QualityNote

    Raises
    ------
    ValueError
        For fewer than two moments.
    """
    if len(track) < 2:
        raise ValueError("a motion needs at least two points")
    samples = _samples(track, frame)
    samples, notes = _without_outliers(samples)
    steadied = steadied_path(samples.time_s, samples.along_m, samples.cross_m, samples.weight, track, frame)
    if steadied is not None:
        everywhere = np.ones(len(samples.time_s))
        samples = Samples(samples.time_s, steadied.along_m, steadied.cross_m, everywhere, samples.interval_s)
        notes = (*notes, steadied.note())
    place_sigma_m = 0.0 if steadied is None else steadied.place_sigma_m
    position = np.column_stack([samples.along_m, samples.cross_m])
    pilot_half_s = max(4.0, 2.6 * samples.interval_s)
    noise_m = _noise(samples, position, pilot_half_s)
    if steadied is not None:
        noise_m = max(noise_m, steadied.noise_m(samples.interval_s))
    half_s = smoothing_half_width_s(noise_m, samples.interval_s)
    step = FINE_STEP_S if samples.interval_s < 0.75 else COARSE_STEP_S
    last = samples.time_s[-1]
    at_s = samples.time_s[0] + step * np.arange(int(np.floor((last - samples.time_s[0]) / step + 1e-6)) + 1)
    if len(at_s) < 2:
        # not nearer together than that: all of a fast recording may have become one block
        at_s = np.array([samples.time_s[0], max(last, samples.time_s[0] + SHORTEST_STEP_S)])
    degree = min(3, max(1, int(np.count_nonzero(samples.weight)) - 2))
    fit = local_polynomial(at_s, samples.time_s, position, samples.weight, half_s, degree)
    gap = _in_gap(at_s, samples)
    fit = mended_at_edges(fit, at_s, samples.time_s, position, samples.weight, half_s, gap)
    along_mps, cross_mps = fit.slope[:, 0], fit.slope[:, 1]
    speed = np.hypot(along_mps, cross_mps)
    safe_speed = np.maximum(speed, 1.0)
    # to the right is from -along towards +cross: the sense in which the angle (-along, cross) grows
    lateral = (-along_mps * fit.curvature[:, 1] + cross_mps * fit.curvature[:, 0]) / safe_speed
    turn_rate = np.degrees(lateral / safe_speed)
    rounded = rounding(fit, at_s, samples.time_s, position, samples.weight, half_s, degree, samples.interval_s)
    speed_noise = noise_m * fit.slope_factor
    rate_noise = np.degrees(noise_m * fit.curvature_factor / safe_speed)
    speed_sigma = np.hypot(speed_noise, rounded.slope)
    rate_rounded = np.hypot(np.degrees(rounded.curvature / safe_speed), rounded.unseen_deg_s)
    motion = Motion(
        time_s=at_s,
        along_m=fit.value[:, 0],
        cross_m=fit.value[:, 1],
        along_mps=along_mps,
        cross_mps=cross_mps,
        turn_rate_deg_s=turn_rate,
        position_sigma_m=np.sqrt((noise_m * fit.value_factor) ** 2 + place_sigma_m**2 + rounded.value**2),
        speed_sigma_mps=speed_sigma,
        track_sigma_deg=np.degrees(speed_sigma / safe_speed),
        turn_rate_sigma_deg_s=np.hypot(rate_noise, rate_rounded),
        in_gap=gap,
        noise_m=noise_m,
        inbound_true_deg=frame.inbound_true_deg,
        samples=samples,
        along_mps2=fit.curvature[:, 0],
        cross_mps2=fit.curvature[:, 1],
        recorded_scatter_m=None if steadied is None else steadied.position_scatter_m,
        speed_noise_mps=speed_noise,
        turn_rate_noise_deg_s=rate_noise,
    )
    return motion, notes


#: half width for one position a second with 3 m of noise: `tests.benchmarks.settled smoothing_width`
BEST_WIDTH_S = 4.85


def smoothing_half_width_s(noise_m: float, interval_s: float) -> float:
    """Half width of the local cubic that balances noise against the rounding of roll-ins, seconds.

    Parameters
    ----------
    noise_m : float
        1 sigma of a position.
    interval_s : float
        Middle interval between positions.

    Notes
    -----
    The variance of the slope falls with the cube of the width, its bias at a roll-in (a step of the jerk) grows with
    the square: the best width goes with the seventh root of noise squared times interval. The factor is `BEST_WIDTH_S`.
    """
    best = BEST_WIDTH_S * (max(noise_m, NOISE_LEAST_M) ** 2 * interval_s / 9.0) ** (1.0 / 7.0)
    return float(np.clip(max(best, 2.6 * interval_s), 2.0, 30.0))


def _samples(track: Track, frame: Frame) -> Samples:
    along, cross = frame.along_cross_m(track.latitude_deg, track.longitude_deg)
    along, cross, time = np.asarray(along), np.asarray(cross), np.asarray(track.time_s)
    moved = np.concatenate([[True], (np.diff(along) != 0.0) | (np.diff(cross) != 0.0)])
    held = 1.0 - float(np.mean(moved))
    if held > 0.2 and np.count_nonzero(moved) >= 8 and np.hypot(np.ptp(along), np.ptp(cross)) > 2000.0:
        # a slow receiver written out at a fast rate repeats each position: keep its first moment only
        time, along, cross = time[moved], along[moved], cross[moved]
    interval = float(np.median(np.diff(time)))
    if interval < BLOCK_MEAN_BELOW_S:
        kept = _near_running_median(along, cross)
        time, along, cross = time[kept], along[kept], cross[kept]
        block = np.floor((time - time[0]) / FINE_STEP_S).astype(np.int64)
        _, group, count = np.unique(block, return_inverse=True, return_counts=True)
        time, along, cross = (np.bincount(group, weights=values) / count for values in (time, along, cross))
        interval = FINE_STEP_S
    return Samples(time, along, cross, np.ones(len(time)), interval)


def _near_running_median(along: FloatArray, cross: FloatArray) -> BoolArray:
    """Which samples of a fast recording lie near the median of their neighbours: one far off would spoil its block."""
    reach = 5
    if len(along) < 4 * reach:
        return np.ones(len(along), dtype=bool)
    miss = np.zeros(len(along))
    for values in (along, cross):
        padded = np.pad(values, reach, mode="reflect", reflect_type="odd")
        middle = np.median(np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1), axis=1)
        miss = np.hypot(miss, values - middle)
    return miss <= max(OUTLIER_LEAST_M, OUTLIER_SIGMAS * robust_sigma(miss))


def _without_outliers(samples: Samples) -> tuple[Samples, tuple[QualityNote, ...]]:
    count = len(samples.time_s)
    if count < 8:
        return samples, ()
    miss, limit = _off_path(samples, max(6.0, 4.2 * samples.interval_s), 2)
    outlier = miss > limit
    if np.any(outlier) and samples.interval_s > OUTLIER_COARSE_S:
        # so wide a parabola cuts the corners of a turn: a cubic through the nearest neighbours has to agree
        near, near_limit = _off_path(samples, 3.2 * samples.interval_s, 3)
        outlier &= near > near_limit
        # and what is left has to be more than an aircraft can fly: a fit knows nothing of tight turns
        outlier = not_flyable(samples.time_s, samples.along_m, samples.cross_m, outlier)
    if np.mean(outlier) > 0.2:
        return samples, ()
    kept = np.where(outlier, 0.0, 1.0)
    number = int(np.count_nonzero(outlier))
    if not number:
        return samples, ()
    worst = float(np.max(miss[outlier]))
    text = (
        f"{number} position{'s' if number > 1 else ''} left out as outliers, up to {worst:.0f} m "
        f"from the path of their neighbours."
    )
    cleaned = Samples(samples.time_s, samples.along_m, samples.cross_m, kept, samples.interval_s)
    return cleaned, (QualityNote("outlier-positions", text),)


def _off_path(samples: Samples, half_s: float, degree: int) -> tuple[FloatArray, float]:
    """Return the distance of each position from the path of its neighbours, and from which distance on it is off it."""
    position = np.column_stack([samples.along_m, samples.cross_m])
    weight = np.ones(len(samples.time_s))
    miss, limit = np.zeros(len(weight)), OUTLIER_LEAST_M
    for turn in range(6):
        fit = local_polynomial(samples.time_s, samples.time_s, position, np.maximum(weight, 1e-6), half_s, degree, True)
        miss = np.hypot(*(position - fit.value).T)
        scale = robust_sigma(miss) / 1.18  # the median of a Rayleigh variable is 1.18 sigma
        limit = max(OUTLIER_LEAST_M, OUTLIER_SIGMAS * scale)
        if turn == 0 and np.all(miss < limit):
            break
        # monotone weights first, so that a far outlier does not take its neighbours with it; then redescending
        weight = np.minimum(1.0, (0.3 * limit / np.maximum(miss, 1e-9)) ** (1 if turn < 3 else 3))
    return miss, limit


def _noise(samples: Samples, position: FloatArray, half_s: float) -> float:
    used = samples.weight > 0.0
    if np.count_nonzero(used) < 8:
        return 10.0  # too few to tell: the stated default of a position
    degree = 3
    fit = local_polynomial(samples.time_s[used], samples.time_s, position, samples.weight, half_s, degree)
    rest = position[used] - fit.value
    # a fitted sample has pulled the fit towards itself by its leverage
    rest = rest / np.sqrt(np.clip(1.0 - fit.leverage, 0.05, 1.0))[:, None]
    return max(NOISE_LEAST_M, robust_sigma(rest))


def _in_gap(at_s: FloatArray, samples: Samples) -> BoolArray:
    used = samples.time_s[samples.weight > 0.0]
    if len(used) < 2:
        return np.zeros(len(at_s), dtype=bool)
    after = np.clip(np.searchsorted(used, at_s, side="right"), 1, len(used) - 1)
    interval = used[after] - used[after - 1]
    inside = (at_s > used[after - 1] + 0.5) & (at_s < used[after] - 0.5)
    gap: BoolArray = inside & (interval > max(GAP_LEAST_S, GAP_INTERVALS * samples.interval_s))
    return gap
