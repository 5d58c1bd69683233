"""The ground track at a moment inside a turn, from the recorded positions of the steady part of the turn."""

import numpy as np

from analyzer.flown import Motion
from analyzer.units import FloatArray

#: the bank is held about so long on each side of a moment; rolling in and out take so long at the ends of a turn
REACH_S, ROLL_S = 9.0, 2.5
FEWEST = 8
GRID_S = 0.25
ITERATIONS = 8
#: what the turn rate may change by in a turn that is meant to be steady: 1 sigma, degrees per second squared
RATE_DRIFT_DEG_S2 = 0.05
# both were settled by `tests.benchmarks.settled arc_reach` and `arc_rate_drift`


def track_in_turn(
    motion: Motion, at_s: float, start_s: float, end_s: float, wind_mps: tuple[float, float]
) -> tuple[float, float] | None:
    """Return the ground track relative to the inbound course, degrees, and its 1 sigma.

    An aircraft in a steady bank flies an arc through the air, whose few values are far better known from the positions
    than the slope of a smoothed path that has to follow any path.

    Parameters
    ----------
    motion : Motion
    at_s : float
    start_s, end_s : float
        Roll-in and wings level of the turn.
    wind_mps : tuple of float
        Along and cross; (0, 0) where it is not known.

    Returns
    -------
    tuple of float, or None
        None where the moment is not in the steady part of the turn, or too few positions are.
    """
    low, high = max(start_s + ROLL_S, at_s - REACH_S), min(end_s - ROLL_S, at_s + REACH_S)
    samples = motion.samples
    if samples is None or not low <= at_s <= high:
        return None
    used = (samples.time_s >= low) & (samples.time_s <= high) & (samples.weight > 0.0)
    if np.count_nonzero(used) < FEWEST:
        return None
    time = samples.time_s[used] - at_s
    position = np.stack([samples.along_m[used], samples.cross_m[used]])
    state = [float(np.interp(at_s, motion.time_s, each)) for each in
             (motion.along_m, motion.cross_m, motion.along_mps, motion.cross_mps, motion.turn_rate_deg_s)]  # fmt: skip
    air = np.array(state[2:4]) - np.array(wind_mps)
    values = np.array(
        [state[0], state[1], np.arctan2(air[1], -air[0]), float(np.hypot(*air)), np.radians(state[4]), 0.0]
    )
    drift_sigma = np.radians(RATE_DRIFT_DEG_S2)
    noise_m = max(motion.noise_m, 0.1)
    inverse: FloatArray = np.zeros((len(values), len(values)))
    for _ in range(ITERATIONS):
        off = (_path(values, time, wind_mps) - position).ravel() / noise_m
        off = np.append(off, values[5] / drift_sigma)
        slopes = np.empty((len(off), len(values)))
        for column, step in enumerate((0.1, 0.1, 1e-4, 0.01, 1e-5, 1e-6)):
            moved = values.copy()
            moved[column] += step
            here = (_path(moved, time, wind_mps) - position).ravel() / noise_m
            slopes[:, column] = (np.append(here, moved[5] / drift_sigma) - off) / step
        inverse = np.asarray(np.linalg.pinv(slopes.T @ slopes), dtype=np.float64)
        change = inverse @ slopes.T @ off
        values = values - change
        if abs(change[2]) < 1e-5:
            break
    along, cross = -np.cos(values[2]) * values[3] + wind_mps[0], np.sin(values[2]) * values[3] + wind_mps[1]
    speed = float(np.hypot(along, cross))
    if not np.all(np.isfinite(values)) or speed < 1.0:
        return None
    sigma = float(np.degrees(np.sqrt(inverse[2, 2]) * values[3] / speed))
    return float(np.degrees(np.arctan2(cross, -along))), sigma


def _path(values: FloatArray, time: FloatArray, wind_mps: tuple[float, float]) -> FloatArray:
    """Positions on the arc, shape (2, n): along, cross, heading, airspeed, rate and its drift at time 0."""
    grid = np.arange(min(float(time[0]), 0.0) - GRID_S, max(float(time[-1]), 0.0) + 2.0 * GRID_S, GRID_S)
    heading = values[2] + values[4] * grid + 0.5 * values[5] * grid**2
    result = np.empty((2, len(time)))
    for row, velocity in enumerate(
        (-np.cos(heading) * values[3] + wind_mps[0], np.sin(heading) * values[3] + wind_mps[1])
    ):
        gone = np.concatenate([[0.0], np.cumsum(0.5 * GRID_S * (velocity[1:] + velocity[:-1]))])
        gone -= np.interp(0.0, grid, gone)
        result[row] = values[row] + np.interp(time, grid, gone)
    return result
