"""Several procedures for one recording: each reversal goes to the one that it fits, and nothing else is judged."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

import analyzer
from analyzer.given import wind_from
from analyzer.judged import assess_lesson
from analyzer.run import cli
from analyzer.shown.result.schemas import result_schema
from tests.benchmarks.lessons.__main__ import found_in
from tests.lessons import HOLD_HOME, PROCEDURES, VOR_TURN, Lesson, lesson
from tests.whole_lessons import FAULTS, whole_lesson

SAMPLES = Path(__file__).parents[2] / "sample_tracks"
#: a passage is told within this; a part that went to a procedure ends where it ended
SAME_S = 15.0


def given_out(one: Lesson) -> list[tuple[int, float]]:
    found = assess_lesson(one.track, PROCEDURES)
    return [(index, item.attempt.last_inbound_passage_s or -1.0) for index, _, item in found.in_order]


@pytest.mark.parametrize("seed", [100, 101, 102])
def test_each_part_of_a_lesson_goes_to_its_procedure(seed: int) -> None:
    one = lesson(seed, parts=3)
    got = given_out(one)
    assert [index for index, _ in got] == [part.procedure for part in one.parts]
    for (_, end_s), part in zip(got, one.parts, strict=True):
        assert end_s == pytest.approx(part.end_s, abs=SAME_S)


def test_the_order_of_the_procedures_does_not_matter() -> None:
    one = lesson(103, parts=2)
    forward, backward = (assess_lesson(one.track, each) for each in (PROCEDURES, PROCEDURES[::-1]))
    titles = [
        [(part.procedure.title, item.attempt.number) for _, part, item in found.in_order]
        for found in (forward, backward)
    ]
    assert titles[0] == titles[1]


def test_what_no_reversal_fits_is_said() -> None:
    one = lesson(104, parts=1)
    found = assess_lesson(one.track, PROCEDURES)
    flown = PROCEDURES[one.parts[0].procedure].title
    assert {note.text.split(":")[0] for note in found.notes if note.code == "not-flown"} == {
        procedure.title for procedure in PROCEDURES
    } - {flown}


def test_one_procedure_gives_what_it_gave_alone() -> None:
    track, procedure = SAMPLES / "good_45_180.csv", SAMPLES / "vor_12.toml"
    alone, listed = analyzer.assess(track, procedure), analyzer.assess(track, [procedure])
    assert alone.to_dict() == listed.to_dict()
    assert alone.to_html() == listed.to_html()


def test_the_result_names_each_attempts_procedure() -> None:
    jsonschema = pytest.importorskip("jsonschema")
    one = lesson(105, parts=2)
    debrief = analyzer.assess(one.track, list(PROCEDURES))
    result = debrief.to_dict()
    assert [each["title"] for each in result["procedures"]] == [each.title for each in PROCEDURES]
    assert [each["procedure"] for each in result["attempts"]] == [part.procedure for part in one.parts]
    assert [each["number"] for each in result["attempts"]] == [1, 2]
    assert {feature["properties"]["procedure"] for feature in result["protection"]["features"]} <= set(range(5))
    jsonschema.validate(result, result_schema())
    page = debrief.to_html()
    for part in one.parts:
        assert f"{PROCEDURES[part.procedure].title}: " in page


def test_a_hold_and_a_procedure_turn_over_one_fix_and_course_are_told_apart_by_their_shape() -> None:
    same = replace(HOLD_HOME, inbound_true_deg=125.0, outbound_true_deg=305.0)
    for seed in range(200, 203):
        one = lesson(seed, chosen=(PROCEDURES.index(VOR_TURN),))
        found = assess_lesson(one.track, [same, VOR_TURN])
        assert [part.procedure.title for _, part, _ in found.in_order] == [VOR_TURN.title]


def test_the_command_takes_several_procedures_and_folders(tmp_path: Path) -> None:
    folder = tmp_path / "charts"
    folder.mkdir()
    for name in ("vor_12.toml", "vor_12_hold.toml"):
        (folder / name).write_bytes((SAMPLES / name).read_bytes())
    tracks = tmp_path / "tracks"
    tracks.mkdir()
    (tracks / "good_45_180.csv").write_bytes((SAMPLES / "good_45_180.csv").read_bytes())
    output = tmp_path / "out"
    assert cli.run(["assess", str(tracks), "--procedure", str(folder), "--output", str(output)]) == 0
    result = json.loads((output / "good_45_180.json").read_text())
    assert len(result["procedures"]) == 2
    assert [each["procedure"] for each in result["attempts"]] == [0]
    assert cli.run(["assess", str(tracks), "--procedure", str(tmp_path), "--output", str(output)]) == 2


def test_a_wind_that_is_given_holds_for_all_parts() -> None:
    from analyzer.given import Options

    one = lesson(106, parts=1)
    found = assess_lesson(one.track, PROCEDURES[:2], Options(wind=wind_from(240.0, 9.0)))
    assert {(part.wind.east_mps, part.wind.north_mps) for part in found.parts if part.wind is not None} == {
        (wind_from(240.0, 9.0).east_mps, wind_from(240.0, 9.0).north_mps)
    }


@pytest.mark.parametrize(("seed", "fault"), [(71, "step-down broken"), (73, "late leaving")])
def test_a_lesson_with_its_clearance_is_told_apart_and_its_fault_named(seed: int, fault: str) -> None:
    """The small form of `tests.benchmarks.lessons`."""
    one = whole_lesson(seed, parts=2, fault=fault)
    parts, found = found_in(one)
    told = {(index, kind == "straight in", round(at_s / 30.0)) for index, kind, at_s in parts}
    assert told == {(part.procedure, part.method == "straight in", round(part.last_s / 30.0)) for part in one.parts}
    assert [code for _, code, _ in found if code in FAULTS.values()] == [FAULTS[fault]]


def test_the_turn_away_from_a_hold_is_not_taken_for_a_turn_of_it() -> None:
    """A hold of two laps with right turns as charted; then the flight leaves by the left, to its next part."""
    one = whole_lesson(52020)
    parts, found = found_in(one)
    truth = one.parts[0].truth
    assert truth is not None
    assert not truth.wrong_side
    assert parts[0][0] == one.parts[0].procedure
    assert parts[0][2] == pytest.approx(one.parts[0].last_s, abs=SAME_S)
    assert "turned-on-unprotected-side" not in {code for _, code, _ in found}
