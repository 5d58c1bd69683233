"""Who does the work: as many worker processes as the machine can spare, a thread to look after each.

A job's row goes in the transaction that keeps its outcome. What a killed desk had under way is there still and starts
again with the next one; a job that ends its worker twice is refused in words.
"""

import contextlib
import os
import sqlite3
import threading
from collections.abc import Callable
from pathlib import Path

from analyzer.errors import DeskError
from analyzer.run.desk.margin.said import refresh
from analyzer.run.desk.recordings import PlainFiles
from analyzer.run.desk.store.assessments import Inputs, keep_outcome
from analyzer.run.desk.store.charts import chart_of
from analyzer.run.desk.store.database import Store
from analyzer.run.desk.store.jobs import Job, count_death, job_done, next_job, still_wanted
from analyzer.run.desk.store.lessons import keep_look, lesson_of, refuse
from analyzer.run.desk.work.task import Done, Task, do
from analyzer.run.desk.work.worker import Worker, WorkerDied

MOST_DEATHS = 2
#: each holds some 150 MB; four assess a folder of fifty recordings in about half a minute (own choice)
_MOST_WORKERS = 4
#: looks for work that nobody called for, as often as this: it costs one small query
_LOOK_S = 5.0
#: where even the refusal could not be kept the job comes round again, but not at once
_REST_S = 1.0


class Crew:
    """The workers of a desk.

    Parameters
    ----------
    folder : Path
    store : Store
    workers : int, optional
        Default: see `default_workers`.
    task : function
        What a worker does; importable by another process.
    """

    def __init__(
        self, folder: Path, store: Store, workers: int | None = None, task: Callable[[Task], Done] = do
    ) -> None:
        self._folder, self._store = folder, store
        self.size = default_workers() if workers is None else workers
        self._workers = [Worker(task) for _ in range(self.size)]
        self._threads: list[threading.Thread] = []
        self._under_way: set[int] = set()
        self._changed = threading.Condition()
        self._closing = False

    def start(self) -> None:
        """Take up what is waiting."""
        if self._workers:
            self._workers[0].start()  # the first recording is not to wait for imports
        for worker in self._workers:
            thread = threading.Thread(target=self._look_after, args=(worker,), daemon=True)
            thread.start()
            self._threads.append(thread)

    def wake(self) -> None:
        """Say that there is new work; called after the transaction that asked for it."""
        with self._changed:
            self._changed.notify_all()

    def close(self) -> None:
        """End all workers; what they had under way stays asked for."""
        with self._changed:
            self._closing = True
            self._changed.notify_all()
        for worker in self._workers:
            worker.stop()
        for thread in self._threads:
            thread.join()
        for worker in self._workers:
            worker.end()

    @property
    def processes(self) -> tuple[int, ...]:
        """The system's numbers of the worker processes that run."""
        return tuple(number for worker in self._workers if (number := worker.number) is not None)

    def _look_after(self, worker: Worker) -> None:
        while (job := self._taken()) is not None:
            try:
                self._have_done(worker, job)
            except Exception as error:  # the disk is full, say: the job stays asked for, and the crew goes on
                self._note(job, error)
                with self._changed:
                    self._changed.wait(_REST_S)
            finally:
                with self._changed:
                    self._under_way.discard(job.id)

    def _taken(self) -> Job | None:
        """Return the next job, waiting for it; None when the desk closes."""
        with self._changed:
            while not self._closing:
                with contextlib.suppress(sqlite3.Error), self._store.reading() as view:
                    job = next_job(view, self._under_way)
                    if job is not None:
                        self._under_way.add(job.id)
                        return job
                self._changed.wait(_LOOK_S)
        return None

    def _have_done(self, worker: Worker, job: Job) -> None:
        with self._store.reading() as view:
            if not still_wanted(view, job):
                return
            task, inputs = task_of(view, job.lesson, self._folder)
        try:
            done = worker.do(task)
        except WorkerDied:
            if not self._closing:
                self._count_death(job, task)
            return
        with self._store.writing() as change:
            if still_wanted(change, job):
                keep(change, self._folder, job, inputs, done)

    def _count_death(self, job: Job, task: Task) -> None:
        with self._store.writing() as change:
            if count_death(change, job) >= MOST_DEATHS:
                refuse(
                    change,
                    job.lesson,
                    f"{task.name}: ended the process that worked on it {MOST_DEATHS} times, perhaps for want of memory;"
                    " cut the flight out of the recording and drop that",
                )
                job_done(change, job)

    def _note(self, job: Job, error: Exception) -> None:
        """Keep what went wrong with our own work, and take the job out, so that it does not come round for ever."""
        words = str(error) if isinstance(error, DeskError) else f"{type(error).__name__}: {error}"
        with contextlib.suppress(Exception), self._store.writing() as change:
            if still_wanted(change, job):
                refuse(change, job.lesson, f"The outcome could not be kept ({words}); ask for it again")
                job_done(change, job)


def default_workers() -> int:
    """Return how many workers leave the machine usable: one less than its cores, at least one, at most four."""
    return max(1, min(_MOST_WORKERS, (os.cpu_count() or 1) - 1))


def task_of(view: sqlite3.Connection, lesson: int, folder: Path) -> tuple[Task, Inputs]:
    """Return a lesson as a worker needs it, and what it is compared with."""
    about = lesson_of(view, lesson)
    charts = [chart_of(view, chart) for chart in about.charts]
    task = Task(
        folder=folder,
        recording=about.recording.sha256,
        name=about.recording.name,
        charts=tuple((chart.title, chart.text) for chart in charts),
        clearance=about.clearance,
        options=about.options,
    )
    return task, Inputs(about.charts, about.clearance, about.options)


def keep(change: sqlite3.Connection, folder: Path, job: Job, inputs: Inputs, done: Done) -> None:
    """Keep what came of a job, and take it out."""
    if done.look is not None:
        keep_look(change, job.lesson, done.look)
    if done.outcome is not None:
        keep_outcome(change, job.lesson, inputs, done.outcome)
    elif done.refusal:
        refuse(change, job.lesson, done.refusal)
    refresh(change, PlainFiles(folder / "results", ".json"), job.lesson)
    job_done(change, job)
