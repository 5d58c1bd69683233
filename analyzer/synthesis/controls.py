"""What a pilot does with the controls: turns, holding a heading, following a line, all noted with their times."""

from collections.abc import Callable
from dataclasses import dataclass, field
from math import asin, atan, atan2, cos, degrees, hypot, pi, radians, sin
from typing import Literal

import numpy as np

from analyzer.synthesis.aircraft import STEP_S, Aircraft, wobble
from analyzer.synthesis.plan import Pilot
from analyzer.units import GRAVITY_MPS2, wrap_180

TurnPurpose = Literal["outbound", "offset", "reversal", "onto course", "other"]


#: how fast the wanted heading changes where a line is followed: small corrections are not turns
CORRECTION_RATE_DEG_S = 1.0


@dataclass
class TurnNote:
    """One turn as commanded: start of roll-in, wings level (None where the track ended first), heading change."""

    purpose: TurnPurpose
    start_s: float
    start_heading_deg: float
    end_s: float | None = None
    end_heading_deg: float | None = None

    @property
    def degrees(self) -> float:
        """Change of heading, positive right; nan while the turn is not finished."""
        if self.end_heading_deg is None:
            return float("nan")
        return self.end_heading_deg - self.start_heading_deg


@dataclass
class LapNote:
    """One circuit: the moment the pilot took for the passage that begins it, its turns, the passage that ends it."""

    passage_s: float
    turns: list[TurnNote] = field(default_factory=list)
    inbound_passage_s: float | None = None


@dataclass
class AttemptNote:
    """One reversal as the pilot flew it."""

    start_s: float
    laps: list[LapNote] = field(default_factory=list)
    return_turn: TurnNote | None = None
    wrong_side: bool = False
    entry: str | None = None


class Controls:
    """The pilot's hands: closed loops on bank around an aircraft.

    All headings and tracks are relative to the inbound course. `wind_correction` scales the drift that is allowed
    for; the needle is seen whatever the wind.
    """

    def __init__(self, aircraft: Aircraft, pilot: Pilot, generator: np.random.Generator) -> None:
        self.aircraft = aircraft
        self.pilot = pilot
        self.wind_correction = pilot.wind_correction
        self.bank_less_deg = 0.0
        self.turns: list[TurnNote] = []
        self._line_deg, self._learned_deg = 999.0, 0.0
        self._eased_deg, self._followed_s = aircraft.heading, -99.0
        self._heading_wobble = wobble(generator, pilot.heading_sigma_deg, pilot.correlation_s)
        self._rollout = (pilot.rollout_sigma_deg * generator.standard_normal(400)).tolist()

    @property
    def turn_bank_deg(self) -> float:
        """Bank of a standard turn: what gives the turn rate, capped, less what the pilot lacks."""
        aircraft = self.aircraft
        rate = radians(self.pilot.turn_rate_deg_s)
        bank = degrees(atan(aircraft.speed_target * rate / GRAVITY_MPS2))
        return max(8.0, min(bank, self.pilot.max_bank_deg) - self.bank_less_deg)

    @property
    def turn_rate_deg_s(self) -> float:
        """Rate that `turn_bank_deg` gives."""
        tangent = np.tan(radians(self.turn_bank_deg))
        return float(degrees(GRAVITY_MPS2 * tangent / self.aircraft.speed_target))

    @property
    def radius_m(self) -> float:
        """Radius of a turn in still air."""
        return self.aircraft.speed_target / radians(self.turn_rate_deg_s)

    @property
    def track_deg(self) -> float:
        """Ground track at this moment."""
        aircraft = self.aircraft
        heading = radians(aircraft.heading)
        along_mps = -aircraft.tas * cos(heading) + aircraft.wind_along
        cross_mps = aircraft.tas * sin(heading) + aircraft.wind_cross
        return degrees(atan2(cross_mps, -along_mps))

    def drift_correction_deg(self, track_deg: float) -> float:
        """Correction to the right that keeps a track in the wind; limited to 60 degrees."""
        aircraft = self.aircraft
        track = radians(track_deg)
        to_right = aircraft.wind_along * sin(track) + aircraft.wind_cross * cos(track)
        return degrees(asin(max(-0.87, min(0.87, -to_right / aircraft.speed_target))))

    def heading_for(self, track_deg: float) -> float:
        """Heading the pilot takes for a track."""
        return track_deg + self.wind_correction * self.drift_correction_deg(track_deg)

    def groundspeed_on(self, track_deg: float) -> float:
        """Speed over the ground on a track, drift corrected."""
        aircraft = self.aircraft
        track = radians(track_deg)
        tail = -aircraft.wind_along * cos(track) + aircraft.wind_cross * sin(track)
        return aircraft.speed_target * cos(radians(self.drift_correction_deg(track_deg))) + tail

    def fly_heading(self, heading_deg: float, most_bank_deg: float = 12.0) -> None:
        """Fly one step towards a heading, with the wobble of the hand that flies."""
        aircraft = self.aircraft
        now = aircraft.step_number * STEP_S
        second = int(now)
        part = now - second
        knots = self._heading_wobble
        error = heading_deg + (1.0 - part) * knots[second] + part * knots[second + 1] - aircraft.heading
        error = wrap_180(error)
        # one degree off asks for the bank that would take it out in 5 s
        bank = error * 0.2 * pi / 180.0 * aircraft.tas / GRAVITY_MPS2 * (180.0 / pi)
        aircraft.step(max(-most_bank_deg, min(most_bank_deg, bank)))

    def hold(self, heading_deg: float, until: Callable[[], bool]) -> None:
        """Hold a heading until something is the case."""
        while not until():
            self.fly_heading(heading_deg)

    def hold_for(self, heading_deg: float, seconds: float) -> None:
        """Hold a heading for a time."""
        end = self.aircraft.time_s + seconds
        self.hold(heading_deg, lambda: self.aircraft.time_s >= end - 1e-9)

    def turn(
        self,
        heading_deg: float,
        direction: int,
        purpose: TurnPurpose,
        decide: Callable[[float], float | None] | None = None,
        stop: Callable[[], bool] | None = None,
    ) -> TurnNote:
        """Turn to a heading and roll out on it.

        Parameters
        ----------
        heading_deg : float
            Where to roll out.
        direction : int
            +1 right, -1 left.
        purpose : str
            What the turn is for.
        decide : callable, optional
            Called at each step with the degrees left to turn; may return another heading to roll out on.
        stop : callable, optional
            Called at each step; where it is true the turn is left as it is, in the bank it has.
        """
        aircraft = self.aircraft
        note = TurnNote(purpose, aircraft.time_s, aircraft.heading)
        self.turns.append(note)
        bank = direction * self.turn_bank_deg
        lead_s = 0.5 * abs(bank) / self.pilot.roll_rate_deg_s
        late = self._rollout[len(self.turns) % len(self._rollout)]
        left = (direction * (heading_deg - aircraft.heading)) % 360.0
        target = aircraft.heading + direction * (left + late)
        while True:
            left = direction * (target - aircraft.heading)
            if decide is not None:
                other = decide(left)
                if other is not None:
                    left = (direction * (other - aircraft.heading) + 90.0) % 360.0 - 90.0
                    target = aircraft.heading + direction * left
                    decide = None
            held = abs(aircraft.bank)
            rate = GRAVITY_MPS2 * np.tan(radians(held)) / aircraft.tas * 180.0 / pi
            if left <= rate * min(lead_s, 0.5 * held / self.pilot.roll_rate_deg_s):
                break
            if stop is not None and stop():
                note.end_s, note.end_heading_deg = aircraft.time_s, aircraft.heading
                return note
            aircraft.step(bank)
        while aircraft.bank * direction > 1e-9:
            aircraft.step(0.0)
        note.end_s, note.end_heading_deg = aircraft.time_s, aircraft.heading
        return note

    def turn_shortest(self, heading_deg: float, purpose: TurnPurpose) -> TurnNote:
        """Turn to a heading the short way."""
        change = wrap_180(heading_deg - self.aircraft.heading)
        return self.turn(heading_deg, 1 if change >= 0 else -1, purpose)

    def deviation_m(self, track_deg: float) -> float:
        """Distance to the right of a line through the fix, flown in the direction of `track_deg`."""
        track = radians(track_deg)
        return self.aircraft.along * sin(track) + self.aircraft.cross * cos(track)

    def correction_deg(self, deviation_m: float, most_deg: float = 25.0) -> float:
        """Heading change that takes out a deviation from a line in about 25 s."""
        gain = degrees(1.0 / (25.0 * self.aircraft.speed_target))
        return max(-most_deg, min(most_deg, -gain * deviation_m))

    def follow(self, track_deg: float, offset_m: float = 0.0, most_deg: float = 25.0) -> None:
        """Fly one step along a line through the fix, or one parallel to it to the right."""
        off = self.deviation_m(track_deg) - offset_m
        if abs(wrap_180(track_deg - self._line_deg)) > 5.0:
            self._line_deg, self._learned_deg = track_deg, 0.0
        wanted = track_deg + self.correction_deg(off, most_deg)
        # what the drift correction lacks shows as a lasting deviation; it is learned within a minute or so
        learned = self._learned_deg - STEP_S / 60.0 * self.correction_deg(-off, 10.0)
        self._learned_deg = max(-40.0, min(40.0, learned))
        self._ease_to(self.heading_for(wanted) + self._learned_deg)
        self.fly_heading(self._eased_deg, 15.0)

    def _ease_to(self, heading_deg: float) -> None:
        """Bring the wanted heading on slowly: level for some seconds after a turn, then by a degree a second."""
        aircraft = self.aircraft
        now = aircraft.time_s
        if now - self._followed_s > 1.0:
            self._eased_deg = aircraft.heading
        self._followed_s = now
        turned_s = self.turns[-1].end_s if self.turns else None
        if turned_s is not None and now - turned_s < self.pilot.settle_s:
            return
        change = wrap_180(heading_deg - self._eased_deg)
        most = CORRECTION_RATE_DEG_S * STEP_S
        self._eased_deg += max(-most, min(most, change))

    def home(self, gently: bool = False) -> None:
        """Fly one step towards the fix; gently where the heading is to change as slowly as along a line."""
        aircraft = self.aircraft
        heading = self.heading_for(degrees(atan2(-aircraft.cross, aircraft.along)))
        if gently:
            self._ease_to(heading)
            heading = self._eased_deg
        self.fly_heading(heading, 20.0)

    def passing(self, within_m: float = 3704.0) -> bool:
        """Whether the aircraft is near the fix and moving away from it."""
        aircraft = self.aircraft
        distance = hypot(aircraft.along, aircraft.cross)
        if distance > within_m:
            return False
        heading = radians(aircraft.heading)
        along_mps = -aircraft.tas * cos(heading) + aircraft.wind_along
        cross_mps = aircraft.tas * sin(heading) + aircraft.wind_cross
        return aircraft.along * along_mps + aircraft.cross * cross_mps > 0.0

    def displacement(
        self, from_deg: float, to_deg: float, direction: int, lag_in: float = 1.0
    ) -> tuple[float, float, float]:
        """Along, cross (metres) and time (s) of a turn in the wind; `lag_in` is the part of the roll-in still to come.

        Rolling in and out each cost as much as half their time of straight flight.
        """
        aircraft = self.aircraft
        rate = radians(self.turn_rate_deg_s)
        speed = aircraft.speed_target
        start = radians(from_deg)
        angle = radians((direction * (to_deg - from_deg)) % 360.0)
        end = start + direction * angle
        lag = 0.5 * self.turn_bank_deg / self.pilot.roll_rate_deg_s
        radius = speed / (direction * rate)
        seconds = lag_in * lag + angle / rate + lag
        along = -radius * (sin(end) - sin(start)) - speed * lag * (lag_in * cos(start) + cos(end))
        cross = radius * (cos(start) - cos(end)) + speed * lag * (lag_in * sin(start) + sin(end))
        return along + aircraft.wind_along * seconds, cross + aircraft.wind_cross * seconds, seconds

    def cross_after_turn(self, heading_deg: float, direction: int) -> float:
        """Cross-track that a turn begun (or gone on with) now ends at, on a heading."""
        aircraft = self.aircraft
        lag_in = max(0.0, 1.0 - abs(aircraft.bank) / self.turn_bank_deg)
        return aircraft.cross + self.displacement(aircraft.heading, heading_deg, direction, lag_in)[1]
