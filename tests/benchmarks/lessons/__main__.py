"""`python -m tests.benchmarks.lessons [LESSONS] [FIRST SEED]`: the share of parts given to the right procedure."""

import sys

from analyzer.judged import assess_lesson
from tests.lessons import PROCEDURES, lesson

SAME_S = 15.0


def main() -> int:
    """Fly lessons, share them out, print what went wrong and the shares."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 5000
    parts = right = extra = critical = 0
    for seed in range(first, first + count):
        one = lesson(seed)
        found = assess_lesson(one.track, PROCEDURES).in_order
        got = [(index, item.attempt.last_inbound_passage_s or -1.0) for index, _, item in found]
        fits = [
            any(index == part.procedure and abs(end_s - part.end_s) < SAME_S for index, end_s in got)
            for part in one.parts
        ]
        parts += len(fits)
        right += sum(fits)
        extra += len(got) - sum(fits)
        codes = [
            finding.code
            for _, _, item in found
            for finding in item.judgement.findings
            if finding.severity == "critical"
        ]
        critical += len(codes)
        if not all(fits) or len(got) != len(fits) or codes:
            wanted = [(PROCEDURES[part.procedure].title, part.method, round(part.end_s)) for part in one.parts]
            print(f"{seed}: flown {wanted}, found {[(PROCEDURES[i].title, round(at)) for i, at in got]}, {codes}")
    print(f"{count} lessons, {parts} parts: {right} right ({100.0 * right / parts:.1f} %), {extra} more found")
    print(f"{critical} critical findings (altitudes on the ways between are flown without regard for limits)")
    return 0


if __name__ == "__main__":
    sys.exit(main())
