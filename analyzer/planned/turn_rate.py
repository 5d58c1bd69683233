"""The rate and the bank with which planned turns are flown."""

from analyzer.standards import FLYING
from analyzer.units import rate_of_bank_deg_s

STANDARD_RATE_DEG_S = FLYING["turn.standard_rate"].value
#: where the standard rate would need more bank than this, this bank is flown
MOST_BANK_DEG = FLYING["icao.bank"].value


def turn_rate_deg_s(
    tas_mps: float, bank_deg: float = MOST_BANK_DEG, ceiling_deg_s: float = STANDARD_RATE_DEG_S
) -> float:
    """Return the rate of a turn at a bank angle, not above the ceiling, degrees per second."""
    return min(ceiling_deg_s, rate_of_bank_deg_s(bank_deg, tas_mps))
