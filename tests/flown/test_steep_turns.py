"""Turns as fast as an aeroplane in a steep bank turns are turns, and what was flown keeps its name.

Rate of a level coordinated turn: g tan(bank) / speed. 7.2 deg/s at 90 kt in 30 degrees of bank, 9.9 deg/s at 110 kt in
45 degrees, 14.6 deg/s at 90 kt in 50 degrees.
"""

from dataclasses import replace
from math import degrees, radians, tan

import pytest

from analyzer.flown import read_flight
from analyzer.planned import plan_of
from analyzer.synthesis import AUTOPILOT, FlightPlan, fly
from analyzer.units.factors import GRAVITY_MPS2, MPS_PER_KNOT
from tests.hand_flown import procedure

#: the offset leg and the way back each have a wind correction, of at most 6 degrees in 10 kt at 90 kt
WIND_CORRECTION_DEG = 12.0
#: what rolling in and out may hide of the fastest rate in the smoothed motion
SHARE_SEEN = 0.85


@pytest.mark.parametrize(("tas_kt", "bank_deg"), [(90.0, 30.0), (110.0, 45.0), (90.0, 50.0)])
def test_a_45_180_in_a_steep_bank_is_a_45_180(tas_kt: float, bank_deg: float) -> None:
    """The reversal is named, turned through 180 degrees, and the fastest rate is the one that the bank gives."""
    asked = procedure()
    pilot = replace(AUTOPILOT, turn_rate_deg_s=20.0, max_bank_deg=bank_deg)
    plan = FlightPlan("45/180", tas_mps=tas_kt * MPS_PER_KNOT, wind_from_deg_true=60.0, wind_speed_mps=5.0, pilot=pilot)
    flight = fly(asked, plan, 1)
    (attempt,) = read_flight(flight.track, plan_of(asked)).attempts
    assert attempt.flown_as == "45/180"
    (turn,) = [turn for name, _, turn in attempt.turns if name == "reversal turn"]
    assert abs(turn.degrees) == pytest.approx(180.0, abs=WIND_CORRECTION_DEG)
    rate = degrees(GRAVITY_MPS2 * tan(radians(bank_deg)) / (tas_kt * MPS_PER_KNOT))
    assert SHARE_SEEN * rate <= abs(turn.max_rate_deg_s) <= 1.1 * rate
