"""Pages lead to each other: a report to the page of all flights beside it, a class's page to the reports below it."""

import re
from pathlib import Path

import pytest

from analyzer.run import cli


@pytest.fixture(scope="module")
def flights(tmp_path_factory: pytest.TempPathFactory) -> tuple[list[str], str]:
    """Two tracks of one flight, and its procedure file."""
    from analyzer.run.demo.scenario import write_demo_flights

    track, procedure = next(iter(write_demo_flights(tmp_path_factory.mktemp("flight"))))
    twin = track.with_name(f"again{track.suffix}")
    twin.write_bytes(track.read_bytes())
    return [str(track), str(twin)], str(procedure)


def test_reports_of_one_run_lead_back_and_the_class_leads_to_them(
    flights: tuple[list[str], str], tmp_path: Path
) -> None:
    tracks, procedure = flights
    folder = tmp_path / "a pilot"
    (folder).mkdir()
    (folder / "index.html").write_text("somebody else's", encoding="utf-8")
    assert cli.run(["assess", *tracks, "--procedure", procedure, "--output", str(folder)]) == 0
    for name in ("good_45_180", "again"):
        page = (folder / f"{name}.html").read_text(encoding="utf-8")
        (address,) = re.findall(r'<p class="back"><a href="([^"]+)">', page)
        assert (folder / address).is_file()
        assert f'href="{name}.html"' in (folder / address).read_text(encoding="utf-8")
    assert (folder / "index.html").read_text(encoding="utf-8") == "somebody else's"
    results = [str(folder / "good_45_180.json")]
    assert cli.run(["progress", *results, "--class", "--output", str(tmp_path / "class.html")]) == 0
    page = (tmp_path / "class.html").read_text(encoding="utf-8")
    assert 'href="a%20pilot/good_45_180.html"' in page


def test_a_report_alone_leads_nowhere(flights: tuple[list[str], str], tmp_path: Path) -> None:
    tracks, procedure = flights
    assert cli.run(["assess", tracks[0], "--procedure", procedure, "--output", str(tmp_path)]) == 0
    assert 'class="back"' not in (tmp_path / "good_45_180.html").read_text(encoding="utf-8")
