"""Equations with five diagonals: the same as numpy's dense solution and inverse."""

import numpy as np
import pytest

from analyzer.flown.altitude.pentadiagonal import FiveDiagonals, solve_five_diagonals

RELATIVE = 1e-9


def matrix_of(count: int, seed: int) -> FiveDiagonals:
    """Weights of smoothing: a diagonal, and second differences of very different variances."""
    random = np.random.default_rng(seed)
    main, first, second = random.uniform(0.5, 2.0, count), np.zeros(count - 1), 10.0 ** random.uniform(-3, 2, count - 2)
    for shift, factor in enumerate((1.0, -2.0, 1.0)):
        main[shift : count - 2 + shift] += factor**2 * second
    first[:-1] -= 2.0 * second
    first[1:] -= 2.0 * second
    return FiveDiagonals(main, first, second)


@pytest.mark.parametrize("count", [3, 4, 5, 6, 7, 8, 9, 31, 32, 33, 250])
def test_solution_and_inverse_are_those_of_the_dense_matrix(count: int) -> None:
    matrix = matrix_of(count, count)
    dense = np.diag(matrix.main)
    for offset, values in ((1, matrix.first), (2, matrix.second)):
        dense += np.diag(values, offset) + np.diag(values, -offset)
    right = np.random.default_rng(1).normal(size=count)
    solution, inverse = solve_five_diagonals(matrix, right)
    whole = np.linalg.inv(dense)
    assert solution == pytest.approx(whole @ right, rel=RELATIVE, abs=RELATIVE)
    for offset, values in enumerate(inverse):
        assert values == pytest.approx(np.diag(whole, offset), rel=RELATIVE, abs=RELATIVE)


def test_lost_digits_give_no_division_by_zero() -> None:
    matrix = FiveDiagonals(np.full(9, 2e18), np.full(8, 2e18), np.full(7, 1e18))
    solution, _ = solve_five_diagonals(matrix, np.ones(9))
    assert np.all(np.isfinite(solution))
