"""Draws small wrong changes and tells which no test notices.

`python -m tests.benchmarks.mutations --sample 60 --seed 1` takes hours on a small machine: each change that survives
costs a run of its wing's tests. `python -m tests.benchmarks.mutations.chosen` runs the thirty well chosen ones.
"""

import argparse
import sys
import time

from tests.benchmarks.mutations.draw import drawn
from tests.benchmarks.mutations.run import Tried, copied


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.mutations")
    parser.add_argument("--sample", type=int, default=300)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--from", dest="first", type=int, default=0, help="go on from this one of the sample")
    parser.add_argument(
        "--near", action="store_true", help="only the tests of the same subject: fast, and an upper bound"
    )
    parser.add_argument("--minutes", type=float, default=float("inf"), help="begin none after so long")
    arguments = parser.parse_args()
    outcomes: list[bool | None] = []
    sample = drawn(arguments.sample, arguments.seed, near=arguments.near)
    with copied() as folder:
        tried = Tried(folder)
        began = time.monotonic()
        for number, change in enumerate(sample):
            if number < arguments.first or time.monotonic() - began > 60.0 * arguments.minutes:
                continue
            answer = tried.answer_to(change)
            outcomes.append(answer.alive)
            said = {True: "SURVIVES", False: "killed", None: "no answer"}[answer.alive]
            print(f"{number:>3} {said:<9} {change.name} {answer.said}", flush=True)
    answered = [one for one in outcomes if one is not None]
    share = 100.0 * sum(answered) / max(len(answered), 1)
    drawn_from = f"{len(answered)} of {arguments.sample} drawn with seed {arguments.seed}"
    print(f"\n{drawn_from}: {sum(answered)} survive ({share:.0f} %)")
    return 0


if __name__ == "__main__":
    sys.exit(main())
