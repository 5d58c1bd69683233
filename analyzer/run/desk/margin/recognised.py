"""Which finding of a new assessment a remark on an earlier one speaks of."""

from collections.abc import Sequence

from analyzer.run.desk.store.assessments import FindingKey

#: a finding's moment moves a little with another wind or another version of the program (own choice)
SAME_MOMENT_S = 5.0


def same_finding(key: FindingKey, findings: Sequence[FindingKey]) -> int | None:
    """Return the place of the finding that is the one of the key; None where it is gone.

    The same attempt, code, phase and lap, and its moment within 5 s; of several the nearest, of these the first.
    """
    best, best_off_s = None, SAME_MOMENT_S
    for place, other in enumerate(findings):
        if (other.attempt, other.code, other.phase, other.lap) != (key.attempt, key.code, key.phase, key.lap):
            continue
        off_s = _apart_s(key.at_s, other.at_s)
        if off_s < best_off_s or (best is None and off_s <= best_off_s):
            best, best_off_s = place, off_s
    return best


def _apart_s(one: float | None, other: float | None) -> float:
    """Return how far apart two moments are; a finding without a moment is at the same one as another without."""
    if one is None or other is None:
        return 0.0 if one is other else float("inf")
    return abs(one - other)
