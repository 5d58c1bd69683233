"""Computed areas: sides, growth with speed and wind, rings, assumptions that are said, and the time they take."""

import time
from dataclasses import replace

import numpy as np
import pytest
from shapely import Point

from analyzer.given.procedure import AltitudeLimit, Guidance, Place, Procedure
from analyzer.planned.protection.build import protection_areas
from analyzer.planned.protection.icao.areas import flown_areas
from analyzer.planned.protection.icao.design_conditions import AreaConditions, airspeed_factor
from analyzer.planned.protection.icao.fix_tolerance import fix_tolerance
from analyzer.planned.protection.icao.wind_spirals import AirPosition, Discs, envelope, turn_discs
from analyzer.planned.protection.room_left import room_left
from analyzer.units.factors import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT

FIX = Place(46.2, -101.5, "HRF", 579.0)
ONE_METRE_M = 1.0
KINDS = ["procedure turn", "teardrop", "hold in lieu", "holding"]


def procedure(reversal: str, turn_side: str = "right", **changes: object) -> Procedure:
    right = 1 if turn_side == "right" else -1
    base = Procedure(
        title="VOR-A", reversal=reversal, fix=FIX, inbound_true_deg=125.0, variation_deg=7.0, variation_source="file",
        turn_side=turn_side, outbound_true_deg=305.0 + 26.0 * right * (reversal == "teardrop"),
        offset_true_deg=(305.0 + 45.0 * right) % 360.0, guidance=Guidance("VOR", FIX, 10.0, None),
        remain_within_m=10 * METRES_PER_NM, outbound_s=60.0, outbound_m=None, timing_from="turn start",
        max_ias_mps=None, altitudes=(AltitudeLimit("reversal", "at or above", 4600 * METRES_PER_FOOT, None),),
        criteria="ICAO", category="A", defaults=frozenset({"limits.outbound_min"}),
    )  # fmt: skip
    return replace(base, **changes)


def primary_of(plan: Procedure):
    return next(area for area in protection_areas(plan) if area.name == "primary")


@pytest.mark.parametrize("reversal", KINDS)
@pytest.mark.parametrize("category", ["A", "B", "C", "D", "E"])
@pytest.mark.parametrize("criteria", ["US", "ICAO"])
def test_areas_are_valid_rings_about_the_fix(reversal: str, category: str, criteria: str) -> None:
    areas = {area.name: area for area in protection_areas(procedure(reversal, category=category, criteria=criteria))}
    assert {"primary", "secondary", "distance limit"} <= set(areas)
    assert all(area.shape.is_valid and area.shape.area > 0.0 for area in areas.values())
    assert areas["primary"].shape.contains(Point(0.0, 0.0))
    assert areas["primary"].shape.intersection(areas["secondary"].shape).area < 1.0
    assert all(area.reference and area.status for area in areas.values())


@pytest.mark.parametrize("reversal", ["procedure turn", "teardrop", "hold in lieu"])
def test_left_is_the_mirror_of_right_and_the_wider_side_is_the_manoeuvre(reversal: str) -> None:
    right, left = (primary_of(procedure(reversal, side)) for side in ("right", "left"))
    assert np.allclose(right.shape.bounds, np.array(left.shape.bounds)[[0, 3, 2, 1]] * [1, -1, 1, -1], atol=ONE_METRE_M)
    plan = procedure(reversal)
    if not plan.is_hold:  # entries from everywhere make a hold's area nearly even
        _, low, _, high = right.shape.bounds
        assert (high > -low) == (plan.side == 1)


@pytest.mark.parametrize("reversal", KINDS)
def test_a_faster_category_and_a_higher_altitude_need_more_room(reversal: str) -> None:
    slow = primary_of(procedure(reversal)).shape
    high = AltitudeLimit("reversal", "at or above", 9000 * METRES_PER_FOOT, None)
    assert primary_of(procedure(reversal, altitudes=(high,))).shape.area > slow.area
    assert primary_of(procedure(reversal, category="C")).shape.area > slow.area


@pytest.mark.parametrize("reversal", KINDS)
def test_the_flown_area_grows_with_wind_and_lies_inside_the_criteria_for_less_wind(reversal: str) -> None:
    plan = procedure(reversal)
    tas = 110.0 * MPS_PER_KNOT
    calm, breezy = (flown_areas(plan, tas, wind * MPS_PER_KNOT)[0].shape for wind in (0.0, 24.0))
    assert breezy.buffer(ONE_METRE_M).contains(calm)
    assert primary_of(plan).shape.buffer(ONE_METRE_M).contains(breezy)
    assert "24 kt of wind" in flown_areas(plan, tas, 24.0 * MPS_PER_KNOT)[0].note


def test_what_is_assumed_is_said() -> None:
    silent = procedure("procedure turn", remain_within_m=None, altitudes=())
    note = primary_of(silent).note
    assert "6000 ft are assumed" in note
    assert "2 min before the turn is assumed" in note
    us_hold = primary_of(procedure("hold in lieu", criteria="US"))
    assert us_hold.criteria == "US"
    assert us_hold.status == "calculated"
    assert "Racetrack area" in us_hold.reference
    assert us_hold.reference.startswith("computed, no published area")
    assert "14.4 by 8.8 to 25.3 by 14.6 NM" in us_hold.note
    assert not us_hold.published
    assert primary_of(procedure("hold in lieu")).published
    us_teardrop = primary_of(procedure("teardrop", criteria="US"))
    assert "Base turn (teardrop) area" in us_teardrop.reference
    assert not us_teardrop.published
    assert (
        "elevation not given"
        in primary_of(procedure("holding", guidance=Guidance("VOR", Place(46.2, -101.5), 10.0, None))).note
    )


@pytest.mark.parametrize(
    ("changes", "wanted"),
    [
        ({"outbound_s": 120.0, "defaults": frozenset()}, "teardrop"),
        ({"outbound_m": 6 * METRES_PER_NM}, "teardrop"),
        ({"outbound_m": 6 * METRES_PER_NM}, "holding"),
        ({"outbound_s": 120.0, "defaults": frozenset()}, "procedure turn"),
        ({"outbound_s": 120.0, "defaults": frozenset()}, "hold in lieu"),
    ],
)
def test_a_longer_charted_leg_reaches_further(changes: dict, wanted: str) -> None:
    usual = primary_of(procedure(wanted, outbound_s=60.0, remain_within_m=None)).shape
    assert primary_of(procedure(wanted, remain_within_m=None, **changes)).shape.bounds[2] > usual.bounds[2]


def test_fix_tolerance_by_kind_of_guidance() -> None:
    plan = procedure("holding")
    vor = fix_tolerance(plan, 579.0 + 6000 * METRES_PER_FOOT)
    # [PANS-OPS II] cone of 50 degrees: 0.164 x 6 x tan 50 = 1.17 NM
    assert vor.radius_m == pytest.approx(1.173 * METRES_PER_NM, rel=1e-3)
    away = fix_tolerance(replace(plan, guidance=Guidance("VOR", Place(46.4, -101.5), 10.0, None)), 1000.0)
    assert away.radius_m == 0.0
    assert away.along_m == pytest.approx(0.25 * METRES_PER_NM + 0.0125 * 22234.0, abs=5.0)
    rnav = fix_tolerance(replace(plan, guidance=Guidance("RNAV", FIX, None, METRES_PER_NM)), 1000.0)
    assert (rnav.along_m, rnav.cross_m) == pytest.approx((0.8 * METRES_PER_NM, METRES_PER_NM))
    assert len(rnav.corners()) == 4


def test_an_envelope_holds_its_discs_and_hugs_them() -> None:
    discs = Discs(np.array([0.0, 10000.0]), np.array([0.0, 0.0]), np.array([1000.0, 3000.0]))
    shape = envelope(discs)
    assert np.allclose(shape.bounds, (-1000.0, -3000.0, 13000.0, 3000.0), atol=4.0)
    union = Point(0, 0).buffer(1000.0, quad_segs=200).union(Point(10000, 0).buffer(3000.0, quad_segs=200)).convex_hull
    assert union.difference(shape).area < 1.0
    assert shape.area / union.area - 1.0 < 0.002


def test_a_turn_in_wind_stays_within_its_spiral() -> None:
    """Any wind, any moment: a turn drifts w x t from its still-air place, and the spiral's envelope holds it."""
    conditions = AreaConditions(80.0, 3.0, 30.0)
    shape = envelope(turn_discs(AirPosition(0.0, 0.0, 45.0, 10.0), conditions, -200.0))
    for degrees in np.arange(0.0, 200.1, 1.7):
        at = AirPosition(0.0, 0.0, 45.0, 10.0).turned(conditions, -degrees)
        for wind in np.radians(np.arange(0.0, 360.0, 15.0)):
            drift = conditions.wind_mps * at.wind_s
            assert shape.contains(Point(at.x_m + drift * np.cos(wind), at.y_m + drift * np.sin(wind)))


@pytest.mark.parametrize("reversal", KINDS)
@pytest.mark.parametrize("criteria", ["US", "ICAO"])
def test_construction_takes_under_50_ms_of_processor_time(reversal: str, criteria: str) -> None:
    plan = procedure(reversal, criteria=criteria, category="C")
    protection_areas(plan)
    took = []
    for _ in range(5):
        start = time.process_time()
        protection_areas(plan)
        took.append(time.process_time() - start)
    assert min(took) < 0.050


@pytest.mark.parametrize("reversal", KINDS)
@pytest.mark.parametrize("side", ["left", "right"])
def test_more_wind_leaves_less_room(reversal: str, side: str) -> None:
    plan = procedure(reversal, side)
    areas = protection_areas(plan)
    calm, windy = (room_left(plan, areas, 100 * MPS_PER_KNOT, wind * MPS_PER_KNOT) for wind in (0.0, 24.0))
    for name in ("outbound_m", "manoeuvre_m", "other_m"):
        assert getattr(calm, name) > getattr(windy, name) > 0.0
    assert room_left(plan, [], 50.0, 0.0) is None


def test_the_room_of_the_criteria_themselves_is_none_left() -> None:
    """At the category's speed and the standard wind the flight's area is the criteria's, but for the slow check."""
    plan = procedure("hold in lieu")
    areas = protection_areas(plan)
    tas = 170 * airspeed_factor(4600.0) * MPS_PER_KNOT
    room = room_left(plan, areas, tas, (2 * 4.6 + 47) * MPS_PER_KNOT)
    assert max(abs(room.outbound_m), abs(room.manoeuvre_m), abs(room.other_m)) < 5.0
