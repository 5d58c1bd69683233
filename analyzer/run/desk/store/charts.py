"""Charts: a procedure file's text, never changed; a corrected chart is a new one that names the one it replaces."""

import hashlib
import sqlite3
from dataclasses import dataclass
from typing import Literal

from analyzer.errors import DeskError
from analyzer.run.desk.store.words import now, one_line

Origin = Literal["copied", "file", "coded", "imported"]
LONGEST_CHART = 1_000_000


@dataclass(frozen=True)
class Chart:
    """A procedure file (TOML). `origin`: copied from paper in the form, a file, a coded file, another desk."""

    id: int
    title: str
    text: str
    sha256: str
    origin: Origin
    made_at: str
    replaces: int | None


def add_chart(
    change: sqlite3.Connection,
    title: str,
    text: str,
    origin: Origin = "copied",
    replaces: int | None = None,
    made_at: str = "",
) -> Chart:
    """Add a chart, or return the one that has the same text already.

    The text must have been read as a procedure: nothing here looks into it.
    """
    if len(text) > LONGEST_CHART:
        raise DeskError(f"chart: {len(text):,} letters, at most {LONGEST_CHART:,} are kept")
    sha256 = hashlib.sha256(text.encode("utf-8", "replace")).hexdigest()
    row = change.execute("SELECT * FROM chart WHERE sha256 = ?", (sha256,)).fetchone()
    if row is None:
        row = change.execute(
            "INSERT INTO chart (title, text, sha256, origin, made_at, replaces) VALUES (?, ?, ?, ?, ?, ?) RETURNING *",
            (one_line(title, "title of the chart", needed=True), text, sha256, origin, made_at or now(), replaces),
        ).fetchone()
    return _chart(row)


def chart_of(view: sqlite3.Connection, chart: int) -> Chart:
    """Return a chart; DeskError where there is none of this number."""
    row = view.execute("SELECT * FROM chart WHERE id = ?", (chart,)).fetchone()
    if row is None:
        raise DeskError(f"chart {chart}: there is no such chart here")
    return _chart(row)


def all_charts(view: sqlite3.Connection, *, replaced: bool = False) -> tuple[Chart, ...]:
    """Return the charts by title, those that another one replaces only where asked for."""
    rows = view.execute(
        "SELECT * FROM chart WHERE ? OR id NOT IN (SELECT replaces FROM chart WHERE replaces IS NOT NULL)"
        " ORDER BY folded(title), id",
        (replaced,),
    )
    return tuple(_chart(row) for row in rows)


def _chart(row: sqlite3.Row) -> Chart:
    return Chart(row["id"], row["title"], row["text"], row["sha256"], row["origin"], row["made_at"], row["replaces"])
