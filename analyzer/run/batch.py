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
    missing = _not_finished(jobs, report) if skip_existing else jobs
    if processes == 1:
        for job in missing:
            report(assess_one(job))
        return
    from analyzer.run.many_tracks import assess_all, ended_text  # these take as long to load as a short flight to read
    from analyzer.run.process_pool import OwnProcesses

    def tell(job: Job, outcome: Outcome | None) -> None:
        report(outcome or Outcome(job, None, ended_text(job)))

    with OwnProcesses(processes) as crew:
        assess_all(missing, crew, assess_one, tell)


def _not_finished(jobs: Iterator[Job], report: Callable[[Outcome], None]) -> Iterator[Job]:
    """Return the jobs that no earlier run has done, and report those that one has."""
    for job in jobs:
        before = finished_before(job)
        if before is None:
            yield job
        else:
            report(before)
