"""One loop for many tracks, whoever works on them: processes of our own, or the workers of a cluster.

A process that dies costs nothing but time: its chunk is tried again track by track, and a track that was alone with it
is tried once more at the end, with nothing else under way. What dies then dies of that track.
"""

import itertools
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, wait
from typing import Protocol, TypeVar

from analyzer.run.jobs import Job

#: chunks handed out ahead of time for each that can be worked on at once
AHEAD = 3

Found = TypeVar("Found")


class Crew(Protocol):
    """Who works on tracks."""

    @property
    def at_once(self) -> int:
        """How many chunks can be worked on at the same time."""

    def submit(self, assess: Callable[[Job], Found], jobs: list[Job]) -> "Future[list[Found]]":
        """Have each of the jobs assessed, in order."""

    def died(self, error: BaseException) -> bool:
        """Whether the process that had a chunk died; raises where the crew itself is gone or can't work."""


def assess_all(
    jobs: Iterator[Job],
    crew: Crew,
    assess: Callable[[Job], Found],
    report: Callable[[Job, Found | None], None],
    size: int = 1,
) -> None:
    """Have all jobs assessed and report each once, in any order.

    Parameters
    ----------
    jobs : iterator of Job
        Taken only as far ahead as there is work for the crew.
    crew : Crew
    assess : function
        Can be sent to another process; a track's own faults are part of what it returns.
    report : function
        Called with a job and what was found; None for a track that ends each process it is assessed in.
    size : int
        Jobs to a chunk.
    """
    waiting: dict[Future[list[Found]], list[Job]] = {}
    again: deque[list[Job]] = deque()
    suspects: list[Job] = []
    chunks = iter(lambda: list(itertools.islice(jobs, size)), [])
    while True:
        while len(waiting) < crew.at_once * AHEAD:
            chunk = again.popleft() if again else next(chunks, None)
            if chunk is None:
                break
            waiting[crew.submit(assess, chunk)] = chunk
        if not waiting:
            break
        finished, _ = wait(waiting, return_when=FIRST_COMPLETED)
        for future in finished:
            chunk = waiting.pop(future)
            if _reported(future, chunk, crew, report):
                continue
            if len(chunk) > 1:
                again.extend([job] for job in chunk)
            else:
                suspects.append(chunk[0])
    for job in suspects:
        if not _reported(crew.submit(assess, [job]), [job], crew, report):
            report(job, None)


def _reported(
    future: "Future[list[Found]]", chunk: list[Job], crew: Crew, report: Callable[[Job, Found | None], None]
) -> bool:
    """Report what a chunk gave; False where the process that had it died."""
    try:
        found = future.result()
    except BaseException as error:
        if isinstance(error, KeyboardInterrupt) or not crew.died(error):
            raise
        return False
    for job, one in zip(chunk, found, strict=True):
        report(job, one)
    return True


def ended_text(job: Job) -> str:
    """Return what is said of a track that ends each process it is assessed in."""
    return f"{job.track}: the process that assessed it was ended, perhaps for want of memory"
