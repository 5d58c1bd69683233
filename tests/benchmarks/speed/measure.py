"""Times of two kinds of work, taken in turns, so that both meet the same machine."""

import os
import resource
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[3]
#: ru_maxrss is in kilobytes on Linux, in bytes on a Mac
MAXRSS_BYTES = 1 if sys.platform == "darwin" else 1024


@dataclass(frozen=True)
class Spent:
    """Time that some work took: on the clock, and of processors, those of child processes included."""

    wall_s: float
    processor_s: float


def spent(work: Callable[[], object]) -> Spent:
    """Return what one piece of work takes."""
    processor, wall = _processor_s(), time.perf_counter()
    work()
    return Spent(time.perf_counter() - wall, _processor_s() - processor)


def _processor_s() -> float:
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(one.ru_utime + one.ru_stime for one in used)


def side_by_side(runs: int, *works: Callable[[], object], warm_up: bool = True) -> list[Spent]:
    """Return the medians of each work, done in turns: a b c a b c ...

    Parameters
    ----------
    runs : int
        How often each is measured.
    works : functions
    warm_up : bool
        Whether each is done once before, unmeasured.
    """
    if warm_up:
        for work in works:
            work()
    taken: list[list[Spent]] = [[] for _ in works]
    for _ in range(runs):
        for times, work in zip(taken, works, strict=True):
            times.append(spent(work))
    return [
        Spent(statistics.median(one.wall_s for one in times), statistics.median(one.processor_s for one in times))
        for times in taken
    ]


def environment() -> dict[str, str]:
    """Return what all processes run with: this source tree, one thread for linear algebra."""
    threads = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")
    return {**os.environ, **dict.fromkeys(threads, "1"), "PYTHONPATH": str(ROOT)}


def python(folder: Path, *arguments: str | Path) -> Callable[[], None]:
    """Return the work of a new process of this Python in a folder; it must end well."""
    command = [sys.executable, *map(str, arguments)]

    def work() -> None:
        done = subprocess.run(command, cwd=folder, env=environment(), capture_output=True, check=False)
        if done.returncode != 0:
            raise RuntimeError(f"{' '.join(command)[:200]}: {done.stderr.decode()[-500:]}")

    return work


def program(folder: Path, *arguments: str | Path) -> Callable[[], None]:
    """Return the work of one call of the command, started anew as people start it."""
    return python(folder, "-m", "analyzer", *arguments)


def at_once(works: Sequence[Callable[[], None]]) -> None:
    """Do several pieces of work at the same time, each a process of its own."""
    with ThreadPoolExecutor(len(works)) as threads:
        for done in [threads.submit(work) for work in works]:
            done.result()


def imports(folder: Path, modules: Sequence[str]) -> Callable[[], None]:
    """Return the work of a process that imports modules and does nothing."""
    return python(folder, "-c", "import " + ", ".join(modules))


#: a process inherits the peak of the one that starts it: a small one stands between
_STARTER = """
import os, subprocess, sys
started = subprocess.Popen(sys.argv[1:], stdout=subprocess.DEVNULL)
_, status, usage = os.wait4(started.pid, 0)
print(usage.ru_maxrss)
sys.exit(os.waitstatus_to_exitcode(status))
"""


def peak_memory_mb(folder: Path, *arguments: str | Path) -> float:
    """Return the most memory, in MB of 1,000,000 bytes, that one call of the command had at a time."""
    command = [sys.executable, "-S", "-c", _STARTER, sys.executable, "-m", "analyzer", *map(str, arguments)]
    done = subprocess.run(command, cwd=folder, env=environment(), capture_output=True, check=False)
    if done.returncode != 0:
        raise RuntimeError(f"{' '.join(map(str, arguments))[:200]}: {done.stderr.decode()[-500:]}")
    return int(done.stdout) * MAXRSS_BYTES / 1e6
