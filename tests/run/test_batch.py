"""Many tracks: none lost, none twice, a bad one stops nobody, one or several processes give the same."""

import gc
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from analyzer.run import batch, cli
from analyzer.run.jobs import Job, Outcome


@pytest.fixture(scope="module")
def flights(tmp_path_factory: pytest.TempPathFactory) -> tuple[list[Path], Path]:
    """Three flights of one procedure, two of them with the same stem, and a file that is not a track."""
    from analyzer.reading.procedure_file.read import read_procedure
    from analyzer.run.demo.scenario import DEMO_FLIGHTS, procedure_text
    from analyzer.synthesis import Sensor, fly
    from analyzer.synthesis.write import write_recording

    folder = tmp_path_factory.mktemp("flights")
    procedure = folder / "procedure.toml"
    procedure.write_text(procedure_text(DEMO_FLIGHTS[0].procedure), encoding="utf-8")
    tracks = []
    coarse = Sensor(interval_s=3.0)  # soon read: what is looked at here is who reads it
    for seed, name in enumerate(["a/lesson.csv", "b/lesson.csv", "other.gpx"]):
        track = folder / name
        track.parent.mkdir(exist_ok=True)
        write_recording(fly(read_procedure(procedure), DEMO_FLIGHTS[0].plan, seed, coarse), track)
        tracks.append(track)
    bad = folder / "bad.gpx"
    bad.write_text("no track at all")
    return [*tracks[:2], bad, tracks[2]], procedure


def run(flights: tuple[list[Path], Path], folder: Path, *more: str) -> int:
    tracks, procedure = flights
    return cli.run(
        ["assess", *map(str, tracks), "--procedure", str(procedure), "--output", str(folder), "--no-report", *more]
    )


def test_a_bad_track_stops_nobody(
    flights: tuple[list[Path], Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(flights, tmp_path) == 1
    errors = capsys.readouterr().err.splitlines()
    assert len(errors) == 1
    assert "bad.gpx" in errors[0]
    assert sorted(path.name for path in tmp_path.iterdir()) == ["lesson-2.json", "lesson.json", "other.json"]


def test_two_processes_write_the_same_as_one(flights: tuple[list[Path], Path], tmp_path: Path) -> None:
    assert run(flights, tmp_path / "one", "--jobs", "1") == 1
    assert run(flights, tmp_path / "two", "--jobs", "2") == 1
    one = {path.name: path.read_bytes() for path in (tmp_path / "one").iterdir()}
    two = {path.name: path.read_bytes() for path in (tmp_path / "two").iterdir()}
    assert one == two
    assert len(one) == 3


def test_a_second_run_replaces_its_own_reports_only(flights: tuple[list[Path], Path], tmp_path: Path) -> None:
    assert run(flights, tmp_path) == 1
    before = sorted(path.name for path in tmp_path.iterdir())
    assert run(flights, tmp_path) == 1
    assert sorted(path.name for path in tmp_path.iterdir()) == before
    tracks, procedure = flights
    # the second of the two with one stem, alone: its report stays at its place and the first one's is left alone
    first = (tmp_path / "lesson.json").read_bytes()
    assert run(([tracks[1]], procedure), tmp_path) == 0
    assert (tmp_path / "lesson.json").read_bytes() == first
    assert sorted(path.name for path in tmp_path.iterdir()) == before


def test_existing_reports_are_left_alone_when_asked(
    flights: tuple[list[Path], Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tracks, procedure = flights
    assert run((tracks[:1], procedure), tmp_path) == 0
    made = (tmp_path / "lesson.json").stat().st_mtime_ns
    capsys.readouterr()
    assert run(flights, tmp_path, "--skip-existing") == 1
    assert (tmp_path / "lesson.json").stat().st_mtime_ns == made
    assert "is there already" in capsys.readouterr().out
    assert (tmp_path / "other.json").exists()


def test_a_missing_page_is_made_though_the_result_is_there(flights: tuple[list[Path], Path], tmp_path: Path) -> None:
    tracks, procedure = flights
    assert run((tracks[:1], procedure), tmp_path) == 0
    arguments = ["assess", str(tracks[0]), "--procedure", str(procedure), "--output", str(tmp_path), "--skip-existing"]
    assert cli.run(arguments) == 0
    assert (tmp_path / "lesson.html").exists()


def test_several_tracks_get_an_overview(flights: tuple[list[Path], Path], tmp_path: Path) -> None:
    tracks, procedure = flights
    assert cli.run(["assess", *map(str, tracks), "--procedure", str(procedure), "--output", str(tmp_path)]) == 1
    overview = (tmp_path / "index.html").read_text(encoding="utf-8")
    for name in ("lesson.html", "lesson-2.html", "other.html"):
        assert f'href="{name}"' in overview


def killer(job: Job) -> Outcome:
    """Stand in for `assess_one` in the pool: the process that gets the track called "deadly" is killed."""
    if job.track.stem == "deadly":
        os.kill(os.getpid(), signal.SIGKILL)
    return Outcome(job, {"attempts": []})


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system has no SIGKILL")
def test_a_killed_process_loses_its_own_track_only(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(batch, "assess_one", killer)
    names = ["one", "two", "deadly", "three", "four", "five"]
    jobs = [Job(n, Path(f"{name}.gpx"), Path("p.toml"), tmp_path, name) for n, name in enumerate(names)]
    outcomes: list[Outcome] = []
    batch.run(iter(jobs), 2, skip_existing=False, report=outcomes.append)
    assert sorted(outcome.job.stem for outcome in outcomes) == sorted(names)
    assert [outcome.job.stem for outcome in outcomes if outcome.error is not None] == ["deadly"]


def thresholds(job: Job) -> Outcome:
    """Stand in for `assess_one` in the pool: tells how seldom its process looks for cycles of objects."""
    return Outcome(job, None, str(gc.get_threshold()))


def test_processes_look_for_cycles_as_seldom_as_their_parent(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(batch, "assess_one", thresholds)
    before = gc.get_threshold()
    gc.set_threshold(70_001, 19, 18)
    outcomes: list[Outcome] = []
    try:
        jobs = [Job(n, Path("one.gpx"), Path("p.toml"), tmp_path, "one") for n in range(2)]
        batch.run(iter(jobs), 2, skip_existing=False, report=outcomes.append)
    finally:
        gc.set_threshold(*before)
    assert [outcome.error for outcome in outcomes] == ["(70001, 19, 18)"] * 2


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="reads /proc")
def test_no_process_outlives_a_killed_run(flights: tuple[list[Path], Path], tmp_path: Path) -> None:
    tracks, procedure = flights
    command = [sys.executable, "-m", "analyzer", "assess", *map(str, tracks * 5), "--procedure", str(procedure)]
    root = Path(cli.__file__).parents[2]
    started = subprocess.Popen(
        [*command, "--output", str(tmp_path), "--jobs", "2"],
        cwd=root,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    workers: set[int] = set()
    patience_s, deadline = 60.0, time.monotonic() + 60.0
    while len(workers) < 2 and time.monotonic() < deadline and started.poll() is None:
        time.sleep(0.1)
        workers = {pid for pid, words in children_of(started.pid).items() if "spawn_main" in words}
    assert len(workers) == 2, f"no pool within {patience_s:.0f} s"
    started.kill()
    started.wait()
    deadline = time.monotonic() + patience_s
    while any(Path(f"/proc/{pid}").exists() for pid in workers) and time.monotonic() < deadline:
        time.sleep(0.1)
    assert [pid for pid in workers if Path(f"/proc/{pid}").exists()] == []


def children_of(parent: int) -> dict[int, str]:
    """Process numbers and command lines of a process's children."""
    children = {}
    for place in Path("/proc").glob("[0-9]*"):
        try:
            if int((place / "stat").read_text().rpartition(")")[2].split()[1]) == parent:
                children[int(place.name)] = (place / "cmdline").read_text().replace("\0", " ")
        except (OSError, ValueError):
            continue
    return children


def test_a_mistake_of_the_program_costs_one_track(
    flights: tuple[list[Path], Path],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    import analyzer.run.debrief

    right = analyzer.run.debrief.assess

    def wrong_once(track: Path, procedure: Path, **options: object) -> object:
        if track.stem == "other":
            raise ZeroDivisionError("float division by zero")
        return right(track, procedure, **options)  # type: ignore[arg-type]

    monkeypatch.setattr(analyzer.run.debrief, "assess", wrong_once)
    assert run(flights, tmp_path) == 1
    errors = capsys.readouterr().err.splitlines()
    assert len(errors) == 2
    assert "a mistake of this program" in errors[1]
    assert json.loads((tmp_path / "lesson.json").read_text(encoding="utf-8"))["attempts"]
