"""What was briefed is told beside what blew, in the numbers of the two plans."""

import pytest

from analyzer.given.options import Options
from analyzer.given.wind import wind_from
from analyzer.judged.assessment import assess_track
from analyzer.planned.solver.solve import Asked, solve
from analyzer.planned.solver.values import SolvedPlan
from analyzer.synthesis import AUTOPILOT, FlightPlan, Sensor, fly
from analyzer.units.factors import MPS_PER_KNOT
from tests.judged.test_flight_card import TURN

KT = MPS_PER_KNOT


def notes(options: Options) -> list[str]:
    plan = FlightPlan("45/180", tas_mps=110 * KT, wind_from_deg_true=60.0, wind_speed_mps=20.0 * KT, pilot=AUTOPILOT)
    track = fly(TURN, plan, 4, Sensor(interval_s=1.0, white_m=2.0)).track
    return [note.text for note in assess_track(track, TURN, options).notes if note.code == "briefed-wind"]


def test_both_winds_and_both_plans_are_told() -> None:
    briefed = wind_from(240.0, 12.0 * KT)
    (text,) = notes(Options(brief_wind=briefed))
    assert text.startswith("Briefed for 233° at 12 kt; 053° at 20 kt blew (magnetic).")
    answer = solve(Asked(TURN, 110 * KT, briefed, "45/180"))
    assert isinstance(answer, SolvedPlan)
    heading = answer.heading_true_deg("outbound")
    assert heading is not None
    assert f"The briefing's plan: outbound {TURN.magnetic_deg(heading):03.0f}°" in text


@pytest.mark.parametrize("options", [Options(), Options(forecast_wind=wind_from(240.0, 12.0 * KT))])
def test_nothing_briefed_nothing_told(options: Options) -> None:
    assert notes(options) == []
