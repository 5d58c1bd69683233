"""Speed, rate of turn and wind that an ICAO area is computed for: the head of each template table."""

import math
from dataclasses import dataclass
from typing import Literal

from analyzer.planned.turn_rate import turn_rate_deg_s
from analyzer.standards import AREAS_ICAO, ATMOSPHERE
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT

UnitSystem = Literal["NM", "km"]

#: [PANS-OPS II] conversion of indicated to true airspeed; second hand, with a lapse rate for each unit system
_K_CONSTANT = ATMOSPHERE["icao.k.factor"].value
_K_EXPONENT = ATMOSPHERE["icao.k.exponent"].value
_GROUND_K = ATMOSPHERE["icao.k.ground"].value
_LAPSE_K = {"NM": ATMOSPHERE["icao.k.lapse"].value, "km": 0.006496}  # per foot, per metre (the latter from memory)
ISA_DEVIATION_K = ATMOSPHERE["icao.isa_deviation"].value


def airspeed_factor(altitude: float, system: UnitSystem = "NM", isa_deviation_k: float = ISA_DEVIATION_K) -> float:
    """Return K = TAS / IAS of [PANS-OPS II] at an altitude in feet ("NM") or metres ("km")."""
    ambient = _GROUND_K - _LAPSE_K[system] * altitude
    return _K_CONSTANT * math.sqrt(ambient + isa_deviation_k) / math.pow(ambient, _K_EXPONENT)


@dataclass(frozen=True)
class TemplateParameters:
    """Lines 1 to 9 of the template tables for one speed and altitude, in NM and knots or km and km/h.

    Parameters
    ----------
    ias, altitude : float
        Knots and feet, or km/h and metres.
    system : str
        "NM" or "km".
    """

    ias: float
    altitude: float
    system: UnitSystem = "NM"

    @property
    def k(self) -> float:
        """Line 1: factor from indicated to true airspeed at ISA + 15."""
        return airspeed_factor(self.altitude, self.system)

    @property
    def tas(self) -> float:
        """Line 2: true airspeed V."""
        return self.k * self.ias

    @property
    def tas_per_s(self) -> float:
        """Line 3: distance flown in a second, v."""
        return self.tas / 3600.0

    @property
    def uncapped_rate_deg_s(self) -> float:
        """Line 4 before the ceiling: rate of turn at 25 degrees of bank."""
        constant = "icao.area.rate.constant" if self.system == "NM" else "icao.area.rate.constant_si"
        return AREAS_ICAO[constant].value / self.tas

    @property
    def rate_deg_s(self) -> float:
        """Line 4: rate of turn R, not above 3 deg/s."""
        return min(AREAS_ICAO["icao.area.rate.ceiling"].value, self.uncapped_rate_deg_s)

    @property
    def radius(self) -> float:
        """Line 5: radius of turn r."""
        return self.tas / (AREAS_ICAO["icao.area.radius.divisor"].value * self.rate_deg_s)

    @property
    def thousands(self) -> float:
        """Line 6: altitude h in thousands of feet or metres."""
        return self.altitude / 1000.0

    @property
    def wind(self) -> float:
        """Line 7: omnidirectional wind w."""
        slope, ground = "icao.area.wind.slope", "icao.area.wind.ground"
        if self.system == "km":
            slope, ground = "icao.area.wind.slope_si", "icao.area.wind.ground_si"
        return AREAS_ICAO[slope].value * self.thousands + AREAS_ICAO[ground].value

    @property
    def wind_per_s(self) -> float:
        """Line 8: wind w' in a second."""
        return self.wind / 3600.0

    @property
    def wind_per_degree(self) -> float:
        """Line 9: wind effect E of a degree of turn."""
        return self.wind_per_s / self.rate_deg_s

    def divergence_deg(self, minutes: float) -> float:
        """Line 10: angle between the outbound and the inbound track of a base turn."""
        fast, limit = ("icao.base_turn.fast", "icao.base_turn.fast_from")
        if self.system == "km":
            fast, limit = "icao.base_turn.fast_si", "icao.base_turn.fast_from_si"
        if self.tas <= AREAS_ICAO[limit].value:
            return AREAS_ICAO["icao.base_turn.slow"].value / minutes
        return AREAS_ICAO[fast].value * self.tas / minutes

    def cone_radius(self, half_angle_deg: float, height: float | None = None) -> float:
        """Line 11: radius of the station's cone of ambiguity at the altitude (or a height in feet or metres)."""
        thousands = self.thousands if height is None else height / 1000.0
        per_thousand = AREAS_ICAO["icao.area.height.NM"].value if self.system == "NM" else 1.0
        return per_thousand * thousands * math.tan(math.radians(half_angle_deg))


@dataclass(frozen=True)
class AreaConditions:
    """What an area is constructed for, in SI: true airspeed, rate of turn and omnidirectional wind."""

    tas_mps: float
    rate_deg_s: float
    wind_mps: float

    @property
    def radius_m(self) -> float:
        """Radius of turn."""
        return self.tas_mps / math.radians(self.rate_deg_s)

    def turn_s(self, degrees: float) -> float:
        """Return the seconds of a turn through so many degrees."""
        return degrees / self.rate_deg_s


def design_conditions(ias_mps: float, altitude_m: float) -> AreaConditions:
    """Return the criteria's conditions: ISA + 15, w = 2h + 47 kt, 25 degrees of bank or 3 deg/s."""
    table = TemplateParameters(ias_mps / MPS_PER_KNOT, altitude_m / METRES_PER_FOOT)
    return AreaConditions(table.tas * MPS_PER_KNOT, table.rate_deg_s, table.wind * MPS_PER_KNOT)


def flown_conditions(tas_mps: float, wind_speed_mps: float) -> AreaConditions:
    """Return the conditions of one flight: its speed and its wind, taken from every direction alike."""
    return AreaConditions(tas_mps, turn_rate_deg_s(tas_mps), wind_speed_mps)


def cone_radius_m(height_m: float, half_angle_deg: float) -> float:
    """Return the radius of a station's cone of ambiguity at a height above it."""
    per_thousand_ft = AREAS_ICAO["icao.area.height.NM"].value * METRES_PER_NM
    return max(height_m, 0.0) / METRES_PER_FOOT / 1000.0 * per_thousand_ft * math.tan(math.radians(half_angle_deg))
