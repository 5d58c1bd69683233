"""The wind from turns: its circle, its likelihood against matrices written out, and when it says that it knows none."""

import numpy as np
import pytest

from analyzer.flown.motion.motion import Motion
from analyzer.flown.wind.from_turns import _Chords, _circle, _fit, estimate_wind, with_airspeed
from analyzer.given import Frame, Wind
from tests.hand_flown import motion_of

FRAME = Frame(46.2, -101.5, 0.0)  # flying north inbound: along is south, cross is east


def flown(
    headings_deg: object, tas_mps: object = 60.0, wind: tuple[float, float] = (6.0, -9.0), step_s: float = 0.5
) -> Motion:
    """Headings and airspeeds at moments that are half a second apart, in a steady wind (east, north)."""
    heading = np.radians(np.asarray(headings_deg, dtype=float))
    tas = np.broadcast_to(np.asarray(tas_mps, dtype=float), heading.shape)
    east, north = tas * np.sin(heading) + wind[0], tas * np.cos(heading) + wind[1]
    time = step_s * np.arange(len(heading))
    return motion_of(time, -np.cumsum(north) * step_s, np.cumsum(east) * step_s)


def swinging(deg: float, seconds: float = 400.0) -> np.ndarray:
    return deg * np.sin(2.0 * np.pi * np.arange(0.0, seconds, 0.5) / 100.0)


def chords(turn_deg: float = 12.0, change: float = 0.0) -> _Chords:
    """Thirty chords of 4 s, 12 degrees of turn each, at 60 m/s in a wind of 6 and -9 m/s; some scatter."""
    time = 4.0 * np.arange(30.0)
    heading = np.radians(turn_deg * np.arange(30.0))
    scatter = np.random.default_rng(4).normal(0.0, 0.3, (2, 30))
    tas = 60.0 + change * (np.arange(30.0) - 14.5)
    return _Chords(
        time, tas * np.sin(heading) + 6.0 + scatter[0], tas * np.cos(heading) - 9.0 + scatter[1], 2.0, 4.0,
        np.full(30, turn_deg), change * (np.arange(30.0) - 14.5),
    )  # fmt: skip


def test_the_circle_through_velocities_has_the_wind_for_its_centre() -> None:
    heading = np.radians(np.arange(0.0, 300.0, 10.0))
    exact = _Chords(
        heading, 50.0 * np.sin(heading) + 7.0, 50.0 * np.cos(heading) + 11.0, 1.0, 4.0, heading * 0.0, heading * 0.0
    )
    assert _circle(exact) == pytest.approx([7.0, 11.0, 50.0])


def test_a_circle_with_more_wind_than_nine_tenths_of_its_airspeed_is_begun_without() -> None:
    heading = np.radians(np.arange(0.0, 300.0, 10.0))
    for wind, centre in ((44.0, 44.0), (46.0, 0.0)):
        exact = _Chords(
            heading, 50.0 * np.sin(heading) + wind, 50.0 * np.cos(heading), 1.0, 4.0, heading * 0.0, heading * 0.0
        )
        found = _circle(exact)
        assert found is not None
        assert found[0] == pytest.approx(centre, abs=1e-6)


def test_the_likelihood_is_that_of_the_model_written_out() -> None:
    """Airspeeds wander by 1 m/s with a memory of 60 s.

    A chord's velocity is the difference of two positions of 2 m over 4 s: a variance of 2 (2/4)^2, and neighbours share
    one position: a covariance of -(2/4)^2 along both directions. The airspeed that is told is the mean of what was
    flown, so that the wander counts by what the estimate makes of it less that mean.
    """
    given = chords()
    found = _fit(given, np.array([6.0, -9.0, 60.0]), 1.0, 60.0)
    assert found is not None
    criterion, estimate, covariance = found
    assert estimate == pytest.approx([6.0, -9.0, 60.1], abs=0.4)
    east, north = given.east_mps - estimate[0], given.north_mps - estimate[1]
    speed = np.hypot(east, north)
    design = np.column_stack([east / speed, north / speed, np.ones(30)])
    # the arc that a chord cuts is turned through the air: 12 degrees are of the ground track
    turn = np.radians(12.0) * np.hypot(given.east_mps, given.north_mps) / speed
    rest = speed * (0.5 * turn) / np.sin(0.5 * turn) - estimate[2]
    model = np.empty((30, 30))
    for i in range(30):
        for j in range(30):
            model[i, j] = np.exp(-abs(given.time_s[i] - given.time_s[j]) / 60.0)
            if i == j:
                model[i, j] += 2.0 * 0.25 + 1e-4
            if abs(i - j) == 1:
                model[i, j] -= 0.25 * (design[i, :2] @ design[j, :2])
    inverse = np.linalg.inv(model)
    normal = design.T @ inverse @ design
    wander = np.exp(-np.abs(given.time_s[:, None] - given.time_s[None, :]) / 60.0)
    gain = np.linalg.inv(normal) @ design.T @ inverse
    off_mean = gain - np.outer([0.0, 0.0, 1.0], np.full(30, 1.0 / 30.0))
    expected = off_mean @ wander @ off_mean.T + gain @ (model - wander) @ gain.T
    assert covariance == pytest.approx(expected, rel=0.02, abs=1e-4)
    assert covariance[:2, :2] == pytest.approx(np.linalg.inv(normal)[:2, :2], rel=0.02, abs=1e-4)
    step = np.linalg.solve(normal, design.T @ inverse @ rest)
    assert np.abs(step).max() < 0.02, "the best values are best"
    left = rest - design @ step
    restricted = left @ inverse @ left + np.linalg.slogdet(model)[1] + np.linalg.slogdet(normal)[1]
    assert criterion == pytest.approx(restricted, abs=0.1)


def test_a_chord_over_a_bad_position_counts_for_less() -> None:
    given = chords()
    given.east_mps[10] += 30.0
    given.north_mps[10] -= 30.0
    found = _fit(given, np.array([6.0, -9.0, 60.0]), 0.3, 60.0)
    assert found is not None
    assert found[1] == pytest.approx([6.0, -9.0, 60.0], abs=0.8)


def test_changes_of_a_recorded_airspeed_are_taken_out() -> None:
    """0.2 m/s more with each chord: 60 m/s in the middle."""
    found = _fit(chords(change=0.2), np.array([6.0, -9.0, 60.0]), 0.05, 60.0)
    assert found is not None
    assert found[1] == pytest.approx([6.0, -9.0, 60.1], abs=0.4)


@pytest.mark.parametrize(("swing_deg", "known"), [(36.0, True), (26.0, False)])
def test_a_flight_has_to_turn_by_60_degrees(swing_deg: float, known: bool) -> None:
    """Its tracks between their 2nd and 98th percentiles; in still air, as headings."""
    found = estimate_wind(flown(swinging(swing_deg), wind=(0.0, 0.0)), FRAME)
    assert ("turns too little to tell wind from airspeed: by" not in found.reason) is known


def test_a_track_of_some_seconds_is_too_short() -> None:
    """Eight chords of 4 s and their ends: 32 s."""
    assert "too short" in estimate_wind(flown(swinging(60.0, 28.0)), FRAME).reason
    assert "too short" not in estimate_wind(flown(swinging(60.0, 40.0)), FRAME).reason


@pytest.mark.parametrize(("wind_mps", "known"), [(45.0, True), (52.0, False)])
def test_a_wind_of_more_than_eight_tenths_of_the_airspeed_is_a_fit_gone_wrong(wind_mps: float, known: bool) -> None:
    """60 m/s through the air: 48 m/s."""
    found = estimate_wind(flown(3.0 * np.arange(0.0, 300.0, 0.5), wind=(wind_mps, 0.0)), FRAME)
    assert (found.wind is not None) is known
    if found.wind is not None:
        assert found.wind.east_mps == pytest.approx(wind_mps, abs=0.5)


def test_only_what_is_flown_within_25_miles_of_the_fix_counts() -> None:
    """46,300 m: circles that begin 30 miles out tell nothing of the wind at the fix."""
    motion = flown(3.0 * np.arange(0.0, 300.0, 0.5))
    far = motion_of(motion.time_s, motion.along_m + 60_000.0, motion.cross_m)
    near = motion_of(motion.time_s, motion.along_m + 30_000.0, motion.cross_m)
    assert estimate_wind(far, FRAME).wind is None
    assert estimate_wind(near, FRAME).wind is not None


def test_a_given_wind_gets_the_airspeed_that_the_flight_has_in_it() -> None:
    motion = flown(3.0 * np.arange(0.0, 120.0, 0.5))
    assert with_airspeed(Wind(6.0, -9.0, None, None, "given"), motion, FRAME).tas_mps == pytest.approx(60.0, abs=0.1)
    standing = motion_of(motion.time_s, 0.0 * motion.time_s, 0.0 * motion.time_s)
    assert with_airspeed(Wind(6.0, -9.0, None, None, "given"), standing, FRAME).tas_mps is None
