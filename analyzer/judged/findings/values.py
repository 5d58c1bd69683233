"""The values of the judging step: findings, verdicts and the judgement of one attempt."""

from dataclasses import dataclass
from typing import Literal

from analyzer.given import PhaseName

Severity = Literal["critical", "major", "minor", "note"]
Verdict = Literal["to standard", "not to standard", "too close to call", "not assessed"]
Side = Literal["inside", "outside", "too close to call", "not assessed"]
SEVERITIES: tuple[Severity, ...] = ("critical", "major", "minor", "note")


@dataclass(frozen=True)
class Finding:
    """One thing the debrief says. `measured`, `limit`, `margin` are in `unit`; margin is negative beyond the limit."""

    code: str
    severity: Severity
    phase: PhaseName | None
    lap: int | None
    at_s: float | None
    text: str
    advice: str
    reference: str
    measured: float | None = None
    limit: float | None = None
    margin: float | None = None
    unit: str = ""


@dataclass(frozen=True)
class Judgement:
    """Verdicts and findings of one attempt; `altitudes` in the order of the measures."""

    containment: Side
    altitudes: tuple[Verdict, ...]
    intercept: Verdict
    timing: Verdict
    speed: Verdict
    findings: tuple[Finding, ...]
    not_assessed: tuple[str, ...] = ()
