"""Bank, rate and speed of a level turn.

The rule of thumb in FAA-H-8083-15B, "Turns" (from memory): the bank for standard rate is about a tenth of the true
airspeed in knots and half of that again; good to a degree between 90 and 150 kt. The exact figures are by hand:
60 m/s x 0.05236 rad/s / 9.80665 m/s2 = 0.32035, whose arc tangent is 17.76 degrees.
"""

import pytest

from analyzer.units import MPS_PER_KNOT, bank_of_turn_deg, lean_of_turn, rate_of_bank_deg_s


def test_a_turn_worked_by_hand():
    assert lean_of_turn(3.0, 60.0) == pytest.approx(0.32035, abs=1e-5)
    assert bank_of_turn_deg(3.0, 60.0) == pytest.approx(17.76, abs=0.01)
    assert rate_of_bank_deg_s(17.76, 60.0) == pytest.approx(3.0, abs=0.002)


@pytest.mark.parametrize("knots", [90.0, 120.0, 150.0])
def test_standard_rate_takes_about_the_bank_of_the_rule_of_thumb(knots):
    one_degree = 1.0
    assert bank_of_turn_deg(3.0, knots * MPS_PER_KNOT) == pytest.approx(1.5 * knots / 10.0, abs=one_degree)


def test_a_left_turn_leans_left_and_its_bank_is_counted_positive():
    assert lean_of_turn(-3.0, 60.0) == pytest.approx(-lean_of_turn(3.0, 60.0))
    assert bank_of_turn_deg(-3.0, 60.0) == pytest.approx(bank_of_turn_deg(3.0, 60.0))
    assert bank_of_turn_deg(0.0, 60.0) == 0.0
