"""Nominal paths of the 45/180 and the 80/260 by geometry, and how far the arcs of their templates go.

Doc 8168 volume II, part I, section 4, chapter 3, appendix C, 3.2.2 and 3.2.3: from b through 45 degrees, from d2
through 100, from d4 through 200, from d3 through 250; from b through 85, from e2 and e1 through 270.
"""

import math

import numpy as np
import pytest

from analyzer.planned.protection.icao.design_conditions import AreaConditions
from analyzer.planned.protection.icao.procedure_turn import (
    latest_start_m,
    nominal_45_180,
    nominal_80_260,
    template_45_180,
    template_80_260,
    template_points_45_180,
    template_points_80_260,
)
from analyzer.planned.protection.icao.wind_spirals import Discs

STANDARD = AreaConditions(60.0, 3.0, 15.0)
RADIUS_M = 60.0 / math.radians(3.0)
HALF = math.sqrt(0.5)


def test_an_80_260_ends_two_radii_out_and_a_third_of_one_aside() -> None:
    """Turned 80 one way and 260 the other: 2 r sin 80 out, 2 r cos 80 to the other side."""
    path = nominal_80_260(STANDARD)
    assert path.x_m[-1] == pytest.approx(2.0 * RADIUS_M * math.sin(math.radians(80.0)))
    assert path.y_m[-1] == pytest.approx(-2.0 * RADIUS_M * math.cos(math.radians(80.0)))


def test_a_45_180_ends_where_its_leg_and_its_half_turn_take_it() -> None:
    """A minute from the start of the turn: 15 s of turning, 45 s or 2,700 m straight at 45 degrees, then 180 back."""
    path = nominal_45_180(STANDARD, 60.0)
    assert path.x_m[-1] == pytest.approx(RADIUS_M * HALF + 2700.0 * HALF + 2.0 * RADIUS_M * HALF)
    assert path.y_m[-1] == pytest.approx(RADIUS_M * (1.0 - HALF) + 2700.0 * HALF - 2.0 * RADIUS_M * HALF)


def holds(discs: Discs, x_m: float, y_m: float) -> bool:
    return bool(np.any(np.hypot(discs.x_m - x_m, discs.y_m - y_m) < 0.01))


@pytest.mark.parametrize(("start", "degrees"), [("b", 45.0), ("d2", -100.0), ("d4", -200.0), ("d3", -250.0)])
def test_the_arcs_of_the_45_180_template_go_as_far_as_stated(start: str, degrees: float) -> None:
    point, discs = template_points_45_180(STANDARD, 60.0)[start], template_45_180(STANDARD, 60.0)
    for off, inside in ((0.0, True), (math.copysign(5.0, degrees), False)):
        end = point.turned(STANDARD, degrees + off)
        assert holds(discs, end.x_m, end.y_m) is inside
    assert holds(discs, point.x_m, point.y_m)


@pytest.mark.parametrize(("start", "degrees"), [("b", 85.0), ("e2", -270.0), ("e1", -270.0)])
def test_the_arcs_of_the_80_260_template_go_as_far_as_stated(start: str, degrees: float) -> None:
    point, discs = template_points_80_260(STANDARD)[start], template_80_260(STANDARD)
    for off, inside in ((0.0, True), (math.copysign(5.0, degrees), False)):
        end = point.turned(STANDARD, degrees + off)
        assert holds(discs, end.x_m, end.y_m) is inside


def test_the_latest_start_keeps_every_point_within_the_limit() -> None:
    """A point 2,000 m out and 3,000 m aside, and a limit of 5,000 m: 4,000 - 2,000 m out at the latest."""
    path = Discs(np.array([0.0, 2000.0]), np.array([0.0, -3000.0]), np.zeros(2))
    assert latest_start_m(path, 5000.0) == pytest.approx(2000.0)
    assert latest_start_m(path, 3300.0) == 0.0
    assert latest_start_m(path, 2900.0) == 0.0
