"""Which entry of a hold was flown: on both sides of where two costs are equal, worked out by hand.

A right-hand hold in still air. A leg x degrees off its pattern costs (x/7)^2/2: the reciprocal for a direct entry, 30
degrees towards the holding side for a teardrop; the entry that the sector does not give costs 2 more.
"""

import pytest

from analyzer.flown.reversals.circuits import Circuit
from analyzer.flown.reversals.entry import EntryReading, read_entry
from analyzer.flown.reversals.fix_passes import Pass
from analyzer.flown.reversals.turn_roles import TurnRoles
from analyzer.flown.turns.air_motion import air_motion
from analyzer.given import frame_of
from tests.flown.test_turn_roles import HOLD, Piece, level, turned
from tests.hand_flown import flown, turn

ARRIVAL = {"direct": 0.0, "teardrop": 145.0, "parallel": -120.0}  # relative to the inbound course


def entered(
    arrival: str, leg_deg: float, back_deg: "float | None" = 180.0, leg_s: float = 60.0, next_turns: int = 1
) -> EntryReading:
    """Over the fix at 40 s, a turn onto the leg (relative heading), the leg, a turn back right (or the track's end)."""
    start = ARRIVAL[arrival]
    at_fix = (leg_deg - start + 180.0) % 360.0 - 180.0
    if arrival == "direct":
        at_fix = leg_deg - start  # to the right, the way of the hold
    pieces: list[Piece] = [level(40.0), turned(at_fix), level(leg_s)]
    pieces += [] if back_deg is None else [turned(back_deg), level(60.0)]
    motion, ends = flown(pieces, track_deg=start)
    back = None if back_deg is None else turn(ends[2], ends[3], back_deg)
    last = None if back is None else Pass(ends[-1], 0.0, 0.0, 0.0)
    roles = TurnRoles(turn(ends[0], ends[1], at_fix), None, back, (), ())
    air = air_motion(motion, frame_of(HOLD), None)
    return read_entry(Circuit(Pass(40.0, 0.0, 0.0, 0.0), last, ends[-1]), roles, motion, air, HOLD, next_turns)


@pytest.mark.parametrize(
    ("arrival", "leg_deg", "entry"),
    [
        ("direct", 180.0, "direct"),
        ("teardrop", 150.0, "teardrop"),
        # expected direct: x^2/98 = (x-30)^2/98 + 2 at 18.3 degrees towards the holding side
        ("direct", 162.5, "direct"),
        ("direct", 161.0, "teardrop"),
        # expected teardrop: 11.7
        ("teardrop", 169.0, "direct"),
        ("teardrop", 167.5, "teardrop"),
        # expected neither: 15
        ("parallel", 165.7, "direct"),
        ("parallel", 164.3, "teardrop"),
    ],
)
def test_direct_or_teardrop(arrival: str, leg_deg: float, entry: str) -> None:
    found = entered(arrival, leg_deg)
    assert (found.expected, found.flown) == (arrival, entry)


@pytest.mark.parametrize(("leg_s", "named"), [(4.5, True), (3.5, False)])
def test_a_leg_of_4_seconds_names_the_entry(leg_s: float, named: bool) -> None:
    assert (entered("direct", 180.0, leg_s=leg_s).flown is not None) is named


def test_turned_back_against_the_hold_it_is_a_parallel_entry() -> None:
    found = entered("parallel", 180.0, -230.0)
    assert found.flown == "parallel"
    assert "Turned back 230 deg against the direction of the hold" in found.evidence[0]


@pytest.mark.parametrize(
    ("at_fix_deg", "next_turns", "back_deg", "entry"),
    [
        (-101.0, -1, -210.0, "direct"),  # a hold flown the wrong way round, lap after lap
        (-99.0, -1, -210.0, "parallel"),
        (-150.0, 1, -210.0, "parallel"),  # the next lap the right way
        (-150.0, 0, -204.0, "direct"),  # a single circuit back onto the course
        (-150.0, 0, -206.0, "parallel"),  # or through it
    ],
)
def test_the_wrong_way_round_is_no_parallel_entry(
    at_fix_deg: float, next_turns: int, back_deg: float, entry: str
) -> None:
    """From the inbound course, against the hold at the fix by 100 degrees and more, and back the same way."""
    pieces = [level(40.0), turned(at_fix_deg), level(60.0), turned(back_deg), level(60.0)]
    motion, ends = flown(pieces, track_deg=0.0)
    roles = TurnRoles(turn(ends[0], ends[1], at_fix_deg), None, turn(ends[2], ends[3], back_deg), (), ())
    circuit = Circuit(Pass(40.0, 0.0, 0.0, 0.0), Pass(ends[-1], 0.0, 0.0, 0.0), ends[-1])
    found = read_entry(circuit, roles, motion, air_motion(motion, frame_of(HOLD), None), HOLD, next_turns)
    assert found.expected == "direct"
    assert found.flown == entry


def test_the_arrivals_track_is_the_mean_of_the_30_seconds_before_the_fix() -> None:
    """20 degrees to the right 15 s before the fix: half of it, 135 true."""
    pieces = [level(60.0), (1.0, 20.0), level(14.0), turned(160.0), level(60.0), turned(180.0), level(60.0)]
    motion, ends = flown(pieces, track_deg=0.0)
    roles = TurnRoles(turn(ends[2], ends[3], 160.0), None, turn(ends[4], ends[5], 180.0), (), ())
    circuit = Circuit(Pass(75.0, 0.0, 0.0, 0.0), Pass(ends[-1], 0.0, 0.0, 0.0), ends[-1])
    found = read_entry(circuit, roles, motion, air_motion(motion, frame_of(HOLD), None), HOLD, 1)
    assert found.arrival_track_true_deg == pytest.approx(135.0, abs=0.7)


@pytest.mark.parametrize(("off_deg", "entry"), [(0.0, "parallel"), (-28.0, "teardrop")])
def test_a_track_that_ends_on_the_leg_shows_the_entry_by_its_heading_and_side(off_deg: float, entry: str) -> None:
    """From the parallel sector, where a parallel entry is expected.

    28 degrees towards the holding side are (28/12)^2/2 = 2.7 for it, and more for its side, against 2 for a teardrop.
    """
    assert entered("parallel", 180.0 + off_deg, None).flown == entry
