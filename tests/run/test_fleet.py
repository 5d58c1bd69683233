"""An archive on a real cluster of worker processes: none lost, none twice, workers that die included."""

import csv
import json
import os
import shutil
import signal
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from analyzer.errors import OutputError, TrackFileError
from analyzer.run import cli
from analyzer.run.fleet import engine
from analyzer.run.fleet.archive import Request, find_tracks, jobs_of
from analyzer.run.fleet.journal import Journal
from analyzer.run.fleet.table import COLUMNS, Row, cell, check_place, rows_of, write_table
from analyzer.run.jobs import Job, Outcome
from analyzer.run.many_tracks import assess_all

FLIGHTS = 6
FORMULA = "=1+1.csv"  # a name that a spreadsheet would calculate

#: run by each worker as it starts: the track called "deadly" kills every process that takes it, "unlucky" the first one
PRELOAD = """
import os
import signal
from pathlib import Path

DEATHS = Path({deaths!r})


def dask_setup(worker):
    from analyzer.run.fleet import engine

    assess_one = engine.assess_one

    def assess_or_die(job):
        if job.track.stem == "deadly":
            os.kill(os.getpid(), signal.SIGKILL)
        if job.track.stem == "unlucky":
            with DEATHS.open("a") as deaths:
                deaths.write("x")
            if DEATHS.stat().st_size == 1:
                os.kill(os.getpid(), signal.SIGKILL)
        return assess_one(job)

    engine.assess_one = assess_or_die
"""


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of flights, in folders, with one that is not a track and one whose name is a formula."""
    from analyzer.reading.procedure_file.read import read_procedure
    from analyzer.run.demo.scenario import DEMO_FLIGHTS, procedure_text
    from analyzer.synthesis import Sensor, fly
    from analyzer.synthesis.write import write_recording

    folder = tmp_path_factory.mktemp("archive")
    procedure = folder / "procedure.toml"
    procedure.write_text(procedure_text(DEMO_FLIGHTS[0].procedure), encoding="utf-8")
    names = [FORMULA, "a/lesson.gpx", "b/lesson.gpx", "c/lesson.csv", "c/late.csv", "c/d/other.gpx"]
    assert len(names) == FLIGHTS
    coarse = Sensor(interval_s=3.0)  # soon read: what is looked at here is who reads it
    for seed, name in enumerate(names):
        track = folder / "tracks" / name
        track.parent.mkdir(exist_ok=True, parents=True)
        write_recording(fly(read_procedure(procedure), DEMO_FLIGHTS[0].plan, seed, coarse), track)
    (folder / "tracks/bad.gpx").write_text("no track at all")
    (folder / "tracks/readme.txt").write_text("not looked at")
    return folder


def fleet(archive: Path, output: Path, *more: str, tracks: Path | None = None) -> int:
    tracks = archive / "tracks" if tracks is None else tracks
    return cli.run(
        ["fleet", str(tracks), "--procedure", str(archive / "procedure.toml"), "--output", str(output), *more]
    )


def table(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


@pytest.fixture(scope="module")
def cluster() -> Iterator[str]:
    """Address of a cluster with two worker processes."""
    pytest.importorskip("distributed")
    with engine.cluster(None, 2) as client:
        yield client.scheduler.address


@pytest.fixture
def deadly_cluster(tmp_path: Path) -> Iterator[None]:
    """Clusters that are started from here on have workers that two tracks kill."""
    dask = pytest.importorskip("dask")
    if not hasattr(signal, "SIGKILL"):
        pytest.skip("this system has no SIGKILL")
    pytest.importorskip("distributed")
    preload = tmp_path / "preload.py"
    preload.write_text(PRELOAD.format(deaths=str(tmp_path / "deaths")))
    with dask.config.set({"distributed.worker.preload": [str(preload)]}):
        yield


def test_the_cluster_writes_what_the_pool_writes(
    archive: Path, cluster: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tracks = [str(track) for track in find_tracks([archive / "tracks"], tmp_path)]
    asked = ["--procedure", str(archive / "procedure.toml"), "--output", str(tmp_path / "pool")]
    assert cli.run(["assess", *tracks, *asked, "--jobs", "2"]) == 1
    capsys.readouterr()
    assert fleet(archive, tmp_path / "fleet", "--reports", "--scheduler", cluster) == 1
    said = capsys.readouterr()
    assert len(said.err.splitlines()) == 1
    assert "bad.gpx" in said.err
    back = b'<p class="back"><a href="index.html">All flights</a></p>'  # a page of all flights the fleet does not write
    pages = [path for path in (tmp_path / "pool").iterdir() if path.name != "index.html"]
    assert all((back in path.read_bytes()) is (path.suffix == ".html") for path in pages)
    pool = {path.name: path.read_bytes().replace(back, b"") for path in pages}
    of_fleet = {path.name: path.read_bytes() for path in (tmp_path / "fleet").iterdir()}
    rows = table(tmp_path / "fleet/flights.csv")
    assert {name: data for name, data in of_fleet.items() if not name.startswith("flights.csv")} == pool
    assert len(pool) == 2 * FLIGHTS

    assert [row["file"].removeprefix("'") for row in rows] == tracks
    assert sum(bool(row["error"]) for row in rows) == 1
    for row in rows:
        if not row["error"]:
            (attempt,) = json.loads(pool[f"{row['result_file'].removeprefix(chr(39))}.json"])["attempts"]
            assert row["flown_as"] == attempt["flown_as"]
            assert row["result"] == attempt["result"]
            assert float(row["score_overall"]) == attempt["scores"]["overall"]
            codes = [
                code for kind in ("critical", "major", "minor", "note") for code in row[f"{kind}_findings"].split("; ")
            ]
            assert sorted(filter(None, codes)) == sorted(finding["code"] for finding in attempt["findings"])


def test_a_worker_killed_in_mid_run_costs_nothing(
    archive: Path, deadly_cluster: None, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tracks = tmp_path / "tracks"
    shutil.copytree(archive / "tracks", tracks)
    shutil.copy(tracks / "c/late.csv", tracks / "b/unlucky.csv")
    assert fleet(archive, tmp_path / "out", "--workers", "2", tracks=tracks) == 1
    assert (tmp_path / "deaths").read_text() == "xx"  # killed once, done once more
    rows = table(tmp_path / "out/flights.csv")
    assert len(rows) == FLIGHTS + 2
    assert max(Counter(row["file"] for row in rows).values()) == 1
    assert [Path(row["file"]).name for row in rows if row["error"]] == ["bad.gpx"]


def test_a_track_that_kills_each_worker_is_named_and_the_others_kept(
    archive: Path,
    deadly_cluster: None,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(engine, "chunk_size", lambda tracks, workers: 4)
    monkeypatch.setattr("analyzer.run.fleet.run.chunk_size", lambda tracks, workers: 4)
    tracks = tmp_path / "tracks"
    shutil.copytree(archive / "tracks", tracks)
    shutil.copy(tracks / "c/late.csv", tracks / "b/deadly.csv")
    assert fleet(archive, tmp_path / "out", "--workers", "2", tracks=tracks) == 1
    rows = table(tmp_path / "out/flights.csv")
    assert len(rows) == FLIGHTS + 2
    assert max(Counter(row["file"] for row in rows).values()) == 1
    errors = {Path(row["file"]).name: row["error"] for row in rows if row["error"]}
    assert sorted(errors) == ["bad.gpx", "deadly.csv"]
    assert "was ended" in errors["deadly.csv"]
    assert len(capsys.readouterr().err.splitlines()) == 2


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system has no SIGKILL")
def test_a_worker_killed_from_outside_costs_nothing(archive: Path, tmp_path: Path) -> None:
    pytest.importorskip("distributed")
    tracks = find_tracks([archive / "tracks"], tmp_path)
    request = Request((archive / "procedure.toml",), tmp_path, {}, with_reports=False)
    finished: list[tuple[Job, str | None]] = []
    with engine.cluster(None, 2) as client:
        victims = list(client.run(os.getpid).values())

        def report(job: Job, found: "tuple[list[Row], str | None] | None") -> None:
            finished.append((job, "lost" if found is None else found[1]))
            if len(finished) == 2:
                os.kill(victims[0], signal.SIGKILL)

        assess_all(jobs_of(tracks, request), engine.ClusterCrew(client, 2), engine.assess_rows, report)
        assert victims[0] not in client.run(os.getpid).values()
    assert sorted(job.number for job, _ in finished) == list(range(len(tracks)))
    assert [job.track.name for job, error in finished if error is not None] == ["bad.gpx"]


def test_a_second_run_does_what_is_new(
    archive: Path, cluster: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    tracks, out = tmp_path / "tracks", tmp_path / "out"
    shutil.copytree(archive / "tracks", tracks)
    (tracks / "bad.gpx").unlink()
    assert fleet(archive, out, "--scheduler", cluster, tracks=tracks) == 0
    first = (out / "flights.csv").read_bytes()

    asked: list[str] = []

    def watched(jobs: Iterator[Job], *more: object) -> None:
        taken = list(jobs)
        asked.extend(job.track.name for job in taken)
        assess_all(iter(taken), *more)  # type: ignore[arg-type]

    monkeypatch.setattr("analyzer.run.fleet.run.assess_all", watched)
    assert fleet(archive, out, "--scheduler", cluster, "--skip-existing", tracks=tracks) == 0
    assert asked == []
    assert (out / "flights.csv").read_bytes() == first

    shutil.copy(tracks / "a/lesson.gpx", tracks / "a/new.gpx")
    shutil.copy(tracks / "c/lesson.csv", tracks / "c/late.csv")  # the same name, another flight
    with (out / "flights.csv.journal").open("ab") as journal:
        journal.write(b'{"key": "cut off here')
    assert fleet(archive, out, "--scheduler", cluster, "--skip-existing", tracks=tracks) == 0
    assert asked == ["new.gpx", "late.csv"]
    assert len(table(out / "flights.csv")) == FLIGHTS + 1
    asked.clear()
    assert fleet(archive, out, "--scheduler", cluster, "--skip-existing", "--wind", "240/18", tracks=tracks) == 0
    assert len(asked) == FLIGHTS + 1  # another wind: nothing of before holds


def test_an_anonymous_table_names_no_file(archive: Path, cluster: str, tmp_path: Path) -> None:
    assert fleet(archive, tmp_path, "--scheduler", cluster, "--anonymous") == 1
    text = (tmp_path / "flights.csv").read_text(encoding="utf-8")
    assert "track 1," in text
    for name in ("lesson", "bad.gpx", str(archive)):
        assert name not in text


def test_what_is_missing_is_said_in_one_line(
    archive: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "mine.csv").write_text("a,b\n1,2\n")
    monkeypatch.setitem(sys.modules, "distributed", None)
    monkeypatch.setitem(sys.modules, "pyarrow.parquet", None)
    for more, wanted in [
        ([], "pip install distributed"),
        (["--table", str(tmp_path / "x.parquet")], "pip install pyarrow"),
        (["--table", str(tmp_path / "x.txt")], ".csv"),
        (["--table", str(tmp_path / "mine.csv")], "not a table of this program"),
        (["--table", str(tmp_path / "nowhere/x.csv")], "folder"),
        (["--workers", "2", "--scheduler", "tcp://127.0.0.1:9"], "--workers"),
        (["--temperature-c", "500"], "temperature"),
    ]:
        assert fleet(archive, tmp_path, *more) == 2
        (line,) = capsys.readouterr().err.splitlines()
        assert wanted in line
    assert (tmp_path / "mine.csv").read_text() == "a,b\n1,2\n"


def test_a_scheduler_that_is_not_there_is_one_line(
    archive: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    pytest.importorskip("distributed")
    monkeypatch.setattr(engine, "WAIT_FOR_SCHEDULER_S", 1.0)
    assert fleet(archive, tmp_path, "--scheduler", "tcp://127.0.0.1:9") == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "tcp://127.0.0.1:9" in line


def test_folders_are_searched_and_nothing_is_found_twice(archive: Path, tmp_path: Path) -> None:
    tracks = archive / "tracks"
    found = find_tracks([tracks / "c/late.csv", tracks, tracks / "a"], tmp_path)
    assert [path.relative_to(tracks).as_posix() for path in found] == [
        "c/late.csv", FORMULA, "bad.gpx", "a/lesson.gpx", "b/lesson.gpx", "c/lesson.csv", "c/d/other.gpx",
    ]  # fmt: skip
    assert len(find_tracks([tracks], tracks / "c")) == len(found) - 3  # the folder of reports is not searched
    assert tracks / FORMULA not in find_tracks([tracks], tmp_path, [tracks / FORMULA])
    with pytest.raises(TrackFileError, match="no track in this folder"):
        find_tracks([tmp_path], tmp_path / "out")


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "\n", "＝", " =", "\u200b=", "\ufeff@", "\u202e+"])
def test_no_cell_is_a_formula(start: str) -> None:
    assert cell(f"{start}1+1") == f"'{start}1+1"
    assert cell(f"a{start}1") == f"a{start}1"
    assert cell(-1.5) == -1.5


def test_formulas_in_names_and_errors_reach_no_spreadsheet(tmp_path: Path) -> None:
    job = Job(0, Path(FORMULA), Path("p.toml"), tmp_path, "=1+1")
    write_table(tmp_path / "t.csv", rows_of(Outcome(job, None, "@SUM(A1): no such file")))
    (row,) = table(tmp_path / "t.csv")
    assert row["file"] == f"'{FORMULA}"
    assert row["error"] == "'@SUM(A1): no such file"


def some_rows(count: int) -> list[Row]:
    empty: Row = dict.fromkeys(COLUMNS)
    return [
        empty | {"file": f"{number}.gpx", "attempt": number, "score_overall": number / 2} for number in range(count)
    ]


def test_parquet_holds_the_same_rows(tmp_path: Path) -> None:
    parquet = pytest.importorskip("pyarrow.parquet")
    rows = some_rows(2500)
    rows[7]["file"] = "\udcff.gpx"  # a name that is not UTF-8
    assert write_table(tmp_path / "t.parquet", rows) == 2500
    rows[7]["file"] = "\\udcff.gpx"
    assert parquet.read_table(tmp_path / "t.parquet").to_pylist() == rows
    check_place(tmp_path / "t.parquet")  # our own may be replaced
    (tmp_path / "other.parquet").write_bytes(b"something else")
    with pytest.raises(OutputError):
        check_place(tmp_path / "other.parquet")


def test_a_table_that_fails_leaves_the_old_one(tmp_path: Path) -> None:
    place = tmp_path / "t.csv"
    assert write_table(place, some_rows(3)) == 3
    before = place.read_bytes()

    def broken() -> Iterator[Row]:
        yield from some_rows(2)
        raise OSError(28, "No space left on device")

    with pytest.raises(OutputError, match="no space left"):
        write_table(place, broken())
    assert place.read_bytes() == before
    assert [path.name for path in tmp_path.iterdir()] == ["t.csv"]


def test_the_journal_keeps_a_track_once_and_leaves_other_files_alone(tmp_path: Path) -> None:
    place = tmp_path / "j"
    with Journal(place, "key", take_up=False) as journal:
        journal.add(1, Path("b.gpx"), "2", some_rows(2), ok=True)
        journal.add(0, Path("a.gpx"), "1", some_rows(1), ok=False)
        journal.add(1, Path("b.gpx"), "2", some_rows(5), ok=True)
        assert [row["file"] for row in journal.rows(["first", "second"])] == ["first", "second", "second"]
    with Journal(place, "key", take_up=True) as journal:
        assert not journal.takes_over(0, Path("a.gpx"), "1")  # failed: is tried again
        assert not journal.takes_over(0, Path("b.gpx"), "3")  # another content
        assert journal.takes_over(0, Path("b.gpx"), "2")
    place.write_text("a diary")
    with pytest.raises(OutputError, match="not a journal"):
        Journal(place, "key", take_up=False)
    assert place.read_text() == "a diary"


def test_several_procedures_give_each_row_its_own(archive: Path, tmp_path: Path) -> None:
    from analyzer.run.demo.scenario import procedure_text
    from analyzer.run.fleet.table import rows_of
    from analyzer.run.jobs import assess_one

    charts = tmp_path / "charts"
    charts.mkdir()
    for name in ("rnav_30.toml", "vor_12.toml"):
        (charts / name).write_text(procedure_text(name), encoding="utf-8")
    request = Request((charts,), tmp_path, {}, with_reports=False)
    assert [path.name for path in request.files()] == ["rnav_30.toml", "vor_12.toml"]
    (job,) = jobs_of([archive / "tracks" / "a/lesson.gpx"], request)
    (row,) = rows_of(assess_one(job))
    assert row["procedure"] == "VOR 12, Harrow Flats"
    key = request.key()
    (charts / "vor_12.toml").write_text(procedure_text("vor_12.toml") + "\n", encoding="utf-8")
    assert request.key() != key, "rows of another procedure file are not taken over"
