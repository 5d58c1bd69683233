"""The synthesized pilot's drift correction against a wind triangle printed in a handbook."""

from dataclasses import replace

import numpy as np

from analyzer.reading.procedure_file.read import read_procedure
from analyzer.synthesis import FlightPlan, fly
from analyzer.units.factors import MPS_PER_KNOT


def test_heading_and_ground_speed_of_the_printed_wind_triangle() -> None:
    """Pilot's Handbook of Aeronautical Knowledge (FAA-H-8083-25), chapter 16, figures 16-20 to 16-22.

    True course 090, wind 045 at 40 kt, true airspeed 120 kt: the drawn triangle gives a heading of 076 and a ground
    speed of 88 kt, read off a drawing to whole degrees and knots. Half a unit and the exact solution's distance from
    the drawing (0.4 deg, 0.3 kt) are allowed.
    """
    one_degree_deg, one_knot_kt = 1.0, 1.0
    procedure = replace(read_procedure("tests/procedures/vor_procedure_turn.toml"), inbound_true_deg=90.0)
    plan = FlightPlan(
        "straight in",
        tas_mps=120.0 * MPS_PER_KNOT,
        wind_from_deg_true=45.0,
        wind_speed_mps=40.0 * MPS_PER_KNOT,
    )
    state = fly(procedure, plan).state
    steady = slice(200, 1000)
    heading = 90.0 + float(np.median(state.heading_deg[steady]))
    ground_speed = float(np.median(state.groundspeed_mps[steady])) / MPS_PER_KNOT
    assert abs(heading - 76.0) < one_degree_deg
    assert abs(ground_speed - 88.0) < one_knot_kt
