"""What a smooth curve through few positions rounds off a turn: the part of the doubt that is not noise.

Between rows that come every few seconds a roll-in is over, and half a turn lies inside one window: the curve is then
off by more than noise. How much shows in how far a wider curve, which rounds off more, lies from it.
"""

from typing import NamedTuple

import numpy as np

from analyzer.flown.motion.local_polynomial import LocalFit, local_polynomial
from analyzer.units import FloatArray

FINE_INTERVAL_S = 1.5  # of rows that come sooner, nothing to speak of is rounded off
WIDER = 1.5  # the other curve's width over that of the one that is used
# 1 sigma over the difference of the two curves; `tests.benchmarks.calibration` with positions every 2 to 10 s
VALUE_SHARE, SLOPE_SHARE, CURVATURE_SHARE = 0.8, 1.2, 0.8
#: a heading that is held by hand wanders between rows, and no curve through them shows it: deg/s for a row each second
UNSEEN_DEG_S = 0.055
NEIGHBOURS = 1.0  # half widths: where two wrong curves cross, their neighbours tell how wrong they are


class Rounding(NamedTuple):
    """1 sigma of one component of position, velocity and acceleration, shape (n,), and of turn rates everywhere."""

    value: FloatArray
    slope: FloatArray
    curvature: FloatArray
    unseen_deg_s: float


def rounding(
    fit: LocalFit,
    at_s: FloatArray,
    time_s: FloatArray,
    series: FloatArray,
    weight: FloatArray,
    half_width_s: float,
    degree: int,
    interval_s: float,
) -> Rounding:
    """Return what a fit has rounded off, in metres and seconds; nothing where rows come often.

    Parameters
    ----------
    fit : LocalFit
        At `at_s`, shape (n,), evenly spaced.
    at_s, time_s, series, weight, half_width_s, degree
        As the fit was made with.
    interval_s : float
        Middle interval of the rows.
    """
    if interval_s < FINE_INTERVAL_S or len(at_s) < 3:
        nothing = np.zeros(len(at_s))
        return Rounding(nothing, nothing, nothing, 0.0)
    wide = local_polynomial(at_s, time_s, series, weight, WIDER * half_width_s, degree)
    reach = max(1, round(NEIGHBOURS * half_width_s / float(at_s[1] - at_s[0])))

    def off(share: float, one: FloatArray, other: FloatArray) -> FloatArray:
        return share * _around(np.sqrt(0.5 * np.sum((one - other) ** 2, axis=1)), reach)

    return Rounding(
        off(VALUE_SHARE, fit.value, wide.value),
        off(SLOPE_SHARE, fit.slope, wide.slope),
        off(CURVATURE_SHARE, fit.curvature, wide.curvature),
        UNSEEN_DEG_S * interval_s,
    )


def _around(size: FloatArray, reach: int) -> FloatArray:
    """Root mean square over the neighbours."""
    total = np.concatenate([[0.0], np.cumsum(size**2)])
    index = np.arange(len(size))
    first, after = np.maximum(index - reach, 0), np.minimum(index + reach + 1, len(size))
    result: FloatArray = np.sqrt((total[after] - total[first]) / (after - first))
    return result
