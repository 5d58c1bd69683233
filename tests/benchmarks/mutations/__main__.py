"""Draws small wrong changes and tells which no test notices.

`python -m tests.benchmarks.mutations learn` runs the default suite once to see which test runs which line (a quarter of
an hour); after a change of a few test files it runs those alone. `python -m tests.benchmarks.mutations --sample 300
--seed 1` then tries each change on the tests that run its line, fastest first, within a cap of time: some seconds a
change. What the cap leaves out counts as survived, so the share that survives is an upper bound.
`python -m tests.benchmarks.mutations.chosen` runs the thirty well chosen ones.
"""

import argparse
import sys
import time

from tests.benchmarks.mutations.draw import drawn
from tests.benchmarks.mutations.equivalent import EQUIVALENT
from tests.benchmarks.mutations.reach import Known, Reach, learn, test_files
from tests.benchmarks.mutations.run import NO_END, Answer, Change, Runner, copied

FIRST_S = 4.0  # tests that are tried first, together: most changes fall here
SLOWER = 8.0  # a change that makes tests so many times slower, and by more than 30 s, is noticed


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.mutations")
    parser.add_argument("what", nargs="?", choices=("try", "learn"), default="try")
    parser.add_argument("files", nargs="*", help="learn: these test files; else all that are new or have changed")
    parser.add_argument("--sample", type=int, default=300)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--from", dest="first", type=int, default=0, help="go on from this one of the sample")
    parser.add_argument("--count", type=int, default=10_000, help="try so many of the sample")
    parser.add_argument("--cap", type=float, default=90.0, help="seconds of tests for one change")
    parser.add_argument("--minutes", type=float, default=float("inf"), help="begin none after so long")
    arguments = parser.parse_args()
    if arguments.what == "learn":
        return int(learn(arguments.files or _to_learn()) > 0)
    reach = Reach()
    if reach.stale or reach.changed:
        print(f"learnt before these changed: {' '.join((*reach.stale, *reach.changed))}", flush=True)
    counts = {"killed": 0, "SURVIVES": 0, "equal": 0, "no answer": 0}
    with copied() as folder:
        runner = Runner(folder)
        began = time.monotonic()
        for number, change in enumerate(drawn(arguments.sample, arguments.seed)):
            if not arguments.first <= number < arguments.first + arguments.count:
                continue
            if time.monotonic() - began > 60.0 * arguments.minutes:
                break
            said, more = _tried(change, reach, runner, arguments.cap)
            counts[said] += 1
            print(f"{number:>3} {said:<9} {change.name}  {more}", flush=True)
    told = counts["killed"] + counts["SURVIVES"]
    print(
        f"\n{sum(counts.values())} of {arguments.sample} drawn with seed {arguments.seed}: {counts['killed']} of {told}"
        f" killed ({100.0 * counts['killed'] / max(told, 1):.0f} %), {counts['SURVIVES']} survive;"
        f" besides {counts['equal']} that no test can notice, {counts['no answer']} without an answer"
    )
    return 0


def _to_learn() -> list[str]:
    try:
        known = Reach()
    except FileNotFoundError:
        return test_files()
    return test_files() if known.changed else known.stale


def _tried(change: Change, reach: Reach, runner: Runner, cap_s: float) -> tuple[str, str]:
    reason = EQUIVALENT.get((change.file, change.old, change.new))
    if reason is not None:
        return "equal", reason
    tests = reach.tests_of(change.file, change.line)
    reads = f"{' '.join(change.old.split())[:70]} -> {' '.join(change.new.split())[:70]}"
    if not tests:
        return "SURVIVES", f"no test runs it: {reads}"
    first = _within(tests, FIRST_S)
    rest = _within([one for one in tests if one not in first], cap_s - FIRST_S)
    took_s, ran = 0.0, 0
    for some in (first, rest):
        answer = _answer(change, some, runner)
        took_s, ran = took_s + answer.took_s, ran + len(some)
        if answer.alive is None:
            return "no answer", answer.said
        if not answer.alive:
            return "killed", f"{took_s:.0f} s {answer.said}"
    return "SURVIVES", f"{took_s:.0f} s, {ran} of {len(tests)} tests: {reads}"


def _answer(change: Change, tests: list[Known], runner: Runner) -> Answer:
    if not tests:
        return Answer(True, "")
    longest_s = 30.0 + SLOWER * sum(one.took_s for one in tests)
    answer = runner.answer_to(change, [one.name for one in tests], longest_s)
    if answer.alive is None and answer.said == NO_END:
        return Answer(False, f"no end within {longest_s:.0f} s", answer.took_s)
    return answer


def _within(tests: list[Known], seconds: float) -> list[Known]:
    """As many tests as the time has room for: in turn from each file, so that none is left out by a long one."""
    by_file: dict[str, list[Known]] = {}
    for one in tests:
        by_file.setdefault(one.file, []).append(one)
    chosen: list[Known] = []
    left_s = seconds
    while by_file:
        for file in list(by_file):
            one = by_file[file].pop(0)
            if not by_file[file]:
                del by_file[file]
            if one.took_s <= left_s:
                chosen.append(one)
                left_s -= one.took_s
    return chosen


if __name__ == "__main__":
    sys.exit(main())
