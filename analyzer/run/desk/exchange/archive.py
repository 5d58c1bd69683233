"""An archive from another desk, opened with suspicion: only what its list names is read, and never more than a cap.

Nothing is unpacked to a place that the archive names, and nothing is believed that it says about its own size. A file
counts only where its SHA-256 is the one that the list gives.
"""

import contextlib
import hashlib
import re
import zipfile
import zlib
from collections.abc import Iterator
from typing import IO, Any

from analyzer.errors import DeskError
from analyzer.run.desk.exchange.export import MANIFEST
from analyzer.run.desk.recordings import LARGEST_FILE_BYTES, PlainFiles

LARGEST_MANIFEST_BYTES = 8 * 1024 * 1024
#: a result of ten hours of reversals has some megabytes
LARGEST_RESULT_BYTES = 64 * 1024 * 1024
LARGEST_CHART_BYTES = 1_000_000
#: all files of an archive together: as much as a recording, and the results of some hundred assessments
_LARGEST_TOGETHER_BYTES = 2 * LARGEST_FILE_BYTES
_MOST_ENTRIES = 2_000
_METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)  # the others may need any amount of memory
#: what the program that wrote the archive calls its files; any other name is not looked up
_NAMES = re.compile(r"recording(\.[a-z]{1,8})?|charts/\d{1,4}\.toml|results/\d{1,4}\.json")
_SHA256 = re.compile(r"[0-9a-f]{64}")
_BROKEN = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, ValueError, OSError, RuntimeError)


class Archive:
    """An opened archive.

    Parameters
    ----------
    stream : file
        Can be sought in.
    source : str
        What errors call it.
    """

    def __init__(self, stream: IO[bytes], source: str) -> None:
        self._source = source
        self._left_bytes = _LARGEST_TOGETHER_BYTES
        with self._in_words():
            self._zip = zipfile.ZipFile(stream)
            entries = self._zip.infolist()
        if len(entries) > _MOST_ENTRIES:
            raise DeskError(f"{source}: an archive of {len(entries):,} files, not one that a desk wrote")
        self._entries = {entry.filename: entry for entry in entries}
        if len(self._entries) != len(entries):
            raise DeskError(f"{source}: holds two files of one name, which no desk writes")

    def manifest(self) -> bytes:
        """Return the list of what the archive holds."""
        if MANIFEST not in self._entries:
            raise DeskError(f"{self._source}: holds no {MANIFEST}; choose an archive that a desk has written")
        return self._read(MANIFEST, LARGEST_MANIFEST_BYTES)

    def read(self, name: str, sha256: str, most_bytes: int) -> bytes:
        """Return a file of the archive whose SHA-256 is known."""
        data = self._read(self._looked_up(name), most_bytes)
        if hashlib.sha256(data).hexdigest() != sha256:
            raise DeskError(f"{self._source}: {name} is damaged; export the lesson again")
        return data

    def keep(self, name: str, sha256: str, files: PlainFiles, most_bytes: int) -> None:
        """Write a file of the archive to the desk's files."""
        if not _SHA256.fullmatch(sha256):
            raise DeskError(f"{self._source}: a SHA-256 in its list is none")
        with self._in_words(), self._zip.open(self._entry(self._looked_up(name))) as packed:
            kept = files.keep(_Counted(packed, self), f"{self._source}, {name}", most_bytes)
        if kept.sha256 != sha256:
            raise DeskError(f"{self._source}: {name} is damaged; export the lesson again")

    def count(self, size_bytes: int) -> None:
        """Count unpacked bytes against what an archive may hold."""
        self._left_bytes -= size_bytes
        if self._left_bytes < 0:
            raise DeskError(
                f"{self._source}: unpacks to more than {_LARGEST_TOGETHER_BYTES / 1e6:,.0f} MB; no lesson is that large"
            )

    def _read(self, name: str, most_bytes: int) -> bytes:
        with self._in_words(), self._zip.open(self._entry(name)) as packed:
            data = packed.read(most_bytes + 1)
        self.count(len(data))
        if len(data) > most_bytes:
            raise DeskError(f"{self._source}: {name} is larger than {most_bytes / 1e6:,.0f} MB")
        return data

    def _looked_up(self, name: str) -> str:
        if not _NAMES.fullmatch(name) or name not in self._entries:
            raise DeskError(f"{self._source}: a file that its list names is missing; export the lesson again")
        return name

    def _entry(self, name: str) -> zipfile.ZipInfo:
        entry = self._entries[name]
        if entry.flag_bits & 1:
            raise DeskError(f"{self._source}: is encrypted, which no desk does")
        if entry.compress_type not in _METHODS:
            raise DeskError(f"{self._source}: is packed by a method that is not read here")
        return entry

    @contextlib.contextmanager
    def _in_words(self) -> Iterator[None]:
        try:
            yield
        except _BROKEN as error:
            said = " ".join(str(error).split())[:120]
            raise DeskError(
                f"{self._source}: is not an archive that can be unpacked ({said}); export it again"
            ) from error


class _Counted:
    """A packed file whose bytes are counted while they come."""

    def __init__(self, packed: IO[bytes], archive: Archive) -> None:
        self._packed, self._archive = packed, archive

    def read(self, size: int, /) -> bytes:
        data = self._packed.read(size)
        self._archive.count(len(data))
        return data


def checked_manifest(data: bytes, source: str) -> dict[str, Any]:
    """Return the content of `lesson.json` where it is as the published schema has it.

    Raises
    ------
    DeskError
        Where it is not; the first problem in words.
    """
    from pydantic import ConfigDict, TypeAdapter, ValidationError, with_config

    from analyzer.shown import LESSON_SCHEMA, LessonFile

    strict = with_config(ConfigDict(strict=True))(LessonFile)
    try:
        content: dict[str, Any] = dict(TypeAdapter(strict).validate_json(data, strict=True))
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False)[0]
        place = ".".join(str(part) for part in first["loc"])[:120] or "its list"
        raise DeskError(
            f"{source}: {MANIFEST}: {place}: {first['msg'][:120]}. Expected a lesson as {LESSON_SCHEMA} has it"
        ) from error
    return content
