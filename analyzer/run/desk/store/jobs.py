"""Work that was asked for and is not done yet. A row goes in the transaction that keeps its outcome."""

import sqlite3
from collections.abc import Collection
from dataclasses import dataclass


@dataclass(frozen=True)
class Job:
    """A lesson to be worked on. `deaths`: how many worker processes it has ended."""

    id: int
    lesson: int
    deaths: int


def next_job(view: sqlite3.Connection, under_way: Collection[int]) -> Job | None:
    """Return the job asked for first that is not under way; None where there is none."""
    for row in view.execute("SELECT id, lesson, deaths FROM job ORDER BY id"):
        if row["id"] not in under_way:
            return Job(row["id"], row["lesson"], row["deaths"])
    return None


def still_wanted(view: sqlite3.Connection, job: Job) -> bool:
    """Whether a job is there still: where something else was asked for meanwhile its outcome counts no more."""
    return view.execute("SELECT 1 FROM job WHERE id = ?", (job.id,)).fetchone() is not None


def job_done(change: sqlite3.Connection, job: Job) -> None:
    """Take a job out."""
    change.execute("DELETE FROM job WHERE id = ?", (job.id,))


def count_death(change: sqlite3.Connection, job: Job) -> int:
    """Count that a job has ended its worker; returns how often by now, 0 where it is not wanted any more."""
    row = change.execute("UPDATE job SET deaths = deaths + 1 WHERE id = ? RETURNING deaths", (job.id,)).fetchone()
    return 0 if row is None else int(row["deaths"])


def jobs_waiting(view: sqlite3.Connection) -> tuple[int, ...]:
    """Return the lessons that are waiting or under way, in the order in which they were asked for."""
    return tuple(row["lesson"] for row in view.execute("SELECT lesson FROM job ORDER BY id"))
