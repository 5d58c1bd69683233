"""Against FAA Order 8260.3B, paragraph 234, as told in a secondary account (second hand).

10 NM procedure turn, lowest altitude band: first centre abeam the fix 1 NM off the course on the manoeuvring side,
second centre 10 NM outbound 2 NM off; radii 5 NM and 6 NM; their common tangent, parallel to the course, is the
primary's edge on the other side, 4 NM from the course; the secondary lies 2 NM beyond. The other rows are from memory;
each must at least pass the consistency the account describes: that edge is parallel to the course.
"""

import math

import pytest
from shapely import Point

from analyzer.given.procedure import AltitudeLimit, Guidance, Place, Procedure
from analyzer.planned.protection.build import protection_areas
from analyzer.planned.protection.us.dimensions import NEAR_CENTRE_OFFSET_NM, procedure_turn_dimensions
from analyzer.units.factors import METRES_PER_FOOT, METRES_PER_NM

FIX = Place(46.2, -101.5, "HRF", 579.0)
FIVE_METRES_NM = 5.0 / METRES_PER_NM
PLAN = Procedure(
    title="VOR-A", reversal="procedure turn", fix=FIX, inbound_true_deg=125.0, variation_deg=7.0,
    variation_source="file", turn_side="left", outbound_true_deg=305.0, offset_true_deg=260.0,
    guidance=Guidance("VOR", FIX, 10.0, None), remain_within_m=10 * METRES_PER_NM, outbound_s=None, outbound_m=None,
    timing_from="wings level", max_ias_mps=None,
    altitudes=(AltitudeLimit("reversal", "at or above", 4600 * METRES_PER_FOOT, None),), criteria="US", category="A",
)  # fmt: skip
AREAS = {area.name: area.shape for area in protection_areas(PLAN)}


@pytest.mark.parametrize("bearing_deg", [0.0, 30.0, 60.0, 90.0])
def test_far_arcs_have_6_and_8_nm_about_the_far_centre(bearing_deg: float) -> None:
    outer = AREAS["primary"].union(AREAS["secondary"])
    for shape, radius in ((AREAS["primary"], 6.0), (outer, 8.0)):
        for off, inside in ((-FIVE_METRES_NM, True), (FIVE_METRES_NM, False)):
            x = 10.0 + (radius + off) * math.cos(math.radians(bearing_deg))
            y = 2.0 + (radius + off) * math.sin(math.radians(bearing_deg))
            assert shape.contains(Point(x * METRES_PER_NM, y * METRES_PER_NM)) is inside


@pytest.mark.parametrize("bearing_deg", [180.0, 225.0, 269.0])
def test_near_arcs_have_5_and_7_nm_about_the_near_centre(bearing_deg: float) -> None:
    outer = AREAS["primary"].union(AREAS["secondary"])
    for shape, radius in ((AREAS["primary"], 5.0), (outer, 7.0)):
        for off, inside in ((-FIVE_METRES_NM, True), (FIVE_METRES_NM, False)):
            x = (radius + off) * math.cos(math.radians(bearing_deg))
            y = 1.0 + (radius + off) * math.sin(math.radians(bearing_deg))
            assert shape.contains(Point(x * METRES_PER_NM, y * METRES_PER_NM)) is inside


def test_the_edge_away_from_the_manoeuvre_is_4_nm_from_the_course_and_the_secondary_2_nm_more() -> None:
    outer = AREAS["primary"].union(AREAS["secondary"])
    for along in (0.0, 5.0, 10.0):
        for shape, edge in ((AREAS["primary"], 4.0), (outer, 6.0)):
            assert shape.contains(Point(along * METRES_PER_NM, -(edge - FIVE_METRES_NM) * METRES_PER_NM))
            assert not shape.contains(Point(along * METRES_PER_NM, -(edge + FIVE_METRES_NM) * METRES_PER_NM))


@pytest.mark.parametrize("length_nm", [5.0, 7.5, 10.0, 12.0, 15.0])
@pytest.mark.parametrize("band", [0, 1, 2])
def test_every_row_has_its_edge_parallel_to_the_course(length_nm: float, band: int) -> None:
    row = procedure_turn_dimensions(length_nm, band)
    near_edge = row.near_radius_nm - NEAR_CENTRE_OFFSET_NM
    assert row.far_radius_nm - row.far_centre_offset_nm == pytest.approx(near_edge)
    assert row.status == ("second hand" if band == 0 and 5.0 < length_nm <= 10.0 else "from memory")


def test_rows_as_remembered() -> None:
    """Offset, near and far primary radius in NM for 5, 10 and 15 NM in each band; from memory."""
    remembered = {
        (5.0, 0): (2.0, 4.0, 5.0), (10.0, 0): (2.0, 5.0, 6.0), (15.0, 0): (2.5, 5.0, 6.5),
        (5.0, 1): (2.0, 4.0, 5.0), (10.0, 1): (2.0, 6.0, 7.0), (15.0, 1): (2.5, 6.0, 7.5),
        (5.0, 2): (2.0, 4.0, 5.0), (10.0, 2): (2.0, 7.0, 8.0), (15.0, 2): (2.5, 7.0, 8.5),
    }  # fmt: skip
    for (length, band), (offset, near, far) in remembered.items():
        row = procedure_turn_dimensions(length, band)
        assert (row.far_centre_offset_nm, row.near_radius_nm, row.far_radius_nm) == pytest.approx((offset, near, far))
