"""`--explain` lists each column, what it was taken for, and the refusal where there is one."""

import gzip
from pathlib import Path

import pytest
import readers_material as material

from analyzer.run import cli

TABLE = (
    "time;lat;lon;pressure_altitude_ft;Oil temp\n"
    + "".join(f"{material.stamp(i)};{46.2 + i * 0.0005:.6f};-101,5;{5000 + i};80\n" for i in range(20))
).replace(".", ",")


def explained(capsys: pytest.CaptureFixture[str], *arguments: str, status: int = 0) -> list[str]:
    assert cli.run(["assess", *arguments, "--explain"]) == status
    return capsys.readouterr().out.splitlines()


def test_each_column_of_a_table(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "log.csv"
    file.write_text(TABLE, encoding="utf-8")
    lines = explained(capsys, str(file))
    assert lines[0] == f"{file}: a table, header on line 1, parted by semicolons, decimal ,"
    rows = {line.split()[0]: " ".join(line.split()) for line in lines if line.strip().startswith("#")}
    assert set(rows) == {"#1", "#2", "#3", "#4", "#5"}
    assert rows["#2"] == "#2 lat latitude yes 46,200000, 46,200500, 46,201000"
    assert "altitude pressure, above 1013.25 hPa ft yes 5000, 5001, 5002" in rows["#4"]
    assert rows["#5"] == "#5 Oil temp - no 80, 80, 80"
    assert lines[-1] == "  Read: 20 points over 0.3 minutes."
    file.write_text(TABLE.replace("pressure_altitude_ft", "altitude_ft"), encoding="utf-8")
    assert "altitude, as the altimeter showed it" in explained(capsys, str(file))[5]


def test_a_table_that_can_not_be_read_is_listed_with_its_refusal(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "log.csv"
    file.write_text(TABLE.replace("time;", "moment of it;"), encoding="utf-8")
    lines = explained(capsys, str(file))
    assert any("#3" in line and "longitude" in line for line in lines)
    assert lines[-1].startswith("  Not read: line 1: no column for time")
    lines = explained(capsys, str(file), "--columns", "time=moment of it")
    assert lines[-1] == "  Read: 20 points over 0.3 minutes."


def test_a_table_without_positions_is_told_with_the_columns_found(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "log.csv"
    file.write_text(TABLE.replace("lat;lon", "north;east"), encoding="utf-8")
    lines = explained(capsys, str(file))
    assert "columns found: time, north, east, pressure_altitude_ft" in lines[-1]


def test_the_refusal_names_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "log.csv"
    file.write_text(TABLE.replace("lat;lon", "north;lon"), encoding="utf-8")
    assert cli.run(["assess", str(file), "--procedure", "sample_tracks/vor_12.toml", "--output", str(tmp_path)]) == 2
    assert "--explain lists what is known" in capsys.readouterr().err


def test_other_formats_and_packed_ones(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "flight.gpx.gz"
    file.write_bytes(gzip.compress(material.gpx(30)))
    lines = explained(capsys, str(file))
    assert lines[0].startswith(f"{file}: GPX; parts used: ")
    assert "ele" in lines[0]
    assert lines[-1] == "  Read: 30 points over 0.5 minutes."


def test_what_is_no_track_at_all_is_an_error(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert explained(capsys, str(tmp_path / "none.csv"), status=2) == []
