"""Tries values of one number on seeded flights: `python -m tests.benchmarks.settled smoothing_width --flights 60`.

A line for each value and each capability of the accuracy benchmark that the number bears on; the value in use has a
star. The flights are the benchmark's development flights: a number is never settled on those held out.
`edge_sigma` and `altitude_wander` have scripts of their own beside this one.
"""

import argparse
import importlib
import sys
from dataclasses import replace
from typing import Any

import numpy as np

from tests.benchmarks.accuracy.comparison import Scores
from tests.benchmarks.accuracy.run import run_one
from tests.benchmarks.accuracy.tables import STATISTICS, TARGETS, gather
from tests.benchmarks.settled.numbers import NUMBERS, Number


def value_in_use(number: Number) -> float:
    """The value that the program has now."""
    found: Any = importlib.import_module(number.module)
    for part in number.name.split("."):
        found = getattr(found, part)
    return float(found)


def set_value(number: Number, value: float) -> None:
    """Put a value in the number's place, in this process."""
    module = importlib.import_module(number.module)
    owner, _, setting = number.name.partition(".")
    setattr(module, owner, replace(getattr(module, owner), **{setting: value}) if setting else value)


def outcomes_with(number: Number, value: float, seeds: range) -> list[Scores]:
    """What the benchmark finds on the flights of the seeds with a value in place."""
    used = value_in_use(number)
    set_value(number, value)
    try:
        bound = any("bound" in name for name in number.reads)
        return [run_one(seed, baseline=False, with_bound=bound)["analyzer"] for seed in seeds]
    finally:
        set_value(number, used)


def table(number: Number, seeds: range) -> str:
    """The errors for each value, the one in use with a star."""
    used = value_in_use(number)
    lines = []
    for value in sorted({*number.tried, used}):
        scores = outcomes_with(number, value, seeds)
        for name in number.reads:
            found = gather(scores, name)
            statistics = dict.fromkeys(target.statistic for target in TARGETS if target.capability == name)
            said = "  ".join(f"{each} {STATISTICS[each](found):.4g}" if len(found) else "-" for each in statistics)
            failed = sum(one.failed is not None for one in scores)
            star = "*" if np.isclose(value, used) else " "
            lines.append(
                f"{star} {value:<8g} {name:<26} n {len(found):<5} {said}" + (f"  {failed} failed" * bool(failed))
            )
    return "\n".join(lines)


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.settled")
    parser.add_argument("number", choices=sorted(NUMBERS))
    parser.add_argument("--flights", type=int, default=60)
    parser.add_argument("--seed", type=int, default=0, help="first seed")
    arguments = parser.parse_args()
    number = NUMBERS[arguments.number]
    print(f"{number.module}: {number.name}, {arguments.flights} flights from seed {arguments.seed} on")
    print(table(number, range(arguments.seed, arguments.seed + arguments.flights)))
    return 0


if __name__ == "__main__":
    sys.exit(main())
