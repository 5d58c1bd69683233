"""Many tracks in one run: names handed out first, tracks assessed one by one or in a pool, a bad one stops nobody.

Each report is written by the process that made it and only a few strings come back, so that memory does not grow with
the number of tracks.
"""

import os
from collections.abc import Callable, Iterator

from analyzer.run.jobs import Job, Outcome, assess_one, finished_before

#: a new process takes about as long to start as two flights to assess; below this it isn't worth it (measured)
FEWEST_TRACKS_FOR_A_POOL = 8


def processes_for(tracks: int, asked: int | None) -> int:
    """Return how many processes a run gets: what was asked for, else one for each core where it is worth it."""
    if asked is not None:
        return max(1, min(asked, tracks))
    return 1 if tracks < FEWEST_TRACKS_FOR_A_POOL else min(os.cpu_count() or 1, tracks)


def run(jobs: Iterator[Job], processes: int, *, skip_existing: bool, report: Callable[[Outcome], None]) -> None:
    """Assess all jobs and hand each outcome to `report` as it comes.

    Parameters
    ----------
    jobs : iterator of Job
    processes : int
        1 assesses in this process.
    skip_existing : bool
        Whether tracks whose reports are there already are left alone.
    report : function
    """
    before = finished_before if skip_existing else _never_before
    if processes == 1:
        for job in jobs:
            report(before(job) or assess_one(job))
        return
    from analyzer.run.process_pool import run_pool  # takes as long to load as a short flight to read

    suspects = run_pool(jobs, processes, assess_one, before, report)
    while suspects:  # a process died: each track that was with the pool is tried again in a pool of its own
        job = suspects.pop(0)
        if run_pool(iter([job]), 1, assess_one, _never_before, report):
            report(
                Outcome(job, None, f"{job.track}: the process that assessed it was ended, perhaps for want of memory")
            )


def _never_before(job: Job) -> Outcome | None:
    return None
