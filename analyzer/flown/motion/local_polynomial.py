"""Weighted local polynomials through irregular samples, for all output moments at once."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from analyzer.units import BoolArray, FloatArray

BLOCK = 20_000  # output moments fitted at once: bounds the memory, does not change the result
SAME_OFFSET_S = 1e-7  # windows whose samples lie alike to within this share one fit
SAME_STEP_S = 1e-9
FEWEST_ALIKE = 64  # fewer are not worth the comparison
MOST_PATTERNS = 6  # moments each second between samples each fifth have five


@dataclass(frozen=True)
class LocalFit:
    """Value, slope and curvature of each series at each moment, with the factors that turn noise into their sigma.

    Arrays have shape (m, k) for m moments and k series; the factors (m,): sigma of the value, slope and second
    derivative for samples with independent noise of 1.
    """

    value: FloatArray
    slope: FloatArray
    curvature: FloatArray
    value_factor: FloatArray
    slope_factor: FloatArray
    curvature_factor: FloatArray
    leverage: FloatArray


def local_polynomial(
    at_s: FloatArray,
    time_s: FloatArray,
    series: FloatArray,
    weight: FloatArray,
    half_width_s: float,
    degree: int,
    leave_out_self: bool = False,
) -> LocalFit:
    """Return the local polynomial of `degree` around each moment, tricube weights.

    Parameters
    ----------
    at_s : array, shape (m,)
        Moments to fit at.
    time_s : array, shape (n,)
        Moments of the samples, increasing.
    series : array, shape (n, k)
        Samples of k series.
    weight : array, shape (n,)
        Not negative; 0 leaves a sample out.
    half_width_s : float
        Half width of the kernel; widened where it would hold fewer than `degree` + 3 samples of full weight, so that
        gaps are bridged smoothly.
    degree : int
        1 to 3.
    leave_out_self : bool
        Whether a sample at exactly the moment does not count, so that outliers can't pull their own fit.

    Returns
    -------
    LocalFit

    Notes
    -----
    Local polynomial regression as in Cleveland, "Robust locally weighted regression and smoothing scatterplots",
    J. Am. Stat. Assoc. 74 (1979) 829.
    """
    usable = np.flatnonzero(weight > 0.0)
    time, values, weights = time_s[usable], series[usable], weight[usable]
    count, needed = len(time), degree + 3
    interval = float(np.median(np.diff(time))) if count > 1 else 1.0
    width = int(np.clip(np.ceil(2.0 * half_width_s / max(interval, 1e-3)) + 5, needed + 2, 120))
    width = min(width, count)
    outputs = [np.full((len(at_s), values.shape[1]), np.nan) for _ in range(3)]
    factors = [np.full(len(at_s), np.nan) for _ in range(4)]
    for start in range(0, len(at_s), BLOCK):
        block = slice(start, min(start + BLOCK, len(at_s)))
        fitted = _fit_block(at_s[block], time, values, weights, half_width_s, degree, width, needed, leave_out_self)
        for whole, part in zip([*outputs, *factors], fitted, strict=True):
            whole[block] = part
    return LocalFit(*outputs, *factors)


def _fit_block(
    at_s: FloatArray,
    time: FloatArray,
    values: FloatArray,
    weights: FloatArray,
    half_width_s: float,
    degree: int,
    width: int,
    needed: int,
    leave_out_self: bool,
) -> list[FloatArray]:
    first = np.clip(np.searchsorted(time, at_s) - width // 2, 0, len(time) - width)
    settings = (half_width_s, degree, needed, leave_out_self)
    fitted = [np.empty((len(at_s), values.shape[1])) for _ in range(3)] + [np.empty(len(at_s)) for _ in range(4)]
    # a steady recording has the same few windows again and again: each is solved once, which is far cheaper
    even = _even_windows(time, weights, first, width) if len(at_s) >= FEWEST_ALIKE else np.zeros(len(at_s), dtype=bool)
    lead_s = time[first] - at_s
    rest = ~even
    for _ in range(MOST_PATTERNS):
        unsolved = np.flatnonzero(even)
        if len(unsolved) < FEWEST_ALIKE:
            break
        middle = unsolved[len(unsolved) // 2]
        alike = unsolved[np.abs(lead_s[unsolved] - lead_s[middle]) < SAME_OFFSET_S]
        even[alike] = False
        if len(alike) < FEWEST_ALIKE:
            rest[alike] = True
            continue
        pattern = time[first[middle] : first[middle] + width] - at_s[middle]
        once = _fit_windows(pattern[None, :], np.eye(width)[None, :, :], np.ones((1, width)), *settings)
        start, stop = int(first[alike[0]]), int(first[alike[-1]]) + width
        for whole, part in zip(fitted[:3], once[:3], strict=True):
            for column in range(values.shape[1]):
                slid = np.correlate(values[start:stop, column], part[0], mode="valid")
                whole[alike, column] = slid[first[alike] - start]
        for whole, part in zip(fitted[3:], once[3:], strict=True):
            whole[alike] = part[0]
    rest |= even
    if np.any(rest):
        index = first[rest, None] + np.arange(width)[None, :]
        own = _fit_windows(time[index] - at_s[rest, None], values[index], weights[index], *settings)
        for whole, part in zip(fitted, own, strict=True):
            whole[rest] = part
    return fitted


def _even_windows(time: FloatArray, weights: FloatArray, first: npt.NDArray[np.int64], width: int) -> BoolArray:
    """Return which windows hold samples of full weight at the usual interval only."""
    step = np.diff(time)
    odd_steps = np.concatenate([[0], np.cumsum(np.abs(step - np.median(step)) > SAME_STEP_S)])
    odd_weights = np.concatenate([[0], np.cumsum(weights != 1.0)])
    result: BoolArray = (odd_steps[first + width - 1] == odd_steps[first]) & (
        odd_weights[first + width] == odd_weights[first]
    )
    return result


def _fit_windows(
    offset: FloatArray,
    values: FloatArray,
    weights: FloatArray,
    half_width_s: float,
    degree: int,
    needed: int,
    leave_out_self: bool,
) -> list[FloatArray]:
    """Fit each of m windows of w samples, k series: shapes (m, w), (m, w, k), (m, w)."""
    width = offset.shape[1]
    distance = np.abs(offset)
    nearest = np.partition(distance, min(needed, width) - 1, axis=1)[:, min(needed, width) - 1]
    half = np.maximum(half_width_s, 1.15 * nearest)
    scaled = offset / half[:, None]
    kernel = np.clip(1.0 - np.abs(scaled) ** 3, 0.0, None) ** 3 * weights
    if leave_out_self:
        kernel = np.where(distance < 1e-9, 0.0, kernel)
    powers = scaled[:, :, None] ** np.arange(degree + 1)
    weighted = powers * kernel[:, :, None]
    normal = np.swapaxes(weighted, 1, 2) @ powers
    normal += 1e-9 * np.trace(normal, axis1=1, axis2=2)[:, None, None] * np.eye(degree + 1)
    right = np.swapaxes(weighted, 1, 2) @ values
    inverse = np.linalg.inv(normal)
    solution = inverse @ right
    spread = inverse @ (np.swapaxes(weighted, 1, 2) @ weighted) @ inverse
    value = solution[:, 0, :]
    slope = solution[:, 1, :] / half[:, None]
    curvature = 2.0 * solution[:, 2, :] / half[:, None] ** 2 if degree >= 2 else np.zeros_like(value)
    variance = np.clip(np.diagonal(spread, axis1=1, axis2=2), 0.0, None)
    curvature_factor = 2.0 * np.sqrt(variance[:, 2]) / half**2 if degree >= 2 else np.zeros(len(offset))
    return [
        value,
        slope,
        curvature,
        np.sqrt(variance[:, 0]),
        np.sqrt(variance[:, 1]) / half,
        curvature_factor,
        inverse[:, 0, 0],
    ]
