"""The stated sigmas of smoothed positions, velocities and tracks against the errors made, two-sided.

A straight line at a steady speed with white noise of a known size: what is left of it in the smoothed motion is noise
alone, and its root mean square over the sigma for that noise is one. Twelve recordings of 1,200 s hold some 2,000
independent velocities, whose spread is known to 2 %. The noise itself is estimated from the data; it comes out 3 % low.
"""

from functools import cache

import numpy as np
import pytest

from analyzer.flown.motion.motion import estimate_motion, smoothing_half_width_s
from analyzer.given import Frame, Track
from tests.benchmarks.calibration.flights import flown, motion_ratios

FRAME = Frame(46.2, -101.5, 125.0)
NOISE_M, SPEED_MPS = 4.0, 60.0
BAND = (0.96, 1.04)
NOISE_BAND = (0.95, 1.05)


@cache
def errors_over_sigma() -> dict[str, float]:
    found: dict[str, list[np.ndarray]] = {}
    for seed in range(12):
        time = np.arange(0.0, 1200.0)
        draw = np.random.default_rng([seed, 11])
        along, cross = (
            true + draw.normal(0.0, NOISE_M, len(time)) for true in (36_000.0 - SPEED_MPS * time, 0.0 * time)
        )
        latitude, longitude = FRAME.latitude_longitude_from_along_cross(along, cross)
        motion, _ = estimate_motion(Track("a", time, latitude, longitude, None, None, None), FRAME)
        inner = slice(30, -30)
        truth = {"along": 36_000.0 - SPEED_MPS * motion.time_s, "cross": 0.0 * motion.time_s}
        for name, true in truth.items():
            miss = (getattr(motion, f"{name}_m") - true) / motion.position_sigma_m
            found.setdefault("position", []).append(miss[inner])
            speed = {"along": -SPEED_MPS, "cross": 0.0}[name]
            velocity = (getattr(motion, f"{name}_mps") - speed) / motion.speed_sigma_mps
            found.setdefault("velocity", []).append(velocity[inner])
        found.setdefault("track", []).append((motion.track_relative_deg / motion.track_sigma_deg)[inner])
        found.setdefault("rate", []).append((motion.turn_rate_deg_s / motion.turn_rate_sigma_deg_s)[inner])
        found.setdefault("noise", []).append(np.array([motion.noise_m / NOISE_M]))
    spread = {name: float(np.sqrt(np.mean(np.concatenate(each) ** 2))) for name, each in found.items()}
    return {name: value if name == "noise" else value * spread["noise"] for name, value in spread.items()}


@pytest.mark.parametrize("what", ["position", "velocity", "track", "rate"])
def test_the_stated_sigma_is_the_spread_of_the_errors(what: str) -> None:
    low, high = BAND
    assert low < errors_over_sigma()[what] < high


@pytest.mark.parametrize("interval_s", [3.0, 5.0])
def test_the_doubts_of_coarse_rows_count_what_is_rounded_off_a_turn(interval_s: float) -> None:
    """Whole reversals by hand, a few hundred rows each: errors at neighbouring rows are alike, so the band is wide.

    Noise alone would leave a track's errors at 1.3 sigma and a turn rate's at 4.7 with a row every 5 s.
    """
    found: dict[str, list[np.ndarray]] = {}
    for seed in range(600, 604):
        for name, ratios in motion_ratios(flown(seed, interval_s, "positions")).items():
            found.setdefault(name, []).append(ratios)
    spread = {name: float(np.sqrt(np.mean(np.concatenate(each) ** 2))) for name, each in found.items()}
    assert all(0.75 < value < 1.25 for value in spread.values()), spread


def test_the_noise_is_estimated_from_the_data() -> None:
    low, high = NOISE_BAND
    assert low < errors_over_sigma()["noise"] < high


def test_the_width_of_the_smoothing_is_the_settled_one_and_grows_as_the_docstring_says() -> None:
    assert smoothing_half_width_s(3.0, 1.0) == pytest.approx(4.85, abs=0.1)
    assert smoothing_half_width_s(6.0, 1.0) / smoothing_half_width_s(3.0, 1.0) == pytest.approx(2 ** (2 / 7), rel=1e-3)
    assert smoothing_half_width_s(0.0, 0.1) == pytest.approx(2.0)
    assert smoothing_half_width_s(100.0, 60.0) == pytest.approx(30.0)
