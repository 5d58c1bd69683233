"""Smoothed altitudes: quiet where the flight was level, sharp where it began to descend."""

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from analyzer.flown.altitude.smoothed import altitude_profile
from analyzer.units.factors import METRES_PER_FOOT as FOOT

LEVEL_RMS_FT = 6.0  # 20 ft of noise averaged over some twenty altitudes would leave 4.5 ft
BEND_S = 3.0
EXACT_FT = 0.5


def descent(time: np.ndarray, at_s: float = 300.0, rate_fpm: float = 500.0) -> np.ndarray:
    """Level at 5000 ft, then down."""
    return 5000.0 - rate_fpm / 60.0 * np.maximum(time - at_s, 0.0)


def smoothed_ft(time: np.ndarray, altitude_ft: np.ndarray) -> np.ndarray:
    profile = altitude_profile(time, altitude_ft * FOOT)
    assert profile is not None
    return np.interp(time, profile.time_s, profile.altitude_m) / FOOT


@pytest.mark.parametrize("seed", range(4))
def test_noise_of_20_ft_leaves_level_flight_level(seed: int):
    time = np.arange(0.0, 600.0)
    noise = 20.0 * np.random.default_rng(seed).standard_normal(time.size)
    profile = altitude_profile(time, (5000.0 + noise) * FOOT)
    off_ft = profile.altitude_m / FOOT - 5000.0
    assert np.sqrt(np.mean(off_ft**2)) < LEVEL_RMS_FT
    assert profile.noise_m / FOOT == pytest.approx(20.0, rel=0.15)
    assert np.abs(off_ft).max() < 5.0 * profile.noise_sigma_m.max() / FOOT


@pytest.mark.parametrize(("seed", "interval_s"), [(0, 1.0), (1, 1.0), (2, 5.0), (3, 0.1)])
def test_the_start_of_a_descent_stays_sharp(seed: int, interval_s: float):
    time = np.arange(0.0, 600.0, interval_s)
    truth = descent(time)
    noise = 10.0 * np.random.default_rng(seed).standard_normal(time.size)
    smooth = smoothed_ft(time, truth + noise)
    crossed_s = time[np.flatnonzero(smooth < 4950.0)[0]]
    assert crossed_s == pytest.approx(306.0, abs=BEND_S + interval_s)


def test_a_record_without_noise_comes_back_as_it_was():
    time = np.arange(0.0, 600.0)
    assert smoothed_ft(time, descent(time)) == pytest.approx(descent(time), abs=EXACT_FT)


def test_single_wild_altitudes_do_not_count():
    time = np.arange(0.0, 300.0)
    altitude = np.full(time.shape, 5000.0) + np.random.default_rng(1).standard_normal(time.size)
    altitude[[50, 150, 151]] = [4000.0, 9000.0, 9000.0]
    assert np.abs(smoothed_ft(time, altitude) - 5000.0).max() < 60.0


def test_steps_of_100_ft_are_known_to_a_share_of_the_step():
    time = np.arange(0.0, 600.0)
    stepped = np.round(descent(time) / 100.0) * 100.0
    profile = altitude_profile(time, stepped * FOOT)
    assert profile.noise_m / FOOT == pytest.approx(100.0 / np.sqrt(12.0), rel=0.01)
    assert np.abs(np.interp(time, profile.time_s, profile.altitude_m) / FOOT - descent(time)).max() < 50.0


def test_missing_altitudes_are_bridged():
    time = np.arange(0.0, 300.0)
    altitude = descent(time, 100.0)
    altitude[150:180] = np.nan
    assert smoothed_ft(time, altitude)[150:180] == pytest.approx(descent(time, 100.0)[150:180], abs=1.0)


@pytest.mark.parametrize("count", [0, 1, 2, 3, 4, 5, 6])
def test_few_altitudes(count: int):
    profile = altitude_profile(np.arange(float(count)), np.full(count, 1500.0))
    if count < 2:
        assert profile is None
    else:
        assert profile.altitude_m == pytest.approx(np.full(count, 1500.0))


@settings(deadline=None, max_examples=15)
@given(st.floats(0, 1e5), st.floats(-500, 8000), st.integers(0, 100))
def test_shifting_clock_and_height_changes_nothing(shift_s: float, shift_m: float, seed: int):
    time = np.arange(0.0, 120.0)
    altitude = descent(time, 60.0) * FOOT + 3.0 * np.random.default_rng(seed).standard_normal(time.size)
    plain = altitude_profile(time, altitude)
    moved = altitude_profile(time + shift_s, altitude + shift_m)
    assert moved.time_s - shift_s == pytest.approx(plain.time_s, abs=1e-6)
    assert moved.altitude_m - shift_m == pytest.approx(plain.altitude_m, abs=0.01)


def test_a_long_record_is_smoothed_in_pieces_as_it_is_in_one(monkeypatch: pytest.MonkeyPatch):
    time = np.arange(0.0, 3000.0)
    altitude = descent(time, 1490.0) + 10.0 * np.random.default_rng(3).standard_normal(time.size)
    whole = altitude_profile(time, altitude * FOOT)
    monkeypatch.setattr("analyzer.flown.altitude.smoothed.PIECE", 1000)
    pieces = altitude_profile(time, altitude * FOOT)
    assert whole is not None
    assert pieces is not None
    assert np.abs(pieces.altitude_m - whole.altitude_m).max() < 0.05 * FOOT
    assert pieces.noise_sigma_m == pytest.approx(whole.noise_sigma_m, rel=0.01)
