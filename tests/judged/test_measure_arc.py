"""The ground track inside a turn from the arc through the air."""

import numpy as np
import pytest

from analyzer.flown.motion.motion import Motion, estimate_motion
from analyzer.given.plane import Frame
from analyzer.given.track import Track
from analyzer.judged.measurements.arc import track_in_turn

FRAME = Frame(46.2, -101.5, 118.0)
SPEED_MPS = 60.0
WIND_MPS = (4.0, -10.0)
RATE_DEG_S = 3.0
TURN_S = (100.0, 160.0)
NOISE_M = 5.0
RMS_DEG = 0.7  # a third of what the smoothed path is off


def turned(seed: int, noise_m: float) -> Motion:
    """A turn of 180 degrees from heading 180 in a wind, recorded each second."""
    time = np.arange(0.0, 260.0)
    fine = np.arange(0.0, 260.0, 0.01)
    heading = heading_at(fine)
    rng = np.random.default_rng(seed)
    velocity = (-np.cos(heading) * SPEED_MPS + WIND_MPS[0], np.sin(heading) * SPEED_MPS + WIND_MPS[1])
    along, cross = (
        np.interp(time, fine, 0.01 * np.cumsum(part)) + rng.normal(0.0, noise_m, len(time)) for part in velocity
    )
    latitude, longitude = FRAME.latitude_longitude_from_along_cross(along, cross)
    return estimate_motion(Track("by hand", time, latitude, longitude), FRAME)[0]


def heading_at(time_s):
    return np.radians(180.0 + RATE_DEG_S * (np.clip(time_s, *TURN_S) - TURN_S[0]))


def true_track_deg(at_s: float) -> float:
    heading = heading_at(at_s)
    return float(
        np.degrees(np.arctan2(np.sin(heading) * SPEED_MPS + WIND_MPS[1], np.cos(heading) * SPEED_MPS - WIND_MPS[0]))
    )


def test_the_track_is_within_its_sigma_and_far_better_than_the_smoothed_one():
    off, sigmas, smoothed = [], [], []
    for seed in range(12):
        motion = turned(seed, NOISE_M)
        for at_s in (125.0, 150.0):
            found = track_in_turn(motion, at_s, *TURN_S, WIND_MPS)
            assert found is not None
            off.append(found[0] - true_track_deg(at_s))
            sigmas.append(found[1])
            smoothed.append(np.interp(at_s, motion.time_s, motion.track_relative_deg) - true_track_deg(at_s))
    rms = float(np.sqrt(np.mean(np.square(off))))
    assert rms < RMS_DEG
    assert rms < 0.6 * float(np.sqrt(np.mean(np.square(smoothed))))
    assert rms == pytest.approx(float(np.median(sigmas)), rel=0.5)


def test_a_moment_outside_the_steady_part_has_no_arc():
    motion = turned(1, NOISE_M)
    assert track_in_turn(motion, TURN_S[1] - 1.0, *TURN_S, WIND_MPS) is None
    assert track_in_turn(motion, TURN_S[0] + 4.0, TURN_S[0], TURN_S[0] + 9.0, WIND_MPS) is None
