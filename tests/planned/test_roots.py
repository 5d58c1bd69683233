"""Where a function is zero: between neighbours of a grid, on the grid, and not beside values that do not exist."""

import math

import pytest

from analyzer.planned.solver.roots import roots_between

GRID = [0.5 * k for k in range(21)]


@pytest.mark.parametrize(
    ("function", "places"),
    [
        (lambda x: x - 3.3, [3.3]),
        (lambda x: (x - 1.2) * (x - 7.9), [1.2, 7.9]),
        (lambda x: math.exp(x) - 20.0, [math.log(20.0)]),
        (lambda x: abs(x - 2.2) - 1.1 if x > 1.0 else None, [3.3]),  # at 1.1 its neighbour has no value
        (lambda x: x + 1.0, []),
    ],
)
def test_each_place_is_found_once(function, places) -> None:  # type: ignore[no-untyped-def]
    assert roots_between(function, GRID) == pytest.approx(places, abs=1e-3)


def test_a_place_on_the_grid_is_found_once() -> None:
    assert roots_between(lambda x: x - 3.0, GRID) == pytest.approx([3.0], abs=1e-6)


def test_few_values_are_asked_for() -> None:
    """A straight line is met by the first secant: the grid's values and a handful more."""
    asked: list[float] = []

    def line(x: float) -> float:
        asked.append(x)
        return 2.0 * x - 7.3

    roots_between(line, GRID)
    assert len(asked) <= len(GRID) + 3
