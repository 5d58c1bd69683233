"""Some of the examiner's flights: each with the verdict that a rule gives it, flown by the independent simulator.

All of them, and the drawn ones: `python -m tests.benchmarks.examiner`.
"""

import pytest

from tests.benchmarks.examiner.case import judge
from tests.benchmarks.examiner.drawn import clean_case, fault_case
from tests.benchmarks.examiner.rows import all_cases

CASES = {f"{case.row}: {case.name}": case for case in all_cases()}
SOME = (
    "below the minimum before a landing: mda level then lands",
    "below the minimum before a landing: mda 8 ft low",
    "below the minimum before a landing: sinks 120 ft on the go-around",
    "below the minimum before a landing: steady descent from the fix",
    "below the minimum before a landing: mda 30 ft low 20 s",
    "below the minimum before a landing: mda 500 ft low then lands",
    "level at a minimum, indicated: level at the minimum",
    "below a minimum on a level stretch: 50 ft low from outbound on",
    "around the moment of established: 45 ft low 4 s before",
    "around the moment of established: descends 5 s after",
    "off an assigned altitude: +350 ft off in the hold",
    "never descends, dives: down to the minimum",
    "early descents and limits that stood: below the arrival's minimum",
    "score beside a verdict: indicated, 60 ft above",
    "steep bank: 37 degrees, recorded",
    "steep bank: 51 degrees at 110 kt",
    "charted leg overflown: hold in lieu 4 NM flown to 4.4 NM",
    "charted leg overflown: hold in lieu 4 NM flown to 5.3 NM",
    "leg too short: 64 s of 109 s asked for",
    "US procedure turn's leg: one minute charted, 38 s in still air",
    "ICAO 45/180: category B, 60 s from the turn",
    "areas: 10.6 of 10 NM",
    "high hold over a station: 6,000 ft, right",
    "hold in lieu flown twice, not established: two circuits by clearance",
    "other holds in the recording of a procedure turn: missed approach, no hold",
    "entry of a hold: arrival 290, teardrop",
    "entry of a hold: arrival 000, parallel",
    "near the station: 0.05 NM beside",
    "NDB: tracks in 25 kt across",
    "outbound tracking: +10 degrees off outbound, US set",
    "ICAO entry and method: 80/260 for a 45/180, ICAO",
    "reversal required or not permitted: NoPT, straight in",
    "reversal required or not permitted: NoPT, reversal flown",
    "ICAO entry and method: base turn entered +50 degrees off",
    "references: 200 KIAS, flown at 214",
    "side and intercept: localizer, other side",
)


@pytest.mark.parametrize("name", SOME)
def test_a_flight_with_a_rule_beside_it(name):
    answer = judge(CASES[name])
    assert not answer.wrong, f"{answer.rule}: {'; '.join(answer.wrong)}; findings {answer.findings}"


@pytest.mark.parametrize("number", [3, 6])
def test_an_acceptable_pilot_is_to_standard(number):
    answer = judge(clean_case(number))
    assert not answer.wrong, "; ".join(answer.wrong)


@pytest.mark.parametrize("number", [2, 5])
def test_one_fault_is_named_and_nothing_it_does_not_cause(number):
    answer = judge(fault_case(number))
    assert not answer.wrong, f"{answer.name}: {'; '.join(answer.wrong)}"
