"""Flies the cards of result files in many winds and prints what came of them: `python -m tests.benchmarks.cards`.

`--kind WORDS` only kinds with these words; `--winds N` only so many of the winds, spread evenly; `--speeds 90 110`.
What is wrong with a card is told at once on the error stream, and again at the end.
"""

import argparse
import multiprocessing
import sys
import time
from collections.abc import Sequence
from pathlib import Path

from tests.benchmarks.cards.runs import KINDS, SPEEDS_KT, WINDS, Outcome, run
from tests.independent.aircraft import Air

Job = tuple[str, float, Air]


def jobs(kind: str, winds: int, speeds: Sequence[float]) -> list[Job]:
    """All combinations asked for; fewer winds are taken from all over the list."""
    some = [WINDS[(number * 7) % len(WINDS)] for number in range(winds)]
    return [(name, tas, air) for name in KINDS if kind.lower() in name.lower() for tas in speeds for air in some]


def _run(job: Job) -> Outcome:
    outcome = run(*job)
    if outcome.wrong:
        print(_line(outcome), file=sys.stderr, flush=True)
    return outcome


def _line(one: Outcome) -> str:
    return f"- {one.kind}, {one.tas_kt:.0f} kt, wind {one.wind}: {one.how}; {'; '.join(one.wrong)} {one.reason}"


def table(outcomes: Sequence[Outcome]) -> list[str]:
    """One line a kind and speed, and what was wrong with each card that was."""
    head = f"{'kind':24} {'TAS':>4} {'cards':>5} {'right':>5} {'no plan':>7} {'to standard':>11} "
    head += f"{'other side':>10} {'off':>5} told"
    out = [head]
    for kind in dict.fromkeys(one.kind for one in outcomes):
        for tas in dict.fromkeys(one.tas_kt for one in outcomes if one.kind == kind):
            these = [one for one in outcomes if one.kind == kind and one.tas_kt == tas]
            flown = [one for one in these if one.how == "flown"]
            right = sum(not one.wrong for one in these)
            standard = sum(one.result == "to standard" for one in flown)
            deepest = max((one.other_side_nm for one in flown), default=0.0)
            off = max((one.off_nm for one in flown), default=0.0)
            none = sum(one.how == "no plan" for one in these)
            out.append(
                f"{kind:24} {tas:4.0f} {len(these):5} {right:5} {none:7} {standard:5} of {len(flown):2} "
                f"{deepest:10.2f} {off:5.2f} {sum(len(one.told) for one in flown):4}"
            )
    wrong = [one for one in outcomes if one.wrong]
    out += ["", f"{len(outcomes) - len(wrong)} of {len(outcomes)} right", ""]
    return [*out, *(_line(one) for one in wrong)]


def main() -> None:
    """Read the command and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kind", default="")
    parser.add_argument("--winds", type=int, default=len(WINDS))
    parser.add_argument("--speeds", type=float, nargs="*", default=list(SPEEDS_KT))
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--list", type=Path)
    options = parser.parse_args()
    start = time.monotonic()
    work = jobs(options.kind, options.winds, options.speeds)
    if options.processes == 1:
        outcomes = [_run(job) for job in work]
    else:
        with multiprocessing.get_context("fork").Pool(options.processes) as pool:
            outcomes = pool.map(_run, work, chunksize=4)
    lines = [*table(outcomes), "", f"{len(work)} cards in {time.monotonic() - start:.0f} s"]
    print("\n".join(lines))
    if options.list:
        options.list.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
