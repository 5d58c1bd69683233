"""Straight flight and turns, told apart in motions made by hand."""

from itertools import pairwise, product

import numpy as np
import pytest

from analyzer.flown.turns.air_motion import AirMotion, air_motion
from analyzer.flown.turns.turn_states import _best_path, _most_likely, rough_turns, turn_states
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


def _brute(evidence: np.ndarray, cost: float) -> tuple[int, ...]:
    """The best of all sequences of three states, each change costing the same, from straight flight at the start."""

    def worth(path: tuple[int, ...]) -> float:
        changes = sum(a != b for a, b in pairwise((1, *path)))
        return float(sum(evidence[row, state] for row, state in enumerate(path)) - cost * changes)

    return max(product(range(3), repeat=len(evidence)), key=worth)


@pytest.mark.parametrize("seed", range(12))
def test_the_most_likely_sequence_is_the_best_of_all(seed: int) -> None:
    evidence = np.random.default_rng(seed).normal(0.0, 4.0, (8, 3))
    assert tuple(_most_likely(evidence, 3.0).tolist()) == _brute(evidence, 3.0)
    assert tuple(_best_path(evidence, 3.0).tolist()) == _brute(evidence, 3.0)


def test_a_turn_inside_a_gap_is_12_degrees_of_heading_and_lasts_as_standard_rate_does() -> None:
    """Straight on both sides, 100 to 160 s unseen. 30 degrees take 10 s and 2 s of rolling about their middle."""
    for degrees, turns in ((13.0, 1), (11.0, 0), (30.0, 1), (-30.0, 1)):
        air = _with_gap(degrees)
        found = turn_states(air)
        assert bool(np.any(found)) is bool(turns)
        if abs(degrees) == 30.0:
            at = air.time_s[found != 0]
            assert set(found[found != 0].tolist()) == {1 if degrees > 0 else -1}
            assert (at[0], at[-1]) == pytest.approx((124.0, 136.0), abs=1.0)


def _with_gap(degrees: float) -> AirMotion:
    time = np.arange(0.0, 260.0, 0.5)
    gap = (time > 100.0) & (time < 160.0)
    heading = np.interp(time, [100.0, 160.0], [180.0, 180.0 + degrees])
    ones = np.ones(len(time))
    return AirMotion(
        time, heading, np.gradient(heading, time), 0.1 * ones, 0.3 * ones, 60.0 * ones, "ground track", 0.0, 0.0, gap
    )


@pytest.mark.parametrize(("rate_deg_s", "is_turn"), [(0.62, False), (1.0, True), (16.0, True)])
def test_what_is_slower_than_8_tenths_of_a_degree_a_second_is_no_turn(rate_deg_s: float, is_turn: bool) -> None:
    """For 40 s, without noise; the steepest turn of a light aeroplane is one as well."""
    degrees = rate_deg_s * 40.0
    assert bool(np.any(states([(60.0, 0.0), (40.0, degrees), (60.0, 0.0)]))) is is_turn


def test_what_does_not_move_turns_nowhere() -> None:
    """The heading of what is slower than 5 m/s all the way is noise."""
    for speed, count in ((4.9, 0), (5.2, 1)):
        motion, _ = flown([(60.0, 0.0), (30.0, 90.0), (60.0, 0.0)], speed_mps=speed)
        assert len(rough_turns(air_motion(motion, FRAME, None))) == count


@pytest.mark.parametrize(("degrees", "count"), [(9.5, 1), (6.5, 0)])
def test_a_rough_turn_has_8_degrees(degrees: float, count: int) -> None:
    motion, _ = flown([(60.0, 0.0), (degrees / 3.0, degrees), (60.0, 0.0)])
    assert len(rough_turns(air_motion(motion, FRAME, None))) == count


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_turn_that_ends_in_a_gap_ends_where_its_rate_would_have_it(side: float) -> None:
    """3 degrees a second from 60 s on; nothing is seen from 75 to 135 s; 90 degrees in all: it ended at 90 s."""
    time = np.arange(0.0, 200.0, 0.5)
    gap = (time > 75.0) & (time < 135.0)
    true = 180.0 + side * np.interp(time, [60.0, 90.0], [0.0, 90.0])
    bridged = np.where(gap, np.interp(time, [75.0, 135.0], [180.0 + side * 45.0, 180.0 + side * 90.0]), true)
    ones = np.ones(len(time))
    air = AirMotion(time, bridged, np.gradient(bridged, time), 0.1 * ones, 0.3 * ones, 60.0 * ones, "ground track",
                    0.0, 0.0, gap)  # fmt: skip
    start_s, end_s, degrees = rough_turns(air)[0]
    assert start_s == pytest.approx(60.0, abs=1.5)
    assert end_s == pytest.approx(90.0, abs=2.0)
    assert degrees * side > 45.0
