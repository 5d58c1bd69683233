"""A process of its own that does one task after another, so that one that dies is known to have died of its task."""

import contextlib
import gc
import multiprocessing
from collections.abc import Callable
from multiprocessing.connection import Connection

from analyzer.run.desk.work.task import Done, Task, do, load

#: longer than the longest recording that the reader takes needs (100 h at 1 Hz: 6 s)
LONGEST_TASK_S = 600.0
_LOOK_S = 0.5


class WorkerDied(Exception):  # noqa: N818 - said of a process, nobody's mistake
    """The process ended while it had a task, or had it for too long and was ended."""


class Worker:
    """One process, started with its first task or before it; `task` is what it does."""

    def __init__(self, task: Callable[[Task], Done] = do) -> None:
        self._task = task
        self._process: multiprocessing.process.BaseProcess | None = None
        self._pipe: Connection | None = None
        self._stopped = False

    def do(self, task: Task) -> Done:
        """Have a task done.

        Raises
        ------
        WorkerDied
        """
        pipe = self.start()
        try:
            pipe.send(task)
            waited_s = 0.0
            while not pipe.poll(_LOOK_S):
                waited_s += _LOOK_S
                if waited_s >= LONGEST_TASK_S:
                    raise EOFError
            done: Done = pipe.recv()
        except (EOFError, OSError) as error:
            self.end()
            raise WorkerDied from error
        return done

    def stop(self) -> None:
        """Kill the process from another thread than the one that waits for it; that one sees it die."""
        self._stopped = True
        process = self._process
        if process is not None:
            with contextlib.suppress(ValueError, AttributeError):  # ended by its own thread meanwhile
                process.kill()

    def end(self) -> None:
        """End the process, whatever it is doing."""
        process, pipe, self._process, self._pipe = self._process, self._pipe, None, None
        if pipe is not None:
            pipe.close()
        if process is not None:
            process.kill()
            process.join()
            process.close()

    @property
    def number(self) -> int | None:
        """The system's number of the process; None where there is none."""
        process = self._process
        with contextlib.suppress(ValueError):  # ended meanwhile
            return None if process is None else process.pid
        return None

    def start(self) -> Connection:
        """Start the process where it does not run; returns the pipe to it."""
        if self._pipe is None or self._process is None or not self._process.is_alive():
            self.end()
            context = multiprocessing.get_context("spawn")  # the same on every system
            ours, theirs = context.Pipe()
            process = context.Process(target=_work, args=(theirs, self._task, gc.get_threshold()), daemon=True)
            process.start()
            theirs.close()  # so that its end is seen
            self._process, self._pipe = process, ours
            if self._stopped:
                process.kill()
        return self._pipe


def _work(pipe: Connection, task: Callable[[Task], Done], collect_after: tuple[int, int, int]) -> None:
    """Do tasks until the parent is gone."""
    from analyzer.run.process_pool import start_worker

    start_worker(collect_after)
    if task is do:
        load()
    with contextlib.suppress(EOFError, OSError):
        while True:
            pipe.send(task(pipe.recv()))
