"""Pilots: a name and a note; two records never have the same name."""

import sqlite3
from dataclasses import dataclass

from analyzer.errors import DeskError
from analyzer.run.desk.store.words import lines, now, one_line


@dataclass(frozen=True)
class Pilot:
    """Somebody whose flights are debriefed. `asks_own_view`: the pilot's own view is asked for before the verdict."""

    id: int
    name: str
    note: str
    asks_own_view: bool
    made_at: str


def add_pilot(change: sqlite3.Connection, name: str, note: str = "", *, asks_own_view: bool = False) -> Pilot:
    """Add a pilot.

    Raises
    ------
    DeskError
        Where the name is missing, too long, or another pilot's.
    """
    line = one_line(name, "name of the pilot", needed=True)
    _refuse_taken(change, line, None)
    row = change.execute(
        "INSERT INTO pilot (name, note, asks_own_view, made_at) VALUES (?, ?, ?, ?) RETURNING *",
        (line, lines(note, "note"), asks_own_view, now()),
    ).fetchone()
    return _pilot(row)


def pilot_named(change: sqlite3.Connection, name: str) -> Pilot:
    """Return the pilot of a name, added where there was none."""
    line = one_line(name, "name of the pilot", needed=True)
    row = change.execute("SELECT * FROM pilot WHERE folded(name) = folded(?)", (line,)).fetchone()
    return add_pilot(change, line) if row is None else _pilot(row)


def change_pilot(change: sqlite3.Connection, pilot: int, name: str, note: str, *, asks_own_view: bool) -> Pilot:
    """Change a pilot's name, note and whether the own view is asked for; errors as `add_pilot`."""
    line = one_line(name, "name of the pilot", needed=True)
    _refuse_taken(change, line, pilot)
    row = change.execute(
        "UPDATE pilot SET name = ?, note = ?, asks_own_view = ? WHERE id = ? RETURNING *",
        (line, lines(note, "note"), asks_own_view, pilot),
    ).fetchone()
    if row is None:
        raise DeskError(f"pilot {pilot}: there is no such pilot here")
    return _pilot(row)


def pilot_of(view: sqlite3.Connection, pilot: int) -> Pilot:
    """Return a pilot; DeskError where there is none of this number."""
    row = view.execute("SELECT * FROM pilot WHERE id = ?", (pilot,)).fetchone()
    if row is None:
        raise DeskError(f"pilot {pilot}: there is no such pilot here")
    return _pilot(row)


def all_pilots(view: sqlite3.Connection) -> tuple[Pilot, ...]:
    """Return the pilots by name."""
    return tuple(_pilot(row) for row in view.execute("SELECT * FROM pilot ORDER BY folded(name), id"))


def _refuse_taken(view: sqlite3.Connection, name: str, own: int | None) -> None:
    row = view.execute("SELECT id FROM pilot WHERE folded(name) = folded(?)", (name,)).fetchone()
    if row is not None and row["id"] != own:
        raise DeskError(f'name of the pilot: "{name}" is here already; add something that tells the two apart')


def _pilot(row: sqlite3.Row) -> Pilot:
    return Pilot(row["id"], row["name"], row["note"], bool(row["asks_own_view"]), row["made_at"])
