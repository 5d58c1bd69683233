"""Straight flight and turns, told apart in motions made by hand."""

import numpy as np
import pytest

from analyzer.flown.turns.air_motion import air_motion
from analyzer.flown.turns.turn_states import rough_turns, turn_states
from analyzer.given import Frame
from tests.hand_flown import INBOUND_TRUE_DEG, flown

FRAME = Frame(46.2, -101.5, INBOUND_TRUE_DEG)


def states(pieces: list[tuple[float, float]]) -> np.ndarray:
    motion, _ = flown(pieces)
    return turn_states(air_motion(motion, FRAME, None))


def test_a_turn_is_where_it_is_flown_and_has_its_side():
    found = states([(60.0, 0.0), (30.0, 90.0), (60.0, 0.0), (30.0, -90.0), (60.0, 0.0)])  # a moment every 0.5 s
    assert set(found[:112].tolist()) == {0}
    assert set(found[128:172].tolist()) == {1}
    assert set(found[188:292].tolist()) == {0}
    assert set(found[308:352].tolist()) == {-1}


@pytest.mark.parametrize(("degrees", "turns"), [(14.0, 0), (17.0, 1), (-14.0, 0), (-17.0, 1)])
def test_a_change_of_heading_under_15_degrees_is_no_turn(degrees: float, turns: int):
    motion, _ = flown([(60.0, 0.0), (abs(degrees) / 3.0, degrees), (60.0, 0.0)])
    found = [one for one in rough_turns(air_motion(motion, FRAME, None)) if abs(one[2]) >= 15.0]
    assert len(found) == turns


def test_half_of_standard_rate_is_a_turn_and_a_wandering_heading_is_none():
    assert np.count_nonzero(states([(60.0, 0.0), (60.0, 90.0), (60.0, 0.0)])) > 100
    wandering = [piece for _ in range(12) for piece in ((8.0, 3.0), (8.0, -3.0))]
    assert np.count_nonzero(states(wandering)) == 0


def test_no_motion_has_no_states():
    motion, _ = flown([(10.0, 0.0)])
    air = air_motion(motion, FRAME, None)
    assert len(turn_states(air)) == len(motion)
