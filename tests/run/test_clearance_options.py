"""A clearance reaches the judging wing by file, by option and from Python; options go before the file."""

import json
from pathlib import Path

import pytest

import analyzer
from analyzer.errors import ClearanceFileError
from analyzer.given import Clearance, HoldClearance
from analyzer.run import cli

TRACK, PROCEDURE = Path("sample_tracks/good_45_180.csv"), Path("sample_tracks/vor_12.toml")


def options_of(monkeypatch: pytest.MonkeyPatch, arguments: list[str], folder: Path) -> list[object]:
    """Run the command and return the clearance that each assessment was given."""
    seen: list[object] = []
    from analyzer.run import debrief

    real = debrief.assess_lesson

    def watching(track: object, procedure: object, options: object) -> object:
        seen.append(options)
        return real(track, procedure, options)  # type: ignore[arg-type]

    monkeypatch.setattr(debrief, "assess_lesson", watching)
    line = ["assess", str(TRACK), "--procedure", str(PROCEDURE), "--no-report", "--output", str(folder)]
    assert cli.run([*line, *arguments]) == 0
    return seen


def test_file_and_options_reach_the_judges(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "clearance.toml"
    file.write_text('reversal = "not permitted"\nhold = { laps = 3, leave_at = "+10:00" }\ncleared_at = "+08:00"\n')
    (options,) = options_of(
        monkeypatch,
        ["--clearance", str(file), "--hold-laps", "2", "--circling", "--assigned-altitude-ft", "5000"],
        tmp_path,
    )
    assert options.clearance == Clearance(  # type: ignore[attr-defined]
        "not permitted", HoldClearance(laps=2, leave_at_s=600.0), 1524.0, 480.0, "circling", str(file)
    )
    assert options.reversal_expected == "not permitted"  # type: ignore[attr-defined]
    codes = [
        finding["code"]
        for attempt in json.loads((tmp_path / "good_45_180.json").read_text(encoding="utf-8"))["attempts"]
        for finding in attempt["findings"]
    ]
    assert "reversal-not-permitted" in codes


def test_the_option_reversal_goes_before_the_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "clearance.toml"
    file.write_text('reversal = "not permitted"\n')
    (options,) = options_of(monkeypatch, ["--clearance", str(file), "--reversal", "required"], tmp_path)
    assert options.reversal_expected == options.clearance.reversal == "required"  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--leave-at", "noon"], '--leave-at = "noon" is not possible. Expected UTC'),
        (["--hold-laps", "0"], "--hold-laps = 0"),
        (["--straight-in", "--circling"], "can't both hold"),
        (["--clearance", "none.toml"], "none.toml: no such file"),
    ],
)
def test_a_wrong_one_is_refused_before_a_track_is_read(
    arguments: list[str], said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    line = ["assess", "no_such_track.csv", "--procedure", str(PROCEDURE), "--output", str(tmp_path)]
    assert cli.run([*line, *arguments]) == 2
    error = capsys.readouterr().err
    assert said in error
    assert "no_such_track" not in error


def test_from_python_a_mapping_does() -> None:
    debrief = analyzer.assess(TRACK, PROCEDURE, clearance={"hold": {"leave_at": "+07:30"}, "straight_in": True})
    clearance = debrief.assessment.options.clearance
    assert (clearance.hold.leave_at_s, clearance.landing) == (450.0, "straight in")
    with pytest.raises(ClearanceFileError, match="clearance: laps = 2"):
        analyzer.assess(TRACK, PROCEDURE, clearance={"laps": 2})
