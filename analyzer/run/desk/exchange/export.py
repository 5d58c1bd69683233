"""A lesson as a ZIP of everything: recording, charts, results, reports, and what was said, in `lesson.json`."""

import shutil
import sqlite3
import zipfile
from collections.abc import Iterable
from pathlib import PurePosixPath
from typing import IO, Any

from analyzer.files import json_text
from analyzer.run.desk.opened import Desk
from analyzer.run.desk.recordings import PlainFiles
from analyzer.run.desk.store.assessments import Assessment, assessments_of_lesson
from analyzer.run.desk.store.charts import Chart, chart_of
from analyzer.run.desk.store.lessons import Lesson, lesson_of
from analyzer.run.desk.store.own_views import own_views_of_lesson
from analyzer.run.desk.store.pilots import pilot_of
from analyzer.run.desk.store.remarks import Remark, history_of_lesson
from analyzer.run.desk.store.signatures import signatures_of_lesson
from analyzer.run.desk.store.words import now
from analyzer.version import __version__

MANIFEST = "lesson.json"
CAUTION = (
    "Training debrief only, not for navigation or flight planning; the chart in force, local rules and a licensed "
    "instructor decide."
)
#: a recording keeps these endings in the archive, so that it opens as what it is; any other gets none
_ENDINGS = frozenset(
    {".gpx", ".kml", ".kmz", ".csv", ".tsv", ".txt", ".log", ".igc", ".nmea", ".json", ".geojson", ".tcx", ".fit"}
    | {".gz", ".zip"}
)
_SAME_BYTES_EACH_TIME = (1980, 1, 1, 0, 0, 0)  # the earliest date that the format holds
_CHUNK_BYTES = 1024 * 1024


def write_archive(desk: Desk, lesson: int, stream: IO[bytes]) -> None:
    """Write the archive of a lesson.

    Raises
    ------
    DeskError
        Where there is no such lesson, or a file of it is missing.
    """
    with desk.store.reading() as view:
        about = lesson_of(view, lesson)
        assessments = assessments_of_lesson(view, lesson)
        charts = _charts(view, about, assessments)
        manifest = _manifest(view, about, assessments, charts)
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        _write(archive, MANIFEST, json_text(manifest).encode("utf-8", "replace"))
        _copy(archive, manifest["recording"]["file"], desk.recordings, about.recording.sha256)
        for kept, chart in zip(manifest["chart_files"], charts, strict=True):
            _write(archive, kept["file"], chart.text.encode("utf-8", "replace"))
        for one, assessment in zip(manifest["assessments"], assessments, strict=True):
            _copy(archive, one["result"], desk.results, assessment.result_sha256)
            if one["report"] is not None:
                _copy(archive, one["report"], desk.reports, assessment.report_sha256)


def _manifest(
    view: sqlite3.Connection, about: Lesson, assessments: Iterable[Assessment], charts: Iterable[Chart]
) -> dict[str, Any]:
    """Return the content of `lesson.json`, as the published schema has it."""
    ending = PurePosixPath(about.recording.name).suffix.lower()
    shas = {chart.id: chart.sha256 for chart in charts}
    uids = {assessment.id: assessment.uid for assessment in assessments}
    return {
        "schema": "reversal-debrief-lesson/1",
        "caution": CAUTION,
        "program": __version__,
        "exported_at": now(),
        "uid": about.uid,
        "made_at": about.made_at,
        "pilot": None if about.pilot is None else pilot_of(view, about.pilot).name,
        "clearance": about.clearance,
        "options": dict(about.options),
        "recording": {
            "name": about.recording.name,
            "sha256": about.recording.sha256,
            "size_bytes": about.recording.size_bytes,
            "received_at": about.recording.received_at,
            "file": f"recording{ending if ending in _ENDINGS else ''}",
        },
        "charts": [shas[chart] for chart in about.charts],
        "chart_files": [
            {
                "title": chart.title,
                "sha256": chart.sha256,
                "origin": chart.origin,
                "made_at": chart.made_at,
                "file": f"charts/{number}.toml",
            }
            for number, chart in enumerate(charts, 1)
        ],
        "assessments": [
            {
                "uid": one.uid,
                "program": one.program,
                "charts": [shas[chart] for chart in one.charts],
                "clearance": one.clearance,
                "options": dict(one.options),
                "made_at": one.made_at,
                "result_sha256": one.result_sha256,
                "result": f"results/{number}.json",
                "report": f"reports/{number}.html" if one.report_sha256 else None,
            }
            for number, one in enumerate(assessments, 1)
        ],
        **_what_people_said(view, about.id, uids),
    }


def _what_people_said(view: sqlite3.Connection, lesson: int, uids: dict[int, str]) -> dict[str, Any]:
    history = history_of_lesson(view, lesson)
    remark_uids = {remark.id: remark.uid for remark in history}
    return {
        "remarks": [
            {
                "uid": one.uid,
                "assessment": uids[one.assessment],
                "kind": one.kind,
                "finding": _finding(one),
                "at_s": one.at_s,
                "text": one.text,
                "author": one.author,
                "made_at": one.made_at,
                "replaces": None if one.replaces is None else remark_uids[one.replaces],
            }
            for one in history
        ],
        "signatures": [
            {
                "uid": one.uid,
                "assessment": uids[one.assessment],
                "name": one.name,
                "made_at": one.made_at,
                "seal": one.seal,
            }
            for one in signatures_of_lesson(view, lesson)
        ],
        "own_views": [
            {
                "uid": one.uid,
                "items": [
                    {"item": item, "grade": grade, "remark": remark} for item, (grade, remark) in one.items.items()
                ],
                "author": one.author,
                "made_at": one.made_at,
            }
            for one in own_views_of_lesson(view, lesson)
        ],
    }


def _finding(remark: Remark) -> dict[str, Any] | None:
    key = remark.finding
    if key is None:
        return None
    return {"attempt": key.attempt, "code": key.code, "phase": key.phase, "lap": key.lap, "at_s": key.at_s}


def _charts(view: sqlite3.Connection, about: Lesson, assessments: Iterable[Assessment]) -> list[Chart]:
    """Return each chart that the lesson or one of its assessments names, once."""
    named = [*about.charts, *(chart for one in assessments for chart in one.charts)]
    return [chart_of(view, chart) for chart in dict.fromkeys(named)]


def _entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, _SAME_BYTES_EACH_TIME)
    entry.compress_type = zipfile.ZIP_DEFLATED
    entry.external_attr = 0o600 << 16
    return entry


def _write(archive: zipfile.ZipFile, name: str, data: bytes) -> None:
    archive.writestr(_entry(name), data)


def _copy(archive: zipfile.ZipFile, name: str, files: PlainFiles, sha256: str) -> None:
    with files.opened(sha256) as source, archive.open(_entry(name), "w", force_zip64=True) as target:
        shutil.copyfileobj(source, target, _CHUNK_BYTES)
