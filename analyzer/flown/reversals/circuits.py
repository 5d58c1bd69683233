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

OUT_M = 0.5 * METRES_PER_NM  # a circuit goes out at least so far along
BEHIND_M = 0.5 * METRES_PER_NM  # and before that not farther behind the fix than this
BEHIND_S = 45.0  # and so many seconds of flight, the room that the turn at the fix takes: a missed approach goes on
BEHIND_WIND_S = 90.0  # and of drift in that turn
OUT_WITHIN_S = 240.0
LONGEST_CIRCUIT_S = 2400.0
LEAST_OPEN_S = 20.0  # a track that ends sooner after the fix shows no reversal
FARTHEST_M = figure("us.remain_within.most").value * METRES_PER_NM  # the longest procedure turn; farther is a departure
ABEAM_S = 200.0
ABEAM_PART = 0.6
#: a lap of a hold, however badly flown, takes no longer: what does is other work between two passes of the fix. A leg
#: by distance may: at 100 kt, two turns of a minute, and half as long again (own choices)
LONGEST_LAP_S, LAP_SPARE, SLOW_MPS = 600.0, 1.5, 51.4


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
        circuit, used = _circuit_from(index, passed, motion, turns, procedure, room_m)
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
    """Whether a circuit is the next lap of a hold: right after one that was no longer than a lap can be."""
    if not procedure.is_hold or last.end is None or last.end.at_s != circuit.start.at_s:
        return False
    by_distance_s = 0.0
    if procedure.outbound_m is not None:
        by_distance_s = LAP_SPARE * (2.0 * procedure.outbound_m / SLOW_MPS + 120.0)
    return last.end.at_s - last.start.at_s <= max(LONGEST_LAP_S, by_distance_s)


def _without_abeam(passed: tuple[Pass, ...], motion: Motion, room_m: float) -> tuple[Pass, ...]:
    """Drop a pass abeam the fix on the outbound leg that directly follows the pass over the fix."""
    kept: list[Pass] = []
    for candidate in passed:
        if kept:
            before = kept[-1]
            between = (motion.time_s >= before.at_s) & (motion.time_s <= candidate.at_s)
            out_m = max(OUT_M, ABEAM_PART * room_m)  # blown or corrected off its course, it is nearest only then
            near = candidate.at_s - before.at_s < ABEAM_S and np.max(motion.along_m[between], initial=-1e9) < out_m
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
    out = np.flatnonzero(along > OUT_M)
    behind = np.flatnonzero(along < -room_m)
    first_out = int(out[0]) if len(out) else len(time)
    first_behind = int(behind[0]) if len(behind) else len(time)
    if first_behind < first_out:
        return None, 1
    if first_out == len(time):
        # the track ends soon after the fix: a reversal has begun only if it shows the way out
        going_out = following is None and time[-1] - start.at_s >= LEAST_OPEN_S and bool(np.all(relative[-5:] > 100.0))
        return (Circuit(start, None, track_end), 1) if going_out else (None, 1)
    if time[first_out] - start.at_s > OUT_WITHIN_S:
        return None, 1
    outbound = np.flatnonzero(relative > 100.0)
    if not len(outbound):
        return None, 1
    farthest = float(np.max(np.hypot(along, cross)))
    limit = max(FARTHEST_M, 1.6 * (procedure.remain_within_m or 0.0))
    came_round = _came_round(turns, start.at_s, limit_s)
    closes = (
        following is not None
        and first_behind == len(time)
        and following.at_s - start.at_s < LONGEST_CIRCUIT_S
        and float(np.interp(following.at_s - 20.0, motion.time_s, motion.along_m)) > 0.0
        and float(np.interp(following.at_s - 15.0, motion.time_s, motion.along_mps)) < 0.0
    )
    if closes:
        if farthest > 2.0 * limit:
            return None, 1
        return Circuit(start, following, limit_s), 1
    if not came_round and (following is not None or farthest > limit):
        return None, 1  # flew away, or came back by another way than a reversal
    if came_round and farthest > 3.0 * limit and following is None:
        early = np.hypot(along, cross)[: first_behind or None]
        if len(early) and float(np.max(early)) > limit:
            return None, 1
    return Circuit(start, None, limit_s), 1


def _room_m(air: AirMotion) -> float:
    """How far behind the fix the turn at the fix may carry: its radius, and the wind while it lasts."""
    flying = air.speed_mps[air.speed_mps > 15.0]
    speed = float(np.median(flying)) if len(flying) else 60.0
    wind = float(np.hypot(air.wind_along_mps, air.wind_cross_mps))
    return BEHIND_M + BEHIND_S * speed + BEHIND_WIND_S * wind


def _came_round(turns: tuple[FlownTurn, ...], from_s: float, to_s: float) -> bool:
    """Whether a turn of a reversal's size was begun in the stretch."""
    return any(abs(turn.degrees) > 100.0 for turn in turns if from_s + 15.0 < turn.start_s < to_s)
