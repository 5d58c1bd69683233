"""The command: exit codes, one-line errors, light start, whole and repeatable files."""

import json
import os
import subprocess
import sys
from pathlib import Path

import coded_records
import pytest

from analyzer.run import cli

HEAVY = {"pandas", "numpy", "matplotlib", "pydantic", "shapely", "pyproj", "jinja2", "gpxpy", "pygeomag"}


@pytest.fixture(scope="module")
def flight() -> tuple[Path, Path]:
    """A 45/180 of the demo: track and procedure file."""
    from tests.demo_debriefs import demo_files

    return demo_files()[0]


def refused(capsys: pytest.CaptureFixture[str], arguments: list[str], status: int = 2) -> str:
    """Run a command that must fail; its one line of error."""
    assert cli.run(arguments) == status
    error = capsys.readouterr().err.lstrip("\n")  # the terminal's ^C stands on a line of its own
    assert error.count("\n") == 1, error
    assert "Traceback" not in error
    return error


def test_help_loads_nothing_heavy() -> None:
    script = (
        "import sys; from analyzer.run import cli; status = cli.run(['assess', '--help']);"
        "print('\\n'.join(sys.modules), file=sys.stderr); sys.exit(status)"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    loaded = {name.split(".")[0] for name in done.stderr.split()}
    assert "click" in loaded  # the list is the real one
    assert loaded & HEAVY == set()
    assert "--altimeter-setting" in done.stdout


def test_importing_the_package_loads_nothing_heavy() -> None:
    script = "import sys, analyzer; analyzer.__version__; print('\\n'.join(sys.modules))"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert {name.split(".")[0] for name in done.stdout.split()} & HEAVY == set()


def test_the_package_offers_assess_and_debrief() -> None:
    import analyzer

    assert callable(analyzer.assess)
    assert analyzer.Debrief.__name__ == "Debrief"
    with pytest.raises(AttributeError, match="no attribute 'nonsense'"):
        analyzer.nonsense  # noqa: B018


@pytest.mark.parametrize(
    "command", [[], ["assess"], ["brief"], ["chart"], ["synthesize"], ["procedures"], ["progress"], ["demo"]]
)
def test_every_command_has_help(command: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run([*command, "--help"]) == 0
    assert "Usage: reversal-debrief" in capsys.readouterr().out


def test_bad_usage_is_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert "Did you mean 'assess'?" in refused(capsys, ["asses"])
    assert "--procedure" in refused(capsys, ["assess", "track.gpx"])
    assert "--coded" in refused(capsys, ["assess", "track.gpx", "--procedure", "a.toml", "--coded", "b"])
    assert "go with --coded" in refused(capsys, ["assess", "track.gpx", "--procedure", "a.toml", "--airport", "X"])
    assert "No such option" in refused(capsys, ["assess", "--nonsense"])


def test_a_wrong_option_is_refused_before_anything_is_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    base = ["assess", "no.gpx", "--procedure", "no.toml", "--output", str(tmp_path / "out")]
    assert "--wind: " in refused(capsys, [*base, "--wind", "strong"])
    assert "--columns: " in refused(capsys, [*base, "--columns", "time"])
    assert "--altimeter-setting: " in refused(capsys, [*base, "--altimeter-setting", "92.99"])
    assert not (tmp_path / "out").exists()


def test_a_missing_track_is_one_line_and_status_2(
    flight: tuple[Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = ["assess", str(tmp_path / "no.gpx"), "--procedure", str(flight[1]), "--output", str(tmp_path / "out")]
    assert "no.gpx: no such file" in refused(capsys, arguments)
    assert list((tmp_path / "out").iterdir()) == []


def test_an_empty_track_is_one_line_and_status_2(
    flight: tuple[Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "empty.csv").write_text("time,latitude,longitude\n")
    arguments = ["assess", str(tmp_path / "empty.csv"), "--procedure", str(flight[1]), "--output", str(tmp_path / "o")]
    assert "empty.csv: " in refused(capsys, arguments)


def test_a_bad_procedure_file_is_said_once_for_all_tracks(
    flight: tuple[Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text(flight[1].read_text(encoding="utf-8").replace("inbound_deg", "inbund_deg"), encoding="utf-8")
    assert cli.run(["assess", str(flight[0]), str(flight[0]), "--procedure", str(bad), "--output", str(tmp_path)]) == 2
    errors = capsys.readouterr().err.splitlines()
    assert len(errors) == len(set(errors)) > 0
    assert any("inbund_deg" in line and "inbound_deg" in line for line in errors)


def test_a_procedure_that_is_missing_is_one_line(
    flight: tuple[Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    error = refused(capsys, ["assess", str(flight[0]), "--procedure", "no.toml", "--output", str(tmp_path)])
    assert "no.toml: " in error


def test_report_and_result_are_written(
    flight: tuple[Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.run(["assess", str(flight[0]), "--procedure", str(flight[1]), "--output", str(tmp_path)]) == 0
    assert capsys.readouterr().err == ""
    assert sorted(path.name for path in tmp_path.iterdir()) == ["good_45_180.html", "good_45_180.json"]
    result = json.loads((tmp_path / "good_45_180.json").read_text(encoding="utf-8"))
    assert result["schema"] == "reversal-debrief/1"
    assert [attempt["flown_as"] for attempt in result["attempts"]] == ["45/180"]


def test_no_report_writes_the_result_only(flight: tuple[Path, Path], tmp_path: Path) -> None:
    arguments = ["assess", str(flight[0]), "--procedure", str(flight[1]), "--output", str(tmp_path), "--no-report"]
    assert cli.run(arguments) == 0
    assert [path.name for path in tmp_path.iterdir()] == ["good_45_180.json"]


def test_the_same_input_gives_the_same_bytes_anywhere(flight: tuple[Path, Path], tmp_path: Path) -> None:
    made = []
    for number, (zone, locale) in enumerate([("UTC", "C.UTF-8"), ("Asia/Kathmandu", "de_DE.UTF-8")]):
        folder = tmp_path / f"run{number}"
        folder.mkdir()
        environment = os.environ | {
            "TZ": zone,
            "LC_ALL": locale,
            "PYTHONHASHSEED": str(number),
            "COLUMNS": str(50 + number),
        }
        command = [sys.executable, "-m", "analyzer", "assess", str(flight[0]), "--procedure", str(flight[1])]
        root = Path(cli.__file__).parents[2]
        environment["PYTHONPATH"] = str(root)
        subprocess.run([*command, "--output", "out"], cwd=folder, env=environment, check=True, capture_output=True)
        made.append({path.name: path.read_bytes() for path in (folder / "out").iterdir()})
    assert made[0] == made[1]


def test_a_clock_is_written_when_it_is_given(flight: tuple[Path, Path], tmp_path: Path) -> None:
    arguments = ["assess", str(flight[0]), "--procedure", str(flight[1]), "--output", str(tmp_path), "--no-report"]
    assert cli.run(arguments) == 0
    path = tmp_path / "good_45_180.json"
    assert json.loads(path.read_text(encoding="utf-8"))["program"]["made_at_utc"] is None
    assert cli.run([*arguments, "--clock", "2026-05-01T12:00:00Z"]) == 0
    assert json.loads(path.read_text(encoding="utf-8"))["program"]["made_at_utc"] == "2026-05-01T12:00:00+00:00"


def test_an_interrupt_is_one_line(
    flight: tuple[Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from analyzer.run import batch
    from analyzer.run.jobs import Job, Outcome

    def interrupt(job: Job) -> Outcome:
        raise KeyboardInterrupt

    monkeypatch.setattr(batch, "assess_one", interrupt)
    arguments = ["assess", str(flight[0]), "--procedure", str(flight[1]), "--output", str(tmp_path)]
    assert "interrupted" in refused(capsys, arguments, status=130)
    assert list(tmp_path.iterdir()) == []


def test_an_output_folder_that_is_a_file_is_one_line(
    flight: tuple[Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "reports").write_text("")
    arguments = ["assess", str(flight[0]), "--procedure", str(flight[1]), "--output", str(tmp_path / "reports")]
    assert "reports: " in refused(capsys, arguments)


def test_synthesize_writes_a_track_that_can_be_assessed(
    flight: tuple[Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    track = tmp_path / "flown.csv"
    arguments = ["synthesize", "--procedure", str(flight[1]), "--method", "80/260", "--tas", "120", "--wind", "240/18"]
    assert cli.run([*arguments, "--error", "late turn=15", "--output", str(track)]) == 0
    assert cli.run(["assess", str(track), "--procedure", str(flight[1]), "--output", str(tmp_path), "--no-report"]) == 0
    result = json.loads((tmp_path / "flown.json").read_text(encoding="utf-8"))
    assert [attempt["flown_as"] for attempt in result["attempts"]] == ["80/260"]
    assert "--method" in refused(capsys, [*arguments[:3], "--method", "loop", "--output", str(track)])


@pytest.mark.parametrize("suffix", [".html", ".svg", ".geojson"])
def test_chart_needs_no_flight(flight: tuple[Path, Path], tmp_path: Path, suffix: str) -> None:
    place = tmp_path / f"chart{suffix}"
    assert cli.run(["chart", "--procedure", str(flight[1]), "--output", str(place)]) == 0
    content = place.read_text(encoding="utf-8")
    if suffix == ".geojson":
        names = {feature["properties"]["name"] for feature in json.loads(content)["features"]}
        assert {"primary", "distance limit", "nominal path"} <= names
    else:
        assert "<svg" in content


def test_progress_needs_result_files(
    flight: tuple[Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = ["assess", str(flight[0]), "--procedure", str(flight[1]), "--output", str(tmp_path), "--no-report"]
    assert cli.run(arguments) == 0
    page = tmp_path / "progress.html"
    assert cli.run(["progress", str(tmp_path / "good_45_180.json"), "--output", str(page)]) == 0
    assert "good_45_180" in page.read_text(encoding="utf-8")
    assert "no result file" in refused(capsys, ["progress", str(flight[1]), "--output", str(tmp_path / "no.html")])
    assert not (tmp_path / "no.html").exists()


def test_a_coded_procedure_is_named_or_picked(
    flight: tuple[Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    coded = coded_records.write_coded_file(tmp_path / "cycle")
    base = ["assess", str(flight[0]), "--coded", str(coded), "--output", str(tmp_path / "out"), "--no-report"]
    assert cli.run([*base, "--airport", "XXHF", "--approach", "S12"]) == 0
    result = json.loads((tmp_path / "out" / "good_45_180.json").read_text(encoding="utf-8"))
    assert [attempt["flown_as"] for attempt in result["attempts"]] == ["45/180"]
    named = (tmp_path / "out" / "good_45_180.json").read_bytes()
    capsys.readouterr()
    assert "--pick" in refused(capsys, base)
    assert cli.run([*base, "--pick", "1"]) == 0
    assert (tmp_path / "out" / "good_45_180.json").read_bytes() == named
    assert "out of range" in refused(capsys, [*base, "--pick", "99"])
    assert "S99" in refused(capsys, [*base, "--airport", "XXHF", "--approach", "S99"])
    assert "--airport and --approach" in refused(capsys, [*base, "--airport", "XXHF"])


def test_chart_refuses_another_suffix(
    flight: tuple[Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    error = refused(capsys, ["chart", "--procedure", str(flight[1]), "--output", str(tmp_path / "chart.pdf")])
    assert ".svg" in error


def test_demo_ends_with_its_reports(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from analyzer.run.demo.scenario import DEMO_FLIGHTS

    assert cli.run(["demo", "--output", str(tmp_path)]) == 0
    assert capsys.readouterr().err == ""
    pages = {path.name for path in tmp_path.glob("*.html")}
    assert pages == {"index.html", "lesson.html"} | {Path(flight.track).stem + ".html" for flight in DEMO_FLIGHTS}
