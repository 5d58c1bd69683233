"""Turns and the wind triangle against the handbooks' worked examples and rules.

Sources
- [PHAK] FAA-H-8083-25, chapter 16, wind triangle example with its figures: course 090, wind 045 at 40 kt, true
  airspeed 120 kt: correction 14 left, heading 076, groundspeed 88 kt: read. Printed to the degree and knot, drawn by
  hand: one unit is allowed. Fig. 16-13: 120 kt with 20 kt on the tail: 140 kt: read.
- [IFH] FAA-H-8083-15B, chapter 4: bank for standard rate is speed in knots / 10 + 7, so 16 for 90 kt; chapter 7: 15 %
  of the speed, 15 for 100 kt and 18 for 120 kt: read. Rules of thumb: 2.5 degrees are allowed, and each must give
  standard rate within a sixth.
- [PANS-OPS II] Table I-4-3-App C-1 line 4 and the note to 3.6.2: up to 170 kt true 3 deg/s, from there 25 degrees
  of bank: read.
"""

import math

import pytest

from analyzer.given.wind import wind_from
from analyzer.planned.solver.air import Air
from analyzer.planned.turn_rate import turn_rate_deg_s
from analyzer.units.factors import GRAVITY_MPS2, MPS_PER_KNOT

ONE_DEGREE = 1.0
ONE_KNOT_MPS = MPS_PER_KNOT


def test_the_wind_triangle_of_the_handbook():
    course_deg, tas_mps = 90.0, 120.0 * MPS_PER_KNOT
    wind = wind_from(45.0, 40.0 * MPS_PER_KNOT)
    course = math.radians(course_deg)
    along = -(math.sin(course) * wind.east_mps + math.cos(course) * wind.north_mps)
    cross = math.cos(course) * wind.east_mps - math.sin(course) * wind.north_mps
    flight = Air(tas_mps, 3.0, 0.0, along, cross)
    correction_deg = flight.heading_for_track(0.0)
    along_mps, cross_mps = flight.ground_mps(correction_deg)
    assert correction_deg == pytest.approx(-14.0, abs=ONE_DEGREE)
    assert course_deg + correction_deg == pytest.approx(76.0, abs=ONE_DEGREE)
    assert -along_mps == pytest.approx(88.0 * MPS_PER_KNOT, abs=ONE_KNOT_MPS)
    assert cross_mps == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(("wind_kt", "ground_kt"), [(20.0, 140.0), (-20.0, 100.0)])
def test_wind_straight_along_the_track(wind_kt, ground_kt):
    flight = Air(120.0 * MPS_PER_KNOT, 3.0, 0.0, -wind_kt * MPS_PER_KNOT, 0.0)
    along_mps, _ = flight.ground_mps(flight.heading_for_track(0.0))
    assert -along_mps == pytest.approx(ground_kt * MPS_PER_KNOT, abs=1e-9)


@pytest.mark.parametrize(("speed_kt", "rule_deg"), [(90.0, 16.0), (100.0, 15.0), (120.0, 18.0)])
def test_the_bank_rules_give_about_standard_rate(speed_kt, rule_deg):
    tas_mps = speed_kt * MPS_PER_KNOT
    exact_deg = math.degrees(math.atan(math.radians(3.0) * tas_mps / GRAVITY_MPS2))
    assert exact_deg == pytest.approx(rule_deg, abs=2.5)
    assert turn_rate_deg_s(tas_mps, bank_deg=rule_deg, ceiling_deg_s=90.0) == pytest.approx(3.0, abs=0.5)


def test_standard_rate_holds_to_170_knots_and_25_degrees_from_there():
    assert turn_rate_deg_s(169.0 * MPS_PER_KNOT) == 3.0
    assert turn_rate_deg_s(171.0 * MPS_PER_KNOT) < 3.0
    for knots in (180.0, 210.0, 250.0):
        half_a_last_figure = 0.005 / knots * 1.05  # the printed constant 509.26 ends at 0.01
        assert turn_rate_deg_s(knots * MPS_PER_KNOT) == pytest.approx(509.26 / knots, abs=half_a_last_figure + 1e-3)
