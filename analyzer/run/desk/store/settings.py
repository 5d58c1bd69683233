"""Settings of the desk: a name and a text each."""

import sqlite3

from analyzer.run.desk.store.words import LONGEST_TEXT, one_line


def setting(view: sqlite3.Connection, name: str, default: str = "") -> str:
    """Return a setting's text."""
    row = view.execute("SELECT value FROM setting WHERE name = ?", (name,)).fetchone()
    return default if row is None else str(row["value"])


def set_setting(change: sqlite3.Connection, name: str, value: str) -> None:
    """Set a setting's text."""
    change.execute(
        "INSERT INTO setting (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
        (name, one_line(value, name, LONGEST_TEXT)),
    )
