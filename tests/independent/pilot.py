"""How well the pilot flies: errors that are bounded, slow and drawn from a seed."""

import math
import random
from dataclasses import dataclass


@dataclass(frozen=True)
class Pilot:
    """Largest errors of a pilot; all zero: a machine.

    `heading_deg` of a heading flown and of a roll-out, `bank_share` of the bank in a turn, `timing_s` of a timed leg,
    `altitude_ft`, `speed_kt`: slow wander about what is aimed at; `needle_deg` of a course that is tracked, seen from
    its station, and `track_nm` the same as a distance, the smaller of the two counting.
    """

    heading_deg: float = 0.0
    bank_share: float = 0.0
    timing_s: float = 0.0
    altitude_ft: float = 0.0
    speed_kt: float = 0.0
    needle_deg: float = 0.0
    track_nm: float = 0.2


MACHINE = Pilot()


class Wander:
    """A slow function of time within -1 ... 1: three waves of 40 to 200 seconds."""

    def __init__(self, random_source: random.Random) -> None:
        weights = [0.5, 0.3, 0.2]
        self.waves = [
            (weight, 2.0 * math.pi / random_source.uniform(40.0, 200.0), random_source.uniform(0.0, 2.0 * math.pi))
            for weight in weights
        ]

    def __call__(self, time_s: float) -> float:
        return sum(weight * math.sin(rate * time_s + phase) for weight, rate, phase in self.waves)


class Errors:
    """The errors of one flight: each its own wander, each turn and leg its own draw."""

    def __init__(self, pilot: Pilot, seed: int) -> None:
        self.pilot = pilot
        self.random = random.Random(seed)
        self._heading, self._altitude, self._speed, self._needle = (Wander(self.random) for _ in range(4))

    def heading_deg(self, time_s: float) -> float:
        return self.pilot.heading_deg * self._heading(time_s)

    def altitude_ft(self, time_s: float) -> float:
        return self.pilot.altitude_ft * self._altitude(time_s)

    def speed_kt(self, time_s: float) -> float:
        return self.pilot.speed_kt * self._speed(time_s)

    def needle(self, time_s: float) -> float:
        """Part of the tracking error, -1 ... 1."""
        return self._needle(time_s)

    def bank_factor(self) -> float:
        return 1.0 + self.pilot.bank_share * self.random.uniform(-1.0, 1.0)

    def roll_out_deg(self) -> float:
        return self.pilot.heading_deg * self.random.uniform(-1.0, 1.0)

    def timing_s(self) -> float:
        return self.pilot.timing_s * self.random.uniform(-1.0, 1.0)
