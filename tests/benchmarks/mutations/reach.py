"""Which tests run which lines: learnt by running the default suite once, each line with the test that ran it.

A change is tried on the tests that run its line, fastest first. A number at the top of a module is run by the first
import alone: for it those tests count that run a line which names it. Whoever shares a value with others (a cache, a
fixture of a file) is found too, because caches are emptied from file to file and the rest of a file comes last. Tests
that read whole flights are taken to run every line, which spares following them.
"""

import ast
import difflib
import functools
import gc
import hashlib
import json
import os
import sys
import time
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.benchmarks.mutations.run import ROOT

FOLDER = ROOT / ".mutations"
WINGS = ("planned", "flown", "judged")
_AT_IMPORT = ""
#: files whose tests read whole flights
BROAD = (
    *("against/test_real_flights", "flown/test_attempts", "flown/test_numerical_safety", "flown/test_stated_doubts"),
    *("flown/test_whole_flights", "flown/test_level_splits", "flown/test_own_holds", "flown/test_wrong_side_hold"),
    *("judged/test_cards_flown", "judged/test_causes", "judged/test_examiner", "judged/test_file_mistakes"),
    *("judged/test_findings_flights", "judged/test_lessons", "judged/test_measure_truth", "judged/test_one_number"),
    *("reading/test_recordings", "run/test_debrief", "run/test_demo", "run/test_drawn_flights", "shown/test_result"),
    *("against/test_tolerance_flights", "flown/test_sparse_recordings", "run/test_explain", "shown/test_report_page"),
)


class _Learner:
    """Tells coverage which test runs, and keeps what each took of processor time and whether it passed."""

    def __init__(self, cover: "object") -> None:
        self._cover = cover
        self._file = ""
        self.took_s: dict[str, float] = {}
        self.failed: set[str] = set()
        self.follows = True

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        file = item.nodeid.partition("::")[0]
        if file != self._file:
            _empty_caches()
            self._file = file
        self._switch(item.nodeid)
        began = time.process_time()
        try:
            return (yield)
        finally:
            self.took_s[item.nodeid] = time.process_time() - began
            self._switch(_AT_IMPORT)

    def _switch(self, context: str) -> None:
        if self.follows:
            self._cover.switch_context(context)  # type: ignore[attr-defined]

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if not report.passed:
            self.failed.add(report.nodeid)


def _empty_caches() -> None:
    for one in gc.get_objects():
        if isinstance(one, functools._lru_cache_wrapper):
            module = getattr(one, "__module__", "") or ""
            file = getattr(sys.modules.get(module), "__file__", "") or ""
            if file.startswith(str(ROOT)):
                one.cache_clear()


def is_broad(file: str) -> bool:
    """Whether a file's tests read whole flights."""
    return any(one in file for one in BROAD)


def learn(files: Sequence[str]) -> int:
    """Run test files in this process under coverage, and keep what each test runs; return the number of failures."""
    import coverage

    cover = coverage.Coverage(
        data_file=None, source=[str(ROOT / "analyzer" / wing) for wing in WINGS], config_file=False
    )
    learner = _Learner(cover)
    os.chdir(ROOT)
    for some, is_followed in ([one for one in files if not is_broad(one)], True), ([*filter(is_broad, files)], False):
        if not some:
            continue
        learner.follows = is_followed
        if is_followed:
            cover.start()
        pytest.main(["-q", "-p", "no:cacheprovider", "-p", "no:benchmark", "--tb=short", *some], plugins=[learner])
        if is_followed:
            cover.stop()
    data = cover.get_data()
    lines: dict[str, dict[str, list[int]]] = defaultdict(dict)
    for file in data.measured_files():
        short = Path(file).relative_to(ROOT / "analyzer").as_posix()
        by_test: dict[str, list[int]] = defaultdict(list)
        for line, tests in data.contexts_by_lineno(file).items():
            for test in tests:
                by_test[test].append(line)
        for test, found in by_test.items():
            lines[test][short] = sorted(found)
    FOLDER.mkdir(exist_ok=True)
    for file in {test.partition("::")[0] for test in learner.took_s}:
        tests = {
            test: {"took_s": round(took_s, 4), "lines": lines.get(test, {})}
            for test, took_s in learner.took_s.items()
            if test.partition("::")[0] == file and test not in learner.failed
        }
        told = {"hash": _hash(ROOT / file), "tests": tests}
        (FOLDER / f"{file.replace('/', '-')}.json").write_text(json.dumps(told), encoding="utf-8")
    sources = {
        path.relative_to(ROOT / "analyzer").as_posix(): path.read_text(encoding="utf-8") for path in sources_of()
    }
    (FOLDER / "sources.json").write_text(json.dumps(sources), encoding="utf-8")
    return len(learner.failed)


def sources_of() -> list[Path]:
    return sorted(path for wing in WINGS for path in (ROOT / "analyzer" / wing).rglob("*.py"))


def _source_texts() -> dict[str, str]:
    return {path.relative_to(ROOT / "analyzer").as_posix(): path.read_text(encoding="utf-8") for path in sources_of()}


def test_files() -> list[str]:
    """The test files of the default suite, without those of the browser and the benchmarks."""
    wings = [
        path for path in (ROOT / "tests").iterdir() if path.is_dir() and path.name not in ("benchmarks", "browser")
    ]
    return sorted(path.relative_to(ROOT).as_posix() for wing in wings for path in wing.rglob("test_*.py"))


def _hash(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


@dataclass(frozen=True)
class Known:
    """One test: its name, how long it takes, and which lines of which files it runs."""

    name: str
    took_s: float
    lines: dict[str, frozenset[int]]

    @property
    def file(self) -> str:
        return self.name.partition("::")[0]

    def runs(self, places: dict[str, frozenset[int]]) -> bool:
        """Whether it runs one of these lines."""
        return any(lines & self.lines.get(path, _NONE) for path, lines in places.items())


class Reach:
    """What has been learnt: for a line of a file, the tests that run it."""

    def __init__(self) -> None:
        self.stale: list[str] = []
        self.tests: list[Known] = []
        for file in test_files():
            place = FOLDER / f"{file.replace('/', '-')}.json"
            told = json.loads(place.read_text(encoding="utf-8")) if place.exists() else {"hash": "", "tests": {}}
            if told["hash"] != _hash(ROOT / file):
                self.stale.append(file)
            for name, one in told["tests"].items():
                lines = {path: frozenset(found) for path, found in one["lines"].items()}
                self.tests.append(Known(name, one["took_s"], lines))
        then = json.loads((FOLDER / "sources.json").read_text(encoding="utf-8"))
        now = {
            path.relative_to(ROOT / "analyzer").as_posix(): path.read_text(encoding="utf-8") for path in sources_of()
        }
        self.changed = sorted(file for file, text in now.items() if then.get(file) != text)
        self._trees = {file: ast.parse(text) for file, text in now.items()}
        self._then = {file: _lines_then(then.get(file, ""), now[file]) for file in self.changed}

    def tests_of(self, file: str, line: int) -> list[Known]:
        """The tests that run a line, fastest first, the others of their files, and those that read whole flights."""
        places = {path: self._as_learnt(path, lines) for path, lines in self._places(file, line).items()}
        running = [
            one for one in self.tests if any(lines & one.lines.get(path, _NONE) for path, lines in places.items())
        ]
        running.sort(key=lambda one: one.took_s)
        files = {one.file for one in running}
        others = [one for one in self.tests if one.file in files and one not in running]
        return running + sorted(others, key=lambda one: one.took_s)

    def _as_learnt(self, file: str, lines: frozenset[int]) -> frozenset[int]:
        """The numbers that lines had when it was learnt who runs them."""
        then = self._then.get(file)
        return lines if then is None else frozenset(then.get(line, 0) for line in lines)

    def _places(self, file: str, line: int) -> dict[str, frozenset[int]]:
        """The lines whose run counts as a run of this one: itself, or where a module's name is read."""
        names = _names_bound_at(self._trees[file], line)
        if names is None:
            return {file: frozenset(_statement(self._trees[file], line))}
        return {
            path: frozenset(found)
            for path, tree in self._trees.items()
            if (found := {line for node in ast.walk(tree) if _reads(node, names) for line in (node.lineno,)})  # type: ignore[attr-defined]
        }


def _lines_then(then: str, now: str) -> dict[int, int]:
    """Number of a line now: its number then, also where it reads otherwise since."""
    found: dict[int, int] = {}
    matcher = difflib.SequenceMatcher(None, then.splitlines(), now.splitlines(), autojunk=False)
    for _, old, old_end, new, new_end in matcher.get_opcodes():
        for offset in range(new_end - new):
            found[new + offset + 1] = min(old + offset, max(old_end - 1, old)) + 1
    return found


_NONE: frozenset[int] = frozenset()
_FUNCTIONS = (ast.FunctionDef, ast.AsyncFunctionDef)


def _statement(tree: ast.Module, line: int) -> range:
    """All lines of the smallest statement about a line: coverage tells a statement by its first."""
    best: ast.stmt | None = None
    for node in ast.walk(tree):
        about = isinstance(node, ast.stmt) and node.lineno <= line <= (node.end_lineno or node.lineno)
        if about and (best is None or node.lineno >= best.lineno):  # type: ignore[attr-defined]
            best = node  # type: ignore[assignment]
    if best is None or isinstance(best, (*_FUNCTIONS, ast.ClassDef)):
        return range(line, line + 1)
    end = (
        best.body[0].lineno
        if isinstance(best, ast.If | ast.For | ast.While | ast.With)
        else (best.end_lineno or line) + 1
    )
    return range(best.lineno, max(end, best.lineno + 1))


def _names_bound_at(tree: ast.Module, line: int) -> set[str] | None:
    """The names that a statement at a module's or a class's top binds, None inside a function."""
    for node in ast.walk(tree):
        if isinstance(node, _FUNCTIONS) and node.body[0].lineno <= line <= (node.end_lineno or node.lineno):
            return None
    names: set[str] = set()
    for node in ast.walk(tree):
        if not isinstance(node, ast.stmt) or not node.lineno <= line <= (node.end_lineno or node.lineno):
            continue
        if isinstance(node, _FUNCTIONS):
            names.add(node.name)  # a default of an argument
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            names |= {one.id for target in targets for one in ast.walk(target) if isinstance(one, ast.Name)}
    return names


def _reads(node: ast.AST, names: set[str]) -> bool:
    if isinstance(node, ast.Name):
        return isinstance(node.ctx, ast.Load) and node.id in names
    return isinstance(node, ast.Attribute) and node.attr in names
