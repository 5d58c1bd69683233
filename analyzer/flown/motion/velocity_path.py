"""Recorded ground speed and track as the better source of the path's shape.

Broadcast positions come with times that are off by a second and more, and tables of them hold stretches that were only
drawn straight between two received positions. The ground speed and track beside them were measured, not derived, and
are good to a knot and a degree. Where they are clearly the better source, the path is their integral, and the positions
only tell where it lies: over tens of seconds their errors average out.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from analyzer.flown.motion.local_polynomial import local_polynomial
from analyzer.flown.motion.velocity_columns import FEWEST, HELD_S, recorded_velocities, stretches, velocity_scatter
from analyzer.given import Frame, QualityNote, Track
from analyzer.units import BoolArray, FloatArray

ComplexArray = npt.NDArray[np.complex128]

FINEST_INTERVAL_S = 0.75  # faster recordings are simulators', whose positions are exact
LEAST_SHARE = 0.5  # of the rows
SOUND_SHARE = 0.75  # of the velocities: where more lead astray, none is used
BLOCK = 2000  # moments smoothed at once: bounds the memory
SURE = 2.0  # errors of neighbouring positions are alike: sigmas of what is fitted to them are so many times larger
STEP_S = 0.25  # of the integral: speed and angle run straight between rows, which is exact for a steady turn
LONG_S, WRONG_SHARE = 60.0, 0.15  # over so long a path by velocities strays from the positions by this share at most
BIAS_MPS = 0.3  # slow error of a velocity column, rounding to a knot or a degree included: common practice
SIDEWAYS_BIAS_MPS = 0.5  # the same across the track, where half a degree of rounding counts
WINDOW_S = (12.0, 150.0)  # bounds of the half width over which positions tell where the path lies
LIKELY = np.array([0.02, 0.02, 1.5])  # 1 sigma of scale, rotation (rad) and lag (s) before the flight is looked at
MOST_SCALE, MOST_ROTATION, MOST_LAG_S = 0.1, 0.14, 3.0  # beyond, the columns are not velocity over the ground
GOOD_POSITION_M = 2.0  # positions that scatter less are good enough by themselves
CLEARLY = 0.5  # the velocities' error is at most this part of that of the positions' slope


@dataclass(frozen=True)
class SteadiedPath:
    """Positions on the integral of the velocity columns, shape (n,), with what was found about both sources.

    Parameters
    ----------
    time_s, along_m, cross_m : array, shape (n,)
    position_scatter_m : float
        1 sigma of the recorded positions about the path.
    velocity_scatter_mps : float
        1 sigma of the recorded velocities, each component.
    lag_s : float
        By so much the velocities are late (positive) against the positions.
    place_sigma_m : float
        1 sigma of where the path lies as a whole.
    """

    time_s: FloatArray
    along_m: FloatArray
    cross_m: FloatArray
    position_scatter_m: float
    velocity_scatter_mps: float
    lag_s: float
    place_sigma_m: float

    def noise_m(self, interval_s: float) -> float:
        """1 sigma of independent positions that would leave the same doubt about the ground velocity."""
        return 0.5 * self.velocity_scatter_mps * max(4.0, 2.6 * interval_s)

    def note(self) -> QualityNote:
        """Return what the report says of it."""
        text = (
            f"Recorded ground speed and track show the path's shape better than the positions, which scatter by "
            f"{self.position_scatter_m:.0f} m about it: the path is drawn from both."
        )
        return QualityNote("path-from-velocities", text)


def steadied_path(
    time_s: FloatArray, along_m: FloatArray, cross_m: FloatArray, weight: FloatArray, track: Track, frame: Frame
) -> SteadiedPath | None:
    """Return the path by the velocity columns, or None where there are none or the positions serve as well.

    Parameters
    ----------
    time_s, along_m, cross_m, weight : array, shape (n,)
        Recorded positions in the frame's axes; weight 0 for outliers.
    track : Track
        Its sensors `groundspeed_mps` and `track_true_deg` are used.
    frame : Frame

    Returns
    -------
    SteadiedPath or None
        At the positions' moments that have a velocity nearby; other moments keep their positions.

    Notes
    -----
    A constant scale, rotation and lag of the columns are estimated from the flight's turns and taken out; columns that
    need more than a tenth, 8 degrees or 3 s are not used.
    """
    if len(time_s) < FEWEST:
        return None
    interval = float(np.median(np.diff(time_s)))
    if interval < FINEST_INTERVAL_S:
        return None
    position: ComplexArray = along_m + 1j * cross_m
    recorded = recorded_velocities(track, frame, time_s, position, weight, interval)
    if recorded is None:
        return None
    known_s, velocity = recorded
    used = weight > 0.0
    parts = _parts(known_s, velocity, time_s[used], position[used], interval)
    sound = [part.sound() for part in parts]
    if sum(int(np.count_nonzero(one)) for one in sound) < SOUND_SHARE * len(known_s):
        return None
    if not all(np.all(one) for one in sound):
        known_s = np.concatenate([part.known_s[one] for part, one in zip(parts, sound, strict=True)])
        velocity = np.concatenate([part.known[one] for part, one in zip(parts, sound, strict=True)])
        parts = _parts(known_s, velocity, time_s[used], position[used], interval)
    if not parts or sum(len(part.time_s) for part in parts) < LEAST_SHARE * len(time_s):
        return None
    noise_mps = velocity_scatter(known_s, velocity, interval)
    found = _calibrated(parts, interval)
    if found is None:
        return None
    scale, lag_s, scatter, window_s = found
    if not _clearly_better(noise_mps, scatter, interval):
        return None
    result = position.copy()
    for part in parts:
        within = (time_s >= part.known_s[0] - HELD_S) & (time_s <= part.known_s[-1] + HELD_S)
        result[within] = part.placed(time_s[within], scale, lag_s, window_s, scatter)
    place_sigma_m = scatter * float(np.sqrt(interval / window_s))
    return SteadiedPath(time_s, result.real, result.imag, scatter, noise_mps, lag_s, place_sigma_m)


class _Part:
    """One unbroken stretch: the integral of its velocities, and the positions recorded meanwhile."""

    def __init__(self, known_s: FloatArray, velocity: ComplexArray, time_s: FloatArray, position: ComplexArray) -> None:
        self.known_s, self.known, self.time_s, self.position = known_s, velocity, time_s, position
        self.grid = np.arange(known_s[0], known_s[-1] + STEP_S, STEP_S)
        angle = np.unwrap(np.angle(velocity))
        self.velocity: ComplexArray = np.interp(self.grid, known_s, np.abs(velocity)) * np.exp(
            1j * np.interp(self.grid, known_s, angle)
        )
        steps = 0.5 * (self.velocity[1:] + self.velocity[:-1]) * STEP_S
        self.integral: ComplexArray = np.concatenate([[0.0j], np.cumsum(steps)])

    def path(self, at_s: FloatArray, scale: complex, lag_s: float) -> ComplexArray:
        """Integral at the given moments, for velocities that are late by a lag."""
        late = at_s + lag_s
        inside = np.clip(late, self.grid[0], self.grid[-1])
        beyond = late - inside
        moved = np.interp(inside, self.grid, self.integral) + beyond * np.interp(inside, self.grid, self.velocity)
        return np.asarray(scale * moved, dtype=np.complex128)

    def rest(self, scale: complex, lag_s: float) -> ComplexArray:
        """Positions less integral: constant but for the errors of both."""
        return self.position - self.path(self.time_s, scale, lag_s)

    def sound(self) -> BoolArray:
        """Which velocities take the path where the positions go, over a minute and more.

        A stretch of bad times or of positions drawn straight is made up for by then; wrong velocities are not.
        """
        rest = self.rest(1.0 + 0.0j, 0.0)
        weight = _robust_weight(self.time_s, rest, LONG_S)
        apart_s = _smooth(self.time_s, rest, weight, self.known_s + 0.5 * LONG_S, 0.5 * LONG_S)
        apart_s -= _smooth(self.time_s, rest, weight, self.known_s - 0.5 * LONG_S, 0.5 * LONG_S)
        return np.asarray(np.abs(apart_s) / LONG_S <= WRONG_SHARE * np.abs(self.known), dtype=bool)

    def placed(self, at_s: FloatArray, scale: complex, lag_s: float, window_s: float, scatter_m: float) -> ComplexArray:
        """Return the integral put where the positions have it: along the track over a long time, across it sooner.

        A bad time moves a position along the track only, so that across it the positions tell more.
        """
        rest = self.rest(scale, lag_s)
        weight = _robust_weight(self.time_s, rest, window_s)
        likely_s = SURE * scatter_m / BIAS_MPS
        left = rest - _smooth(self.time_s, rest, weight, self.time_s, window_s, likely_s)
        ahead: ComplexArray = np.interp(self.time_s + lag_s, self.grid, self.velocity)
        across: FloatArray = np.imag(left * np.conj(ahead)) / np.abs(ahead)
        limit = 4.0 * float(np.median(np.abs(across)))
        sound = np.where(np.abs(across) <= limit, weight, 1e-6)
        scatter = float(np.quantile(np.abs(across), 0.9)) / 1.645
        interval = float(np.median(np.diff(self.known_s)))
        narrow_s = min(window_s, _window_s(scatter, SIDEWAYS_BIAS_MPS, interval))
        sideways = _smooth(
            self.time_s, across.astype(np.complex128), sound, at_s, narrow_s, scatter / SIDEWAYS_BIAS_MPS
        ).real
        there = np.interp(at_s + lag_s, self.grid, self.velocity)
        drift = _smooth(self.time_s, rest, weight, at_s, window_s, likely_s)
        moved = self.path(at_s, scale, lag_s) + drift + 1j * sideways * there / np.abs(there)
        return np.asarray(moved, dtype=np.complex128)


def _parts(
    known_s: FloatArray, velocity: ComplexArray, time_s: FloatArray, position: ComplexArray, interval_s: float
) -> list[_Part]:
    """Unbroken stretches that are long enough to be of use."""
    parts = []
    for first, after in stretches(known_s, interval_s):
        inside = (time_s >= known_s[first]) & (time_s <= known_s[after - 1])
        if after - first >= FEWEST and np.count_nonzero(inside) >= FEWEST // 2:
            parts.append(_Part(known_s[first:after], velocity[first:after], time_s[inside], position[inside]))
    return parts


def _robust_weight(time_s: FloatArray, values: ComplexArray, half_width_s: float) -> FloatArray:
    """Weights in (0, 1] that leave out values far from local straight lines."""
    series = np.column_stack([values.real, values.imag])
    weight = np.ones(len(time_s))
    for _ in range(3):
        fit = local_polynomial(time_s, time_s, series, weight, half_width_s, 1)
        miss = np.hypot(*(series - fit.value).T)
        limit = max(1.0, 4.0 * float(np.median(miss)))
        weight = np.asarray(np.maximum(np.clip(1.0 - (miss / limit) ** 2, 0.0, None) ** 2, 1e-6))
    return weight


def _smooth(
    time_s: FloatArray,
    values: ComplexArray,
    weight: FloatArray,
    at_s: FloatArray,
    half_width_s: float,
    slope_prior_s: float = 0.0,
) -> ComplexArray:
    """Local straight lines whose slope is held near zero by a prior: scatter over likely slope, in seconds."""
    width = min(len(time_s), int(np.ceil(2.0 * half_width_s / max(float(np.median(np.diff(time_s))), 0.1))) + 5)
    width = min(max(width, 5), 400, len(time_s))
    smooth = np.empty(len(at_s), dtype=np.complex128)
    for start in range(0, len(at_s), BLOCK):
        moments = at_s[start : start + BLOCK]
        first = np.clip(np.searchsorted(time_s, moments) - width // 2, 0, len(time_s) - width)
        index = first[:, None] + np.arange(width)[None, :]
        offset = time_s[index] - moments[:, None]
        distance = np.abs(offset)
        nearest = np.partition(distance, min(4, width - 1), axis=1)[:, min(4, width - 1)]
        half = np.maximum(half_width_s, 1.15 * nearest)[:, None]
        kernel = np.clip(1.0 - (distance / half) ** 3, 0.0, None) ** 3 * weight[index]
        zeroth, first_order = kernel.sum(axis=1), (kernel * offset).sum(axis=1)
        second = (kernel * offset**2).sum(axis=1) + slope_prior_s**2 + 1e-9
        right, moment = (kernel * values[index]).sum(axis=1), (kernel * offset * values[index]).sum(axis=1)
        smooth[start : start + BLOCK] = (second * right - first_order * moment) / (zeroth * second - first_order**2)
    return smooth


def _window_s(scatter_m: float, bias_mps: float, interval_s: float) -> float:
    """Half width: the positions' variance falls with it, the velocities' slow error grows with it."""
    best = float(np.clip(1.8 * (scatter_m**2 * interval_s / bias_mps**2) ** (1.0 / 3.0), *WINDOW_S))
    return max(best, 4.0 * interval_s)


def _calibrated(parts: list[_Part], interval_s: float) -> tuple[complex, float, float, float] | None:
    """Return scale with rotation, lag, scatter of the positions and half width; None where they are out of bounds."""
    scale, lag_s, window_s, scatter = 1.0 + 0.0j, 0.0, 30.0, 0.0
    for _ in range(3):
        rows, rests = [], []
        for part in parts:
            rest = part.rest(scale, lag_s)
            integral = part.path(part.time_s, scale, lag_s)
            speed = np.interp(part.time_s + lag_s, part.grid, part.velocity)
            # what a slow drift would explain is taken out of every term alike
            weight = _robust_weight(part.time_s, rest, window_s)
            left, way, rate = (
                values - _smooth(part.time_s, values, weight, part.time_s, window_s)
                for values in (rest, integral, speed)
            )
            rests.append(left)
            rows.append(np.column_stack([way, 1j * way, rate]))
        left, design = np.concatenate(rests), np.concatenate(rows)
        scatter = max(0.1, float(np.quantile(np.abs(left), 0.9)) / 2.15)  # of a Rayleigh variable
        current = np.array([scale.real - 1.0, scale.imag, lag_s])
        whole = _solved(design, left + design @ current, scatter)
        scale, lag_s = complex(1.0 + whole[0], whole[1]), float(whole[2])
        window_s = _window_s(scatter, BIAS_MPS, interval_s)
    if abs(abs(scale) - 1.0) > MOST_SCALE or abs(np.angle(scale)) > MOST_ROTATION or abs(lag_s) > MOST_LAG_S:
        return None
    return scale, lag_s, scatter, window_s


def _solved(design: ComplexArray, left: ComplexArray, scatter_m: float) -> FloatArray:
    """Real least squares of complex rows, robust, with the weak prior that the columns are right as they are."""
    matrix = np.concatenate([design.real, design.imag])
    values = np.concatenate([left.real, left.imag])
    solution = np.zeros(3)
    weight = np.ones(len(values))
    prior = np.diag((SURE * scatter_m / LIKELY) ** 2)
    for _ in range(4):
        normal = (matrix * weight[:, None]).T @ matrix + prior
        solution = np.linalg.solve(normal, matrix.T @ (weight * values))
        miss = np.abs(values - matrix @ solution)
        weight = np.clip(1.0 - (miss / (5.0 * scatter_m)) ** 2, 0.0, None) ** 2
    return solution


def _clearly_better(velocity_scatter_mps: float, position_scatter_m: float, interval_s: float) -> bool:
    """Whether the velocities show the ground velocity better than the slope of the positions does, at equal width."""
    half_s = max(4.0, 2.6 * interval_s)
    of_slope = 2.4 * position_scatter_m * np.sqrt(interval_s) / half_s**1.5
    of_columns = 1.5 * velocity_scatter_mps * np.sqrt(interval_s / half_s)
    return position_scatter_m > GOOD_POSITION_M and bool(of_columns < CLEARLY * of_slope)
