"""The solved plans: by hand, by published rules, by symmetry, by a search on a grid and by flying them step by step.

The steps share no code with the solver. Where a figure is published its source stands beside it; the rest is geometry.
"""

import math
import time
from dataclasses import replace

import numpy as np
import pytest

from analyzer.given.plane import frame_of
from analyzer.given.procedure import AltitudeLimit, Guidance, Procedure
from analyzer.given.wind import Wind, wind_from
from analyzer.judged import card_for_plan
from analyzer.planned.solver.solve import Asked, solve
from analyzer.planned.solver.values import NoPlan, SolvedPlan
from analyzer.units.factors import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT
from tests.planned.step_flown import StepFlown
from tests.planned.test_paths import procedure

KT, NM = MPS_PER_KNOT, METRES_PER_NM
TAS = 110.0 * KT
LIEU = replace(procedure("hold in lieu"), remain_within_m=None)
LIEU_4_NM = replace(LIEU, outbound_m=4.0 * NM, outbound_s=None)
HOLD = procedure("holding")
BASE = procedure("teardrop", outbound_s=120.0, defaults=frozenset())
KINDS = [
    (procedure(), "45/180", None),
    (procedure(), "80/260", None),
    (procedure(), "teardrop", None),
    (procedure(), "racetrack", None),
    (procedure("teardrop"), "teardrop", None),
    (BASE, "teardrop", None),
    (HOLD, "hold", "direct"),
    (HOLD, "hold", "teardrop"),
    (HOLD, "hold", "parallel"),
    (LIEU_4_NM, "hold", "direct"),
    (LIEU_4_NM, "hold", "teardrop"),
    (LIEU_4_NM, "hold", "parallel"),
]


def relative(plan: Procedure, from_deg: float, kt: float) -> Wind:
    """Wind from so many degrees to the right of the inbound course."""
    return wind_from(plan.inbound_true_deg + from_deg, kt * KT)


def solved(plan: Procedure, method: str, entry: str | None, wind: Wind | None, tas_mps: float = TAS) -> SolvedPlan:
    answer = solve(Asked(plan, tas_mps, wind, method, entry))  # type: ignore[arg-type]
    assert isinstance(answer, SolvedPlan), answer
    return answer


def flown_by_steps(plan: Procedure, answer: SolvedPlan, wind: Wind | None) -> tuple[np.ndarray, np.ndarray]:
    """Along and cross of the end of every leg but the tracked last one, flown by heading, clock and size of turn."""
    first = answer.legs[0]
    if first.heading_true_deg is not None:
        heading = first.heading_true_deg
    else:
        assert first.to_heading_true_deg is not None
        assert first.turn_deg is not None
        heading = first.to_heading_true_deg - first.turn_deg
    east, north = (0.0, 0.0) if wind is None else (wind.east_mps, wind.north_mps)
    flight = StepFlown(answer.tas_mps, east, north, heading)
    ends = []
    for leg in answer.legs:
        if leg.lap > 1 or leg.phase == "inbound":
            break
        if leg.turn_deg is None:
            flight.level(leg.duration_s)
        else:
            flight.turn(leg.turn_deg, answer.rate_deg_s)
        ends.append((flight.east_m, flight.north_m))
    along, cross = frame_of(plan).along_cross_from_east_north(*np.array(ends).T)
    return along, cross


@pytest.mark.parametrize(("plan", "method", "entry"), KINDS)
@pytest.mark.parametrize("turn_side", ["left", "right"])
@pytest.mark.parametrize(("from_deg", "kt"), [(0, 0), (40, 15), (100, 25), (190, 30), (280, 20), (330, 30)])
def test_a_plan_flown_step_by_step_ends_where_it_says(
    plan: Procedure, method: str, entry: str | None, turn_side: str, from_deg: float, kt: float
) -> None:
    """Rolling is a ramp of the bank there and half a roll's delay here: 2 m a turn, and the steps' own rounding."""
    mirrored = replace(procedure(plan.reversal, turn_side), outbound_s=plan.outbound_s, outbound_m=plan.outbound_m,
                       defaults=plan.defaults, remain_within_m=plan.remain_within_m)  # fmt: skip
    wind = relative(mirrored, from_deg, kt) if kt else None
    answer = solved(mirrored, method, entry, wind)
    along, cross = flown_by_steps(mirrored, answer, wind)
    legs = [leg for leg in answer.legs if leg.lap == 1 and leg.phase != "inbound"]
    for leg, x, y in zip(legs, along, cross, strict=True):
        assert math.hypot(leg.along_m[-1] - x, leg.cross_m[-1] - y) < 25.0, leg.phase


@pytest.mark.parametrize(("plan", "method", "entry"), KINDS)
def test_still_air_asks_for_the_charted_course_and_time(plan: Procedure, method: str, entry: str | None) -> None:
    answer = solved(plan, method, entry, None)
    drifts = [leg.drift_correction_deg for leg in answer.legs if leg.drift_correction_deg is not None]
    assert drifts == pytest.approx([0.0] * len(drifts), abs=1e-6)
    outbound = answer.leg("outbound")
    assert outbound is not None
    if method == "hold" and plan is HOLD and entry != "parallel":
        assert outbound.timed_s == pytest.approx(60.0)
    if plan is BASE:
        assert outbound.timed_s == pytest.approx(120.0)
    if method == "45/180":
        assert answer.timed_s("offset leg") == pytest.approx(60.0)


@pytest.mark.parametrize("kt", [-20.0, 20.0])
def test_a_hold_with_the_wind_along_its_course_by_hand(kt: float) -> None:
    """No drift. Each half turn takes 60 s and one roll (atan V w / g is 16.8 degrees, 5 a second) and drifts that long.

    Out: x1 = w T, leg (V + w) t, turn w T again; in: (V - w) 60. `kt` positive blows outbound.
    """
    roll_s = math.degrees(math.atan(TAS * math.radians(3.0) / 9.80665)) / 5.0
    turn_s, w = 60.0 + roll_s, kt * KT
    leg_s = ((TAS - w) * 60.0 - 2.0 * w * turn_s) / (TAS + w)
    clock_s = leg_s - max(-w * turn_s / (TAS + w), 0.0)
    wind = relative(HOLD, 0.0 if kt > 0 else 180.0, abs(kt))
    answer = solved(HOLD, "hold", None, wind)
    outbound = answer.leg("outbound")
    assert outbound is not None
    assert outbound.drift_correction_deg == pytest.approx(0.0, abs=1e-6)
    assert outbound.duration_s == pytest.approx(leg_s, abs=0.01)
    assert outbound.timed_s == pytest.approx(clock_s, abs=0.01)
    assert answer.inbound_s == pytest.approx(60.0, abs=0.01)


@pytest.mark.parametrize(("minutes", "multiple"), [(1.0, 3.0), (2.0, 2.0), (2.5, 1.8)])
@pytest.mark.parametrize("from_deg", [90.0, 270.0])
def test_the_correction_in_a_light_wind_is_one_plus_two_over_the_minutes(
    minutes: float, multiple: float, from_deg: float
) -> None:
    """[AIM] 5-3-8 j: three times the inbound correction, for the leg of a minute between two turns of a minute.

    Each turn drifts as long as the leg makes up for it: 1 + 2/T for T minutes. Rolling makes a turn 3 s longer, 5 %.
    """
    plan = replace(HOLD, outbound_s=60.0 * minutes, remain_within_m=None)
    answer = solved(plan, "hold", None, relative(plan, from_deg, 3.0))
    inbound, outbound = answer.leg("inbound"), answer.leg("outbound")
    assert inbound is not None
    assert outbound is not None
    ratio = -outbound.drift_correction_deg / inbound.drift_correction_deg  # type: ignore[operator]
    heading = float((outbound.heading_true_deg - plan.reciprocal_true_deg + 180.0) % 360.0 - 180.0)  # type: ignore[operator]
    single = float((inbound.heading_true_deg - plan.inbound_true_deg + 180.0) % 360.0 - 180.0)  # type: ignore[operator]
    assert -heading / single == pytest.approx(multiple, rel=0.06)
    assert ratio > 0.0


@pytest.mark.parametrize(("plan", "method", "entry"), KINDS)
@pytest.mark.parametrize("from_deg", [20.0, 75.0, 150.0, 220.0, 310.0])
def test_mirrored_side_and_wind_give_the_mirrored_plan(
    plan: Procedure, method: str, entry: str | None, from_deg: float
) -> None:
    left = replace(procedure(plan.reversal, "left"), outbound_s=plan.outbound_s, outbound_m=plan.outbound_m,
                   defaults=plan.defaults, remain_within_m=plan.remain_within_m)  # fmt: skip
    one = solved(plan, method, entry, relative(plan, from_deg, 22.0))
    other = solved(left, method, entry, relative(left, -from_deg, 22.0))
    assert len(one.legs) == len(other.legs)
    for a, b in zip(one.legs, other.legs, strict=True):
        assert a.duration_s == pytest.approx(b.duration_s, abs=0.01)
        assert a.cross_m[-1] == pytest.approx(-b.cross_m[-1], abs=0.5)
        if a.turn_deg is not None:
            assert a.turn_deg == pytest.approx(-b.turn_deg, abs=0.01)  # type: ignore[operator]


@pytest.mark.parametrize("plan", [HOLD, LIEU_4_NM])
@pytest.mark.parametrize(("from_deg", "kt"), [(315, 25), (60, 25), (120, 20), (250, 30)])
def test_a_search_on_a_grid_finds_no_better_hold(plan: Procedure, from_deg: float, kt: float) -> None:
    """All headings and times of a grid flown by steps: the best of them lies beside the solution."""
    wind = relative(plan, from_deg, kt)
    answer = solved(plan, "hold", None, wind)
    outbound = answer.leg("outbound")
    assert outbound is not None
    assert outbound.heading_true_deg is not None
    frame = frame_of(plan)
    best = (math.inf, 0.0, 0.0)
    for heading in np.arange(plan.reciprocal_true_deg - 60.0, plan.reciprocal_true_deg + 60.1, 4.0):
        for leg_s in np.arange(16.0, 240.0, 8.0):
            miss = _missed_m(plan, answer, wind, float(heading), float(leg_s), frame)
            best = min(best, (miss, float(heading), float(leg_s)))
    assert best[1] == pytest.approx(outbound.heading_true_deg, abs=6.0)
    assert best[2] == pytest.approx(outbound.duration_s, abs=14.0)
    assert _missed_m(plan, answer, wind, outbound.heading_true_deg, outbound.duration_s, frame) < best[0]


def _missed_m(plan: Procedure, answer: SolvedPlan, wind: Wind, heading: float, leg_s: float, frame: object) -> float:
    """Distance of a coarsely flown circuit's roll-out from the course, and its inbound leg from what is asked."""
    inbound = answer.leg("inbound")
    assert inbound is not None
    assert inbound.heading_true_deg is not None
    side = 1.0 if plan.turn_side == "right" else -1.0
    east = north = 0.0
    roll_s = math.degrees(math.atan(TAS * math.radians(3.0) / 9.80665)) / 5.0
    now = inbound.heading_true_deg
    turned_out = 0.0
    for target, level_s in ((heading, leg_s), (inbound.heading_true_deg, 0.0)):
        size = (side * (target - now)) % 360.0
        for lead, degrees in ((0.5 * roll_s, 0.0), (size / 3.0, size), (0.5 * roll_s + level_s, 0.0)):
            steps = max(int(lead / 2.0), 1)
            for _ in range(steps):
                middle = math.radians(now + side * degrees / steps / 2.0)
                east += (TAS * math.sin(middle) + wind.east_mps) * lead / steps
                north += (TAS * math.cos(middle) + wind.north_mps) * lead / steps
                now += side * degrees / steps
        if target == heading:
            along, cross = frame.along_cross_from_east_north(east, north)  # type: ignore[attr-defined]
            turned_out = math.hypot(along, cross)
    along, cross = frame.along_cross_from_east_north(east, north)  # type: ignore[attr-defined]
    if plan.outbound_m is not None:
        return math.hypot(cross, turned_out - plan.outbound_m)
    speed = (inbound.along_m[0] - inbound.along_m[-1]) / inbound.duration_s
    return math.hypot(cross, along - 60.0 * speed)


@pytest.mark.parametrize("tas_kt", [90.0, 110.0, 150.0])
@pytest.mark.parametrize(("plan", "method", "entry"), KINDS)
def test_plans_keep_their_side_and_exist_up_to_a_third_of_the_airspeed(
    plan: Procedure, method: str, entry: str | None, tas_kt: float
) -> None:
    for share in (0.15, 0.3, 0.33):
        for from_deg in range(0, 360, 15):
            answer = solve(Asked(plan, tas_kt * KT, relative(plan, from_deg, share * tas_kt), method, entry))  # type: ignore[arg-type]
            assert isinstance(answer, SolvedPlan), (share, from_deg, answer)
            assert answer.legs[-1].phase == "inbound"
            if plan.is_hold:
                assert answer.beyond_m <= 0.2 * NM
                outbound = answer.leg("outbound")
                assert outbound is not None
                assert outbound.timed_s is None or outbound.timed_s >= 14.9
            if plan.remain_within_m is not None:
                assert answer.farthest_m <= plan.remain_within_m


def test_no_plan_says_why_in_a_pilots_words() -> None:
    """40 kt on the nose at 90 kt: both turns carry the aircraft out so far that a minute can't bring it back."""
    nose = solve(Asked(HOLD, 90.0 * KT, relative(HOLD, 0.0, 40.0), "hold"))
    assert isinstance(nose, NoPlan)
    assert "no outbound time brings an inbound leg of 60 s" in nose.reason
    assert nose.failed is not None
    for from_deg in range(0, 360, 15):
        gale = solve(Asked(procedure(), 80.0 * KT, relative(procedure(), from_deg, 55.0), "45/180"))
        assert isinstance(gale, NoPlan)
        assert "not with this speed" in gale.reason
    fresh = solve(Asked(procedure(), 80.0 * KT, relative(procedure(), 240.0, 45.0), "45/180"))
    assert isinstance(fresh, NoPlan)
    assert "the 45° leg would need" in fresh.reason
    storm = solve(Asked(procedure(), 60.0 * KT, relative(procedure(), 90.0, 70.0), "45/180"))
    assert isinstance(storm, NoPlan)
    assert "70 kt of wind at 60 kt: not with this speed" in storm.reason


def test_a_180_turned_the_same_way_as_the_45_comes_back_farther_off_the_course() -> None:
    usual = solve(Asked(procedure(), TAS, None, "45/180"))
    same = solve(Asked(procedure(), TAS, None, "45/180", same_way=True))
    assert isinstance(usual, SolvedPlan)
    assert isinstance(same, SolvedPlan)
    turned = [leg.turn_deg for leg in same.legs if leg.phase == "reversal turn"]
    assert turned == [pytest.approx(180.0)], "right like the 45"
    radius = TAS / math.radians(3.0)
    apart = abs(same.legs[3].cross_m[-1]) - abs(usual.legs[3].cross_m[-1])
    assert apart == pytest.approx(4.0 * radius * math.sin(math.radians(45.0)), rel=0.02)


def test_the_three_times_rule_is_shown_with_how_far_off_it_is() -> None:
    near = solved(HOLD, "hold", None, relative(HOLD, 90.0, 15.0)).thumb
    far = solved(LIEU_4_NM, "hold", None, relative(LIEU_4_NM, 90.0, 25.0)).thumb
    assert near is not None
    assert far is not None
    assert abs(near.off_m) < 0.2 * NM, "the published rule holds for the minute it is made for"
    assert abs(far.off_m) > 0.5 * NM


def test_a_direct_entry_from_across_the_course_is_solved_from_its_own_heading() -> None:
    """Across the course towards the hold: after some 90 degrees of turn the leg begins one radius off, and gets two."""
    across = solve(Asked(HOLD, TAS, None, "hold", "direct", arrival_true_deg=HOLD.inbound_true_deg + 90.0))
    assert isinstance(across, SolvedPlan)
    first = across.legs[0]
    assert first.turn_deg is not None
    assert 60.0 < abs(first.turn_deg) < 90.0
    assert abs(first.cross_m[-1]) < 1.1 * TAS / math.radians(3.0)
    rolled_out = next(leg for leg in across.legs if leg.phase == "reversal turn")
    assert abs(rolled_out.cross_m[-1]) < 1.0
    assert across.legs[-1].lap == 2, "a circuit from the course follows"


@pytest.mark.parametrize(("plan", "method", "entry"), KINDS)
def test_a_plan_is_solved_within_five_milliseconds(plan: Procedure, method: str, entry: str | None) -> None:
    asked = Asked(plan, TAS, relative(plan, 70.0, 20.0), method, entry)  # type: ignore[arg-type]
    times = []
    for _ in range(7):
        start = time.process_time()
        solve(asked)
        times.append(time.process_time() - start)
    assert min(times) < 0.005


@pytest.mark.parametrize("method", ["45/180", "80/260"])
def test_where_the_limit_binds_half_a_mile_is_kept_from_it(method: str) -> None:
    """A limit of 5 NM leaves no room for two minutes outbound: the whole path stays within 4.5 NM, and uses it."""
    plan = solved(replace(procedure(), remain_within_m=5.0 * NM), method, None, None)
    farthest = max(float(np.max(np.hypot(leg.along_m, leg.cross_m))) for leg in plan.legs)
    assert farthest == pytest.approx(4.5 * NM, abs=0.01 * NM)


def test_a_stations_distance_is_the_slant_one() -> None:
    """At 6,000 ft above a station that reads 5 NM the aircraft is 4.9 NM away over the ground.

    sqrt(5^2 - 0.99^2) = 4.90, the textbook triangle; [IFH] chapter 9: the reading is the slant distance.
    """
    station = replace(HOLD.fix, elevation_m=1900.0 * METRES_PER_FOOT)
    high = AltitudeLimit("reversal", "at or above", 7900.0 * METRES_PER_FOOT, None)
    plan = replace(
        HOLD, outbound_s=None, outbound_m=5.0 * NM, fix=station, guidance=replace(HOLD.guidance, station=station),
        altitudes=(high,),
    )  # fmt: skip
    leg = solved(plan, "hold", "direct", None).leg("outbound")
    assert leg is not None
    assert math.hypot(leg.along_m[-1], leg.cross_m[-1]) / NM == pytest.approx(4.90, abs=0.005)
    assert leg.end is not None
    assert leg.end.distance_m == 5.0 * NM, "the card says what is read"
    low = solved(replace(plan, altitudes=()), "hold", "direct", None).leg("outbound")
    assert low is not None
    assert math.hypot(low.along_m[-1], low.cross_m[-1]) / NM == pytest.approx(5.0, abs=0.005), "a height not known"


def test_area_navigation_knows_no_slant() -> None:
    station = replace(LIEU_4_NM.fix, elevation_m=0.0)
    high = AltitudeLimit("reversal", "at or above", 12000.0 * METRES_PER_FOOT, None)
    guidance = Guidance("RNAV", station, None, NM)
    leg = solved(replace(LIEU_4_NM, fix=station, guidance=guidance, altitudes=(high,)), "hold", "direct", None).leg(
        "outbound"
    )
    assert leg is not None
    assert leg.along_m[-1] / NM == pytest.approx(4.0, abs=0.001)


@pytest.mark.parametrize(("kt", "told"), [(4.0, None), (22.0, "this wind asks for 2:"), (42.0, "over half as long")])
def test_a_base_turn_tells_the_charts_time_beside_the_winds(kt: float, told: str | None) -> None:
    """A headwind outbound: the same place over the ground, 2:00 V / (V - w) in a wind straight along the leg."""
    answer = solved(BASE, "teardrop", None, wind_from(BASE.outbound_true_deg, kt * KT))
    timed = answer.timed_s("outbound")
    assert timed is not None
    assert timed >= 120.0 * 110.0 / (110.0 - kt) - 0.5
    assert (told is None and not answer.notes) or any(told in note for note in answer.notes)  # type: ignore[operator]


def test_a_base_turn_is_not_ordered_at_twice_its_time() -> None:
    """Half the airspeed on the nose outbound would make two minutes four."""
    no = solve(Asked(BASE, TAS, wind_from(BASE.outbound_true_deg, 55.0 * KT), "teardrop"))
    assert isinstance(no, NoPlan)
    assert "instead of 2:00" in no.reason


@pytest.mark.parametrize("tas_kt", [90.0, 150.0])
@pytest.mark.parametrize("from_deg", [0.0, 90.0, 180.0, 270.0])
def test_a_parallel_entry_ends_its_leg_near_the_course_on_its_own_side(tas_kt: float, from_deg: float) -> None:
    """However far the turn at the fix leads to the other side: a quarter of a mile at most where its turn begins."""
    wind = relative(LIEU_4_NM, from_deg, 15.0)
    arrival = LIEU_4_NM.reciprocal_true_deg + 45.0 * LIEU_4_NM.side
    answer = solve(Asked(LIEU_4_NM, tas_kt * KT, wind, "hold", "parallel", arrival))
    assert isinstance(answer, SolvedPlan)
    leg = answer.leg("outbound")
    assert leg is not None
    assert LIEU_4_NM.side * leg.cross_m[-1] >= -0.25 * NM


@pytest.mark.parametrize("from_deg", range(0, 360, 30))
@pytest.mark.parametrize("tas_kt", [90.0, 150.0])
def test_a_45_180_intercepts_at_thirty_degrees_or_turns_straight_on(tas_kt: float, from_deg: float) -> None:
    answer = solve(Asked(procedure(), tas_kt * KT, relative(procedure(), from_deg, 25.0), "45/180"))
    assert isinstance(answer, SolvedPlan)
    leg = answer.leg("intercept")
    if leg is not None:
        closing = math.degrees(math.atan2(abs(leg.cross_m[-1] - leg.cross_m[0]), leg.along_m[0] - leg.along_m[-1]))
        assert closing >= 29.9


@pytest.mark.parametrize("tas_kt", [90.0, 120.0])
def test_a_direct_entry_from_across_the_course_times_its_first_leg_by_the_chart(tas_kt: float) -> None:
    """[AIM] 5-3-8 j4: the initial outbound leg is flown for a minute; its heading brings the turn onto the course.

    After a turn of less than 180 degrees at the fix it lies nearer the course and has to lead away from it.
    """
    arrival = HOLD.inbound_true_deg + 86.0 * HOLD.side
    answer = solve(Asked(HOLD, tas_kt * KT, relative(HOLD, 0.0, 5.0), "hold", "direct", arrival))
    assert isinstance(answer, SolvedPlan)
    assert answer.timed_s("outbound", 1) == pytest.approx(60.0, abs=0.01)
    turn = next(leg for leg in answer.legs if leg.phase == "reversal turn" and leg.lap == 1)
    assert abs(turn.cross_m[-1]) < 5.0
    heading, later = answer.heading_true_deg("outbound", 1), answer.heading_true_deg("outbound", 2)
    assert heading is not None
    assert later is not None
    assert HOLD.side * ((later - heading + 180.0) % 360.0 - 180.0) > 5.0
    spoken = card_for_plan(HOLD, answer).spoken
    assert "of the outbound course for the short turn at the fix and the wind" in spoken


def test_a_turn_near_the_fix_ends_near_the_course_by_the_needle() -> None:
    """A teardrop entry that the wind makes short rolls out at most six degrees of needle beyond the course."""
    for kt in (25.0, 30.0, 35.0, 40.0):
        answer = solved(HOLD, "hold", "teardrop", relative(HOLD, -125.0, kt), 90.0 * KT)
        turn = next(leg for leg in answer.legs if leg.phase == "reversal turn")
        beyond = -HOLD.side * turn.cross_m[-1]
        assert beyond <= 0.1 * turn.along_m[-1] + 5.0
