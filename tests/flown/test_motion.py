"""Motion: exact on polynomials, honest about its noise, unharmed by outliers and gaps."""

import numpy as np
import pytest

from analyzer.flown.motion.local_polynomial import local_polynomial
from analyzer.flown.motion.motion import estimate_motion, smoothing_half_width_s
from analyzer.given.plane import Frame
from analyzer.given.track import Track

FRAME = Frame(46.2, -101.5, 118.0)


def track_along(time_s: np.ndarray, along_m: np.ndarray, cross_m: np.ndarray) -> Track:
    latitude, longitude = FRAME.latitude_longitude_from_along_cross(along_m, cross_m)
    return Track("by hand", time_s, latitude, longitude)


def circle(time_s: np.ndarray, rate_deg_s: float = 3.0, speed_mps: float = 60.0) -> tuple[np.ndarray, np.ndarray]:
    radius = speed_mps / np.radians(rate_deg_s)
    angle = np.radians(rate_deg_s * time_s)
    return 8000.0 - radius * np.sin(angle), radius * (1.0 - np.cos(angle))


def test_a_local_cubic_returns_a_cubic_exactly() -> None:
    rng = np.random.default_rng(1)
    time = np.sort(rng.uniform(0.0, 60.0, 90))
    values = np.column_stack([2.0 + time - 0.1 * time**2 + 0.01 * time**3, 5.0 - 3.0 * time])
    at = np.linspace(5.0, 55.0, 21)
    fit = local_polynomial(at, time, values, np.ones(len(time)), 8.0, 3)
    exact_to_m = 1e-4
    assert np.allclose(fit.value[:, 0], 2.0 + at - 0.1 * at**2 + 0.01 * at**3, atol=exact_to_m)
    assert np.allclose(fit.slope[:, 0], 1.0 - 0.2 * at + 0.03 * at**2, atol=exact_to_m)
    assert np.allclose(fit.curvature[:, 0], -0.2 + 0.06 * at, atol=exact_to_m)
    assert np.allclose(fit.slope[:, 1], -3.0, atol=exact_to_m)


def test_the_stated_sigma_is_the_scatter_of_the_fit() -> None:
    rng = np.random.default_rng(2)
    time = np.arange(0.0, 4000.0)
    noise = rng.normal(size=(len(time), 1))
    fit = local_polynomial(time, time, noise, np.ones(len(time)), 6.0, 3)
    inner = slice(20, -20)
    for values, factor in ((fit.value, fit.value_factor), (fit.slope, fit.slope_factor)):
        assert np.std(values[inner]) == pytest.approx(float(np.median(factor[inner])), rel=0.1)


@pytest.mark.parametrize("noise_m", [1.0, 3.0, 8.0])
def test_noise_is_found_in_the_data(noise_m: float) -> None:
    rng = np.random.default_rng(3)
    time = np.arange(0.0, 600.0)
    along, cross = circle(time, 1.0)
    track = track_along(time, along + rng.normal(0.0, noise_m, 600), cross + rng.normal(0.0, noise_m, 600))
    motion, notes = estimate_motion(track, FRAME)
    assert motion.noise_m == pytest.approx(noise_m, rel=0.15)
    assert notes == ()


def test_a_right_turn_has_a_positive_rate_and_the_right_size() -> None:
    time = np.arange(0.0, 100.0)
    motion, _ = estimate_motion(track_along(time, *circle(time)), FRAME)
    inner = slice(10, -10)
    assert np.allclose(motion.turn_rate_deg_s[inner], 3.0, atol=0.05)
    assert np.allclose(motion.groundspeed_mps[inner], 60.0, atol=0.2)
    assert motion.track_relative_deg[50] == pytest.approx(150.0, abs=0.3)
    assert motion.track_true_deg[50] == pytest.approx((118.0 + 150.0) % 360.0, abs=0.5)


def test_outliers_are_left_out_and_said() -> None:
    rng = np.random.default_rng(4)
    time = np.arange(0.0, 300.0)
    along, cross = circle(time, 1.5)
    far = [40, 120, 121, 200]
    along, cross = along + rng.normal(0.0, 3.0, 300), cross + rng.normal(0.0, 3.0, 300)
    cross[far] += 400.0
    motion, notes = estimate_motion(track_along(time, along, cross), FRAME)
    exact_along, exact_cross = circle(motion.time_s, 1.5)
    assert [note.code for note in notes] == ["outlier-positions"]
    assert notes[0].text.startswith("4 positions left out")
    ten_metres = 10.0
    assert np.max(np.hypot(motion.along_m - exact_along, motion.cross_m - exact_cross)) < ten_metres


@pytest.mark.parametrize("interval_s", [2.0, 3.0, 5.0])
def test_a_coarsely_recorded_turn_holds_no_outliers_but_the_one_put_there(interval_s: float) -> None:
    # 10 minutes straight, half a turn at 3 deg/s and 100 m/s, straight again, recorded with 1.5 m of noise
    rng = np.random.default_rng(8)
    fine = np.arange(0.0, 900.0, 0.1)
    heading = np.radians(np.interp(fine, [600.0, 605.0, 660.0, 665.0], [180.0, 187.5, 352.5, 360.0]))
    time = np.arange(0.0, 899.0, interval_s) + rng.uniform(
        0.0, 0.1 * interval_s, len(np.arange(0.0, 899.0, interval_s))
    )
    along, cross = (np.interp(time, fine, 10.0 * np.cumsum(part)) for part in (-np.cos(heading), np.sin(heading)))
    along, cross = along + rng.normal(0.0, 1.5, len(time)), cross + rng.normal(0.0, 1.5, len(time))
    motion, notes = estimate_motion(track_along(time, along, cross), FRAME)
    assert notes == ()
    assert motion.samples is not None
    assert np.all(motion.samples.weight == 1.0)
    spoilt = int(np.searchsorted(time, 630.0))
    cross[spoilt] += 400.0
    motion, _ = estimate_motion(track_along(time, along, cross), FRAME)
    assert motion.samples is not None
    assert np.flatnonzero(motion.samples.weight == 0.0).tolist() == [spoilt]


def test_a_gap_is_bridged_without_swinging() -> None:
    rng = np.random.default_rng(5)
    time = np.arange(0.0, 300.0, 0.5)
    along, cross = circle(time, 1.5)
    along, cross = along + rng.normal(0.0, 5.0, len(time)), cross + rng.normal(0.0, 5.0, len(time))
    kept = (time < 120.0) | (time > 145.0)
    motion, _ = estimate_motion(track_along(time[kept], along[kept], cross[kept]), FRAME)
    exact_along, exact_cross = circle(motion.time_s, 1.5)
    miss = np.hypot(motion.along_m - exact_along, motion.cross_m - exact_cross)
    assert np.all(motion.in_gap == ((motion.time_s > 120.0) & (motion.time_s < 145.0)))
    assert np.max(miss[motion.in_gap]) < 60.0
    assert np.max(miss[~motion.in_gap]) < 15.0
    assert np.all(np.abs(motion.turn_rate_deg_s[motion.in_gap]) < 5.0)


def test_a_slow_receiver_written_out_fast_gives_the_same_motion() -> None:
    time = np.arange(0.0, 200.0)
    along, cross = circle(time, 2.0)
    fast = np.arange(0.0, 200.0, 0.1)
    held = np.floor(fast).astype(int)
    motion, _ = estimate_motion(track_along(fast, along[held], cross[held]), FRAME)
    exact = circle(motion.time_s, 2.0)
    inner = motion.time_s < 195.0
    assert np.max(np.hypot(motion.along_m - exact[0], motion.cross_m - exact[1])[inner]) < 3.0


def test_two_moments_are_enough_and_one_is_refused() -> None:
    motion, _ = estimate_motion(track_along(np.array([0.0, 10.0]), np.array([500.0, 0.0]), np.zeros(2)), FRAME)
    assert np.allclose(motion.along_mps, -50.0, atol=0.1)
    with pytest.raises(ValueError, match="two points"):
        estimate_motion(track_along(np.zeros(1), np.zeros(1), np.zeros(1)), FRAME)


def test_the_kernel_grows_with_noise_and_interval() -> None:
    widths = [smoothing_half_width_s(noise, 1.0) for noise in (0.3, 1.0, 3.0, 10.0)]
    assert widths == sorted(widths)
    assert smoothing_half_width_s(3.0, 5.0) >= 13.0
