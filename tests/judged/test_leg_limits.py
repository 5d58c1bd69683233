"""Ends of charted legs: each limit with a flight just inside and one just outside, the numbers written out.

That a hold's or base turn's leg must not be exceeded: AIM 5-4-9 a and a5 (read), of a base turn Doc 8168 Vol II, I-4-3,
3.5.4.3 (second hand). A quarter and half of the time, 0.5 and 1 NM: own choice, no document gives a tolerance.
"""

from dataclasses import replace

import pytest

from analyzer.flown import Attempt, Motion
from analyzer.given import Clearance, HoldClearance, Place, frame_of
from analyzer.judged.findings import Case, Judgement
from analyzer.judged.findings.judging import judge
from analyzer.judged.measurements.legs import measure_leg_end
from analyzer.judged.measurements.timing import measure_timing
from analyzer.judged.measurements.values import LapMeasure, LegEnd, Timing
from analyzer.planned import Asked, NoPlan, Plan
from analyzer.planned.solver.solve import solve
from analyzer.standards import load_tolerances
from analyzer.units import MPS_PER_KNOT
from tests.hand_flown import attempt, flown, forty_five_one_eighty, procedure
from tests.judged.test_findings_table import HOLD, NM, PROCEDURE, Scene, hold, procedure_turn

EXACT_S = 0.01
HOLD_IN_LIEU = replace(HOLD, reversal="hold in lieu")
BASE_TURN = replace(PROCEDURE, reversal="teardrop", outbound_true_deg=323.0, outbound_s=120.0)
ICAO_TURN = replace(PROCEDURE, criteria="ICAO", timing_from="turn start")


def judged(scene: Scene, clearance: Clearance | None = None) -> Judgement:
    plan = Plan(scene.procedure, frame_of(scene.procedure))
    case = Case(scene.attempt, scene.measures, plan, load_tolerances(), clearance=clearance or Clearance())
    return judge(case)


def leg_findings(judgement: Judgement) -> list[tuple[str, str]]:
    codes = ("leg-too-long", "leg-too-short", "timing-too-close")
    return [(finding.code, finding.severity) for finding in judgement.findings if finding.code in codes]


def timed(leg_s: float, planned_s: float = 60.0, wind_s: float | None = None, lap: int = 1, **changes: object) -> Scene:
    """A leg of a hold, or of another procedure where one is given."""
    procedure = changes.get("procedure", HOLD_IN_LIEU)
    scene = hold() if procedure.is_hold else procedure_turn()  # type: ignore[attr-defined]
    leg = "offset leg" if procedure.reversal == "procedure turn" else "outbound"  # type: ignore[attr-defined]
    timing = Timing(leg, lap, 160.0, leg_s, planned_s, wind_s, EXACT_S)
    return replace(scene, procedure=procedure, measures=replace(scene.measures, timing=timing, laps=()))


@pytest.mark.parametrize(
    ("leg_s", "severity"), [(74.0, None), (76.0, "minor"), (89.0, "minor"), (91.0, "major"), (150.0, "major")]
)
def test_a_minute_of_a_hold_overflown_by_a_quarter_and_by_half(leg_s: float, severity: str | None) -> None:
    assert leg_findings(judged(timed(leg_s))) == ([("leg-too-long", severity)] if severity else [])


@pytest.mark.parametrize(
    ("leg_s", "code", "severity"),
    [
        (149.0, None, None),
        (151.0, "leg-too-long", "minor"),
        (179.0, "leg-too-long", "minor"),
        (181.0, "leg-too-long", "major"),
        (91.0, None, None),
        (89.0, "leg-too-short", "minor"),
        (40.0, "leg-too-short", "minor"),
    ],
)
def test_two_minutes_of_a_base_turn(leg_s: float, code: str | None, severity: str | None) -> None:
    found = leg_findings(judged(timed(leg_s, 120.0, 120.0, procedure=BASE_TURN)))
    assert found == ([(code, severity)] if code else [])


def test_a_timed_hold_in_an_unknown_wind_is_not_failed_by_its_length() -> None:
    """The outbound leg is adjusted until the inbound one is a minute (AIM 5-3-8 j4): 94 s may be right."""
    assert leg_findings(judged(timed(94.0, procedure=HOLD))) == [("leg-too-long", "minor")]
    assert leg_findings(judged(timed(94.0, wind_s=60.0, procedure=HOLD))) == [("leg-too-long", "major")]


@pytest.mark.parametrize("lap", [1, 2])
@pytest.mark.parametrize("wind_s", [45.0, 60.0, 113.0])
def test_nearer_to_what_the_wind_asks_is_never_graded_worse(lap: int, wind_s: float) -> None:
    """From either side; and as far short is never graded harder than as far long."""
    order = [[], [("minor")], [("major")]]

    def grade(leg_s: float) -> int:
        findings = leg_findings(judged(timed(leg_s, 60.0, wind_s, lap)))
        return order.index([severity for _, severity in findings if severity != "note"])

    low, high = min(60.0, wind_s), max(60.0, wind_s)
    short = [grade(low - off) for off in range(0, 40, 2)]
    long = [grade(high + off) for off in range(0, 80, 2)]
    assert short == sorted(short)
    assert long == sorted(long)
    assert max(short) <= 1, "turning early keeps nearer to the fix: never major"
    if lap == 1 or wind_s == 60.0:
        assert all(one <= other for one, other in zip(short, long, strict=False))


@pytest.mark.parametrize(
    ("leg_s", "code"), [(60.0, "leg-too-short"), (84.0, "leg-too-short"), (97.0, "leg-too-short"), (99.0, None)]
)
def test_a_second_lap_short_of_what_the_wind_asks_is_minor_at_most(leg_s: float, code: str | None) -> None:
    """113 s asked for, 15 s (a quarter of the charted minute) allowed: 97 s is 16 s short, 99 s is 14 s."""
    assert leg_findings(judged(timed(leg_s, 60.0, 113.0, 2))) == ([(code, "minor")] if code else [])


@pytest.mark.parametrize(("leg_s", "severity"), [(69.0, None), (71.0, "minor"), (79.0, "minor"), (81.0, "major")])
def test_an_icao_offset_leg_of_a_minute(leg_s: float, severity: str | None) -> None:
    """Doc 8168 Vol II, I-4-3, 3.6.2 h) 1) (read): the area is designed for 10 s of timing tolerance."""
    found = leg_findings(judged(timed(leg_s, procedure=ICAO_TURN)))
    assert found == ([("leg-too-long", severity)] if severity else [])


def test_a_us_procedure_turn_is_timed_only_where_the_file_gives_a_time() -> None:
    """AIM 5-4-9 a1 (read): the point at which the turn begins, its type and rate are the pilot's."""
    motion, made, _ = forty_five_one_eighty()
    free = procedure(defaults=frozenset({"limits.outbound_min"}))
    assert measure_timing(made, motion, free, None) is None
    charted = replace(free, defaults=frozenset())
    assert measure_timing(made, motion, charted, None) is not None
    icao = replace(free, criteria="ICAO")
    assert measure_timing(made, motion, icao, None) is not None
    scene = procedure_turn()
    silent = replace(
        scene,
        measures=replace(scene.measures, timing=None),
        procedure=replace(PROCEDURE, defaults=frozenset({"limits.outbound_min"})),
    )
    judgement = judged(silent)
    assert judgement.timing == "not assessed"
    assert not leg_findings(judgement)
    said = next(sentence for sentence in judgement.not_assessed if sentence.startswith("Timing"))
    assert "pilot's choice" in said
    assert "40 s after roll-out" in said
    assert "charted 60" not in said


def distant(along_nm: float, charted_nm: float = 4.0) -> Scene:
    scene = hold()
    end = LegEnd(1, 220.0, along_nm * NM, (along_nm**2 + 1.5**2) ** 0.5 * NM, charted_nm * NM, 1.0)
    procedure = replace(HOLD_IN_LIEU, outbound_s=None, outbound_m=charted_nm * NM)
    return replace(scene, procedure=procedure, measures=replace(scene.measures, timing=None, laps=(), leg_end=end))


@pytest.mark.parametrize(
    ("along_nm", "severity"),
    [(2.0, None), (4.0, None), (4.49, None), (4.51, "minor"), (4.99, "minor"), (5.01, "major"), (6.5, "major")],
)
def test_four_miles_overflown_by_half_a_mile_and_by_a_mile(along_nm: float, severity: str | None) -> None:
    judgement = judged(distant(along_nm))
    assert leg_findings(judgement) == ([("leg-too-long", severity)] if severity else [])
    assert judgement.timing == ("not to standard" if severity else "to standard")


@pytest.mark.parametrize(("from_fix_nm", "severity"), [(6.49, None), (6.51, "minor"), (6.99, "minor"), (7.01, "major")])
def test_a_teardrops_leg_ends_at_a_distance_from_the_fix(from_fix_nm: float, severity: str | None) -> None:
    """6 NM charted, 24 degrees off the course: along the course it is 9 % less."""
    end = LegEnd(1, 220.0, 0.91 * from_fix_nm * NM, from_fix_nm * NM, 6.0 * NM, 1.0)
    scene = procedure_turn()
    charted = replace(BASE_TURN, outbound_s=None, outbound_m=6.0 * NM)
    scene = replace(scene, procedure=charted, measures=replace(scene.measures, timing=None, leg_end=end))
    assert leg_findings(judged(scene)) == ([("leg-too-long", severity)] if severity else [])


def test_within_the_doubt_of_the_position_a_leg_by_distance_is_too_close_to_call() -> None:
    scene = distant(4.49)
    doubtful = replace(scene.measures, leg_end=replace(scene.measures.leg_end, sigma_m=50.0))  # type: ignore[type-var]
    assert leg_findings(judged(replace(scene, measures=doubtful))) == [("timing-too-close", "note")]


def base_turn_flown(outbound_s: float) -> tuple[Motion, Attempt]:
    """Over the fix at 0 s, 20 degrees of turn in 10 s, straight, 200 degrees back."""
    motion, ends = flown([(10.0, 20.0), (outbound_s - 10.0, 0.0), (67.0, -200.0), (60.0, 0.0)], track_deg=160.0)
    names = ("outbound turn", "outbound", "reversal turn", "inbound")
    phases = [(name, start, end, 1) for name, start, end in zip(names, [0.0, *ends[:-1]], ends, strict=True)]
    return motion, attempt(phases, [(0.0, "outbound")], [None], flown_as="teardrop")  # type: ignore[arg-type]


def test_a_base_turns_clock_may_start_over_the_fix_or_with_wings_level() -> None:
    for flown_s in (120.0, 130.0):  # two minutes from the fix; two minutes from wings level
        motion, made = base_turn_flown(flown_s)
        plan = procedure(reversal="teardrop", outbound_true_deg=160.0, outbound_s=120.0, defaults=frozenset())
        found = measure_timing(made, motion, plan, None)
        assert found is not None
        assert found.leg == "outbound"
        assert found.leg_s == pytest.approx(120.0, abs=0.1)
        assert measure_timing(made, motion, procedure(), None) is None, "a teardrop of one's own choice"


def test_where_a_leg_by_distance_ended() -> None:
    motion, made = base_turn_flown(120.0)
    plan = procedure(reversal="teardrop", outbound_true_deg=160.0, outbound_s=None, outbound_m=6000.0)
    end = measure_leg_end(made, motion, plan, 10.0)
    assert end is not None
    turn = made.phase("reversal turn", 1)
    assert turn is not None
    assert end.at_s == turn.start_s
    assert end.from_fix_m >= end.along_m > 5000.0
    assert measure_leg_end(made, motion, replace(plan, outbound_m=None), 10.0) is None


def laps(*outbound_s: float) -> Scene:
    scene = timed(outbound_s[-1], 60.0, 60.0, len(outbound_s), procedure=HOLD)
    measured = tuple(LapMeasure(lap, leg_s, 61.0, 280.0) for lap, leg_s in enumerate(outbound_s, 1))
    return replace(scene, measures=replace(scene.measures, laps=measured))


def test_an_earlier_lap_far_too_long_is_a_minor_fault_where_the_last_is_right() -> None:
    assert leg_findings(judged(laps(61.0, 62.0, 60.0))) == []
    assert leg_findings(judged(laps(80.0, 62.0, 60.0))) == [], "the last lap counts"
    assert leg_findings(judged(laps(92.0, 62.0, 60.0))) == [("leg-too-long", "minor")]


def test_a_last_lap_shortened_to_leave_on_time_is_no_fault() -> None:
    """AIM 5-3-8 k (read): adjust the pattern to leave at the exact time; 30 s either way: own choice."""
    scene = laps(61.0, 62.0, 20.0)
    left_s = scene.attempt.last_inbound_passage_s
    assert left_s == 820.0
    for leave_at_s, found in ((820.0, []), (849.0, []), (851.0, [("leg-too-short", "minor")])):
        assert leg_findings(judged(scene, Clearance(hold=HoldClearance(leave_at_s=leave_at_s)))) == found
    assert leg_findings(judged(scene)) == [("leg-too-short", "minor")], "nothing was cleared"


def test_a_leg_by_distance_is_advised_as_the_pilot_reads_it() -> None:
    """The station lies 15 NM behind the fix: five miles out it reads 20."""
    scene = distant(6.5, 5.0)
    frame = frame_of(HOLD_IN_LIEU)
    latitude_deg, longitude_deg = frame.latitude_longitude_from_along_cross(-15.0 * NM, 0.0)
    station = Place(float(latitude_deg), float(longitude_deg), "HRF")
    procedure = replace(scene.procedure, guidance=replace(scene.procedure.guidance, kind="VOR", station=station))
    solved = solve(Asked(procedure, 110.0 * MPS_PER_KNOT, None, "hold"))
    scene = replace(scene, procedure=procedure, measures=replace(scene.measures, solved=solved))
    found = next(one for one in judged(scene).findings if one.code == "leg-too-long")
    assert "Begin the turn inbound at 20 DME" in found.advice


def test_without_a_plan_it_is_the_wind_that_leaves_no_time() -> None:
    scene = timed(120.0)
    none = NoPlan("hold", "direct", 50.0, None, "no")
    scene = replace(scene, measures=replace(scene.measures, solved=none))
    judgement = judged(scene)
    assert any("no time is right in this wind" in one for one in judgement.not_assessed)
    assert "not known" not in next(one for one in judgement.findings if one.code == "leg-too-long").text
