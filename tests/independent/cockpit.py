"""What a pilot does with the aircraft: hold a heading, turn, track or join a course, change altitude.

Each action runs until its end is reached and is written down; what the altitude does meanwhile was set
before, or is set by a watch.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, field

from tests.independent.ahead import turned
from tests.independent.aircraft import (
    KNOT,
    NAUTICAL_MILE,
    STEP_S,
    Air,
    Aircraft,
    Line,
    normal_bank_deg,
    roll_out_lead_deg,
    wrap,
)
from tests.independent.pilot import MACHINE, Errors, Pilot

ALTITUDE_LAG_S = 6.0  # how soon a pilot closes an altitude that is off
LEVEL_OFF_FT_S2 = 1.2  # the level-off is begun early enough for this change of the vertical speed
TRACKING_S = 25.0  # a tracking error is closed at an angle that would take it out in this time
LONGEST_ACTION_S = 1500.0

Until = Callable[["Cockpit"], bool]


@dataclass(frozen=True)
class Moment:
    """One recorded moment."""

    time_s: float
    east_m: float
    north_m: float
    altitude_ft: float
    heading_deg: float
    bank_deg: float
    tas_kt: float
    groundspeed_kt: float
    track_deg: float


class LostError(AssertionError):
    """An action that never came to its end: the flight can't be flown so."""


@dataclass
class Cockpit:
    """A flight under way.

    `marks` holds moments by name (start and end of turns and legs), as the truth to compare with; `most_bank_deg` the
    bank limit of turns, `fixed_bank_deg` a bank flown in all turns in its place.
    """

    aircraft: Aircraft
    pilot: Pilot = MACHINE
    seed: int = 1
    most_bank_deg: float = 25.0
    fixed_bank_deg: float | None = None
    knows_wind: bool = True
    errors: Errors = field(init=False)
    moments: list[Moment] = field(init=False, default_factory=list)
    marks: dict[str, float] = field(init=False, default_factory=dict)
    places: dict[str, tuple[float, float]] = field(init=False, default_factory=dict)
    _watches: list[tuple[Until, Callable[["Cockpit"], None]]] = field(init=False, default_factory=list)

    def __post_init__(self) -> None:
        self.errors = Errors(self.pilot, self.seed)
        self.base_tas_kt = self.aircraft.tas_kt
        self.target_ft = self.aircraft.altitude_ft
        self.rate_fpm = 500.0
        self._next_record_s = self.aircraft.time_s
        self._record()

    # --- time ---

    @property
    def time_s(self) -> float:
        return self.aircraft.time_s

    def mark(self, name: str) -> None:
        """Write down the moment and the place by a name."""
        self.marks[name] = self.aircraft.time_s
        self.places[name] = (self.aircraft.east_m, self.aircraft.north_m)

    def when(self, condition: Until, action: Callable[["Cockpit"], None]) -> None:
        """Do an action once, as soon as a condition holds."""
        self._watches.append((condition, action))

    def descend(self, to_ft: float, fpm: float = 600.0) -> None:
        """Climb or descend from now on to an altitude, at a rate."""
        self.target_ft, self.rate_fpm = to_ft, fpm

    def step(self, bank_deg: float) -> None:
        """Move on by one step with a bank aimed at."""
        aircraft = self.aircraft
        now = aircraft.time_s
        aircraft.tas_kt = self.base_tas_kt + self.errors.speed_kt(now)
        wanted = self.target_ft + self.errors.altitude_ft(now)
        off_ft = wanted - aircraft.altitude_ft
        most_fpm = min(self.rate_fpm, 60.0 * math.sqrt(2.0 * LEVEL_OFF_FT_S2 * abs(off_ft)))
        aircraft.step(bank_deg, max(-most_fpm, min(most_fpm, off_ft / ALTITUDE_LAG_S * 60.0)))
        if aircraft.time_s >= self._next_record_s - 1e-6:
            self._record()
        for watch in list(self._watches):
            if watch[0](self):
                self._watches.remove(watch)
                watch[1](self)

    def _record(self) -> None:
        one = self.aircraft
        self._next_record_s += 1.0
        self.moments.append(
            Moment(
                one.time_s, one.east_m, one.north_m, one.altitude_ft, one.heading_deg, one.bank_deg, one.tas_kt,
                one.groundspeed_kt, one.ground_track_deg,
            )
        )  # fmt: skip

    # --- what is flown ---

    def crab_deg(self, course_deg: float) -> float:
        """Drift correction on a course: what the wind asks for, or none where the pilot pays the wind no heed."""
        if not self.knows_wind:
            return 0.0
        return self.aircraft.air.crab_deg(course_deg, self.base_tas_kt)

    def bank_deg(self, bank_deg: float | None = None) -> float:
        """Bank of the next turn, with the pilot's error."""
        asked = bank_deg if bank_deg is not None else self.fixed_bank_deg
        return (normal_bank_deg(self.base_tas_kt, self.most_bank_deg) if asked is None else asked) * (
            self.errors.bank_factor()
        )

    def hold(self, heading_deg: float, until: Until | float, name: str = "leg") -> None:
        """Hold a heading for seconds, or until a condition holds; ends with the wings as they are."""
        self.mark(f"{name} start")
        end_s = self.time_s + until if isinstance(until, int | float) else math.inf
        limit_s = self.time_s + LONGEST_ACTION_S
        while self.time_s < end_s - 0.5 * STEP_S and not (callable(until) and until(self)):
            self._steer(heading_deg + self.errors.heading_deg(self.time_s), 0.8)
            self._not_lost(limit_s, name)
        self.mark(f"{name} end")

    def turn(
        self, side: int, to_deg: float | None = None, degrees: float | None = None, bank_deg: float | None = None,
        name: str = "turn", until: Until | None = None,
    ) -> None:  # fmt: skip
        """Turn (side +1 right, -1 left) on to a heading the way of that side, or through degrees; ends wings level.

        `until` ends the turn earlier, when it first holds: the roll-out begins there.
        """
        self.mark(f"{name} start")
        aircraft = self.aircraft
        start_deg = aircraft.heading_deg
        if degrees is None:
            error = self.errors.roll_out_deg()
            degrees = (side * ((to_deg or 0.0) - start_deg)) % 360.0 + side * error
        else:
            degrees += side * self.errors.roll_out_deg()
        bank = self.bank_deg(bank_deg)
        done, last = 0.0, start_deg
        limit_s = self.time_s + LONGEST_ACTION_S
        while True:
            lead = roll_out_lead_deg(abs(aircraft.bank_deg), aircraft.tas_kt)
            if degrees - done <= lead or (until is not None and until(self)):
                break
            self.step(side * bank)
            done += side * wrap(aircraft.heading_deg - last)
            last = aircraft.heading_deg
            self._not_lost(limit_s, name)
        while abs(aircraft.bank_deg) > 0.26:
            self.step(0.0)
        self.mark(f"{name} end")

    def track(
        self, line: Line, until: Until, steepest_deg: float = 30.0, name: str = "track", offset_nm: float = 0.0,
        station: tuple[float, float] | None = None, frozen_nm: float = 0.0,
    ) -> None:  # fmt: skip
        """Track a line over the ground, closing on it at no more than an angle, until a condition holds.

        `offset_nm` is aimed at right of the line; `station` is where the needle's error is seen from (none: the error
        is `Pilot.track_nm`); within `frozen_nm` of it the heading is held.
        """
        self.mark(f"{name} start")
        limit_s = self.time_s + LONGEST_ACTION_S
        aircraft = self.aircraft
        held_deg: float | None = None
        while not until(self):
            speed = max(aircraft.groundspeed_kt, 20.0) * KNOT
            aim_m = offset_nm * NAUTICAL_MILE + self._needle_m(station)
            right = line.right_m(aircraft) - aim_m
            angle = math.degrees(math.atan(right / (speed * TRACKING_S)))
            angle = max(-steepest_deg, min(steepest_deg, angle))
            heading = line.course_deg - angle + self.crab_deg(line.course_deg - angle)
            near = station is not None and frozen_nm > 0.0 and self.distance_m(station) < frozen_nm * NAUTICAL_MILE
            if near:
                held_deg = heading if held_deg is None else held_deg
            self._steer(held_deg if near and held_deg is not None else heading)
            self._not_lost(limit_s, name)
        self.mark(f"{name} end")

    def join(self, line: Line, bank_deg: float | None = None, name: str = "join") -> None:
        """Hold the heading until the turn onto a line has to begin, and turn onto it by the shorter way.

        Does nothing where the aircraft is flying along the line or away from it: tracking does the rest.
        """
        course = line.course_deg
        final_deg = course + self.crab_deg(course)
        if abs(wrap(self.aircraft.heading_deg - final_deg)) < 12.0:
            return
        heading = self.aircraft.heading_deg
        side = 1 if wrap(final_deg - heading) > 0 else -1
        # closing on the line means: left of it with the turn onto it to the left, or the mirror of that
        if line.right_m(self.aircraft) * side < 0.0:
            self.turn(side, to_deg=final_deg, bank_deg=bank_deg, name=name)
            return
        self.hold(heading, lambda c: c.turn_ends_beyond(line, side, final_deg, bank_deg), name=f"{name} leg")
        self.turn(side, to_deg=final_deg, bank_deg=bank_deg, name=name)

    def turn_ends_beyond(self, line: Line, side: int, to_deg: float, bank_deg: float | None = None) -> bool:
        """Whether a turn begun now would end on or beyond a line that is closed on with the turn to that side."""
        right_m = self.right_after_turn_m(line, side, to_deg, bank_deg)
        return right_m * side <= 0.0

    def right_after_turn_m(self, line: Line, side: int, to_deg: float, bank_deg: float | None = None) -> float:
        """Distance right of a line at the end of a turn begun now, by flying it ahead on a copy of the aircraft."""
        bank = normal_bank_deg(self.base_tas_kt, self.most_bank_deg) if bank_deg is None else bank_deg
        return line.right_m(turned(self.aircraft, side, to_deg=to_deg, bank_deg=bank))

    def distance_m(self, place: tuple[float, float] = (0.0, 0.0)) -> float:
        """Distance from a place (the fix)."""
        return math.hypot(self.aircraft.east_m - place[0], self.aircraft.north_m - place[1])

    def _needle_m(self, station: tuple[float, float] | None) -> float:
        pilot = self.pilot
        if pilot.needle_deg == 0.0:
            return 0.0
        most_m = pilot.track_nm * NAUTICAL_MILE
        if station is not None:
            most_m = min(most_m, self.distance_m(station) * math.tan(math.radians(pilot.needle_deg)))
        return most_m * self.errors.needle(self.time_s)

    def _steer(self, heading_deg: float, gain: float = 1.0) -> None:
        off = wrap(heading_deg - self.aircraft.heading_deg)
        most = normal_bank_deg(self.base_tas_kt, self.most_bank_deg)
        self.step(max(-most, min(most, gain * off)))

    def _not_lost(self, limit_s: float, name: str) -> None:
        if self.time_s > limit_s:
            raise LostError(f"{name}: not at its end after {LONGEST_ACTION_S:.0f} s")


def started(
    line: Line, past_nm: float, right_nm: float, altitude_ft: float, tas_kt: float, air: Air, **more: object
) -> Cockpit:
    """Return a flight that begins on a course, at a place along it and right of it, with the drift held."""
    east, north = line.point(past_nm, right_nm)
    heading = (line.course_deg + air.crab_deg(line.course_deg, tas_kt)) % 360.0
    return Cockpit(Aircraft(east, north, heading, altitude_ft, tas_kt, air), **more)  # type: ignore[arg-type]


def passed(line: Line, nm: float = 0.0) -> Until:
    """Whether the line's point (or so many miles past it) lies behind."""
    return lambda cockpit: line.past_m(cockpit.aircraft) >= nm * NAUTICAL_MILE


def after(seconds: float, since: float) -> Until:
    """Whether so many seconds went by since a moment."""
    return lambda cockpit: cockpit.time_s >= since + seconds - 0.5 * STEP_S
