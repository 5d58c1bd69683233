"""Flying a planned path piece by piece: straights and turns of an aircraft in a steady wind.

Headings here are relative to the inbound course, positive to its right: 0 is inbound, 180 outbound.
"""

import math
from dataclasses import dataclass, field

import numpy as np

from analyzer.given import PhaseName
from analyzer.standards import FLYING
from analyzer.units import FloatArray, rate_of_bank_deg_s, wrap_180

STANDARD_RATE_DEG_S = FLYING["turn.standard_rate"].value
#: where the standard rate would need more bank than this, this bank is flown
MOST_BANK_DEG = FLYING["icao.bank"].value
_STEP_S = 1.0
_INTERCEPT_DEG = 45
_ON_COURSE_M = 5.0


class NoSuchHeadingError(ValueError):
    """No heading holds the wanted track: the wind is too strong for the airspeed."""


@dataclass(frozen=True)
class PathLeg:
    """One leg of a planned path, metres in the frame's axes, with the phase it belongs to and its instructions.

    `heading_true_deg` is None for a turn; `turn_deg` is None for a straight and positive to the right;
    `drift_correction_deg` is heading minus track on a straight, positive to the right; `timed_s` is what the clock
    is asked for (a hold's outbound leg is timed from abeam the fix), None where the leg is not timed; `lap` counts
    the circuits of a hold, its entry being 1.
    """

    phase: PhaseName
    along_m: FloatArray
    cross_m: FloatArray
    time_s: FloatArray
    heading_true_deg: float | None
    turn_deg: float | None = None
    drift_correction_deg: float | None = None
    timed_s: float | None = None
    lap: int = 1

    @property
    def duration_s(self) -> float:
        """Seconds from the leg's first to its last moment."""
        return float(self.time_s[-1] - self.time_s[0])


def turn_rate_deg_s(
    tas_mps: float, bank_deg: float = MOST_BANK_DEG, ceiling_deg_s: float = STANDARD_RATE_DEG_S
) -> float:
    """Return the rate of a turn at a bank angle, not above the ceiling, degrees per second."""
    return min(ceiling_deg_s, rate_of_bank_deg_s(bank_deg, tas_mps))


@dataclass
class PlannedFlight:
    """An aircraft that flies straights and turns one after the other; wings go from level to bank at once.

    Parameters
    ----------
    tas_mps, rate_deg_s : float
        True airspeed and rate of turn, both kept throughout.
    wind_along_mps, wind_cross_mps : float
        Where the air moves to, in the frame's axes.
    inbound_true_deg : float
        The frame's inbound course, for headings as true.
    """

    tas_mps: float
    rate_deg_s: float
    wind_along_mps: float
    wind_cross_mps: float
    inbound_true_deg: float
    along_m: float = 0.0
    cross_m: float = 0.0
    heading_deg: float = 180.0
    time_s: float = 0.0
    lap: int = 1
    legs: list[PathLeg] = field(default_factory=list)

    def heading_for_track(self, track_deg: float) -> float:
        """Return the relative heading that keeps a relative track in the wind.

        Raises
        ------
        NoSuchHeadingError
            Where the crosswind is not less than the airspeed or the aircraft would be blown backwards.
        """
        track = math.radians(track_deg)
        to_the_right = self.wind_along_mps * math.sin(track) + self.wind_cross_mps * math.cos(track)
        tailwind = -self.wind_along_mps * math.cos(track) + self.wind_cross_mps * math.sin(track)
        if abs(to_the_right) >= self.tas_mps:
            raise NoSuchHeadingError("the crosswind is not less than the airspeed")
        correction = -math.asin(to_the_right / self.tas_mps)
        if self.tas_mps * math.cos(correction) + tailwind <= 0.05 * self.tas_mps:
            raise NoSuchHeadingError("the headwind is about as fast as the aircraft")
        return track_deg + math.degrees(correction)

    def ground_rate(self, heading_deg: float) -> tuple[float, float]:
        """Return along and cross ground velocity on a relative heading, m/s."""
        heading = math.radians(heading_deg)
        return (
            -self.tas_mps * math.cos(heading) + self.wind_along_mps,
            self.tas_mps * math.sin(heading) + self.wind_cross_mps,
        )

    def turn_change(self, from_deg: float, turn_deg: float) -> tuple[float, float, float]:
        """Return along and cross displacement over the ground and the duration of a turn, positive to the right."""
        along, cross, seconds = self._turned(from_deg, turn_deg, np.array([abs(turn_deg) / self.rate_deg_s]))
        return float(along[0]), float(cross[0]), float(seconds[0])

    def straight(self, phase: PhaseName, seconds: float, timed_s: float | None = None) -> None:
        """Fly on the present heading."""
        along_rate, cross_rate = self.ground_rate(self.heading_deg)
        seconds = max(seconds, 0.0)
        steps = np.linspace(0.0, seconds, max(2, int(seconds / 5.0) + 1))
        track = math.degrees(math.atan2(cross_rate, -along_rate))
        correction = wrap_180(self.heading_deg - track)
        self._append(
            PathLeg(
                phase,
                self.along_m + along_rate * steps,
                self.cross_m + cross_rate * steps,
                self.time_s + steps,
                (self.heading_deg + self.inbound_true_deg) % 360.0,
                drift_correction_deg=correction,
                timed_s=timed_s,
                lap=self.lap,
            )
        )

    def turn(self, phase: PhaseName, turn_deg: float) -> None:
        """Turn through so many degrees, positive to the right."""
        duration = abs(turn_deg) / self.rate_deg_s
        steps = np.linspace(0.0, duration, max(2, int(duration / _STEP_S) + 1))
        along, cross, _ = self._turned(self.heading_deg, turn_deg, steps)
        self._append(
            PathLeg(
                phase,
                self.along_m + along,
                self.cross_m + cross,
                self.time_s + steps,
                None,
                turn_deg=turn_deg,
                lap=self.lap,
            )
        )
        self.heading_deg = (self.heading_deg + turn_deg) % 360.0

    def _turned(
        self, from_deg: float, turn_deg: float, steps_s: FloatArray
    ) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Displacement after each of the steps of a turn: the circle in the air and the drift of the air."""
        rate = math.copysign(math.radians(self.rate_deg_s), turn_deg)
        start = math.radians(from_deg)
        heading = start + rate * steps_s
        along = -self.tas_mps * (np.sin(heading) - math.sin(start)) / rate + self.wind_along_mps * steps_s
        cross = -self.tas_mps * (np.cos(heading) - math.cos(start)) / rate + self.wind_cross_mps * steps_s
        return along, cross, steps_s

    def _append(self, leg: PathLeg) -> None:
        self.legs.append(leg)
        self.along_m = float(leg.along_m[-1])
        self.cross_m = float(leg.cross_m[-1])
        self.time_s = float(leg.time_s[-1])


def turn_to(from_deg: float, to_deg: float, sign: int) -> float:
    """Return the signed turn from one heading to another in the given direction, 0 to 360 degrees in size."""
    return sign * (((to_deg - from_deg) * sign) % 360.0)


def turn_inbound(plan: PlannedFlight, sign: int, side: int, first_track_deg: float | None = None) -> None:
    """Turn towards the inbound course in the direction `sign` and end on it.

    The turn runs straight onto the course where that fits. Otherwise it stops at the steepest intercept (45 degrees, or
    `first_track_deg`) that still leaves room to turn onto the course; beyond the course it goes on and comes back.
    """
    inbound = plan.heading_for_track(0.0)
    through = turn_to(plan.heading_deg, inbound, sign)
    if abs(plan.cross_m + plan.turn_change(plan.heading_deg, through)[1]) <= _ON_COURSE_M:
        plan.turn("reversal turn", through)
        return
    tracks = [-side * float(angle) for angle in range(_INTERCEPT_DEG, 0, -1)]
    if first_track_deg is not None:
        tracks.insert(0, first_track_deg)
    tracks += [side * float(angle) for angle in range(30, 0, -1)]
    for track in tracks:
        heading = plan.heading_for_track(track)
        first = turn_to(plan.heading_deg, heading, sign)
        last = wrap_180(inbound - heading)
        cross_after = plan.cross_m + plan.turn_change(plan.heading_deg, first)[1] + plan.turn_change(heading, last)[1]
        seconds = -cross_after / plan.ground_rate(heading)[1]
        if seconds >= 0.0:
            plan.turn("reversal turn", first)
            plan.straight("intercept", seconds)
            plan.turn("intercept", last)
            return
    plan.turn("reversal turn", through)


def fly_to_fix(plan: PlannedFlight) -> None:
    """Fly inbound to abeam the fix; nothing is added where the turn ended beyond it."""
    speed = -plan.ground_rate(plan.heading_deg)[0]
    if plan.along_m > 0.0 and speed > 0.0:
        plan.straight("inbound", plan.along_m / speed)
