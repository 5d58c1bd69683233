"""Reports are whole or absent, and never take another track's place."""

import errno
import json
import os
import time
from pathlib import Path

import pytest

from analyzer.errors import OutputError
from analyzer.files import whole_files
from analyzer.run import report_names
from analyzer.shown.report.overview import INDEX_MARK


def result_file(folder: Path, stem: str, source: str) -> Path:
    path = folder / f"{stem}.json"
    path.write_text(json.dumps({"schema": "reversal-debrief/1", "track": {"source_sha256": source}}))
    return path


def test_a_written_file_is_whole_and_leaves_nothing_beside_it(tmp_path: Path) -> None:
    whole_files.write_whole(tmp_path / "a.html", "grün")
    assert (tmp_path / "a.html").read_text(encoding="utf-8") == "grün"
    assert [path.name for path in tmp_path.iterdir()] == ["a.html"]


def test_a_full_disk_keeps_the_old_file_and_leaves_no_debris(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    place = tmp_path / "a.html"
    place.write_text("old")

    def no_space(descriptor: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", no_space)
    with pytest.raises(OutputError, match=r"a\.html: can't be written \(no space left on device\)"):
        whole_files.write_whole(place, "new")
    assert place.read_text() == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["a.html"]


def test_an_interrupt_keeps_the_old_file_and_leaves_no_debris(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    place = tmp_path / "a.html"
    place.write_text("old")

    def interrupt(descriptor: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupt)
    with pytest.raises(KeyboardInterrupt):
        whole_files.write_whole(place, "new")
    assert place.read_text() == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["a.html"]


def test_a_missing_folder_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(OutputError) as caught:
        whole_files.write_whole(tmp_path / "none" / "a.html", "x")
    assert "\n" not in str(caught.value)
    assert "no such file or directory" in str(caught.value)


def test_a_file_in_the_folders_place_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "reports").write_text("")
    with pytest.raises(OutputError, match="reports: "):
        report_names.prepare_folder(tmp_path / "reports")


def test_leftovers_of_killed_runs_are_cleared_and_nothing_else(tmp_path: Path) -> None:
    for name in (".0123456789ab.partial", ".fedcba987654.partial", "mine.partial", ".hidden"):
        (tmp_path / name).write_text("x")
    an_hour_ago = time.time() - report_names.STALE_AFTER_S - 1.0
    for name in (".0123456789ab.partial", "mine.partial", ".hidden"):
        os.utime(tmp_path / name, (an_hour_ago, an_hour_ago))
    report_names.prepare_folder(tmp_path)
    assert sorted(path.name for path in tmp_path.iterdir()) == [".fedcba987654.partial", ".hidden", "mine.partial"]


def test_a_link_is_replaced_and_its_target_left_alone(tmp_path: Path) -> None:
    outside = tmp_path / "outside.txt"
    outside.write_text("mine")
    folder = tmp_path / "reports"
    folder.mkdir()
    (folder / "a.html").symlink_to(outside)
    whole_files.write_whole(folder / "a.html", "report")
    assert outside.read_text() == "mine"
    assert not (folder / "a.html").is_symlink()


def test_same_stems_in_one_run_are_numbered(tmp_path: Path) -> None:
    names = report_names.ReportNames(tmp_path)
    assert [names.stem_for(name, name + str(n)) for n, name in enumerate(["leg", "leg", "LEG", "other"])] == [
        "leg",
        "leg-2",
        "LEG-3",
        "other",
    ]


def test_a_report_is_replaced_by_the_same_track_only(tmp_path: Path) -> None:
    result_file(tmp_path, "leg", "aaaa")
    assert report_names.ReportNames(tmp_path).stem_for("leg", "aaaa") == "leg"
    assert report_names.ReportNames(tmp_path).stem_for("leg", "bbbb") == "leg-2"
    result_file(tmp_path, "leg-2", "bbbb")
    assert report_names.ReportNames(tmp_path).stem_for("leg", "bbbb") == "leg-2"
    assert report_names.ReportNames(tmp_path).stem_for("leg", None) == "leg-3"


def test_somebody_elses_page_is_never_replaced(tmp_path: Path) -> None:
    (tmp_path / "leg.html").write_text("my own notes")
    assert report_names.ReportNames(tmp_path).stem_for("leg", "aaaa") == "leg-2"
    (tmp_path / "notes.json").write_text("[1, 2")
    assert report_names.ReportNames(tmp_path).stem_for("notes", "aaaa") == "notes-2"


def test_a_track_named_index_does_not_take_the_overviews_place(tmp_path: Path) -> None:
    assert report_names.ReportNames(tmp_path).stem_for("index", "aaaa") == "index-2"


def test_the_overview_replaces_an_overview_and_nothing_else(tmp_path: Path) -> None:
    assert report_names.index_place(tmp_path).name == "index.html"
    (tmp_path / "index.html").write_text("<html>my site</html>")
    assert report_names.index_place(tmp_path).name == "index-2.html"
    (tmp_path / "index-2.html").write_text(f"<html><head>{INDEX_MARK}</head></html>")
    assert report_names.index_place(tmp_path).name == "index-2.html"


@pytest.mark.parametrize(
    ("name", "stem"),
    [
        ("../../etc/passwd", ".._.._etc_passwd"),
        ("..", "track"),
        ("", "track"),
        ("a\x00b\nc", "a_b_c"),
        ("left\u202eright", "left_right"),
        ("C:\\windows", "C__windows"),
        ("Flug über 3°", "Flug über 3°"),
    ],
)
def test_names_are_made_safe(name: str, stem: str) -> None:
    assert report_names.safe_stem(name) == stem


def test_a_very_long_name_still_can_be_written(tmp_path: Path) -> None:
    stem = report_names.ReportNames(tmp_path).stem_for("ü" * 10_000, "aaaa")
    whole_files.write_whole(tmp_path / f"{stem}.html", "x")
    assert (tmp_path / f"{stem}.html").exists()


def test_json_has_no_nan() -> None:
    with pytest.raises(ValueError, match="Out of range float"):
        whole_files.json_text({"x": float("nan")})
