"""The light re-flight by geometry: 60 m/s, 3 degrees a second (a radius of 1145.92 m), 3.5 s of rolling for each turn.

Headings are relative to the inbound course, 180 is outbound: along grows outbound, cross to the right of the inbound
course. Rolling is straight flight for 1.75 s before and after.
"""

import math
from dataclasses import replace

import pytest

from analyzer.judged.causes.reflight import (
    Piece,
    Reflight,
    Straight,
    Turn,
    corners,
    fly,
    parallel_point,
    reversal_number,
    rolled_out,
    to_parallel,
    turn_displacement_m,
    turned_m,
)

TAS, RADIUS_M, ROLL_M = 60.0, 1145.916, 105.0  # 60 m/s for 1.75 s
HALF = Turn("reversal turn", 180.0, 180.0, 3.0, TAS)
QUARTER = Turn("reversal turn", 180.0, 90.0, 3.0, TAS)


def circuit(
    *pieces: Piece, wind: tuple[float, float] = (0.0, 0.0), start: tuple[float, float] = (0.0, 0.0)
) -> Reflight:
    return Reflight(100.0, *start, pieces, *wind)


def straight(seconds: float, heading_deg: float = 180.0, **more: object) -> Straight:
    return Straight("outbound", seconds, heading_deg, TAS, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("heading_deg", "wind", "end"),
    [
        (180.0, (0.0, 0.0), (6000.0, 0.0)),
        (0.0, (0.0, 0.0), (-6000.0, 0.0)),
        (90.0, (0.0, 0.0), (0.0, 6000.0)),
        (180.0, (5.0, -3.0), (6500.0, -300.0)),
    ],
)
def test_a_hundred_seconds_straight(heading_deg: float, wind: tuple[float, float], end: tuple[float, float]) -> None:
    assert corners(circuit(straight(100.0, heading_deg), wind=wind))[-1] == pytest.approx(end, abs=1e-6)


@pytest.mark.parametrize(
    ("turn", "wind", "moved"),
    [
        (HALF, (0.0, 0.0), (0.0, -2.0 * RADIUS_M)),
        (replace(HALF, degrees=-180.0), (0.0, 0.0), (0.0, 2.0 * RADIUS_M)),
        (QUARTER, (0.0, 0.0), (RADIUS_M + ROLL_M, -RADIUS_M - ROLL_M)),
        (replace(QUARTER, degrees=-90.0), (0.0, 0.0), (RADIUS_M + ROLL_M, RADIUS_M + ROLL_M)),
        # 60 s of turning and 3.5 of rolling in the wind
        (HALF, (2.0, 1.0), (127.0, 63.5 - 2.0 * RADIUS_M)),
        # 10 s more on the last heading, to the left of the inbound course, in the wind as well
        (replace(QUARTER, then_s=10.0), (0.0, 1.0), (RADIUS_M + ROLL_M, -RADIUS_M - ROLL_M - 600.0 + 43.5)),
        (replace(HALF, residual_m=(30.0, -40.0)), (0.0, 0.0), (30.0, -2.0 * RADIUS_M - 40.0)),
    ],
)
def test_a_turn_moves_by_its_radius_and_its_rolling(
    turn: Turn, wind: tuple[float, float], moved: tuple[float, float]
) -> None:
    flown = circuit(turn, wind=wind)
    assert turn_displacement_m(flown, turn) == pytest.approx(moved, abs=0.01)
    if not turn.then_s:
        time, along, cross = turned_m(flown, turn)
        assert (along[-1], cross[-1]) == pytest.approx(moved, abs=0.01)
        assert time[-1] == pytest.approx(turn.duration_s)


def test_with_the_bank_still_on_the_roll_out_is_missing() -> None:
    """A quarter: 1.75 s on the last heading, which goes across, are not flown yet; nor is the wind's part of them."""
    flown = circuit(QUARTER, wind=(4.0, 0.0))
    whole, banked = (turn_displacement_m(flown, QUARTER, rolled_out=out) for out in (True, False))
    assert whole[0] - banked[0] == pytest.approx(7.0)
    assert whole[1] - banked[1] == pytest.approx(-ROLL_M)


def test_a_turn_lasts_as_long_as_its_degrees_its_rolling_and_what_follows() -> None:
    assert HALF.duration_s == pytest.approx(63.5)
    assert replace(QUARTER, degrees=-90.0, then_s=4.0).duration_s == pytest.approx(37.5)


def test_the_path_of_a_turn_is_an_arc() -> None:
    """Half way, at 31.75 s, a half turn is a radius out and a radius to the side; its length is 63.5 s at 60 m/s."""
    path = fly(circuit(HALF))
    middle = int((abs(path.time_s - 131.75)).argmin())
    assert path.time_s[0] == 100.0
    assert path.time_s[-1] == pytest.approx(163.5)
    assert path.along_m[middle] == pytest.approx(RADIUS_M + ROLL_M, abs=3.0)
    assert path.cross_m[middle] == pytest.approx(-RADIUS_M, abs=60.0)
    assert path.length_m == pytest.approx(3810.0, rel=1e-3)
    assert all(abs(math.hypot(a - ROLL_M, c + RADIUS_M) - RADIUS_M) < 0.1
               for t, a, c in zip(path.time_s - 100.0, path.along_m, path.cross_m, strict=True)
               if 1.75 <= t <= 61.75)  # fmt: skip


def test_pieces_follow_each_other() -> None:
    """Out for 60 s, round, back for 30 s: a racetrack's shape; a point at least every 2 s."""
    path = fly(circuit(straight(60.0), HALF, straight(30.0, 0.0), start=(50.0, 20.0)))
    assert path.starts == (
        pytest.approx((50.0, 20.0)),
        pytest.approx((3650.0, 20.0)),
        pytest.approx((3650.0, 20.0 - 2.0 * RADIUS_M), abs=0.01),
    )
    assert path.ends[-1] == pytest.approx((1850.0, 20.0 - 2.0 * RADIUS_M), abs=0.01)
    assert (path.along_m[-1], path.cross_m[-1]) == pytest.approx(path.ends[-1])
    assert path.time_s[-1] == pytest.approx(100.0 + 60.0 + 63.5 + 30.0)
    steps = path.time_s[1:] - path.time_s[:-1]
    assert 1.5 < steps.min() <= steps.max() <= 2.0 + 1e-9


@pytest.mark.parametrize(
    ("wind", "track_deg", "heading_deg"),
    [
        ((0.0, 6.0), 0.0, -5.739),  # asin 0.1
        ((0.0, 6.0), 180.0, 185.739),
        ((6.0, 0.0), 90.0, 90.0 - 5.739),  # blowing outbound, which is to the right of a track to the right
        ((0.0, 61.0), 0.0, 0.0),  # no heading keeps it
    ],
)
def test_the_heading_for_a_track(wind: tuple[float, float], track_deg: float, heading_deg: float) -> None:
    one = circuit(wind=wind)
    assert one.heading_for_track(track_deg, TAS) == pytest.approx(heading_deg, abs=0.001)
    if abs(heading_deg - track_deg) > 1.0:
        along, cross = one.ground_velocity(heading_deg, TAS)
        assert math.degrees(math.atan2(cross, -along)) % 360.0 == pytest.approx(track_deg % 360.0, abs=0.01)


@pytest.mark.parametrize(
    ("until_m", "cross_m"),
    [(500.0, 500.0), (-1500.0, -1000.0), (4399.0, 4399.0), (4401.0, -400.0)],
)
def test_a_straight_goes_on_to_a_distance_from_the_course(until_m: float, cross_m: float) -> None:
    """From 1,000 m left of the course to the right at 60 m/s; 10 s were flown.

    What is behind is not flown to; what takes more than a minute over three times as long (90 s, 5,400 m) is not asked
    for either.
    """
    end = corners(circuit(straight(10.0, 90.0, until_cross_m=until_m), start=(0.0, -1000.0)))[-1]
    assert end == pytest.approx((0.0, cross_m), abs=1e-6)


def test_along_the_course_no_distance_from_it_is_reached() -> None:
    assert corners(circuit(straight(10.0, 180.0, until_cross_m=500.0)))[-1] == pytest.approx((600.0, 0.0), abs=1e-6)


def test_a_straight_ends_where_the_turn_after_it_ends_on_the_course() -> None:
    """45 degrees towards the course; the turn takes R (1 - cos 45) + 105 sin 45 = 409.88 m of the distance."""
    onto = Turn("intercept", 45.0, -45.0, 3.0, TAS)
    one = circuit(straight(10.0, 45.0, to_course=True), onto, start=(8000.0, -2000.0))
    begin = corners(one)[1]
    assert begin[1] == pytest.approx(-409.88, abs=0.05)
    assert begin[0] == pytest.approx(8000.0 - 1590.12, abs=0.05)
    assert parallel_point(one, onto, begin)[1] == pytest.approx(0.0, abs=0.01)


@pytest.mark.parametrize(
    ("line_deg", "wind", "end"),
    [
        (180.0, (0.0, 0.0), (3000.0, 0.0)),
        (180.0, (-10.0, 0.0), (2500.0, 0.0)),
        # 3,000 m along the line from the foot of 0, 300 on it: 150 m further out, so 3,150 m from the fix
        (150.0, (0.0, 0.0), (3150.0 * math.cos(math.radians(30.0)), 3150.0 * 0.5)),
    ],
)
def test_a_straight_that_follows_a_line_ends_on_it(
    line_deg: float, wind: tuple[float, float], end: tuple[float, float]
) -> None:
    one = circuit(straight(50.0, 170.0, line_deg=line_deg), wind=wind, start=(0.0, 300.0))
    assert corners(one)[-1] == pytest.approx(end, abs=0.01)


def test_a_turn_as_far_as_parallel_to_the_course() -> None:
    """In a wind of 6 m/s to the right that is 5.739 degrees before the course: 174.261 of 180 degrees to the right."""
    one = circuit(HALF, wind=(0.0, 6.0))
    assert to_parallel(one, HALF).degrees == pytest.approx(174.261, abs=0.001)
    assert to_parallel(one, replace(HALF, degrees=-10.0)).degrees == pytest.approx(-185.739, abs=0.001)


def test_the_largest_part_of_the_reversal_turn_is_the_one_that_counts() -> None:
    small, large = replace(HALF, degrees=40.0), replace(HALF, start_deg=220.0, degrees=140.0)
    one = circuit(straight(60.0), small, straight(5.0, 220.0), large)
    assert reversal_number(one) == 3
    assert rolled_out(circuit(straight(60.0), HALF)) == pytest.approx((3600.0 + ROLL_M, -2.0 * RADIUS_M), abs=0.01)


def test_a_piece_is_exchanged_and_the_others_stay() -> None:
    one = circuit(straight(60.0), HALF)
    other = one.with_piece(0, straight(30.0))
    assert corners(other)[1] == pytest.approx((1800.0, 0.0), abs=1e-6)
    assert other.pieces[1] is HALF
    assert corners(one)[1] == pytest.approx((3600.0, 0.0), abs=1e-6)
