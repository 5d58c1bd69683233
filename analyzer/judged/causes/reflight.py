"""A light re-flight of one circuit: straights and turns with the headings, times and rates that were flown."""

import math
from dataclasses import dataclass, replace

import numpy as np

from analyzer.given import PhaseName
from analyzer.units import FloatArray

ROLL_S = 3.5  # each of roll-in and roll-out of a turn: 17 degrees of bank at 5 deg/s
STEP_S = 2.0


@dataclass(frozen=True)
class Straight:
    """Level flight on one heading, relative to the inbound course, positive to its right.

    At most one of the ends differs from "after `duration_s`": `until_cross_m` ends it at a cross-track distance;
    `to_course` where the turn after it ends on the inbound course. `line_deg` makes it follow a line through the fix
    (its relative course): it ends on that line whatever the heading.
    """

    phase: PhaseName
    duration_s: float
    heading_deg: float
    tas_mps: float
    until_cross_m: float | None = None
    to_course: bool = False
    line_deg: float | None = None


@dataclass(frozen=True)
class Turn:
    """One turn: where it starts, how far (positive right), at which rate with the bank held; rolling not included.

    `residual_m` is along and cross displacement that the flown turn had beyond the modelled one (an uneven bank); it
    is kept when something is put right. `then_s` is level flight on the last heading before the next piece.
    """

    phase: PhaseName
    start_deg: float
    degrees: float
    rate_deg_s: float
    tas_mps: float
    residual_m: tuple[float, float] = (0.0, 0.0)
    then_s: float = 0.0

    @property
    def duration_s(self) -> float:
        """Seconds from roll-in to wings level."""
        return abs(self.degrees) / self.rate_deg_s + ROLL_S + self.then_s


Piece = Straight | Turn


@dataclass(frozen=True)
class Reflight:
    """One circuit to be flown: start in the frame's axes, pieces, the air's velocity over the ground."""

    start_s: float
    along_m: float
    cross_m: float
    pieces: tuple[Piece, ...]
    wind_along_mps: float
    wind_cross_mps: float

    def with_piece(self, number: int, piece: Piece) -> "Reflight":
        """Return the circuit with one piece exchanged."""
        pieces = list(self.pieces)
        pieces[number] = piece
        return replace(self, pieces=tuple(pieces))

    def heading_for_track(self, track_deg: float, tas_mps: float) -> float:
        """Return the relative heading that keeps a relative track; the track itself where none does."""
        track = math.radians(track_deg)
        to_right = self.wind_along_mps * math.sin(track) + self.wind_cross_mps * math.cos(track)
        if abs(to_right) >= tas_mps:
            return track_deg
        return track_deg - math.degrees(math.asin(to_right / tas_mps))

    def ground_velocity(self, heading_deg: float, tas_mps: float) -> tuple[float, float]:
        """Return along and cross velocity on a relative heading."""
        heading = math.radians(heading_deg)
        return (
            -tas_mps * math.cos(heading) + self.wind_along_mps,
            tas_mps * math.sin(heading) + self.wind_cross_mps,
        )


@dataclass(frozen=True)
class Path:
    """The circuit as flown again: moments and positions, shape (n,), and where each piece starts and ends."""

    time_s: FloatArray
    along_m: FloatArray
    cross_m: FloatArray
    starts: tuple[tuple[float, float], ...]
    ends: tuple[tuple[float, float], ...]

    @property
    def length_m(self) -> float:
        """Length of the path over the ground."""
        return float(np.sum(np.hypot(np.diff(self.along_m), np.diff(self.cross_m))))


def turned_m(circuit: Reflight, turn: Turn) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return moments after roll-in and along and cross displacement of a turn, shape (n,).

    Rolling in and out is flown as straight flight for half its time each: the heading and the displacement at the end
    are those of an evenly growing bank to within a few metres.
    """
    duration = turn.duration_s
    time = np.linspace(0.0, duration, max(4, math.ceil(duration / STEP_S)) + 1)
    turned_s = abs(turn.degrees) / turn.rate_deg_s
    turning = np.clip(time - 0.5 * ROLL_S, 0.0, turned_s)
    before, after = np.minimum(time, 0.5 * ROLL_S), np.maximum(time - turned_s - 0.5 * ROLL_S, 0.0)
    rate = math.copysign(math.radians(turn.rate_deg_s), turn.degrees)
    start, end = math.radians(turn.start_deg), math.radians(turn.start_deg + turn.degrees)
    heading = start + rate * turning
    ahead = (np.sin(heading) - math.sin(start)) / rate + math.cos(start) * before + math.cos(end) * after
    aside = (math.cos(start) - np.cos(heading)) / rate + math.sin(start) * before + math.sin(end) * after
    share = time / duration
    return (
        time,
        -turn.tas_mps * ahead + circuit.wind_along_mps * time + turn.residual_m[0] * share,
        turn.tas_mps * aside + circuit.wind_cross_mps * time + turn.residual_m[1] * share,
    )


def turn_displacement_m(circuit: Reflight, turn: Turn, *, rolled_out: bool = True) -> tuple[float, float]:
    """Return along and cross displacement of a whole turn, of one that still has its bank with `rolled_out` False."""
    rate = math.copysign(math.radians(turn.rate_deg_s), turn.degrees)
    start, end = math.radians(turn.start_deg), math.radians(turn.start_deg + turn.degrees)
    roll, out = 0.5 * ROLL_S, 0.5 * ROLL_S + turn.then_s if rolled_out else 0.0
    ahead = (math.sin(end) - math.sin(start)) / rate + math.cos(start) * roll + math.cos(end) * out
    aside = (math.cos(start) - math.cos(end)) / rate + math.sin(start) * roll + math.sin(end) * out
    seconds = abs(turn.degrees) / turn.rate_deg_s + roll + out
    return (
        -turn.tas_mps * ahead + circuit.wind_along_mps * seconds + turn.residual_m[0],
        turn.tas_mps * aside + circuit.wind_cross_mps * seconds + turn.residual_m[1],
    )


def to_parallel(circuit: Reflight, turn: Turn) -> Turn:
    """Return the turn as far as the heading on which the ground track is parallel to the inbound course."""
    sign = math.copysign(1.0, turn.degrees)
    heading = circuit.heading_for_track(0.0, turn.tas_mps)
    degrees = (sign * (heading - turn.start_deg)) % 360.0
    return replace(turn, degrees=sign * degrees)


def parallel_point(circuit: Reflight, turn: Turn, start: tuple[float, float]) -> tuple[float, float]:
    """Return along and cross where the turn is parallel to the inbound course: where it would end on a perfect heading.

    Its roll-out is left out: what counts is the farthest cross-track, with the bank still on.
    """
    along, cross = turn_displacement_m(circuit, to_parallel(circuit, turn), rolled_out=False)
    return start[0] + along, start[1] + cross


def reversal_number(circuit: Reflight) -> int:
    """Return the number of the reversal turn, of its largest part where it was flown in several."""
    turned = {
        number: abs(piece.degrees)
        for number, piece in enumerate(circuit.pieces)
        if isinstance(piece, Turn) and piece.phase == "reversal turn"
    }
    return max(turned, key=lambda number: turned[number])


def rolled_out(circuit: Reflight) -> tuple[float, float]:
    """Return along and cross where the reversal turn is parallel to the inbound course."""
    number = reversal_number(circuit)
    turn = circuit.pieces[number]
    assert isinstance(turn, Turn)
    return parallel_point(circuit, turn, corners(circuit)[number])


def corners(circuit: Reflight) -> list[tuple[float, float]]:
    """Return along and cross where each piece starts, and where the last one ends: one more than pieces."""
    here = (circuit.along_m, circuit.cross_m)
    points = [here]
    for number, piece in enumerate(circuit.pieces):
        if isinstance(piece, Turn):
            along, cross = turn_displacement_m(circuit, piece)
        else:
            along, cross = _straight_m(circuit, number, piece, here)[1:]
        here = (here[0] + along, here[1] + cross)
        points.append(here)
    return points


def fly(circuit: Reflight) -> Path:
    """Return the path of a circuit."""
    points = corners(circuit)
    time, along, cross = [circuit.start_s], [circuit.along_m], [circuit.cross_m]
    for number, piece in enumerate(circuit.pieces):
        here, there = points[number], points[number + 1]
        if isinstance(piece, Turn):
            steps, moved_along, moved_cross = turned_m(circuit, piece)
        else:
            seconds = _straight_m(circuit, number, piece, here)[0]
            steps = np.linspace(0.0, seconds, max(2, math.ceil(seconds / STEP_S) + 1))
            share = steps / max(seconds, 1e-9)
            moved_along, moved_cross = (there[0] - here[0]) * share, (there[1] - here[1]) * share
        time.extend((time[-1] + steps[1:]).tolist())
        along.extend((here[0] + moved_along[1:]).tolist())
        cross.extend((here[1] + moved_cross[1:]).tolist())
    return Path(np.array(time), np.array(along), np.array(cross), tuple(points[:-1]), tuple(points[1:]))


def _straight_m(
    circuit: Reflight, number: int, piece: Straight, here: tuple[float, float]
) -> tuple[float, float, float]:
    """Return duration and along and cross displacement of a straight flown from `here`."""
    if piece.line_deg is not None:
        return _along_line(circuit, piece, here)
    along_rate, cross_rate = circuit.ground_velocity(piece.heading_deg, piece.tas_mps)
    duration = piece.duration_s
    following = circuit.pieces[number + 1] if number + 1 < len(circuit.pieces) else None
    target = piece.until_cross_m
    if piece.to_course and isinstance(following, Turn):
        target = -turn_displacement_m(circuit, to_parallel(circuit, following), rolled_out=False)[1]
    if target is not None and abs(cross_rate) > 1.0:
        needed = (target - here[1]) / cross_rate
        duration = max(needed, 0.0) if needed < 3.0 * piece.duration_s + 60.0 else duration
    return duration, along_rate * duration, cross_rate * duration


def _along_line(circuit: Reflight, piece: Straight, here: tuple[float, float]) -> tuple[float, float, float]:
    """Fly so as to be on a line through the fix at the end: as far along it as the groundspeed on it gives."""
    assert piece.line_deg is not None
    line = math.radians(piece.line_deg)
    ahead, aside = (-math.cos(line), math.sin(line)), (math.sin(line), math.cos(line))
    heading = circuit.heading_for_track(piece.line_deg, piece.tas_mps)
    velocity = circuit.ground_velocity(heading, piece.tas_mps)
    distance = (velocity[0] * ahead[0] + velocity[1] * ahead[1]) * piece.duration_s
    off = here[0] * aside[0] + here[1] * aside[1]
    return piece.duration_s, ahead[0] * distance - off * aside[0], ahead[1] * distance - off * aside[1]
