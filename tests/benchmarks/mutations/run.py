"""Applies one change to a copy of the program and runs tests against it."""

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[3]
LONGEST_S = 1800.0  # no answer by then: neither killed nor alive


@dataclass(frozen=True)
class Change:
    """One change: what it is called, the file under analyzer/, its new text, the tests of its subject."""

    name: str
    file: str
    text: str
    tests: tuple[str, ...]


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
    """Whether the tests pass with a change in place, None for no answer in time; and the test that failed first."""

    alive: bool | None
    said: str


def answer_to(change: Change, folder: Path) -> Answer:
    """Run the tests of a change with it in place; the program is as before afterwards."""
    path = folder / "analyzer" / change.file
    before = path.read_text(encoding="utf-8")
    path.write_text(change.text, encoding="utf-8")
    command = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", "-m", "not browser", *change.tests]
    environment = {**os.environ, "PYTHONPATH": str(folder), "PYTHONDONTWRITEBYTECODE": "1"}
    try:
        ended = subprocess.run(
            command, cwd=folder, env=environment, capture_output=True, timeout=LONGEST_S, check=False
        )
    except subprocess.TimeoutExpired:
        return Answer(None, "no answer")
    finally:
        path.write_text(before, encoding="utf-8")
    if ended.returncode not in (0, 1, 2):  # 1: a test failed, 2: a module can't be imported any more
        raise RuntimeError(ended.stdout.decode()[-2000:] + ended.stderr.decode()[-2000:])
    failed = [line for line in ended.stdout.decode().splitlines() if line.startswith(("FAILED", "ERROR"))]
    return Answer(ended.returncode == 0, failed[0].split(" - ")[0] if failed else "")


class Tried:
    """Tries changes, each set of tests first without any: what they fail anyway notices no change."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._sound: dict[tuple[str, ...], str] = {}

    def answer_to(self, change: Change) -> Answer:
        """The answer to a change; None alive where its tests fail without it, or it has none."""
        if not change.tests:
            return Answer(None, "no test of its subject")
        tests = tuple(sorted(change.tests))
        if tests not in self._sound:
            text = (ROOT / "analyzer" / change.file).read_text(encoding="utf-8")
            without = answer_to(Change("nothing", change.file, text, change.tests), self._folder)
            self._sound[tests] = "" if without.alive else f"fails without any change: {without.said}"
        if self._sound[tests]:
            return Answer(None, self._sound[tests])
        return answer_to(change, self._folder)
