"""A point mass with bank and roll rate in a steady wind, stepped at a fixed rate and recorded."""

from dataclasses import dataclass
from math import cos, hypot, pi, radians, sin, tan

import numpy as np

from analyzer.units import GRAVITY_MPS2, FloatArray

STEP_S = 0.05
LONGEST_FLIGHT_S = 9000.0
_DEG = 180.0 / pi


class TrackEndsError(Exception):
    """The moment at which the recording was to end has come."""


def wobble(generator: np.random.Generator, sigma: float, correlation_s: float, spacing_s: float = 1.0) -> list[float]:
    """Return first-order correlated noise at `spacing_s` for the longest flight; zeros for sigma 0.

    The same number of random values is drawn whatever sigma is, so that two flights that differ in one wobble only
    share all the others.
    """
    count = int(LONGEST_FLIGHT_S / spacing_s) + 2
    white = generator.standard_normal(count)
    if sigma == 0.0:
        return [0.0] * count
    keep = float(np.exp(-spacing_s / correlation_s))
    drive = sigma * float(np.sqrt(1.0 - keep * keep))
    value = sigma * float(white[0])
    values = [value]
    for kick in white[1:].tolist():
        value = keep * value + drive * kick
        values.append(value)
    return values


@dataclass(frozen=True)
class State:
    """The noise-free flight, arrays of shape (n,) at even steps, in the axes of the plane about the fix.

    `heading_deg` is relative to the inbound course, unwrapped (0 inbound, +180 outbound); `bank_deg` positive right.
    """

    time_s: FloatArray
    along_m: FloatArray
    cross_m: FloatArray
    along_mps: FloatArray
    cross_mps: FloatArray
    heading_deg: FloatArray
    bank_deg: FloatArray
    tas_mps: FloatArray
    altitude_m: FloatArray

    def __len__(self) -> int:
        return len(self.time_s)

    @property
    def distance_m(self) -> FloatArray:
        """Distance from the fix."""
        return np.hypot(self.along_m, self.cross_m)

    @property
    def groundspeed_mps(self) -> FloatArray:
        """Speed over the ground."""
        return np.hypot(self.along_mps, self.cross_mps)

    @property
    def track_relative_deg(self) -> FloatArray:
        """Ground track against the inbound course, in [-180, 180]."""
        return np.degrees(np.arctan2(self.cross_mps, -self.along_mps))


class Aircraft:
    """State of the aircraft and the controls the pilot has: bank by roll, target speed, target altitude.

    Parameters
    ----------
    along_m, cross_m, heading_deg, altitude_m, tas_mps : float
        Where and how it starts; heading relative to the inbound course.
    wind_along_mps, wind_cross_mps : float
        Velocity of the air in the axes of the plane.
    roll_rate_deg_s, climb_rate_mps : float
        Limits.
    speed_wobble, bank_wobble, altitude_wobble : list of float
        One value a second: m/s added, part of the bank added, metres added.
    """

    def __init__(
        self,
        *,
        along_m: float,
        cross_m: float,
        heading_deg: float,
        altitude_m: float,
        tas_mps: float,
        wind_along_mps: float,
        wind_cross_mps: float,
        roll_rate_deg_s: float,
        climb_rate_mps: float,
        speed_wobble: list[float],
        bank_wobble: list[float],
        altitude_wobble: list[float],
    ) -> None:
        self.step_number = 0
        self.along, self.cross, self.heading = along_m, cross_m, heading_deg
        self.altitude, self.tas, self.bank, self.vertical = altitude_m, tas_mps, 0.0, 0.0
        self.wind_along, self.wind_cross = wind_along_mps, wind_cross_mps
        self.roll_rate, self.climb_rate = roll_rate_deg_s, climb_rate_mps
        self.speed_target, self.altitude_target = tas_mps, altitude_m
        self.field_elevation: float | None = None
        self.on_ground = False
        self.end_s = LONGEST_FLIGHT_S - 10.0
        self._speed_wobble, self._bank_wobble, self._altitude_wobble = speed_wobble, bank_wobble, altitude_wobble
        self._log: list[tuple[float, ...]] = []

    @property
    def time_s(self) -> float:
        """Seconds since the start of the flight."""
        return self.step_number * STEP_S

    def step(self, bank_command_deg: float) -> None:
        """Fly one step with the commanded bank.

        Raises
        ------
        TrackEndsError
            At `end_s`.
        """
        now = self.step_number * STEP_S
        if now >= self.end_s:
            raise TrackEndsError
        second = int(now)
        part = now - second
        knots = self._speed_wobble
        tas = self.tas + (1.0 - part) * knots[second] + part * knots[second + 1]
        knots = self._bank_wobble
        bank = self.bank * (1.0 + (1.0 - part) * knots[second] + part * knots[second + 1])
        heading = radians(self.heading)
        if self.on_ground:
            along_mps, cross_mps, rate = -self.tas * cos(heading), self.tas * sin(heading), 0.0
            # what an airspeed indicator shows on the roll-out: speed through the air, not over the ground
            tas = hypot(along_mps - self.wind_along, cross_mps - self.wind_cross)
        else:
            along_mps = -tas * cos(heading) + self.wind_along
            cross_mps = tas * sin(heading) + self.wind_cross
            rate = GRAVITY_MPS2 * tan(radians(bank)) / tas
        self._log.append((now, self.along, self.cross, along_mps, cross_mps, self.heading, bank, tas, self.altitude))
        middle = heading + 0.5 * rate * STEP_S
        if self.on_ground:
            self.along += along_mps * STEP_S
            self.cross += cross_mps * STEP_S
        else:
            self.along += (-tas * cos(middle) + self.wind_along) * STEP_S
            self.cross += (tas * sin(middle) + self.wind_cross) * STEP_S
        self.heading += rate * STEP_S * _DEG
        most = self.roll_rate * STEP_S
        change = bank_command_deg - self.bank
        self.bank += most if change > most else -most if change < -most else change
        self._climb_and_accelerate(second, part)
        self.step_number += 1

    def _climb_and_accelerate(self, second: int, part: float) -> None:
        if self.on_ground:
            self.tas = max(5.0, self.tas - 2.0 * STEP_S)
            return
        knots = self._altitude_wobble
        wanted = self.altitude_target + (1.0 - part) * knots[second] + part * knots[second + 1]
        vertical = (wanted - self.altitude) * 0.15
        vertical = max(-self.climb_rate, min(self.climb_rate, vertical))
        self.vertical += (vertical - self.vertical) * (STEP_S / 1.5)
        self.altitude += self.vertical * STEP_S
        speed_change = self.speed_target - self.tas
        self.tas += max(-0.5 * STEP_S, min(0.5 * STEP_S, speed_change))
        if self.field_elevation is not None and self.altitude <= self.field_elevation:
            self.altitude, self.vertical, self.on_ground = self.field_elevation, 0.0, True
            self.tas = float(np.hypot(self._log[-1][3], self._log[-1][4]))  # ground speed from here on
            self.heading = float(np.degrees(np.arctan2(self._log[-1][4], -self._log[-1][3])))
            self.bank = 0.0

    def state(self) -> State:
        """Return everything recorded so far."""
        columns = np.array(self._log, dtype=float).T
        return State(*columns)
