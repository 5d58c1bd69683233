"""The names that reports get in a folder: none is written over another track's."""

import contextlib
import json
import os
import re
import time
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from analyzer.errors import OutputError
from analyzer.files import PARTIAL_SUFFIX, reason

_PARTIAL_NAME = re.compile(rf"\.[0-9a-f]{{12}}{re.escape(PARTIAL_SUFFIX)}")
#: a temporary file lives for milliseconds; one this old was left by a run that was killed
STALE_AFTER_S = 3600.0
#: file systems allow 255 bytes for a name; the rest is for the number, the suffix and the temporary file's ending
LONGEST_STEM_BYTES = 180
#: stands near the start of every file beside a report
OWN_MARK = b"Reversal Debrief"
#: not allowed in a name, or misleading in one: control characters, separators, direction marks
_UNSAFE_IN_NAMES = re.compile(
    r'[\x00-\x1f\x7f-\x9f/\\:*?"<>|\u200b-\u200f\u2028-\u202e\u2066-\u2069\ufeff\ud800-\udfff]'
)


def prepare_folder(folder: Path) -> None:
    """Make the output folder with its parents, and clear it of what killed runs left behind.

    Raises
    ------
    OutputError
        Where it can't be made or is not a folder.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(
            f"{folder}: can't be made a folder for reports ({reason(error)}); name another one"
        ) from error
    if not folder.is_dir():
        raise OutputError(f"{folder}: is not a folder; name another one")
    _sweep(folder)


def _sweep(folder: Path) -> None:
    """Remove temporary files that killed runs left behind."""
    with contextlib.suppress(OSError):
        for path in folder.iterdir():
            if _PARTIAL_NAME.fullmatch(path.name) and time.time() - path.lstat().st_mtime > STALE_AFTER_S:
                path.unlink()


def safe_stem(name: str) -> str:
    """Turn a track's name into the stem of a file's name: no separators, no control characters, not too long."""
    stem = _UNSAFE_IN_NAMES.sub("_", name).strip(" ")
    stem = stem.encode("utf-8")[:LONGEST_STEM_BYTES].decode("utf-8", "ignore")
    return "track" if stem.strip(".") == "" else stem


class ReportNames:
    """Hands out the stems of one run's reports: none twice, and none that holds another track's report.

    Parameters
    ----------
    folder : Path
        Where the reports go.
    reserved : iterable of str
        Stems that no track may get ("index").
    """

    def __init__(self, folder: Path, reserved: Iterable[str] = ("index",)) -> None:
        self._folder = folder
        self._taken = {stem.casefold() for stem in reserved}  # some file systems don't tell A from a

    def stem_for(self, track_name: str, source_sha256: str | None) -> str:
        """Stem for a track: its own, with a number after it where that is taken by another track.

        A report that lies in the folder already is replaced only where its result file names the same source.
        """
        base = safe_stem(track_name)
        number = 1
        while True:
            stem = base if number == 1 else f"{base}-{number}"
            if stem.casefold() not in self._taken and self._is_free(stem, source_sha256):
                self._taken.add(stem.casefold())
                return stem
            number += 1

    def _is_free(self, stem: str, source_sha256: str | None) -> bool:
        result = self._folder / f"{stem}.json"
        page = self._folder / f"{stem}.html"
        if not os.path.lexists(result) and not os.path.lexists(page):
            return True
        return source_sha256 is not None and source_of_result(result) == source_sha256


def source_of_result(path: Path) -> str | None:
    """SHA-256 of the track file that a result file was made from; None where it is not a result file of ours."""
    result = read_result(path)
    source = result.get("track") if result is not None else None
    return source.get("source_sha256") if isinstance(source, dict) else None


def read_result(path: Path) -> dict[str, Any] | None:
    """Content of a result file, None where there is none or it is something else."""
    try:
        content = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return None
    is_ours = isinstance(content, dict) and str(content.get("schema", "")).startswith("reversal-debrief/")
    return content if is_ours else None


def index_place(folder: Path) -> Path:
    """Where the overview of several tracks goes: index.html, or a numbered one where that is somebody else's page."""
    from analyzer.shown import INDEX_MARK

    number = 1
    while True:
        path = folder / ("index.html" if number == 1 else f"index-{number}.html")
        try:
            start = path.read_bytes()[:4000]
        except FileNotFoundError:
            return path
        except OSError:
            start = b""
        if INDEX_MARK.encode() in start:
            return path
        number += 1


def place_beside(folder: Path, stem: str, ending: str) -> Path:
    """Return where a file beside a report goes: a numbered place where its own is taken by somebody else's file."""
    number = 1
    while True:
        path = folder / (f"{stem}{ending}" if number == 1 else f"{stem}-{number}{ending}")
        try:
            with path.open("rb") as file:
                start = file.read(4000)
        except FileNotFoundError:
            return path
        except OSError:
            start = b""
        if OWN_MARK in start:
            return path
        number += 1
