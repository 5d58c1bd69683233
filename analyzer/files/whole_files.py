"""Output files: written beside their place and renamed into it, so that nobody ever sees half a file."""

import contextlib
import hashlib
import json
import os
import secrets
from collections.abc import Iterator
from pathlib import Path
from typing import Any, BinaryIO

from analyzer.errors import OutputError

#: how temporary files end; one that a killed run left behind is never taken for a report
PARTIAL_SUFFIX = ".partial"


def write_whole(path: Path, content: str | bytes) -> None:
    """Write a file so that its place holds either what was there before or all of the new content.

    Raises
    ------
    OutputError
        As `whole_file` does.
    """
    # half a character, from a name that is not UTF-8, becomes a question mark
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
            raise OutputError(f"{path}: can't be written ({reason(error)}); {cure}") from error
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


def reason(error: OSError) -> str:
    """Return what the system says of a failure, in words that fit into a sentence."""
    return (error.strerror or type(error).__name__).lower()
