"""A point mass in coordinated flight over a plane with steady wind: the physics and nothing else.

East and north in metres from the fix. The only assumptions: bank changes by at most 5 degrees a second, the rate of
turn is g tan(bank) / true airspeed, the vertical speed changes by at most 100 ft/min a second.
"""

import math
from dataclasses import dataclass

GRAVITY = 9.80665  # m/s2
KNOT = 1852.0 / 3600.0  # m/s
NAUTICAL_MILE = 1852.0  # m
FOOT = 0.3048  # m
ROLL_DEG_S = 5.0
STEP_S = 0.1


def wrap(degrees: float) -> float:
    """Angle in [-180, 180)."""
    return (degrees + 180.0) % 360.0 - 180.0


@dataclass(frozen=True)
class Air:
    """Steady wind, where it blows from (degrees true) and knots."""

    wind_from_deg: float = 0.0
    wind_kt: float = 0.0

    @property
    def east_mps(self) -> float:
        return -self.wind_kt * KNOT * math.sin(math.radians(self.wind_from_deg))

    @property
    def north_mps(self) -> float:
        return -self.wind_kt * KNOT * math.cos(math.radians(self.wind_from_deg))

    def crab_deg(self, course_deg: float, tas_kt: float) -> float:
        """Heading minus course that keeps the course, degrees; 90 on the wind's side where none keeps it."""
        across_kt = self.wind_kt * math.sin(math.radians(self.wind_from_deg - course_deg))
        return math.degrees(math.asin(max(-1.0, min(1.0, across_kt / tas_kt))))

    def groundspeed_kt(self, course_deg: float, tas_kt: float) -> float:
        """Speed over the ground along a course that is held, knots."""
        crab = math.radians(self.crab_deg(course_deg, tas_kt))
        return tas_kt * math.cos(crab) - self.wind_kt * math.cos(math.radians(self.wind_from_deg - course_deg))


def turn_rate_deg_s(bank_deg: float, tas_kt: float) -> float:
    """Rate of a coordinated turn, degrees a second."""
    return math.degrees(GRAVITY * math.tan(math.radians(bank_deg)) / (tas_kt * KNOT))


def bank_for_rate_deg(rate_deg_s: float, tas_kt: float) -> float:
    """Bank of a coordinated turn at a rate, degrees."""
    return math.degrees(math.atan(math.radians(rate_deg_s) * tas_kt * KNOT / GRAVITY))


def normal_bank_deg(tas_kt: float, most_bank_deg: float = 25.0) -> float:
    """Bank for 3 degrees a second, or the largest allowed where that is less."""
    return min(bank_for_rate_deg(3.0, tas_kt), most_bank_deg)


def roll_out_lead_deg(bank_deg: float, tas_kt: float) -> float:
    """Degrees still turned while the wings are rolled level from a bank: the integral of g tan(b)/V over the roll."""
    per_second = GRAVITY / (tas_kt * KNOT)
    return math.degrees(-per_second * math.log(math.cos(math.radians(bank_deg))) / math.radians(ROLL_DEG_S))


@dataclass
class Aircraft:
    """Where the aircraft is and how it flies; `step` moves it on."""

    east_m: float
    north_m: float
    heading_deg: float
    altitude_ft: float
    tas_kt: float
    air: Air
    bank_deg: float = 0.0
    climb_fpm: float = 0.0
    time_s: float = 0.0

    def step(self, bank_deg: float, climb_fpm: float, seconds: float = STEP_S) -> None:
        """Move on by a moment with a bank and a vertical speed aimed at."""
        roll = ROLL_DEG_S * seconds
        before = self.bank_deg
        self.bank_deg += max(-roll, min(roll, bank_deg - before))
        climb = 100.0 * seconds
        self.climb_fpm += max(-climb, min(climb, climb_fpm - self.climb_fpm))
        rate = turn_rate_deg_s(0.5 * (before + self.bank_deg), self.tas_kt)
        middle = math.radians(self.heading_deg + 0.5 * rate * seconds)
        speed = self.tas_kt * KNOT
        self.east_m += (speed * math.sin(middle) + self.air.east_mps) * seconds
        self.north_m += (speed * math.cos(middle) + self.air.north_mps) * seconds
        self.heading_deg = (self.heading_deg + rate * seconds) % 360.0
        self.altitude_ft += self.climb_fpm / 60.0 * seconds
        self.time_s += seconds

    @property
    def ground_mps(self) -> tuple[float, float]:
        """Speed over the ground, east and north."""
        heading, speed = math.radians(self.heading_deg), self.tas_kt * KNOT
        return speed * math.sin(heading) + self.air.east_mps, speed * math.cos(heading) + self.air.north_mps

    @property
    def ground_track_deg(self) -> float:
        return math.degrees(math.atan2(*self.ground_mps)) % 360.0

    @property
    def groundspeed_kt(self) -> float:
        return math.hypot(*self.ground_mps) / KNOT


@dataclass(frozen=True)
class Line:
    """A course over the ground through a point, degrees true and metres east and north of the fix."""

    course_deg: float
    east_m: float = 0.0
    north_m: float = 0.0

    def right_m(self, aircraft: Aircraft) -> float:
        """Distance right of the line, seen along its course."""
        return self.right_of(aircraft.east_m, aircraft.north_m)

    def right_of(self, east_m: float, north_m: float) -> float:
        """Distance of a place right of the line, metres."""
        course = math.radians(self.course_deg)
        return (east_m - self.east_m) * math.cos(course) - (north_m - self.north_m) * math.sin(course)

    def past_m(self, aircraft: Aircraft) -> float:
        """Distance past the line's point, along its course."""
        course = math.radians(self.course_deg)
        east, north = aircraft.east_m - self.east_m, aircraft.north_m - self.north_m
        return east * math.sin(course) + north * math.cos(course)

    def point(self, past_nm: float, right_nm: float = 0.0) -> tuple[float, float]:
        """East and north of a point given along and right of the line, metres."""
        course = math.radians(self.course_deg)
        along, across = past_nm * NAUTICAL_MILE, right_nm * NAUTICAL_MILE
        east = self.east_m + along * math.sin(course) + across * math.cos(course)
        north = self.north_m + along * math.cos(course) - across * math.sin(course)
        return east, north
