"""One desk to a folder: the second is refused in words. The system takes the lock back when a desk is killed."""

import contextlib
import os
from pathlib import Path

from analyzer.errors import DeskError
from analyzer.files import reason

NAME = "desk.lock"
_FREE_BYTES = 1024  # where Windows locks: beyond what is written, so that the words can be read


class FolderLock:
    """The lock of a desk on its folder.

    Raises
    ------
    DeskError
        Where another desk has it, with what that one wrote about itself.
    """

    def __init__(self, folder: Path) -> None:
        self._path = folder / NAME
        try:
            self._handle = os.open(self._path, os.O_RDWR | os.O_CREAT, 0o600)
        except OSError as error:
            raise DeskError(f"{folder}: can't be written ({reason(error)}); name another folder") from error
        try:
            _lock(self._handle)
        except OSError as error:
            words = self._words()
            os.close(self._handle)
            raise DeskError(f"{folder}: is open in another desk{words}; go on there, or end that one first") from error

    def say(self, words: str) -> None:
        """Write what a second desk is told."""
        os.ftruncate(self._handle, 0)
        os.lseek(self._handle, 0, os.SEEK_SET)
        os.write(self._handle, words.encode("utf-8")[:_FREE_BYTES])

    def release(self) -> None:
        """Give the folder free."""
        with contextlib.suppress(OSError):
            self.say("")
            os.close(self._handle)

    def _words(self) -> str:
        with contextlib.suppress(OSError, UnicodeDecodeError):
            written = os.read(self._handle, _FREE_BYTES).decode("utf-8")
            words = " ".join(written.split())[:200]
            return f" ({words})" if words.isprintable() and words else ""
        return ""


if os.name == "nt":  # pragma: no cover - another system's way

    def _lock(handle: int) -> None:
        import msvcrt

        os.lseek(handle, _FREE_BYTES, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined, unused-ignore]
        os.lseek(handle, 0, os.SEEK_SET)

else:

    def _lock(handle: int) -> None:
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
