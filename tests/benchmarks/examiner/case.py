"""One flight with what a rule says of it, and the comparison of the program's answer with that."""

import re
import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import analyzer
from tests.independent.cockpit import Cockpit
from tests.independent.flights import Flight, fly
from tests.independent.procedures import FIX, VARIATION_DEG, Asked, write_toml
from tests.independent.recording import write_csv

HARD = ("major", "critical")
SEVERITIES = ("note", "minor", *HARD)
#: page numbers of the document taken for paragraphs, and words that are no reference
NO_REFERENCES = (r"(?<!I)I-4-3-7", r"Remain within distance of the procedure")

Record = Mapping[str, Any]
Check = Callable[[dict[str, Any], Cockpit], Sequence[str]]
Clearance = Mapping[str, Any] | Callable[[Cockpit], Mapping[str, Any]]


@dataclass(frozen=True)
class Named:
    """A finding that must be there: a pattern for its code or text, and the severities that the rule allows."""

    pattern: str
    severities: tuple[str, ...]

    def fits(self, finding: Mapping[str, Any]) -> bool:
        return _said(finding, self.pattern) and finding["severity"] in self.severities


def _said(finding: Mapping[str, Any], pattern: str) -> bool:
    return re.search(pattern, f"{finding['code']} {finding['text']}", re.IGNORECASE) is not None


@dataclass(frozen=True)
class Case:
    """One flight of the examiner.

    `named` must be found; `caused` are patterns of further findings above minor that the fault brings with it, all
    others above minor are wrong; `silent` are patterns of which nothing above a note may be said. `result` is worked
    out from the severities named where it is not given. `rule` says why, in words. `all_checks`: what holds for every
    flight is looked at as well.
    """

    name: str
    row: str
    flight: Flight | Callable[[], tuple[Cockpit, Asked]]
    rule: str
    named: tuple[Named, ...] = ()
    caused: tuple[str, ...] = ()
    silent: tuple[str, ...] = ()
    result: str | None = None
    record: Record = field(default_factory=dict)
    options: Mapping[str, Any] = field(default_factory=dict)
    clearance: Clearance | None = None
    check: Check | None = None
    all_checks: bool = True

    @property
    def expected(self) -> str:
        if self.result is not None:
            return self.result
        hard = any(set(one.severities) <= set(HARD) for one in self.named)
        soft = all(not set(one.severities) & set(HARD) for one in self.named)
        return "not to standard" if hard else "to standard" if soft else "either"


@dataclass(frozen=True)
class Answer:
    """What was wrong with the program's answer to a case; nothing: right."""

    row: str
    name: str
    rule: str
    wrong: tuple[str, ...]
    findings: tuple[tuple[str, str], ...] = ()


def judge(case: Case) -> Answer:
    """Fly a case, have it assessed, and compare."""
    if isinstance(case.flight, Flight):
        cockpit, procedure = fly(case.flight), case.flight.asked
    else:
        cockpit, procedure = case.flight()
    try:
        result = assessed(cockpit, procedure, case)
    except Exception as error:  # a benchmark goes on: what the program can't do is its answer
        return Answer(case.row, case.name, case.rule, (f"{type(error).__name__}: {str(error)[:150]}",))
    found = [finding for attempt in result["attempts"] for finding in attempt["findings"]]
    wrong = [*_missing(case, found), *_too_much(case, found), *_verdict(case, result)]
    if case.all_checks:
        wrong += everywhere(result)
    if case.check is not None:
        wrong += case.check(result, cockpit)
    return Answer(case.row, case.name, case.rule, tuple(wrong), tuple((one["code"], one["severity"]) for one in found))


def assessed(cockpit: Cockpit, procedure: Asked, case: Case) -> dict[str, Any]:
    """Return the result file's content for a flight."""
    with tempfile.TemporaryDirectory() as folder:
        track = write_csv(Path(folder) / "flight.csv", cockpit.moments, FIX, VARIATION_DEG, **case.record)
        file = write_toml(Path(folder) / "procedure.toml", procedure.content)
        options = dict(case.options)
        if case.clearance is not None:
            content = case.clearance(cockpit) if callable(case.clearance) else case.clearance
            options["clearance"] = write_toml(Path(folder) / "clearance.toml", content)
        return dict(analyzer.assess(track, file, **options).to_dict())


def _missing(case: Case, found: Sequence[Mapping[str, Any]]) -> list[str]:
    wrong = []
    for one in case.named:
        if not any(one.fits(finding) for finding in found):
            near = [finding["severity"] for finding in found if _said(finding, one.pattern)]
            told = f"is {', '.join(near)}" if near else "is not said"
            wrong.append(f"{one.pattern} ({' or '.join(one.severities)}) {told}")
    return wrong


def _too_much(case: Case, found: Sequence[Mapping[str, Any]]) -> list[str]:
    wrong = []
    for finding in found:
        named = any(_said(finding, one.pattern) for one in case.named)
        caused = any(_said(finding, pattern) for pattern in case.caused)
        if finding["severity"] in HARD and not named and not caused:
            wrong.append(f"{finding['code']} ({finding['severity']}) said: {finding['text'][:140]}")
        elif finding["severity"] != "note" and any(_said(finding, pattern) for pattern in case.silent):
            wrong.append(f"{finding['code']} ({finding['severity']}) must not be said: {finding['text'][:140]}")
    return wrong


def _verdict(case: Case, result: Mapping[str, Any]) -> list[str]:
    given = [attempt["result"] for attempt in result["attempts"]]
    if case.expected in ("either", "any"):
        return []
    if case.expected == "no attempt":
        return [f"{len(given)} attempts found, none was flown"] if given else []
    if not given:
        return ["no attempt found"]
    worst = "not to standard" if "not to standard" in given else given[-1]
    return [] if worst == case.expected else [f"result is {worst}, by the rule {case.expected}"]


def everywhere(result: Mapping[str, Any]) -> list[str]:
    """What holds for every flight: no 100 for a part that isn't to standard, and references that are some."""
    wrong = []
    for attempt in result["attempts"]:
        scores = attempt["scores"]
        parts = {
            "containment": [attempt["containment"]["verdict"]],
            "altitude": [one["verdict"] for one in attempt["altitudes"]],
            "intercept": [attempt["intercept"]["verdict"]],
            "timing": [] if attempt["timing"] is None else [attempt["timing"]["verdict"]],
        }
        for name, verdicts in parts.items():
            doubtful = [one for one in verdicts if one in ("too close to call", "not to standard", "outside")]
            if doubtful and scores[name] is not None and scores[name] >= 100.0:
                wrong.append(f"{name} scores 100 beside {doubtful[0]}")
        for finding in attempt["findings"]:
            if any(re.search(pattern, finding["reference"]) for pattern in NO_REFERENCES):
                wrong.append(f"reference of {finding['code']}: {finding['reference']}")
    return wrong
