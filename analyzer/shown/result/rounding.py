"""How the result file's numbers are written: decimals, units, no nan, no minus zero."""

import math

from analyzer.given import AltitudeLimit
from analyzer.units import METRES_PER_FOOT

# Decimals of the file: a step well under what a track can show (0.2 m, 0.01 s), so that rounding changes no verdict.
SECONDS = 2
NAUTICAL_MILES = 4
FEET = 1
DEGREES = 2
KNOTS = 2
PLACES = 7  # degrees of latitude and longitude: about a centimetre


def number(value: float | None, unit: float, decimals: int) -> float | None:
    """Return the value in the unit, rounded; None for None, nan and infinity."""
    if value is None or not math.isfinite(value):
        return None
    return rounded(value / unit, decimals)


def rounded(value: float, decimals: int) -> float:
    """Return the value rounded for the file; minus zero becomes zero, so that equal results are equal bytes."""
    return round(float(value), decimals) + 0.0


def course(degrees: float) -> float:
    """Return a course, rounded, in [0, 360)."""
    return rounded(degrees, DEGREES) % 360.0


def limit_ft(limit: AltitudeLimit) -> float | list[float]:
    """Return an altitude limit in feet, [low, high] for "between"."""
    low_ft = number(limit.low_m, METRES_PER_FOOT, FEET)
    high_ft = number(limit.high_m, METRES_PER_FOOT, FEET)
    if limit.rule == "between" and low_ft is not None and high_ft is not None:
        return [low_ft, high_ft]
    bound_ft = high_ft if low_ft is None else low_ft
    assert bound_ft is not None, "a limit has at least one bound"
    return bound_ft
