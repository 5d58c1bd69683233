"""The findings of one reversal in the order of the page, each with the number that it has in every view."""

from datetime import datetime

from analyzer.judged import Finding
from analyzer.shown.report.view import wording
from analyzer.shown.report.view.callouts import amount, short_words, strip_of
from analyzer.shown.report.view.values import FindingView

SEVERITIES = ("critical", "major", "minor", "note")


def finding_views(findings: tuple[Finding, ...], laps: int, start: datetime | None) -> tuple[FindingView, ...]:
    """Return findings worst first, of one severity in the order of the judgement, numbered; notes have no number."""
    ordered = sorted(findings, key=lambda one: SEVERITIES.index(one.severity))
    numbers = [0 if one.severity == "note" else number for number, one in enumerate(ordered, 1)]
    places = [findings.index(one) for one in ordered]
    return tuple(
        _finding(one, (number, place), laps, start) for number, place, one in zip(numbers, places, ordered, strict=True)
    )


def _finding(one: Finding, number_place: tuple[int, int], laps: int, start: datetime | None) -> FindingView:
    phase: str = one.phase or ""
    if one.phase and one.lap is not None and laps > 1:
        phase = f"{one.phase}, lap {one.lap}"
    text = wording.elapsed_marked(wording.sentence(one.text))
    time = wording.clock(one.at_s) if one.at_s is not None else ""
    before, found, after = text.partition(time) if time else (text, "", "")
    return FindingView(
        number=number_place[0],
        place=number_place[1],
        code=one.code,
        severity=one.severity,
        short=short_words(one),
        strip=strip_of(one),
        text=text,
        before=before if found else text,
        after=after,
        advice=wording.sentence(one.advice),
        reference=one.reference,
        time=time,
        utc=wording.moment(start, one.at_s) if one.at_s is not None else "",
        at_s=one.at_s,
        phase=phase,
        measured=amount(one.measured, one.unit),
        limit=amount(one.limit, one.unit),
        margin=_margin(one),
    )


def _margin(one: Finding) -> str:
    if one.unit == "crossings" and one.margin is not None and one.margin < 0.0:
        return f"{wording.number(-one.margin)} too many"
    return amount(one.margin, one.unit, signed=True)
