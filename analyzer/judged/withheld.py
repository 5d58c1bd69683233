"""What a doubtful record keeps from being judged is taken out of the measures: no number stands without its doubt."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from analyzer.flown import Attempt
from analyzer.given import JudgedPart, QualityNote
from analyzer.judged.measurements.unmeasured import NO_INTERCEPT
from analyzer.judged.measurements.values import AttemptMeasures

_PARTS: tuple[JudgedPart, ...] = ("containment", "altitudes", "manoeuvre", "speed")


def withheld_parts(notes: Iterable[QualityNote], attempt: int) -> dict[JudgedPart, str]:
    """Return which parts of an attempt must not be judged, each with the first note's sentence that says why."""
    reasons: dict[JudgedPart, str] = {}
    for note in notes:
        if note.attempt not in (None, attempt):
            continue
        for part in _PARTS if "everything" in note.not_judged else note.not_judged:
            reasons.setdefault(part, note.text)
    return reasons


def attempt_without(attempt: Attempt, withheld: Mapping[JudgedPart, str]) -> Attempt:
    """Return the attempt without a method and an entry where the record can't tell them."""
    if "manoeuvre" not in withheld:
        return attempt
    evidence = (f"How it was flown is not assessed. {withheld['manoeuvre']}",)
    return replace(attempt, flown_as="other", entry=None, evidence=evidence)


def measures_without(measures: AttemptMeasures, withheld: Mapping[JudgedPart, str]) -> AttemptMeasures:
    """Return the measures without those that the record leaves in too much doubt."""
    if "containment" in withheld:
        unknown = replace(measures.containment, margin_m=None, margin_area=None, margin_at_s=None, excursions=())
        measures = replace(measures, containment=unknown)
    if "altitudes" in withheld:
        altitudes = tuple(
            replace(measure, worst_m=None, worst_at_s=None, margin_m=None, violations=(), reason=withheld["altitudes"])
            for measure in measures.altitudes
        )
        measures = replace(measures, altitudes=altitudes)
    if "manoeuvre" in withheld:
        measures = replace(measures, intercept=NO_INTERCEPT, timing=None, turns=(), laps=(), legs=(), leg_end=None)
    return replace(measures, speed=None) if "speed" in withheld else measures
