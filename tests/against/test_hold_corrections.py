"""Solved holds against worked examples of drift and timing corrections in print.

Sources
- [AIM] 5-3-8 j8 c: "8 degrees left inbound, 24 degrees right outbound" for the hold of a minute: read.
- [AIM] 5-3-8, figures of holding patterns by DME: inbound to the station with the fix at 10 NM and a leg of 5 NM the
  turn is at 15 NM; outbound from it, the fix at 28 NM and a leg of 8 NM, at 20 NM: read.
- [P-871] Chief of Naval Air Training, P-871, figures 4-16 and 4-17, holding: a crab of 5 degrees inbound and a no-wind
  outbound heading of 090 give an outbound heading of 075, three times the drift; an inbound leg of 50 s after 60 s
  outbound gives 70 s outbound on the next circuit: read in a public copy of the page.
- [P-1244] Chief of Naval Air Training, P-1244, page 5-17: outbound "2 to 3 times the angle that holds the aircraft on
  course inbound", turns at standard rate or 30 degrees of bank: read in a public copy of the page.

The printed rules know no rolling and are made for the head: 2 degrees and 2 s are allowed.
"""

import math
from dataclasses import replace

import pytest

from analyzer.given.plane import frame_of
from analyzer.given.procedure import Place
from analyzer.given.wind import wind_from
from analyzer.judged import card_for_plan
from analyzer.planned.solver.solve import Asked, solve
from analyzer.planned.solver.values import SolvedPlan
from analyzer.units.factors import METRES_PER_NM, MPS_PER_KNOT
from tests.planned.test_paths import procedure

TWO_DEGREES, TWO_SECONDS = 2.0, 2.0
HOLD = replace(procedure("holding"), remain_within_m=None)


def corrections(tas_kt: float, drift_deg: float, minutes: float = 1.0) -> tuple[float, float]:
    """Inbound and outbound correction of a hold with the wind straight across, positive to the right."""
    plan = replace(HOLD, outbound_s=60.0 * minutes)
    tas = tas_kt * MPS_PER_KNOT
    wind = wind_from(plan.inbound_true_deg - 90.0, tas * math.sin(math.radians(drift_deg)))
    answer = solve(Asked(plan, tas, wind, "hold"))
    assert isinstance(answer, SolvedPlan)
    headings = answer.heading_true_deg("inbound"), answer.heading_true_deg("outbound")
    assert headings[0] is not None
    assert headings[1] is not None
    return tuple(  # type: ignore[return-value]
        (heading - course + 180.0) % 360.0 - 180.0
        for heading, course in zip(headings, (plan.inbound_true_deg, plan.reciprocal_true_deg), strict=True)
    )


@pytest.mark.parametrize("tas_kt", [90.0, 120.0, 150.0])
@pytest.mark.parametrize(("inbound_deg", "outbound_deg"), [(8.0, 24.0), (5.0, 15.0)])
def test_the_printed_triples_of_a_hold_of_a_minute(tas_kt: float, inbound_deg: float, outbound_deg: float) -> None:
    """[AIM] 8 left in, 24 right out; [P-871] 5 in, 090 becomes 075."""
    inbound, outbound = corrections(tas_kt, inbound_deg)
    assert inbound == pytest.approx(-inbound_deg, abs=0.01)
    assert outbound == pytest.approx(outbound_deg, abs=TWO_DEGREES)


@pytest.mark.parametrize("minutes", [1.0, 1.5, 2.0])
def test_the_correction_is_two_to_three_times_the_drift(minutes: float) -> None:
    """[P-1244]; at a minute it is three times, at two minutes twice."""
    inbound, outbound = corrections(110.0, 5.0, minutes)
    assert 1.95 <= -outbound / inbound <= 3.05


def test_fifty_seconds_inbound_ask_for_seventy_outbound() -> None:
    """[P-871]: the tail wind that makes the inbound leg 50 s after 60 s outbound, by hand, asks for 70 s.

    Clock from abeam: the leg begins abeam the fix and the turn drifts its 60 s and one roll towards the fix, so that
    60 (V - w) - w t = 50 (V + w), of which w follows.
    """
    tas = 110.0 * MPS_PER_KNOT
    turn_s = 60.0 + math.degrees(math.atan(tas * math.radians(3.0) / 9.80665)) / 5.0
    tail = 10.0 * tas / (110.0 + turn_s)
    answer = solve(Asked(HOLD, tas, wind_from(HOLD.reciprocal_true_deg, tail), "hold"))
    assert isinstance(answer, SolvedPlan)
    assert answer.timed_s("outbound") == pytest.approx(70.0, abs=TWO_SECONDS)
    assert answer.inbound_s == pytest.approx(60.0, abs=0.01)


@pytest.mark.parametrize(("fix_nm", "leg_nm", "behind", "turn_nm"), [(10.0, 5.0, False, 15.0), (28.0, 8.0, True, 20.0)])
def test_the_printed_dme_holds_turn_at_what_is_read(fix_nm: float, leg_nm: float, behind: bool, turn_nm: float) -> None:
    """[AIM]: the figure's distances are read from the station, which lies ahead on the inbound course or behind."""
    frame = frame_of(HOLD)
    along_m = (fix_nm if behind else -fix_nm) * METRES_PER_NM
    station = Place(*(float(value) for value in frame.latitude_longitude_from_along_cross(along_m, 0.0)), "HRF")
    plan = replace(
        HOLD, outbound_s=None, outbound_m=leg_nm * METRES_PER_NM, guidance=replace(HOLD.guidance, station=station)
    )
    answer = solve(Asked(plan, 110.0 * MPS_PER_KNOT, wind_from(HOLD.inbound_true_deg + 60.0, 8.0), "hold"))
    assert isinstance(answer, SolvedPlan)
    leg = answer.leg("outbound")
    assert leg is not None
    away_m = math.hypot(leg.along_m[-1] - along_m, leg.cross_m[-1])
    assert away_m / METRES_PER_NM == pytest.approx(turn_nm, abs=0.02)
    assert f"to {turn_nm:g} DME" in card_for_plan(plan, answer).spoken
