"""Output files: written beside their place and renamed into it, so that nobody ever sees half a file."""

import contextlib
import hashlib
import json
import os
import re
import secrets
import time
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, BinaryIO

from analyzer.errors import OutputError

#: how temporary files end; one that a killed run left behind is never taken for a report
PARTIAL_SUFFIX = ".partial"
_PARTIAL_NAME = re.compile(r"\.[0-9a-f]{12}\.partial")
#: a temporary file lives for milliseconds; one this old was left by a run that was killed
STALE_AFTER_S = 3600.0
#: stands in every overview page that this program wrote, so that no other page is ever replaced by one
INDEX_MARK = '<meta name="generator" content="Reversal Debrief index">'
#: file systems allow 255 bytes for a name; the rest is for the number, the suffix and the temporary file's ending
LONGEST_STEM_BYTES = 180
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
            f"{folder}: can't be made a folder for reports ({_reason(error)}); name another one"
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


def write_whole(path: Path, content: str | bytes) -> None:
    """Write a file so that its place holds either what was there before or all of the new content.

    Raises
    ------
    OutputError
        As `whole_file` does.
    """
    # half a character, from a name that is no UTF-8, becomes a question mark
    data = content.encode("utf-8", "replace") if isinstance(content, str) else content
    with whole_file(path) as stream:
        stream.write(data)


@contextlib.contextmanager
def whole_file(path: Path, cure: str = "free the place or name another folder") -> Iterator[BinaryIO]:
    """Give a stream whose content takes the place's name when all of it is written.

    The content goes to a hidden file in the same folder, is forced to disk, and takes the place's name in one step. A
    link at that place is replaced itself; what it points to is left alone.

    Parameters
    ----------
    path : Path
    cure : str, optional
        What an error says would help.

    Raises
    ------
    OutputError
        Where the folder is full, read-only or missing. Nothing is left behind then.
    """
    partial = path.parent / f".{secrets.token_hex(6)}{PARTIAL_SUFFIX}"
    try:
        with open(partial, "xb") as stream:
            yield stream
            stream.flush()
            os.fsync(stream.fileno())
        os.replace(partial, path)
    except BaseException as error:
        with contextlib.suppress(OSError):
            partial.unlink(missing_ok=True)
        if isinstance(error, OSError):
            raise OutputError(f"{path}: can't be written ({_reason(error)}); {cure}") from error
        raise


def json_text(content: Any) -> str:
    """JSON with a line for each key, ending in a newline; nan and infinity are a mistake of the caller."""
    return json.dumps(content, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def file_sha256(path: Path) -> str:
    """SHA-256 of a file's bytes, as hexadecimal digits.

    Raises
    ------
    OSError
        As `open` does.
    """
    with open(path, "rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


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
    """SHA-256 of the track file that a result file was made from; None where it is no result file of ours."""
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


def _reason(error: OSError) -> str:
    return (error.strerror or type(error).__name__).lower()
