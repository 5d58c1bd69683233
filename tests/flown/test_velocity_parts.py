"""The parts of a path by recorded velocities: which velocities count, their integral, and the sums, by hand.

Positions and velocities are complex: along + i across the inbound course.
"""

import numpy as np
import pytest

from analyzer.flown.motion.velocity_columns import (
    _once,
    _plausible,
    _without_kinks,
    recorded_velocities,
    stretches,
    velocity_scatter,
)
from analyzer.flown.motion.velocity_path import (
    SteadiedPath,
    _calibrated,
    _clearly_better,
    _Part,
    _robust_weight,
    _smooth,
    _solved,
    _window_s,
)
from analyzer.given import Frame, Track

FRAME = Frame(46.2, -101.5, 125.0)
TIME = np.arange(0.0, 120.0)


# --- which velocities count ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("pause_s", "interval_s", "count"), [(29.0, 1.0, 1), (31.0, 1.0, 2), (34.0, 10.0, 1), (36.0, 10.0, 2)]
)
def test_a_pause_of_30_seconds_or_three_and_a_half_intervals_breaks_a_stretch(
    pause_s: float, interval_s: float, count: int
) -> None:
    known = np.concatenate([np.arange(10.0), 9.0 + pause_s + np.arange(10.0)])
    assert stretches(known, interval_s) == ([(0, 20)] if count == 1 else [(0, 10), (10, 20)])


@pytest.mark.parametrize(("off_part", "kept"), [(0.24, True), (0.26, False)])
def test_a_velocity_a_quarter_off_the_middle_of_its_neighbours_is_a_bad_one(off_part: float, kept: bool) -> None:
    velocity = np.full(30, 60.0 + 0.0j)
    velocity[12] += 60.0j * off_part
    expected = np.ones(30, dtype=bool)
    expected[12] = kept
    assert _without_kinks(np.arange(30.0), velocity, 1.0).tolist() == expected.tolist()


def test_beside_a_long_pause_no_velocity_is_compared() -> None:
    """More than seven intervals from the one before to the one after."""
    known = np.concatenate([np.arange(15.0), [20.0], 26.0 + np.arange(14.0)])
    velocity = np.full(30, 60.0 + 0.0j)
    velocity[15] = 60.0j
    assert _without_kinks(known, velocity, 1.0)[15]
    assert not _without_kinks(np.arange(30.0), velocity, 1.0)[15]


@pytest.mark.parametrize(("off_deg", "kept"), [(44.0, True), (46.0, False), (-46.0, False)])
def test_a_track_45_degrees_off_the_way_the_positions_go_is_a_bad_one(off_deg: float, kept: bool) -> None:
    velocity = np.full(len(TIME), 60.0 * np.exp(1j * np.radians(off_deg)))
    found = _plausible(TIME, velocity, TIME, 60.0 * TIME + 0j, np.ones(len(TIME)), 1.0)
    assert bool(np.all(found)) is kept
    assert bool(np.any(found)) is kept


def test_velocities_are_along_and_across_the_course() -> None:
    """305 true is outbound: along. 35 true is 90 degrees left of the course: across, negative. Under 10 m/s: none."""
    for track_deg, expected in ((305.0, 60.0 + 0.0j), (35.0, 0.0 - 60.0j)):
        track = Track("by hand", TIME, 46.2 + 0 * TIME, -101.5 + 0 * TIME, sensors={
            "groundspeed_mps": np.full(len(TIME), 60.0), "track_true_deg": np.full(len(TIME), track_deg)})  # fmt: skip
        found = recorded_velocities(track, FRAME, TIME, expected * TIME, np.ones(len(TIME)), 1.0)
        assert found is not None
        assert found[1] == pytest.approx(np.full(len(found[1]), expected), abs=1e-6)
        slow = Track("by hand", TIME, 46.2 + 0 * TIME, -101.5 + 0 * TIME, sensors={
            "groundspeed_mps": np.full(len(TIME), 9.9), "track_true_deg": np.full(len(TIME), track_deg)})  # fmt: skip
        assert recorded_velocities(slow, FRAME, TIME, expected * TIME, np.ones(len(TIME)), 1.0) is None


def test_a_velocity_that_stands_for_a_while_counts_in_its_middle_but_for_its_ends() -> None:
    """Standing from 2 to 6 s: its ends come 2 s in, to 4 s, where they are one. For 10 s: from 2.5 to 7.5 s in."""
    velocity = np.array([1.0, 2.0, 3.0, 3.0, 3.0, 3.0, 3.0, 4.0]) + 0j
    moments, found = _once(np.arange(8.0), velocity)
    assert moments.tolist() == [0.0, 1.0, 4.0, 7.0]
    assert found.tolist() == [1.0, 2.0, 3.0, 4.0]
    standing, _ = _once(np.arange(11.0), np.full(11, 5.0 + 0j))
    assert (standing[0], standing[-1]) == (2.5, 7.5)


def test_the_scatter_of_velocities_is_that_of_what_was_put_in() -> None:
    """1 sigma of 1.0 m/s each way, the worst twentieth over 1.96; never under half a knot, 0.15."""
    draw = np.random.default_rng(2)
    time = np.arange(0.0, 2000.0)
    noise = draw.normal(0.0, 1.0, (2, 2000))
    found = velocity_scatter(time, 60.0 + noise[0] + 1j * noise[1], 1.0)
    assert found == pytest.approx(1.0, abs=0.08)
    assert velocity_scatter(time, np.full(2000, 60.0 + 0j), 1.0) == 0.15


# --- the integral ----------------------------------------------------------------------------------------------------


def turning(lag_s: float = 0.0, scale: complex = 1.0, offset: complex = 0.0) -> _Part:
    """3 degrees a second at 60 m/s; velocities that are late and wrong by a factor, positions that lie elsewhere."""
    rate = np.radians(3.0)
    position = 60.0 * (np.exp(1j * rate * TIME) - 1.0) / (1j * rate) + offset
    return _Part(TIME, 60.0 * np.exp(1j * rate * (TIME - lag_s)) / scale, TIME, position)


def test_the_integral_of_a_steady_turn_is_its_arc() -> None:
    part = turning(offset=100.0 + 50.0j)
    assert part.path(TIME, 1.0, 0.0) == pytest.approx(part.position - (100.0 + 50.0j), abs=0.05)
    assert part.rest(1.0, 0.0) == pytest.approx(np.full(len(TIME), 100.0 + 50.0j), abs=0.05)
    assert np.all(part.sound())


def test_beyond_its_ends_the_integral_goes_straight_on() -> None:
    part = _Part(TIME, np.full(len(TIME), 60.0 + 0j), TIME, 60.0 * TIME + 0j)
    found = part.path(np.array([-2.0, 119.0, 121.0]), 2.0 + 0.0j, 1.0)
    assert found == pytest.approx(2.0 * 60.0 * np.array([-1.0, 120.0, 122.0]) + 0j)


def swinging(lag_s: float = 0.0, scale: complex = 1.0) -> _Part:
    """Headings that swing by 70 degrees within 80 s, so that a lag is not taken for a turn of the columns."""
    fine = np.arange(-10.0, 130.0, 0.01)
    velocity = 60.0 * np.exp(1j * np.radians(70.0) * np.sin(2.0 * np.pi * fine / 80.0))
    place = np.concatenate([[0.0], np.cumsum(0.5 * (velocity[1:] + velocity[:-1]) * 0.01)])
    return _Part(TIME, np.interp(TIME - lag_s, fine, velocity) / scale, TIME, np.interp(TIME, fine, place))


def test_scale_turn_and_lag_of_the_columns_are_found() -> None:
    """A twentieth too fast, 2 degrees to the side, 1.5 s late; positions exact. Held back a little by what is usual."""
    scale = 1.04 * np.exp(1j * np.radians(2.0))
    found = _calibrated([swinging(1.5, scale)], 1.0)
    assert found is not None
    assert abs(found[0]) == pytest.approx(1.04, abs=0.005)
    assert np.degrees(np.angle(found[0])) == pytest.approx(2.0, abs=0.4)
    assert found[1] == pytest.approx(1.5, abs=0.15)


@pytest.mark.parametrize(
    ("lag_s", "scale", "used"),
    [(2.7, 1.0, True), (3.4, 1.0, False), (0.0, 1.08, True), (0.0, 1.13, False), (0.0, 0.87, False)],
)
def test_columns_that_need_more_than_a_tenth_or_3_seconds_are_not_used(lag_s: float, scale: float, used: bool) -> None:
    assert (_calibrated([swinging(lag_s, scale)], 1.0) is not None) is used


@pytest.mark.parametrize(("turned_deg", "sound"), [(8.0, True), (9.5, False)])
def test_nor_are_those_turned_by_more_than_8_degrees(turned_deg: float, sound: bool) -> None:
    """Over a minute they lead aside by the sine of it, 0.139 or 0.165 of the way: more than 0.15 is astray."""
    part = _Part(TIME, np.full(len(TIME), 60.0 * np.exp(1j * np.radians(turned_deg))), TIME, 60.0 * TIME + 0j)
    assert bool(np.all(part.sound()[40:80])) is sound


def test_velocities_that_lead_astray_over_a_minute_are_not_sound() -> None:
    """A tenth of the speed is allowed, two tenths are not; a seventh is the bound."""
    for factor, sound in ((1.1, True), (1.25, False)):
        part = _Part(TIME, np.full(len(TIME), 60.0 * factor + 0j), TIME, 60.0 * TIME + 0j)
        assert bool(np.all(part.sound()[40:80])) is sound
        assert bool(np.any(part.sound()[40:80])) is sound


# --- sums ------------------------------------------------------------------------------------------------------------


def test_a_smoothed_value_is_that_of_a_weighted_line_with_a_prior_on_its_slope() -> None:
    """Tricube weights over 10 s about 50 s; a slope held near 0 by 4 s of scatter over likely slope."""
    draw = np.random.default_rng(3)
    values = draw.normal(0.0, 1.0, 120) + 1j * draw.normal(0.0, 1.0, 120) + 0.3 * TIME
    weight = draw.uniform(0.5, 1.0, 120)
    (found,) = _smooth(TIME, values, weight, np.array([50.3]), 10.0, 4.0)
    offset = TIME - 50.3
    kernel = np.clip(1.0 - (np.abs(offset) / 10.0) ** 3, 0.0, None) ** 3 * weight
    normal = np.array([[kernel.sum(), kernel @ offset], [kernel @ offset, kernel @ offset**2 + 16.0]])
    expected = np.linalg.solve(normal, [kernel @ values, (kernel * offset) @ values])[0]
    assert found == pytest.approx(expected, abs=1e-6)


def test_a_value_far_from_its_line_counts_for_nothing() -> None:
    draw = np.random.default_rng(5)
    values = draw.normal(0.0, 1.0, 120) + 1j * draw.normal(0.0, 1.0, 120)
    values[60] += 40.0
    weight = _robust_weight(TIME, values, 20.0)
    assert weight[60] == 1e-6
    assert np.median(weight) > 0.7


def test_the_columns_errors_are_solved_with_a_weak_prior() -> None:
    """Without scatter the true values; the prior (2 x scatter / likely)^2 holds them back in proportion to the data."""
    design = np.array([[100.0 + 0j, 0.0, 0.0]] * 40)
    assert _solved(design, design @ np.array([0.03, 0.0, 0.0]), 1e-3)[0] == pytest.approx(0.03, rel=1e-3)
    held = _solved(design, design @ np.array([0.03, 0.0, 0.0]), 6.0)[0]
    prior, data = (2.0 * 6.0 / 0.02) ** 2, 40.0 * 100.0**2
    assert held == pytest.approx(0.03 * data / (data + prior), rel=0.02)


@pytest.mark.parametrize(
    ("scatter_m", "interval_s", "window_s"),
    [
        (10.0, 1.0, 1.8 * (100.0 / 0.09) ** (1.0 / 3.0)),  # 18.6 s
        (1.0, 1.0, 12.0),
        (500.0, 1.0, 150.0),
        (1.0, 5.0, 20.0),  # four intervals
    ],
)
def test_over_how_long_positions_tell_where_the_path_lies(scatter_m: float, interval_s: float, window_s: float) -> None:
    """1.8 cube roots of (10^2 x 1 / 0.3^2); 12 to 150 s, four intervals at least."""
    assert _window_s(scatter_m, 0.3, interval_s) == pytest.approx(window_s)


@pytest.mark.parametrize(
    ("velocity_mps", "position_m", "better"),
    [
        # 1 s: half of 2.4 x 10 / 8 = 1.5 m/s against 1.5 x 1/2 of the velocities' scatter: up to 2 m/s
        (1.95, 10.0, True),
        (2.05, 10.0, False),
        # positions within 2 m are good enough by themselves
        (0.01, 2.1, True),
        (0.01, 1.9, False),
    ],
)
def test_velocities_are_used_where_they_are_twice_as_good(velocity_mps: float, position_m: float, better: bool) -> None:
    assert _clearly_better(velocity_mps, position_m, 1.0) is better


@pytest.mark.parametrize(("interval_s", "noise_m"), [(1.0, 2.0), (5.0, 6.5)])
def test_the_noise_of_positions_that_would_leave_the_same_doubt(interval_s: float, noise_m: float) -> None:
    """Half the velocities' scatter, 1 m/s here, times 4 s or 2.6 intervals."""
    none = np.zeros(0)
    assert SteadiedPath(none, none, none, 5.0, 1.0, 0.0, 1.0).noise_m(interval_s) == pytest.approx(noise_m)
