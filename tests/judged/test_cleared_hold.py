"""Holds against their clearance: circuits, laps, the time to leave (AIM 5-3-8 k, IR.III.B.S5; seconds: own choice)."""

from dataclasses import replace

import pytest

from analyzer.given import Clearance, HoldClearance, cleared_procedure
from analyzer.given.procedure import AltitudeLimit
from analyzer.judged.measurements.values import LapMeasure
from tests.judged.test_findings_table import FT, HOLD, PROCEDURE, Scene, hold

LEFT_S = 820.0


def leaving(leave_at_s: float) -> list[tuple[str, str]]:
    scene = replace(hold(), clearance=Clearance(hold=HoldClearance(leave_at_s=leave_at_s)))
    return [(one.code, one.severity) for one in scene.judged().findings]


@pytest.mark.parametrize(
    ("off_s", "code", "severity"),
    [
        (0.0, "left-on-time", "note"),
        (31.0, "left-on-time", "note"),
        (-31.0, "left-on-time", "note"),
        (33.0, "left-late", "minor"),
        (-33.0, "left-early", "minor"),
        (61.0, "left-late", "minor"),
        (63.0, "left-late", "major"),
        (-63.0, "left-early", "major"),
    ],
)
def test_leaving_within_30_s_is_praised_a_minute_off_is_a_major_fault(off_s: float, code: str, severity: str) -> None:
    """30 and 60 s with 2 s of doubt about the passage."""
    assert leaving(LEFT_S - off_s) == [(code, severity)]


def with_inbound(*inbound_s: float, leave_at_s: float | None = None) -> list[str]:
    scene = replace(hold(), clearance=Clearance(hold=HoldClearance(leave_at_s=leave_at_s)))
    laps = tuple(LapMeasure(lap, 62.0, time_s, 280.0) for lap, time_s in enumerate(inbound_s, 1))
    return [one.code for one in replace(scene, measures=replace(scene.measures, laps=laps)).judged().findings]


def test_the_last_lap_counts_and_coming_to_the_time_is_said() -> None:
    assert with_inbound(30.0, 40.0, 61.0) == ["laps-converged"]
    assert with_inbound(30.0, 61.0, 61.0) == []
    assert with_inbound(60.0, 61.0, 40.0) == ["inbound-leg-short"]


def test_a_last_lap_shortened_to_leave_on_time_is_not_held_against_the_pilot() -> None:
    assert with_inbound(60.0, 61.0, 25.0, leave_at_s=LEFT_S) == ["left-on-time"]
    assert with_inbound(60.0, 40.0, 25.0, leave_at_s=LEFT_S) == ["inbound-leg-short", "left-on-time"]


def circuits(scene: Scene, reversal: str, asked: int | None = None, criteria: str = "US") -> list[str]:
    procedure = replace(scene.procedure, reversal=reversal, criteria=criteria)
    asked_for = Clearance(hold=HoldClearance(laps=asked))
    return [one.code for one in replace(scene, procedure=procedure, clearance=asked_for).judged().findings]


def test_a_hold_in_lieu_is_flown_once_unless_asked_for() -> None:
    """AIM 5-4-9 a5 (read): further circuits are neither necessary nor expected. The ICAO rules at hand say nothing."""
    three = hold()
    one = replace(three, attempt=replace(three.attempt, laps=1), measures=replace(three.measures, laps=()))
    assert circuits(three, "hold in lieu") == ["circuit-not-asked-for"]
    assert circuits(three, "hold in lieu", 3) == []
    assert circuits(three, "hold in lieu", criteria="ICAO") == []
    assert circuits(three, "holding") == []
    assert circuits(one, "hold in lieu") == []
    assert circuits(three, "holding", 2) == ["circuits-not-as-cleared"]


def test_a_clearance_goes_before_the_chart() -> None:
    asked = Clearance(hold=HoldClearance(leg_s=90.0, altitude_m=4000.0 * FT))
    by_distance = replace(HOLD, outbound_s=None, outbound_m=7408.0, defaults=frozenset({"limits.outbound_min"}))
    procedure = cleared_procedure(by_distance, asked)
    assert (procedure.outbound_s, procedure.outbound_m) == (90.0, None)
    assert "limits.outbound_min" not in procedure.defaults
    assert AltitudeLimit("reversal", "at", 4000.0 * FT, 4000.0 * FT) in procedure.altitudes
    assert len([limit for limit in procedure.altitudes if limit.segment == "reversal"]) == 1
    assert any("cleared" in note for note in procedure.notes)
    assert cleared_procedure(PROCEDURE, asked) == PROCEDURE, "it is a clearance to hold"
    assert cleared_procedure(HOLD, Clearance()) == HOLD
