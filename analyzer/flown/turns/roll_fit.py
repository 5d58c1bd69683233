"""Edges of turns fitted to the recorded positions, all windows of a flight at once.

Least squares with weak priors and Levenberg's damping; each window has a damping of its own and stops by itself.
"""

from collections import defaultdict
from dataclasses import dataclass

import numpy as np

from analyzer.flown.turns.air_motion import AirMotion
from analyzer.flown.turns.roll_model import (
    END,
    LOG_ROLL_IN,
    LOG_ROLL_OUT,
    RATE_AFTER,
    RATE_BEFORE,
    SPEED,
    START,
    USUAL_ROLL,
    Models,
    RollHabit,
    Window,
    misfit,
    misfit_and_slopes,
    models,
)
from analyzer.units import FloatArray, bank_of_turn_deg

ITERATIONS = 14
TRIALS = 5
LEAST_GAIN = 0.01
LARGEST_MOVE_S = 9.0  # an edge that the fit moves farther from where it was seen is not that edge
ROLL_S = (0.8, 12.0)
GRID_POINTS_AT_ONCE = (
    8_000  # more do not fit into a processor's cache, and short windows would be filled up to long ones
)


@dataclass(frozen=True)
class Edge:
    """A rate before, rolled to level at `end_s`; level; rolled in from `start_s` to a rate after.

    `roll_rates_deg_s` are the fitted rates of bank, one for each of the two that was asked for.
    """

    end_s: float
    start_s: float
    roll_rates_deg_s: tuple[float, ...] = ()


@dataclass(frozen=True)
class FittedEdge:
    """The edge, None where the fit leaves the window, the squared misfit and the model's values."""

    edge: Edge | None
    cost: float
    values: FloatArray


def fit_edges(
    windows: list[Window],
    air: AirMotion,
    noise_m: float,
    habit: RollHabit = USUAL_ROLL,
    before: list[FittedEdge] | None = None,
) -> list[FittedEdge]:
    """Return the edges of all windows, in their order.

    Parameters
    ----------
    windows : list of Window
    air : AirMotion
    noise_m : float
        1 sigma of a position.
    habit : RollHabit, optional
    before : list of FittedEdge, optional
        What the same windows gave with another habit: the fit begins there.
    """
    kinds: dict[tuple[bool, bool], list[int]] = defaultdict(list)
    for index in sorted(range(len(windows)), key=lambda index: windows[index].grid_points):
        kinds[windows[index].end_s is None, windows[index].start_s is None].append(index)
    fitted: dict[int, FittedEdge] = {}
    for indices in kinds.values():
        while indices:
            # sorted by length: the first one that makes them too many in all decides
            count = 1
            while count < len(indices) and (count + 1) * windows[indices[count]].grid_points <= GRID_POINTS_AT_ONCE:
                count += 1
            together, indices = indices[:count], indices[count:]
            chosen = [windows[index] for index in together]
            begun = models(chosen, air, noise_m, habit)
            values = begun.first.copy()
            if before is not None:
                for row, index in enumerate(together):
                    values[row] = before[index].values if before[index].edge else values[row]
            values, costs = _fit(begun, values)
            for index, window, first, own, cost in zip(together, chosen, begun.first, values, costs, strict=True):
                fitted[index] = FittedEdge(_edge(window, first, own), float(cost), own)
    return [fitted[index] for index in range(len(windows))]


def _fit(fitted: Models, values: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the values that fit best, shape (k, 11), and their squared misfits, shape (k,)."""
    count = len(fitted.first)
    damping, costs = np.full(count, 1e-2), np.full(count, np.inf)
    going = np.arange(count)
    for _ in range(ITERATIONS):
        here = fitted.chosen(going)
        off, slopes = misfit_and_slopes(here, values[going])
        cost = np.einsum("kr,kr->k", off, off)
        normal, gradient = slopes @ np.swapaxes(slopes, 1, 2), (slopes @ off[..., None])[..., 0]
        scale = np.einsum("kff->kf", normal) + 1e-9
        gain = np.zeros(len(going))
        tried = np.arange(len(going))
        for _ in range(TRIALS):
            damped = normal[tried]
            np.einsum("kff->kf", damped)[:] += damping[going[tried], None] * scale[tried]
            trial = values[going[tried]]
            trial[:, fitted.free] -= np.linalg.solve(damped, gradient[tried, :, None])[..., 0]
            trial[:, [LOG_ROLL_OUT, LOG_ROLL_IN]] = np.clip(trial[:, [LOG_ROLL_OUT, LOG_ROLL_IN]], *np.log(ROLL_S))
            trial_off = misfit(here.chosen(tried), trial)
            trial_cost = np.einsum("kr,kr->k", trial_off, trial_off)
            better = np.isfinite(trial_cost) & (trial_cost < cost[tried])
            gain[tried[better]] = (cost[tried] - trial_cost)[better]
            values[going[tried[better]]] = trial[better]
            tried = tried[~better]
            if not len(tried):
                break
            damping[going[tried]] *= 6.0
        costs[going] = cost - gain
        damping[going] = np.where(gain > 0.0, np.maximum(damping[going] / 8.0, 1e-5), damping[going])
        going = going[gain >= LEAST_GAIN]
        if not len(going):
            break
    return values, costs


def _edge(window: Window, first: FloatArray, values: FloatArray) -> Edge | None:
    end, start = (float(window.time_s[0] + values[which]) for which in (END, START))
    asked = []
    if window.end_s is not None:
        asked.append((END, RATE_BEFORE, LOG_ROLL_OUT))
    if window.start_s is not None:
        asked.append((START, RATE_AFTER, LOG_ROLL_IN))
    moved_s = max(abs(values[edge] - first[edge]) for edge, _, _ in asked)
    if not np.all(np.isfinite(values)) or moved_s > LARGEST_MOVE_S:
        return None
    rolls = (
        bank_of_turn_deg(float(values[rate]), float(values[SPEED])) / float(np.exp(values[log]))
        for _, rate, log in asked
    )
    return Edge(end, max(start, end) if len(asked) > 1 else start, tuple(rolls))
