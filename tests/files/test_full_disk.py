"""Runs that can't write: a disk that is full in the middle of a file, a folder that is read-only; no monkeypatches."""

import os
import resource
import subprocess
import sys
from pathlib import Path

import pytest

from tests.demo_debriefs import demo_files

SMALLEST_PAGE_BYTES = 100_000


@pytest.fixture(scope="module")
def flights() -> tuple[list[Path], Path]:
    pairs = demo_files()
    procedure = pairs[0][1]
    return [track for track, its_procedure in pairs if its_procedure == procedure][:2], procedure


def run(
    flights: tuple[list[Path], Path], folder: Path, most_bytes: int | None = None
) -> subprocess.CompletedProcess[str]:
    """Assess the flights; where asked, no file may grow beyond so many bytes: a write fails in its middle."""

    def limit() -> None:
        if most_bytes is not None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (most_bytes, most_bytes))

    tracks, procedure = flights
    arguments = ["assess", *map(str, tracks), "--procedure", str(procedure), "--output", str(folder)]
    return subprocess.run(
        [sys.executable, "-c", "import sys; from analyzer.run.cli import run; sys.exit(run(sys.argv[1:]))", *arguments],
        capture_output=True,
        text=True,
        preexec_fn=limit,
        check=False,
        env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1"},
    )


def test_a_write_that_fails_in_its_middle_leaves_no_debris(flights: tuple[list[Path], Path], tmp_path: Path) -> None:
    folder = tmp_path / "reports"
    done = run(flights, folder, most_bytes=4096)
    assert done.returncode == 2
    lines = [line for line in done.stderr.split("\n") if line]
    assert len(lines) == len(flights[0])
    assert all("can't be written (file too large)" in line for line in lines)
    assert list(folder.iterdir()) == []


def test_a_whole_report_stays_when_its_successor_can_t_be_written(
    flights: tuple[list[Path], Path], tmp_path: Path
) -> None:
    assert run(flights, tmp_path).returncode == 0
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    assert any(len(content) > SMALLEST_PAGE_BYTES for content in before.values())
    done = run(flights, tmp_path, most_bytes=4096)
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


@pytest.mark.skipif(os.geteuid() == 0, reason="nothing is read-only for root")
def test_a_read_only_folder_is_said(flights: tuple[list[Path], Path], tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    done = run(flights, tmp_path)
    tmp_path.chmod(0o700)
    assert done.returncode == 2
    assert "can't be written (permission denied)" in done.stderr
    assert list(tmp_path.iterdir()) == []
