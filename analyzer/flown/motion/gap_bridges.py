"""The ends of a recording and the gaps in it, where a local cubic would swing."""

from dataclasses import replace

import numpy as np

from analyzer.flown.motion.local_polynomial import LocalFit, local_polynomial
from analyzer.units import BoolArray, FloatArray, runs

EDGE_PART = 0.7  # of the half width: so near to an end or a gap the fit is one-sided
EDGE_WIDTH = 1.3  # one-sided fits are quadratics this many half widths wide
BESIDE_S = 0.51  # a moment so near to the last sample is not yet in the gap
BRIDGE_SIGMA = 6.0  # a bridged state is so many times less certain than the fits beside the gap


def mended_at_edges(
    fit: LocalFit,
    at_s: FloatArray,
    time_s: FloatArray,
    series: FloatArray,
    weight: FloatArray,
    half_width_s: float,
    in_gap: BoolArray,
) -> LocalFit:
    """Return the fit with quadratics near the ends of the recording and of each gap, and cubics bridging the gaps.

    Parameters
    ----------
    fit : LocalFit
        At `at_s`, from all samples.
    at_s : array, shape (m,)
    time_s, series, weight
        The samples, as in `local_polynomial`.
    half_width_s : float
    in_gap : array of bool, shape (m,)

    Returns
    -------
    LocalFit
        A bridge is the cubic that continues position and velocity from both sides (Hermite).
    """
    arrays = [np.array(values) for values in (fit.value, fit.slope, fit.curvature)]
    factors = [np.array(values) for values in (fit.value_factor, fit.slope_factor, fit.curvature_factor)]
    used = weight > 0.0
    known, values = time_s[used], series[used]
    if len(known) < 4:
        return fit
    bounds = _stretches(at_s, known, in_gap)
    for first, last in bounds:
        stretch = (known >= first - 1e-9) & (known <= last + 1e-9)
        moments = (at_s >= first - BESIDE_S) & (at_s <= last + BESIDE_S) & ~in_gap
        reach = EDGE_PART * half_width_s
        edge = np.flatnonzero(moments & ((at_s < first + reach) | (at_s > last - reach)))
        count = int(np.count_nonzero(stretch))
        if not len(edge) or count < 2:
            continue
        degree = min(2, count - 1)
        one = local_polynomial(
            at_s[edge], known[stretch], values[stretch], np.ones(count), EDGE_WIDTH * half_width_s, degree
        )
        for whole, part in zip(arrays, (one.value, one.slope, one.curvature), strict=True):
            whole[edge] = part
        for whole, part in zip(factors, (one.value_factor, one.slope_factor, one.curvature_factor), strict=True):
            whole[edge] = np.maximum(part, whole[edge]) if degree < 2 else part
    for first, after in runs(in_gap):
        if first > 0 and after < len(at_s):
            _bridge(arrays, factors, at_s, first - 1, after)
    return replace(
        fit,
        value=arrays[0],
        slope=arrays[1],
        curvature=arrays[2],
        value_factor=factors[0],
        slope_factor=factors[1],
        curvature_factor=factors[2],
    )


def _stretches(at_s: FloatArray, known: FloatArray, in_gap: BoolArray) -> list[tuple[float, float]]:
    """First and last sample of each stretch between gaps."""
    cuts = [float(known[0])]
    for start, stop in runs(in_gap):
        middle = 0.5 * (at_s[start] + at_s[min(stop, len(at_s) - 1)])
        before, after = known[known <= middle], known[known > middle]
        if len(before) and len(after):
            cuts += [float(before[-1]), float(after[0])]
    cuts.append(float(known[-1]))
    return list(zip(cuts[::2], cuts[1::2], strict=True))


def _bridge(arrays: list[FloatArray], factors: list[FloatArray], at_s: FloatArray, before: int, after: int) -> None:
    """Fill the moments between two indices with the Hermite cubic, in place."""
    value, slope, curvature = arrays
    span = at_s[after] - at_s[before]
    inside = slice(before + 1, after)
    part = ((at_s[inside] - at_s[before]) / span)[:, None]
    p0, p1, m0, m1 = value[before], value[after], slope[before] * span, slope[after] * span
    cubic, square = 2.0 * p0 - 2.0 * p1 + m0 + m1, -3.0 * p0 + 3.0 * p1 - 2.0 * m0 - m1
    value[inside] = ((cubic * part + square) * part + m0) * part + p0
    slope[inside] = ((3.0 * cubic * part + 2.0 * square) * part + m0) / span
    curvature[inside] = (6.0 * cubic * part + 2.0 * square) / span**2
    for factor in factors:
        factor[inside] = BRIDGE_SIGMA * max(factor[before], factor[after])
