"""What the pilot says before the verdict is shown. A later view stands beside the first, which stays."""

import json
import sqlite3
from collections.abc import Mapping
from dataclasses import dataclass

from analyzer.errors import DeskError
from analyzer.run.desk.store.words import LONGEST_NAME, LONGEST_TEXT, lines, new_uid, now, one_line

_MOST_ITEMS = 40


@dataclass(frozen=True)
class OwnView:
    """The pilot's grade and remark for each item of the sheet: item -> (grade, remark)."""

    id: int
    uid: str
    lesson: int
    items: Mapping[str, tuple[str, str]]
    author: str
    made_at: str


def add_own_view(
    change: sqlite3.Connection,
    lesson: int,
    items: Mapping[str, tuple[str, str]],
    author: str,
    brought: tuple[str, str] | None = None,
) -> OwnView:
    """Add a pilot's own view; `brought`: uid and time of one that comes from another desk.

    Items and grades are those of `analyzer.judged.self_assessment`; the page that asks checks them.
    """
    if len(items) > _MOST_ITEMS:
        raise DeskError(f"own view: {len(items)} items, at most {_MOST_ITEMS} are kept")
    kept = {
        one_line(item, "item", LONGEST_NAME): [one_line(grade, "grade"), lines(remark, "remark", LONGEST_TEXT)]
        for item, (grade, remark) in items.items()
    }
    uid, made_at = brought or (new_uid(), now())
    row = change.execute(
        "INSERT INTO own_view (uid, lesson, content, author, made_at) VALUES (?, ?, ?, ?, ?) RETURNING *",
        (uid, lesson, json.dumps(kept), one_line(author, "name of the pilot"), made_at),
    ).fetchone()
    return _own_view(row)


def own_views_of_lesson(view: sqlite3.Connection, lesson: int) -> tuple[OwnView, ...]:
    """Return the pilot's views of a lesson, the oldest first."""
    return tuple(
        _own_view(row) for row in view.execute("SELECT * FROM own_view WHERE lesson = ? ORDER BY id", (lesson,))
    )


def _own_view(row: sqlite3.Row) -> OwnView:
    items = {item: (grade, remark) for item, (grade, remark) in json.loads(row["content"]).items()}
    return OwnView(row["id"], row["uid"], row["lesson"], items, row["author"], row["made_at"])
