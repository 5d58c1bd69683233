"""Which turn is which, on tracks made by hand: each bound with a turn just inside it and one just outside.

Turns are flown at 3 degrees a second in still air. A track is relative to the inbound course: 180 is outbound. The
procedure turn's manoeuvre side is right of the outbound course, so that its reversal turn goes left.
"""

import pytest

from analyzer.flown.reversals.circuits import Circuit
from analyzer.flown.reversals.fix_passes import Pass
from analyzer.flown.reversals.turn_roles import TurnRoles, read_manoeuvre
from analyzer.flown.turns.air_motion import air_motion
from analyzer.given import Procedure, frame_of
from tests.hand_flown import flown, procedure, turn

Piece = tuple[float, float]
HOLD = procedure(reversal="holding", outbound_true_deg=305.0)
TEARDROP = procedure(reversal="teardrop", outbound_true_deg=329.0)


def level(seconds: float) -> Piece:
    return seconds, 0.0


def turned(degrees: float) -> Piece:
    return abs(degrees) / 3.0, degrees


def roles(
    pieces: list[Piece], track_deg: float = 180.0, asked: Procedure | None = None, *, ended: bool = True
) -> TurnRoles:
    """The parts of what is flown from the fix, at 0 s, to the fix again or to the end of the track."""
    asked = asked or procedure()
    motion, ends = flown(pieces, track_deg=track_deg)
    starts = [0.0, *ends[:-1]]
    turns = [turn(start, end, one[1]) for start, end, one in zip(starts, ends, pieces, strict=True) if one[1]]
    last = Pass(ends[-1], 0.0, 0.0, 0.0) if ended else None
    circuit = Circuit(Pass(0.0, 0.0, 0.0, 0.0), last, ends[-1])
    return read_manoeuvre(circuit, tuple(turns), motion, air_motion(motion, frame_of(asked), None), asked)


def degrees_of(found: TurnRoles) -> tuple[float | None, float | None, float | None]:
    """Outbound, offset and reversal turn by their size."""
    named = (found.outbound_turn, found.offset_turn, found.reversal_turn)
    return tuple(None if one is None else round(one.degrees) for one in named)  # type: ignore[return-value]


def test_a_45_180_and_what_is_left_over() -> None:
    """90 s out, 45 right, a minute, 180 left, the intercept, 45 left onto the course; after a turn of 20 on the way."""
    found = roles([turned(-40), level(60), turned(20), level(40), turned(-20), level(30), turned(45), level(60),
                   turned(-180), level(60), turned(-45), level(90)], 220.0)  # fmt: skip
    assert degrees_of(found) == (-40, 45, -180)
    assert [round(one.degrees) for one in found.other_turns] == [20, -20]
    assert [round(one.degrees) for one in found.later_turns] == [-45]


@pytest.mark.parametrize(("start_s", "outbound"), [(19.0, -30), (21.0, None)])
def test_a_turn_at_the_fix_begins_within_20_seconds(start_s: float, outbound: float | None) -> None:
    """Later it is no late turn outbound either: at 15 degrees off the course the aircraft is outbound already."""
    found = roles([level(start_s), turned(-30), level(60), turned(45), level(60), turned(-180), level(90)], 195.0)
    assert degrees_of(found)[0] == outbound


@pytest.mark.parametrize(("start_s", "outbound"), [(69.0, 90), (71.0, None)])
def test_a_late_turn_outbound_begins_within_70_seconds(start_s: float, outbound: float | None) -> None:
    found = roles([level(start_s), turned(90), level(60), turned(45), level(60), turned(-180), level(90)], 90.0)
    assert degrees_of(found) == (outbound, 45, -180)


@pytest.mark.parametrize(("off_deg", "outbound"), [(21.0, 21), (19.0, None)])
def test_a_late_turn_outbound_is_one_where_the_track_was_20_degrees_off(off_deg: float, outbound: float | None) -> None:
    pieces = [level(40), turned(off_deg), level(60), turned(45), level(60), turned(-180), level(90)]
    assert degrees_of(roles(pieces, 180.0 - off_deg)) == (outbound, 45, -180)


@pytest.mark.parametrize(("pause_s", "outbound"), [(11.5, 180), (12.5, 90)])
def test_a_turn_outbound_in_two_pieces_has_less_than_12_seconds_between(pause_s: float, outbound: float) -> None:
    """A hold: 90 degrees right, a pause, 90 right; a minute; 180 right."""
    pieces = [level(3), turned(90), level(pause_s), turned(90), level(60), turned(180), level(60)]
    found = roles(pieces, 0.0, HOLD)
    assert degrees_of(found) == (outbound, None, 180)


@pytest.mark.parametrize(("to_go_deg", "outbound"), [(62, 180), (58, 122)])
def test_the_second_piece_begins_60_degrees_off_the_outbound_course(to_go_deg: float, outbound: float) -> None:
    pieces = [level(3), turned(180 - to_go_deg), level(8), turned(to_go_deg), level(60), turned(180), level(60)]
    assert degrees_of(roles(pieces, 0.0, HOLD)) == (outbound, None, 180)


@pytest.mark.parametrize(("pause_s", "outbound"), [(3.5, 180), (4.5, 140)])
def test_nearer_to_the_course_a_pause_of_4_seconds_ends_the_turn(pause_s: float, outbound: float) -> None:
    pieces = [level(3), turned(140), level(pause_s), turned(40), level(60), turned(180), level(60)]
    assert degrees_of(roles(pieces, 0.0, HOLD)) == (outbound, None, 180)


@pytest.mark.parametrize(("outbound_s", "offset"), [(12.5, 45), (11.5, None)])
def test_an_offset_turn_follows_12_seconds_of_outbound_course(outbound_s: float, offset: float | None) -> None:
    """After a turn left at the fix; sooner, it is a correction of the heading."""
    pieces = [level(5), turned(-60), level(outbound_s), turned(45), level(60), turned(-180), level(90)]
    assert degrees_of(roles(pieces, 240.0)) == (-60, offset, -180)


@pytest.mark.parametrize(
    ("offset_deg", "track_deg", "named"), [(21, 180, True), (19, 180, False), (119, 170, True), (121, 170, False)]
)
def test_an_offset_turn_ends_20_degrees_off_the_course_and_has_120_at_most(
    offset_deg: float, track_deg: float, named: bool
) -> None:
    back_deg = 60 - track_deg - offset_deg  # to 60 degrees before the inbound course
    found = roles([level(90), turned(offset_deg), level(30), turned(back_deg), level(90)], track_deg)
    assert degrees_of(found) == (None, offset_deg if named else None, back_deg)
    assert len(found.other_turns) == (0 if named else 1)


@pytest.mark.parametrize(("off_deg", "named"), [(39, True), (41, False)])
def test_an_offset_turn_begins_within_40_degrees_of_the_outbound_course(off_deg: float, named: bool) -> None:
    found = roles([level(90), turned(30), level(30), turned(-180), level(90)], 180.0 + off_deg)
    assert degrees_of(found) == (None, 30 if named else None, -180)


@pytest.mark.parametrize(("off_deg", "named"), [(-15, True), (-19, False)])
def test_an_offset_turn_ends_farther_off_than_it_began_by_12_degrees(off_deg: float, named: bool) -> None:
    """A turn of 45 right across the outbound course: from 15 left to 30 right it leaves it, from 19 to 26 less so."""
    found = roles([level(90), turned(45), level(30), turned(-180), level(90)], 180.0 + off_deg)
    assert degrees_of(found) == (None, 45 if named else None, -180)


@pytest.mark.parametrize(("leg_s", "named"), [(199, True), (201, False)])
def test_the_reversal_turn_follows_the_offset_turn_within_200_seconds(leg_s: float, named: bool) -> None:
    found = roles([level(60), turned(45), level(leg_s), turned(-180), level(90)])
    assert degrees_of(found) == (None, 45 if named else None, -180)


@pytest.mark.parametrize(("back_deg", "offset"), [(111, 25), (109, None)])
def test_the_turn_back_from_an_offset_leg_has_110_degrees(back_deg: float, offset: float | None) -> None:
    found = roles([level(60), turned(25), level(60), turned(-back_deg), level(90)])
    assert degrees_of(found) == (None, offset, -back_deg)


def test_both_turns_of_a_45_180_go_opposite_ways() -> None:
    found = roles([level(60), turned(45), level(60), turned(225), level(90)])
    assert degrees_of(found) == (None, None, 225)


@pytest.mark.parametrize(("end_deg", "reversal"), [(99, -126), (101, None)])
def test_a_reversal_turn_ends_within_100_degrees_of_the_inbound_course(end_deg: float, reversal: float | None) -> None:
    found = roles([level(60), turned(45), level(60), turned(-(225 - end_deg)), level(90)])
    assert degrees_of(found)[2] == reversal


@pytest.mark.parametrize(("size_deg", "reversal"), [(61, -61), (59, None)])
def test_a_reversal_turn_has_60_degrees(size_deg: float, reversal: float | None) -> None:
    assert degrees_of(roles([level(90), turned(-size_deg), level(90)], 150.0))[2] == reversal


@pytest.mark.parametrize(("from_deg", "reversal"), [(61, -62), (59, None)])
def test_a_reversal_turn_begins_60_degrees_off_the_inbound_course(from_deg: float, reversal: float | None) -> None:
    found = roles([level(90), turned(-62), level(90)], from_deg)
    assert degrees_of(found)[2] == reversal


@pytest.mark.parametrize(("end_s", "reversal"), [(21.0, -62), (19.5, None)])
def test_a_turn_that_ended_20_seconds_after_the_fix_was_the_one_there(end_s: float, reversal: float | None) -> None:
    found = roles([level(end_s - 19.0), (19.0, -62.0), level(120)], 150.0)
    assert degrees_of(found)[2] == reversal


@pytest.mark.parametrize(("pause_s", "reversal"), [(11.5, -180), (12.5, -70)])
def test_a_reversal_turn_in_two_pieces_has_less_than_12_seconds_between(pause_s: float, reversal: float) -> None:
    """From 225 degrees: 110 left to 115, too far off to be the end of a reversal turn, a pause, and 70 more."""
    pieces = [level(60), turned(45), level(60), turned(-110), level(pause_s), turned(-70), level(60)]
    assert degrees_of(roles(pieces))[2] == reversal


def test_of_two_reversal_turns_the_larger_one_counts() -> None:
    pieces = [level(60), turned(-100), level(60), turned(90), level(60), turned(-170), level(60)]
    assert degrees_of(roles(pieces, 190.0))[2] == -170


@pytest.mark.parametrize(("size_deg", "offset", "reversal"), [(-20, 45, -20), (20, None, None)])
def test_a_track_that_ends_in_the_turn_back_has_its_offset_turn_before(
    size_deg: float, offset: float | None, reversal: float | None
) -> None:
    """Twenty degrees of the reversal turn at the end of the track, the other way than the 45 degrees before."""
    found = degrees_of(roles([level(60), turned(45), level(60), turned(size_deg)], ended=False))
    assert found[2] == reversal
    if reversal is not None:
        assert found[1] == offset


@pytest.mark.parametrize(("left_s", "reversal"), [(2.5, -30), (3.5, None)])
def test_a_turn_is_cut_short_by_an_end_of_the_track_within_3_seconds(left_s: float, reversal: float | None) -> None:
    found = degrees_of(roles([level(60), turned(45), level(60), turned(-30), level(left_s)], ended=False))
    assert found[2] == reversal


@pytest.mark.parametrize(("before_deg", "reversal"), [(23, 30), (21, None)])
def test_a_turn_cut_short_that_goes_the_wrong_way_needs_an_offset_turn_of_22_degrees(
    before_deg: float, reversal: float | None
) -> None:
    """On the other side of the course: the offset turn goes left, the turn back right."""
    found = degrees_of(roles([level(60), turned(-before_deg), level(60), turned(30)], ended=False))
    assert found[2] == reversal


@pytest.mark.parametrize(("size_deg", "reversal"), [(101, 101), (99, None)])
def test_a_turn_cut_short_with_100_degrees_is_the_reversal_turn_whichever_way(
    size_deg: float, reversal: float | None
) -> None:
    assert degrees_of(roles([level(90), turned(size_deg)], ended=False))[2] == reversal


@pytest.mark.parametrize(("offset_deg", "start_s", "named"), [(33, 36, True), (31, 36, False), (33, 34, False)])
def test_in_a_hold_an_offset_turn_has_32_degrees_and_comes_35_seconds_after_the_fix(
    offset_deg: float, start_s: float, named: bool
) -> None:
    found = roles([level(start_s), turned(-offset_deg), level(30), turned(180), level(90)], asked=HOLD)
    assert degrees_of(found)[1] == (-offset_deg if named else None)


@pytest.mark.parametrize(
    ("offset_deg", "off_deg", "named"), [(33, 0, True), (31, 0, False), (33, 14, True), (33, 16, False)]
)
def test_with_a_charted_teardrop_an_offset_turn_has_32_degrees_from_near_the_reciprocal(
    offset_deg: float, off_deg: float, named: bool
) -> None:
    """A charted teardrop's leg lies off the course by itself: it begins within 15 degrees of the reciprocal."""
    found = roles([level(60), turned(offset_deg), level(30), turned(-190), level(90)], 180.0 + off_deg, TEARDROP)
    assert degrees_of(found)[1] == (offset_deg if named else None)


@pytest.mark.parametrize(("turn_s", "parts"), [((70.0, 70.0), 2), ((50.0, 90.0), 1)])
def test_a_turn_through_the_fix_is_cut_where_both_parts_have_60_degrees(
    turn_s: tuple[float, float], parts: int
) -> None:
    """A turn of 210 or 150 degrees right runs through the passage at 0 s; 3 degrees a second, so 60 degrees take 20 s.

    The circuit begins with the passage, in the middle of the turn.
    """
    before_deg, after_deg = turn_s
    motion, ends = flown([level(30), turned(before_deg + after_deg), level(60), turned(180), level(60)], track_deg=0.0)
    fix_s = 30.0 + before_deg / 3.0
    turns = (turn(30.0, ends[1], before_deg + after_deg), turn(ends[2], ends[3], 180.0))
    circuit = Circuit(Pass(fix_s, 0.0, 0.0, 0.0), Pass(ends[-1], 0.0, 0.0, 0.0), ends[-1])
    found = read_manoeuvre(circuit, turns, motion, air_motion(motion, frame_of(HOLD), None), HOLD)
    assert found.outbound_turn is not None
    assert found.outbound_turn.start_s == pytest.approx(fix_s if parts == 2 else 30.0, abs=0.1)
