"""US procedure-turn areas: sides, bands, lengths, rings and what is assumed where the procedure is silent."""

from dataclasses import replace

import pytest
from shapely import Point

from analyzer.given.procedure import AltitudeLimit, Guidance, Place, Procedure
from analyzer.planned.protection.build import protection_areas
from analyzer.units.factors import METRES_PER_FOOT, METRES_PER_NM

FIX = Place(46.2, -101.5, "HRF", 579.0)
TWO_METRES_NM = 2.0 / METRES_PER_NM


def procedure_turn(
    side: str = "right", length_nm: float | None = 10.0, altitude_ft: float | None = 4600.0
) -> Procedure:
    altitudes = ()
    if altitude_ft is not None:
        altitudes = (AltitudeLimit("reversal", "at or above", altitude_ft * METRES_PER_FOOT, None),)
    return Procedure(
        title="VOR-A", reversal="procedure turn", fix=FIX, inbound_true_deg=125.0, variation_deg=7.0,
        variation_source="file", turn_side=side, outbound_true_deg=305.0, offset_true_deg=350.0,
        guidance=Guidance("VOR", FIX, 10.0, None),
        remain_within_m=None if length_nm is None else length_nm * METRES_PER_NM,
        outbound_s=None, outbound_m=None, timing_from="wings level", max_ias_mps=None, altitudes=altitudes,
        criteria="US", category="A",
    )  # fmt: skip


def areas_of(procedure: Procedure) -> dict:
    return {area.name: area for area in protection_areas(procedure)}


def inside(area: object, along_nm: float, cross_nm: float) -> bool:
    return area.shape.contains(Point(along_nm * METRES_PER_NM, cross_nm * METRES_PER_NM))


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("length", [5.0, 10.0, 15.0])
@pytest.mark.parametrize("altitude", [4600.0, 8000.0, 11000.0])
def test_shapes_are_valid_rings_that_do_not_overlap(side: str, length: float, altitude: float) -> None:
    areas = areas_of(procedure_turn(side, length, altitude))
    assert list(areas) == ["primary", "secondary", "entry zone", "distance limit"]
    assert all(area.shape.is_valid and area.shape.area > 0 for area in areas.values())
    assert areas["primary"].shape.intersection(areas["secondary"].shape).area < 1.0
    assert areas["entry zone"].shape.bounds[2] <= 0.0


@pytest.mark.parametrize(("side", "manoeuvre"), [("right", -1), ("left", 1)])
def test_the_room_lies_on_the_side_of_the_turn(side: str, manoeuvre: int) -> None:
    """A turn to the right of the outbound course lies left of the inbound one: negative cross-track."""
    primary = areas_of(procedure_turn(side))["primary"]
    assert inside(primary, 10.0, 7.9 * manoeuvre)
    assert not inside(primary, 10.0, 8.1 * manoeuvre)
    assert inside(primary, 5.0, -3.9 * manoeuvre)
    assert not inside(primary, 5.0, -4.1 * manoeuvre)


def test_the_higher_of_reversal_and_arrival_altitude_sets_the_band() -> None:
    low = procedure_turn(altitude_ft=4600.0)
    feeder = AltitudeLimit("arrival", "at or above", 7000.0 * METRES_PER_FOOT, None)
    high = replace(low, altitudes=(*low.altitudes, feeder))
    assert "up to 6000 ft" in areas_of(low)["primary"].note
    assert "above 6000 to 10000 ft" in areas_of(high)["primary"].note
    assert areas_of(procedure_turn(altitude_ft=6000.0))["primary"].note.count("up to 6000 ft") == 1


def test_what_the_procedure_leaves_out_is_said() -> None:
    areas = areas_of(procedure_turn(length_nm=None, altitude_ft=None))
    assert "10 NM is assumed" in areas["primary"].note
    assert "lowest altitude band is assumed" in areas["primary"].note
    assert "distance limit" not in areas


def test_lengths_between_and_beyond_the_rows() -> None:
    seven = areas_of(procedure_turn(length_nm=7.0))["primary"]
    assert inside(seven, 12.9, 2.0 * -1)
    assert not inside(seven, 13.1, 2.0 * -1)
    beyond = areas_of(procedure_turn(length_nm=16.0))["primary"]
    assert "carried on" in beyond.note


def test_the_distance_limit_is_a_circle_about_the_fix() -> None:
    limit = areas_of(procedure_turn())["distance limit"]
    for along, cross in ((1.0, 0.0), (-1.0, 0.0), (0.6, 0.8), (0.0, -1.0)):
        assert inside(limit, along * (10.0 - TWO_METRES_NM), cross * (10.0 - TWO_METRES_NM))
        assert not inside(limit, along * (10.0 + TWO_METRES_NM), cross * (10.0 + TWO_METRES_NM))


def test_areas_are_worked_out_once_for_equal_procedures():
    one = procedure_turn()
    assert protection_areas(replace(one)) is protection_areas(one)
    shorter = protection_areas(procedure_turn(length_nm=6.0))
    assert not shorter[0].shape.equals(protection_areas(one)[0].shape)
