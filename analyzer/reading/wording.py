"""Outside text in our own sentences: shortened, on one line, without control or direction marks."""

import json
from collections.abc import Iterable, Mapping
from typing import Any

from analyzer.units import visible

_LONGEST_VALUE_SHOWN = 60


def plain(text: object, limit: int = 60) -> str:
    """Return outside text fit for one line: unseen characters replaced by a space, shortened to `limit` characters.

    Parameters
    ----------
    text : object
        A name or cell from a file; bytes are read as Latin-1.
    limit : int
        Longest result, an ellipsis included.
    """
    raw = text.decode("latin-1") if isinstance(text, bytes) else str(text)
    raw = raw[: 4 * limit]
    line = " ".join(visible(raw).split())
    return line if len(line) <= limit else line[: limit - 1] + "…"


def shown(value: Any) -> str:
    """Return a value as it would stand in the file, cut where it is long."""
    if isinstance(value, Mapping):
        return "a table"
    try:
        written = json.dumps(value, ensure_ascii=False, default=str)
    except (ValueError, RecursionError):  # an integer of thousands of digits, lists nested thousands deep
        return "a value too long to be shown"
    text = plain(written, 4 * _LONGEST_VALUE_SHOWN)
    return text if len(text) <= _LONGEST_VALUE_SHOWN else text[: _LONGEST_VALUE_SHOWN - 1] + "…"


def listed(words: Iterable[object], limit: int = 12) -> str:
    """Return the words as "a, b, c", shortened after `limit` of them; "none" for no words."""
    names = [plain(word, 30) or "(empty)" for word in words]
    if not names:
        return "none"
    more = f" and {len(names) - limit} more" if len(names) > limit else ""
    return ", ".join(names[:limit]) + more


def counted(count: int, one: str, many: str | None = None) -> str:
    """Return "1 row", "1,200 rows"."""
    return f"{count:,} {one if count == 1 else many or one + 's'}"
