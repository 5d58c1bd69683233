"""A dask cluster, of our own or somebody else's, and its workers as a crew for `many_tracks`."""

import contextlib
import gc
import logging
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import CancelledError as NeverDoneError, Future
from typing import TYPE_CHECKING, Any

from analyzer.errors import OptionError, ReversalDebriefError
from analyzer.run.fleet.table import Row, rows_of
from analyzer.run.jobs import Job, assess_one
from analyzer.run.many_tracks import Found
from analyzer.version import __version__

if TYPE_CHECKING:
    from distributed import Client

#: a chunk takes some seconds, so that handing it out and back costs nothing beside it
LARGEST_CHUNK = 16
#: chunks for each worker at least, so that all of them end at about the same time
CHUNKS_PER_WORKER = 4
WAIT_FOR_SCHEDULER_S, WAIT_FOR_WORKERS_S = 10.0, 60.0
#: settings of a cluster of our own
OWN_CLUSTER = {
    # a chunk may kill one worker and is tried once more
    "distributed.scheduler.allowed-failures": 1,
    # dask has freed memory given back to the system at once: ten times the page faults and a third more processor time
    # for arrays that come and go (measured); of its environment the one thread for each worker is kept
    "distributed.nanny.pre-spawn-environ": dict.fromkeys(
        ("OMP_NUM_THREADS", "MKL_NUM_THREADS", "OPENBLAS_NUM_THREADS"), 1
    ),
    # nobody looks at the samples of running code: a twentieth of the processor time (measured)
    "distributed.worker.profile.enabled": False,
}
#: a worker of somebody else's cluster may have several threads; drawing takes one at a time
_ONE_AT_A_TIME = threading.Lock()


def assess_rows(job: Job) -> tuple[list[Row], str | None]:
    """Assess one track in a worker; returns its rows and its error."""
    outcome = assess_one(job)
    return rows_of(outcome), outcome.error


def _assess_some(
    assess: Callable[[Job], Found], jobs: Sequence[Job], collect_after: tuple[int, int, int]
) -> list[Found]:
    """Assess some tracks in a worker; cycles of objects are looked for as seldom as `gc.set_threshold` is told."""
    with _ONE_AT_A_TIME:
        before = gc.get_threshold()
        gc.set_threshold(*collect_after)
        try:
            return [assess(job) for job in jobs]
        finally:
            gc.set_threshold(*before)


@contextlib.contextmanager
def cluster(scheduler: str | None, workers: int | None) -> "Iterator[Client]":
    """Connect to a cluster, or start one of processes on this machine, which is gone afterwards.

    Parameters
    ----------
    scheduler : str, optional
        Address of a running scheduler; None starts a cluster that listens on this machine only, without any dashboard.
    workers : int, optional
        Processes of the cluster that is started; default: one for each core.

    Raises
    ------
    OptionError
        Where the package is missing or the scheduler can't be reached.
    """
    try:
        import dask
        import distributed
    except ImportError as error:
        raise OptionError(
            "fleet: needs the package distributed, which the extra [fleet] brings; pip install distributed does as well"
        ) from error
    for name in [*logging.root.manager.loggerDict]:  # its parts have levels of their own
        if name.partition(".")[0] == "distributed":
            logging.getLogger(name).setLevel(logging.CRITICAL + 1)  # what matters of it is said in the table
    with contextlib.ExitStack() as stack:
        if scheduler is None:
            stack.enter_context(dask.config.set(OWN_CLUSTER))
            target: Any = stack.enter_context(
                distributed.LocalCluster(
                    n_workers=workers,
                    threads_per_worker=1,
                    processes=True,
                    host="127.0.0.1",
                    dashboard_address=None,
                    scheduler_kwargs={"dashboard_address": "127.0.0.1:0"},  # its own port may be taken
                    silence_logs=logging.CRITICAL,
                )
            )
        else:
            target = scheduler
        try:
            client = stack.enter_context(distributed.Client(target, timeout=WAIT_FOR_SCHEDULER_S))
        except (OSError, TimeoutError, ValueError) as error:
            raise OptionError(
                f"--scheduler: no scheduler answers at {scheduler}; expected an address such as tcp://192.0.2.7:8786"
            ) from error
        yield client


def worker_version() -> str:
    """Return the version of this program in a worker."""
    return __version__


def check_workers(client: "Client", paths: Sequence[str]) -> int:
    """Return how many tracks the cluster can work on at the same time; all its workers must see the same files.

    Parameters
    ----------
    client : Client
    paths : sequence of str
        Files and folders that each worker must find at the same place.

    Raises
    ------
    OptionError
        Where there is no worker, or one lacks this program or one of the paths.
    """
    try:
        client.wait_for_workers(1, timeout=WAIT_FOR_WORKERS_S)
    except TimeoutError as error:
        raise OptionError(f"fleet: the cluster had no worker for {WAIT_FOR_WORKERS_S:.0f} s; start some") from error
    try:
        versions = set(client.run(worker_version).values())
        unseen = next(filter(None, client.run(first_missing, list(paths)).values()), None)
    except Exception as error:  # whatever the worker raised on unpickling
        raise OptionError(
            f"fleet: a worker can't run this program ({type(error).__name__}: {error}); install it there as well"
        ) from error
    if versions != {__version__}:
        found = ", ".join(sorted(versions))
        raise OptionError(f"fleet: workers have version {found} of this program, here is {__version__}; use the same")
    if unseen is not None:
        raise OptionError(
            f"fleet: a worker does not find {unseen}; tracks, procedure and output must lie where all workers see them"
        )
    return max(1, sum(int(threads) for threads in client.nthreads().values()))


def first_missing(paths: Sequence[str]) -> str | None:
    """Return the first of the paths that a worker does not find."""
    import os

    return next((path for path in paths if not os.path.exists(path)), None)


def chunk_size(tracks: int, workers: int) -> int:
    """Return how many tracks a chunk has."""
    return max(1, min(LARGEST_CHUNK, tracks // (workers * CHUNKS_PER_WORKER)))


class ClusterCrew:
    """The workers of a cluster as a crew.

    Parameters
    ----------
    client : Client
    workers : int
        How many chunks can be worked on at the same time.
    """

    def __init__(self, client: "Client", workers: int) -> None:
        self._workers = workers
        # a scheduler that others use as well takes equal keys for equal work: none of ours is "pure"
        self._executor = client.get_executor(pure=False)

    @property
    def at_once(self) -> int:
        """How many chunks can be worked on at the same time."""
        return self._workers

    def submit(self, assess: Callable[[Job], Found], jobs: list[Job]) -> "Future[list[Found]]":
        """Have each of the jobs assessed, in order, by one worker."""
        future: Future[list[Found]] = self._executor.submit(_assess_some, assess, jobs, gc.get_threshold())
        return future

    def died(self, error: BaseException) -> bool:
        """Whether a chunk killed its workers.

        Raises
        ------
        ReversalDebriefError
            Where the cluster is gone, or a worker can't run the program.
        """
        from distributed import KilledWorker
        from distributed.client import CancelledError

        if isinstance(error, KilledWorker):
            return True
        if isinstance(error, OSError | TimeoutError | CancelledError | NeverDoneError):
            raise ReversalDebriefError(
                f"fleet: the cluster is gone ({type(error).__name__}); run again with --skip-existing to go on"
            ) from error
        # tracks' own errors are outcomes: this is the worker's
        said = " ".join(str(error).split())[:200]
        raise ReversalDebriefError(f"fleet: a worker fails ({type(error).__name__}: {said})") from error
