"""What an assessment of one GPX track loads: what takes long to load is loaded by those who need it."""

import subprocess
import sys
from pathlib import Path

import pytest

TRACKS = Path(__file__).parents[2] / "sample_tracks"
NOT_NEEDED = {
    "pandas",
    "matplotlib",
    "gpxpy",
    "dask",
    "concurrent.futures.process",
    "multiprocessing.connection",
    "scipy",
    "flask",
    "sqlite3",
    "analyzer.run.desk",
    "analyzer.reading.table.table",
    "analyzer.reading.formats.igc",
    "analyzer.reading.formats.kml",
    "analyzer.reading.formats.nmea",
    "analyzer.reading.coded.coded_file",
    "analyzer.synthesis",
    "analyzer.shown.chart",
}
FOR_THE_PAGE = {"jinja2", "markupsafe", "analyzer.shown.report.page"}


def loaded(folder: Path, *options: str) -> set[str]:
    code = (
        "import sys; from analyzer.run.cli import run; status = run(sys.argv[1:]); "
        "print('loaded', status, *sys.modules, file=sys.stderr)"
    )
    track, procedure = TRACKS / "teardrop_entry.gpx", TRACKS / "rnav_30.toml"
    command = ["assess", str(track), "--procedure", str(procedure), "--output", str(folder), *options]
    ran = subprocess.run([sys.executable, "-c", code, *command], capture_output=True, text=True, check=True)
    word, status, *modules = ran.stderr.split()
    assert (word, status) == ("loaded", "0")
    return set(modules)


@pytest.mark.parametrize("options", [(), ("--no-report",)])
def test_a_gpx_track_is_assessed_without_what_it_does_not_need(tmp_path, options):
    modules = loaded(tmp_path, *options)
    assert "analyzer.judged.assessment" in modules
    assert NOT_NEEDED & modules == set()
    assert FOR_THE_PAGE & modules == (set() if options else FOR_THE_PAGE)
