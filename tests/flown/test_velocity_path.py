"""Velocity columns steady a path whose positions are badly timed, and only then."""

import numpy as np
import pytest

from analyzer.flown.motion.motion import estimate_motion
from analyzer.flown.motion.velocity_path import steadied_path
from analyzer.given.plane import Frame
from analyzer.given.track import Track
from analyzer.units.factors import MPS_PER_KNOT

FRAME = Frame(46.2, -101.5, 118.0)
WIND = np.array([6.0, -4.0])  # along, cross, m/s
TAS_MPS = 75.0
TWO_KNOTS_MPS = 2.0 * MPS_PER_KNOT
THREE_KNOTS_MPS = 3.0 * MPS_PER_KNOT


def flown(step_s: float = 0.1, last_s: float = 700.0):
    """Two circuits of a hold in a wind: times, positions and ground velocities, exact to the step."""
    time = np.arange(0.0, last_s, step_s)
    rate = np.where((time % 240.0) < 60.0, 3.0, 0.0) + np.where(((time - 120.0) % 240.0) < 60.0, 3.0, 0.0)
    rate[time < 60.0] = 0.0
    heading = np.radians(np.cumsum(rate) * step_s)
    velocity = TAS_MPS * np.column_stack([-np.cos(heading), np.sin(heading)]) + WIND
    position = np.concatenate([[[0.0, 0.0]], np.cumsum(0.5 * (velocity[1:] + velocity[:-1]), axis=0) * step_s])
    return time, position, velocity


def recorded(
    interval_s: float = 5.0,
    late_s: float = 0.0,
    noise_m: float = 5.0,
    column_late_s: float = 0.0,
    scale: float = 1.0,
    rotation_deg: float = 0.0,
    rounded: bool = True,
    seed: int = 1,
) -> tuple[Track, np.ndarray, np.ndarray]:
    """A track whose positions are up to `late_s` too old, with the true positions and velocities at its times."""
    rng = np.random.default_rng(seed)
    time, position, velocity = flown()
    at = np.arange(0.0, time[-1], interval_s)

    def read(values, when):
        return np.column_stack([np.interp(when, time, values[:, axis]) for axis in (0, 1)])

    old = read(position, at - rng.uniform(0.0, late_s, len(at))) + rng.normal(0.0, noise_m, (len(at), 2))
    moving = read(velocity, at - column_late_s)
    speed = scale * np.hypot(*moving.T)
    angle = np.degrees(np.arctan2(moving[:, 1], -moving[:, 0])) + FRAME.inbound_true_deg + rotation_deg
    if rounded:
        speed, angle = np.round(speed / MPS_PER_KNOT) * MPS_PER_KNOT, np.round(angle)
    sensors = {"groundspeed_mps": speed, "track_true_deg": np.mod(angle, 360.0)}
    latitude, longitude = FRAME.latitude_longitude_from_along_cross(old[:, 0], old[:, 1])
    return Track("by hand", at, latitude, longitude, sensors=sensors), read(position, at), read(velocity, at)


def steadied(track: Track):
    along, cross = FRAME.along_cross_m(track.latitude_deg, track.longitude_deg)
    return steadied_path(track.time_s, along, cross, np.ones(len(along)), track, FRAME)


def without_columns(track: Track) -> Track:
    return Track(track.name, track.time_s, track.latitude_deg, track.longitude_deg)


def speed_miss_mps(track: Track, velocity: np.ndarray) -> float:
    """Middle error of the motion's ground velocity at the track's moments."""
    motion, _ = estimate_motion(track, FRAME)
    along = np.interp(track.time_s, motion.time_s, motion.along_mps)
    cross = np.interp(track.time_s, motion.time_s, motion.cross_mps)
    return float(np.median(np.hypot(along - velocity[:, 0], cross - velocity[:, 1])))


@pytest.mark.parametrize("interval_s", [1.0, 5.0])
def test_badly_timed_positions_are_steadied(interval_s):
    track, _, velocity = recorded(interval_s, late_s=3.0)
    bare = speed_miss_mps(without_columns(track), velocity)
    assert bare > 4.0 * MPS_PER_KNOT, "positions that old must be a bad source, or the test shows nothing"
    assert speed_miss_mps(track, velocity) < min(THREE_KNOTS_MPS, bare / 3.0)
    motion, notes = estimate_motion(track, FRAME)
    assert [note.code for note in notes if note.code == "path-from-velocities"] == ["path-from-velocities"]
    assert motion.scatter_m > 4.0 * motion.noise_m, "the report tells the scatter of what was recorded"


def test_the_path_lies_where_the_positions_are():
    track, position, velocity = recorded(late_s=3.0)
    found = steadied(track)
    assert found is not None
    miss = np.column_stack([found.along_m, found.cross_m]) - position
    middle_age_s = 1.5  # positions from 0 to 3 s old: the path comes out older by the middle of that
    expected = -middle_age_s * velocity
    seventy_metres = 70.0
    assert float(np.max(np.hypot(*(miss - expected).T))) < seventy_metres
    assert found.place_sigma_m < found.position_scatter_m / 3.0


def test_good_positions_stay_as_they_are():
    for noise_m in (0.0, 1.0):
        track, _, _ = recorded(1.0, noise_m=noise_m)
        assert steadied(track) is None
    fast, _, _ = recorded(0.2, late_s=3.0)
    assert steadied(fast) is None, "recordings so fast are left alone"


def test_a_track_without_velocities_stays_as_it_is():
    track, _, _ = recorded(late_s=3.0)
    assert steadied(without_columns(track)) is None
    one_only = Track(
        "by hand",
        track.time_s,
        track.latitude_deg,
        track.longitude_deg,
        sensors={"groundspeed_mps": track.sensors["groundspeed_mps"]},
    )
    assert steadied(one_only) is None


def test_late_columns_are_found_to_be_late():
    track, position, velocity = recorded(1.0, noise_m=8.0, column_late_s=2.0, rounded=False)
    found = steadied(track)
    assert found is not None
    half_a_second_s = 0.5
    assert found.lag_s == pytest.approx(2.0, abs=half_a_second_s)
    miss = np.hypot(*(np.column_stack([found.along_m, found.cross_m]) - position).T)
    twenty_metres = 20.0
    assert float(np.quantile(miss, 0.9)) < twenty_metres
    assert speed_miss_mps(track, velocity) < TWO_KNOTS_MPS


@pytest.mark.parametrize("wrong", [{"scale": 1.25}, {"scale": 0.8}, {"rotation_deg": 14.0}, {"column_late_s": 6.0}])
def test_columns_that_are_no_ground_velocity_are_not_used(wrong):
    track, _, _ = recorded(1.0, noise_m=8.0, rounded=False, **wrong)
    assert steadied(track) is None


def test_wild_velocities_are_left_out():
    track, _, velocity = recorded(late_s=3.0)
    speed, angle = (np.array(track.sensors[name]) for name in ("groundspeed_mps", "track_true_deg"))
    speed[[20, 60, 90]] += 256.0 * MPS_PER_KNOT
    angle[[33, 70]] = np.mod(angle[[33, 70]] + 256.0, 360.0)
    angle[101:104] = np.nan
    wild = Track(
        "by hand",
        track.time_s,
        track.latitude_deg,
        track.longitude_deg,
        sensors={"groundspeed_mps": speed, "track_true_deg": angle},
    )
    assert speed_miss_mps(wild, velocity) < THREE_KNOTS_MPS
    motion, _ = estimate_motion(wild, FRAME)
    assert float(np.max(motion.groundspeed_mps)) < 1.15 * float(np.max(np.hypot(*velocity.T)))


def test_velocities_written_again_until_the_next_one_came_count_once():
    track, _, velocity = recorded(1.0, late_s=3.0)
    speed, angle = (np.array(track.sensors[name]) for name in ("groundspeed_mps", "track_true_deg"))
    last = (np.arange(len(speed)) // 4) * 4
    held = Track(
        "by hand",
        track.time_s,
        track.latitude_deg,
        track.longitude_deg,
        sensors={"groundspeed_mps": speed[last], "track_true_deg": angle[last]},
    )
    motion, notes = estimate_motion(held, FRAME)
    assert any(note.code == "path-from-velocities" for note in notes)
    # held values used as they stand would make steps of 12 degrees in every turn
    turning = (motion.time_s > 132.0) & (motion.time_s < 168.0)
    air_rate_deg_s = motion.turn_rate_deg_s[turning] * motion.groundspeed_mps[turning] / TAS_MPS
    half_a_degree_deg_s = 0.5
    assert np.max(np.abs(air_rate_deg_s - 3.0)) < half_a_degree_deg_s
    assert speed_miss_mps(held, velocity) < THREE_KNOTS_MPS


def test_a_stretch_without_velocities_keeps_its_positions():
    track, _, _ = recorded(late_s=3.0)
    speed = np.array(track.sensors["groundspeed_mps"])
    speed[:30] = np.nan
    part = Track(
        "by hand",
        track.time_s,
        track.latitude_deg,
        track.longitude_deg,
        sensors={"groundspeed_mps": speed, "track_true_deg": track.sensors["track_true_deg"]},
    )
    found = steadied(part)
    assert found is not None
    along, cross = FRAME.along_cross_m(part.latitude_deg, part.longitude_deg)
    assert np.array_equal(found.along_m[:30], along[:30])
    assert np.array_equal(found.cross_m[:30], cross[:30])
    assert np.hypot(found.along_m[31:] - along[31:], found.cross_m[31:] - cross[31:]).max() > 50.0


def test_velocities_that_lead_astray_for_a_while_are_left_out():
    track, position, _ = recorded(late_s=3.0)
    angle = np.array(track.sensors["track_true_deg"])
    astray = (track.time_s >= 200.0) & (track.time_s < 235.0)  # on a straight leg: no kink is as large as a turn's
    angle[astray] += 25.0
    wrong = Track(
        "by hand",
        track.time_s,
        track.latitude_deg,
        track.longitude_deg,
        sensors={"groundspeed_mps": track.sensors["groundspeed_mps"], "track_true_deg": np.mod(angle, 360.0)},
    )
    found = steadied(wrong)
    assert found is not None
    miss = np.hypot(*(np.column_stack([found.along_m, found.cross_m]) - position).T)
    # followed for 35 s such a track would lead 1 km astray; positions here are up to 250 m late
    three_hundred_metres = 300.0
    assert float(np.max(miss)) < three_hundred_metres
