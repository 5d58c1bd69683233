"""Findings to scores; changes no finding. The scale is the project's own."""

import tomllib
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any, Literal

from analyzer.flown import Attempt
from analyzer.judged.findings import CODES, Finding, Judgement
from analyzer.judged.measurements.values import AttemptMeasures

Result = Literal["to standard", "not to standard", "not assessed"]
CATEGORIES = ("containment", "altitude", "intercept", "timing")
FULL_SCORE = 100.0


@dataclass(frozen=True)
class Deduction:
    """Points taken off, for which finding."""

    score: str
    code: str
    points: float
    text: str


@dataclass(frozen=True)
class Scores:
    """0-100, None where not assessed. The scale is the project's own. `reason` says why the result is what it is."""

    containment: float | None
    altitude: float | None
    intercept: float | None
    timing: float | None
    overall: float | None
    deductions: tuple[Deduction, ...]
    result: Result
    reason: str = ""


@dataclass(frozen=True)
class Weights:
    """The points of the scale, as read from `scoring_weights.toml`; keys are severities, codes or categories."""

    severity: Mapping[str, float] = field(default_factory=dict)
    at_most: Mapping[str, float] = field(default_factory=dict)
    per_unit: Mapping[str, float] = field(default_factory=dict)
    share: Mapping[str, float] = field(default_factory=dict)
    cap: Mapping[str, float] = field(default_factory=dict)
    doubt: Mapping[str, float] = field(default_factory=dict)


@cache
def load_weights() -> Weights:
    """Return the package's weights."""
    text = resources.files("analyzer.judged").joinpath("scoring_weights.toml").read_text(encoding="utf-8")
    content: dict[str, Any] = tomllib.loads(text)
    return Weights(**{key: MappingProxyType(table) for key, table in content.items()})


def score(judgement: Judgement, attempt: Attempt, measures: AttemptMeasures, weights: Weights | None = None) -> Scores:
    """Return the scores of one attempt with every deduction, and the result.

    Notes
    -----
    The result does not come from the points:

    - "not to standard" with any critical or major finding;
    - otherwise "not assessed" where the reversal is incomplete, or the intercept or a limited altitude between the
      first and the inbound passage could not be judged;
    - otherwise "to standard". What is too close to call does not fail: it is named in `reason`.

    A category whose verdict is too close to call has no full score: what is not proven is not perfect.

    The overall score is the mean of the categories by their shares, less what counts for no category, and is capped
    by a critical or major finding, so that it never looks better than the result. It is None with "not assessed".
    """
    weights = weights or load_weights()
    deductions = [d for finding in judgement.findings if (d := _deduction(finding, weights)) is not None]
    scores = {name: _category(name, judgement, measures, deductions) for name in CATEGORIES}
    for name, doubted in _in_doubt(judgement).items():
        value = scores[name]
        if doubted and value is not None and value > weights.doubt["score"]:
            text = f"Too close to call: not more than {weights.doubt['score']:g}."
            deductions.append(Deduction(name, "doubt", round(value - weights.doubt["score"], 1), text))
            scores[name] = weights.doubt["score"]
    result, reason = _result(judgement, attempt, measures)
    off_overall = sum(deduction.points for deduction in deductions if deduction.score == "overall")
    overall, cap = overall_score(scores, [finding.severity for finding in judgement.findings], off_overall, weights)
    if result == "not assessed":
        overall, cap = None, None
    if cap is not None:
        deductions.append(cap)
    return Scores(
        scores["containment"],
        scores["altitude"],
        scores["intercept"],
        scores["timing"],
        overall,
        tuple(deductions),
        result,
        reason,
    )


def _deduction(finding: Finding, weights: Weights) -> Deduction | None:
    counts = CODES[finding.code].counts
    base = weights.severity[finding.severity]
    if counts is None or base <= 0.0:
        return None
    beyond = max(0.0, -finding.margin) if finding.margin is not None else 0.0
    per_unit = weights.per_unit.get(f"{finding.code} {finding.unit}", weights.per_unit.get(finding.code, 0.0))
    points = min(base + per_unit * beyond, weights.at_most[finding.severity])
    return Deduction(counts, finding.code, round(points, 1), finding.text)


def _category(name: str, judgement: Judgement, measures: AttemptMeasures, deductions: list[Deduction]) -> float | None:
    off = [deduction.points for deduction in deductions if deduction.score == name]
    assessed = {
        "containment": judgement.containment != "not assessed",
        "altitude": any(verdict != "not assessed" for verdict in judgement.altitudes),
        "intercept": judgement.intercept != "not assessed",
        "timing": judgement.timing != "not assessed"
        or (measures.timing is not None and any(lap.inbound_s is not None for lap in measures.laps[1:])),
    }[name]
    if not assessed and not off:
        return None
    return max(0.0, FULL_SCORE - sum(off))


def _in_doubt(judgement: Judgement) -> dict[str, bool]:
    """Return for each category whether its verdict, or one of its verdicts, is too close to call."""
    return {
        "containment": judgement.containment == "too close to call",
        "altitude": "too close to call" in judgement.altitudes,
        "intercept": judgement.intercept == "too close to call",
        "timing": judgement.timing == "too close to call",
    }


def overall_score(
    scores: Mapping[str, float | None], severities: Collection[str], off_overall: float, weights: Weights
) -> tuple[float | None, Deduction | None]:
    """Return the overall score of the categories' scores, and what a critical or major finding caps.

    Parameters
    ----------
    scores : mapping of category to float or None
    severities : collection of str
        Of all findings that count.
    off_overall : float
        Points of what counts for no category.
    weights : Weights
    """
    known = {name: value for name, value in scores.items() if value is not None}
    share = sum(weights.share[name] for name in known)
    if share <= 0.0:
        return None, None
    mean = sum(weights.share[name] * value for name, value in known.items()) / share
    mean = max(0.0, mean - off_overall)
    for severity in ("critical", "major"):
        if severity in severities and mean > weights.cap[severity]:
            cap = weights.cap[severity]
            text = f"A {severity} finding caps the overall score at {cap:g}."
            return cap, Deduction("overall", "cap", round(mean - cap, 1), text)
    return round(mean, 1), None


def _result(judgement: Judgement, attempt: Attempt, measures: AttemptMeasures) -> tuple[Result, str]:
    failing = [finding for finding in judgement.findings if finding.severity in ("critical", "major")]
    if failing:
        titles = list(dict.fromkeys(CODES[finding.code].title for finding in failing))
        return "not to standard", "; ".join(titles)
    if not attempt.complete:
        return "not assessed", "the reversal is not complete on the track"
    missing = []
    computed = measures.containment.computed  # its area decides nothing
    if judgement.intercept == "not assessed":
        missing.append("the intercept could not be judged")
    if judgement.containment == "not assessed" and measures.containment.margin_m is not None and not computed:
        missing.append("containment could not be judged")
    unjudged = [
        measure.limit.segment
        for measure, verdict in zip(measures.altitudes, judgement.altitudes, strict=True)
        if measure.limit.segment in ("reversal", "inbound") and verdict == "not assessed"
    ]
    if unjudged:
        missing.append(f"the altitude could not be judged ({' and '.join(unjudged)})")
    if missing:
        return "not assessed", "; ".join(missing)
    close = []
    if judgement.containment == "too close to call":
        close.append("containment")
    close += [
        f"altitude ({measure.limit.segment})"
        for measure, verdict in zip(measures.altitudes, judgement.altitudes, strict=True)
        if verdict == "too close to call"
    ]
    close += [name for name in ("intercept", "timing", "speed") if getattr(judgement, name) == "too close to call"]
    lesser = any(finding.severity == "minor" for finding in judgement.findings)
    reason = "minor faults only" if lesser else "nothing beyond its limit"
    return "to standard", f"{reason}; too close to call: {', '.join(close)}" if close else reason
