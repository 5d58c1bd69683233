"""Wind and true airspeed of a flight, with their uncertainty, or the reason why they are not known."""

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Wind:
    """A steady wind with the true airspeed it was estimated with.

    Parameters
    ----------
    east_mps, north_mps : float
        Velocity of the air over the ground (where it blows to).
    tas_mps : float or None
        Mean true airspeed, None where the wind was given by the user without one.
    covariance : tuple of float, length 6, or None
        Upper triangle of the covariance of (east, north, tas): ee, en, et, nn, nt, tt in (m/s)^2; None where given.
    method : str
        How it is known, as the report says it: "turns and legs", "heading and airspeed columns", "given" ...
    """

    east_mps: float
    north_mps: float
    tas_mps: float | None
    covariance: tuple[float, float, float, float, float, float] | None
    method: str

    @property
    def from_deg_true(self) -> float:
        """Direction it blows from, degrees true in [0, 360); 0 in calm."""
        if self.speed_mps == 0.0:
            return 0.0
        return float(np.degrees(np.arctan2(-self.east_mps, -self.north_mps)) % 360.0)

    @property
    def speed_mps(self) -> float:
        """Speed of the wind."""
        return float(np.hypot(self.east_mps, self.north_mps))


def wind_from(from_deg_true: float, speed_mps: float, tas_mps: float | None = None, method: str = "given") -> Wind:
    """Return a wind that is simply given, without uncertainty."""
    direction = np.radians(from_deg_true)
    return Wind(-speed_mps * float(np.sin(direction)), -speed_mps * float(np.cos(direction)), tas_mps, None, method)
