"""Flights within the criteria's tolerances against the computed ICAO primary area, and US flights against the US one.

A small seeded share is flown each time. The whole check flies 10,000 flights within the ICAO tolerances and 2,000 under
US rules (about five minutes): `TOLERANCE_FLIGHTS=10000 pytest tests/against/test_tolerance_flights.py -s`, which prints
the table.
"""

import os

import numpy as np
import pytest
from tolerance_flights import TOUCHES_M, Outcome, coarse_steps, fly_many, procedure, us_plan

from analyzer.planned.protection.build import protection_areas
from analyzer.units.factors import METRES_PER_NM

pytestmark = pytest.mark.filterwarnings("error")

TOTAL = int(os.environ.get("TOLERANCE_FLIGHTS", "0"))
#: kind of reversal, category, side, method, share of all flights
ICAO_CASES = [
    ("procedure turn", "B", "right", "45/180", 0.20),
    ("procedure turn", "B", "left", "80/260", 0.15),
    ("procedure turn", "C", "left", "45/180", 0.15),
    ("procedure turn", "C", "right", "80/260", 0.10),
    ("teardrop", "B", "right", "teardrop", 0.15),
    ("hold in lieu", "B", "left", "hold", 0.15),
    ("holding", "C", "right", "hold", 0.10),
]
US_METHODS = ["45/180", "80/260", "teardrop", "racetrack"]
ONE_METRE_M = 1.0
#: steps of the flights; against 0.05 s a path reaches up to 62 m farther (24 flights)
STEP_S = 0.25


def table_line(name: str, outcomes: list[Outcome]) -> str:
    margins = np.array([one.margin_m for one in outcomes]) / METRES_PER_NM
    touching = np.mean([one.far_margin_m < TOUCHES_M for one in outcomes])
    reach = np.array([one.reach_m for one in outcomes]) / METRES_PER_NM
    return (
        f"{name}: {len(outcomes)} flights, {np.sum(margins < 0.0)} outside, {100 * touching:.2f} % within 0.1 NM of "
        f"the edge, least margin {margins.min():.2f} NM, reach along {reach[:, 0].min():.1f} to "
        f"{reach[:, 2].max():.1f}, cross {reach[:, 1].min():.1f} to {reach[:, 3].max():.1f} NM"
    )


@pytest.mark.parametrize(("reversal", "category", "side", "method", "share"), ICAO_CASES)
def test_flights_within_the_tolerances_stay_in_the_icao_primary_area(
    reversal: str, category: str, side: str, method: str, share: float
) -> None:
    plan = procedure(reversal, category=category, turn_side=side)
    with coarse_steps(STEP_S):
        outcomes = fly_many(plan, method, round(TOTAL * share) or 12, seed=20)
    if TOTAL:
        print(table_line(f"{reversal}, category {category}, {side}, {method}", outcomes))
        bounds = next(area.shape.bounds for area in protection_areas(plan) if area.name == "primary")
        west, low, east, high = np.array(bounds) / METRES_PER_NM
        print(f"    area: along {west:.1f} to {east:.1f}, cross {low:.1f} to {high:.1f} NM")
    outside = [one for one in outcomes if one.margin_m < -ONE_METRE_M]
    assert not outside, f"{len(outside)} of {len(outcomes)} leave the area; the first with {outside[0]}"


def test_coarse_steps_fly_the_same_flight() -> None:
    plan = procedure("procedure turn")
    fine = fly_many(plan, "45/180", 2, seed=5)
    with coarse_steps(STEP_S):
        coarse = fly_many(plan, "45/180", 2, seed=5)
    for one, other in zip(fine, coarse, strict=True):
        assert np.allclose(one.reach_m, other.reach_m, atol=100.0)


@pytest.mark.parametrize("method", US_METHODS)
def test_us_flights_within_the_distance_stay_in_the_us_primary_area(method: str) -> None:
    """Up to 200 kt IAS and 40 kt of wind, on the protected side, within 10 NM; arrivals within 30 degrees."""
    plan = procedure("procedure turn", criteria="US")
    with coarse_steps(STEP_S):
        flown = fly_many(plan, method, round(TOTAL * 0.05) or 12, seed=30, plan_of=us_plan)
    outcomes = [one for one in flown if one.distance_m <= 10.0 * METRES_PER_NM]
    if TOTAL:
        print(table_line(f"US procedure turn, {method} ({len(flown) - len(outcomes)} beyond 10 NM left out)", outcomes))
    assert outcomes
    outside = [one for one in outcomes if one.margin_m < -ONE_METRE_M]
    assert not outside, f"{len(outside)} of {len(outcomes)} leave the area; the first with {outside[0]}"
