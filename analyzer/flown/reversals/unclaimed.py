"""Turns back and circuits that belong to no part of a lesson: named, never judged."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from analyzer.flown.motion.motion import Motion
from analyzer.units import METRES_PER_NM, BoolArray, FloatArray, IntArray, runs, unwrap_deg

# All of these are own choices.
STEP_S = 5.0
#: a turn back comes back over its own track the other way; a circuit over it the same way, having gone right round
SAME_TRACK_M, SAME_WAY_DEG = 0.4 * METRES_PER_NM, 25.0
BACK_WITHIN_S, ROUND_FROM_S, ROUND_TO_S = 600.0, 150.0, 600.0
ROUND_DEG = 300.0
#: so many pairs of places 5 s apart on the way out and back show a leg flown twice
LEAST_PAIRS = 6
FLYING_MPS = 25.0

UnclaimedKind = Literal["turn back", "circuit"]


@dataclass(frozen=True)
class Unclaimed:
    """Something like a reversal that no procedure fits: what it was, and when."""

    kind: UnclaimedKind
    start_s: float
    end_s: float


def unclaimed_turns(motion: Motion, claimed: Sequence[tuple[float, float]]) -> tuple[Unclaimed, ...]:
    """Return what looks like a reversal outside the parts that went to a procedure, in the order of time.

    Parameters
    ----------
    motion : Motion
        About any fix.
    claimed : sequence of (float, float)
        When the parts were flown, seconds.
    """
    every = max(1, round(STEP_S / motion.step_s))
    time = motion.time_s[::every]
    free = motion.groundspeed_mps[::every] > FLYING_MPS
    for start_s, end_s in claimed:
        free &= (time < start_s) | (time > end_s)
    along, cross = motion.along_m[::every], motion.cross_m[::every]
    heading = unwrap_deg(motion.track_relative_deg)[::every]
    found: list[Unclaimed] = []
    for first, stop in runs(free):
        part = slice(first, stop)
        found += _in_stretch(time[part], along[part], cross[part], np.asarray(heading[part]))
    return tuple(sorted(found, key=lambda one: one.start_s))


def _in_stretch(time: FloatArray, along: FloatArray, cross: FloatArray, heading: FloatArray) -> list[Unclaimed]:
    pairs = _meetings(time, along, cross, heading)
    found: list[Unclaimed] = []
    for kind, (early, late) in pairs.items():
        order = np.argsort(early + late)
        early, late = early[order], late[order]
        if not early.size:
            continue
        middle = 0.5 * (time[early] + time[late])
        # the places of one leg flown twice have one middle: the turn; those of a circuit move on with it
        for cluster in np.split(np.arange(early.size), np.flatnonzero(np.diff(middle) > 60.0) + 1):
            if len(np.unique(early[cluster])) < LEAST_PAIRS:
                continue
            start_s, end_s = float(time[early[cluster].max()]), float(time[late[cluster].min()])
            if kind == "circuit":
                start_s, end_s = float(time[early[cluster].min()]), float(time[late[cluster].max()])
            found.append(Unclaimed(kind, min(start_s, end_s), max(start_s, end_s)))
    circuits = [one for one in found if one.kind == "circuit"]
    backs = [one for one in found if one.kind == "turn back" and not any(_inside(one, each) for each in circuits)]
    return [*circuits, *backs]


def _inside(one: Unclaimed, other: Unclaimed) -> bool:
    return other.start_s <= 0.5 * (one.start_s + one.end_s) <= other.end_s


def _meetings(
    time: FloatArray, along: FloatArray, cross: FloatArray, heading: FloatArray
) -> dict[UnclaimedKind, tuple[IntArray, IntArray]]:
    """Return the pairs of moments at which the same place was passed, the other way or the same way round."""
    count = len(time)
    back: list[tuple[IntArray, IntArray]] = []
    rounds: list[tuple[IntArray, IntArray]] = []
    step_s = float(time[1] - time[0]) if count > 1 else STEP_S
    for lag in range(max(1, int(60.0 / step_s)), min(count, int(max(BACK_WITHIN_S, ROUND_TO_S) / step_s) + 1)):
        early = np.arange(count - lag)
        near = np.hypot(along[lag:] - along[:-lag], cross[lag:] - cross[:-lag]) <= SAME_TRACK_M
        turned = heading[lag:] - heading[:-lag]
        other_way: BoolArray = np.abs(np.abs((turned + 180.0) % 360.0 - 180.0) - 180.0) <= SAME_WAY_DEG
        here = early[near & other_way]
        if lag * step_s <= BACK_WITHIN_S and here.size:
            back.append((here, here + lag))
        if lag * step_s >= ROUND_FROM_S:
            here = early[near & (np.abs(np.abs(turned) - 360.0) <= 360.0 - ROUND_DEG)]
            if here.size:
                rounds.append((here, here + lag))

    def joined(pairs: list[tuple[IntArray, IntArray]]) -> tuple[IntArray, IntArray]:
        if not pairs:
            return np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64)
        return np.concatenate([one for one, _ in pairs]), np.concatenate([other for _, other in pairs])

    return {"turn back": joined(back), "circuit": joined(rounds)}
