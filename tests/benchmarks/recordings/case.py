"""One recording with the answer that the rule asks for, and how the program's answer is held against it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from analyzer.errors import ReversalDebriefError
from analyzer.judged import Assessment, assess_track
from analyzer.reading import read_track_bytes
from analyzer.run.call_options import options_from
from analyzer.run.one_thread import one_thread
from tests.benchmarks.recordings.truth import procedure

#: "same": the truth's verdict, altitudes included; "datum": the same, altitudes perhaps too close to call; "no
#: altitude": the same, altitudes not assessed and said; "withheld": the parts named are not assessed, and the screen
#: says why; "no reversal": none is found and the first screen says why; "refused": an error of one line
Answer = Literal["same", "datum", "no altitude", "withheld", "no reversal", "refused"]


@dataclass(frozen=True)
class Case:
    """A recording's bytes with the expected answer.

    Parameters
    ----------
    name : str
    data : bytes or a function that returns them
        A function where a flight of its own has to be flown first.
    answer : Answer
    word : str
        What the refusal, a first-screen sentence ("withheld", "no reversal", or where `told` is "screen") or a note has
        to contain.
    told : "note" or "screen"
        Where the word of an answer that is judged has to stand. Without a word the first screen has to be free of
        doubts.
    """

    name: str
    data: bytes | Callable[[], bytes]
    answer: Answer
    word: str = ""
    told: Literal["note", "screen"] = "note"
    parts: tuple[str, ...] = ("manoeuvre",)
    columns: Mapping[str, str] | None = None
    options: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Outcome:
    """What the program answered: in a few words, what is wrong with it, and whether it was wrong without a word."""

    case: Case
    said: str
    wrong: str = ""
    silently_wrong: bool = False


def outcome(case: Case) -> Outcome:
    """Return the program's answer to a recording, held against the rule."""
    data = case.data if isinstance(case.data, bytes) else case.data()
    try:
        track = read_track_bytes(data, f"{case.name}.txt", case.name, case.columns)
        with one_thread():
            assessment = assess_track(track, procedure(), options_from(**case.options))
    except ReversalDebriefError as error:
        said = f"refused: {error}"
        if "\n" in str(error):
            return Outcome(case, said, "the refusal has more than one line")
        if case.answer != "refused":
            return Outcome(case, said, "refused")
        return Outcome(case, said, "" if case.word in str(error) else f'"{case.word}" is not said')
    return _held(case, assessment)


def _held(case: Case, assessment: Assessment) -> Outcome:
    said = _said(assessment)
    wrong = _wrong(case, assessment)
    firm = any(one.scores.result != "not assessed" for one in assessment.attempts)
    false = firm and not _is_truth(assessment)
    return Outcome(case, said, wrong, false and not assessment.doubts)


def _is_truth(assessment: Assessment) -> bool:
    """Return whether what is firmly said is what was flown: one 45/180, nothing beyond a limit."""
    if len(assessment.attempts) != 1:
        return False
    one = assessment.attempts[0]
    method_known = "manoeuvre" not in one.withheld
    return (
        (one.attempt.flown_as == "45/180" or not method_known)
        and one.scores.result != "not to standard"
        and one.judgement.containment in ("inside", "not assessed", "too close to call")
        and not any(finding.severity in ("critical", "major", "minor") for finding in one.judgement.findings)
    )


def _wrong(case: Case, assessment: Assessment) -> str:
    doubts = " ".join(assessment.doubts)
    notes = " ".join(note.text for note in (*assessment.track.quality, *assessment.notes))
    notes += "" if assessment.altitude is None else assessment.altitude.note
    if case.answer == "refused":
        return "was not refused"
    if case.answer == "no reversal":
        return "" if not assessment.attempts and case.word in doubts else "the first screen does not say why"
    if case.answer == "withheld":
        missing = [part for one in assessment.attempts for part in case.parts if part not in one.withheld]
        if missing or case.word not in doubts:
            return f"judged: {', '.join(missing)}" if missing else f'"{case.word}" is not on the first screen'
        return ""
    if not _is_truth(assessment):
        return "another verdict"
    told = doubts if case.told == "screen" else f"{notes} {doubts}"
    if case.word not in told:
        return f'"{case.word}" is not told'
    if not case.word and doubts:
        return f"a false alarm: {doubts}"
    verdicts = set(assessment.attempts[0].judgement.altitudes)
    allowed = {"same": {"to standard"}, "datum": {"to standard", "too close to call"}, "no altitude": {"not assessed"}}
    return "" if verdicts <= allowed[case.answer] else f"altitudes {', '.join(sorted(verdicts))}"


def _said(assessment: Assessment) -> str:
    parts = []
    for one in assessment.attempts:
        kind = "no altitude" if assessment.altitude is None else assessment.altitude.kind
        parts.append(f"{one.attempt.flown_as}, {one.scores.result}, altitudes {kind}")
        parts += [f"not judged: {', '.join(sorted(one.withheld))}"] if one.withheld else []
    return "; ".join(parts or ["no reversal"]) + (f" | {' | '.join(assessment.doubts)}" if assessment.doubts else "")
