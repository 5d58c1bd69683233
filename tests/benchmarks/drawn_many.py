"""Many drawn flights over drawn procedures, and drawn procedure files: tracebacks, longest answer, peak memory.

    python tests/benchmarks/drawn_many.py EXAMPLES [SEED] [PAGES]

Goes on after a crash and prints each kind once, with what is needed to draw it again; PAGES is how many answers in a
hundred are drawn as a page too (20 unless told). Ends with status 1 where anything crashed or took too long.
"""

import resource
import sys
import time
import traceback
import warnings
from collections import Counter
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, Phase, assume, given, seed, settings, strategies as st

HERE = Path(__file__).resolve()
sys.path[:0] = [str(HERE.parents[2]), str(HERE.parents[1])]

from answers import check_page, check_result  # noqa: E402
from drawn_flights import drawn_procedure, mutated_mappings, procedure_mappings, tracks  # noqa: E402

import analyzer  # noqa: E402
from analyzer.errors import ProcedureFileError  # noqa: E402

LONGEST_ANSWER_S = 10.0  # of processor time
ALL = settings(
    max_examples=1,
    deadline=None,
    database=None,
    phases=[Phase.generate],
    suppress_health_check=list(HealthCheck),
)


class Tally:
    """What happened: how often, how long at most, which crashes."""

    def __init__(self) -> None:
        self.counts: Counter[str] = Counter()
        self.crashes: dict[str, str] = {}
        self.longest_s = 0.0

    def crashed(self, error: BaseException, drawn: str) -> None:
        """Note a crash by its place; the first of each place with all that was drawn."""
        frames = [frame for frame in traceback.extract_tb(error.__traceback__) if "analyzer" in frame.filename]
        last = frames[-1] if frames else traceback.extract_tb(error.__traceback__)[-1]
        place = f"{Path(last.filename).name}:{last.lineno} {type(error).__name__}: {str(error)[:100]}"
        self.counts["crashes"] += 1
        if place not in self.crashes:
            self.crashes[place] = drawn
            print(f"CRASH {place}\n{''.join(traceback.format_exception(error)[-6:])}\n{drawn}", flush=True)


def main() -> int:
    """Run what the arguments ask for; return the exit status."""
    examples, first, pages = (int(value) for value in (*sys.argv[1:], *("1000", "1", "20")[len(sys.argv) - 1 :]))
    warnings.simplefilter("error")
    tally = Tally()

    def answer(data: st.DataObject) -> None:
        mapping = data.draw(procedure_mappings())
        try:
            procedure = drawn_procedure(mapping)
        except ProcedureFileError:
            tally.counts["procedures refused"] += 1
            assume(False)
            raise
        track = data.draw(tracks(procedure))
        began = time.process_time()
        try:
            debrief = analyzer.assess(track, procedure)
            tally.counts["with a reversal"] += bool(check_result(debrief)["attempts"])
            if tally.counts["flights"] % 100 < pages:
                tally.counts["pages"] += 1
                check_page(debrief.to_html())
        except Exception as error:
            tally.crashed(error, f"{mapping!r}\n{track!r}"[:20_000])
        took = time.process_time() - began
        tally.counts["flights"] += 1
        tally.counts["over the limit"] += took > LONGEST_ANSWER_S
        if took > tally.longest_s:
            tally.longest_s = took
            print(f"longest so far {took:.2f} s: {len(track)} moments in {track.duration_s:.6g} s", flush=True)

    def read(mapping: dict[str, Any]) -> None:
        tally.counts["mutated procedures"] += 1
        try:
            drawn_procedure(mapping)
            tally.counts["of them valid"] += 1
        except ProcedureFileError:
            return
        except Exception as error:
            tally.crashed(error, repr(mapping))

    for part, count in enumerate(_parts(examples)):
        seed(1_000_000 * first + part)(settings(ALL, max_examples=count)(given(st.data())(answer)))()
        seed(1_000_000 * first + part)(settings(ALL, max_examples=count)(given(mutated_mappings())(read)))()
    print(f"seed {first}: " + ", ".join(f"{count:,} {what}" for what, count in sorted(tally.counts.items())))
    peak_mib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    print(f"longest answer {tally.longest_s:.2f} s of processor time, peak memory {peak_mib:.0f} MiB")
    return 1 if tally.crashes or tally.counts["over the limit"] else 0


def _parts(examples: int, most: int = 500) -> list[int]:
    """Return the examples in parts: each begins with small ones again."""
    return [most] * (examples // most) + ([examples % most] if examples % most else [])


if __name__ == "__main__":
    sys.exit(main())
