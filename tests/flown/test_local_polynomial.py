"""Local polynomials: what is a polynomial comes back whole, and the factors are the spread that noise has."""

import numpy as np
import pytest

from analyzer.flown.motion.local_polynomial import local_polynomial

TIME = np.arange(0.0, 60.0)
INNER = slice(12, -12)


def test_a_cubic_comes_back_with_its_slope_and_curvature():
    series = np.column_stack([2.0 + 0.5 * TIME - 0.03 * TIME**2 + 0.001 * TIME**3, -7.0 + 0.0 * TIME])
    fit = local_polynomial(TIME, TIME, series, np.ones(60), 6.0, 3)
    assert fit.value[INNER] == pytest.approx(series[INNER], abs=1e-6)
    assert fit.slope[INNER, 0] == pytest.approx((0.5 - 0.06 * TIME + 0.003 * TIME**2)[INNER], abs=1e-6)
    assert fit.curvature[INNER, 0] == pytest.approx((-0.06 + 0.006 * TIME)[INNER], abs=1e-6)
    assert fit.slope[INNER, 1] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("degree", [1, 2, 3])
def test_the_factors_are_the_spread_of_what_noise_of_one_makes(degree: int):
    """4,000 series of pure noise: their spread is known to about 1 %."""
    noise = np.random.default_rng(9).normal(0.0, 1.0, (60, 4000))
    fit = local_polynomial(TIME[30:31], TIME, noise, np.ones(60), 6.0, degree)
    for values, factor in ((fit.value, fit.value_factor), (fit.slope, fit.slope_factor)):
        assert float(np.std(values[0])) == pytest.approx(float(factor[0]), rel=0.05)
    if degree > 1:
        assert float(np.std(fit.curvature[0])) == pytest.approx(float(fit.curvature_factor[0]), rel=0.05)


def test_a_sample_without_weight_counts_for_nothing():
    weight = np.ones(60)
    weight[30] = 0.0
    series = np.column_stack([3.0 * TIME])
    series[30] = 1e6
    fit = local_polynomial(TIME, TIME, series, weight, 6.0, 2)
    assert fit.value[30, 0] == pytest.approx(90.0, abs=1e-6)


def test_left_out_of_its_own_fit_a_wild_sample_stands_alone():
    series = np.column_stack([3.0 * TIME])
    series[30] += 500.0
    with_it, without = (local_polynomial(TIME, TIME, series, np.ones(60), 6.0, 2, own) for own in (False, True))
    assert series[30, 0] - without.value[30, 0] == pytest.approx(500.0, abs=1e-6)
    assert 0.0 < series[30, 0] - with_it.value[30, 0] < 400.0
