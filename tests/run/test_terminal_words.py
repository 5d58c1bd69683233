"""The terminal's line says what the first screen says; overviews keep earlier flights and go by date."""

import json
import os
from pathlib import Path

import pytest

from analyzer.run import cli
from analyzer.run.commands.options import TOLERANCE_SETS
from analyzer.run.commands.outcome_words import outcome_words
from analyzer.standards.tolerances import SET_NAMES

SAMPLES = Path("sample_tracks")


def result(
    *, altitude: str = "to standard", inside: str = "inside", notes: tuple[tuple[str, str, bool], ...] = ()
) -> dict:
    return {
        "track": {"quality": [{"code": code, "text": text, "on_first_screen": first} for code, text, first in notes]},
        "attempts": [
            {
                "flown_as": "45/180",
                "result": "to standard",
                "scores": {"overall": 100.0},
                "altitudes": [{"segment": "final", "verdict": altitude}],
                "containment": {"verdict": inside},
            }
        ],
    }


def test_a_verdict_without_doubt() -> None:
    assert outcome_words(result(notes=(("gaps", "Not told.", False),))) == "45/180 to standard (100/100)"


def test_what_is_too_close_to_call_is_said() -> None:
    said = outcome_words(result(altitude="too close to call", inside="too close to call"))
    assert said == "45/180 to standard (100/100; too close to call: containment, altitude (final))"


def test_the_doubt_that_matters_most_is_said() -> None:
    said = outcome_words(
        result(notes=(("sparse", "One position in 12 s.", True), ("procedure-mistaken", "Is 118 a true course?", True)))
    )
    assert said == "45/180 to standard (100/100). Is 118 a true course?"


def test_no_reversal_has_its_reason() -> None:
    none = result(
        notes=(("no-reversal-straight-in", "No course reversal: the flight passes the fix and flies on.", False),)
    )
    assert outcome_words({**none, "attempts": []}) == "no course reversal found: the flight passes the fix and flies on"


def test_a_file_with_a_mistake_is_told_on_the_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    wrong = tmp_path / "wrong.toml"
    text = (SAMPLES / "vor_12.toml").read_text(encoding="utf-8")
    wrong.write_text(text.replace("longitude = -101.5000", "longitude = 101.5000"), encoding="utf-8")
    assert wrong.read_text(encoding="utf-8") != text
    track = str(SAMPLES / "good_45_180.csv")
    assert cli.run(["assess", track, "--procedure", str(wrong), "--no-report", "--output", str(tmp_path)]) == 0
    line = capsys.readouterr().out
    assert "no course reversal found: the track comes no nearer to the fix than" in line
    assert "are the signs of fix.latitude = 46.2 and fix.longitude = 101.5 right?" in line


def test_lines_come_in_the_order_of_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    names = ["good_45_180.csv", "blown_80_260.gpx"]
    tracks = [str(SAMPLES / name) for name in names]
    line = ["assess", *tracks, "--procedure", str(SAMPLES / "vor_12.toml"), "--no-report", "--output", str(tmp_path)]
    assert cli.run([*line, "--jobs", "2"]) == 0
    said = capsys.readouterr().out.splitlines()
    assert [Path(each.partition(":")[0]).stem for each in said] == ["good_45_180", "blown_80_260"]


def test_the_overview_keeps_earlier_flights_and_goes_by_date(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    procedure = str(SAMPLES / "vor_12.toml")
    early, late = tmp_path / "b_early.csv", tmp_path / "a_late.csv"
    text = (SAMPLES / "good_45_180.csv").read_text(encoding="utf-8")
    early.write_text(text, encoding="utf-8")
    late.write_text(text.replace("2025-03-14", "2025-04-14"), encoding="utf-8")
    assert late.read_text(encoding="utf-8") != text
    line = ["assess", "--procedure", procedure, "--output", str(tmp_path / "out"), "--skip-existing"]
    assert cli.run([*line, str(late)]) == 0
    assert not (tmp_path / "out" / "index.html").exists(), "one flight needs no overview"
    assert cli.run([*line, str(early)]) == 0
    assert "overview of 2 tracks" in capsys.readouterr().out
    page = (tmp_path / "out" / "index.html").read_text(encoding="utf-8")
    assert 0 < page.index("b_early.html") < page.index("a_late.html")


def test_help_is_in_groups_with_examples_and_the_sets(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["assess", "--help"]) == 0
    said = capsys.readouterr().out
    for heading in (
        "Examples:",
        "The procedure:",
        "The reports:",
        "The track:",
        "The day:",
        "The clearance:",
        "Judging:",
    ):
        assert heading in said
    assert "--wind 24018KT" in said
    flat = " ".join(said.split())
    assert all(name in flat for name in TOLERANCE_SETS)
    options = [word for word in flat.replace(",", " ").split() if word.startswith("--")]
    assert {"--clearance", "--procedure", "--output", "--anonymous", "--skip-existing"} <= set(options)


def test_the_sets_named_in_the_help_are_those_of_the_package() -> None:
    assert TOLERANCE_SETS == SET_NAMES


def test_progress_is_one_line_where_people_watch(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import pty
    import subprocess
    import sys

    tracks = [str(SAMPLES / "good_45_180.csv")] * 2
    line = ["assess", *tracks, "--procedure", str(SAMPLES / "vor_12.toml"), "--no-report", "--output", str(tmp_path)]
    ours, theirs = pty.openpty()
    done = subprocess.run([sys.executable, "-m", "analyzer", *line], stderr=theirs, stdout=subprocess.PIPE, timeout=120)
    os.close(theirs)
    shown = os.read(ours, 100_000).decode()
    os.close(ours)
    assert done.returncode == 0
    assert "Assessed" in shown
    assert "\n" not in shown.strip("\r\n")
    assert len(done.stdout.splitlines()) == 2


def test_the_table_of_an_archive_has_date_wind_margins_angle_and_overshoot() -> None:
    import analyzer
    from analyzer.run.fleet.table import COLUMNS, rows_of
    from analyzer.run.jobs import Job, Outcome, _brief

    found = analyzer.assess(SAMPLES / "good_45_180.csv", SAMPLES / "vor_12.toml").to_dict()
    (row,) = rows_of(Outcome(Job(0, SAMPLES / "good_45_180.csv", SAMPLES / "vor_12.toml", Path(), "x"), _brief(found)))
    attempt = json.loads(json.dumps(found))["attempts"][0]
    assert list(row) == list(COLUMNS)
    assert row["flown_utc"].startswith("2025-03-14T")
    assert row["procedure"] == "vor_12.toml"
    assert row["wind_kt"] == found["wind"]["speed_kt"] > 0
    assert row["containment_margin_nm"] == attempt["containment"]["margin_nm"]
    assert row["overshoot_nm"] == attempt["intercept"]["overshoot_nm"]
    assert row["intercept_angle_deg"] == attempt["intercept"]["angle_deg"]
    margins = {each["segment"]: each["margin_ft"] for each in attempt["altitudes"]}
    assert {name: row[f"{name}_margin_ft"] for name in margins} == margins
