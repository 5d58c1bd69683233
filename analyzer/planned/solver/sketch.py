"""Legs flown one after the other from the fix, and the way onto the inbound course at the end."""

import math
from dataclasses import dataclass, field, replace

import numpy as np

from analyzer.given import PhaseName
from analyzer.planned.solver.air import Air, NoSuchHeadingError, short_way, way_round
from analyzer.planned.solver.values import LegEnd, PathLeg
from analyzer.units import METRES_PER_NM, FloatArray

#: a turn that ends this little short of the course, or this little beyond it, ends on it: the rest is tracking. The
#: larger figure keeps the 0.2 NM beyond that a hold is allowed (own choices)
SHORT_M, BEYOND_M = 0.08 * METRES_PER_NM, 0.16 * METRES_PER_NM
#: intercepts: the usual angle, the least that is sought, the least where the course is near, the most, and the most
#: from the side away from the manoeuvre, degrees; [IFH] chapter 7 has 45 after a procedure turn, the rest is practice
USUAL_DEG, LEAST_DEG, SHALLOW_DEG, STEEP_DEG, BACK_DEG = 45, 30, 15, 60, 30
#: level time that an intercept must have between its two turns (own choice: shorter, and it is one turn)
LEAST_LEVEL_S = 6.0
_STEP_S, _STRAIGHT_STEP_S = 1.0, 5.0
_CLOSING_DEG = 20.0


@dataclass(frozen=True, slots=True)
class Piece:
    """One straight or turn in the solver's plane, with where it starts."""

    phase: PhaseName
    lap: int
    x_m: float
    y_m: float
    start_s: float
    heading_deg: float
    seconds: float
    turn_deg: float | None = None
    tracked: bool = False
    timed_s: float | None = None
    end: LegEnd | None = None
    onto_course: bool = False


@dataclass
class Sketch:
    """A flight that grows leg by leg; starts over the fix."""

    air: Air
    heading_deg: float = 180.0
    x_m: float = 0.0
    y_m: float = 0.0
    time_s: float = 0.0
    lap: int = 1
    pieces: list[Piece] = field(default_factory=list)
    roll_out_m: tuple[float, float] = (0.0, 0.0)

    def copy(self) -> "Sketch":
        """Return a flight that goes on from here on its own."""
        return replace(self, pieces=list(self.pieces))

    def go_on_from(self, other: "Sketch") -> None:
        """Take over what a copy has flown."""
        self.heading_deg, self.x_m, self.y_m, self.time_s = other.heading_deg, other.x_m, other.y_m, other.time_s
        self.lap, self.pieces, self.roll_out_m = other.lap, other.pieces, other.roll_out_m

    def straight(
        self,
        phase: PhaseName,
        seconds: float,
        *,
        tracked: bool = False,
        timed_s: float | None = None,
        end: LegEnd | None = None,
    ) -> None:
        """Fly on the present heading."""
        seconds = max(seconds, 0.0)
        here = self._piece(phase, seconds)
        self.pieces.append(replace(here, tracked=tracked, timed_s=timed_s, end=end))
        vx, vy = self.air.ground_mps(self.heading_deg)
        self._move(vx * seconds, vy * seconds, seconds)

    def turn(self, phase: PhaseName, turn_deg: float) -> None:
        """Turn through so many degrees, positive towards the reversal turn."""
        if turn_deg == 0.0:
            return
        dx, dy, seconds = self.air.turn(self.heading_deg, turn_deg)
        self.pieces.append(replace(self._piece(phase, seconds), turn_deg=turn_deg))
        self.heading_deg = (self.heading_deg + turn_deg) % 360.0
        self._move(dx, dy, seconds)

    def _piece(self, phase: PhaseName, seconds: float) -> Piece:
        return Piece(phase, self.lap, self.x_m, self.y_m, self.time_s, self.heading_deg, seconds)

    def _move(self, dx_m: float, dy_m: float, seconds: float) -> None:
        self.x_m, self.y_m, self.time_s = self.x_m + dx_m, self.y_m + dy_m, self.time_s + seconds

    def onto_course(self, sign: int, *, first_deg: float = USUAL_DEG, most_deg: float = USUAL_DEG) -> None:
        """Turn in the direction `sign` onto the course, at once or by an intercept, and end on it.

        `first_deg` is the intercept angle that is tried first, smaller ones follow; from beyond the course it is closed
        on from there.
        """
        inbound = self.air.heading_for_track(0.0)
        through = way_round(self.heading_deg, inbound, sign)
        beside = self.y_m + self.air.turn(self.heading_deg, through)[1]
        if -BEYOND_M <= beside <= SHORT_M:
            self._end_turn("reversal turn", through)
            return
        if beside > 0.0:
            steep = min(first_deg, most_deg)
            tries = [(float(angle), LEAST_LEVEL_S) for angle in np.arange(steep, LEAST_DEG - 1.0, -5.0)]
            tries += [(float(angle), 0.0) for angle in np.arange(steep, LEAST_DEG - 1.0, -1.0)]
            tries += [(float(angle), LEAST_LEVEL_S) for angle in range(LEAST_DEG - 1, SHALLOW_DEG - 1, -1)]
            tries += [(float(angle), 0.0) for angle in range(SHALLOW_DEG, 0, -1)]
        else:
            tries = [(-float(angle), 0.0) for angle in range(BACK_DEG, 0, -1)]
        for angle, level_s in tries:
            if self._intercept(angle, level_s, sign, inbound):
                return
        self._end_turn("reversal turn", through)

    def _intercept(self, angle_deg: float, level_s: float, sign: int, inbound_deg: float) -> bool:
        """Intercept on a track at an angle to the course where that leaves enough level time; say whether it did."""
        try:
            heading = self.air.heading_for_track(-angle_deg)
        except NoSuchHeadingError:
            return False
        first, last = way_round(self.heading_deg, heading, sign), short_way(heading, inbound_deg)
        beside = self.y_m + self.air.turn(self.heading_deg, first)[1] + self.air.turn(heading, last)[1]
        closing = self.air.ground_mps(heading)[1]
        if closing == 0.0 or not level_s <= -beside / closing:
            return False
        lead_m = abs(self.air.turn(heading, last)[1])
        self.turn("reversal turn", first)
        self.roll_out_m = (self.x_m, self.y_m)
        self.straight("intercept", -beside / closing, end=LegEnd("course", lead_m))
        self._end_turn("intercept", last)
        return True

    def _end_turn(self, phase: PhaseName, turn_deg: float) -> None:
        self.turn(phase, turn_deg)
        self.roll_out_m = (self.x_m, self.y_m)

    def to_fix(self) -> float:
        """Fly inbound to the fix and return the seconds it takes; none where the turn ended beyond it."""
        speed = -self.air.ground_mps(self.air.heading_for_track(0.0))[0]
        if self.x_m <= 0.0 or speed <= 0.0:
            return self.x_m / max(speed, 1.0)
        seconds = self.x_m / speed
        self.pieces.append(
            Piece("inbound", self.lap, self.x_m, self.y_m, self.time_s, self.air.heading_for_track(0.0), seconds,
                  None, tracked=True, end=LegEnd("fix"), onto_course=True)
        )  # fmt: skip
        self.x_m, self.y_m, self.time_s = 0.0, 0.0, self.time_s + seconds
        self.heading_deg = self.air.heading_for_track(0.0) % 360.0
        return seconds


def sampled(sketch: Sketch, side: int, inbound_true_deg: float) -> tuple[PathLeg, ...]:
    """Return the legs in the frame's axes, mirrored for a manoeuvre on the left, with their coordinates."""
    legs: list[PathLeg] = []
    for piece in sketch.pieces:
        start_s = float(legs[-1].time_s[-1]) if legs else piece.start_s  # exactly: no gap of rounding between two legs
        legs.append(_leg(sketch.air, replace(piece, start_s=start_s), side, inbound_true_deg))
    return tuple(legs)


def coordinates_m(air: Air, piece: Piece) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return seconds after its start, x and y along a piece, each of shape (n,)."""
    if piece.turn_deg is not None:
        return _turned(air, piece)
    steps = np.linspace(0.0, piece.seconds, max(2, int(piece.seconds / _STRAIGHT_STEP_S) + 1))
    if not piece.onto_course:
        vx, vy = air.ground_mps(piece.heading_deg)
        return steps, piece.x_m + vx * steps, piece.y_m + vy * steps
    share = 1.0 - steps / max(piece.seconds, 1e-9)
    closing_m = min(abs(piece.y_m) / math.tan(math.radians(_CLOSING_DEG)), piece.x_m)
    left = 1.0 - (piece.x_m - share * piece.x_m) / max(closing_m, 1e-9)
    return steps, piece.x_m * share, piece.y_m * np.clip(left, 0.0, 1.0)


def _turned(air: Air, piece: Piece) -> tuple[FloatArray, FloatArray, FloatArray]:
    turn_deg = piece.turn_deg or 0.0
    rate_deg_s, roll_s = air.rolled(turn_deg)
    steps = np.linspace(0.0, piece.seconds, max(3, int(piece.seconds / _STEP_S) + 1))
    banked = np.clip(steps - 0.5 * roll_s, 0.0, abs(turn_deg) / rate_deg_s)
    rate = math.copysign(math.radians(rate_deg_s), turn_deg)
    start, end = math.radians(piece.heading_deg), math.radians(piece.heading_deg + turn_deg)
    heading = start + rate * banked
    before = np.minimum(steps, 0.5 * roll_s)
    after = np.maximum(steps - 0.5 * roll_s - abs(turn_deg) / rate_deg_s, 0.0)
    ahead = (np.sin(heading) - math.sin(start)) / rate + math.cos(start) * before + math.cos(end) * after
    aside = (math.cos(start) - np.cos(heading)) / rate + math.sin(start) * before + math.sin(end) * after
    return (
        steps,
        piece.x_m - air.tas_mps * ahead + air.wind_x_mps * steps,
        piece.y_m + air.tas_mps * aside + air.wind_y_mps * steps,
    )


def _leg(air: Air, piece: Piece, side: int, inbound_true_deg: float) -> PathLeg:
    steps, x, y = coordinates_m(air, piece)
    turn_deg, heading, drift, onto = piece.turn_deg, None, None, None
    if turn_deg is None:
        vx, vy = air.ground_mps(piece.heading_deg)
        track = math.degrees(math.atan2(vy, -vx))
        heading = (inbound_true_deg + side * piece.heading_deg) % 360.0
        drift = side * short_way(track, piece.heading_deg)
    else:
        onto = (inbound_true_deg + side * (piece.heading_deg + turn_deg)) % 360.0
    return PathLeg(
        piece.phase,
        x,
        side * y,
        piece.start_s + steps,
        heading,
        turn_deg=None if turn_deg is None else side * turn_deg,
        drift_correction_deg=drift,
        timed_s=piece.timed_s,
        lap=piece.lap,
        tracked=piece.tracked,
        to_heading_true_deg=onto,
        end=piece.end,
    )
