"""Planned paths: closed forms in still air, wind triangles, and that each ends over the fix on the course."""

import math
from dataclasses import replace

import numpy as np
import pytest

from analyzer.given.plane import frame_of
from analyzer.given.procedure import Guidance, Place, Procedure
from analyzer.given.wind import wind_from
from analyzer.planned.paths import NominalPath, nominal_paths
from analyzer.planned.solver.values import PathLeg
from analyzer.planned.turn_rate import turn_rate_deg_s
from analyzer.units.factors import METRES_PER_NM, MPS_PER_KNOT

FIX = Place(46.2, -101.5, "HRF", 579.0)
ONE_METRE_M = 1.0
ON_COURSE_M = 6.0
TAS_MPS = 100.0 * MPS_PER_KNOT
#: rate one at 100 kt needs atan(V w / g) = 15.4 degrees of bank, [IFH] chapter 7; rolled at 5 degrees a second
ROLL_S = math.degrees(math.atan(TAS_MPS * math.radians(3.0) / 9.80665)) / 5.0


def procedure(reversal: str = "procedure turn", turn_side: str = "right", **changes: object) -> Procedure:
    right = 1 if turn_side == "right" else -1
    base = Procedure(
        title="VOR-A", reversal=reversal, fix=FIX, inbound_true_deg=125.0, variation_deg=7.0, variation_source="file",
        turn_side=turn_side, outbound_true_deg=305.0, offset_true_deg=(305.0 + 45.0 * right) % 360.0,
        guidance=Guidance("VOR", FIX, 10.0, None), remain_within_m=10 * METRES_PER_NM, outbound_s=60.0,
        outbound_m=None, timing_from="wings level", max_ias_mps=None, altitudes=(), criteria="US", category="A",
        defaults=frozenset({"limits.outbound_min"}),
    )  # fmt: skip
    if reversal == "teardrop":
        base = replace(base, outbound_true_deg=(305.0 + 30.0 * right) % 360.0)
    return replace(base, **changes)


def legs(path: NominalPath, phase: str, lap: int = 1) -> list[PathLeg]:
    return [leg for leg in path.legs if leg.phase == phase and leg.lap == lap]


CASES = [
    ("procedure turn", "45/180", "direct"),
    ("procedure turn", "80/260", "direct"),
    ("procedure turn", "teardrop", "direct"),
    ("procedure turn", "racetrack", "direct"),
    ("teardrop", "teardrop", "direct"),
    ("hold in lieu", "hold", "direct"),
    ("hold in lieu", "hold", "teardrop"),
    ("holding", "hold", "parallel"),
]


@pytest.mark.parametrize("turn_side", ["left", "right"])
@pytest.mark.parametrize(("reversal", "method", "entry"), CASES)
@pytest.mark.parametrize(("wind_from_deg", "wind_kt"), [(0.0, 0.0), (305.0, 25.0), (35.0, 25.0), (170.0, 35.0)])
def test_each_path_is_continuous_and_comes_back_over_the_fix_on_course(
    reversal: str, method: str, entry: str, turn_side: str, wind_from_deg: float, wind_kt: float
) -> None:
    plan = procedure(reversal, turn_side)
    wind = wind_from(wind_from_deg, wind_kt * MPS_PER_KNOT)
    paths = nominal_paths(plan, TAS_MPS, wind, method, entry)
    assert [path.name for path in paths] == ["nominal path", "wind-corrected path"][: 2 if wind_kt else 1]
    for path in paths:
        along = np.concatenate([leg.along_m for leg in path.legs])
        cross = np.concatenate([leg.cross_m for leg in path.legs])
        for before, after in zip(path.legs, path.legs[1:], strict=False):
            assert after.time_s[0] == before.time_s[-1]
            assert math.hypot(after.along_m[0] - before.along_m[-1], after.cross_m[0] - before.cross_m[-1]) < 1e-6
        assert path.legs[-1].phase == "inbound"
        assert abs(along[-1]) < ONE_METRE_M
        assert abs(cross[-1]) < ON_COURSE_M
        assert np.hypot(along, cross).max() < plan.remain_within_m
        if entry != "parallel":
            far = np.argmax(np.abs(cross))
            assert np.sign(cross[far]) == plan.side, "the manoeuvre lies on its side"


@pytest.mark.parametrize(("reversal", "method", "entry"), CASES)
def test_air_path_is_flown_at_the_airspeed_and_the_rate(reversal: str, method: str, entry: str) -> None:
    """Ground path minus wind drift has the airspeed everywhere: the wind is really in the path, once."""
    plan = procedure(reversal)
    wind = wind_from(80.0, 22.0 * MPS_PER_KNOT)
    path = nominal_paths(plan, TAS_MPS, wind, method, entry)[1]
    along_wind, cross_wind = frame_of(plan).along_cross_from_east_north(wind.east_mps, wind.north_mps)
    for leg in path.legs:
        if leg.duration_s < 1.0 or (leg.phase == "inbound" and abs(leg.cross_m[0]) > ONE_METRE_M):
            continue  # an inbound leg that closes the rest of the way to the course is drawn, not flown by heading
        step = np.diff(leg.time_s)
        speed = np.hypot(np.diff(leg.along_m) / step - along_wind, np.diff(leg.cross_m) / step - cross_wind)
        assert np.allclose(speed, TAS_MPS, rtol=2e-3)  # a chord of a 3 degree arc is 0.01 % short
        if leg.turn_deg is not None and abs(leg.turn_deg) > 3.0 * ROLL_S:
            assert abs(leg.turn_deg) / (leg.duration_s - ROLL_S) == pytest.approx(3.0), "rolling adds"


def test_still_air_45_180_against_the_closed_form() -> None:
    """Rate one, 60 s after roll-out: lateral distance at the end of the leg is r (1 - cos 45) + v t sin 45.

    Half of the time to roll out is flown on the new heading as well.
    """
    path = nominal_paths(procedure(), TAS_MPS, None, "45/180")[0]
    radius = TAS_MPS / math.radians(3.0)
    leg = legs(path, "offset leg")[0]
    expected = radius * (1.0 - math.cos(math.radians(45.0))) + TAS_MPS * (60.0 + 0.5 * ROLL_S) * math.sin(
        math.radians(45.0)
    )
    assert abs(abs(leg.cross_m[-1]) - expected) < ONE_METRE_M
    assert leg.duration_s == pytest.approx(60.0)
    assert legs(path, "outbound")[0].duration_s == pytest.approx(120.0)
    assert legs(path, "reversal turn")[0].turn_deg == pytest.approx(-180.0)


def test_timing_from_the_start_of_the_turn_shortens_the_straight_leg_by_the_turn() -> None:
    path = nominal_paths(procedure(timing_from="turn start"), TAS_MPS, None, "45/180")[0]
    leg = legs(path, "offset leg")[0]
    assert leg.duration_s == pytest.approx(45.0 - ROLL_S)
    assert leg.timed_s == pytest.approx(60.0)


def test_still_air_teardrop_of_thirty_degrees_takes_71_seconds() -> None:
    """r / tan(15 deg) at rate one: 19.1 s x 3.73, less half the roll-in; the handbook has one minute."""
    path = nominal_paths(procedure("teardrop"), TAS_MPS, None, "teardrop")[0]
    assert legs(path, "outbound")[0].duration_s == pytest.approx(
        60.0 / math.pi / math.tan(math.radians(15.0)) - 0.5 * ROLL_S, abs=0.1
    )
    assert abs(legs(path, "reversal turn")[0].turn_deg) == pytest.approx(210.0)
    assert not legs(path, "intercept")


def test_a_charted_teardrop_time_is_flown() -> None:
    plan = procedure("teardrop", outbound_s=120.0, defaults=frozenset())
    path = nominal_paths(plan, TAS_MPS, None, "teardrop")[0]
    assert legs(path, "outbound")[0].duration_s == pytest.approx(120.0)
    assert legs(path, "intercept"), "the longer leg ends away from the course"


def test_80_260_turns_at_once_the_other_way_and_ends_near_the_course() -> None:
    """[IFH] chapter 7: 260 degrees at once. Circles end 2 r cos 80 through it, less what rolling takes."""
    path = nominal_paths(procedure(), TAS_MPS, None, "80/260")[0]
    turns = [leg.turn_deg for leg in path.legs if leg.turn_deg is not None]
    assert turns == [pytest.approx(80.0), pytest.approx(-260.0)]
    radius = TAS_MPS / math.radians(3.0)
    through = 2.0 * radius * math.cos(math.radians(80.0)) - TAS_MPS * ROLL_S * math.sin(math.radians(80.0))
    assert abs(legs(path, "reversal turn")[0].cross_m[-1]) == pytest.approx(through, abs=ONE_METRE_M)


def test_a_hold_about_triples_the_inbound_correction_outbound() -> None:
    """[AIM] 5-3-8 j: 8 degrees left inbound, 24 right outbound; the exact path is within 2 degrees of the rule."""
    plan = procedure("holding")
    crosswind = TAS_MPS * math.sin(math.radians(8.0))
    wind = wind_from(plan.inbound_true_deg - 90.0, crosswind)
    path = nominal_paths(plan, TAS_MPS, wind, "hold")[1]
    inbound, outbound = legs(path, "inbound")[0], legs(path, "outbound")[0]
    assert inbound.drift_correction_deg == pytest.approx(-8.0, abs=0.01)
    assert inbound.heading_true_deg == pytest.approx(plan.inbound_true_deg - 8.0, abs=0.01)
    assert outbound.heading_true_deg == pytest.approx(plan.reciprocal_true_deg + 24.0, abs=2.0)


@pytest.mark.parametrize(("from_relative_deg", "longer"), [(180.0, True), (0.0, False)])
def test_a_hold_times_the_outbound_leg_for_a_minute_inbound(from_relative_deg: float, longer: bool) -> None:
    plan = procedure("holding")
    wind = wind_from(plan.inbound_true_deg + from_relative_deg, 20.0 * MPS_PER_KNOT)
    path = nominal_paths(plan, TAS_MPS, wind, "hold")[1]
    assert legs(path, "inbound")[0].duration_s == pytest.approx(60.0, abs=0.5)
    assert (legs(path, "outbound")[0].timed_s > 60.0) == longer


def test_a_distance_leg_ends_where_the_station_shows_its_distance() -> None:
    path = nominal_paths(procedure("holding", outbound_m=5 * METRES_PER_NM), TAS_MPS, None, "hold")[0]
    leg = legs(path, "outbound")[0]
    assert math.hypot(leg.along_m[-1], leg.cross_m[-1]) == pytest.approx(5 * METRES_PER_NM, abs=ONE_METRE_M)


def test_area_navigation_counts_a_distance_leg_along_the_course() -> None:
    """[AIM] 5-3-8 j: the end of the outbound leg is determined by the along-track distance."""
    plan = procedure("holding", outbound_m=4 * METRES_PER_NM, guidance=Guidance("RNAV", FIX, None, METRES_PER_NM))
    leg = legs(nominal_paths(plan, TAS_MPS, None, "hold")[0], "outbound")[0]
    assert leg.along_m[-1] == pytest.approx(4 * METRES_PER_NM, abs=ONE_METRE_M)


def test_a_hold_above_14000_ft_without_a_time_is_timed_a_minute_and_a_half() -> None:
    from analyzer.given.procedure import AltitudeLimit
    from analyzer.units.factors import METRES_PER_FOOT

    high = AltitudeLimit("reversal", "at or above", 15000 * METRES_PER_FOOT, None)
    path = nominal_paths(procedure("holding", outbound_s=None, altitudes=(high,)), TAS_MPS, None, "hold")[0]
    assert legs(path, "outbound")[0].timed_s == pytest.approx(90.0)


def test_entries_of_a_hold_turn_the_right_way() -> None:
    """Right-hand hold: the teardrop entry turns right 210, the parallel entry left more than 180."""
    plan = procedure("holding", "right")
    teardrop = nominal_paths(plan, TAS_MPS, None, "hold", "teardrop")[0]
    parallel = nominal_paths(plan, TAS_MPS, None, "hold", "parallel")[0]
    assert legs(teardrop, "outbound")[0].heading_true_deg == pytest.approx(plan.reciprocal_true_deg - 30.0)
    assert legs(teardrop, "reversal turn")[0].turn_deg > 150.0
    assert legs(parallel, "reversal turn")[0].turn_deg < -180.0
    assert {leg.lap for leg in teardrop.legs} == {leg.lap for leg in parallel.legs} == {1, 2}


def test_too_much_wind_leaves_only_the_still_air_path_and_nonsense_is_refused() -> None:
    plan = procedure()
    assert len(nominal_paths(plan, TAS_MPS, wind_from(35.0, 1.1 * TAS_MPS), "45/180")) == 1
    assert nominal_paths(plan, TAS_MPS, None, "other") == ()
    with pytest.raises(ValueError, match="airspeed greater than zero"):
        nominal_paths(plan, 0.0, None, "45/180")


def test_turn_rate_is_the_lesser_of_rate_one_and_25_degrees_of_bank() -> None:
    """[PANS-OPS II] table line 4: 509.26 / V at 25 degrees of bank, not above 3 deg/s."""
    assert turn_rate_deg_s(140.0 * MPS_PER_KNOT) == 3.0
    assert turn_rate_deg_s(220.0 * MPS_PER_KNOT) == pytest.approx(509.26 / 220.0, rel=1e-3)


LONGEST_OUTBOUND_S, LEAST_INBOUND_S = 240.0, 14.0


@pytest.mark.parametrize("turn_side", ["left", "right"])
@pytest.mark.parametrize("from_deg", range(0, 360, 30))
def test_a_hold_in_a_strong_wind_changes_its_correction_before_it_lengthens_its_leg(
    from_deg: int, turn_side: str
) -> None:
    """35 kt at 90 kt: the rule of three times overcorrects a leg of three minutes and misses the course."""
    wind = wind_from(float(from_deg), 35.0 * MPS_PER_KNOT)
    path = nominal_paths(procedure("holding", turn_side), 90.0 * MPS_PER_KNOT, wind, "hold")[-1]
    outbound = legs(path, "outbound")[0]
    assert outbound.timed_s is not None
    assert outbound.timed_s < LONGEST_OUTBOUND_S
    if outbound.timed_s > 60.0:
        assert sum(leg.duration_s for leg in legs(path, "inbound")) > LEAST_INBOUND_S


def test_a_hold_in_a_moderate_wind_is_near_to_three_times_the_correction() -> None:
    path = nominal_paths(procedure("holding"), TAS_MPS, wind_from(215.0, 15.0 * MPS_PER_KNOT), "hold")[-1]
    inbound = legs(path, "inbound")[0].drift_correction_deg
    heading = legs(path, "outbound")[0].heading_true_deg
    assert inbound is not None
    assert heading is not None
    assert abs((305.0 - heading) - 3.0 * inbound) < 2.0
