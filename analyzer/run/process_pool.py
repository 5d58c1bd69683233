"""Processes of our own that assess tracks; when one dies, all are replaced."""

import gc
import multiprocessing
import os
import signal
import threading
from collections.abc import Callable
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from types import TracebackType
from typing import Self

from analyzer.run.jobs import Job
from analyzer.run.many_tracks import Found


class OwnProcesses:
    """A crew of processes on this machine, which end with it.

    Parameters
    ----------
    processes : int
    """

    def __init__(self, processes: int) -> None:
        self._processes = processes
        self._pool: ProcessPoolExecutor | None = None

    def __enter__(self) -> Self:
        """Start nothing yet: the first track does."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Let running tracks end, and start no more."""
        self._close()

    @property
    def at_once(self) -> int:
        """How many tracks are worked on at the same time."""
        return self._processes

    def submit(self, assess: Callable[[Job], Found], jobs: list[Job]) -> "Future[list[Found]]":
        """Have each of the jobs assessed, in order, by one process."""
        try:
            return self._opened().submit(_assess_some, assess, jobs)
        except BrokenProcessPool:  # one died meanwhile, and took the others with it
            self._close()
            return self._opened().submit(_assess_some, assess, jobs)

    def died(self, error: BaseException) -> bool:
        """Whether it was a process's death that lost a chunk."""
        return isinstance(error, BrokenProcessPool)

    def _opened(self) -> ProcessPoolExecutor:
        if self._pool is None:
            # spawn: the same on every system, and no copy of a half-used parent
            self._pool = ProcessPoolExecutor(
                self._processes,
                multiprocessing.get_context("spawn"),
                initializer=start_worker,
                initargs=(gc.get_threshold(),),
            )
        return self._pool

    def _close(self) -> None:
        if self._pool is not None:
            self._pool.shutdown(wait=True, cancel_futures=True)
            self._pool = None


def _assess_some(assess: Callable[[Job], Found], jobs: list[Job]) -> list[Found]:
    return [assess(job) for job in jobs]


def start_worker(collect_after: tuple[int, int, int]) -> None:
    """Leave Ctrl-C to the parent, which lets running tracks end and starts no more; end when the parent is gone.

    Cycles of objects are looked for as seldom as in the parent, whose settings a new process does not have.
    """
    gc.set_threshold(*collect_after)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    """End this process when the parent was killed: the pool's queue alone would keep it waiting for ever."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
