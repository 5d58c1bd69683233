"""A result file's content against the truth of its flight: plain numbers for each capability."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from analyzer.synthesis import AttemptTruth, Truth
from analyzer.units.factors import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT
from tests.benchmarks.accuracy.flights import Case

SMALLEST_VIOLATION_M = 50.0 * METRES_PER_FOOT
SMALLEST_EXCURSION_M = 0.05 * METRES_PER_NM
CLOCK_STEP_S = 0.1
#: an exact sensor in an aircraft of exactly constant airspeed gives bounds of millimetres a second, finer than any use
FINEST_WIND_MPS = 0.05 * MPS_PER_KNOT


@dataclass
class Scores:
    """What came out for one flight: for each capability the list of single outcomes (errors, or 1 right, 0 wrong)."""

    seed: int
    method: str
    interval_s: float
    wind_kt: float
    values: dict[str, list[float]] = field(default_factory=dict)
    remarks: list[str] = field(default_factory=list)
    failed: str | None = None

    def add(self, capability: str, value: float) -> None:
        self.values.setdefault(capability, []).append(float(value))

    def right(self, capability: str, is_right: bool, remark: str = "") -> None:
        self.add(capability, 1.0 if is_right else 0.0)
        if not is_right:
            self.remarks.append(f"{capability}: {remark}" if remark else capability)


def compare(case: Case, result: dict[str, Any], wind_bound_mps: float | None) -> Scores:
    """Return the scores of one result.

    Parameters
    ----------
    case : Case
    result : dict
        As the result file; a baseline may leave keys out.
    wind_bound_mps : float or None
        The Cramér-Rao bound of the wind's error for this flight, None where it does not apply.
    """
    truth = case.flight.truth
    scores = Scores(case.seed, case.method, case.interval_s, case.wind_kt)
    found = result.get("attempts", [])
    scores.right("attempts", len(found) == len(truth.attempts), f"{len(found)} for {len(truth.attempts)}")
    free = list(found)
    for attempt in truth.attempts:
        match = _nearest(free, attempt)
        if match is not None:
            free.remove(match)
        _compare_attempt(scores, case, attempt, match)
    for extra in free:
        _count_false(scores, case, extra)
    _compare_wind(scores, case, truth, result.get("wind"), wind_bound_mps)
    return scores


def _nearest(found: list[dict[str, Any]], attempt: AttemptTruth) -> dict[str, Any] | None:
    first = attempt.passages[0].at_s
    best = min(found, key=lambda one: abs(_first_passage(one) - first), default=None)
    return best if best is not None and abs(_first_passage(best) - first) < 60.0 else None


def _first_passage(attempt: dict[str, Any]) -> float:
    passages = attempt.get("fix_passages") or [{"at_s": attempt["start_s"]}]
    return float(passages[0]["at_s"])


def _compare_attempt(scores: Scores, case: Case, truth: AttemptTruth, found: dict[str, Any] | None) -> None:
    hold = case.flight.procedure.is_hold
    if found is None:
        for capability in ("method", "laps", "phase sequence", "established"):
            scores.right(capability, False, "attempt not found")
        scores.add("time in phase", 0.0)
        return
    scores.right("method", found["flown_as"] == truth.flown_as, f"{found['flown_as']} for {truth.flown_as}")
    if hold:
        scores.right("entry", found["entry"] == truth.entry, f"{found['entry']} for {truth.entry}")
        expected = found["entry_expected"]
        scores.right("entry expected", expected == truth.entry_expected, f"{expected} for {truth.entry_expected}")
    scores.right("laps", found["laps"] == truth.laps, f"{found['laps']} for {truth.laps}")
    _compare_phases(scores, truth, found)
    for mine, other in zip(truth.passages, found.get("fix_passages", []), strict=False):
        scores.add("passage error s", abs(mine.at_s - other["at_s"]))
    scores.right("passages", len(truth.passages) == len(found.get("fix_passages", [])))
    if truth.complete:
        _compare_intercept(scores, truth, found.get("intercept") or {})
    timing = found.get("timing")
    if truth.timed_leg_s is not None and truth.complete:
        if timing is None or timing.get("leg_s") is None:
            scores.right("timed leg given", False)
        else:
            scores.right("timed leg given", True)
            scores.add("timed leg error s", abs(timing["leg_s"] - truth.timed_leg_s))
    _compare_altitudes(scores, case, truth, found)
    _compare_excursions(scores, case, truth, found)


def _compare_phases(scores: Scores, truth: AttemptTruth, found: dict[str, Any]) -> None:
    mine = [(phase.name, phase.lap) for phase in truth.phases]
    other = [(phase["name"], phase["lap"]) for phase in found["phases"]]
    same = mine == other
    doubtful = bool(truth.doubts)
    said = "; ".join(f"{name} {lap}" for name, lap in other)
    scores.right("phase sequence doubtful" if doubtful else "phase sequence", same, said)
    clock = np.arange(truth.start_s, truth.end_s, CLOCK_STEP_S)
    if truth.return_window_s is not None:
        clock = clock[clock < truth.return_window_s[0]]
    if truth.number > 1:
        clock = clock[clock > truth.phases[0].start_s + 60.0]
    mine_at = _names_at(clock, [(p.name, p.lap, p.start_s, p.end_s) for p in truth.phases])
    other_at = _names_at(clock, [(p["name"], p["lap"], p["start_s"], p["end_s"]) for p in found["phases"]])
    if len(clock):
        scores.add("time in phase", float(np.mean([a == b for a, b in zip(mine_at, other_at, strict=True)])))
    if same:
        for phase, one in zip(truth.phases[1:], found["phases"][1:], strict=True):
            error = abs(phase.start_s - one["start_s"])
            scores.add("boundary error s", error)
            scores.add(f"boundary error s: {phase.name}", error)
            if error > 3.0:
                scores.remarks.append(f"{phase.name} {phase.lap} starts {one['start_s'] - phase.start_s:+.1f} s off")


def _names_at(clock: np.ndarray, phases: list[tuple[Any, ...]]) -> list[Any]:
    names: list[Any] = [None] * len(clock)
    for name, lap, start, end in phases:
        low, high = np.searchsorted(clock, [start, end])
        names[low:high] = [(name, lap)] * (high - low)
    return names


def _compare_intercept(scores: Scores, truth: AttemptTruth, found: dict[str, Any]) -> None:
    was = truth.established[-1] is not None
    said = bool(found.get("established"))
    scores.right("established", was == said, f"said {said}")
    if was and said:
        off = abs(found["established_at_nm"] - (truth.established_at_m or 0.0) / METRES_PER_NM)
        scores.add("established distance NM", off)
        if off > 0.1:
            scores.remarks.append(f"established {off:.2f} NM off")
    if truth.intercept_angle_deg is not None:
        angle = found.get("angle_deg")
        several = truth.intercept_angle_later_deg is not None
        name = "intercept angle deg, several turns" if several else "intercept angle deg"
        if angle is None:
            scores.right("angle given", False)
        else:
            scores.right("angle given", True)
            scores.add(name, abs(angle - truth.intercept_angle_deg))
            if abs(angle - truth.intercept_angle_deg) > 5.0:
                scores.remarks.append(f"{name}: {angle:.0f} for {truth.intercept_angle_deg:.0f}")
    if found.get("overshoot_nm") is not None:
        off = abs(found["overshoot_nm"] - truth.overshoot_m / METRES_PER_NM)
        scores.add("overshoot NM", off)
        if off > 0.05:
            scores.remarks.append(f"overshoot {found['overshoot_nm']:.2f} for {truth.overshoot_m / METRES_PER_NM:.2f}")
    if found.get("crossings") is not None:
        said_crossings = found["crossings"]
        scores.right("crossings", said_crossings == truth.crossings, f"{said_crossings} for {truth.crossings}")


def _compare_altitudes(scores: Scores, case: Case, truth: AttemptTruth, found: dict[str, Any]) -> None:
    segments = {one["segment"]: one for one in found.get("altitudes", [])}
    for mine in truth.altitudes:
        said = segments.get(mine.segment, {"violations": [], "rule": mine.rule, "limit_ft": 0.0, "verdict": None})
        for violation in mine.violations:
            if violation.worst_m < SMALLEST_VIOLATION_M:
                continue
            hits = [one for one in said["violations"] if _overlap(violation, one)]
            scores.right("violation recall", bool(hits), f"{mine.segment} at {violation.start_s:.0f} s")
            if hits:
                scores.add("violation onset s", abs(min(one["start_s"] for one in hits) - violation.start_s))
        for one in said["violations"]:
            if _beyond_limit_m(one["worst_ft"], said) < SMALLEST_VIOLATION_M:
                continue
            true = any(_overlap(violation, one) for violation in mine.violations)
            scores.right("violation precision", true, f"{mine.segment} at {one['start_s']:.0f} s")
            if case.clean and not mine.violations:
                scores.right("clean flights", False, f"{mine.segment} at {one['start_s']:.0f} s")
    if case.clean:
        scores.right("clean flights", True)


def _beyond_limit_m(worst_ft: float, said: dict[str, Any]) -> float:
    limit = said["limit_ft"]
    low, high = (limit[0], limit[1]) if isinstance(limit, list) else (limit, limit)
    rule = said["rule"]
    below = low - worst_ft if rule != "at or below" else 0.0
    above = worst_ft - high if rule != "at or above" else 0.0
    return max(below, above) * METRES_PER_FOOT


def _overlap(violation: Any, said: dict[str, Any]) -> bool:
    return bool(said["start_s"] <= violation.end_s + 2.0 and said["end_s"] >= violation.start_s - 2.0)


def _compare_excursions(scores: Scores, case: Case, truth: AttemptTruth, found: dict[str, Any]) -> None:
    containment = found.get("containment") or {}
    said = [one for one in containment.get("excursions", []) if one["area"] == "distance limit"]
    for mine in truth.distance_excursions:
        if mine.worst_m >= SMALLEST_EXCURSION_M:
            hit = any(_overlap(mine, one) for one in said)
            scores.right("excursion recall", hit, f"at {mine.start_s:.0f} s")
    for one in said:
        if one["max_nm"] * METRES_PER_NM < SMALLEST_EXCURSION_M:
            continue
        true = any(_overlap(mine, one) for mine in truth.distance_excursions)
        scores.right("excursion precision", true, f"at {one['start_s']:.0f} s")
    if containment.get("max_distance_nm") is not None:
        scores.add("max distance NM", abs(containment["max_distance_nm"] - truth.max_distance_m / METRES_PER_NM))


def _count_false(scores: Scores, case: Case, extra: dict[str, Any]) -> None:
    for one in extra.get("altitudes", []):
        for violation in one["violations"]:
            if _beyond_limit_m(violation["worst_ft"], one) >= SMALLEST_VIOLATION_M:
                scores.right("violation precision", False, "in an attempt that was none")


def _compare_wind(
    scores: Scores, case: Case, truth: Truth, wind: dict[str, Any] | None, bound_mps: float | None
) -> None:
    straight = case.method == "straight in"
    errors = None
    if wind is not None:
        errors = _wind_errors(wind, truth)
    if straight:
        honest = errors is None or (errors[1] is not None and max(abs(z) for z in errors[1]) <= 3.0)
        said = "" if wind is None else f"{wind['from_deg_true']:.0f}/{wind['speed_kt']:.0f}"
        scores.right("straight-in wind", honest, said)
        return
    steady = not any(error.name == "too fast" for error in case.flight.plan.errors)
    if truth.attempts and truth.attempts[0].complete and steady:
        scores.add("wind given", 1.0 if wind is not None else 0.0)
    if errors is None:
        return
    error_mps, z = errors
    scores.add("wind error kt", error_mps / MPS_PER_KNOT)
    if z is not None:
        for one in z:
            scores.add("wind within 2 sigma", 1.0 if abs(one) <= 2.0 else 0.0)
    if bound_mps is not None and steady:
        scores.add("wind error over bound", error_mps / max(bound_mps, FINEST_WIND_MPS))
        scores.add("wind error over bare bound", error_mps / bound_mps)
        if error_mps > 3.0 * bound_mps and error_mps > 0.7:
            scores.remarks.append(f"wind {error_mps / MPS_PER_KNOT:.1f} kt off, bound {bound_mps / MPS_PER_KNOT:.1f}")


def _wind_errors(wind: dict[str, Any], truth: Truth) -> tuple[float, tuple[float, float] | None]:
    """Error of the wind vector in m/s, and the errors of speed and direction in stated sigmas."""
    said = np.radians(wind["from_deg_true"])
    was = np.radians(truth.wind_from_deg_true)
    speed = wind["speed_kt"] * MPS_PER_KNOT
    east = speed * np.sin(said) - truth.wind_speed_mps * np.sin(was)
    north = speed * np.cos(said) - truth.wind_speed_mps * np.cos(was)
    error = float(np.hypot(east, north))
    if wind.get("speed_sigma_kt") is None or wind.get("from_sigma_deg") is None:
        return error, None
    along = east * np.sin(said) + north * np.cos(said)
    across = east * np.cos(said) - north * np.sin(said)
    sigma_along = max(wind["speed_sigma_kt"] * MPS_PER_KNOT, 1e-6)
    sigma_across = max(np.radians(wind["from_sigma_deg"]) * speed, 1e-6)
    if wind["from_sigma_deg"] >= 90.0:  # a direction that is not known says nothing
        return error, (float(along / sigma_along), float(along / sigma_along))
    return error, (float(along / sigma_along), float(across / sigma_across))
