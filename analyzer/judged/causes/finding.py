"""The largest cause among the findings: it gets one of its own where it has none, and its remedy comes first."""

from collections.abc import Mapping
from types import MappingProxyType

from analyzer.judged.causes.values import CauseName, Causes
from analyzer.judged.findings import Finding, Judgement
from analyzer.units import METRES_PER_NM

#: a cause of more than this share of an error is worth a finding (own choice)
SHARE_FOR_A_FINDING = 1.0 / 3.0
#: codes of the findings that speak of the same thing as a cause
FINDINGS_OF: Mapping[CauseName, tuple[str, ...]] = MappingProxyType(
    {
        "turn at the fix": (),
        "rate of turn": ("turn-too-slow", "turn-too-fast", "bank-too-steep"),
        "wind correction": ("no-wind-correction", "wind-correction-wrong-way", "heading-off"),
        "outbound heading": ("heading-off", "no-wind-correction", "wind-correction-wrong-way"),
        "outbound tracking": ("outbound-course-not-tracked",),
        "outbound time": ("leg-too-long", "leg-too-short"),
        "outbound distance": ("leg-too-long",),
        "offset heading": ("heading-off",),
        "offset turn": (),
        "offset leg time": ("leg-too-long", "leg-too-short"),
        "turn onto the course": ("turned-inbound-late", "turned-inbound-early"),
    }
)


def cause_finding(causes: Causes | None, judgement: Judgement) -> Finding | None:
    """Return a finding for the largest cause where it explains over a third of the error and has none yet."""
    found = None if causes is None else causes.largest
    if causes is None or found is None or _spoken_of(found[1].name, judgement) is not None:
        return None
    effect, cause = found
    if effect.size_m <= 0.0 or cause.contribution_m < SHARE_FOR_A_FINDING * effect.size_m:
        return None
    return Finding(
        "main-cause",
        "note",
        None,
        causes.lap,
        cause.from_s,
        cause.text,
        cause.remedy,
        "flown again in the estimated wind",
        cause.contribution_m / METRES_PER_NM,
        None,
        None,
        "NM",
    )


def first_remedy(causes: Causes | None, judgement: Judgement) -> str:
    """Return what to do first next time: the advice on the largest cause; empty where no cause is known."""
    found = None if causes is None else causes.largest
    if found is None:
        return ""
    spoken = _spoken_of(found[1].name, judgement)
    return found[1].remedy if spoken is None else spoken.advice


def _spoken_of(name: CauseName, judgement: Judgement) -> Finding | None:
    return next((one for one in judgement.findings if one.code in FINDINGS_OF[name]), None)
