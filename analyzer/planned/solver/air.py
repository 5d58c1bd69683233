"""An aircraft in a steady wind, in closed form: how far a straight or a turn takes it over the ground.

The plane is about the fix and turned to the side on which the reversal lies: x outbound along the course, y towards the
manoeuvring (holding) side. Headings are relative to the inbound course, positive towards the direction of the reversal
turn: 0 is inbound, 180 outbound. A reversal to the left is the mirror image of one to the right.
"""

import math
from dataclasses import dataclass

from analyzer.planned.turn_rate import turn_rate_deg_s
from analyzer.units import bank_of_turn_deg, wrap_180

#: rolling in and out: an unhurried 5 degrees of bank a second (common practice; the criteria allow 5 s for it,
#: ICAO Doc 8168 volume II I-4-3, 3.6.2 h) 3)
ROLL_DEG_PER_S = 5.0
#: the least groundspeed with which a track is called held, as a share of the airspeed (own choice)
LEAST_GROUNDSPEED_SHARE = 0.05


class NoSuchHeadingError(ValueError):
    """No heading holds the wanted track: the wind is too strong for the airspeed."""


@dataclass(frozen=True, slots=True)
class Air:
    """True airspeed, rate of turn, time to roll in or out, and where the air moves to (x outbound, y to the side)."""

    tas_mps: float
    rate_deg_s: float
    roll_s: float
    wind_x_mps: float
    wind_y_mps: float

    def ground_mps(self, heading_deg: float) -> tuple[float, float]:
        """Return x and y of the ground velocity on a heading."""
        heading = math.radians(heading_deg)
        return (
            -self.tas_mps * math.cos(heading) + self.wind_x_mps,
            self.tas_mps * math.sin(heading) + self.wind_y_mps,
        )

    def heading_for_track(self, track_deg: float) -> float:
        """Return the heading that keeps a track in the wind, within 90 degrees of it.

        Raises
        ------
        NoSuchHeadingError
            Where the crosswind is not less than the airspeed, or hardly any groundspeed is left.
        """
        track = math.radians(track_deg)
        across = self.wind_x_mps * math.sin(track) + self.wind_y_mps * math.cos(track)
        tail = -self.wind_x_mps * math.cos(track) + self.wind_y_mps * math.sin(track)
        if abs(across) >= self.tas_mps:
            raise NoSuchHeadingError("the crosswind is not less than the airspeed")
        correction = -math.asin(across / self.tas_mps)
        if self.tas_mps * math.cos(correction) + tail <= LEAST_GROUNDSPEED_SHARE * self.tas_mps:
            raise NoSuchHeadingError("the headwind is about as fast as the aircraft")
        return track_deg + math.degrees(correction)

    def rolled(self, turn_deg: float) -> tuple[float, float]:
        """Return rate (degrees per second) and roll time of a turn: a small one never reaches its full bank."""
        size = abs(turn_deg)
        if size >= self.rate_deg_s * self.roll_s or self.roll_s <= 0.0:
            return self.rate_deg_s, self.roll_s
        roll_s = math.sqrt(size * self.roll_s / self.rate_deg_s)
        return max(size / roll_s, 1e-9) if roll_s > 0.0 else self.rate_deg_s, roll_s

    def turn(self, from_deg: float, turn_deg: float) -> tuple[float, float, float]:
        """Return x, y and seconds of a turn from roll-in to wings level, positive towards the reversal turn.

        While rolling the rate is a ramp: to within 2 m that is the same as starting and ending half the roll time late.
        """
        if turn_deg == 0.0:
            return 0.0, 0.0, 0.0
        rate_deg_s, roll_s = self.rolled(turn_deg)
        rate = math.copysign(math.radians(rate_deg_s), turn_deg)
        start, end = math.radians(from_deg), math.radians(from_deg + turn_deg)
        seconds = abs(turn_deg) / rate_deg_s + roll_s
        half = 0.5 * roll_s
        ahead = (math.sin(end) - math.sin(start)) / rate + half * (math.cos(start) + math.cos(end))
        aside = (math.cos(start) - math.cos(end)) / rate + half * (math.sin(start) + math.sin(end))
        return (
            -self.tas_mps * ahead + self.wind_x_mps * seconds,
            self.tas_mps * aside + self.wind_y_mps * seconds,
            seconds,
        )


def air_for(tas_mps: float, wind_x_mps: float, wind_y_mps: float) -> Air:
    """Return the air of a flight that turns at 3 deg/s or 25 degrees of bank, whichever needs less bank."""
    rate = turn_rate_deg_s(tas_mps)
    return Air(tas_mps, rate, bank_of_turn_deg(rate, tas_mps) / ROLL_DEG_PER_S, wind_x_mps, wind_y_mps)


def way_round(from_deg: float, to_deg: float, sign: int) -> float:
    """Return the signed turn from one heading to another in the given direction, 0 to 360 degrees in size."""
    return sign * (((to_deg - from_deg) * sign) % 360.0)


def short_way(from_deg: float, to_deg: float) -> float:
    """Return the signed turn the short way, in [-180, 180)."""
    return float(wrap_180(to_deg - from_deg))
