"""Runs the benchmark: `python -m tests.benchmarks.accuracy --flights 300`.

Development flights have the seeds from 0 on; `--held-out` takes others, which nothing was tuned on.
"""

import argparse
import multiprocessing
import sys
import time
from functools import partial
from pathlib import Path

from tests.benchmarks.accuracy.flights import HELD_OUT_FROM
from tests.benchmarks.accuracy.run import run_one
from tests.benchmarks.accuracy.tables import TARGETS, capability_table, target_table, worst


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.accuracy")
    parser.add_argument("--flights", type=int, default=300)
    parser.add_argument("--seed", type=int, default=0, help="first seed")
    parser.add_argument("--held-out", action="store_true", help="seeds that nothing was tuned on")
    parser.add_argument("--only", metavar="CAPABILITY", help="one capability's table, and the flights it fails on")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--no-baseline", action="store_true")
    parser.add_argument("--no-bound", action="store_true", help="leave the wind's bound out: faster")
    parser.add_argument("--peers", action="store_true", help="change points for boundaries, circle fits for wind")
    parser.add_argument("--remarks", action="store_true", help="print what was wrong, flight by flight")
    parser.add_argument("--worst", type=Path, metavar="FOLDER", help="plots of the worst ten flights")
    arguments = parser.parse_args()
    first = arguments.seed + (HELD_OUT_FROM if arguments.held_out else 0)
    seeds = range(first, first + arguments.flights)
    task = partial(run_one, baseline=not arguments.no_baseline, with_bound=not arguments.no_bound)
    began = time.perf_counter()
    if arguments.jobs > 1:
        with multiprocessing.get_context("spawn").Pool(arguments.jobs) as pool:
            outcomes = pool.map(task, seeds, chunksize=4)
    else:
        outcomes = [task(seed) for seed in seeds]
    results = {name: [one[name] for one in outcomes] for name in outcomes[0]}
    print(f"{len(outcomes)} flights, seeds {first} to {first + arguments.flights - 1}, "
          f"{time.perf_counter() - began:.0f} s\n")  # fmt: skip
    print(target_table(results))
    mine = results["analyzer"]
    capabilities = dict.fromkeys(target.capability for target in TARGETS)
    for capability in [arguments.only] if arguments.only else capabilities:
        print(capability_table(mine, capability))
    if arguments.peers:
        from tests.benchmarks.accuracy.peers import peers_table

        print(peers_table(seeds))
    for one in mine:
        if one.failed:
            print(f"\nflight {one.seed} failed: {one.failed}")
        elif arguments.remarks or arguments.only:
            said = [text for text in one.remarks if not arguments.only or text.startswith(arguments.only)]
            if said:
                print(
                    f"flight {one.seed} ({one.method}, {one.interval_s:g} s, {one.wind_kt:.0f} kt): {' | '.join(said)}"
                )
    if arguments.worst:
        from tests.benchmarks.accuracy.plots import plot_case

        arguments.worst.mkdir(parents=True, exist_ok=True)
        for one in worst(mine, 10):
            print(plot_case(one.seed, one.remarks, arguments.worst))
    return 0


if __name__ == "__main__":
    sys.exit(main())
