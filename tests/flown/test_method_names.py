"""What an offset turn, the level flight after it and the turn back are named, about half way between both patterns.

The patterns: 45 degrees, a leg, 180 degrees back (AIM 5-4-9 a 1); 80 degrees and 260 back at once (IFH chapter 7).
"""

import pytest

from analyzer.flown.reversals.method import _cheapest, _name_offset
from analyzer.flown.reversals.turn_roles import TurnRoles
from tests.hand_flown import turn


def named(offset_deg: float, pause_s: float, back_deg: "float | None", cut_short: bool = False) -> str:
    first = turn(0.0, abs(offset_deg) / 3.0, offset_deg)
    back = None
    if back_deg is not None:
        start_s = first.end_s + pause_s
        back = turn(start_s, start_s + abs(back_deg) / 3.0, back_deg)
    name, evidence = _name_offset(TurnRoles(None, first, back, (), ()), cut_short)
    assert f"{abs(offset_deg):.0f} deg" in evidence[0]
    return name


@pytest.mark.parametrize(
    ("offset_deg", "pause_s", "back_deg", "name"),
    [
        (45.0, 60.0, -180.0, "45/180"),
        (80.0, 0.0, -260.0, "80/260"),
        (-45.0, 60.0, 180.0, "45/180"),
        (-80.0, 2.0, 260.0, "80/260"),
        (50.0, 25.0, -225.0, "45/180"),  # turned back on to an intercept heading
        (70.0, 3.0, -240.0, "80/260"),
        (60.0, 40.0, -195.0, "45/180"),  # overdone, but a leg was flown
        (60.0, 0.0, -240.0, "80/260"),  # underdone, but turned back at once
    ],
)
def test_a_flight_has_the_name_of_the_pattern_it_is_nearer_to(
    offset_deg: float, pause_s: float, back_deg: float, name: str
) -> None:
    assert named(offset_deg, pause_s, back_deg) == name


@pytest.mark.parametrize(("offset_deg", "name"), [(61.0, "45/180"), (64.0, "80/260")])
def test_without_a_turn_back_the_offset_turn_alone_says_it(offset_deg: float, name: str) -> None:
    assert named(offset_deg, 0.0, None) == name


def test_of_a_turn_back_that_the_track_cuts_short_the_size_says_nothing() -> None:
    assert named(45.0, 60.0, -30.0, cut_short=True) == "45/180"
    assert named(80.0, 1.0, -30.0, cut_short=True) == "80/260"


def test_a_name_near_the_line_says_which_other_it_may_be() -> None:
    """A third as likely is one nat apart."""
    assert _cheapest({"racetrack": 0.5, "teardrop": 4.0, "other": 6.0}, "Seen.") == ("racetrack", ("Seen.",))
    name, words = _cheapest({"racetrack": 1.4, "teardrop": 0.5, "other": 6.0}, "Seen.")
    assert name == "teardrop"
    assert words[1].endswith("it may as well be a racetrack.")
    name, words = _cheapest({"racetrack": 6.2, "teardrop": 9.0, "other": 6.0}, "Seen.")
    assert name == "other"
    assert "one of neither shape" in words[1]
