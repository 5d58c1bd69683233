"""Symmetric equations with five diagonals, solved for all unknowns at once, and the same diagonals of their inverse."""

from typing import NamedTuple

import numpy as np

from analyzer.units import FloatArray

SMALLEST_DETERMINANT = 1e-12  # as a share of the diagonal's product; some thousand times the rounding of a float


class FiveDiagonals(NamedTuple):
    """Main, first and second diagonal of a symmetric matrix: shapes (n,), (n - 1,), (n - 2,)."""

    main: FloatArray
    first: FloatArray
    second: FloatArray


class _Blocks(NamedTuple):
    """A system in blocks of two with its neighbours' blocks, or its solution and inverse; the pairs' axis comes last.

    `diagonal` has shape (2, 2, k), `beside` (2, 2, k - 1) holds the blocks right of the diagonal, `right` is (2, 1, k).
    """

    diagonal: FloatArray
    beside: FloatArray
    right: FloatArray


def solve_five_diagonals(matrix: FiveDiagonals, right: FloatArray) -> tuple[FloatArray, FiveDiagonals]:
    """Solve a symmetric, positive definite system and return the same diagonals of its inverse.

    Parameters
    ----------
    matrix : FiveDiagonals
        n >= 3.
    right : array, shape (n,)

    Returns
    -------
    solution : array, shape (n,)
    inverse : FiveDiagonals

    Notes
    -----
    Unknowns are taken in pairs; every other pair is eliminated, all of them in one step, until one is left (cyclic
    reduction: Hockney, J. ACM 12 (1965) 95; from memory). A loop over 36,000 unknowns takes six times as long.
    """
    count = right.size
    pairs = (count + 1) // 2
    main, first, second, values = np.ones(2 * pairs), np.zeros(2 * pairs), np.zeros(2 * pairs), np.zeros(2 * pairs)
    main[:count], first[: count - 1], second[: count - 2], values[:count] = *matrix, right
    diagonal = np.array([[main[::2], first[::2]], [first[::2], main[1::2]]])
    beside = np.array([[second[:-2:2], np.zeros(pairs - 1)], [first[1:-1:2], second[1:-2:2]]])
    solved = _reduce(_Blocks(diagonal, beside, values.reshape(pairs, 2).T[:, None].copy()))
    (main[::2], first[::2]), (_, main[1::2]) = solved.diagonal
    (second[:-2:2], _), (first[1:-1:2], second[1:-2:2]) = solved.beside
    inverse = FiveDiagonals(main[:count], first[: count - 1], second[: count - 2])
    return solved.right[:, 0].T.reshape(-1)[:count], inverse


def _reduce(system: _Blocks) -> _Blocks:
    """Return the solution in place of the right side, and the inverse's blocks in place of the matrix's."""
    count = system.diagonal.shape[-1]
    if count == 1:
        inverse = _inverse(system.diagonal)
        return _Blocks(inverse, system.beside, _times(inverse, system.right))
    diagonal, beside, right = _with_a_last(system) if count % 2 == 0 else system
    before, after = (
        beside[..., ::2],
        beside[..., 1::2],
    )  # from a pair that stays to an eliminated one, and on to the next
    own = _inverse(diagonal[..., 1::2])
    to_before, to_after = _times(own, _transposed(before)), _times(own, after)
    alone = _times(own, right[..., 1::2])
    kept_diagonal, kept_right = diagonal[..., ::2].copy(), right[..., ::2].copy()
    kept_diagonal[..., :-1] -= _times(before, to_before)
    kept_diagonal[..., 1:] -= _times(_transposed(after), to_after)
    kept_right[..., :-1] -= _times(before, alone)
    kept_right[..., 1:] -= _times(_transposed(after), alone)
    stay = (count + 1) // 2
    kept_beside = -_times(before, to_after)
    kept = _reduce(_Blocks(kept_diagonal[..., :stay], kept_beside[..., : stay - 1], kept_right[..., :stay]))
    if count % 2 == 0:
        kept = _with_a_last(kept)
    with_before = -_times(to_before, kept.diagonal[..., :-1]) - _times(to_after, _transposed(kept.beside))
    with_after = -_times(to_before, kept.beside) - _times(to_after, kept.diagonal[..., 1:])
    solution, inverse, inverse_beside = np.empty_like(right), np.empty_like(diagonal), np.empty_like(beside)
    solution[..., ::2], inverse[..., ::2] = kept.right, kept.diagonal
    solution[..., 1::2] = alone - _times(to_before, kept.right[..., :-1]) - _times(to_after, kept.right[..., 1:])
    inverse[..., 1::2] = own - _times(with_before, _transposed(to_before)) - _times(with_after, _transposed(to_after))
    inverse_beside[..., ::2], inverse_beside[..., 1::2] = _transposed(with_before), with_after
    return _Blocks(inverse[..., :count], inverse_beside[..., : count - 1], solution[..., :count])


def _with_a_last(system: _Blocks) -> _Blocks:
    """Add a pair that has to do with no other, so that each eliminated pair has two neighbours."""
    return _Blocks(
        np.concatenate([system.diagonal, np.eye(2)[..., None]], axis=-1),
        np.concatenate([system.beside, np.zeros((2, 2, 1))], axis=-1),
        np.concatenate([system.right, np.zeros((2, 1, 1))], axis=-1),
    )


def _inverse(blocks: FloatArray) -> FloatArray:
    """Invert symmetric blocks of two.

    Their determinants are positive in exact arithmetic; steps of a microsecond beside gaps of a day cancel all digits.
    """
    (upper, beside), (_, lower) = blocks
    product = upper * lower
    determinant = np.maximum(product - beside**2, SMALLEST_DETERMINANT * np.abs(product))
    result: FloatArray = np.array([[lower, -beside], [-beside, upper]]) / determinant
    return result


def _times(left: FloatArray, right: FloatArray) -> FloatArray:
    """Multiply blocks; far quicker for blocks of two than a product of matrices for each pair."""
    result: FloatArray = left[:, 0, None] * right[0] + left[:, 1, None] * right[1]
    return result


def _transposed(blocks: FloatArray) -> FloatArray:
    return blocks.swapaxes(0, 1)
