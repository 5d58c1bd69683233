"""One unknown on the exact path: bracketed on a grid, then closed in."""

from collections.abc import Callable, Sequence

Function = Callable[[float], float | None]
_MOST_STEPS = 60


def roots_between(function: Function, grid: Sequence[float], tolerance: float = 1e-7) -> list[float]:
    """Return where a continuous function is zero, one place for each sign change between neighbours of a grid.

    Parameters
    ----------
    function : callable
        None where the function has no value; a neighbour without a value brackets nothing.
    grid : sequence of float
        In order.
    tolerance : float
        How near to a root the answer is.
    """
    values = [function(place) for place in grid]
    found = []
    for (low, at_low), (high, at_high) in zip(
        zip(grid, values, strict=True), zip(grid[1:], values[1:], strict=True), strict=False
    ):
        if at_low is None or at_high is None:
            continue
        if at_low == 0.0:
            found.append(low)
        elif at_low * at_high < 0.0:
            found.append(_closed_in(function, low, at_low, high, at_high, tolerance))
    if values and values[-1] == 0.0:
        found.append(grid[-1])
    return found


def _closed_in(function: Function, low: float, at_low: float, high: float, at_high: float, tolerance: float) -> float:
    """Close in by secants that keep the bracket (the end that stays twice has its value halved)."""
    kept = 0
    middle = low
    for _ in range(_MOST_STEPS):
        middle = (low * at_high - high * at_low) / (at_high - at_low)
        value = function(middle)
        if value is None or value == 0.0 or abs(high - low) < tolerance:
            return middle
        if value * at_high > 0.0:
            high, at_high = middle, value
            if kept == 1:
                at_low *= 0.5
            kept = 1
        else:
            low, at_low = middle, value
            if kept == -1:
                at_high *= 0.5
            kept = -1
        if abs(value) < tolerance:
            return middle
    return middle
