"""One flight of the benchmark: flown, analyzed, compared."""

import traceback

from analyzer.run.debrief import assess
from tests.benchmarks.accuracy.baseline import baseline_result
from tests.benchmarks.accuracy.bound import wind_bound_mps
from tests.benchmarks.accuracy.comparison import Scores, compare
from tests.benchmarks.accuracy.flights import case_of


def run_one(seed: int, *, baseline: bool, with_bound: bool) -> dict[str, Scores]:
    """Fly one seed and score each analyzer on it."""
    case = case_of(seed)
    bound = wind_bound_mps(case) if with_bound and case.method != "straight in" else None
    flight = case.flight
    scores: dict[str, Scores] = {}
    try:
        result = assess(flight.track, flight.procedure, **case.options).to_dict()
        scores["analyzer"] = compare(case, result, bound)
    except Exception as error:  # any crash counts as a flight not assessed, and is told
        scores["analyzer"] = compare(case, {}, bound)
        scores["analyzer"].failed = f"{type(error).__name__}: {error}\n{traceback.format_exc(limit=-3)}"
    if baseline:
        scores["baseline"] = compare(case, baseline_result(flight.track, flight.procedure), bound)
    return scores
