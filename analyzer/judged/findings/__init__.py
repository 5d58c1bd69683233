"""Measurement against standard: verdicts, findings with severity, margin, reference and advice."""

from analyzer.judged.findings.as_charted import missing_reversal, rightly_straight_in
from analyzer.judged.findings.case import Case
from analyzer.judged.findings.catalogue import CODES, CodeEntry
from analyzer.judged.findings.judge import judge, judge_finals
from analyzer.judged.findings.values import SEVERITIES, Finding, Judgement, Severity, Side, Verdict

__all__ = [
    "CODES",
    "SEVERITIES",
    "Case",
    "CodeEntry",
    "Finding",
    "Judgement",
    "Severity",
    "Side",
    "Verdict",
    "judge",
    "judge_finals",
    "missing_reversal",
    "rightly_straight_in",
]
