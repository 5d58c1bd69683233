"""The measures that are followed over weeks, taken from result files: values, their bands, what improved."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from statistics import median
from typing import Any, Literal

from analyzer.errors import ToleranceFileError
from analyzer.judged import CODES
from analyzer.shown.report.view import wording
from analyzer.standards import FLYING, Tolerances, load_tolerances

Attempt = Mapping[str, Any]
Trend = Literal["improved", "got worse", "steady inside", "not inside yet", "too few flights"]
FEWEST_FOR_A_TREND = 3
#: a change of the middle distance beyond the band smaller than this share of the scale of the measure is not a change
LEAST_CHANGE = 0.1


@dataclass(frozen=True)
class ProgressFlight:
    """One flight's result: who flew, what the page calls it, when, the result file's content."""

    pilot: str
    name: str
    when: str
    result: Mapping[str, Any]
    href: str | None = None


@dataclass(frozen=True)
class Measure:
    """One measure: its band (None: open on that side), its unit, and how it is taken from an attempt."""

    key: str
    title: str
    unit: str
    decimals: int
    scale: float  # a change as large as this is a large one
    band: Callable[[Tolerances], tuple[float | None, float | None]]
    take: Callable[[Attempt], float | None]


@dataclass(frozen=True)
class Followed:
    """One measure over several reversals: None where a reversal does not have it."""

    measure: Measure
    band: tuple[float | None, float | None]
    values: tuple[float | None, ...]
    trend: Trend
    words: str

    def is_inside(self, value: float) -> bool:
        """Whether a value lies in the band."""
        return _beyond(value, self.band) <= 0.0

    @property
    def inside(self) -> tuple[int, int]:
        """In how many reversals the measure was inside its band, and of how many."""
        known = [value for value in self.values if value is not None]
        return sum(self.is_inside(value) for value in known), len(known)

    @property
    def ends_inside(self) -> bool:
        """Whether the last third of the values lies in the band, all of it."""
        known = [value for value in self.values if value is not None]
        return all(self.is_inside(value) for value in known[-max(1, -(-len(known) // 3)) :])


def tolerances_of(results: Sequence[Mapping[str, Any]]) -> Tolerances:
    """Return the tolerances that most of the results were judged by; the default where they can't be read."""
    names = Counter(str(result.get("tolerances", "")) for result in results if result.get("tolerances"))
    try:
        return load_tolerances(names.most_common(1)[0][0]) if names else load_tolerances()
    except ToleranceFileError:
        return load_tolerances()


def attempts_in_order(flights: Sequence[ProgressFlight]) -> list[tuple[ProgressFlight, Attempt]]:
    """Return every reversal with its flight, by date; flights without one keep the order they were given in."""
    ordered = sorted(flights, key=lambda flight: flight.when)
    return [(flight, attempt) for flight in ordered for attempt in flight.result.get("attempts", [])]


def follow(attempts: Sequence[Attempt], tolerances: Tolerances) -> list[Followed]:
    """Return every measure that at least one attempt has, over all of them."""
    followed = []
    for measure in MEASURES:
        values = tuple(measure.take(attempt) for attempt in attempts)
        if any(value is not None for value in values):
            band = measure.band(tolerances)
            trend = _trend([value for value in values if value is not None], band, measure.scale)
            followed.append(Followed(measure, band, values, trend, _words(measure, values, band, trend)))
    return followed


def once_critical(attempts: Sequence[Attempt]) -> set[str]:
    """Return the subjects in which any of the reversals had a critical finding."""
    found = (
        finding["code"] for attempt in attempts for finding in attempt["findings"] if finding["severity"] == "critical"
    )
    return {CODES[code].subject for code in found if code in CODES}


def frequent_findings(attempts: Sequence[Attempt]) -> list[tuple[str, int]]:
    """Return what comes up most, notes left out: words and in how many reversals."""
    counts = Counter(
        code
        for attempt in attempts
        for code in {finding["code"] for finding in attempt["findings"] if finding["severity"] != "note"}
    )
    ordered = sorted(counts.items(), key=lambda item: (-item[1], item[0]))
    return [(CODES[code].title if code in CODES else code, count) for code, count in ordered]


def _beyond(value: float, band: tuple[float | None, float | None]) -> float:
    low, high = band
    return max(0.0, low - value if low is not None else 0.0, value - high if high is not None else 0.0)


def _trend(values: Sequence[float], band: tuple[float | None, float | None], scale: float) -> Trend:
    if len(values) < FEWEST_FOR_A_TREND:
        return "too few flights"
    part = max(1, len(values) // 3)
    before = median(_beyond(value, band) for value in values[:part])
    after = median(_beyond(value, band) for value in values[-part:])
    if before == 0.0 and after == 0.0:
        return "steady inside"
    if before - after > LEAST_CHANGE * scale:
        return "improved"
    if after - before > LEAST_CHANGE * scale:
        return "got worse"
    return "not inside yet"


def _words(
    measure: Measure, values: Sequence[float | None], band: tuple[float | None, float | None], trend: Trend
) -> str:
    known = [value for value in values if value is not None]
    inside = sum(_beyond(value, band) <= 0.0 for value in known)
    told = "mostly inside" if trend == "steady inside" and inside < len(known) else trend
    first, last = (wording.number(value, measure.decimals) for value in (known[0], known[-1]))
    return f"First {first}, last {last}; inside the band in {inside} of {len(known)}: {told}."


def _containment(attempt: Attempt) -> float | None:
    return _number(attempt["containment"].get("margin_nm"))


def _altitude(attempt: Attempt) -> float | None:
    margins = [_number(each.get("margin_ft")) for each in attempt["altitudes"]]
    known = [margin for margin in margins if margin is not None]
    return min(known) if known else None


def _intercept(name: str) -> Callable[[Attempt], float | None]:
    return lambda attempt: _number(attempt["intercept"].get(name))


def _timing(attempt: Attempt) -> float | None:
    timing = attempt.get("timing")
    if not timing:
        return None
    flown, planned = float(timing["leg_s"]), float(timing["planned_s"])
    wind = planned if timing["wind_adjusted_s"] is None else float(timing["wind_adjusted_s"])
    later_lap = timing.get("leg") == "outbound" and timing.get("lap", 1) > 1
    low, high = (wind, wind) if later_lap else (min(planned, wind), max(planned, wind))  # as the findings judge it
    return min(flown - low, 0.0) + max(flown - high, 0.0)


def _needle(attempt: Attempt) -> float | None:
    judged = _number(attempt["intercept"].get("judged_deflection"))
    return _number(attempt["intercept"].get("max_deflection")) if judged is None else judged


def _turn_rate(attempt: Attempt) -> float | None:
    rates = [abs(turn["mean_rate_deg_s"]) for turn in attempt["turns"] if turn["phase"] == "reversal turn"]
    return float(rates[-1]) if rates else None


def _number(value: Any) -> float | None:
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


#: the subject of the findings that each measure is judged by
SUBJECTS = {
    "containment": "containment",
    "altitude": "altitude",
    "angle": "intercept",
    "overshoot": "intercept",
    "needle": "intercept",
    "timing": "timing",
    "rate": "turns",
}
STANDARD_RATE_DEG_S = FLYING["turn.standard_rate"].value
MEASURES: tuple[Measure, ...] = (
    Measure("containment", "Margin to the edge", "NM", 2, 1.0, lambda _: (0.0, None), _containment),
    Measure("altitude", "Smallest altitude margin", "ft", 0, 100.0, lambda _: (0.0, None), _altitude),
    Measure(
        "angle",
        "Intercept angle",
        "°",
        0,
        15.0,
        lambda t: (t.value("intercept.low_angle_deg"), t.value("intercept.high_angle_deg")),
        _intercept("angle_deg"),
    ),
    Measure(
        "overshoot",
        "Overshoot of the course",
        "NM",
        2,
        0.5,
        lambda t: (None, t.value("intercept.overshoot_nm")),
        _intercept("overshoot_nm"),
    ),
    Measure(
        "needle",
        "Largest needle deflection once established",
        "of full scale",
        2,
        0.5,
        lambda t: (None, t.value("tracking.deflection")),
        _needle,
    ),
    Measure(
        "timing",
        "Timed leg, off what was asked for",
        "s",
        0,
        15.0,
        lambda t: (-t.value("timing.leg_s"), t.value("timing.leg_s")),
        _timing,
    ),
    Measure(
        "rate",
        "Mean rate of the reversal turn",
        "°/s",
        1,
        1.0,
        lambda t: (
            STANDARD_RATE_DEG_S * t.value("turns.slow_rate_share"),
            STANDARD_RATE_DEG_S * t.value("turns.fast_rate_share"),
        ),
        _turn_rate,
    ),
)
