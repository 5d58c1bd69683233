"""The score and the result of an attempt without the findings that the instructor overruled."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

_NOT_ASSESSED = "not assessed"


@dataclass(frozen=True)
class Rescored:
    """Scores by category and overall, 0-100 or None where not assessed, and the result that goes with them."""

    scores: Mapping[str, float | None]
    result: str


def rescored(attempt: Mapping[str, Any], overruled: Collection[int]) -> Rescored:
    """Return the scores of an attempt without some of its findings.

    Parameters
    ----------
    attempt : mapping
        As the result file holds it.
    overruled : collection of int
        Places in its `findings`.

    Notes
    -----
    The rules are those of `judged/scoring.py`: the points of an overruled finding are given back, the cap of the
    overall score and the result go by the findings that are left. What could not be assessed stays so.
    """
    if not overruled:
        return Rescored(dict(attempt["scores"]), attempt["result"])
    from analyzer.judged import CATEGORIES, FULL_SCORE, load_weights, overall_score  # loads the judges

    weights = load_weights()
    left = _deductions_left(attempt, overruled)
    scores: dict[str, float | None] = {}
    for name in CATEGORIES:
        off = sum(one["points"] for one in left if one["score"] == name)
        value = None if _unknown(name, attempt, off) else max(0.0, FULL_SCORE - off)
        if value is not None and _in_doubt(name, attempt):
            value = min(value, weights.doubt["score"])
        scores[name] = value
    findings = [one for place, one in enumerate(attempt["findings"]) if place not in overruled]
    severities = [one["severity"] for one in findings]
    off_overall = sum(one["points"] for one in left if one["score"] == "overall")
    result = _result(attempt, severities)
    overall = None if result == _NOT_ASSESSED else overall_score(scores, severities, off_overall, weights)[0]
    return Rescored({**scores, "overall": overall}, result)


def _deductions_left(attempt: Mapping[str, Any], overruled: Collection[int]) -> list[Mapping[str, Any]]:
    """Return the points taken for findings that are left; those for a doubt or a cap are worked out anew."""
    left = [one for one in attempt["deductions"] if one["code"] not in ("doubt", "cap")]
    for place in overruled:
        finding = attempt["findings"][place]
        for number, one in enumerate(left):
            if (one["code"], one["text"]) == (finding["code"], finding["text"]):
                del left[number]
                break
    return left


def _unknown(name: str, attempt: Mapping[str, Any], off: float) -> bool:
    """Whether a category has no score: none was assessed in it, and no finding that is left counts for it."""
    if attempt["scores"][name] is None:
        return True
    counted = any(one["score"] == name and one["code"] not in ("doubt", "cap") for one in attempt["deductions"])
    if off > 0.0 or not counted:  # it has a score because it was assessed
        return False
    laps = name == "timing" and any(lap["inbound_s"] is not None for lap in attempt["lap_times"][1:])
    return not laps and _verdicts(name, attempt) <= {_NOT_ASSESSED}


def _in_doubt(name: str, attempt: Mapping[str, Any]) -> bool:
    return "too close to call" in _verdicts(name, attempt)


def _verdicts(name: str, attempt: Mapping[str, Any]) -> set[str]:
    """Return the verdicts that a category's score goes by."""
    if name == "altitude":
        return {one["verdict"] for one in attempt["altitudes"]}
    if name == "timing":
        return set() if attempt["timing"] is None else {attempt["timing"]["verdict"]}
    return {attempt[name]["verdict"]}


def _result(attempt: Mapping[str, Any], severities: list[str]) -> str:
    if "critical" in severities or "major" in severities:
        return "not to standard"
    unjudged = attempt["intercept"]["verdict"] == _NOT_ASSESSED or any(
        one["segment"] in ("reversal", "inbound") and one["verdict"] == _NOT_ASSESSED for one in attempt["altitudes"]
    )
    # where nothing limits the flight there is nothing to be judged
    contained = attempt["containment"]
    unjudged |= contained["verdict"] == _NOT_ASSESSED and contained["margin_nm"] is not None
    if unjudged and attempt["result"] == "to standard":  # a computed area decides nothing: the program knew
        unjudged = False
    return _NOT_ASSESSED if unjudged or not attempt["complete"] else "to standard"
