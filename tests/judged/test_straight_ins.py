"""Finals without a reversal, arcs that lead to the fix, and what no procedure fits; flown and drawn by hand.

NoPT and vectors: AIM 5-4-9 a, 14 CFR 91.175 (j) (read); the arc within 1 NM: FAA-S-ACS-8C IR.V.A.S6 (read).
"""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import analyzer
from analyzer.flown import unclaimed_turns
from analyzer.given import LeadingArc, Place, Procedure, Track, frame_of
from analyzer.judged import assess_lesson
from analyzer.judged.findings import Case
from analyzer.judged.findings.leading_arc import judge_arc
from analyzer.judged.measurements.leading_arc import measure_arc
from analyzer.planned import Plan
from analyzer.reading import read_procedure
from analyzer.run.demo.lesson import CLEARANCE, PROCEDURES
from analyzer.standards import load_tolerances
from analyzer.units.factors import METRES_PER_FOOT as FT, METRES_PER_NM as NM
from tests.hand_flown import flight_of, motion_of
from tests.judged.test_findings_table import procedure_turn

SAMPLES = Path(__file__).parents[2] / "sample_tracks"
APPROACH = read_procedure(SAMPLES / "rnav_z_30.toml")
FRAME = frame_of(APPROACH)
SPEED_MPS = 55.0


def track(corners: list[tuple[float, float]], feet: list[float]) -> Track:
    """Fly straight lines between corners (along, cross; NM) at 55 m/s, with turns of 3 degrees a second."""
    places = np.array(corners) * NM
    now, heading = places[0].copy(), float(np.arctan2(*(places[1] - places[0])[::-1]))
    rows, targets = [now.copy()], list(places[1:])
    while targets and len(rows) < 4000:
        wanted = float(np.arctan2(*(targets[0] - now)[::-1]))
        off = (wanted - heading + np.pi) % (2 * np.pi) - np.pi
        heading += float(np.clip(off, -np.radians(3.0), np.radians(3.0)))
        now = now + SPEED_MPS * np.array([np.cos(heading), np.sin(heading)])
        rows.append(now.copy())
        if np.hypot(*(targets[0] - now)) < (0.6 * NM if len(targets) > 1 else SPEED_MPS):
            targets.pop(0)
    along, cross = np.array(rows).T
    latitude, longitude = FRAME.latitude_longitude_from_along_cross(along, cross)
    time = np.arange(float(len(rows)))
    altitude = np.interp(time, np.linspace(0.0, time[-1], len(feet)), feet) * FT
    return Track("drawn", time, np.asarray(latitude), np.asarray(longitude), altitude, "indicated")


LEVEL = [4600.0, 4600.0]
OTHER = read_procedure(SAMPLES / "sudro_hold.toml")


def straight_ins(corners: list[tuple[float, float]], *procedures: Procedure) -> list[Any]:
    found = assess_lesson(track(corners, LEVEL), procedures or (APPROACH,))
    return [(found.parts[index].procedure.title, one) for index, one in found.straight_ins]


def test_a_straight_in_over_the_fix_is_a_part_of_its_own() -> None:
    ((title, one),) = straight_ins([(9.0, 0.0), (-5.5, 0.0)], APPROACH, OTHER)
    assert title == APPROACH.title
    assert not one.straight.inside_fix
    # 9 NM at 55 m/s
    assert one.straight.passed_s == pytest.approx(9.0 * NM / SPEED_MPS, abs=2.0)
    assert "NoPT" in one.why
    assert "right" in one.why
    assert one.measures.final is not None
    assert one.measures.final.deflection == pytest.approx(0.0, abs=0.02)


def test_vectors_to_an_intercept_inside_the_fix_are_judged_from_there() -> None:
    """From 3 NM abeam, 30 degrees to the course, joined 1.5 NM past the fix."""
    ((_, one),) = straight_ins([(4.0, 3.2), (-1.5, 0.0), (-5.5, 0.0)])
    assert one.straight.inside_fix
    assert "vectors" in one.why
    joined = FRAME.along_cross_m(APPROACH.fix.latitude_deg, APPROACH.fix.longitude_deg)[0]
    assert joined == pytest.approx(0.0, abs=1.0)
    assert one.measures.altitudes[0].limit.segment == "final", "the inbound altitude is for who came over the fix"


@pytest.mark.parametrize(
    "corners",
    [
        [(9.0, 1.5), (-5.5, 1.5)],  # beside the course
        [(-9.0, 0.0), (5.5, 0.0)],  # the other way
        [(9.0, 0.0), (1.0, 0.0), (0.0, 4.0)],  # turned away before the fix
        [(9.0, 6.0), (-9.0, -6.0)],  # across it
    ],
)
def test_other_ways_past_the_fix_are_no_finals(corners: list[tuple[float, float]]) -> None:
    assert straight_ins(corners) == []


def test_the_same_final_after_a_reversal_is_that_reversals() -> None:
    found = analyzer.assess(SAMPLES / "teardrop_entry.gpx", SAMPLES / "rnav_30.toml")
    assert len(found.lesson.parts[0].attempts) == 1
    assert found.lesson.straight_ins == ()
    assert "straight_ins" not in found.to_dict()


ARC = LeadingArc(Place(46.0, -101.0), 10.0 * NM, 250.0, 300.0)


def arc_of(radius_nm: Any, from_deg: float = 250.0, to_deg: float = 300.0) -> Any:
    """Fly at a distance about the station from one bearing to another, clockwise, then straight on inbound."""
    one = replace(APPROACH, fix=Place(46.0, -101.0), arc=ARC)
    frame = frame_of(one)
    bearing = np.radians(np.linspace(from_deg, to_deg, 400))
    radius = (radius_nm(np.linspace(0.0, 1.0, 400)) if callable(radius_nm) else np.full(400, radius_nm)) * NM
    along, cross = frame.along_cross_from_east_north(radius * np.sin(bearing), radius * np.cos(bearing))
    motion = motion_of(np.arange(400.0), np.asarray(along), np.asarray(cross))
    motion = replace(motion, inbound_true_deg=one.inbound_true_deg)
    return measure_arc(0.0, 399.0, flight_of(motion), Plan(one, frame))


@pytest.mark.parametrize(("off_nm", "broken"), [(0.9, False), (1.1, True), (-0.9, False), (-1.1, True)])
def test_an_arc_is_held_within_a_mile(off_nm: float, broken: bool) -> None:
    arc = arc_of(lambda part: 10.0 + off_nm * np.sin(np.pi * part))
    assert arc.worst_m == pytest.approx(off_nm * NM, abs=10.0)
    scene = procedure_turn()
    case = Case(
        scene.attempt, replace(scene.measures, arc=arc), Plan(scene.procedure, frame_of(scene.procedure)),
        load_tolerances(),
    )  # fmt: skip
    assert [finding.code for finding in judge_arc(case).findings] == (["off-the-arc"] if broken else [])


def test_no_arc_where_none_was_flown_and_its_way_counts() -> None:
    assert arc_of(10.0, 250.0, 255.0) is None, "five degrees of it"
    assert arc_of(10.0, 300.0, 250.0) is None, "the other way round"
    assert arc_of(14.0) is None, "four miles farther out"


def drawn(corners: list[tuple[float, float]]) -> Any:
    one = track(corners, LEVEL)
    along, cross = FRAME.along_cross_m(one.latitude_deg, one.longitude_deg)
    return motion_of(one.time_s, np.asarray(along), np.asarray(cross))


def test_a_turn_back_and_a_circuit_are_named_where_no_part_claims_them() -> None:
    back = drawn([(0.0, 0.0), (6.0, 0.0), (7.5, 1.0), (7.0, 0.0), (5.0, 0.0), (-3.0, 0.0)])
    (one,) = unclaimed_turns(back, [])
    assert one.kind == "turn back"
    # 6 NM out at 55 m/s are 202 s; the turn is a long one: four corners, 5 NM
    assert 150.0 < one.start_s < 215.0 < one.end_s < 202.0 + 5.0 * NM / SPEED_MPS
    assert unclaimed_turns(back, [(0.0, 900.0)]) == ()
    lap = [(0.0, 0.0), (3.0, 0.0), (3.0, 1.2), (0.0, 1.2)]
    rounds = drawn([*lap, *lap, *lap[:2], (9.0, 0.0)])
    assert {each.kind for each in unclaimed_turns(rounds, [])} == {"circuit"}
    assert unclaimed_turns(drawn([(0.0, 0.0), (20.0, 0.0), (20.0, 10.0), (0.0, 10.0)]), []) == ()


@pytest.fixture(scope="module")
def lesson() -> dict[str, Any]:
    files = [SAMPLES / name for name in PROCEDURES]
    return analyzer.assess(SAMPLES / "lesson.csv", files, clearance=dict(CLEARANCE)).to_dict()


def test_the_demos_lesson_has_its_five_parts_each_by_its_procedure(lesson: dict[str, Any]) -> None:
    titles = [one["title"].split(",")[0] for one in lesson["procedures"]]
    flown = [(one["fix_passages"][0]["at_s"], titles[one["procedure"]]) for one in lesson["attempts"]]
    flown += [(one["passed_s"], titles[one["procedure"]]) for one in lesson["straight_ins"]]
    assert [title for _, title in sorted(flown)] == [
        "Hold at HRF", "NDB-A", "RNAV Z 30", "RNAV Z 30", "Hold at SUDRO",
    ]  # fmt: skip
    assert lesson["no_procedure_given"] == []
    parts = sorted([(one["start_s"], one["end_s"]) for one in (*lesson["attempts"], *lesson["straight_ins"])])
    assert all(one[1] <= other[0] + 0.1 for one, other in pairwise(parts)), "no part overlaps"


def test_the_demos_lesson_is_judged_by_its_clearance_and_finals(lesson: dict[str, Any]) -> None:
    hold, turn, missed = lesson["attempts"]
    assert [hold["result"], turn["result"], missed["result"]] == ["to standard", "not to standard", "to standard"]
    assert "left-on-time" in [one["code"] for one in hold["findings"]]
    assert hold["cleared"]["leave_s"] == 870.0
    assert {"descended-before-segment", "descended-before-established"} <= {one["code"] for one in turn["findings"]}
    touched, gone_around = lesson["straight_ins"]
    assert touched["final"]["missed_approach"] is None, "a touch-and-go is none"
    assert touched["result"] == "to standard"
    assert [one["code"] for one in gone_around["findings"]] == ["below-step-down-fix"]
    assert gone_around["final"]["missed_approach"]["climbed_to_ft"] > 4400.0


def test_a_lesson_without_names_and_places_is_shared_out_the_same(lesson: dict[str, Any]) -> None:
    files = [SAMPLES / name for name in PROCEDURES]
    debrief = analyzer.assess(SAMPLES / "lesson.csv", files, clearance=dict(CLEARANCE), anonymous=True)
    unnamed = debrief.to_dict()
    for parts in ("attempts", "straight_ins"):
        assert [one["procedure"] for one in unnamed[parts]] == [one["procedure"] for one in lesson[parts]]
        assert [one["result"] for one in unnamed[parts]] == [one["result"] for one in lesson[parts]]
    page = debrief.to_html()
    assert len(page.encode()) < 1_000_000, "the page of 70 minutes with five parts"
    said = repr(unnamed) + page
    for name in ("Harrow", "HRF", "HFL", "SORVA", "SUDRO", "HOFFA", "2025-03", "Mar 2025", "-101.2", "-101.5"):
        assert name not in said, name
