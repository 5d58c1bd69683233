"""Bounds of the judges, just inside and just outside, each written as a number and not as the program's constant."""

from dataclasses import replace

import numpy as np
import pytest

from analyzer.flown import FlownTurn
from analyzer.judged.findings.case import verdict_of
from analyzer.judged.findings.turns import asked_rate_deg_s
from analyzer.judged.measurements.turns import measure_turns
from analyzer.judged.measurements.values import Excursion, Timing, TurnMeasure
from analyzer.judged.scoring import load_weights
from analyzer.units import METRES_PER_NM
from tests.hand_flown import attempt, flight_of, flown, turn
from tests.judged.test_findings_table import procedure_turn


@pytest.mark.parametrize(
    ("margin", "sigma", "verdict"),
    [
        (2.01, 1.0, "to standard"),
        (1.99, 1.0, "too close to call"),
        (-1.99, 1.0, "too close to call"),
        (-2.01, 1.0, "not to standard"),
        (0.0, 0.0, "to standard"),
        (-0.01, None, "not to standard"),
        (None, 1.0, "not assessed"),
    ],
)
def test_a_margin_of_less_than_two_sigma_decides_nothing(
    margin: "float | None", sigma: "float | None", verdict: str
) -> None:
    assert verdict_of(margin, sigma) == verdict


def test_rolling_in_and_out_lowers_a_turns_mean_rate_by_4_seconds() -> None:
    """180 degrees at 3 deg/s take 60 s, and 4 s more with the rolls: 2.8125 deg/s; 45 degrees 15 + 4 s: 2.368."""
    assert asked_rate_deg_s(60.0, 180.0) == pytest.approx(2.8125, abs=0.005)
    assert asked_rate_deg_s(60.0, -45.0) == pytest.approx(2.368, abs=0.005)
    assert asked_rate_deg_s(None) == 3.0


@pytest.mark.parametrize(("tas_mps", "rate"), [(87.0, 3.0), (100.0, 2.62), (120.0, 2.18)])
def test_above_170_knots_25_degrees_of_bank_give_less_than_standard_rate(tas_mps: float, rate: float) -> None:
    """9.80665 m/s2 x tan 25 = 4.573; over 100 m/s 0.04573 rad/s = 2.62 deg/s. At 87.3 m/s (170 kt) it is 3 deg/s."""
    assert asked_rate_deg_s(tas_mps) == pytest.approx(rate, abs=0.01)


@pytest.mark.parametrize(("beyond_nm", "severity"), [(0.95, "major"), (1.05, "critical")])
def test_beyond_the_distance_limit_by_a_mile_is_critical(beyond_nm: float, severity: str) -> None:
    scene = procedure_turn()
    far = beyond_nm * METRES_PER_NM
    containment = replace(
        scene.measures.containment, margin_m=-far, max_distance_m=10 * METRES_PER_NM + far,
        excursions=(Excursion("distance limit", 300.0, 360.0, far, 330.0, "offset leg", 1),),
    )  # fmt: skip
    found = replace(scene, measures=replace(scene.measures, containment=containment)).judged().findings
    assert [one.severity for one in found if one.code == "left-distance-limit"] == [severity]


@pytest.mark.parametrize(
    ("leg_s", "severity"),
    [(69.0, None), (71.0, "minor"), (79.0, "minor"), (81.0, "major"), (51.0, None), (45.0, "minor")],
)
def test_an_icao_offset_leg_of_60_seconds_is_minor_from_10_off_and_major_from_20(leg_s: float, severity: str) -> None:
    scene = procedure_turn()
    timing = Timing("offset leg", 1, 248.0, leg_s, 60.0, 60.0, 0.1)
    scene = replace(
        scene, procedure=replace(scene.procedure, criteria="ICAO"), measures=replace(scene.measures, timing=timing)
    )
    found = [one.severity for one in scene.judged().findings if one.code in ("leg-too-long", "leg-too-short")]
    assert found == ([] if severity is None else [severity])


@pytest.mark.parametrize(("degrees", "found"), [(39.0, []), (41.0, ["turn-too-slow"])])
def test_the_rate_of_a_turn_of_less_than_40_degrees_is_not_judged(degrees: float, found: list[str]) -> None:
    """Half of standard rate, well beyond any tolerance."""
    scene = procedure_turn()
    (phase, lap, _), *_ = scene.attempt.turns
    slow = FlownTurn(100.0, 100.0 + degrees / 1.2, -degrees, -1.2, -1.4, 60.0, "air heading")
    measure = TurnMeasure(phase, lap, slow, 7.0, 1.5 * METRES_PER_NM, 0.5, 0.05)
    codes = [one.code for one in replace(scene, measures=replace(scene.measures, turns=(measure,))).judged().findings]
    assert [code for code in codes if code == "turn-too-slow"] == found


def test_the_doubt_of_a_bank_follows_the_curve_of_the_tangent() -> None:
    """A bank of 30 degrees has 1 + tan2 = 4/3: the doubt of the rate counts three quarters of what it does level."""
    tas_mps = 60.0
    rate_deg_s = np.degrees(9.80665 * np.tan(np.radians(30.0)) / tas_mps)
    motion, ends = flown([(20.0, 0.0), (30.0, 30.0 * rate_deg_s), (20.0, 0.0)], speed_mps=tas_mps)
    phases = [("outbound", 0.0, ends[0]), ("reversal turn", ends[0], ends[1]), ("intercept", ends[1], ends[2])]
    one = attempt(phases, [(0.0, "outbound")], [None], [("reversal turn", turn(ends[0], ends[1], 30.0 * rate_deg_s))])
    (measure,) = measure_turns(one, flight_of(motion))
    assert measure.mean_bank_deg == pytest.approx(30.0, abs=0.1)
    assert measure.rate_sigma_deg_s is not None
    level_deg = np.degrees(tas_mps * np.radians(measure.rate_sigma_deg_s) / 9.80665)
    assert measure.bank_sigma_deg == pytest.approx(0.75 * level_deg, rel=0.01)


def test_the_scale_of_the_scores_is_written_down() -> None:
    """The points that a finding takes off, and what a critical or major one leaves at most: own choice, pinned here."""
    weights = load_weights()
    assert dict(weights.severity) == {"critical": 60.0, "major": 30.0, "minor": 10.0, "note": 0.0}
    assert dict(weights.cap) == {"critical": 40.0, "major": 69.0}
