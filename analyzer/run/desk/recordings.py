"""Plain files of the desk, named by the SHA-256 of what they hold: recordings, results, reports.

A file is whole on the disk before any row names it, is never changed, and never takes a name from outside.
"""

import contextlib
import hashlib
import os
import re
import secrets
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import IO, BinaryIO, Protocol

from analyzer.errors import DeskError, OutputError
from analyzer.files import PARTIAL_SUFFIX, reason

#: as the reader has it, which would refuse a larger one later; written here too, so that start-up loads no reader
LARGEST_FILE_BYTES = 256 * 1024 * 1024
_CHUNK_BYTES = 1024 * 1024
_NAME = re.compile(r"[0-9a-f]{64}")


class Readable(Protocol):
    """What bytes can be read from, piece by piece."""

    def read(self, size: int, /) -> bytes:
        """Return at most so many bytes, none at the end."""


@dataclass(frozen=True)
class KeptFile:
    """A file that is on the disk."""

    sha256: str
    size_bytes: int


class PlainFiles:
    """The files of one kind in one folder.

    Parameters
    ----------
    folder : Path
        Made where it is missing.
    suffix : str
        How their names end, ".json".
    """

    def __init__(self, folder: Path, suffix: str = "") -> None:
        self.folder = folder
        self._suffix = suffix
        folder.mkdir(exist_ok=True)

    def keep(self, stream: Readable, what: str, most_bytes: int = LARGEST_FILE_BYTES) -> KeptFile:
        """Write all that a stream gives; on the disk when this returns.

        Raises
        ------
        DeskError
            Where it is larger than `most_bytes`. Nothing is left behind then.
        OutputError
            Where the disk is full or read-only.
        """
        digest, size = hashlib.sha256(), 0
        partial = self.folder / f".{secrets.token_hex(6)}{PARTIAL_SUFFIX}"
        try:
            with open(partial, "xb") as kept:
                while chunk := stream.read(_CHUNK_BYTES):
                    size += len(chunk)
                    if size > most_bytes:
                        raise DeskError(f"{what}: larger than {most_bytes / 1e6:,.0f} MB; export the flight alone")
                    digest.update(chunk)
                    kept.write(chunk)
                kept.flush()
                os.fsync(kept.fileno())
            os.replace(partial, self._place(digest.hexdigest()))
            _force_names(self.folder)
        except OSError as error:
            raise OutputError(f"{what}: can't be kept in {self.folder} ({reason(error)}); free the place") from error
        finally:
            with contextlib.suppress(OSError):
                partial.unlink(missing_ok=True)
        return KeptFile(digest.hexdigest(), size)

    def keep_bytes(self, data: bytes, what: str) -> KeptFile:
        """Write these bytes; as `keep`."""
        import io

        return self.keep(io.BytesIO(data), what, most_bytes=max(LARGEST_FILE_BYTES, len(data)))

    def read(self, sha256: str) -> bytes:
        """Return what a file holds.

        Raises
        ------
        DeskError
            Where it is missing or no longer what it was.
        """
        with self.opened(sha256) as stream:
            data = stream.read()
        if hashlib.sha256(data).hexdigest() != sha256:
            raise DeskError(f"{self._place(sha256)}: is not what was kept; bring it back from a copy of the folder")
        return data

    @contextlib.contextmanager
    def opened(self, sha256: str) -> Iterator[BinaryIO]:
        """Give a file to read from; DeskError where it is missing."""
        try:
            stream = open(self._place(sha256), "rb")  # noqa: SIM115 - closed below
        except OSError as error:
            raise DeskError(
                f"{self._place(sha256)}: can't be read ({reason(error)}); bring it back from a copy of the folder"
            ) from error
        with stream:
            yield stream

    def has(self, sha256: str) -> bool:
        """Whether a file of this name is here."""
        return self._place(sha256).is_file()

    def sweep(self) -> None:
        """Remove what a killed run left half written."""
        for partial in self.folder.glob(f".*{PARTIAL_SUFFIX}"):
            with contextlib.suppress(OSError):
                partial.unlink()

    def _place(self, sha256: str) -> Path:
        if not _NAME.fullmatch(sha256):
            raise DeskError("file: its name is not a SHA-256")
        return self.folder / f"{sha256}{self._suffix}"


def spooled(folder: Path) -> "IO[bytes]":
    """Return a nameless file in the folder's file system for what is being received; gone when it is closed."""
    return tempfile.TemporaryFile(dir=folder)


def _force_names(folder: Path) -> None:
    """Force the folder's list of names to the disk, where the system lets a folder be opened."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
