"""Simplified rectangles about reversal areas, [PANS-OPS II] table I-4-3-App C-5.

Loose outlines for where airspace is not short: this project draws the templates and keeps the rectangles as a check.
Valid for 90 to 290 kt true airspeed, up to 65 kt of wind and 1 to 3 minutes outbound (read).
"""

from dataclasses import dataclass
from typing import Literal

from analyzer.planned.protection.icao.design_conditions import UnitSystem
from analyzer.standards import Status

RectangleCase = Literal["45/180", "80/260", "base turn", "racetrack"]
Bound = Literal["xmax", "xmin", "ymax", "ymin"]


@dataclass(frozen=True)
class RectangleEquation:
    """One bound: V (speed_slope t + speed) + W (wind_slope t + wind) + constant; t in minutes.

    V and W in knots with the constant in NM, or in km/h with the constant in km. `other_constant` is a second reading
    of the constant, None where there is none.
    """

    speed_slope: float
    speed: float
    wind_slope: float
    wind: float
    constant_nm: float
    constant_km: float
    status: Status
    other_constant_nm: float | None = None
    other_constant_km: float | None = None

    def value(self, tas: float, wind: float, minutes: float, system: UnitSystem = "NM", other: bool = False) -> float:
        """Return the bound in NM or km; `other` takes the second reading of the constant."""
        constant = self.constant_nm if system == "NM" else self.constant_km
        if other:
            second = self.other_constant_nm if system == "NM" else self.other_constant_km
            if second is None:
                raise ValueError("this equation has no second reading")
            constant = second
        return (
            tas * (self.speed_slope * minutes + self.speed) + wind * (self.wind_slope * minutes + self.wind) + constant
        )


#: The 45/180 xmax is printed with + 1.8 NM (+ 3.4 km). The area of the wider reading is used, as everywhere, though
#: with a minus it would agree with the template and with the line of the 80/260 turn (second reading).
#: The base turn's ymax has a constant that could not be read: there is no equation for it here.
EQUATIONS: dict[tuple[RectangleCase, Bound], RectangleEquation] = {
    ("45/180", "xmax"): RectangleEquation(0.0165, 0.0431, 0.0165, 0.0278, 1.8, 3.4, "read", -1.8, -3.4),
    ("45/180", "ymax"): RectangleEquation(0.002, 0.022, 0.002, 0.0333, -0.4, -0.74, "read"),
    ("45/180", "ymin"): RectangleEquation(-0.002, -0.0137, -0.002, -0.0594, 0.9, 1.67, "read"),
    ("80/260", "xmax"): RectangleEquation(0.0165, 0.0421, 0.0165, 0.0489, -1.8, -3.34, "read"),
    ("80/260", "ymax"): RectangleEquation(0.002, 0.0263, 0.002, 0.0322, -1.0, -1.85, "read"),
    ("80/260", "ymin"): RectangleEquation(-0.002, -0.01, -0.002, -0.0591, 0.7, 1.3, "read"),
    ("base turn", "xmax"): RectangleEquation(0.0173, 0.0181, 0.0166, 0.0209, -0.5, -0.93, "read"),
    ("base turn", "ymin"): RectangleEquation(0.0, -0.0122, 0.0151, -0.0639, 0.8, 1.48, "from memory"),
    ("racetrack", "xmax"): RectangleEquation(0.0167, 0.0297, 0.0167, 0.0381, -0.9, -1.67, "from memory"),
    ("racetrack", "xmin"): RectangleEquation(0.0, -0.0241, 0.0, -0.037, 1.1, 2.04, "from memory"),
    ("racetrack", "ymax"): RectangleEquation(0.0012, 0.0266, 0.0158, 0.0368, -0.85, -1.57, "from memory"),
    ("racetrack", "ymin"): RectangleEquation(-0.0015, -0.0202, -0.0167, -0.027, 0.7, 1.3, "from memory"),
}


def in_validity_range(tas_kt: float, wind_kt: float, minutes: float) -> bool:
    """Return whether the equations hold: speed, wind and outbound time within the table's limits."""
    return 90.0 <= tas_kt <= 290.0 and wind_kt <= 65.0 and 1.0 <= minutes <= 3.0


def rectangle_nm(case: RectangleCase, tas_kt: float, wind_kt: float, minutes: float) -> dict[Bound, float]:
    """Return the bounds of a simplified rectangle in NM, those that have an equation.

    Axes: x outbound, y towards the manoeuvring side, origin at the facility or the start of the outbound leg.

    Parameters
    ----------
    case : str
    tas_kt, wind_kt, minutes : float
        Within `in_validity_range`.

    Raises
    ------
    ValueError
        Outside the range for which the table is published.
    """
    if not in_validity_range(tas_kt, wind_kt, minutes):
        raise ValueError(
            f"{tas_kt:g} kt, {wind_kt:g} kt of wind and {minutes:g} min are outside the table's 90 to 290 kt, "
            "65 kt and 1 to 3 min"
        )
    return {
        bound: equation.value(tas_kt, wind_kt, minutes)
        for (of_case, bound), equation in EQUATIONS.items()
        if of_case == case
    }
