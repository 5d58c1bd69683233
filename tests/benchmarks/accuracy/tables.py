"""The benchmark's tables: each capability against its target, and by sample interval, method and wind."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tests.benchmarks.accuracy.comparison import Scores

Statistic = Callable[[np.ndarray], float]


def share(values: np.ndarray) -> float:
    return float(100.0 * np.mean(values))


def median(values: np.ndarray) -> float:
    return float(np.median(values))


def p95(values: np.ndarray) -> float:
    return float(np.percentile(values, 95.0))


def rms(values: np.ndarray) -> float:
    return float(np.sqrt(np.mean(values**2)))


@dataclass(frozen=True)
class Target:
    """One line of the target table: capability, statistic, the bounds it is to lie in, which intervals count."""

    capability: str
    statistic: str
    low: float
    high: float
    interval_s: float | None = None

    def measure(self, values: np.ndarray) -> float:
        return STATISTICS[self.statistic](values)

    @property
    def bounds(self) -> str:
        if np.isinf(self.high) and not np.isinf(self.low):
            return f">= {self.low:g}"
        if np.isinf(self.low) and np.isinf(self.high):
            return "-"
        return f"<= {self.high:g}" if np.isinf(self.low) else f"{self.low:g}-{self.high:g}"


STATISTICS: dict[str, Statistic] = {"%": share, "median": median, "95th": p95, "rms": rms}
_INF = float("inf")


def _at_least(capability: str, percent: float) -> Target:
    return Target(capability, "%", percent, _INF)


def _at_most(capability: str, statistic: str, value: float, interval_s: float | None = None) -> Target:
    return Target(capability, statistic, -_INF, value, interval_s)


TARGETS = (
    _at_least("attempts", 99.5),
    _at_least("method", 99.0),
    _at_least("entry", 99.0),
    _at_least("entry expected", 99.0),
    _at_least("laps", 99.0),
    _at_least("phase sequence", 98.0),
    _at_least("time in phase", 99.0),
    _at_most("boundary error s", "median", 0.4, 1.0),
    _at_most("boundary error s", "95th", 1.5, 1.0),
    _at_most("passage error s", "95th", 0.3, 1.0),
    _at_most("wind error over bound", "median", 1.3),
    _at_most("wind error over bound", "rms", 1.6),
    Target("wind error over bare bound", "median", -_INF, _INF),
    Target("wind within 2 sigma", "%", 93.0, 97.0),
    _at_least("wind given", 100.0),
    _at_least("established", 99.0),
    _at_most("established distance NM", "95th", 0.05),
    _at_most("intercept angle deg", "95th", 3.0),
    _at_most("overshoot NM", "95th", 0.02),
    _at_least("crossings", 97.0),
    _at_most("timed leg error s", "95th", 2.0),
    _at_least("violation recall", 100.0),
    _at_least("violation precision", 99.5),
    _at_most("violation onset s", "95th", 1.0),
    _at_least("excursion recall", 100.0),
    _at_least("excursion precision", 100.0),
    _at_least("clean flights", 100.0),
    _at_least("straight-in wind", 100.0),
)

GROUPS: dict[str, Callable[[Scores], str]] = {
    "interval s": lambda one: f"{one.interval_s:g}",
    "method": lambda one: one.method,
    "wind kt": lambda one: "0-10" if one.wind_kt < 10.0 else "10-25" if one.wind_kt < 25.0 else "25-45",
}


def gather(scores: list[Scores], capability: str, interval_s: float | None = None) -> np.ndarray:
    """All outcomes of a capability, of flights of one interval where given."""
    chosen = [one for one in scores if interval_s is None or one.interval_s == interval_s]
    return np.array([value for one in chosen for value in one.values.get(capability, [])])


def target_table(results: dict[str, list[Scores]]) -> str:
    """The target table with a column for each analyzer that was run."""
    names = list(results)
    lines = [f"{'capability':<34}{'':>8}{'target':>10}{'n':>7}" + "".join(f"{name:>14}" for name in names)]
    for target in TARGETS:
        label = target.capability + ("" if target.interval_s is None else f" at {target.interval_s:g} s")
        line = f"{label:<34}{target.statistic:>8}{target.bounds:>10}"
        for number, name in enumerate(names):
            values = gather(results[name], target.capability, target.interval_s)
            if number == 0:
                line += f"{len(values):>7}"
            if not len(values):
                line += f"{'-':>14}"
                continue
            measured = target.measure(values)
            met = target.low <= measured <= target.high
            line += f"{measured:>12.3g} {' ' if met else '!'}"
        lines.append(line)
    lines.append("'!' marks a target that is not met.")
    return "\n".join(lines)


def capability_table(scores: list[Scores], capability: str) -> str:
    """One capability by sample interval, method and wind."""
    statistics = [target.statistic for target in TARGETS if target.capability == capability] or ["median", "95th"]
    if "median" in statistics and "95th" not in statistics:
        statistics = [*statistics, "95th"]
    lines = [f"\n{capability}"]
    lines.append(f"  {'':<24}{'n':>6}" + "".join(f"{name:>10}" for name in statistics))
    for title, key in GROUPS.items():
        groups = sorted({key(one) for one in scores}, key=lambda text: (len(text), text))
        for group in groups:
            values = gather([one for one in scores if key(one) == group], capability)
            if len(values):
                shown = "".join(f"{STATISTICS[name](values):>10.3g}" for name in statistics)
                lines.append(f"  {title + ' ' + group:<24}{len(values):>6}{shown}")
    return "\n".join(lines)


def worst(scores: list[Scores], count: int) -> list[Scores]:
    """The flights with the most that is wrong, worst first."""

    def badness(one: Scores) -> float:
        wrong = 20.0 if one.failed else 0.0
        for capability, values in one.values.items():
            target = next((t for t in TARGETS if t.capability == capability), None)
            if target is None:
                continue
            if target.statistic == "%":
                wrong += float(np.sum(1.0 - np.array(values)))
            else:
                wrong += float(np.sum(np.clip(np.array(values) / target.high - 1.0, 0.0, 3.0)) * 0.3)
        return wrong

    return sorted(scores, key=badness, reverse=True)[:count]
