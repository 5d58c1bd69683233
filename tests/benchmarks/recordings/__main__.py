"""Prints every layout and mistake with the expected answer, the program's, and what is wrong with it."""

import sys

from tests.benchmarks.recordings.case import outcome
from tests.benchmarks.recordings.layouts import layouts
from tests.benchmarks.recordings.mistakes import mistakes


def main() -> int:
    """Print the table; return 1 where an answer is not the rule's."""
    failures = silent = 0
    for title, cases in (("layouts", layouts()), ("mistakes", mistakes())):
        print(f"\n{len(cases)} {title}")
        for case in cases:
            if sys.argv[1:] and not any(word in case.name for word in sys.argv[1:]):
                continue
            found = outcome(case)
            failures += bool(found.wrong)
            silent += found.silently_wrong
            mark = "SILENT" if found.silently_wrong else "WRONG" if found.wrong else "ok"
            print(f"{mark:6} {case.name:42} {case.answer:11} {found.said[:170]}")
            if found.wrong:
                print(f"       -> {found.wrong[:200]}")
    print(f"\n{failures} not as the rule asks, {silent} silently wrong")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
