"""A straight line fitted to recorded positions: its track and the doubt of it, against the textbook's regression."""

from dataclasses import replace

import numpy as np
import pytest

from analyzer.flown.motion.motion import Samples
from analyzer.judged.measurements.straight import straight_fit
from tests.hand_flown import motion_of

NOISE_M, SPEED_MPS, TRACK_DEG = 4.0, 60.0, 20.0


def with_noise(seed: int):
    time = np.arange(0.0, 31.0)
    draw = np.random.default_rng([seed, 3])
    along = -SPEED_MPS * np.cos(np.radians(TRACK_DEG)) * time + draw.normal(0.0, NOISE_M, len(time))
    cross = SPEED_MPS * np.sin(np.radians(TRACK_DEG)) * time + draw.normal(0.0, NOISE_M, len(time))
    motion = motion_of(time, along, cross, noise_m=NOISE_M)
    return replace(motion, samples=Samples(time, along, cross, np.ones(len(time)), 1.0))


def test_the_doubt_of_the_track_is_that_of_a_regression():
    """1 sigma of a slope is noise / sqrt(sum of (t - mean)^2): 31 s at 1 Hz have a sum of 2480 s2."""
    fit = straight_fit(with_noise(0), 0.0, 30.0)
    assert fit is not None
    by_hand_deg = np.degrees(NOISE_M / np.sqrt(2480.0) / SPEED_MPS)
    assert fit.track_sigma_deg == pytest.approx(by_hand_deg, rel=0.01)


def test_four_hundred_tracks_scatter_as_the_doubt_says():
    fits = [straight_fit(with_noise(seed), 0.0, 30.0) for seed in range(400)]
    over_sigma = [(fit.track_relative_deg - TRACK_DEG) / fit.track_sigma_deg for fit in fits if fit is not None]
    assert len(over_sigma) == 400
    assert 0.93 < float(np.sqrt(np.mean(np.square(over_sigma)))) < 1.07


def test_without_recorded_positions_the_smoothed_ones_count_as_two_that_are_independent() -> None:
    """30 s at 60 m/s, 61 moments of 5 m each that share their noise: each as doubtful as 61/2 of them together."""
    time = np.arange(0.0, 60.5, 0.5)
    motion = motion_of(time, 60.0 * time, 0.0 * time, sigma_m=5.0)
    fit = straight_fit(motion, 10.0, 40.0)
    assert fit is not None
    offsets = np.linspace(-15.0, 15.0, 61)
    expected = np.degrees(5.0 * np.sqrt(61.0 / 2.0) / np.sqrt(np.sum(offsets**2)) / 60.0)
    assert fit.track_sigma_deg == pytest.approx(expected, rel=1e-6)
    assert abs(fit.track_relative_deg) == pytest.approx(180.0)
