"""The level coordinated turn: tan(bank) = speed x rate / g, speed and rate through the air."""

import math

from analyzer.units.factors import GRAVITY_MPS2


def lean_of_turn(rate_deg_s: float, tas_mps: float) -> float:
    """Return the tangent of the bank that gives a rate of turn; the rate's sign is the lean's.

    Notes
    -----
    FAA-H-8083-15B ch. 5 in SI: the lift's horizontal part turns the aircraft, its vertical part carries it.
    """
    return tas_mps * math.radians(rate_deg_s) / GRAVITY_MPS2


def bank_of_turn_deg(rate_deg_s: float, tas_mps: float) -> float:
    """Return the bank that gives a rate of turn, degrees, never negative."""
    return math.degrees(math.atan(lean_of_turn(abs(rate_deg_s), tas_mps)))


def rate_of_bank_deg_s(bank_deg: float, tas_mps: float) -> float:
    """Return the rate of turn that a bank gives, degrees per second; the airspeed is above zero."""
    return math.degrees(GRAVITY_MPS2 * math.tan(math.radians(bank_deg)) / tas_mps)
