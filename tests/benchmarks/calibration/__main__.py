"""Prints the calibration table: `python -m tests.benchmarks.calibration --flights 16`.

Root mean square of error over stated sigma: 1 is a true doubt, below it a wide one, above it one that says too much.
Root mean squares of a few dozen winds are themselves known to some tenths; the last line says to how much.
"""

import argparse
import sys
import time

import numpy as np

from tests.benchmarks.calibration.flights import COLUMNS, INTERVALS_S, doubts

READ = ("position", "speed", "track", "turn rate", "wind", "airspeed")
HELD_OUT_FROM = 2_000_000


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.calibration")
    parser.add_argument("--flights", type=int, default=16, help="for each interval and kind of columns")
    parser.add_argument("--seed", type=int, default=0, help="first seed")
    parser.add_argument("--held-out", action="store_true", help="seeds that nothing was tuned on")
    parser.add_argument("--columns", choices=sorted(COLUMNS), action="append")
    parser.add_argument("--interval", type=float, choices=INTERVALS_S, action="append")
    arguments = parser.parse_args()
    first = arguments.seed + (HELD_OUT_FROM if arguments.held_out else 0)
    began = time.perf_counter()
    print(f"seeds {first} to {first + arguments.flights - 1}: root mean square of error over sigma (largest)")
    print(f"{'columns':<14}{'interval s':>11}" + "".join(f"{name:>14}" for name in READ))
    for columns in arguments.columns or COLUMNS:
        for interval_s in arguments.interval or INTERVALS_S:
            line = f"{columns:<14}{interval_s:>11g}"
            found = [doubts(seed, interval_s, columns) for seed in range(first, first + arguments.flights)]
            for name in READ:
                ratios = np.concatenate([one.ratios[name] for one in found])
                if len(ratios):
                    line += f"{np.sqrt(np.mean(ratios**2)):>8.2f} ({np.max(np.abs(ratios)):>3.1f})"
                else:
                    line += f"{'-':>14}"
            print(line, flush=True)
    doubt = 1.0 / np.sqrt(2.0 * 2.0 * arguments.flights)
    print(f"winds: two errors a flight, known to {doubt:.2f}; {time.perf_counter() - began:.0f} s")
    return 0


if __name__ == "__main__":
    sys.exit(main())
