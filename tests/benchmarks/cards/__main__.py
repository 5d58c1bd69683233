"""Flies the cards of result files in many winds and prints what came of them: `python -m tests.benchmarks.cards`.

`--kind WORDS` only kinds with these words; `--winds N` only so many of the winds, spread evenly; `--speeds 90 110`.
`--drawn N --seed S`: kinds, speeds, winds and courses over the fix by chance. What is wrong with a card is told at once
on the error stream, and again at the end.
"""

import argparse
import multiprocessing
import random
import sys
import time
from collections.abc import Sequence
from pathlib import Path

from tests.benchmarks.cards.runs import KINDS, SPEEDS_KT, WINDS, Outcome, run
from tests.independent.aircraft import Air

#: true airspeeds that are drawn: at 4,600 ft 145 kt are the criteria's 140 kt of category B, indicated
FASTEST_KT, FASTEST_ICAO_KT = 160, 145
ICAO_KINDS = ("45/180 ICAO", "base turn, 2 min", "teardrop to 6 NM")

Job = tuple[str, float, Air, float | None]


def jobs(kind: str, winds: int, speeds: Sequence[float]) -> list[Job]:
    """All combinations asked for; fewer winds are taken from all over the list."""
    some = [WINDS[(number * 7) % len(WINDS)] for number in range(winds)]
    return [(name, tas, air, None) for name in KINDS if kind.lower() in name.lower() for tas in speeds for air in some]


def drawn(count: int, seed: int) -> list[Job]:
    """Draw kinds, speeds of 80 to 160 kt, winds up to 40 kt from anywhere, and courses over a hold's fix."""
    chance = random.Random(seed)
    found: list[Job] = []
    for _ in range(count):
        kind = chance.choice(list(KINDS))
        air = Air(float(chance.randrange(360)), round(chance.uniform(0.0, 40.0), 1))
        arrival = float(chance.randrange(360)) if kind.startswith(("hold", "in lieu")) else None
        most_kt = FASTEST_ICAO_KT if kind in ICAO_KINDS else FASTEST_KT
        found.append((kind, float(chance.randrange(80, most_kt + 1)), air, arrival))
    return found


def _run(job: Job) -> Outcome:
    outcome = run(*job)
    if outcome.wrong:
        print(_line(outcome), file=sys.stderr, flush=True)
    return outcome


def _line(one: Outcome) -> str:
    return f"- {one.kind}, {one.tas_kt:.0f} kt, wind {one.wind}: {one.how}; {'; '.join(one.wrong)} {one.reason}"


def table(outcomes: Sequence[Outcome]) -> list[str]:
    """One line a kind and speed, and what was wrong with each card that was."""
    head = f"{'kind':24} {'TAS':>4} {'cards':>5} {'right':>5} {'no plan':>7} {'to standard':>11} "
    head += f"{'other side':>10} {'off':>5} told"
    out = [head]
    for kind in dict.fromkeys(one.kind for one in outcomes):
        speeds = dict.fromkeys(one.tas_kt for one in outcomes if one.kind == kind)
        for tas in speeds if set(speeds) <= set(SPEEDS_KT) else (None,):
            these = [one for one in outcomes if one.kind == kind and tas in (None, one.tas_kt)]
            name = f"{kind:24} {'all' if tas is None else f'{tas:.0f}':>4}"
            flown = [one for one in these if one.how == "flown"]
            right = sum(not one.wrong for one in these)
            standard = sum(one.result == "to standard" for one in flown)
            deepest = max((one.other_side_nm for one in flown), default=0.0)
            off = max((one.off_nm for one in flown), default=0.0)
            none = sum(one.how == "no plan" for one in these)
            out.append(
                f"{name} {len(these):5} {right:5} {none:7} {standard:5} of {len(flown):2} "
                f"{deepest:10.2f} {off:5.2f} {sum(len(one.told) for one in flown):4}"
            )
    wrong = [one for one in outcomes if one.wrong]
    out += ["", f"{len(outcomes) - len(wrong)} of {len(outcomes)} right", ""]
    return [*out, *(_line(one) for one in wrong)]


def main() -> None:
    """Read the command and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kind", default="")
    parser.add_argument("--winds", type=int, default=len(WINDS))
    parser.add_argument("--speeds", type=float, nargs="*", default=list(SPEEDS_KT))
    parser.add_argument("--drawn", type=int, help="so many drawn cards in place of the grid")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--list", type=Path)
    options = parser.parse_args()
    start = time.monotonic()
    work = drawn(options.drawn, options.seed) if options.drawn else jobs(options.kind, options.winds, options.speeds)
    if options.processes == 1:
        outcomes = [_run(job) for job in work]
    else:
        with multiprocessing.get_context("fork").Pool(options.processes) as pool:
            outcomes = pool.map(_run, work, chunksize=4)
    lines = [*table(outcomes), "", f"{len(work)} cards in {time.monotonic() - start:.0f} s"]
    print("\n".join(lines))
    if options.list:
        options.list.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
