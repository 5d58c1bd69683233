"""Turns that look like one and were two, in recordings with a position in some seconds."""

import numpy as np
import pytest

from analyzer.flown.attempt import FlownTurn
from analyzer.flown.motion.motion import estimate_motion
from analyzer.flown.turns.air_motion import air_motion
from analyzer.flown.turns.roll_edges import refined_turns
from analyzer.given.plane import Frame
from analyzer.given.track import Track

FRAME = Frame(46.2, -101.5, 118.0)
SPEED_MPS = 90.0
ROLL_S = 4.0
EDGE_S = 3.0
NOISE_M = 2.0


def turns_of(pieces: list[tuple[float, float]], interval_s: float, seed: int) -> tuple[FlownTurn, ...]:
    """Turns found in (seconds, degrees per second) flown one after the other and recorded with noise."""
    rng = np.random.default_rng(seed)
    ends = np.cumsum([seconds for seconds, _ in pieces])
    fine = np.arange(0.0, float(ends[-1]), 0.05)
    rate = np.array([pieces[index][1] for index in np.searchsorted(ends, fine, side="right")])
    rate = np.convolve(rate, np.ones(int(ROLL_S / 0.05)) / (ROLL_S / 0.05), mode="same")
    heading = np.radians(180.0 + 0.05 * np.cumsum(rate))
    time = np.arange(0.0, float(ends[-1]) - interval_s, interval_s)
    along, cross = (
        np.interp(time, fine, 0.05 * SPEED_MPS * np.cumsum(part)) + rng.normal(0.0, NOISE_M, len(time))
        for part in (-np.cos(heading), np.sin(heading))
    )
    latitude, longitude = FRAME.latitude_longitude_from_along_cross(along, cross)
    motion, _ = estimate_motion(Track("by hand", time, latitude, longitude), FRAME)
    assert motion.samples is not None
    return refined_turns(air_motion(motion, FRAME, None), motion.samples, motion.noise_m)


@pytest.mark.parametrize("interval_s", [1.0, 3.0, 5.0])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_turn_onto_the_course_some_seconds_after_the_reversal_turn_is_one_of_its_own(interval_s: float, seed: int):
    level_s = 12.0
    found = turns_of([(300.0, 0.0), (60.0, 3.0), (level_s, 0.0), (10.0, 3.0), (200.0, 0.0)], interval_s, seed)
    assert [round(turn.degrees / 30.0) for turn in found] == [6, 1]
    # the rolls reach half their time into the level flight on either side
    assert found[0].end_s == pytest.approx(360.0 + 0.5 * ROLL_S, abs=EDGE_S)
    assert found[1].start_s == pytest.approx(360.0 + level_s - 0.5 * ROLL_S, abs=EDGE_S)


@pytest.mark.parametrize("interval_s", [1.0, 3.0, 5.0])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_turn_flown_in_one_go_stays_one(interval_s: float, seed: int):
    assert len(turns_of([(300.0, 0.0), (70.0, 3.0), (200.0, 0.0)], interval_s, seed)) == 1


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_change_of_bank_in_a_coarsely_recorded_turn_does_not_cut_it(seed: int):
    assert len(turns_of([(300.0, 0.0), (40.0, 3.0), (40.0, 2.0), (200.0, 0.0)], 5.0, seed)) == 1
