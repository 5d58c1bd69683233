"""Which turn of a circuit is which: the turn outbound, the offset turn, the reversal turn."""

from dataclasses import dataclass

import numpy as np

from analyzer.flown.attempt import FlownTurn
from analyzer.flown.motion.motion import Motion
from analyzer.flown.reversals.circuits import Circuit
from analyzer.flown.turns.air_motion import AirMotion
from analyzer.flown.turns.roll_edges import flown_turn
from analyzer.flown.turns.turn_states import LEAST_TURN_DEG
from analyzer.given import Procedure
from analyzer.units import difference_deg


@dataclass(frozen=True)
class OutboundTurnSettings:
    """Which turn is the one at the fix, onto the outbound course or leg. Own choices, after common practice."""

    prompt_s: float = 20.0  # a turn that starts so soon after the fix belongs to the passage
    late_s: float = 70.0  # a late one still does while the aircraft is not yet outbound
    not_outbound_deg: float = 20.0  # an aircraft so far off the outbound course since the fix has yet to turn outbound
    same_turn_s: float = 12.0  # flown in two pieces with less level flight between, it is one turn
    coarse_intervals: float = 3.0  # or than so many intervals, as coarse rows may be drawn straight through a turn
    piece_off_deg: float = 60.0  # so far off the outbound course the turn outbound has not ended
    touching_s: float = 4.0  # with less level flight between, it goes on up to the outbound course


@dataclass(frozen=True)
class ReversalTurnSettings:
    """Which turn brings the aircraft back: from the outbound half of the compass to the inbound half. Own choices."""

    edge_s: float = 1.0  # a turn that only touches the circuit by so little is the next one's
    cut_deg: float = 60.0  # a turn this long before and after a passage is a reversal turn and a turn outbound,
    cut_s: float = 5.0  # cut no nearer to its ends than this
    same_turn_s: float = 12.0  # flown in two pieces with less level flight between, it is one turn
    after_fix_s: float = 20.0  # one that has ended by then was the turn at the fix
    from_deg: float = 60.0  # it begins at least so far off the inbound course, and is not over nearer to it
    long_deg: float = 200.0  # but one from this size on, which goes by the outbound direction whatever it began at,
    longest_deg: float = 330.0  # and is no full circle,
    long_from_deg: float = 40.0  # may begin so near to it: an 80/260's in a strong wind
    to_deg: float = 100.0  # and ends at most so far off it
    least_deg: float = 60.0  # a smaller turn reverses nothing
    least_cut_short_deg: float = 15.0  # but one that the track's end cuts short may be as small as any turn,
    plain_cut_short_deg: float = 100.0  # and is the reversal turn for certain from this size on
    cut_short_s: float = 3.0  # a turn that ends so near to the end of the track is cut short by it
    offset_before_deg: float = 22.0  # a turn the other way of at least this just before it was the offset turn


@dataclass(frozen=True)
class OffsetTurnSettings:
    """Which turn leaves the outbound course for the offset leg. Own choices."""

    least_deg: float = 15.0  # a smaller one is no phase of its own: definition of the result
    most_deg: float = 120.0  # no offset turn is larger
    least_outbound_s: float = 12.0  # so long at least the outbound course is flown before it
    leaves_deg: float = 20.0  # it ends at least so far off the outbound course, by its ground track
    heads_off_deg: float = 10.0  # and by its heading, off which a strong wind may take as much as half of a 45
    farther_by_deg: float = 12.0  # and farther off than it began: a capture ends nearer
    through_deg: float = 32.0  # or on its other side, at least so far off: capture and offset turn flown as one
    from_within_deg: float = 40.0  # and begins no farther off than this
    back_within_s: float = 200.0  # the reversal turn follows within this: three minutes on the leg are no 45/180
    back_least_deg: float = 110.0  # and is at least this large, unless the track ends in it
    hold_least_deg: float = 32.0  # in a hold, and with a charted teardrop, the leg may be off the course by itself
    teardrop_within_deg: float = 15.0
    hold_least_s: float = 35.0  # in a hold, a turn so soon after the fix belongs to the entry


OUTBOUND = OutboundTurnSettings()
REVERSAL = ReversalTurnSettings()
OFFSET = OffsetTurnSettings()


@dataclass(frozen=True)
class TurnRoles:
    """The turns of one circuit by their part; None where it lacks one."""

    outbound_turn: FlownTurn | None
    offset_turn: FlownTurn | None
    reversal_turn: FlownTurn | None
    later_turns: tuple[FlownTurn, ...]  # after the reversal turn, up to the circuit's end
    other_turns: tuple[FlownTurn, ...]  # on the way out: captures of the outbound course


def relative_track_deg(motion: Motion, at_s: float) -> float:
    """Ground track less inbound course at a moment, in [-180, 180)."""
    along = float(np.interp(at_s, motion.time_s, motion.along_mps))
    cross = float(np.interp(at_s, motion.time_s, motion.cross_mps))
    return float(np.degrees(np.arctan2(cross, -along)))


def relative_heading_deg(air: AirMotion, at_s: float) -> float:
    """Air heading (ground track where the wind is not known) less inbound course, in [-180, 180)."""
    return float(difference_deg(0.0, float(np.interp(at_s, air.time_s, air.heading_deg))))


def read_manoeuvre(
    circuit: Circuit, turns: tuple[FlownTurn, ...], motion: Motion, air: AirMotion, procedure: Procedure
) -> TurnRoles:
    """Return the parts of one circuit.

    Parameters
    ----------
    circuit : Circuit
    turns : tuple of FlownTurn
        Of the whole flight.
    motion : Motion
    air : AirMotion
    procedure : Procedure

    Returns
    -------
    TurnRoles

    Notes
    -----
    The reversal turn is looked for first, being unmistakable: it brings the aircraft from the outbound half of the
    compass to the inbound half. The others are named from their place before it.
    """
    begin, end = circuit.start.at_s, circuit.limit_s
    inside = [
        part
        for turn in turns
        if turn.end_s > begin + REVERSAL.edge_s and turn.start_s < end - REVERSAL.edge_s
        for part in _cut_at(turn, (begin, end), air)
        if part.end_s > begin + REVERSAL.edge_s and part.start_s < end - REVERSAL.edge_s
    ]
    group = _reversal(inside, begin, motion, air, circuit, procedure)
    before = [turn for turn in inside if not group or turn.start_s < group[0].start_s]
    after = [turn for turn in inside if group and turn.start_s >= group[-1].end_s - 0.1]
    reversal = _joined(group) if group else None
    pieces = _outbound_turn(before, begin, motion, air)
    outbound_turn = _joined(pieces) if pieces else None
    rest = [turn for turn in before if turn not in pieces]
    leg_start_s = begin if outbound_turn is None else max(begin, outbound_turn.end_s)
    offset = _offset_turn(rest, reversal, motion, air, procedure, circuit)
    if offset is not None and offset.start_s - leg_start_s < OFFSET.least_outbound_s:
        offset = None  # a correction of the heading taken up at the fix
    others = tuple(turn for turn in rest if turn is not offset)
    return TurnRoles(outbound_turn, offset, reversal, tuple(after), others)


def _cut_at(turn: FlownTurn, moments_s: tuple[float, ...], air: AirMotion) -> list[FlownTurn]:
    """Cut a turn at a passage that it runs through, where both parts are turns in their own right."""
    for moment in moments_s:
        if turn.start_s + REVERSAL.cut_s < moment < turn.end_s - REVERSAL.cut_s:
            heading = np.interp([turn.start_s, moment, turn.end_s], air.time_s, air.heading_deg)
            if min(abs(heading[1] - heading[0]), abs(heading[2] - heading[1])) >= REVERSAL.cut_deg:
                return [flown_turn(air, turn.start_s, moment), flown_turn(air, moment, turn.end_s)]
    return [turn]


def _reversal(
    inside: list[FlownTurn],
    begin: float,
    motion: Motion,
    air: AirMotion,
    circuit: Circuit,
    procedure: Procedure,
) -> list[FlownTurn]:
    best: list[FlownTurn] = []
    best_size = 0.0
    index = 0
    while index < len(inside):
        group = [inside[index]]
        while (
            index + len(group) < len(inside)
            and inside[index + len(group)].direction == group[-1].direction
            and inside[index + len(group)].start_s - group[-1].end_s < REVERSAL.same_turn_s
            and abs(relative_track_deg(motion, group[-1].end_s)) > REVERSAL.from_deg
            and abs(relative_heading_deg(air, group[-1].end_s)) > REVERSAL.from_deg
        ):
            group.append(inside[index + len(group)])
        index += 1 if len(group) > 1 and _start_angle(group[0], motion, air) < REVERSAL.from_deg else len(group)
        first, last = group[0], group[-1]
        if last.end_s < begin + REVERSAL.after_fix_s:
            continue
        start_angle = _start_angle(first, motion, air)
        end_angle = min(abs(relative_track_deg(motion, last.end_s)), abs(relative_heading_deg(air, last.end_s)))
        size = abs(sum(turn.degrees for turn in group))
        cut_short = circuit.end is None and last.end_s > float(motion.time_s[-1]) - REVERSAL.cut_short_s
        least_deg = REVERSAL.least_cut_short_deg if cut_short else REVERSAL.least_deg
        from_deg = REVERSAL.long_from_deg if REVERSAL.long_deg <= size <= REVERSAL.longest_deg else REVERSAL.from_deg
        if start_angle < from_deg or size < least_deg:
            continue
        if cut_short and size < REVERSAL.plain_cut_short_deg and not _begins_reversal(first, inside, procedure):
            continue
        if end_angle > REVERSAL.to_deg and not cut_short:
            continue
        # a turn back that the track cuts short is still the reversal turn, the turn before it the offset turn
        turns_back = cut_short and bool(best) and best_size < OFFSET.most_deg and best[-1].direction != first.direction
        if size > best_size or turns_back:
            best, best_size = group, size
    return best


def _start_angle(turn: FlownTurn, motion: Motion, air: AirMotion) -> float:
    """How far off the inbound course a turn begins, by its ground track or its heading, whichever is less."""
    return min(abs(relative_track_deg(motion, turn.start_s)), abs(relative_heading_deg(air, turn.start_s)))


def _begins_reversal(turn: FlownTurn, inside: list[FlownTurn], procedure: Procedure) -> bool:
    """Whether a turn that the track cuts short is the reversal turn, not the offset turn before it.

    The offset turn goes to the manoeuvre side, the reversal turn comes back from there.
    """
    if procedure.is_hold:
        return True
    earlier = [one for one in inside if one.end_s <= turn.start_s + 0.1]
    if earlier and earlier[-1].direction != turn.direction and abs(earlier[-1].degrees) >= REVERSAL.offset_before_deg:
        return True
    return turn.direction == procedure.side


def _joined(group: list[FlownTurn]) -> FlownTurn:
    if len(group) == 1:
        return group[0]
    first, last = group[0], group[-1]
    degrees = sum(turn.degrees for turn in group)
    fastest = max((turn.max_rate_deg_s for turn in group), key=abs)
    speeds = [turn.tas_mps for turn in group if turn.tas_mps is not None]
    tas = float(np.mean(speeds)) if speeds else None
    mean = degrees / (last.end_s - first.start_s)
    return FlownTurn(first.start_s, last.end_s, degrees, mean, fastest, tas, first.method)


def _outbound_turn(before: list[FlownTurn], begin: float, motion: Motion, air: AirMotion) -> list[FlownTurn]:
    """Return the turn at the fix: of those about it the one that turns most after the passage, or a late one.

    Flown in several pieces, with the wings level for a moment while the way is not outbound yet, it is one turn.
    """
    best: FlownTurn | None = None
    most = 0.0
    for turn in before:
        if turn.start_s >= begin + OUTBOUND.prompt_s:
            break
        heading = np.interp([max(begin, turn.start_s), turn.end_s], air.time_s, air.heading_deg)
        after_passage = abs(float(heading[1] - heading[0]))
        if after_passage > most:
            best, most = turn, after_passage
    if best is None and before and before[0].start_s < begin + OUTBOUND.late_s:
        off_now = 180.0 - abs(relative_track_deg(motion, before[0].start_s - 1.0))
        off_at_fix = 180.0 - abs(relative_track_deg(motion, begin))
        best = before[0] if min(off_now, off_at_fix) > OUTBOUND.not_outbound_deg else None
    if best is None:
        return []
    interval_s = motion.step_s if motion.samples is None else motion.samples.interval_s
    pause_s = max(OUTBOUND.same_turn_s, OUTBOUND.coarse_intervals * interval_s)
    pieces = [best]
    for turn in before[before.index(best) + 1 :]:
        last = pieces[-1]
        off_track = 180.0 - abs(relative_track_deg(motion, last.end_s))
        off_heading = 180.0 - abs(relative_heading_deg(air, last.end_s))
        level_s = turn.start_s - last.end_s
        if turn.direction != last.direction or level_s >= pause_s:
            break
        on_course_deg = OUTBOUND.piece_off_deg if level_s > OUTBOUND.touching_s else LEAST_TURN_DEG
        if min(off_track, off_heading) < on_course_deg:
            break
        pieces.append(turn)
    return pieces


def _offset_turn(
    rest: list[FlownTurn],
    reversal: FlownTurn | None,
    motion: Motion,
    air: AirMotion,
    procedure: Procedure,
    circuit: Circuit,
) -> FlownTurn | None:
    if not rest:
        return None
    turn = rest[-1]
    size = abs(turn.degrees)
    if not OFFSET.least_deg <= size <= OFFSET.most_deg:
        return None
    # away from the outbound course, not onto it
    before = 180.0 - abs(relative_track_deg(motion, turn.start_s))
    after = 180.0 - abs(relative_track_deg(motion, turn.end_s))
    before_air = 180.0 - abs(relative_heading_deg(air, turn.start_s))
    after_air = 180.0 - abs(relative_heading_deg(air, turn.end_s))
    # leaving the course by as much as the turn brings; a capture ends nearer to the outbound course
    farther_deg = 0.5 * (after + after_air) - 0.5 * (before + before_air)
    through = min(after, after_air) > OFFSET.through_deg and size > max(before, before_air) + OFFSET.through_deg
    if after < OFFSET.leaves_deg or after_air < OFFSET.heads_off_deg:
        return None
    if farther_deg < OFFSET.farther_by_deg and not through:
        return None
    if min(before, before_air) > OFFSET.from_within_deg:
        return None
    if reversal is not None:
        if reversal.direction == turn.direction or reversal.start_s - turn.end_s > OFFSET.back_within_s:
            return None
        cut_short = reversal.end_s > float(motion.time_s[-1]) - REVERSAL.cut_short_s
        if abs(reversal.degrees) < OFFSET.back_least_deg and not cut_short:
            return None
    elif circuit.end is not None:
        return None
    if procedure.reversal == "teardrop" and (
        size < OFFSET.hold_least_deg or min(before, before_air) > OFFSET.teardrop_within_deg
    ):
        return None  # a charted teardrop's leg is off the outbound course by itself
    if procedure.is_hold and reversal is None:
        return None
    if procedure.is_hold and (size < OFFSET.hold_least_deg or turn.start_s - circuit.start.at_s < OFFSET.hold_least_s):
        return None
    return turn
