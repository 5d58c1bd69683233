"""The rate and the bank with which planned turns are flown."""

import math

from analyzer.standards import FLYING
from analyzer.units import GRAVITY_MPS2

STANDARD_RATE_DEG_S = FLYING["turn.standard_rate"].value
#: where the standard rate would need more bank than this, this bank is flown
MOST_BANK_DEG = FLYING["icao.bank"].value


def turn_rate_deg_s(
    tas_mps: float, bank_deg: float = MOST_BANK_DEG, ceiling_deg_s: float = STANDARD_RATE_DEG_S
) -> float:
    """Return the rate of a turn at a bank angle, not above the ceiling, degrees per second."""
    banked = math.degrees(GRAVITY_MPS2 * math.tan(math.radians(bank_deg)) / tas_mps)
    return min(ceiling_deg_s, banked)


def bank_for_rate_deg(tas_mps: float, rate_deg_s: float) -> float:
    """Return the bank of a coordinated level turn, degrees."""
    return math.degrees(math.atan(tas_mps * math.radians(rate_deg_s) / GRAVITY_MPS2))
