"""By what a turn is told to have been level for a moment: drops of its rate, and the evidence of two fits, by bounds.

A turn of 3 degrees a second from 0 to 60 s. What is asked of the evidence are own choices, see `SplitSettings`.
"""

import numpy as np
import pytest

from analyzer.flown.turns.air_motion import AirMotion
from analyzer.flown.turns.level_splits import _Dip, _dips, _drops, _halves, split_at_level
from analyzer.flown.turns.roll_fit import Edge, FittedEdge
from analyzer.flown.turns.roll_model import Positions, Window

TIME = np.arange(0.0, 60.25, 0.5)
TURN = (0.0, 60.0, 180.0)


def with_dip(part: float, *at_s: float, width_s: float = 2.0) -> np.ndarray:
    """A steady rate of 3 degrees a second that falls to this part of it at moments, back within so many seconds."""
    rate = np.full(len(TIME), 3.0)
    for at in at_s:
        rate = np.minimum(rate, 3.0 * (part + (1.0 - part) * np.clip(np.abs(TIME - at) / width_s, 0.0, 1.0)))
    return rate


def air_of(rate: np.ndarray, time: np.ndarray = TIME) -> AirMotion:
    step = float(time[1] - time[0])
    heading = np.concatenate([[0.0], np.cumsum(0.5 * (rate[1:] + rate[:-1]) * step)])
    ones = np.ones(len(time))
    return AirMotion(time, heading, rate, 0.1 * ones, 0.5 * ones, 60.0 * ones, "air heading", 0.0, 0.0, ones > 2.0)


@pytest.mark.parametrize(("part", "found"), [(0.49, [30.0]), (0.51, [])])
def test_a_dip_falls_below_a_part_of_the_rate_on_both_sides(part: float, found: list[float]) -> None:
    assert _drops(with_dip(part, 30.0), TIME, 0.5) == found


@pytest.mark.parametrize(("apart_s", "count"), [(4.5, 2), (4.0, 1)])
def test_two_dips_within_4_seconds_are_one(apart_s: float, count: int) -> None:
    assert len(_drops(with_dip(0.1, 30.0, 30.0 + apart_s, width_s=1.0), TIME, 0.5)) == count


@pytest.mark.parametrize(("part", "count"), [(0.66, 1), (0.70, 0)])
def test_a_step_falls_to_less_than_68_hundredths(part: float, count: int) -> None:
    """Steadily within 4 s: the drop is seen where the rate passes the middle between both."""
    rate = 3.0 * np.interp(TIME, [28.0, 32.0], [1.0, part])
    found = _drops(rate, TIME, 0.1)
    assert len(found) == count
    if count:
        assert found[0] == pytest.approx(30.0, abs=1.0)
    assert len(_drops(rate[::-1], TIME, 0.1)) == count


@pytest.mark.parametrize(("at_s", "count"), [(5.5, 1), (2.0, 0)])
def test_what_lies_within_5_seconds_of_an_end_is_not_looked_at(at_s: float, count: int) -> None:
    assert len(_drops(with_dip(0.1, at_s), TIME, 0.5)) == count


def positions(interval_s: float = 1.0, last_s: float = 60.0) -> Positions:
    time = np.arange(0.0, last_s + 0.1, interval_s)
    return Positions(time, np.zeros((2, len(time))), interval_s)


@pytest.mark.parametrize(("end_s", "count"), [(14.5, 1), (13.5, 0)])
def test_a_turn_of_less_than_14_seconds_is_not_looked_into(end_s: float, count: int) -> None:
    air = air_of(with_dip(0.1, 7.0))
    assert len(_dips(air, positions(), 2.0, 0, (0.0, end_s, 3.0 * end_s))) == count


def test_the_rates_before_and_after_are_read_from_2_to_11_seconds_off() -> None:
    """3 degrees a second before the drop at 30 s and 1.5 after it; a left turn has its signs."""
    rate = 3.0 * np.interp(TIME, [28.0, 32.0], [1.0, 0.5])
    (dip,) = _dips(air_of(rate), positions(), 2.0, 4, TURN)
    assert (dip.turn, dip.before, dip.after) == (4, pytest.approx(3.0), pytest.approx(1.5))
    assert (dip.steady.start_s, dip.steady.end_s, dip.steady.rate_after, dip.steady.steady_before) == (
        pytest.approx(30.0, abs=1.0), None, pytest.approx(-1.5), pytest.approx(3.0),
    )  # fmt: skip
    assert dip.dip.start_s - dip.dip.end_s == pytest.approx(1.0)  # type: ignore[operator]
    (left,) = _dips(air_of(-rate), positions(), 2.0, 4, (0.0, 60.0, -180.0))
    assert (left.before, left.after) == (pytest.approx(-3.0), pytest.approx(-1.5))


def test_a_coarse_record_is_tried_with_nine_seconds_of_level_flight_as_well() -> None:
    air = air_of(with_dip(0.8, 30.0))
    lengths = [dip.dip.start_s - dip.dip.end_s for dip in _dips(air, positions(3.0), 2.0, 0, TURN)]  # type: ignore[operator]
    assert lengths == pytest.approx([1.0, 9.0])
    assert _dips(air, positions(2.0), 2.0, 0, TURN) == []


def fitted(cost: float, end_s: float = 29.0, start_s: float = 32.0) -> FittedEdge:
    return FittedEdge(Edge(end_s, start_s), cost, np.zeros(11))


def parted(gain: float, level_s: float = 3.0, interval_s: float = 1.0, rates: tuple[float, float] = (3.0, 3.0),
           end_s: float = 29.0, rows: int = 20, left: float = 10.0) -> bool:  # fmt: skip
    """Whether a turn is cut where the fit with level flight is better by so much."""
    some = Window(np.arange(float(rows)), np.zeros((2, rows)), None, 30.0, 0.0, 3.0)
    dip = _Dip(0, *rates, some, some)
    found = _halves(
        air_of(with_dip(0.1, 30.0)), interval_s, TURN, dip, fitted(left + gain), fitted(left, end_s, end_s + level_s)
    )
    return found is not None


@pytest.mark.parametrize(
    ("gain", "level_s", "cut"), [(7.1, 2.6, True), (6.9, 2.6, False), (20.1, 2.4, True), (19.9, 2.4, False)]
)
def test_seconds_of_level_flight_need_less_evidence_than_a_dip(gain: float, level_s: float, cut: bool) -> None:
    """The squared misfit falls by 7, or by 20 where level flight lasted no longer than 2.5 s."""
    assert parted(gain, level_s) is cut


@pytest.mark.parametrize(("interval_s", "cut"), [(1.2, True), (1.4, False)])
def test_a_dip_between_positions_13_tenths_of_a_second_apart_can_t_be_seen(interval_s: float, cut: bool) -> None:
    assert parted(30.0, 2.0, interval_s) is cut
    assert parted(30.0, 3.0, interval_s)


@pytest.mark.parametrize(("after", "cut"), [(1.25, True), (1.27, False)])
def test_a_rate_under_42_hundredths_of_the_turns_own_is_a_correction(after: float, cut: bool) -> None:
    """Of 3 degrees a second: 1.26. It is a turn of its own without more evidence."""
    assert parted(0.0, 2.0, 1.0, (3.0, after)) is cut


@pytest.mark.parametrize(("end_s", "cut"), [(3.1, True), (2.9, False), (53.9, True), (54.1, False)])
def test_level_flight_within_3_seconds_of_an_end_is_the_roll_itself(end_s: float, cut: bool) -> None:
    """3 s of level flight: to 57 s at the latest."""
    assert parted(30.0, 3.0, end_s=end_s) is cut


@pytest.mark.parametrize(
    ("gain", "left", "cut"),
    [(16.1, 20.0, True), (15.9, 20.0, False), (128.0, 231.0, True), (127.0, 231.0, False), (900.0, 233.0, False)],
)
def test_a_coarse_record_needs_16_and_in_proportion_to_what_misfit_is_left(gain: float, left: float, cut: bool) -> None:
    """20 positions are 40 values less 11: 29. 231 left are 7.97 each: 127.4 are needed; from 8 on nothing does."""
    assert parted(gain, 3.0, 3.0, left=left) is cut


def test_the_two_parts_leave_half_a_second_at_the_level_flight() -> None:
    some = Window(np.arange(20.0), np.zeros((2, 20)), None, 30.0, 0.0, 3.0)
    air = air_of(np.full(len(TIME), 3.0))
    found = _halves(air, 1.0, TURN, _Dip(0, 3.0, 3.0, some, some), fitted(50.0), fitted(10.0))
    assert found is not None
    assert found[0] == pytest.approx((0.0, 28.5, 87.0))
    assert found[1] == pytest.approx((32.5, 60.0, 84.0))


def test_a_record_of_one_position_in_6_seconds_is_not_looked_into() -> None:
    air = air_of(with_dip(0.1, 30.0))
    assert split_at_level(air, positions(6.0), 2.0, [TURN]) == [TURN]
