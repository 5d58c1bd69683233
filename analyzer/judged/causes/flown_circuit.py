"""The circuit as flown, taken apart: pieces for the re-flight from the phases, turns and motion."""

import math

import numpy as np

from analyzer.flown import Attempt, FlownTurn, Motion
from analyzer.given import Frame, PhaseName, Wind
from analyzer.judged.causes.reflight import ROLL_S, Piece, Reflight, Straight, Turn

BEFORE_TURN_S = 6.0  # the heading before a turn is the mean over so long before its roll-in
SHORTEST_STRAIGHT_S = 0.5
MODELLED: tuple[PhaseName, ...] = (
    "outbound turn",
    "outbound",
    "offset turn",
    "offset leg",
    "reversal turn",
    "intercept",
)


def flown_circuit(attempt: Attempt, lap: int, motion: Motion, wind: Wind, frame: Frame) -> Reflight | None:
    """Return the circuit of a lap from the fix to the end of the turn onto the course; None where it has no turn back.

    Parameters
    ----------
    attempt : Attempt
    lap : int
    motion : Motion
    wind : Wind
    frame : Frame
    """
    phases = [phase for phase in attempt.phases if phase.lap == lap and phase.name in MODELLED]
    turns = [(name, turn) for name, turn_lap, turn in attempt.turns if turn_lap == lap and name in MODELLED]
    if not phases or not any(name == "reversal turn" for name, _ in turns):
        return None
    last = turns[-1][1].end_s
    start_s = min(phases[0].start_s, turns[0][1].start_s)
    east_along, east_cross = frame.along_cross_from_east_north(wind.east_mps, wind.north_mps)
    air = _Air(motion, float(east_along), float(east_cross))
    pieces: list[Piece] = []
    now = start_s
    for name, turn in turns:
        if turn.start_s - now > SHORTEST_STRAIGHT_S:
            pieces.append(air.straight(_phase_of(attempt, lap, now, turn.start_s), now, turn.start_s))
        pieces.append(air.turn(name, turn))
        now = turn.end_s
    if now > last:
        return None
    along, cross = air.position(start_s)
    return Reflight(start_s, along, cross, tuple(pieces), air.wind_along, air.wind_cross)


def _phase_of(attempt: Attempt, lap: int, start_s: float, end_s: float) -> PhaseName:
    """Return the phase that takes most of a stretch; level flight before the outbound turn belongs to that turn."""
    best: tuple[float, PhaseName] = (0.0, "outbound turn")
    for phase in attempt.phases:
        if phase.lap == lap and phase.name in MODELLED:
            best = max(best, (min(end_s, phase.end_s) - max(start_s, phase.start_s), phase.name))
    return best[1]


class _Air:
    """Motion with the wind taken off."""

    def __init__(self, motion: Motion, wind_along: float, wind_cross: float) -> None:
        self.motion, self.wind_along, self.wind_cross = motion, wind_along, wind_cross

    def position(self, at_s: float) -> tuple[float, float]:
        motion = self.motion
        return (
            float(np.interp(at_s, motion.time_s, motion.along_m)),
            float(np.interp(at_s, motion.time_s, motion.cross_m)),
        )

    def _mean_air(self, start_s: float, end_s: float) -> tuple[float, float]:
        """Mean air velocity from the displacement: relative heading and speed."""
        (along0, cross0), (along1, cross1) = self.position(start_s), self.position(end_s)
        seconds = max(end_s - start_s, 1e-6)
        along = (along1 - along0) / seconds - self.wind_along
        cross = (cross1 - cross0) / seconds - self.wind_cross
        return math.degrees(math.atan2(cross, -along)), math.hypot(along, cross)

    def straight(self, phase: PhaseName, start_s: float, end_s: float) -> Straight:
        heading, tas = self._mean_air(start_s, end_s)
        return Straight(phase, end_s - start_s, heading, tas)

    def turn(self, phase: PhaseName, turn: FlownTurn) -> Turn:
        """Turn with the start heading that was read before it and the rate that its time gives."""
        before = max(turn.start_s - BEFORE_TURN_S, float(self.motion.time_s[0]))
        heading, _ = self._mean_air(before, turn.start_s) if turn.start_s - before > 1.0 else (180.0, 0.0)
        inside = (self.motion.time_s >= turn.start_s) & (self.motion.time_s <= turn.end_s)
        along = self.motion.along_mps[inside] - self.wind_along
        cross = self.motion.cross_mps[inside] - self.wind_cross
        speed = np.hypot(along, cross)
        tas = float(np.mean(speed)) if speed.size else (turn.tas_mps or 50.0)
        banked_s = max(turn.end_s - turn.start_s - ROLL_S, 0.3 * (turn.end_s - turn.start_s))
        return Turn(phase, heading, turn.degrees, abs(turn.degrees) / banked_s, tas)
