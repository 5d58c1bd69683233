"""Words on their way into a record: what can't be seen is left out, what is too long is refused."""

import re
import secrets
from datetime import UTC, datetime

from analyzer.errors import DeskError
from analyzer.units import visible

LONGEST_NAME = 200
LONGEST_TEXT = 4_000
_MOMENT = "%Y-%m-%dT%H:%M:%SZ"


def one_line(text: str, what: str, longest: int = LONGEST_NAME, *, needed: bool = False) -> str:
    """Return a text on one line.

    Raises
    ------
    DeskError
        Where it is too long, or empty though `needed`.
    """
    line = " ".join(visible(text).split())
    if needed and not line:
        raise DeskError(f"{what}: nothing is written here")
    return _not_too_long(line, what, longest)


def lines(text: str, what: str, longest: int = LONGEST_TEXT, *, needed: bool = False) -> str:
    """Return a text whose lines are kept; errors as `one_line`."""
    kept = "\n".join(visible(line).rstrip() for line in text.replace("\r\n", "\n").replace("\r", "\n").split("\n"))
    if needed and not kept.strip():
        raise DeskError(f"{what}: nothing is written here")
    return _not_too_long(kept.strip("\n"), what, longest)


def _not_too_long(text: str, what: str, longest: int) -> str:
    if len(text) > longest:
        raise DeskError(f"{what}: {len(text):,} letters, at most {longest:,} are kept")
    return text


def now() -> str:
    """Return this moment, UTC, ISO 8601, to the second."""
    return datetime.now(UTC).strftime(_MOMENT)


def new_uid() -> str:
    """Return a name for a record that no other desk gives."""
    return secrets.token_hex(12)


def uid_from_outside(uid: str) -> str:
    """Return a uid that another desk gave; DeskError where it is none."""
    if not re.fullmatch(r"[0-9a-f]{24}", uid):
        raise DeskError("archive: a uid in it is none; choose an archive that a desk has written")
    return uid


def moment(text: str) -> str:
    """Return a moment from outside, UTC, ISO 8601, to the second; DeskError where it is none."""
    try:
        return datetime.strptime(text, _MOMENT).strftime(_MOMENT)
    except ValueError as error:
        raise DeskError(f"archive: {text[:40]!r} is not a moment. Expected one as 2026-05-01T12:00:00Z") from error
