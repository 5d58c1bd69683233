"""The path around one edge of a turn as a handful of values, for many edges at once.

A turn's rate rises linearly while the bank is rolled in and falls linearly while it is rolled out. Over half a minute
around an edge the path follows from position, heading, airspeed, the rates and the moments of the edge.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from analyzer.flown.motion.motion import Samples
from analyzer.flown.turns.air_motion import AirMotion
from analyzer.units import FloatArray, bank_of_turn_deg

GRID_S = 0.25
WINDOW_S = 12.0  # of level flight and of turn on each side of an edge
WINDOW_INTERVALS = 4.0  # at least so many intervals of the recording
DRIFT_SIGMA_DEG_S = 0.12  # heading drift of "straight" flight
SPEED_SIGMA_MPS = 1.5
EDGE_SIGMA_S = 4.0
LEAST_NOISE_M = 0.3
# the values of a model, in this order
ALONG, CROSS, HEADING, SPEED, DRIFT, END, LOG_ROLL_OUT, RATE_BEFORE, START, LOG_ROLL_IN, RATE_AFTER = range(11)


@dataclass(frozen=True)
class RollHabit:
    """How fast this pilot or autopilot rolls: degrees of bank per second, and the spread of its logarithm."""

    rate_deg_s: float
    log_sigma: float


#: before anything is known of a flight: common practice, autopilots near 4, hand flying 5 to 8 degrees per second
USUAL_ROLL = RollHabit(5.5, 0.45)


class Positions(NamedTuple):
    """The recorded positions that are used, shapes (n,) and (2, n), and the recording's interval."""

    time_s: FloatArray
    position_m: FloatArray
    interval_s: float

    def between(self, first_s: float, last_s: float) -> slice:
        """Return which positions are from one moment to another, both included."""
        return between(self.time_s, first_s, last_s)


def used_positions(samples: Samples) -> Positions:
    """Return the samples that are not outliers."""
    good = samples.weight > 0.0
    return Positions(samples.time_s[good], np.stack([samples.along_m[good], samples.cross_m[good]]), samples.interval_s)


def between(time_s: FloatArray, first_s: float, last_s: float) -> slice:
    """Return which of increasing moments are from one to another, both included."""
    return slice(int(np.searchsorted(time_s, first_s)), int(np.searchsorted(time_s, last_s, side="right")))


def window_s_for(interval_s: float, noise_m: float) -> float:
    """Good data need a short window only, in which level flight and turn are steady."""
    spread = noise_m * np.sqrt(interval_s)
    return float(
        max(np.clip(WINDOW_S * (spread / 4.0) ** 0.4, 0.6 * WINDOW_S, WINDOW_S), WINDOW_INTERVALS * interval_s)
    )


@dataclass(frozen=True)
class Window:
    """The positions around an edge and what the edge seems to be.

    Parameters
    ----------
    time_s : array, shape (n,)
    position_m : array, shape (2, n)
        Along and across the inbound course.
    end_s, start_s : float or None
        Where a turn seems to end and where one seems to start; at least one.
    rate_before, rate_after : float
        Steady turn rates before the end and after the start, degrees per second.
    steady_before : float, optional
        A steady turn of about this rate, not level flight, comes before the start.
    """

    time_s: FloatArray
    position_m: FloatArray
    end_s: float | None
    start_s: float | None
    rate_before: float
    rate_after: float
    steady_before: float | None = None

    @property
    def grid_points(self) -> int:
        """How many steps of the model's grid the window has."""
        return int(np.ceil((self.time_s[-1] - self.time_s[0]) / GRID_S)) + 2


class Models(NamedTuple):
    """Models of k windows of one kind: positions, weights and priors; n positions at most, g steps of the grid.

    `weight` is 0 where a window has fewer positions than the longest; `first` holds the values to begin with.
    """

    grid_s: FloatArray  # (g,)
    position_m: FloatArray  # (k, 2, n)
    weight: FloatArray  # (k, n)
    cell: npt.NDArray[np.int64]  # (k, n)
    part: FloatArray  # (k, n)
    first: FloatArray  # (k, 11)
    sigma: FloatArray  # (k, 11)
    level_sigma_s: FloatArray  # (k,)
    free: npt.NDArray[np.int64]  # which of the 11 values are free
    wind_mps: tuple[float, float]

    def chosen(self, which: npt.NDArray[np.int64]) -> "Models":
        """Return some of the models."""
        if len(which) == len(self.first):
            return self
        return self._replace(
            position_m=self.position_m[which],
            weight=self.weight[which],
            cell=self.cell[which],
            part=self.part[which],
            first=self.first[which],
            sigma=self.sigma[which],
            level_sigma_s=self.level_sigma_s[which],
        )


def models(windows: list[Window], air: AirMotion, noise_m: float, habit: RollHabit) -> Models:
    """Return the models of windows that have the same edges, an end or a start or both."""
    count, most = len(windows), max(len(window.time_s) for window in windows)
    position, weight = np.zeros((count, 2, most)), np.zeros((count, most))
    cell, part = np.zeros((count, most), dtype=np.int64), np.zeros((count, most))
    first, sigma, level = np.zeros((count, 11)), np.zeros((count, 11)), np.full(count, 1e3)
    points = max(window.grid_points for window in windows)
    for row, window in enumerate(windows):
        size = len(window.time_s)
        at = (window.time_s - window.time_s[0]) / GRID_S
        position[row, :, :size], weight[row, :size] = window.position_m, 1.0 / max(noise_m, LEAST_NOISE_M)
        cell[row, :size] = np.minimum(at.astype(np.int64), points - 2)
        part[row, :size] = at - cell[row, :size]
        first[row], sigma[row] = _priors(window, air, habit)
        # from bank to opposite bank pilots roll in one go; between two turns the same way any pause is as likely
        level[row] = 2.5 if window.rate_before * window.rate_after < 0.0 else 1e3
    free = [ALONG, CROSS, HEADING, SPEED, DRIFT]
    free += [END, LOG_ROLL_OUT, RATE_BEFORE] if windows[0].end_s is not None else []
    free += [START, LOG_ROLL_IN, RATE_AFTER] if windows[0].start_s is not None else []
    wind = (air.wind_along_mps, air.wind_cross_mps)
    grid_s = np.arange(points, dtype=np.float64) * GRID_S
    return Models(grid_s, position, weight, cell, part, first, sigma, level, np.array(free), wind)


def _priors(window: Window, air: AirMotion, habit: RollHabit) -> tuple[list[float], list[float]]:
    """Return the values to begin with, which also are the middles of the priors, and the priors' sigmas."""
    origin = float(window.time_s[0])
    end = window.end_s if window.end_s is not None else window.start_s or 0.0
    start = window.start_s if window.start_s is not None else window.end_s or 0.0
    end, start = end - origin + 1.0, start - origin - 1.0
    if window.end_s is not None and window.start_s is not None and start < end:
        end = start = 0.5 * (start + end)
    inside = between(air.time_s, origin, float(window.time_s[-1]))
    speed = float(np.mean(air.speed_mps[inside] if inside.stop > inside.start else air.speed_mps))
    rates = (window.rate_before, window.rate_after)
    rolls = [float(np.log(np.clip(bank_of_turn_deg(rate, speed) / habit.rate_deg_s, 1.0, 10.0))) for rate in rates]
    heading = float(np.interp(origin, air.time_s, air.heading_deg))
    place = [float(each[0]) for each in window.position_m]
    rate_sigma = 0.35 * max(abs(window.rate_before), abs(window.rate_after), 1.0)
    drift, drift_sigma = 0.0, DRIFT_SIGMA_DEG_S
    if window.steady_before is not None:
        drift, drift_sigma = window.steady_before, 0.35 * max(abs(window.steady_before), 1.0)
    edge_sigma = [EDGE_SIGMA_S, habit.log_sigma, rate_sigma]
    return (
        [*place, heading, speed, drift, end, rolls[0], window.rate_before, start, rolls[1], window.rate_after],
        [1e4, 1e4, 60.0, SPEED_SIGMA_MPS, drift_sigma, *edge_sigma, *edge_sigma],
    )


def misfit(fitted: Models, values: FloatArray) -> FloatArray:
    """Return the whitened misfit of positions and priors, shape (k, 2 n + priors), for values of shape (k, 11)."""
    heading = np.radians(values[:, HEADING, None] + integral(_rate(fitted, values)[0]))
    return _misfit(fitted, values, np.cos(heading), np.sin(heading))


def misfit_and_slopes(fitted: Models, values: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the misfit and its slopes in the free values, shapes (k, r) and (k, free, r)."""
    rate, slopes = _rate(fitted, values)
    heading = np.radians(values[:, HEADING, None] + integral(rate))
    cosine, sine = np.cos(heading), np.sin(heading)
    count, points = rate.shape
    free, size = len(fitted.free), fitted.weight.shape[1]
    turned = np.empty((count, free - 3, points))  # by how much a value turns the heading: heading itself, drift, edges
    turned[:, 0] = 1.0
    turned[:, 1] = fitted.grid_s
    for row, slope in enumerate(slopes):
        turned[:, row + 2] = integral(slope)
    turned *= np.radians(values[:, SPEED, None, None])
    order = [HEADING, *range(DRIFT, free)]
    along, cross = np.empty((count, free - 2, points)), np.empty((count, free - 2, points))
    np.multiply(turned, sine[:, None], out=along[:, 1:])
    np.multiply(turned, cosine[:, None], out=cross[:, 1:])
    along[:, 0], cross[:, 0] = -cosine, sine
    result = np.zeros((count, free, 2 * size + free + (START in fitted.free and END in fitted.free)))
    result[:, ALONG, :size] = fitted.weight
    result[:, CROSS, size : 2 * size] = fitted.weight
    for axis, motion in enumerate((along, cross)):
        here = _at_positions(fitted, integral(motion)) * fitted.weight[:, None]
        result[:, [SPEED, *order], axis * size : (axis + 1) * size] = here
    each = np.arange(free)
    result[:, each, 2 * size + each] = 1.0 / fitted.sigma[:, fitted.free]
    if result.shape[2] > 2 * size + free:
        slope = np.where(values[:, START] < values[:, END], 2.0, 1.0 / fitted.level_sigma_s)
        result[:, START, -1], result[:, END, -1] = slope, -slope
    return _misfit(fitted, values, cosine, sine), result


def _rate(fitted: Models, values: FloatArray) -> tuple[FloatArray, list[FloatArray]]:
    """Turn rate on the grid, degrees per second, shape (k, g), and its slopes in the edges' free values."""
    rate = np.repeat(values[:, DRIFT, None], len(fitted.grid_s), axis=1)
    slopes: list[FloatArray] = []
    has_end = END in fitted.free
    if has_end:
        left = values[:, END, None] - fitted.grid_s
        roll_s = np.exp(values[:, LOG_ROLL_OUT, None])
        share = np.clip(left / roll_s, 0.0, 1.0)
        rate += values[:, RATE_BEFORE, None] * share
        steep = values[:, RATE_BEFORE, None] * ((left > 0.0) & (left < roll_s)) / roll_s
        slopes += [steep, -steep * left, share]
    if START in fitted.free:
        begin = np.maximum(values[:, START], values[:, END]) if has_end else values[:, START]
        since = fitted.grid_s - begin[:, None]
        roll_s = np.exp(values[:, LOG_ROLL_IN, None])
        share = np.clip(since / roll_s, 0.0, 1.0)
        rate += values[:, RATE_AFTER, None] * share
        steep = values[:, RATE_AFTER, None] * ((since > 0.0) & (since < roll_s)) / roll_s
        with_end = (values[:, END] > values[:, START])[:, None] if has_end else np.zeros((len(values), 1), dtype=bool)
        if has_end:
            slopes[0] = slopes[0] - np.where(with_end, steep, 0.0)
        slopes += [np.where(with_end, 0.0, -steep), -steep * since, share]
    return rate, slopes


def _misfit(fitted: Models, values: FloatArray, cosine: FloatArray, sine: FloatArray) -> FloatArray:
    speed = values[:, SPEED, None]
    parts = []
    for axis, velocity in ((ALONG, -cosine * speed), (CROSS, sine * speed)):
        here = _at_positions(fitted, integral(velocity + fitted.wind_mps[axis])[:, None])[:, 0]
        parts.append((here + values[:, axis, None] - fitted.position_m[:, axis]) * fitted.weight)
    parts.append(((values - fitted.first) / fitted.sigma)[:, fitted.free])
    if END in fitted.free and START in fitted.free:
        level_s = values[:, START] - values[:, END]
        parts.append(np.where(level_s < 0.0, 2.0 * level_s, level_s / fitted.level_sigma_s)[:, None])
    return np.concatenate(parts, axis=1)


def _at_positions(fitted: Models, path: FloatArray) -> FloatArray:
    """Values on the grid, shape (k, m, g), at the moments of the positions, shape (k, m, n)."""
    before = np.take_along_axis(path, fitted.cell[:, None], axis=2)
    after = np.take_along_axis(path, fitted.cell[:, None] + 1, axis=2)
    result: FloatArray = before + (after - before) * fitted.part[:, None]
    return result


def integral(values: FloatArray) -> FloatArray:
    """Return the running trapezoid integral over the grid along the last axis, starting at 0."""
    result = np.zeros_like(values)
    np.cumsum((0.5 * GRID_S) * (values[..., 1:] + values[..., :-1]), axis=-1, out=result[..., 1:])
    return result
