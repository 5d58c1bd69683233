"""A flight by small steps of time that shares nothing with the planned paths: it rolls at 5 deg/s."""

import math

G_MPS2 = 9.80665
STEP_S = 0.02


class StepFlown:
    """East and north in metres, heading in degrees true; wings roll at a steady rate, turns are coordinated."""

    def __init__(self, tas_mps: float, wind_east_mps: float, wind_north_mps: float, heading_deg: float) -> None:
        self.tas_mps, self.wind = tas_mps, (wind_east_mps, wind_north_mps)
        self.east_m = self.north_m = self.time_s = self.bank_deg = 0.0
        self.heading_deg = heading_deg
        self.places: list[tuple[float, float]] = [(0.0, 0.0)]

    def _step(self, step_s: float) -> None:
        rate = math.degrees(G_MPS2 * math.tan(math.radians(self.bank_deg)) / self.tas_mps)
        self.heading_deg += 0.5 * rate * step_s
        heading = math.radians(self.heading_deg)
        self.east_m += (self.tas_mps * math.sin(heading) + self.wind[0]) * step_s
        self.north_m += (self.tas_mps * math.cos(heading) + self.wind[1]) * step_s
        self.heading_deg += 0.5 * rate * step_s
        self.time_s += step_s
        self.places.append((self.east_m, self.north_m))

    def level(self, seconds: float) -> None:
        """Fly straight for a time."""
        whole = int(seconds / STEP_S)
        for _ in range(whole):
            self._step(STEP_S)
        if seconds - whole * STEP_S > 1e-9:
            self._step(seconds - whole * STEP_S)

    def turn(self, turn_deg: float, rate_deg_s: float, roll_deg_s: float = 5.0) -> None:
        """Roll in, hold the rate, and roll out so that the wings are level after so many degrees, positive right."""
        sign, size = math.copysign(1.0, turn_deg), abs(turn_deg)
        most_deg = math.degrees(math.atan(self.tas_mps * math.radians(rate_deg_s) / G_MPS2))
        start = self.heading_deg
        while True:
            turned = sign * (self.heading_deg - start)
            bank = abs(self.bank_deg)
            rate = math.degrees(G_MPS2 * math.tan(math.radians(bank)) / self.tas_mps)
            if size - turned <= 0.5 * rate * bank / roll_deg_s:
                break
            self.bank_deg = sign * min(most_deg, bank + roll_deg_s * STEP_S)
            self._step(STEP_S)
        while abs(self.bank_deg) > 1e-9:
            self.bank_deg = sign * max(0.0, abs(self.bank_deg) - roll_deg_s * STEP_S)
            self._step(STEP_S)
