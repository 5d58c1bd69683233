"""Measurement against standard: verdicts, findings with severity, margin, reference and advice."""

from analyzer.findings.catalogue import CODES, CodeEntry
from analyzer.findings.judge import judge
from analyzer.findings.method import missing_reversal
from analyzer.findings.values import SEVERITIES, Finding, Judgement, Severity, Side, Verdict

__all__ = [
    "CODES",
    "SEVERITIES",
    "CodeEntry",
    "Finding",
    "Judgement",
    "Severity",
    "Side",
    "Verdict",
    "judge",
    "missing_reversal",
]
