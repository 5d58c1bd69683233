"""How well roll-in and wings level are found: `python -m tests.benchmarks.settled.edge_sigma --flights 60`.

For each interval of the recording the errors of the moments at which turns end and begin, against the synthesizer's
own, and what 1 sigma the program states for them. A robust sigma: a phase that was cut elsewhere is another matter.
"""

import argparse
import sys

import numpy as np

from analyzer.flown import read_flight
from analyzer.judged.measurements.timing import EDGE_INTERVALS, EDGE_LEAST_S, EDGE_LONGEST_S
from analyzer.planned import plan_of
from analyzer.units import robust_sigma
from tests.benchmarks.accuracy.flights import case_of

FARTHEST_S = 8.0  # a turn whose edge is farther off was read as another one


def edge_errors(seed: int) -> tuple[float, list[float]]:
    """The recording's interval, and the errors of each turn's edges in one flight, seconds."""
    case = case_of(seed)
    truth, flight = case.flight.truth, case.flight
    true_s = np.array(
        [
            moment
            for attempt in truth.attempts
            for phase in attempt.phases
            if "turn" in phase.name
            for moment in (phase.start_s, phase.end_s)
        ]
    )
    found = read_flight(flight.track, plan_of(flight.procedure))
    errors = []
    for attempt in found.attempts:
        for _, _, turn in attempt.turns:
            for moment in (turn.start_s, turn.end_s):
                if len(true_s):
                    error = moment - true_s[np.argmin(np.abs(true_s - moment))]
                    errors += [float(error)] if abs(error) < FARTHEST_S else []
    return case.interval_s, errors


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.settled.edge_sigma")
    parser.add_argument("--flights", type=int, default=60)
    arguments = parser.parse_args()
    by_interval: dict[float, list[float]] = {}
    for seed in range(arguments.flights):
        interval_s, errors = edge_errors(seed)
        by_interval.setdefault(interval_s, []).extend(errors)
    for interval_s, errors in sorted(by_interval.items()):
        stated = EDGE_LEAST_S + EDGE_INTERVALS * min(interval_s, EDGE_LONGEST_S)
        found = robust_sigma(errors) if errors else float("nan")
        print(f"every {interval_s:g} s: n {len(errors):<4} sigma {found:.2f} s, stated {stated:.2f} s")
    return 0


if __name__ == "__main__":
    sys.exit(main())
