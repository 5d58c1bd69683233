"""Against ICAO Doc 8168 Volume II, Part I, Section 4, Chapter 3, Appendix C: 45/180 and 80/260 templates, rectangles.

The stated point definitions (3.2.2.2, 3.2.2.3, 3.2.3.2, 3.2.3.3; degrees of turn and "wind effect = w' x flying time
from a") were read. The numeric lines of tables C-2, C-3 and C-4 are second hand, from public procedure-design programs
written apart from each other (one for C-2 and C-3, in two versions; three that agree for C-4).
"""

import math

import numpy as np
import pytest

from analyzer.planned.protection.icao.base_turn import (
    base_turn_starts,
    crossing_point,
    template_base_turn,
    timed_limits,
)
from analyzer.planned.protection.icao.design_conditions import AreaConditions, design_conditions, flown_conditions
from analyzer.planned.protection.icao.fix_tolerance import FixTolerance
from analyzer.planned.protection.icao.procedure_turn import (
    template_45_180,
    template_80_260,
    template_points_45_180,
    template_points_80_260,
)
from analyzer.planned.protection.icao.racetrack import entry_template, outbound_leg_ends, template_racetrack
from analyzer.planned.protection.icao.rectangles import EQUATIONS, rectangle_nm
from analyzer.planned.protection.icao.wind_spirals import AirPosition, Discs, envelope, joined, turn_discs
from analyzer.standards import GUIDANCE
from analyzer.units.factors import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KMH, MPS_PER_KNOT

HALF_A_HUNDREDTH_NM = 0.006
EXAMPLE = AreaConditions(157.23 * MPS_PER_KNOT, 3.0, 59.0 * MPS_PER_KNOT)  # 140 kt IAS at 6000 ft
NDB_CONE_NM = 0.83  # table C-1, line 11
FAST = flown_conditions(225.0 * MPS_PER_KNOT, 59.0 * MPS_PER_KNOT)


def bounds_nm(discs: Discs) -> np.ndarray:
    return np.array(envelope(discs).bounds) / METRES_PER_NM


def turned_deg(points: dict[str, AirPosition], start: str, end: str) -> float:
    return abs(points[end].heading_deg - points[start].heading_deg)


@pytest.mark.parametrize("conditions", [EXAMPLE, FAST])
def test_45_180_points_have_the_stated_degrees_and_the_wind_of_their_flying_time(conditions: AreaConditions) -> None:
    points = template_points_45_180(conditions, 60.0)
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
    assert points["b"].x_m == pytest.approx(5.0 * conditions.tas_mps), "line 10: ab = 5 v"
    # lines 14 to 21: 5 s + 45/R at c, t + 15 at d2 and d4, t - 5 at d3, then 1/R for every degree of turn
    flying_time = {
        "c": 5 + 45 / rate, "d2": 60 + 15, "d4": 60 + 15, "f": 75 + 50 / rate, "g": 75 + 100 / rate,
        "h": 75 + 100 / rate, "i": 75 + 150 / rate, "j": 75 + 200 / rate, "d3": 55, "k": 55 + 200 / rate,
        "l": 55 + 250 / rate,
    }  # fmt: skip
    for name, seconds in flying_time.items():
        assert points[name].wind_s == pytest.approx(seconds), name


@pytest.mark.parametrize("conditions", [EXAMPLE, FAST])
def test_45_180_tolerance_lines_leave_c_at_five_degrees(conditions: AreaConditions) -> None:
    """3.2.2.2 (lines read, their sides second hand): d1 and d2 on the line farther from the outbound track."""
    points = template_points_45_180(conditions, 60.0)
    for name, bearing in (("d1", 50.0), ("d2", 50.0), ("d3", 40.0), ("d4", 40.0)):
        dx, dy = points[name].x_m - points["c"].x_m, points[name].y_m - points["c"].y_m
        assert math.degrees(math.atan2(dy, dx)) == pytest.approx(bearing)
    # the turn's centre is on the perpendicular to the nominal leg: it starts on the nominal heading
    assert points["d2"].heading_deg == pytest.approx(45.0)


#: lines 12 and 13 and the radii of lines 14 to 21, NM, worked out from the formulas apart from this program
LINES_C_2 = [
    (
        140.0, 6000.0, 60.0, {"d1": 1.53, "d2": 2.40},
        {"c": 0.33, "d2": 1.23, "f": 1.50, "g": 1.78, "h": 1.78, "i": 2.05, "j": 2.32, "k": 1.99, "l": 2.27},
    ),
    (220.0, 6000.0, 75.0, {"d1": 2.96, "d2": 4.34}, {"c": 0.44, "d2": 1.48, "j": 3.07, "k": 2.74, "l": 3.14}),
]  # fmt: skip


@pytest.mark.parametrize(("ias_kt", "feet", "seconds", "legs_nm", "winds_nm"), LINES_C_2)
def test_45_180_lines_of_table_c_2(
    ias_kt: float, feet: float, seconds: float, legs_nm: dict[str, float], winds_nm: dict[str, float]
) -> None:
    conditions = design_conditions(ias_kt * MPS_PER_KNOT, feet * METRES_PER_FOOT)
    points = template_points_45_180(conditions, seconds)
    for name, length_nm in legs_nm.items():
        flown_m = math.hypot(points[name].x_m - points["c"].x_m, points[name].y_m - points["c"].y_m)
        assert flown_m / METRES_PER_NM == pytest.approx(length_nm, abs=HALF_A_HUNDREDTH_NM), name
    for name, radius_nm in winds_nm.items():
        radius_m = points[name].disc(conditions).radius_m[0]
        assert radius_m / METRES_PER_NM == pytest.approx(radius_nm, abs=HALF_A_HUNDREDTH_NM), name


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


#: extents of the template, worked out from the lines apart from this program, the wind growing with every degree of
#: turn: TAS and wind in kt, time in s, xmax, ymax, ymin in NM from a
EXTENTS = [
    (90.0, 60.0, 0.0, 2.33, 1.33, -0.11),
    (120.0, 60.0, 65.0, 5.37, 3.50, -2.59),
    (157.2, 60.0, 59.0, 6.10, 3.86, -2.39),
    (170.0, 60.0, 65.0, 6.64, 4.21, -2.63),
    (225.0, 75.0, 59.0, 9.76, 5.90, -3.26),
    (290.0, 75.0, 65.0, 13.49, 7.36, -5.32),
]


@pytest.mark.parametrize(("tas", "seconds", "wind", "xmax", "ymax", "ymin"), EXTENTS)
def test_extents_of_the_45_180_template(
    tas: float, seconds: float, wind: float, xmax: float, ymax: float, ymin: float
) -> None:
    conditions = flown_conditions(tas * MPS_PER_KNOT, wind * MPS_PER_KNOT)
    bounds = bounds_nm(template_45_180(conditions, seconds))
    assert bounds[[2, 3, 1]] == pytest.approx((xmax, ymax, ymin), abs=0.01)


def test_racetrack_lines_of_table_c_4() -> None:
    """Lines 14, 15, 25 and 26 for 220 kt IAS at 10000 ft and for 140 kt at 6000 ft, t = 60 s: gi and Wi in NM.

    Line 26 has 14 s of wind between the ends of the leg where its length, lines 14 and 15, takes 26 s.
    """
    for ias_kt, feet, near_nm, far_nm, near_wind_nm, far_wind_nm in (
        (220.0, 10000.0, 4.02, 5.92, 2.96, 3.22),
        (140.0, 6000.0, 2.40, 3.54, 2.07, 2.29),
    ):
        conditions = design_conditions(ias_kt * MPS_PER_KNOT, feet * METRES_PER_FOOT)
        g = AirPosition(0.0, 0.0, 0.0, 11.0 + conditions.turn_s(180.0))
        i1, i2, *_ = outbound_leg_ends(conditions, g, 60.0)
        for end, length_nm, wind_nm in ((i1, near_nm, near_wind_nm), (i2, far_nm, far_wind_nm)):
            assert math.hypot(end.x_m, end.y_m) / METRES_PER_NM == pytest.approx(length_nm, abs=HALF_A_HUNDREDTH_NM)
            radius_nm = end.disc(conditions).radius_m[0] / METRES_PER_NM
            assert radius_nm == pytest.approx(wind_nm, abs=HALF_A_HUNDREDTH_NM)


@pytest.mark.parametrize(("ias_kt", "feet", "xe_nm"), [(220.0, 10000.0, 13.28), (140.0, 6000.0, 7.42)])
def test_racetrack_reaches_about_as_far_as_the_entry_extents(ias_kt: float, feet: float, xe_nm: float) -> None:
    """Line 32, XE = 2r + (t + 15)v + (t + 26 + 195/R)w': the computed entries reach as far, less than a mile more."""
    c = design_conditions(ias_kt * MPS_PER_KNOT, feet * METRES_PER_FOOT)
    xe = 2 * c.radius_m + 75.0 * c.tas_mps + (86.0 + 195.0 / c.rate_deg_s) * c.wind_mps
    assert xe / METRES_PER_NM == pytest.approx(xe_nm, abs=HALF_A_HUNDREDTH_NM)
    reach = bounds_nm(joined(template_racetrack(c, 60.0), entry_template(c, 60.0)))[2]
    assert 0.0 <= reach - xe_nm < 1.0


#: xmax of the base turn in table C-5 (read): V(0.0173t + 0.0181) + W(0.0166t + 0.0209) - 0.5 NM, by hand
BASE_TURN_XMAX = [
    (157.23, 59.0, 1.0, 7.28), (157.23, 59.0, 2.0, 10.98), (157.23, 59.0, 3.0, 14.68), (100.0, 30.0, 2.0, 6.39),
    (100.0, 30.0, 3.0, 8.62),
]  # fmt: skip


@pytest.mark.parametrize(("tas", "wind", "minutes", "xmax"), BASE_TURN_XMAX)
def test_base_turn_reaches_as_far_as_its_rectangle(tas: float, wind: float, minutes: float, xmax: float) -> None:
    """The rectangle, to which the fix tolerance is added, is an outline just outside the template of an NDB.

    The template's farthest point is k, where the tangent at 90 degrees plus the drift meets the inbound track: without
    the drift the area of the example would end 0.8 NM short of the rectangle.
    """
    conditions = flown_conditions(tas * MPS_PER_KNOT, wind * MPS_PER_KNOT)
    no_fix = FixTolerance(0.0, 0.0, 0.0, GUIDANCE["ndb.tracking"].value, "")
    limits = timed_limits(conditions, 60.0 * minutes, no_fix.radius_m)
    reach = bounds_nm(template_base_turn(conditions, 36.0 / minutes, limits, no_fix))[2]
    assert 0.0 <= xmax - reach < 0.35


def test_base_turn_points_in_the_order_of_their_letters() -> None:
    """3.1.2 (turns, angles and k second hand): d, e from b2; f from b4; g, h about the fifth centre; i, j from b3.

    In this order the points run round the area: first on the side away from the inbound track, then to the far end,
    across the inbound track and back towards the fix.
    """
    tolerance = FixTolerance(NDB_CONE_NM * METRES_PER_NM, 0.0, 0.0, GUIDANCE["ndb.tracking"].value, "")
    starts = base_turn_starts(18.0, timed_limits(EXAMPLE, 120.0, tolerance.radius_m), tolerance)
    assert math.hypot(starts["b1"].x_m, starts["b1"].y_m) < math.hypot(starts["b2"].x_m, starts["b2"].y_m)
    assert starts["b2"].y_m > starts["b4"].y_m, "b2 lies on the line away from the inbound track"
    far = joined(*(turn_discs(starts[name], EXAMPLE, -100.0) for name in ("b2", "b4")))
    k = crossing_point(EXAMPLE, far)
    assert k.y_m == 0.0
    drift = math.asin(59.0 / 157.23)
    reach = far.x_m * math.cos(drift) + far.y_m * math.sin(drift) + far.radius_m
    assert k.x_m * math.cos(drift) == pytest.approx(float(reach.max())), "k is on the tangent"
    lettered = [
        starts["b2"].turned(EXAMPLE, -50.0), starts["b2"].turned(EXAMPLE, -100.0), starts["b4"].turned(EXAMPLE, -100.0),
        k.turned(EXAMPLE, -50.0), k.turned(EXAMPLE, -100.0), starts["b3"].turned(EXAMPLE, -190.0),
        starts["b3"].turned(EXAMPLE, -235.0),
    ]  # fmt: skip
    winds = [50.0, 100.0, 100.0, 50.0, 100.0, 190.0, 235.0]  # lines 16 to 19: Wd to Wj in degrees of turn
    for point, degrees in zip(lettered, winds, strict=True):
        assert point.wind_s == pytest.approx(degrees / EXAMPLE.rate_deg_s)
    middle_x = 0.5 * k.x_m
    bearings = [math.degrees(math.atan2(point.y_m, point.x_m - middle_x)) for point in lettered]
    clockwise = np.diff(np.unwrap(bearings, period=360.0))
    assert np.all(clockwise < 0.0), "each letter lies clockwise of the one before, about a point in the middle"


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
