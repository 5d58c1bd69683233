"""Which stretches between passes of the fix are reversals: out from the fix, round, and back towards it."""

from dataclasses import dataclass

import numpy as np

from analyzer.flown.attempt import FlownTurn
from analyzer.flown.motion.motion import Motion
from analyzer.flown.reversals.fix_passes import Pass
from analyzer.flown.turns.air_motion import AirMotion
from analyzer.given import Procedure
from analyzer.standards import figure
from analyzer.units import METRES_PER_NM


@dataclass(frozen=True)
class CircuitSettings:
    """Which stretches between two passes of the fix are reversals. Own choices, but for the figure."""

    out_m: float = 0.5 * METRES_PER_NM  # a circuit goes out at least so far along
    out_within_s: float = 240.0  # and does so within this: four minutes about the fix are something else
    outbound_deg: float = 100.0  # on the way out the track is at least so far off the inbound course
    behind_m: float = 0.5 * METRES_PER_NM  # and before that not farther behind the fix than this
    behind_s: float = 45.0  # and these seconds of flight, the room the turn at the fix takes: a missed approach goes on
    behind_wind_s: float = 90.0  # and of drift in that turn
    flying_mps: float = 15.0  # slower, it is on the ground: that speed says nothing of the turn's room
    usual_mps: float = 60.0  # where it never flies faster
    wide_s: float = 20.0  # own choices: a turn under way at the passage or begun so soon after is the one at the fix,
    wide_deg: float = 100.0  # and of this size at least it may carry the circuit behind by its own diameter
    longest_s: float = 2400.0  # out and back
    least_open_s: float = 20.0  # a track that ends sooner after the fix shows no reversal
    farthest_m: float = figure("us.remain_within.most").value * METRES_PER_NM  # the longest procedure turn
    limit_part: float = 1.6  # or this part of a charted limit, badly overflown; farther is a departure,
    closed_part: float = 2.0  # unless it comes back: then up to this many times as far
    round_part: float = 3.0  # or turns round, and then flies on beyond this
    back_position_s: float = 20.0  # so long before it is passed, the fix is still ahead,
    back_speed_s: float = 15.0  # and so long before that, the aircraft flies towards it
    round_deg: float = 100.0  # a turn of a reversal's size,
    round_after_s: float = 15.0  # begun so long after the fix, which one at the fix is not
    abeam_s: float = 200.0  # a pass abeam on the outbound leg follows the one over the fix within this,
    abeam_part: float = 0.6  # before the aircraft is farther out than this part of its room behind the fix
    # a lap of a hold, however badly flown, takes no longer: what does is other work between two passes of the fix. A
    # leg by distance may: at 100 kt, two turns of a minute, and half as long again
    longest_lap_s: float = 600.0
    lap_spare: float = 1.5
    slow_mps: float = 51.4
    lap_turns_s: float = 120.0
    timed_spare: float = 1.8  # of a hold by time: two legs and turns, so much more for wind and clock (own choice)
    usual_leg_s: float = 60.0 * figure("hold.leg.low").value


CIRCUITS = CircuitSettings()


@dataclass(frozen=True)
class Circuit:
    """One way out and back: the pass it starts at, the inbound pass it ends with (None where it lacks one)."""

    start: Pass
    end: Pass | None
    limit_s: float  # where its motion ends at the latest: the inbound pass, the next pass, or the track's end


def find_circuits(
    passed: tuple[Pass, ...], motion: Motion, air: AirMotion, turns: tuple[FlownTurn, ...], procedure: Procedure
) -> list[list[Circuit]]:
    """Return the circuits grouped into attempts, in order.

    Parameters
    ----------
    passed : tuple of Pass
    motion : Motion
    air : AirMotion
    turns : tuple of FlownTurn
    procedure : Procedure
        Only whether it is a hold (then circuits that follow each other directly are laps of one attempt) and its
        distance limit.

    Returns
    -------
    list of list of Circuit
    """
    room_m = _room_m(air)
    passed = _without_abeam(passed, motion, room_m)
    groups: list[list[Circuit]] = []
    index = 0
    while index < len(passed):
        room_here_m = max(room_m, _wide_turn_m(passed[index].at_s, turns, air))
        circuit, used = _circuit_from(index, passed, motion, turns, procedure, room_here_m)
        if circuit is None:
            index += 1
            continue
        last = groups[-1][-1] if groups else None
        if last is not None and _follows(circuit, last, procedure):
            groups[-1].append(circuit)
        else:
            groups.append([circuit])
        index += used
    return groups


def _follows(circuit: Circuit, last: Circuit, procedure: Procedure) -> bool:
    """Whether a circuit is the next lap of a hold: right after one that was no longer than a lap can be.

    Of a hold by time it must not be longer itself: who goes away for so long and comes back enters the hold anew.
    """
    if not procedure.is_hold or last.end is None or last.end.at_s != circuit.start.at_s:
        return False
    if procedure.outbound_m is not None:
        by_distance_s = CIRCUITS.lap_spare * (2.0 * procedure.outbound_m / CIRCUITS.slow_mps + CIRCUITS.lap_turns_s)
        return last.end.at_s - last.start.at_s <= max(CIRCUITS.longest_lap_s, by_distance_s)
    by_time_s = CIRCUITS.timed_spare * (2.0 * (procedure.outbound_s or CIRCUITS.usual_leg_s) + CIRCUITS.lap_turns_s)
    longest_s = min(CIRCUITS.longest_lap_s, by_time_s)
    itself_s = 0.0 if circuit.end is None else circuit.end.at_s - circuit.start.at_s
    return max(last.end.at_s - last.start.at_s, itself_s) <= longest_s


def _without_abeam(passed: tuple[Pass, ...], motion: Motion, room_m: float) -> tuple[Pass, ...]:
    """Drop a pass abeam the fix on the outbound leg that directly follows the pass over the fix."""
    kept: list[Pass] = []
    for candidate in passed:
        if kept:
            before = kept[-1]
            between = (motion.time_s >= before.at_s) & (motion.time_s <= candidate.at_s)
            out_m = max(
                CIRCUITS.out_m, CIRCUITS.abeam_part * room_m
            )  # blown or corrected off its course, it is nearest only then
            near = (
                candidate.at_s - before.at_s < CIRCUITS.abeam_s
                and np.max(motion.along_m[between], initial=-1e9) < out_m
            )
            stays = np.min(motion.along_m[between], initial=1e9) > -room_m
            outbound = float(np.interp(candidate.at_s, motion.time_s, motion.along_mps)) > 0.0
            if near and stays and outbound and candidate.distance_m > before.distance_m:
                continue
        kept.append(candidate)
    return tuple(kept)


def _circuit_from(
    index: int,
    passed: tuple[Pass, ...],
    motion: Motion,
    turns: tuple[FlownTurn, ...],
    procedure: Procedure,
    room_m: float,
) -> tuple[Circuit | None, int]:
    start = passed[index]
    track_end = float(motion.time_s[-1])
    following = passed[index + 1] if index + 1 < len(passed) else None
    limit_s = following.at_s if following is not None else track_end
    window = (motion.time_s > start.at_s) & (motion.time_s <= limit_s)
    if np.count_nonzero(window) < 3:
        return None, 1
    time, along, cross = motion.time_s[window], motion.along_m[window], motion.cross_m[window]
    relative = np.abs(motion.track_relative_deg[window])
    out = np.flatnonzero(along > CIRCUITS.out_m)
    behind = np.flatnonzero(along < -room_m)
    first_out = int(out[0]) if len(out) else len(time)
    first_behind = int(behind[0]) if len(behind) else len(time)
    if first_behind < first_out:
        return None, 1
    if first_out == len(time):
        # the track ends soon after the fix: a reversal has begun only if it shows the way out
        outwards = bool(np.all(relative[-5:] > CIRCUITS.outbound_deg))
        going_out = following is None and time[-1] - start.at_s >= CIRCUITS.least_open_s and outwards
        return (Circuit(start, None, track_end), 1) if going_out else (None, 1)
    if time[first_out] - start.at_s > CIRCUITS.out_within_s:
        return None, 1
    outbound = np.flatnonzero(relative > CIRCUITS.outbound_deg)
    if not len(outbound):
        return None, 1
    farthest = float(np.max(np.hypot(along, cross)))
    limit = max(CIRCUITS.farthest_m, CIRCUITS.limit_part * (procedure.remain_within_m or 0.0))
    came_round = _came_round(turns, start.at_s, limit_s)
    closes = (
        following is not None
        and first_behind == len(time)
        and following.at_s - start.at_s < CIRCUITS.longest_s
        and float(np.interp(following.at_s - CIRCUITS.back_position_s, motion.time_s, motion.along_m)) > 0.0
        and float(np.interp(following.at_s - CIRCUITS.back_speed_s, motion.time_s, motion.along_mps)) < 0.0
    )
    if closes:
        if farthest > CIRCUITS.closed_part * limit:
            return None, 1
        return Circuit(start, following, limit_s), 1
    if not came_round and (following is not None or farthest > limit):
        return None, 1  # flew away, or came back by another way than a reversal
    if came_round and farthest > CIRCUITS.round_part * limit and following is None:
        early = np.hypot(along, cross)[: first_behind or None]
        if len(early) and float(np.max(early)) > limit:
            return None, 1
    return Circuit(start, None, limit_s), 1


def _room_m(air: AirMotion) -> float:
    """How far behind the fix the turn at the fix may carry: its radius, and the wind while it lasts."""
    flying = air.speed_mps[air.speed_mps > CIRCUITS.flying_mps]
    speed = float(np.median(flying)) if len(flying) else CIRCUITS.usual_mps
    wind = float(np.hypot(air.wind_along_mps, air.wind_cross_mps))
    return CIRCUITS.behind_m + CIRCUITS.behind_s * speed + CIRCUITS.behind_wind_s * wind


def _wide_turn_m(passage_s: float, turns: tuple[FlownTurn, ...], air: AirMotion) -> float:
    """How far behind the fix a shallow turn outbound may carry: half a turn is its diameter wide."""
    for turn in turns:
        if (
            turn.start_s < passage_s + CIRCUITS.wide_s
            and turn.end_s > passage_s
            and abs(turn.degrees) > CIRCUITS.wide_deg
        ):
            turning = (air.time_s >= turn.start_s) & (air.time_s <= turn.end_s)
            way_m = float(np.sum(air.speed_mps[turning])) * float(air.time_s[1] - air.time_s[0])
            drift_m = float(np.hypot(air.wind_along_mps, air.wind_cross_mps)) * (turn.end_s - turn.start_s)
            return CIRCUITS.behind_m + 2.0 * way_m / float(np.radians(abs(turn.degrees))) + drift_m
    return 0.0


def _came_round(turns: tuple[FlownTurn, ...], from_s: float, to_s: float) -> bool:
    """Whether a turn of a reversal's size was begun in the stretch."""
    return any(
        abs(turn.degrees) > CIRCUITS.round_deg
        for turn in turns
        if from_s + CIRCUITS.round_after_s < turn.start_s < to_s
    )
