"""`assess --also`: further files beside the report; nobody else's file is replaced."""

from pathlib import Path

import pytest

from analyzer.run import cli


@pytest.fixture(scope="module")
def flight(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    from analyzer.run.demo.scenario import write_demo_flights

    track, procedure = next(iter(write_demo_flights(tmp_path_factory.mktemp("flight"))))
    return ["assess", str(track), "--procedure", str(procedure), "--no-report"]


def test_further_files_are_written_and_written_again(flight: list[str], tmp_path: Path) -> None:
    arguments = [*flight, "--output", str(tmp_path), "--also", "svg, geojson,KML"]
    names = {f"good_45_180.{suffix}" for suffix in ("json", "svg", "geojson", "kml")}
    assert cli.run(arguments) == 0
    first = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    assert set(first) == names
    assert cli.run(arguments) == 0
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == first
    (tmp_path / "good_45_180.kml").unlink()
    assert cli.run([*arguments, "--skip-existing"]) == 0
    assert {path.name for path in tmp_path.iterdir()} == names


def test_somebody_elses_file_is_kept(flight: list[str], tmp_path: Path) -> None:
    theirs = tmp_path / "good_45_180.kml"
    theirs.write_text("<kml>a recording</kml>", encoding="utf-8")
    assert cli.run([*flight, "--output", str(tmp_path), "--also", "kml"]) == 0
    assert theirs.read_text(encoding="utf-8") == "<kml>a recording</kml>"
    assert "Reversal Debrief" in (tmp_path / "good_45_180-2.kml").read_text(encoding="utf-8")


def test_an_unknown_kind_is_refused_before_anything_is_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    arguments = ["assess", "missing.gpx", "--procedure", "missing.toml", "--output", str(tmp_path), "--also", "kml,pdf"]
    assert cli.run(arguments) == 2
    said = "--also: pdf is not a kind of file. Expected one or more of svg, png, geojson, kml\n"
    assert capsys.readouterr().err.endswith(said)
