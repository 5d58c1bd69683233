"""Altitudes of a clearance, measured on drawn altitudes; which attempt each word of it is for; when to turn inbound.

Rules: 14 CFR 91.123 (a) and 91.175 (i), read.
"""

import re
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from analyzer.flown import AltitudeProfile
from analyzer.flown.flight import RecordedProfile
from analyzer.given import Clearance, CrossingAltitude, HoldClearance, Options, frame_of, wind_from
from analyzer.judged.cleared_parts import PartAsked, share_clearance
from analyzer.judged.findings import Case
from analyzer.judged.findings.clearance import judge_clearance
from analyzer.judged.flight_card.leaving import leaving_lines
from analyzer.judged.measurements.cleared import measure_cleared
from analyzer.planned import Plan, plan_of
from analyzer.standards import load_tolerances
from analyzer.units.factors import METRES_PER_FOOT as FT, MPS_PER_KNOT as KT
from tests.judged.test_findings_table import HOLD, PROCEDURE, hold, procedure_turn

TURN = procedure_turn()
FIX_S = TURN.attempt.first_passage_s  # 100 s


def codes(corners: list[tuple[float, float]], clearance: Clearance) -> dict[str, Any]:
    """Judge straight lines between (seconds, feet) against a clearance; the fix is passed at 100 and 600 s."""
    time = np.arange(0.0, 701.0)
    altitude = np.interp(time, *zip(*corners, strict=True)) * FT
    recorded = RecordedProfile(AltitudeProfile(time, altitude, np.full(701, 0.01), 0.01), np.full(701, 0.01), 10.0 * FT)
    asked = share_clearance([(PROCEDURE, TURN.attempt)], Options(clearance=clearance))[1]
    measures = replace(TURN.measures, cleared=measure_cleared(TURN.attempt, recorded, asked))
    plan = Plan(PROCEDURE, frame_of(PROCEDURE))
    part = judge_clearance(Case(TURN.attempt, measures, plan, load_tolerances(), altitude_kind="indicated"))
    return {finding.code: finding for finding in part.findings}


@pytest.mark.parametrize(
    ("down_from_s", "cleared_s", "expected"),
    [
        (60.0, 80.0, {"descended-before-cleared"}),
        (60.0, 20.0, {"descended-before-segment"}),
        (101.0, 80.0, set()),
        (150.0, 200.0, {"descended-before-cleared"}),
        (201.0, 200.0, set()),
        (60.0, None, {"descended-before-cleared"}),
        (101.0, None, set()),
    ],
)
def test_an_altitude_is_kept_until_cleared_and_past_the_fix(
    down_from_s: float, cleared_s: float | None, expected: set[str]
) -> None:
    """A descent of 1,000 ft/min: 100 ft lower after 6 s, and 300 ft after 18."""
    corners = [(0.0, 6000.0), (down_from_s, 6000.0), (down_from_s + 60.0, 5000.0), (700.0, 5000.0)]
    asked = Clearance(assigned_altitude_m=6000.0 * FT, cleared_at_s=cleared_s)
    found = codes(corners, asked)
    assert set(found) == expected
    for finding in found.values():
        assert finding.at_s == pytest.approx(down_from_s + 6.0, abs=1.0)
        assert "91." in finding.reference


def test_how_low_decides_how_grave_and_a_climb_is_one_too() -> None:
    asked = Clearance(assigned_altitude_m=6000.0 * FT, cleared_at_s=90.0)
    for lowest_ft, severity in ((5905.0, None), (5850.0, "major"), (5500.0, "critical")):
        corners = [(0.0, 6000.0), (40.0, 6000.0), (60.0, lowest_ft), (80.0, 6000.0), (700.0, 6000.0)]
        found = codes(corners, asked)
        assert [one.severity for one in found.values()] == ([] if severity is None else [severity])
    climbing = [(0.0, 6000.0), (40.0, 6000.0), (60.0, 6250.0), (80.0, 6000.0), (700.0, 6000.0)]
    assert list(codes(climbing, asked)) == ["climbed-off-assigned-altitude"]


def test_an_altitude_that_was_not_reached_before_is_not_judged() -> None:
    below = [(0.0, 3000.0), (100.0, 5000.0), (700.0, 5000.0)]
    assert codes(below, Clearance(assigned_altitude_m=6000.0 * FT, cleared_at_s=90.0)) == {}


@pytest.mark.parametrize(
    ("rule", "flown_ft", "broken"),
    [
        ("at or above", 4985.0, True),
        ("at or above", 4995.0, False),
        ("at or below", 5015.0, True),
        ("at or below", 4000.0, False),
        ("at", 5115.0, True),
        ("at", 4905.0, False),
    ],
)
def test_the_fix_is_crossed_as_cleared(rule: Any, flown_ft: float, broken: bool) -> None:
    """10 ft can't be read on an altimeter; an exact altitude has 100 ft (IR.VI.A.S9)."""
    limit = CrossingAltitude(
        rule, None if rule == "at or below" else 5000 * FT, None if rule == "at or above" else 5000 * FT
    )
    found = codes([(0.0, flown_ft), (700.0, flown_ft)], Clearance(crossing=limit))
    assert ("crossing-altitude-missed" in found) is broken


def test_the_crossing_counts_at_the_first_passage_after_the_clearance() -> None:
    limit = CrossingAltitude("at or above", 5000.0 * FT, None)
    corners = [(0.0, 5200.0), (110.0, 5200.0), (300.0, 4000.0), (700.0, 4000.0)]
    assert codes(corners, Clearance(crossing=limit)) == {}
    late = codes(corners, Clearance(crossing=limit, cleared_at_s=300.0))
    assert late["crossing-altitude-missed"].at_s == 600.0


def asked_of(clearance: Clearance, **options: Any) -> list[PartAsked]:
    """A delay hold (left at 820 s), then a procedure turn from 1,100 to 1,600 s, then another hold, left at 2,820 s."""
    later = replace(
        TURN.attempt, number=2, start_s=900.0, end_s=1700.0,
        passages=tuple(replace(one, at_s=one.at_s + 1000.0) for one in TURN.attempt.passages),
    )  # fmt: skip
    missed = replace(
        hold().attempt, number=3, start_s=1900.0, end_s=2900.0,
        passages=tuple(replace(one, at_s=one.at_s + 2000.0) for one in hold().attempt.passages),
    )  # fmt: skip
    flown = [(HOLD, hold().attempt), (PROCEDURE, later), (replace(HOLD, title="Missed approach"), missed)]
    shared = share_clearance(flown, Options(clearance=clearance, **options), alone=False)
    return [shared[number] for number in (1, 2, 3)]


def test_the_time_to_leave_is_for_the_hold_that_was_left_about_then() -> None:
    parts = asked_of(Clearance(hold=HoldClearance(laps=3, leave_at_s=850.0)))
    assert [part.clearance.hold.leave_at_s for part in parts] == [850.0, None, None]
    assert [part.clearance.hold.laps for part in parts] == [3, None, None]
    parts = asked_of(Clearance(hold=HoldClearance(leave_at_s=2600.0)))
    assert [part.clearance.hold.leave_at_s for part in parts] == [None, None, 2600.0]


def test_the_approach_that_was_cleared_is_the_first_one_after_the_clearance() -> None:
    crossing = CrossingAltitude("at or above", 5000.0 * FT, None)
    cleared = Clearance("not permitted", assigned_altitude_m=1500.0, cleared_at_s=1000.0, crossing=crossing)
    parts = asked_of(cleared, reversal_expected="not permitted")
    assert [part.clearance.crossing is not None for part in parts] == [False, True, False]
    assert [part.keep_until_s for part in parts] == [1100.0, 1100.0, None]
    assert [part.reversal_expected for part in parts] == [None, "not permitted", None]


def test_the_card_says_when_to_turn_inbound_so_as_to_leave_in_time() -> None:
    """Still air, 3 degrees a second: two turns of 60 s; of what is left half goes outbound (own arithmetic)."""
    plan = plan_of(HOLD)
    attempt = hold().attempt  # over the fix at 580 s for the last circuit
    (line,) = leaving_lines(attempt, plan, (100.0 * KT, None), 580.0 + 200.0, None)
    found = re.search(r"turn inbound at (\d\d):(\d\d)", line)
    assert found is not None, line
    # roll-in and roll-out take their time in the plan: within 3 s of 60 + 40
    assert int(found[1]) * 60 + int(found[2]) == pytest.approx(580.0 + 100.0, abs=3.0)
    assert leaving_lines(attempt, plan, (100.0 * KT, None), None, None) == ()


def test_in_a_wind_the_last_circuit_fits_the_time_as_well_and_too_little_time_is_said() -> None:
    plan = plan_of(HOLD)
    attempt = hold().attempt
    wind = wind_from(HOLD.inbound_true_deg, 20.0 * KT)  # a headwind inbound: less than half goes outbound
    (line,) = leaving_lines(attempt, plan, (100.0 * KT, wind), 580.0 + 200.0, None)
    found = re.search(r"turn inbound at (\d\d):(\d\d)", line)
    assert found is not None
    assert int(found[1]) * 60 + int(found[2]) < 580.0 + 95.0
    (short,) = leaving_lines(attempt, plan, (100.0 * KT, None), 580.0 + 100.0, None)
    assert "no time for another circuit" in short
    (long,) = leaving_lines(attempt, plan, (100.0 * KT, None), 580.0 + 440.0, None)
    assert "fly 1 whole circuit" in long
