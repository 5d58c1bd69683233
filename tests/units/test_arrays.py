"""Stretches of true, and a scatter that wild values don't move."""

import numpy as np
import pytest

from analyzer.units import robust_sigma, runs


@pytest.mark.parametrize(
    ("marks", "stretches"),
    [
        ([], []),
        ([False, False], []),
        ([True], [(0, 1)]),
        ([True, True, False, True], [(0, 2), (3, 4)]),
        ([False, True, True, False], [(1, 3)]),
        ([0, 1, 0, 1, 1], [(1, 2), (3, 5)]),
    ],
)
def test_each_stretch_of_true_has_its_first_index_and_the_one_after_its_last(marks, stretches):
    assert runs(marks) == stretches


def test_robust_sigma_is_the_standard_deviation_of_normal_misses():
    """Of 200,000 normal values it is known to about 0.3 %."""
    misses = np.random.default_rng(4).normal(0.0, 5.0, 200_000)
    assert robust_sigma(misses) == pytest.approx(5.0, rel=0.01)


def test_a_tenth_of_wild_values_hardly_moves_it():
    misses = np.random.default_rng(4).normal(0.0, 5.0, 2_000)
    misses[::10] = 1e6
    assert robust_sigma(misses) == pytest.approx(5.0, rel=0.2)
