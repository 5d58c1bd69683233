"""Against ICAO Doc 8168 Volume II, Part I, Section 4, Chapter 3, Appendix C: 45/180 and 80/260 templates, rectangles.

The stated point definitions (3.2.2.2, 3.2.2.3, 3.2.3.2, 3.2.3.3; degrees of turn and "wind effect = w' x flying time
from a") were read; the numeric lines of the tables are from memory. Both readings of a disputed line are kept here,
and the areas take the wider.
"""

import math

import numpy as np
import pytest

from analyzer.planned.protection.icao.design_conditions import AreaConditions, flown_conditions
from analyzer.planned.protection.icao.procedure_turn import (
    offset_leg_s,
    template_45_180,
    template_80_260,
    template_points_45_180,
    template_points_80_260,
)
from analyzer.planned.protection.icao.racetrack import entry_template, far_leg_wind_s, template_racetrack
from analyzer.planned.protection.icao.rectangles import EQUATIONS, rectangle_nm
from analyzer.planned.protection.icao.wind_spirals import AirPosition, Discs, envelope, joined
from analyzer.units.factors import METRES_PER_NM, MPS_PER_KMH, MPS_PER_KNOT

HALF_A_HUNDREDTH_NM = 0.006
EXAMPLE = AreaConditions(157.23 * MPS_PER_KNOT, 3.0, 59.0 * MPS_PER_KNOT)  # 140 kt IAS at 6000 ft
FAST = flown_conditions(225.0 * MPS_PER_KNOT, 59.0 * MPS_PER_KNOT)


def bounds_nm(discs: Discs) -> np.ndarray:
    return np.array(envelope(discs).bounds) / METRES_PER_NM


def turned_deg(points: dict[str, AirPosition], start: str, end: str) -> float:
    return abs(points[end].heading_deg - points[start].heading_deg)


@pytest.mark.parametrize("conditions", [EXAMPLE, FAST])
def test_45_180_points_have_the_stated_degrees_and_the_wind_of_their_flying_time(conditions: AreaConditions) -> None:
    points = template_points_45_180(conditions, 60.0, "about the turn")
    stated = [
        ("d2", "f", 50),
        ("d2", "g", 100),
        ("d4", "h", 100),
        ("d4", "i", 150),
        ("d4", "j", 200),
        ("d3", "k", 200),
        ("d3", "l", 250),
    ]
    for start, end, degrees in stated:
        assert turned_deg(points, start, end) == pytest.approx(degrees)
    rate = conditions.rate_deg_s
    assert points["b"].x_m == pytest.approx(5.0 * conditions.tas_mps)
    flying_time = {
        "c": 5 + 45 / rate, "d2": 60 + 20, "d4": 60 + 20, "f": 80 + 50 / rate, "g": 80 + 100 / rate,
        "h": 80 + 100 / rate, "i": 80 + 150 / rate, "j": 80 + 200 / rate, "k": 60 + 200 / rate, "l": 60 + 250 / rate,
    }  # fmt: skip
    for name, seconds in flying_time.items():
        assert points[name].wind_s == pytest.approx(seconds), name


@pytest.mark.parametrize("conditions", [EXAMPLE, FAST])
def test_45_180_tolerance_lines_leave_c_at_five_degrees(conditions: AreaConditions) -> None:
    points = template_points_45_180(conditions, 60.0)
    for name, bearing in (("d1", 40.0), ("d2", 40.0), ("d3", 50.0), ("d4", 50.0)):
        dx, dy = points[name].x_m - points["c"].x_m, points[name].y_m - points["c"].y_m
        assert math.degrees(math.atan2(dy, dx)) == pytest.approx(bearing)
    # the turn's centre is on the perpendicular to the nominal leg: it starts on the nominal heading
    assert points["d2"].heading_deg == pytest.approx(45.0)


@pytest.mark.parametrize("conditions", [EXAMPLE, FAST])
def test_80_260_points_have_the_stated_degrees_and_the_wind_of_their_flying_time(conditions: AreaConditions) -> None:
    points = template_points_80_260(conditions)
    rate = conditions.rate_deg_s
    for name, degrees in (("d1", 75.0), ("d2", 85.0)):
        assert points[name].heading_deg == pytest.approx(degrees)
    for start, end, degrees in (
        ("e2", "g", 45),
        ("e2", "h", 90),
        ("e2", "i", 135),
        ("e2", "j", 180),
        ("e1", "k", 180),
        ("e1", "l", 225),
        ("e1", "m", 270),
    ):
        assert turned_deg(points, start, end) == pytest.approx(degrees)
    flying_time = {"e2": 85, "g": 130, "h": 175, "i": 220, "j": 265, "k": 255, "l": 300, "m": 345}
    for name, degrees in flying_time.items():
        assert points[name].wind_s == pytest.approx(15.0 + degrees / rate), name


#: extents of the arcs about the named points alone, worked out apart from this program: TAS and wind in kt, time in s,
#: xmax, ymax, ymin in NM from a, lines 12 and 13 as (t - 5) and (t + 15)
NAMED_POINT_EXTENTS = [
    (90.0, 60.0, 0.0, 2.34, 1.24, 0.14),
    (120.0, 60.0, 65.0, 5.31, 3.68, -2.41),
    (157.2, 60.0, 59.0, 6.02, 4.00, -2.11),
    (170.0, 60.0, 65.0, 6.55, 4.36, -2.34),
    (225.0, 75.0, 59.0, 9.52, 5.88, -2.72),
    (290.0, 75.0, 65.0, 13.25, 7.13, -4.66),
]


@pytest.mark.parametrize(("tas", "seconds", "wind", "xmax", "ymax", "ymin"), NAMED_POINT_EXTENTS)
def test_45_180_arcs_about_the_named_points(
    tas: float, seconds: float, wind: float, xmax: float, ymax: float, ymin: float
) -> None:
    conditions = flown_conditions(tas * MPS_PER_KNOT, wind * MPS_PER_KNOT)
    points = template_points_45_180(conditions, seconds, "about the turn")
    discs = joined(*(points[name].disc(conditions) for name in ("c", "d2", "f", "g", "h", "i", "j", "k", "l")))
    found = bounds_nm(discs)
    assert found[2] == pytest.approx(xmax, abs=0.03)
    assert found[3] == pytest.approx(ymax, abs=0.03)
    assert found[1] == pytest.approx(ymin, abs=0.03)
    # the spirals run on between and beyond the named points: the area is never smaller than the arcs about them
    whole = envelope(template_45_180(conditions, seconds))
    assert envelope(discs).difference(whole.buffer(1.0)).area == 0.0


def test_both_readings_of_the_offset_leg_and_the_wider_is_used() -> None:
    about, added = (offset_leg_s(EXAMPLE, 60.0, reading) for reading in ("about the turn", "all added"))
    assert about == pytest.approx((40.0, 60.0))
    assert added == pytest.approx((35.0, 61.0))
    assert offset_leg_s(EXAMPLE, 60.0) == pytest.approx((35.0, 61.0))
    one, two = (bounds_nm(template_45_180(EXAMPLE, 60.0, reading)) for reading in ("about the turn", "all added"))
    assert np.abs(one - two).max() < 0.3, "the readings differ by less than 0.3 NM"
    wider = envelope(template_45_180(EXAMPLE, 60.0))
    for reading in ("about the turn", "all added"):
        assert envelope(template_45_180(EXAMPLE, 60.0, reading)).difference(wider.buffer(1.0)).area == 0.0


def test_both_readings_of_the_racetrack_wind_and_the_wider_is_used() -> None:
    """Line 26: 26 s more wind than at the near end by lines 14 and 15; also remembered as 14 s."""
    assert far_leg_wind_s(10.0) == 36.0
    assert far_leg_wind_s(10.0, "14 s") == 24.0
    wide, narrow = (bounds_nm(template_racetrack(EXAMPLE, 60.0, reading)) for reading in ("26 s", "14 s"))
    assert wide[2] - narrow[2] == pytest.approx(12.0 * 59.0 / 3600.0, abs=0.02)


def test_racetrack_reaches_about_as_far_as_the_remembered_entry_extents() -> None:
    """XE = 2r + (t + 15)v + (t + 26 + 195/R)w', from memory: the computed entries reach as far, within half a mile."""
    c = flown_conditions(263.1 * MPS_PER_KNOT, 67.0 * MPS_PER_KNOT)  # 220 kt IAS at 10000 ft
    xe = 2 * c.radius_m + 75.0 * c.tas_mps + (86.0 + 195.0 / c.rate_deg_s) * c.wind_mps
    reach = bounds_nm(joined(template_racetrack(c, 60.0), entry_template(c, 60.0)))[2]
    assert 0.0 <= reach - xe / METRES_PER_NM < 1.0


#: case, minutes, xmax, ymax, ymin in NM for V = 157.2 kt and W = 59 kt, by hand from the printed coefficients
RECTANGLES = [
    ("45/180", 1.0, 10.18, 5.46, -5.19),
    ("45/180", 2.0, 13.75, 5.89, -5.62),
    ("80/260", 1.0, 11.27, 5.47, -4.79),
    ("80/260", 2.0, 14.84, 5.90, -5.22),
]


@pytest.mark.parametrize(("case", "minutes", "xmax", "ymax", "ymin"), RECTANGLES)
def test_rectangle_equations_of_table_c_5(case: str, minutes: float, xmax: float, ymax: float, ymin: float) -> None:
    """Table I-4-3-App C-5, page I-4-3-App C-31; the 45/180 xmax here with the second reading, minus 1.8 NM."""
    found = rectangle_nm(case, 157.2, 59.0, minutes)
    x = EQUATIONS[case, "xmax"].value(157.2, 59.0, minutes, other=case == "45/180")
    assert x == pytest.approx(xmax, abs=HALF_A_HUNDREDTH_NM)
    assert found["ymax"] == pytest.approx(ymax, abs=HALF_A_HUNDREDTH_NM)
    assert found["ymin"] == pytest.approx(ymin, abs=HALF_A_HUNDREDTH_NM)


def test_both_readings_of_the_45_180_constant_and_the_wider_is_used() -> None:
    equation = EQUATIONS["45/180", "xmax"]
    printed, minus = (equation.value(157.2, 59.0, 1.0, other=other) for other in (False, True))
    assert printed - minus == pytest.approx(3.6)
    assert rectangle_nm("45/180", 157.2, 59.0, 1.0)["xmax"] == printed


def test_base_turn_rectangle() -> None:
    assert rectangle_nm("base turn", 157.2, 59.0, 2.0)["xmax"] == pytest.approx(10.98, abs=HALF_A_HUNDREDTH_NM)
    assert "ymax" not in rectangle_nm("base turn", 157.2, 59.0, 2.0), "its constant could not be read"


@pytest.mark.parametrize("key", list(EQUATIONS))
def test_the_two_unit_systems_of_a_rectangle_agree(key: tuple[str, str]) -> None:
    """The coefficients are the same, the constants are rounded to 0.1 NM or finer: 0.1 km is allowed."""
    nm = EQUATIONS[key].value(157.2, 59.0, 1.5)
    km = EQUATIONS[key].value(157.2 * MPS_PER_KNOT / MPS_PER_KMH, 59.0 * MPS_PER_KNOT / MPS_PER_KMH, 1.5, "km")
    assert km == pytest.approx(nm * 1.852, abs=0.1)


@pytest.mark.parametrize("tas", [90.0, 157.2, 225.0, 290.0])
@pytest.mark.parametrize("wind", [0.0, 30.0, 65.0])
@pytest.mark.parametrize("case", ["45/180", "80/260"])
def test_templates_lie_inside_the_rectangles(tas: float, wind: float, case: str) -> None:
    """The rectangles are loose outlines of the area with a minute outbound before the turn.

    The template, moved out by that minute with the wind on the tail, lies inside all three bounds. With the second
    reading of the 45/180 constant (minus) it would reach up to 1.6 NM beyond xmax at 290 kt and 65 kt of wind: one
    more reason to take the wider reading.
    """
    conditions = flown_conditions(tas * MPS_PER_KNOT, wind * MPS_PER_KNOT)
    timed_s = 60.0 if tas < 200.0 else 75.0
    template = template_45_180(conditions, timed_s) if case == "45/180" else template_80_260(conditions)
    moved = (tas + wind) * 60.0 / 3600.0
    rectangle = rectangle_nm(case, tas, wind, 1.0)
    _, low, far, high = bounds_nm(template)
    assert far + moved <= rectangle["xmax"]
    assert high <= rectangle["ymax"]
    assert low >= rectangle["ymin"]


def test_rectangles_outside_their_range_are_refused() -> None:
    with pytest.raises(ValueError, match="outside the table"):
        rectangle_nm("80/260", 300.0, 20.0, 1.0)
