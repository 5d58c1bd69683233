"""Cramér-Rao bound of the wind for a flight's geometry and noise.

Model: position p(t) = p0 + integral of (V + v(t)) h(psi(t)) + w, sampled at the recording's moments with white noise
of known sigma and, where the recording has it, a first-order correlated wander of known sigma and correlation. Unknown:
p0, the constant wind w, the mean airspeed V, the heading psi as a piecewise linear function with a knot every
`KNOT_S` seconds (free, without prior: nothing is known of how the pilot turns), the airspeed's wobble v and the wander
as piecewise linear functions with their first-order correlated priors, the sigmas known. The Fisher information of
all of them is summed over the recorded positions at the true flight, the priors added, and the 2 x 2 block of the
wind taken out of its inverse. The bound returned is the root of that block's trace: the smallest root mean square
length of an unbiased estimator's error vector. Only the airborne part counts.

A coarser heading would make the bound smaller: knots are about as far apart as a bank can be changed and changed
back, which is as free as an aircraft's heading is.
"""

import numpy as np
import numpy.typing as npt

from analyzer.units.arrays import FloatArray
from tests.benchmarks.accuracy.flights import Case

KNOT_S = 4.0
#: positions are never better known than this (rounding of the recorded degrees)
FINEST_NOISE_M = 0.05
FINEST_STEP_S = 0.5


def wind_bound_mps(case: Case) -> float | None:
    """Return the bound on the length of the wind's error in m/s, None where the flight shows no wind."""
    state, sensor, pilot = case.flight.state, case.sensor, case.flight.plan.pilot
    flying = np.ones(len(state), dtype=bool)
    if case.flight.plan.ending == "land":
        grounded = np.flatnonzero(state.altitude_m <= state.altitude_m.min() + 1.0)
        flying[grounded[0] if len(grounded) else len(state) :] = False
    last = float(state.time_s[flying][-1])
    recorded = case.flight.recording.time_s
    recorded = np.unique(recorded[np.isfinite(recorded) & (recorded < last)])
    noise = max(sensor.white_m, FINEST_NOISE_M)
    if sensor.interval_s < FINEST_STEP_S:  # thinning with the noise of the mean keeps the information
        every = round(FINEST_STEP_S / sensor.interval_s)
        recorded, noise = recorded[::every], max(noise / every**0.5, FINEST_NOISE_M)
    knots = np.arange(0.0, last + KNOT_S, KNOT_S)
    fine = state.time_s[flying]
    step = float(fine[1] - fine[0])
    heading = np.radians(state.heading_deg[flying])
    tas = state.tas_mps[flying]
    unit_along, unit_cross = -np.cos(heading), np.sin(heading)
    columns_along, columns_cross = [], []

    def add(rate_along: FloatArray, rate_cross: FloatArray) -> None:
        for rate, columns in ((rate_along, columns_along), (rate_cross, columns_cross)):
            columns.append(np.interp(recorded, fine, np.cumsum(rate) * step))

    _, part = _hats(fine, knots)
    edges = np.append(knots, knots[-1] + KNOT_S)

    def add_knots(rate_along: FloatArray, rate_cross: FloatArray) -> None:
        # integral of a rate times the hat of each knot: the falling half after it and the rising half before it
        for rate, columns in ((rate_along, columns_along), (rate_cross, columns_cross)):
            falling, rising = np.cumsum(rate * (1.0 - part)) * step, np.cumsum(rate * part) * step
            for index in range(len(knots)):
                after = np.interp(np.clip(recorded, edges[index], edges[index + 1]), fine, falling)
                response = after - np.interp(edges[index], fine, falling)
                if index > 0:
                    before = np.interp(np.clip(recorded, edges[index - 1], edges[index]), fine, rising)
                    response = response + before - np.interp(edges[index - 1], fine, rising)
                columns.append(response)

    one, zero = np.ones(len(fine)), np.zeros(len(fine))
    add(one, zero)
    add(zero, one)
    add(unit_along, unit_cross)
    add_knots(tas * np.sin(heading), tas * np.cos(heading))
    speed_at = len(columns_along)
    if pilot.speed_sigma_mps > 0.0:
        add_knots(unit_along, unit_cross)
    count = len(recorded)
    start = np.ones(count)
    columns_along += [start, np.zeros(count)]
    columns_cross += [np.zeros(count), start]
    wander_at = len(columns_along)
    low_row, part_row = _hats(recorded, knots)
    if sensor.wander_m > 0.0:
        hats = np.zeros((count, len(knots)))
        hats[np.arange(count), low_row] = 1.0 - part_row
        hats[np.arange(count), np.minimum(low_row + 1, len(knots) - 1)] += part_row
        nothing = np.zeros_like(hats)
        along = np.column_stack([np.array(columns_along).T, hats, nothing])
        cross = np.column_stack([np.array(columns_cross).T, nothing, hats])
    else:
        along, cross = np.array(columns_along).T, np.array(columns_cross).T
    information = (along.T @ along + cross.T @ cross) / noise**2
    if pilot.speed_sigma_mps > 0.0:
        block = slice(speed_at, speed_at + len(knots))
        information[block, block] += _prior(len(knots), pilot.speed_sigma_mps, pilot.correlation_s)
    if sensor.wander_m > 0.0:
        for begin in (wander_at, wander_at + len(knots)):
            block = slice(begin, begin + len(knots))
            information[block, block] += _prior(len(knots), sensor.wander_m, sensor.wander_correlation_s)
    heading_block = slice(3, 3 + len(knots))
    information[heading_block, heading_block] += 1e-6 * np.eye(len(knots))  # knots after the last row
    scale = 1.0 / np.sqrt(np.maximum(np.diag(information), 1e-30))
    scaled = information * scale[:, None] * scale[None, :]
    try:
        covariance = np.linalg.solve(scaled, np.eye(len(scaled))[:, :2])
    except np.linalg.LinAlgError:
        return None
    variance = covariance[0, 0] * scale[0] ** 2 + covariance[1, 1] * scale[1] ** 2
    return float(np.sqrt(variance)) if variance > 0.0 else None


def _hats(times: FloatArray, knots: FloatArray) -> tuple[npt.NDArray[np.int64], FloatArray]:
    low = np.clip(np.floor(times / KNOT_S).astype(np.int64), 0, len(knots) - 1)
    return low, times / KNOT_S - low


def _prior(count: int, sigma: float, correlation_s: float) -> FloatArray:
    """Inverse covariance of first-order correlated noise at the knots."""
    keep = float(np.exp(-KNOT_S / correlation_s))
    matrix = np.zeros((count, count))
    np.fill_diagonal(matrix, 1.0 + keep**2)
    matrix[0, 0] = matrix[-1, -1] = 1.0
    index = np.arange(count - 1)
    matrix[index, index + 1] = matrix[index + 1, index] = -keep
    return matrix / (sigma**2 * (1.0 - keep**2))
