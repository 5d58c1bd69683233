"""Prints what the program gets right of the examiner's flights: `python -m tests.benchmarks.examiner`.

`--part table` the flights with a rule beside each, `clean` the sloppy but acceptable ones,
`fault` those with one fault;
`--only WORDS` those whose row or name has them; `--list FILE` writes the wrong ones.
"""

import argparse
import multiprocessing
import time
from collections import Counter
from functools import partial
from pathlib import Path

from tests.benchmarks.examiner.case import Answer, judge
from tests.benchmarks.examiner.drawn import clean_case, fault_case
from tests.benchmarks.examiner.rows import all_cases

PARTS = ("table", "clean", "fault")


def _table_case(number: int) -> Answer:
    return judge(_TABLE[number])


def _drawn(part: str, number: int) -> Answer:
    return judge(clean_case(number) if part == "clean" else fault_case(number))


def answers(part: str, count: int, processes: int, only: str, first: int = 0) -> list[Answer]:
    """Fly and judge a part of the benchmark."""
    if part == "table":
        numbers = [n for n, case in enumerate(_TABLE) if only.lower() in f"{case.row} {case.name}".lower()]
        work = _table_case
    else:
        numbers, work = list(range(first, first + count)), partial(_drawn, part)
    if processes == 1:
        return [work(number) for number in numbers]
    with multiprocessing.get_context("fork").Pool(processes) as pool:
        return pool.map(work, numbers, chunksize=4)


def lines(part: str, given: list[Answer]) -> list[str]:
    """One line for each row of the table, and what was wrong with each wrong answer."""
    total, right = Counter(one.row for one in given), Counter(one.row for one in given if not one.wrong)
    wide = max((len(row) for row in total), default=10)
    out = [f"## {part}: {sum(right.values())} of {len(given)} right", "", f"{'row':{wide}}  flights  right"]
    out += [f"{row:{wide}}  {count:7d}  {right[row]:5d}" for row, count in total.items()]
    for one in given:
        if one.wrong:
            out += ["", f"- {one.row} / {one.name}. Rule: {one.rule}"]
            out += [f"    - {text}" for text in one.wrong]
            out.append(
                f"    - findings: {', '.join(f'{code} ({severity})' for code, severity in one.findings) or 'none'}"
            )
    return [*out, ""]


def main() -> None:
    """Read the command and print the tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--part", choices=PARTS, action="append")
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--only", default="")
    parser.add_argument("--list", type=Path)
    options = parser.parse_args()
    out: list[str] = []
    for part in options.part or PARTS:
        start = time.monotonic()
        given = answers(part, options.count, options.processes, options.only, options.first)
        print(f"{part}: {len(given)} flights in {time.monotonic() - start:.0f} s", flush=True)
        out += lines(part, given)
    print("\n".join(out))
    if options.list:
        options.list.write_text("\n".join(out) + "\n", encoding="utf-8")


_TABLE = all_cases()

if __name__ == "__main__":
    main()
