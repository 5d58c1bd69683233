"""Prints the table of the program's speed: `python -m tests.benchmarks.speed [--quick] [--rows reading,pool]`.

Each line is a ratio of two medians, the two kinds of work done in turns in one run, each process started as people
start it. "measured" is by the clock and decides; "processor" is the same ratio of processor time, which other work on
the machine moves less, and which says nothing about what several processes share out.
"""

import argparse
import os
import platform
import sys
import tempfile
from importlib.metadata import version
from pathlib import Path

from analyzer.run.cli import use_one_thread

use_one_thread()  # before numpy is loaded, as the command does

from tests.benchmarks.speed.rows import QUICK, ROWS, Bench, Line, Sizes  # noqa: E402


def main(arguments: list[str]) -> int:
    """Print the table; returns how many targets are missed."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.speed", description="How fast the program is.")
    parser.add_argument("--quick", action="store_true", help="small flights, one run: shows that it works, no figures")
    parser.add_argument("--rows", default=",".join(ROWS), help=f"some of {','.join(ROWS)}")
    parser.add_argument("--runs", type=int, default=5, help="how often each is measured (default 5)")
    parser.add_argument("--lessons", type=int, default=Sizes.lessons, help="flights of the row pool")
    parser.add_argument("--archive", type=int, default=Sizes.archive, help="flights of the row fleet")
    asked = parser.parse_args(arguments)
    names = asked.rows.split(",")
    if unknown := [name for name in names if name not in ROWS]:
        parser.error(f"no row {unknown[0]}; there are {', '.join(ROWS)}")
    sizes = QUICK if asked.quick else Sizes(asked.runs, lessons=asked.lessons, archive=asked.archive)
    libraries = ", ".join(f"{name} {version(name)}" for name in ("numpy", "pandas", "shapely", "matplotlib", "gpxpy"))
    print(f"{os.cpu_count()} cores, Python {platform.python_version()}, {libraries}; medians of {sizes.runs}")
    print(f"load of the machine before: {_load()}")
    print(f"{'measured':>22} {'processor':>9} {'target':>7}  {'':7} what")
    missed = 0
    with tempfile.TemporaryDirectory() as place:
        bench = Bench(Path(place), sizes)
        for name in names:
            for line in ROWS[name](bench):
                missed += not _met(line)
                print(_text(line), flush=True)
    print(f"load of the machine after: {_load()}")
    if hasattr(os, "getloadavg") and os.getloadavg()[1] > (os.cpu_count() or 1) + 1:
        print("the machine was busy with other work: times by the clock, above all of several processes, say little")
    return missed


def _load() -> str:
    return " ".join(f"{load:.1f}" for load in os.getloadavg()) if hasattr(os, "getloadavg") else "not known"


def _measured(line: Line) -> float:
    if line.ours is None or line.theirs is None:
        assert line.memory_mb is not None
        return line.memory_mb
    return line.ours.wall_s / line.theirs.wall_s


def _met(line: Line) -> bool:
    return line.target is None or _measured(line) <= line.target


def _text(line: Line) -> str:
    target = "" if line.target is None else f"{line.target:g}"
    verdict = "" if line.target is None else "met" if _met(line) else "not met"
    if line.ours is None or line.theirs is None:
        return f"{_measured(line):19.0f} MB {'':9} {target:>7}  {verdict:7} {line.name}"
    seconds = f"{line.ours.wall_s:.3f}/{line.theirs.wall_s:.3f} s"
    processor = line.ours.processor_s / line.theirs.processor_s
    return f"{_measured(line):5.2f} {seconds:>16} {processor:9.2f} {target:>7}  {verdict:7} {line.name}"


if __name__ == "__main__":
    main(sys.argv[1:])
