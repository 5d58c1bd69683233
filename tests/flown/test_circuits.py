"""Which stretches between two passes of the fix are reversals, on paths along the course: 60 m/s, still air.

Room behind the fix: half a mile and 45 s of flight, 926 + 2,700 = 3,626 m. Tracks are along or against the course.
"""

from dataclasses import replace

import numpy as np
import pytest

from analyzer.flown import FlownTurn, Motion
from analyzer.flown.reversals.circuits import Circuit, find_circuits
from analyzer.flown.reversals.fix_passes import Pass
from analyzer.flown.turns.air_motion import AirMotion, air_motion
from analyzer.given import Procedure, frame_of
from analyzer.units import METRES_PER_NM as NM
from tests.hand_flown import motion_of, procedure, turn

HOLD = procedure(reversal="holding")


def path(*corners: tuple[float, float], cross_m: float = 0.0) -> Motion:
    """Along the course through corners of (seconds, nautical miles outbound of the fix)."""
    time = np.arange(corners[0][0], corners[-1][0] + 0.5, 1.0)
    return motion_of(
        time, np.interp(time, [at for at, _ in corners], [nm * NM for _, nm in corners]), cross_m + 0 * time
    )


def air_of(motion: Motion) -> AirMotion:
    return replace(air_motion(motion, frame_of(HOLD), None), speed_mps=np.full(len(motion), 60.0))


def found(
    motion: Motion, passes_s: list[float], turns: tuple[FlownTurn, ...] = (), asked: "Procedure | None" = None
) -> list[list[Circuit]]:
    passed = tuple(Pass(at, 0.0, 0.0, 0.0) for at in passes_s)
    return find_circuits(passed, motion, air_of(motion), turns, asked or procedure())


def count(*given: object, **more: object) -> int:
    return len(found(*given, **more))  # type: ignore[arg-type]


@pytest.mark.parametrize(("out_nm", "circuits"), [(0.52, 1), (0.48, 0)])
def test_a_circuit_goes_out_half_a_mile(out_nm: float, circuits: int) -> None:
    motion = path((0.0, 1.0), (60.0, 0.0), (120.0, out_nm), (200.0, 0.0), (260.0, -1.0))
    assert count(motion, [60.0, 200.0]) == circuits


@pytest.mark.parametrize(("out_s", "circuits"), [(238.0, 1), (243.0, 0)])
def test_it_is_half_a_mile_out_within_four_minutes(out_s: float, circuits: int) -> None:
    motion = path((0.0, 1.0), (60.0, 0.0), (60.0 + out_s - 20.0, 0.1), (60.0 + out_s, 0.51), (400.0, 3.0), (600.0, 0.0),
                  (660.0, -1.0))  # fmt: skip
    assert count(motion, [60.0, 600.0]) == circuits


@pytest.mark.parametrize(("behind_m", "circuits"), [(3600.0, 1), (3660.0, 0)])
def test_before_that_it_stays_within_its_room_behind_the_fix(behind_m: float, circuits: int) -> None:
    """A missed approach goes on beyond it."""
    motion = path(
        (0.0, 2.0), (60.0, 0.0), (120.0, -behind_m / NM), (240.0, 2.0), (300.0, 3.0), (400.0, 0.0), (460.0, -1.0)
    )
    assert count(motion, [60.0, 400.0]) == circuits


def test_the_wind_of_a_turn_makes_the_room_larger() -> None:
    """10 m/s for 90 s: 900 m more, 4,526 m."""
    motion = path(
        (0.0, 2.0), (60.0, 0.0), (120.0, -4400.0 / NM), (240.0, 2.0), (300.0, 3.0), (400.0, 0.0), (460.0, -1.0)
    )
    passed = (Pass(60.0, 0.0, 0.0, 0.0), Pass(400.0, 0.0, 0.0, 0.0))
    for wind_mps, circuits in ((10.0, 1), (8.0, 0)):
        air = replace(air_of(motion), wind_along_mps=0.6 * wind_mps, wind_cross_mps=0.8 * wind_mps)
        assert len(find_circuits(passed, motion, air, (), procedure())) == circuits


@pytest.mark.parametrize(("ends_s", "open_"), [(81.0, True), (79.0, False)])
def test_a_track_that_ends_20_seconds_after_the_fix_has_begun_a_reversal(ends_s: float, open_: bool) -> None:
    """On its way out, not yet half a mile from the fix."""
    motion = path((0.0, 1.0), (60.0, 0.0), (ends_s, 0.4))
    circuits = found(motion, [60.0])
    assert bool(circuits) is open_
    if open_:
        assert circuits[0][0].end is None
        assert circuits[0][0].limit_s == ends_s
    inbound = path((0.0, 1.0), (60.0, 0.0), (ends_s, -0.4))
    assert not found(inbound, [60.0])


@pytest.mark.parametrize(("back_s", "closed"), [(2390.0, True), (2410.0, False)])
def test_out_and_back_takes_40_minutes_at_most(back_s: float, closed: bool) -> None:
    motion = path(
        (0.0, 1.0), (60.0, 0.0), (160.0, 3.0), (60.0 + back_s - 100.0, 3.0), (60.0 + back_s, 0.0), (2600.0, -1.0)
    )
    circuits = found(motion, [60.0, 60.0 + back_s])
    assert (bool(circuits) and circuits[0][0].end is not None) is closed


@pytest.mark.parametrize(("out_nm", "circuits"), [(31.5, 1), (32.5, 0)])
def test_a_circuit_that_closes_goes_out_twice_as_far_as_one_that_is_not_a_departure(
    out_nm: float, circuits: int
) -> None:
    """10 NM charted, 1.6 times that: 16 NM, and twice that where it comes back; in 1,200 s each way."""
    motion = path((0.0, 1.0), (60.0, 0.0), (1200.0, out_nm), (2300.0, 0.0), (2400.0, -1.0))
    assert count(motion, [60.0, 2300.0]) == circuits


@pytest.mark.parametrize(
    ("out_nm", "turn_deg", "circuits"),
    [(15.5, None, 1), (16.5, None, 0), (47.0, 101.0, 1), (47.0, 99.0, 0), (49.0, 101.0, 0)],
)
def test_a_track_that_ends_on_the_way_out_is_a_departure_from_16_miles_on(
    out_nm: float, turn_deg: "float | None", circuits: int
) -> None:
    """Unless it has turned round by 100 degrees; then from three times that on."""
    motion = path((0.0, 1.0), (60.0, 0.0), (1200.0, out_nm))
    turns = () if turn_deg is None else (turn(200.0, 240.0, turn_deg),)
    assert count(motion, [60.0], turns) == circuits


@pytest.mark.parametrize(("start_s", "circuits"), [(76.0, 1), (74.0, 0)])
def test_a_turn_round_begins_15_seconds_after_the_fix(start_s: float, circuits: int) -> None:
    motion = path((0.0, 1.0), (60.0, 0.0), (1200.0, 20.0))
    assert count(motion, [60.0], (turn(start_s, start_s + 50.0, 150.0),)) == circuits


@pytest.mark.parametrize(
    ("outbound_s", "lap_s", "groups"), [(60.0, 422.0, 1), (60.0, 442.0, 2), (120.0, 590.0, 1), (120.0, 610.0, 2)]
)
def test_laps_of_a_hold_follow_each_other_where_none_lasts_too_long(
    outbound_s: float, lap_s: float, groups: int
) -> None:
    """Legs of a minute: 1.8 x (2 x 60 + 120) = 432 s; of two minutes 648 s, but never more than 10 minutes."""

    def lap(start_s: float) -> list[tuple[float, float]]:
        return [(start_s, 0.0), (start_s + 100.0, 3.0), (start_s + lap_s - 100.0, 3.0)]

    corners = [(0.0, 1.0), *lap(60.0), *lap(60.0 + lap_s), (60.0 + 2 * lap_s, 0.0), (1400.0, -1.0)]
    motion = path(*corners)
    passes = [60.0, 60.0 + lap_s, 60.0 + 2.0 * lap_s]
    asked = replace(HOLD, outbound_s=outbound_s)
    assert [len(one) for one in found(motion, passes, asked=asked)] == ([2] if groups == 1 else [1, 1])
    assert [len(one) for one in found(motion, passes)] == [1, 1], (
        "reversals of a procedure turn are attempts of their own"
    )
    # 12 NM legs: 1.5 x (2 x 22,224 / 51.4 + 120) = 1,477 s
    by_distance = replace(HOLD, outbound_m=12 * NM, outbound_s=None)
    assert [len(one) for one in found(motion, passes, asked=by_distance)] == [2]


@pytest.mark.parametrize(
    ("after_s", "off_m", "dropped"), [(190.0, 500.0, True), (210.0, 500.0, False), (190.0, 0.0, False)]
)
def test_a_pass_abeam_on_the_way_out_is_none(after_s: float, off_m: float, dropped: bool) -> None:
    """Within 200 s of the one over the fix, farther from it, before the aircraft is far out, and on the way out.

    A hold entered through the fix: on beyond it, round, abeam it outbound, out 3 NM, back to the fix.
    """
    abeam_s = 60.0 + after_s
    corners = [(0.0, 2.0), (60.0, 0.0), (110.0, -1.0), (abeam_s, 0.0), (abeam_s + 100.0, 3.0), (abeam_s + 200.0, 0.0)]
    motion = path(*corners, (abeam_s + 260.0, -1.0))
    passed = (Pass(60.0, 20.0, 0.0, 0.0), Pass(abeam_s, off_m, 0.0, off_m), Pass(abeam_s + 200.0, 20.0, 0.0, 0.0))
    groups = find_circuits(passed, motion, air_of(motion), (), HOLD)
    assert groups[0][0].start.at_s == (60.0 if dropped else abeam_s)
