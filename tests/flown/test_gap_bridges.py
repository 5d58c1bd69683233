"""Ends and gaps of a recording: quadratics from one side near them, a cubic across a gap, worked out by hand."""

import numpy as np
import pytest

from analyzer.flown.motion.gap_bridges import mended_at_edges
from analyzer.flown.motion.local_polynomial import LocalFit
from analyzer.units import FloatArray

HALF_WIDTH_S = 10.0


def unknown(count: int) -> LocalFit:
    """A fit that says -1 everywhere: what is mended is seen, and what is left alone."""
    return LocalFit(*(np.full((count, 1), -1.0) for _ in range(3)), *(np.ones(count) for _ in range(4)))


def mended(at_s: FloatArray, time_s: FloatArray, series: FloatArray, in_gap: object = None) -> LocalFit:
    gap = np.zeros(len(at_s), dtype=bool) if in_gap is None else np.asarray(in_gap)
    ones = np.ones(len(time_s))
    return mended_at_edges(unknown(len(at_s)), at_s, time_s, series[:, None], ones, HALF_WIDTH_S, gap)


def across_a_gap(before: FloatArray, after: FloatArray) -> LocalFit:
    """Samples each second to 30 s and from 50 s on; 31 to 49 s lie in the gap."""
    at = np.arange(81.0)
    recorded = (at <= 30.0) | (at >= 50.0)
    series = np.where(at <= 30.0, before, after)
    return mended(at, at[recorded], series[recorded], ~recorded)


def test_within_seven_tenths_of_the_half_width_an_end_is_fitted_from_one_side() -> None:
    """A quadratic comes back whole: 3 + 2 t - 0.1 t2 with its slope and its second derivative."""
    time = np.arange(61.0)
    fit = mended(time, time, 3.0 + 2.0 * time - 0.1 * time**2)
    near = (time < 7.0) | (time > 53.0)
    assert fit.value[near, 0] == pytest.approx((3.0 + 2.0 * time - 0.1 * time**2)[near], abs=1e-3)
    assert fit.slope[near, 0] == pytest.approx((2.0 - 0.2 * time)[near], abs=1e-3)
    assert fit.curvature[near, 0] == pytest.approx(-0.2, abs=1e-3)
    assert np.all(fit.value[~near] == -1.0)
    assert np.all(fit.value_factor[~near] == 1.0)


def test_the_one_sided_fit_reaches_13_tenths_of_the_half_width() -> None:
    """Sigma of a weighted least squares fit at the first sample, tricube weights over 13 s, worked out anew."""
    time = np.arange(61.0)
    fit = mended(time, time, 0.0 * time)
    weight = np.clip(1.0 - (time / 13.0) ** 3, 0.0, None) ** 3
    powers = np.column_stack([np.ones(61), time, time**2])
    solve = np.linalg.inv(powers.T @ (weight[:, None] * powers)) @ (powers * weight[:, None]).T
    sigma = np.sqrt(np.sum(solve**2, axis=1))
    assert fit.value_factor[0] == pytest.approx(sigma[0], rel=1e-6)
    assert fit.slope_factor[0] == pytest.approx(sigma[1], rel=1e-6)
    assert fit.curvature_factor[0] == pytest.approx(2.0 * sigma[2], rel=1e-6)


@pytest.mark.parametrize(("beyond_s", "is_mended"), [(0.5, True), (0.52, False)])
def test_half_a_second_beyond_the_last_sample_still_belongs_to_it(beyond_s: float, is_mended: bool) -> None:
    time = np.arange(41.0)
    at = np.append(time, 40.0 + beyond_s)
    fit = mended(at, time, 5.0 * time)
    assert fit.value[-1, 0] == pytest.approx(5.0 * (40.0 + beyond_s) if is_mended else -1.0, abs=1e-3)


def test_a_bridge_continues_place_and_speed_of_both_sides() -> None:
    """From 300 m at 10 m/s to 700 m at 5 m/s in 20 s.

    In the middle a Hermite cubic is at (300 + 700) / 2 + 20 (10 - 5) / 8 = 512.5 m, goes 1.5 x 20 - (10 + 5) / 4 =
    26.25 m/s and curves by (5 - 10) / 20 = -0.25 m/s2. At its ends it curves by 6 x 400 / 400 - (4 x 10 + 2 x 5) / 20 =
    3.5 and by -6 + (2 x 10 + 4 x 5) / 20 = -4 m/s2, in between in proportion.
    """
    time = np.arange(81.0)
    fit = across_a_gap(10.0 * time, 700.0 + 5.0 * (time - 50.0))
    assert fit.value[40, 0] == pytest.approx(512.5, abs=1e-3)
    assert fit.slope[40, 0] == pytest.approx(26.25, abs=1e-3)
    assert fit.curvature[40, 0] == pytest.approx(-0.25, abs=1e-3)
    assert fit.curvature[31, 0] == pytest.approx(3.5 - 7.5 / 20.0, abs=1e-3)
    assert fit.curvature[49, 0] == pytest.approx(-4.0 + 7.5 / 20.0, abs=1e-3)


def test_a_cubic_is_bridged_by_itself() -> None:
    """A quadratic on both sides is one in the gap: place, speed, curvature."""
    time = np.arange(81.0)
    path = 100.0 + 60.0 * time - 0.4 * time**2
    fit = across_a_gap(path, path)
    gap = slice(31, 50)
    assert fit.value[gap, 0] == pytest.approx(path[gap], abs=1e-3)
    assert fit.slope[gap, 0] == pytest.approx((60.0 - 0.8 * time)[gap], abs=1e-3)
    assert fit.curvature[gap, 0] == pytest.approx(-0.8, abs=1e-3)


def test_a_bridged_state_is_six_times_less_certain_than_the_sides() -> None:
    fit = across_a_gap(np.zeros(81), np.zeros(81))
    for factor in (fit.value_factor, fit.slope_factor, fit.curvature_factor):
        assert factor[31:50] == pytest.approx(6.0 * max(factor[30], factor[50]))


def test_both_sides_of_a_gap_are_ends() -> None:
    """Straight lines of 10 and 5 m/s: no sample beyond the gap pulls the fit beside it."""
    time = np.arange(81.0)
    fit = across_a_gap(10.0 * time, 700.0 + 5.0 * (time - 50.0))
    assert fit.slope[24:31, 0] == pytest.approx(10.0, abs=1e-3)
    assert fit.slope[50:57, 0] == pytest.approx(5.0, abs=1e-3)
    assert fit.value[23, 0] == fit.value[57, 0] == -1.0


def test_a_gap_that_reaches_the_end_of_the_moments_is_not_bridged() -> None:
    time = np.arange(41.0)
    at = np.arange(51.0)
    fit = mended(at, time, 5.0 * time, at > 40.0)
    assert np.all(fit.value[41:] == -1.0)


def test_two_samples_after_a_gap_make_a_straight_line_that_is_no_surer_than_before() -> None:
    """40 and 41 s, 5 m/s: a line through both; its factor is not under the 1 that the fit of all samples had."""
    time = np.append(np.arange(21.0), [40.0, 41.0])
    at = np.arange(42.0)
    fit = mended(at, time, 5.0 * time, (at > 20.0) & (at < 40.0))
    assert fit.value[40:, 0] == pytest.approx([200.0, 205.0], abs=1e-3)
    assert fit.slope[40:, 0] == pytest.approx(5.0, abs=1e-3)
    assert np.all(fit.value_factor[40:] >= 1.0)


def test_of_three_samples_nothing_is_mended() -> None:
    time = np.arange(3.0)
    assert np.all(mended(time, time, time).value == -1.0)
