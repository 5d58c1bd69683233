"""The sentence under the verdict: cause and remedy where something went wrong, else what was flown how well."""

from collections.abc import Sequence

from analyzer.judged import CODES, AssessedAttempt
from analyzer.shown.report.view import wording
from analyzer.shown.report.view.values import EffectView, FindingView

#: subjects of findings that have other causes than the path flown, which is what is flown again
_OTHER = frozenset({"altitude", "speed", "final"})


def headline(
    assessed: AssessedAttempt, findings: Sequence[FindingView], effects: Sequence[EffectView], unfinished: str
) -> str:
    """Return one sentence of cause and remedy of a flight that was not to standard; of others what was judged.

    Parameters
    ----------
    assessed : AssessedAttempt
    findings : sequence of FindingView
        Worst first.
    effects : sequence of EffectView
        What went wrong with its causes, the largest first.
    unfinished : str
        Why the reversal is not complete, "" where it is.
    """
    wrong = next((one for one in findings if one.number), None)
    if assessed.scores.result != "not to standard" or wrong is None:
        return _judged(assessed, unfinished)
    cause = next((effect.causes[0][0] for effect in effects if effect.causes), "")
    firm = {_subject(one) for one in findings if one.severity in ("critical", "major")}
    itself = f"{wording.sentence(wrong.short)} {wrong.advice}".strip()
    if not cause or firm <= _OTHER:
        sentence = itself
    elif _subject(wrong) in _OTHER:
        sentence = f"{itself} {cause}"
    else:
        sentence = cause
    return f"{sentence} {wording.sentence(unfinished)}".strip()


def _subject(finding: FindingView) -> str:
    entry = CODES.get(finding.code)
    return "" if entry is None else entry.subject


def _judged(assessed: AssessedAttempt, unfinished: str) -> str:
    judgement = assessed.judgement
    verdicts = {
        "containment": judgement.containment,
        "altitude": worst_verdict(judgement.altitudes),
        "intercept": judgement.intercept,
        "timing": judgement.timing,
        "speed": judgement.speed,
    }
    bad = [name for name, verdict in verdicts.items() if verdict in ("not to standard", "outside")]
    close = [
        f"altitude ({wording.listed(_doubtful_segments(assessed))})" if name == "altitude" else name
        for name, verdict in verdicts.items()
        if verdict == "too close to call"
    ]
    good = [name for name, verdict in verdicts.items() if verdict in ("to standard", "inside")]
    wrong_side = assessed.attempt.wrong_side and "containment" in good
    if wrong_side:
        good.remove("containment")
    passed = assessed.scores.result == "to standard"
    reason = wording.sentence(assessed.scores.reason)
    if passed:  # a verdict off its tolerance by a minor fault does not fail the flight: say so, not "not to standard"
        lesser = any(one.severity == "minor" for one in judgement.findings)
        reason = "Minor faults only." if lesser else "Nothing beyond its limit."
    parts = []
    if bad:
        parts.append(f"{wording.listed(bad)} {'outside the tolerance' if passed else 'not to standard'}")
    if close:
        parts.append(f"{wording.listed(close)} too close to call")
    if good:
        parts.append(f"{wording.listed(good)} to standard")
    if wrong_side:
        parts.append("inside the areas, but on the unprotected side")
    if unfinished:
        parts.append(unfinished)
    summary = wording.sentence("; ".join(parts)) if parts else "Nothing could be judged."
    return f"{reason} {summary}".strip()


def _doubtful_segments(assessed: AssessedAttempt) -> list[str]:
    pairs = zip(assessed.measures.altitudes, assessed.judgement.altitudes, strict=False)
    return [measure.limit.segment for measure, verdict in pairs if verdict == "too close to call"]


def worst_verdict(verdicts: Sequence[str]) -> str:
    """Return the worst of several verdicts."""
    for verdict in ("not to standard", "too close to call", "to standard"):
        if verdict in verdicts:
            return verdict
    return "not assessed"
