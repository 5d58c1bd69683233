"""Procedures and flights for the tests of how a flight is read, all at an invented place."""

from dataclasses import replace
from functools import lru_cache

from analyzer.given.procedure import Guidance, Place, Procedure, ReversalKind, Side
from analyzer.synthesis import HUMAN, Flight, FlightPlan, Sensor, fly

TABLET = Sensor(interval_s=1.0, white_m=3.0)


def procedure_for(
    reversal: ReversalKind = "procedure turn",
    turn_side: Side = "right",
    inbound_true_deg: float = 118.0,
    latitude_deg: float = 46.2,
    longitude_deg: float = -101.5,
) -> Procedure:
    """Return a procedure with a VOR at the fix; a teardrop's outbound leg is 24 deg off the reciprocal."""
    fix = Place(latitude_deg, longitude_deg, "HRF", 580.0)
    sign = 1.0 if turn_side == "right" else -1.0
    outbound = (inbound_true_deg + 180.0) % 360.0
    return Procedure(
        title="Test",
        reversal=reversal,
        fix=fix,
        inbound_true_deg=inbound_true_deg,
        variation_deg=7.0,
        variation_source="file",
        turn_side=turn_side,
        outbound_true_deg=(outbound + 24.0 * sign) % 360.0 if reversal == "teardrop" else outbound,
        offset_true_deg=(outbound + 45.0 * sign) % 360.0,
        guidance=Guidance("VOR", fix, 10.0, None),
        remain_within_m=18520.0,
        outbound_s=60.0,
        outbound_m=None,
        timing_from="wings level",
        max_ias_mps=None,
        altitudes=(),
        criteria="US",
        category="A",
    )


@lru_cache(maxsize=64)  # the usual flight is asked for by dozens of tests
def flown(procedure: Procedure, method: str, sensor: Sensor = TABLET, seed: int = 7, **plan: object) -> Flight:
    """Return a flight by a human pilot in 16 kt of wind, unless the plan says otherwise."""
    usual = FlightPlan(method, tas_mps=55.0, wind_from_deg_true=230.0, wind_speed_mps=8.0, pilot=HUMAN)  # type: ignore[arg-type]
    return fly(procedure, replace(usual, **plan), seed=seed, sensor=sensor)  # type: ignore[arg-type]
