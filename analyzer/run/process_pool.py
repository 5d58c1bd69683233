"""Jobs of a batch on several processes, and what becomes of those whose process died."""

import gc
import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool

from analyzer.run.jobs import Job, Outcome

#: tracks handed to the pool ahead of time for each process
AHEAD = 2


def run_pool(
    jobs: Iterator[Job],
    processes: int,
    assess: Callable[[Job], Outcome],
    done_before: Callable[[Job], Outcome | None],
    report: Callable[[Outcome], None],
) -> list[Job]:
    """Run jobs in a pool; returns those that were lost with a process, and goes on with the rest in a new pool."""
    lost: list[Job] = []
    done = False
    while not done:
        # spawn: the same on every system, and no copy of a half-used parent
        pool = ProcessPoolExecutor(
            processes,
            multiprocessing.get_context("spawn"),
            initializer=_start_worker,
            initargs=(gc.get_threshold(),),
        )
        waiting: dict[Future[Outcome], Job] = {}
        try:
            done = _feed(pool, jobs, processes, waiting, assess, done_before, report)
        except BrokenProcessPool:
            for future, job in waiting.items():
                if future.done() and not future.cancelled() and future.exception() is None:
                    report(future.result())
                else:
                    lost.append(job)
            if processes == 1:
                done = True
        finally:
            pool.shutdown(wait=True, cancel_futures=True)
    return lost


def _feed(
    pool: ProcessPoolExecutor,
    jobs: Iterator[Job],
    processes: int,
    waiting: dict[Future[Outcome], Job],
    assess: Callable[[Job], Outcome],
    done_before: Callable[[Job], Outcome | None],
    report: Callable[[Outcome], None],
) -> bool:
    exhausted = False
    while not exhausted or waiting:
        while not exhausted and len(waiting) < processes * AHEAD:
            job = next(jobs, None)
            if job is None:
                exhausted = True
                break
            before = done_before(job)
            if before is not None:
                report(before)
                continue
            try:
                waiting[pool.submit(assess, job)] = job
            except BrokenProcessPool:
                waiting[Future()] = job  # never done: counted as lost with the others
                raise
        if waiting:
            finished, _ = wait(waiting, return_when=FIRST_COMPLETED)
            for future in finished:
                outcome = future.result()  # raises BrokenProcessPool while the job still is in `waiting`
                del waiting[future]
                report(outcome)
    return True


def _start_worker(collect_after: tuple[int, int, int]) -> None:
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
