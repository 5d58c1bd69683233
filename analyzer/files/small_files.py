"""Small files from outside that people write by hand: read with a cap, and as TOML without what makes a parser slow."""

import stat
import tomllib
from pathlib import Path
from typing import Any

#: far above any file of this kind; a larger one is something else
_LARGEST_BYTES = 1_000_000
#: one key of thousands of parts, or as many short ones one below the other, takes a parser minutes
_LONGEST_LINE = 4_000
_MOST_PARTS = 20_000
_BITS = 63  # and a sign


def read_small_file(path: Path) -> bytes:
    """Return the bytes of a file.

    Raises
    ------
    OSError
        As `open` does.
    ValueError
        Where it is too large or a pipe, which might never end, in words for a person.
    """
    about = path.stat()
    if not (stat.S_ISREG(about.st_mode) or stat.S_ISDIR(about.st_mode)):
        raise ValueError("no regular file")
    if about.st_size > _LARGEST_BYTES:
        raise ValueError("larger than 1 MB")
    return path.read_bytes()


def read_small_text(path: Path) -> str:
    """Return the text of a file in UTF-8; a byte order mark, which some editors put first, is left out.

    Raises
    ------
    OSError, ValueError
        As `read_small_file`, and a ValueError for what is not UTF-8.
    """
    return read_small_file(path).decode("utf-8-sig")


def parsed_toml(text: str) -> dict[str, Any]:
    """Return the tables of a text.

    Raises
    ------
    ValueError
        One line that says what is wrong.
    """
    if max(map(len, text.split("\n"))) > _LONGEST_LINE or text.count(".") > _MOST_PARTS:
        raise ValueError("a line is too long, or tables are nested too deep")
    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ValueError(" ".join(str(error).split())) from error
    except (ValueError, RecursionError) as error:
        # an integer of thousands of digits, or brackets nested thousands deep
        raise ValueError("a value is too long or nested too deep") from error
    if _has_huge_integer(tables):
        raise ValueError("an integer is larger than TOML allows")
    return tables


def _has_huge_integer(tables: dict[str, Any]) -> bool:
    """Whether an integer needs more than 64 bits; one of thousands of hexadecimal digits could not even be printed."""
    waiting: list[Any] = [tables]
    while waiting:
        value = waiting.pop()
        if isinstance(value, int) and value.bit_length() > _BITS:
            return True
        if isinstance(value, dict):
            waiting += value.values()
        elif isinstance(value, list):
            waiting += value
    return False
