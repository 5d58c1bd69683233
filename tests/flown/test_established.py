"""Established inbound, just inside and just outside each of its bounds, each bound written as a number.

The definition: needle at most half scale, ground track within 10 degrees, for 10 s or to the fix. A track that is
established breaks off only beyond its own noise: 1 sigma more, at most 2 degrees.
"""

from dataclasses import replace

import numpy as np
import pytest

from analyzer.flown.motion.motion import Motion
from analyzer.flown.reversals.established import established_time
from tests.hand_flown import motion_of

SPEED_MPS = 60.0


def on_track(off_deg: "float | np.ndarray", sigma_deg: float = 0.0) -> Motion:
    """100 s of flight to the fix, with a ground track so far off the inbound course and known so well."""
    time = np.arange(0.0, 100.5, 0.5)
    angle = np.radians(np.broadcast_to(off_deg, time.shape))
    motion = motion_of(time, SPEED_MPS * (100.0 - time), np.zeros(time.shape))
    return replace(
        motion, along_mps=-SPEED_MPS * np.cos(angle), cross_mps=SPEED_MPS * np.sin(angle),
        track_sigma_deg=np.full(time.shape, sigma_deg),
    )  # fmt: skip


def found(motion: Motion, needle: "float | np.ndarray", to_fix: bool = True, to_s: float = 100.0) -> float | None:
    return established_time(motion, np.broadcast_to(needle, motion.time_s.shape), None, 0.0, to_s, to_fix)


@pytest.mark.parametrize(("needle", "established"), [(0.49, True), (0.51, False), (-0.49, True), (-0.51, False)])
def test_the_needle_is_within_half_scale(needle: float, established: bool) -> None:
    assert (found(on_track(0.0), needle) is not None) is established


@pytest.mark.parametrize(("off_deg", "established"), [(9.8, True), (10.2, False), (-9.8, True), (-10.2, False)])
def test_the_track_is_within_10_degrees(off_deg: float, established: bool) -> None:
    assert (found(on_track(off_deg), 0.0) is not None) is established


@pytest.mark.parametrize(("lasts_s", "established"), [(9.6, False), (10.4, True)])
def test_it_lasts_10_seconds(lasts_s: float, established: bool) -> None:
    """The needle is centred from 20 s on and leaves half scale so much later, between two moments 0.5 s apart."""
    motion = on_track(0.0)
    leaves_s = 20.0 + lasts_s
    needle = np.where(motion.time_s < 20.0, 1.0, 0.0)
    needle = np.where(motion.time_s > leaves_s, 0.5 + 0.1 * (motion.time_s - leaves_s), needle)
    needle = np.where((motion.time_s > 20.0) & (motion.time_s <= leaves_s), 0.5 - 1e-9, needle)
    moment = found(motion, needle)
    if established:
        assert moment == pytest.approx(20.0, abs=0.5)
    else:
        assert moment is None


@pytest.mark.parametrize(("to_fix", "established"), [(True, True), (False, False)])
def test_less_than_10_seconds_are_enough_up_to_the_fix_only(to_fix: bool, established: bool) -> None:
    motion = on_track(0.0)
    needle = np.where(motion.time_s < 94.0, 1.0, 0.0)
    assert (found(motion, needle, to_fix) is not None) is established


@pytest.mark.parametrize(
    ("sigma_deg", "swings_to_deg", "stays"),
    [
        (0.0, 10.3, False),
        (0.0, 9.7, True),
        (1.0, 10.8, True),
        (1.0, 11.2, False),
        (5.0, 11.8, True),
        (5.0, 12.2, False),
    ],
)
def test_a_track_breaks_off_beyond_its_noise_of_at_most_2_degrees(
    sigma_deg: float, swings_to_deg: float, stays: bool
) -> None:
    """Established at 10 s; the track swings out at 15 s and stays there."""
    time = np.arange(0.0, 100.5, 0.5)
    off_deg = np.where(time < 10.0, 30.0, np.where(time < 15.0, 0.0, swings_to_deg))
    moment = found(on_track(off_deg, sigma_deg), 0.0)
    assert (moment is not None) is stays


def test_inside_the_cone_the_needle_neither_makes_nor_breaks_it() -> None:
    motion = on_track(0.0)
    needle = np.where(motion.time_s < 40.0, 0.2, 0.9)
    silent = motion.time_s >= 39.0
    assert established_time(motion, needle, silent, 0.0, 100.0) == pytest.approx(0.0)
    assert established_time(motion, np.full(motion.time_s.shape, 0.9), silent, 0.0, 100.0) is None
