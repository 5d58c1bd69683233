"""Racetrack, teardrop or neither: just on either side of where two of their costs are equal, worked out by hand.

A leg x degrees off its pattern costs (x/7)^2/2; where it begins tells 0.4 at most; neither costs 6. A turn of about
180 degrees at the fix speaks for a racetrack (1.5, and 4 more where it carries the leg off the fix), one of under 75
against it (1.5). Turns of 3 deg/s at 60 m/s: a radius of 1,146 m. The manoeuvre side is right of the outbound course.
"""

import pytest

from analyzer.flown.reversals.circuits import Circuit
from analyzer.flown.reversals.fix_passes import Pass
from analyzer.flown.reversals.method import name_method
from analyzer.flown.reversals.turn_roles import TurnRoles
from analyzer.flown.turns.air_motion import air_motion
from analyzer.given import Procedure, frame_of
from tests.flown.test_turn_roles import HOLD, TEARDROP, Piece, level, turned
from tests.hand_flown import flown, procedure, turn


def named(at_fix_deg: float, leg_deg: float, asked: "Procedure | None" = None, leg_s: float = 90.0) -> tuple[str, str]:
    """The name of a turn at the fix (right positive), a leg so far off the course towards the side, and a turn back."""
    asked = asked or procedure()
    heading_deg = 180.0 + leg_deg
    pieces: list[Piece] = [*([turned(at_fix_deg)] if at_fix_deg else []), level(leg_s), turned(-180.0), level(60.0)]
    motion, ends = flown(pieces, track_deg=heading_deg - at_fix_deg)
    first = turn(0.0, ends[0], at_fix_deg) if at_fix_deg else None
    back = turn(ends[-3], ends[-2], -180.0)
    circuit = Circuit(Pass(0.0, 0.0, 0.0, 0.0), Pass(ends[-1], 0.0, 0.0, 0.0), ends[-1])
    name, words = name_method(
        circuit, TurnRoles(first, None, back, (), ()), motion, air_motion(motion, frame_of(asked), None), asked
    )
    return name, words[0]


@pytest.mark.parametrize(
    ("at_fix_deg", "leg_deg", "name"),
    [
        (-180.0, 0.0, "racetrack"),
        # away from the side: (x/7)^2/2 = 6 at 24.2 degrees
        (-203.5, -23.5, "racetrack"),
        (-205.0, -25.0, "other"),
        # towards it: a teardrop that is carried off costs 1.5 + 4 + 0.4 = 5.9, reached by a racetrack at 24.05 degrees
        (-157.0, 23.0, "racetrack"),
        (-154.5, 25.5, "teardrop"),
        # straight out from the fix: (x/7)^2/2 + 0.4 = ((14-x)/7)^2/2 - 1.5 at 0.35 degrees
        (0.0, -1.0, "racetrack"),
        (0.0, 1.7, "teardrop"),
        # ((x-40)/7)^2/2 - 1.5 = 6 at 67.1 degrees
        (0.0, 66.0, "teardrop"),
        (0.0, 68.5, "other"),
        # 5 degrees: 0.26 + 0.4 against 0.83, less 1.5 where the turn at the fix has under 75 degrees
        (-74.0, 5.0, "teardrop"),
        (-76.0, 5.0, "racetrack"),
    ],
)
def test_the_cheaper_name_wins(at_fix_deg: float, leg_deg: float, name: str) -> None:
    assert named(at_fix_deg, leg_deg)[0] == name


@pytest.mark.parametrize(("leg_deg", "name"), [(24.0, "teardrop"), (-12.5, "teardrop"), (-14.5, "racetrack")])
def test_anything_but_a_charted_teardrop_needs_much_evidence(leg_deg: float, name: str) -> None:
    """24 degrees charted: ((x-24)/7)^2/2 = (x/7)^2/2 + 0.4 + 12 at 13.3 degrees to the other side."""
    assert named(0.0, leg_deg, TEARDROP)[0] == name


@pytest.mark.parametrize(
    ("leg_s", "asked", "name"),
    [(7.5, procedure(), "other"), (8.5, procedure(), "racetrack"), (7.5, TEARDROP, "teardrop")],
)
def test_a_leg_of_less_than_8_seconds_names_nothing(leg_s: float, asked: Procedure, name: str) -> None:
    found, words = named(-180.0, 0.0, asked, leg_s)
    assert found == name
    assert ("too short" in words) is (leg_s < 8.0)


def test_what_is_flown_out_from_a_holding_fix_is_a_hold() -> None:
    assert named(-180.0, 0.0, HOLD)[0] == "hold"


@pytest.mark.parametrize(("leg_deg", "words"), [(12.0, "12 deg towards"), (-9.0, "9 deg away from")])
def test_the_evidence_tells_the_leg_and_the_turn(leg_deg: float, words: str) -> None:
    """A half circle of 1,146 m beside the course: 2,292 m less 50 for the 12 degrees, 1.2 NM."""
    said = named(-180.0 + leg_deg, leg_deg)[1]
    assert f"headed {words} the manoeuvre side" in said
    assert "1.2 NM beside the course" in said
    assert "one turn of 180 deg" in said
