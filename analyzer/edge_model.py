"""The path around one edge of a turn as a handful of values, fitted to the recorded positions.

A turn's rate rises linearly while the bank is rolled in and falls linearly while it is rolled out. Over half a minute
around an edge the path follows from position, heading, airspeed, the rates and the moments of the edge.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from analyzer.motion import Samples
from analyzer.segments import AirMotion
from analyzer.units import GRAVITY_MPS2

FloatArray = npt.NDArray[np.float64]

GRID_S = 0.25
DRIFT_SIGMA_DEG_S = 0.12  # heading drift of "straight" flight
SPEED_SIGMA_MPS = 1.5
ITERATIONS = 14
LARGEST_MOVE_S = 9.0  # an edge that the fit moves farther from where it was seen is not that edge
# along, cross, heading, speed, drift, end, log roll-out, rate before, start, log roll-in, rate after
STEPS = np.array([1.0, 1.0, 0.1, 0.1, 0.01, 0.15, 0.03, 0.03, 0.15, 0.03, 0.03])


@dataclass(frozen=True)
class RollHabit:
    """How fast this pilot or autopilot rolls: degrees of bank per second, and the spread of its logarithm."""

    rate_deg_s: float
    log_sigma: float


#: before anything is known of a flight: common practice, autopilots near 4, hand flying 5 to 8 degrees per second
USUAL_ROLL = RollHabit(5.5, 0.45)


@dataclass(frozen=True)
class Edge:
    """A rate before, rolled to level at `end_s`; level; rolled in from `start_s` to a rate after.

    `roll_rates_deg_s` are the fitted rates of bank, one for each of the two that was asked for.
    """

    end_s: float
    start_s: float
    roll_rates_deg_s: tuple[float, ...] = ()


def bank_deg(rate_deg_s: float, speed_mps: float) -> float:
    """Return the bank of a level coordinated turn, degrees."""
    return float(np.degrees(np.arctan(np.radians(abs(rate_deg_s)) * speed_mps / GRAVITY_MPS2)))


class EdgeModel:
    """Least squares with weak priors (Levenberg's damping) for one window.

    Parameters
    ----------
    air : AirMotion
    samples : Samples
    chosen : array of bool, shape (n,)
        The samples of the window.
    noise_m : float
        1 sigma of a position.
    end_s, start_s : float or None
        Where a turn seems to end and where one seems to start; at least one.
    rate_before, rate_after : float
        Steady turn rates before the end and after the start, degrees per second.
    habit : RollHabit
    """

    def __init__(
        self,
        air: AirMotion,
        samples: Samples,
        chosen: npt.NDArray[np.bool_],
        noise_m: float,
        end_s: float | None,
        start_s: float | None,
        rate_before: float,
        rate_after: float,
        habit: RollHabit = USUAL_ROLL,
    ) -> None:
        self.time = samples.time_s[chosen]
        self.observed = np.column_stack([samples.along_m[chosen], samples.cross_m[chosen]])
        self.noise = max(noise_m, 0.3)
        self.origin = float(self.time[0])
        self.grid_s = np.arange(0.0, self.time[-1] - self.origin + 2.0 * GRID_S, GRID_S)
        at = (self.time - self.origin) / GRID_S
        self.cell = np.minimum(at.astype(np.int64), len(self.grid_s) - 2)
        self.part = at - self.cell
        self.wind = (air.wind_along_mps, air.wind_cross_mps)
        self.has_end, self.has_start = end_s is not None, start_s is not None
        anchor_end = (end_s if end_s is not None else start_s or 0.0) - self.origin + 1.0
        anchor_start = (start_s if start_s is not None else end_s or 0.0) - self.origin - 1.0
        heading = float(np.interp(self.origin, air.time_s, air.heading_deg))
        inside = (air.time_s >= self.time[0]) & (air.time_s <= self.time[-1])
        self.speed = float(np.mean(air.speed_mps[inside])) if np.any(inside) else float(np.mean(air.speed_mps))
        place = [float(np.interp(self.origin, self.time, self.observed[:, axis])) for axis in (0, 1)]
        rolls = [
            float(np.log(np.clip(bank_deg(rate, self.speed) / habit.rate_deg_s, 1.0, 10.0)))
            for rate in (rate_before, rate_after)
        ]
        self.start = np.array(
            [*place, heading, self.speed, 0.0, anchor_end, rolls[0], rate_before, anchor_start, rolls[1], rate_after]
        )
        if self.has_end and self.has_start and anchor_start < anchor_end:
            middle = 0.5 * (anchor_start + anchor_end)
            self.start[5], self.start[8] = middle, middle
        rate_sigma = 0.35 * max(abs(rate_before), abs(rate_after), 1.0)
        self.sigma = np.array(
            [
                1e4, 1e4, 60.0, SPEED_SIGMA_MPS, DRIFT_SIGMA_DEG_S, 4.0, habit.log_sigma, rate_sigma, 4.0,
                habit.log_sigma, rate_sigma,
            ]
        )  # fmt: skip
        # from bank to opposite bank pilots roll in one go; between two turns the same way any pause is as likely
        self.level_sigma_s = 2.5 if rate_before * rate_after < 0.0 else 1e3
        self.cost = float("inf")
        free = np.ones(11, dtype=bool)
        if not self.has_end:
            free[[5, 6, 7]] = False
        if not self.has_start:
            free[[8, 9, 10]] = False
        self.free = np.flatnonzero(free)

    def steady_before(self, rate_deg_s: float) -> None:
        """Let a steady turn of about this rate, not level flight, come before the edge."""
        self.start[4], self.sigma[4] = rate_deg_s, 0.35 * max(abs(rate_deg_s), 1.0)

    def _residual(self, values: FloatArray) -> FloatArray:
        """Whitened misfit of positions and priors for several sets of values at once, shapes (k, 11) to (k, r)."""
        rate = np.repeat(values[:, 4:5], len(self.grid_s), axis=1)
        if self.has_end:
            left = (values[:, 5:6] - self.grid_s) / np.exp(values[:, 6:7])
            rate += values[:, 7:8] * np.clip(left, 0.0, 1.0)
        if self.has_start:
            begin = np.maximum(values[:, 8:9], values[:, 5:6]) if self.has_end else values[:, 8:9]
            rate += values[:, 10:11] * np.clip((self.grid_s - begin) / np.exp(values[:, 9:10]), 0.0, 1.0)
        heading = np.radians(values[:, 2:3] + _integral(rate))
        speed = values[:, 3:4]
        parts = []
        for axis, velocity in ((0, -np.cos(heading) * speed), (1, np.sin(heading) * speed)):
            path = _integral(velocity + self.wind[axis])
            here = path[:, self.cell] * (1.0 - self.part) + path[:, self.cell + 1] * self.part
            parts.append((here + values[:, axis : axis + 1] - self.observed[:, axis]) / self.noise)
        parts.append(((values - self.start) / self.sigma)[:, self.free])
        if self.has_end and self.has_start:
            level_s = values[:, 8:9] - values[:, 5:6]
            parts.append(np.where(level_s < 0.0, 2.0 * level_s, level_s / self.level_sigma_s))
        return np.concatenate(parts, axis=1)

    def fit(self) -> Edge | None:
        """Return the fitted edge, or None where the fit leaves the window; `cost` then holds the squared misfit."""
        values, damping = self.start.copy(), 1e-2
        moves = np.zeros((len(self.free) + 1, 11))
        moves[np.arange(1, len(moves)), self.free] = STEPS[self.free]
        for _ in range(ITERATIONS):
            around = self._residual(values + moves)
            misfit = around[0]
            cost = float(misfit @ misfit)
            jacobian = ((around[1:] - misfit) / STEPS[self.free][:, None]).T
            normal, gradient = jacobian.T @ jacobian, jacobian.T @ misfit
            gain = 0.0
            for _ in range(5):
                change = np.linalg.solve(normal + damping * np.diag(np.diag(normal) + 1e-9), -gradient)
                trial = values.copy()
                trial[self.free] += change
                trial[[6, 9]] = np.clip(trial[[6, 9]], np.log(0.8), np.log(12.0))
                trial_misfit = self._residual(trial[None, :])[0]
                trial_cost = float(trial_misfit @ trial_misfit)
                if np.isfinite(trial_cost) and trial_cost < cost:
                    gain = cost - trial_cost
                    break
                damping *= 6.0
            self.cost = cost - gain
            if gain == 0.0:
                break
            values, damping = trial, max(damping / 8.0, 1e-5)
            if gain < 0.01:
                break
        end, begin = values[5] + self.origin, values[8] + self.origin
        if self.has_end and self.has_start:
            begin = max(begin, end)
        moved_by = [abs(values[i] - self.start[i]) for i in ((5,) * self.has_end + (8,) * self.has_start)]
        if not np.all(np.isfinite(values)) or max(moved_by) > LARGEST_MOVE_S:
            return None
        pairs = ((7, 6),) * self.has_end + ((10, 9),) * self.has_start
        rolls = tuple(bank_deg(float(values[rate]), self.speed) / float(np.exp(values[log])) for rate, log in pairs)
        return Edge(float(end), float(begin), rolls)


def _integral(values: FloatArray) -> FloatArray:
    """Return the running trapezoid integral over the grid along the last axis, starting at 0."""
    steps = 0.5 * (values[:, 1:] + values[:, :-1])
    return np.concatenate([np.zeros((len(values), 1)), np.cumsum(steps, axis=1)], axis=1) * GRID_S
