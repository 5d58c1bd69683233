"""Values laid on a line, and the round values to mark on it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from analyzer.units import FloatArray


@dataclass(frozen=True)
class Scale:
    """Values from `low` to `high` laid on a line from `start` to `end`."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        """Return the place of a value on the line."""
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)

    def places(self, values: npt.ArrayLike) -> FloatArray:
        """Return the places of values, shape (n,)."""
        return self.start + (np.asarray(values) - self.low) / (self.high - self.low) * (self.end - self.start)

    @property
    def per_unit(self) -> float:
        """Length for one unit of the value."""
        return (self.end - self.start) / (self.high - self.low)


def ticks(low: float, high: float, most: int = 6, steps: Sequence[float] | None = None) -> list[float]:
    """Round values between two bounds, at most `most`, apart by one of `steps` or by 1, 2 or 5 times a power of ten.

    Where the steps are too fine for the span, as for a speed that no aircraft has, powers of ten take their place.
    """
    span = high - low
    if not (math.isfinite(span) and span > 0):
        return []
    if steps is None or span / max(steps) > most:
        power = 10.0 ** math.floor(math.log10(span / most))
        steps = [power * factor for factor in (1, 2, 5, 10, 20)]
    step = next((step for step in steps if span / step <= most), steps[-1])
    first = math.ceil(low / step - 1e-9)
    return [index * step for index in range(first, math.floor(high / step + 1e-9) + 1)]
