"""`python -m tests.benchmarks.desk_kills kills 200`, `... uploads 50 8`, `... lessons 5000`: run by hand."""

import sys
import tempfile
import time
from pathlib import Path


def main(what: str, *numbers: str) -> int:
    """Return 0 where all went well."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "desk"
        if what == "kills":
            from tests.benchmarks.desk_kills.kills import run_kills

            began = time.monotonic()
            confirmed, problems = run_kills(folder, int(numbers[0]), seed=int((*numbers, "20")[1]))
            print(*problems, sep="\n")
            print(
                f"{numbers[0]} kills in {time.monotonic() - began:.0f} s: {len(confirmed.recordings)} recordings, "
                f"{len(confirmed.remarks)} remarks, {len(confirmed.signatures)} signatures confirmed; "
                f"{len(problems)} problems"
            )
            return bool(problems)
        if what == "uploads":
            from tests.benchmarks.desk_kills.uploads import run_uploads

            return run_uploads(folder, int(numbers[0]), int(numbers[1]))
        from tests.benchmarks.desk_kills.many_lessons import run_lists

        return run_lists(folder, int(numbers[0]))


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
