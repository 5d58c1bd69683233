"""Applies changes to a copy of the program and runs tests against each, in a process that is forked off a warm one.

What is imported from outside is loaded once and forked, so that a change costs the program's own imports and its tests.
"""

import contextlib
import os
import resource
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[3]
LONGEST_S = 1800.0  # of processor time; no answer by then: neither killed nor alive
NO_END = "no end in time"
_NOT_REWRITTEN = "ignore:Module already imported"  # asserts of libraries, which tell nothing here
_SURVIVED, _KILLED = 0, (1, 2)  # 1: a test failed, 2: a module can't be imported any more
#: loaded before the fork, as the program loads them anyway
_HEAVY = (
    *("numpy", "pandas", "shapely", "shapely.geometry", "pyproj", "pydantic", "jinja2", "gpxpy", "pygeomag"),
    *("hypothesis", "hypothesis.strategies", "jsonschema", "click", "lazy_loader", "threadpoolctl", "tomllib"),
)


@dataclass(frozen=True)
class Change:
    """One change: what it is called, the file under analyzer/, its new text, the tests of its subject.

    `line`, `old` and `new` tell what reads otherwise, for those who look at what survived.
    """

    name: str
    file: str
    text: str
    tests: tuple[str, ...] = ()
    line: int = 0
    old: str = ""
    new: str = ""


@contextmanager
def copied() -> Iterator[Path]:
    """A copy of program and tests, gone afterwards: the repository itself is never changed."""
    with tempfile.TemporaryDirectory(prefix="mutations_") as folder:
        for name in ("analyzer", "tests", "sample_tracks", "reports"):
            shutil.copytree(ROOT / name, Path(folder, name), ignore=shutil.ignore_patterns("__pycache__", "browser"))
        for name in ("pyproject.toml", "README.md", "DEVELOPERS.md"):
            shutil.copy(ROOT / name, folder)
        yield Path(folder)


@dataclass(frozen=True)
class Answer:
    """Whether the tests pass with a change in place, None for no answer; which failed first; how long it took."""

    alive: bool | None
    said: str
    took_s: float = 0.0


class _Chosen:
    """Runs the named tests alone, those first that come first; a name without `::` stands for a whole file."""

    def __init__(self, names: Sequence[str], answer: Path) -> None:
        self._order = {name: number for number, name in enumerate(names)}
        self._answer = answer

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        places = {item.nodeid: self._place(item.nodeid) for item in items}
        kept = [
            item for item in items if places[item.nodeid] is not None and item.get_closest_marker("browser") is None
        ]
        files: dict[str, int] = {}
        for item in kept:
            file, place = item.nodeid.partition("::")[0], places[item.nodeid]
            assert place is not None
            files[file] = min(files.get(file, place), place)
        items[:] = sorted(kept, key=lambda item: files[item.nodeid.partition("::")[0]])

    def _place(self, nodeid: str) -> int | None:
        return self._order.get(nodeid, self._order.get(nodeid.partition("::")[0]))

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self._answer.write_text(report.nodeid, encoding="utf-8")

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        if report.failed:
            self._answer.write_text(f"{report.nodeid} can't be imported", encoding="utf-8")


class Runner:
    """Runs tests in a copy of the program, each time in a process of its own."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._changes = 0
        for name in _HEAVY:
            with contextlib.suppress(ImportError):
                __import__(name)

    def answer_to(self, change: Change, tests: Sequence[str], longest_s: float = LONGEST_S) -> Answer:
        """Run tests (names of files or of single tests) with a change in place; the program is as before afterwards."""
        path = self._folder / "analyzer" / change.file
        before = path.read_text(encoding="utf-8")
        self._write(path, change.text)
        try:
            return self._run(tests, longest_s)
        finally:
            self._write(path, before)

    def _write(self, path: Path, text: str) -> None:
        """Write with a time of its own, so that no compiled file of another text with the same length is taken."""
        path.write_text(text, encoding="utf-8")
        self._changes += 1
        at = int(time.time()) - 100_000_000 + self._changes
        os.utime(path, (at, at))

    def _run(self, tests: Sequence[str], longest_s: float) -> Answer:
        answer = self._folder / "answer.txt"
        answer.unlink(missing_ok=True)
        child = os.fork()
        if child == 0:
            self._be_pytest(tests, answer, longest_s)
        _, status, used = os.wait4(child, 0)
        took_s = used.ru_utime + used.ru_stime
        code = os.waitstatus_to_exitcode(status)
        if code == -signal.SIGXCPU:
            return Answer(None, NO_END, took_s)
        said = answer.read_text(encoding="utf-8") if answer.exists() else ""
        if code == _SURVIVED:
            return Answer(True, "", took_s)
        if code in _KILLED:
            return Answer(False, said, took_s)
        return Answer(None, f"ended with {code}: {(self._folder / 'said.txt').read_text()[-300:]}", took_s)

    def _be_pytest(self, tests: Sequence[str], answer: Path, longest_s: float) -> None:
        """What the forked process does; it never returns."""
        code = 70
        try:
            os.setpgid(0, 0)
            resource.setrlimit(resource.RLIMIT_CPU, (int(longest_s), int(longest_s) + 5))
            said = os.open(self._folder / "said.txt", os.O_CREAT | os.O_WRONLY | os.O_TRUNC)
            os.dup2(said, 1)
            os.dup2(said, 2)
            os.chdir(self._folder)
            sys.dont_write_bytecode = False
            os.environ["PYTHONPATH"] = str(self._folder)
            for name in [one for one in sys.modules if one.partition(".")[0] in ("analyzer", "tests")]:
                del sys.modules[name]
            sys.path[:] = [str(self._folder), *(one for one in sys.path if Path(one or ".").resolve() != ROOT)]
            files = list(dict.fromkeys(name.partition("::")[0] for name in tests))
            code = pytest.main(
                ["-q", "-x", "-p", "no:cacheprovider", "-p", "no:benchmark", "--tb=no", "-W", _NOT_REWRITTEN, *files],
                plugins=[_Chosen(tests, answer)],
            )
        except BaseException as error:
            os.write(2, repr(error).encode())
        finally:
            os._exit(int(code))
