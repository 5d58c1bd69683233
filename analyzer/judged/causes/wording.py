"""Sentences about causes and effects that a student understands at once."""

from dataclasses import dataclass

from analyzer.given import Procedure
from analyzer.judged.causes.correction import UNCORRECTED_DEG, Correction
from analyzer.judged.causes.values import EffectName
from analyzer.judged.findings.wording import magnetic
from analyzer.units import METRES_PER_NM, clock_words, side_word

#: what is left of an effect and is less than this is called about nothing
NOTHING_M = 0.03 * METRES_PER_NM


@dataclass(frozen=True)
class Told:
    """What a sentence on one cause says: the effect as measured, what is left with it put right, and its share."""

    effect: EffectName
    cause: Correction
    before_m: float
    after_m: float
    share_m: float


def _miles(distance_m: float) -> str:
    return f"{distance_m / METRES_PER_NM:.2f}"


_EFFECTS: dict[EffectName, str] = {
    "overshoot": "through the course",
    "rolled out short": "short of the course",
    "distance limit": "beyond the limit",
    "primary area": "outside the primary area",
    "roll-out point": "from where the plan rolls out",
}


def effect_text(name: EffectName, before_m: float, together_m: float) -> str:
    """Return the sentence on an effect as flown and with everything put right."""
    return (
        f"Flown: {_miles(before_m)} NM {_EFFECTS[name]}; with everything below put right together it is "
        f"{_about(together_m)}."
    )


def _about(distance_m: float) -> str:
    return "about 0.0 NM" if distance_m < NOTHING_M else f"about {_miles(distance_m)} NM"


def cause_text(told: Told, procedure: Procedure) -> str:
    """Return the sentence on one cause put right alone, or on its share where it helps only together with others."""
    was, better = _said(told.cause, procedure)
    if told.after_m >= told.before_m - 0.5 * told.share_m:
        return f"{was}; {better}, with the rest put right as well, makes it {_miles(told.share_m)} NM less."
    if told.after_m < NOTHING_M:
        result = {
            "overshoot": "ended on the course",
            "rolled out short": "ended on the course",
            "distance limit": "kept you inside the limit",
            "primary area": "kept you inside the area",
            "roll-out point": "rolled you out where the plan does",
        }[told.effect]
        return f"{was}; {better} would have {result}, not {_miles(told.before_m)} NM {_beyond(told.effect)}."
    return (
        f"{was}; {better} would have made it {_miles(told.after_m)} NM {_EFFECTS[told.effect]} instead of "
        f"{_miles(told.before_m)}."
    )


def _beyond(effect: EffectName) -> str:
    return "from there" if effect == "roll-out point" else _EFFECTS[effect]


_LEGS = {"outbound": "the outbound leg", "offset leg": "the offset leg"}


def _said(cause: Correction, procedure: Procedure) -> tuple[str, str]:
    """Return what was flown, as a sentence, and what is better, as the subject of one."""
    flown, asked = cause.flown, cause.asked
    leg = _LEGS.get(cause.leg, "the leg")
    if cause.unit == "deg":
        was = f"You flew {leg} on {_heading(cause, flown, procedure)}"
        was += " with no wind correction" if cause.name == "wind correction" and abs(flown) <= UNCORRECTED_DEG else ""
        change = _whole_change_deg(cause, procedure)
        return was, f"{_heading(cause, asked, procedure)} ({abs(change)}° {_more(change)})"
    if cause.name == "rate of turn":
        return f"You turned at {flown:.1f}°/s", f"{asked:.1f}°/s"
    if cause.name == "outbound tracking":
        return f"The outbound leg ended {_miles(flown)} NM beside its course", "the course tracked"
    if cause.name == "outbound distance":
        return f"You flew {leg} to {flown:.2f} NM", f"turning at {asked:.2f} NM"
    if cause.name in ("outbound time", "offset leg time"):
        return f"You flew {leg} for {clock_words(flown)}", clock_words(asked)
    if cause.name == "offset turn":
        was = "You turned back at once" if flown < 1.0 else f"You turned back after {flown:.0f} s level"
        return was, "turning back at once" if asked < 1.0 else f"{asked:.0f} s level on the offset heading"
    if cause.name == "turn at the fix":
        return f"You began the turn at the fix after {flown:.0f} s", "beginning it at once"
    word = "late" if flown > asked else "early"
    return f"You began the turn onto the course {abs(flown - asked):.0f} s {word}", "beginning it on time"


def _heading(cause: Correction, correction_deg: float, procedure: Procedure) -> str:
    return magnetic(procedure, procedure.inbound_true_deg + cause.course_deg + correction_deg)


def _whole_change_deg(cause: Correction, procedure: Procedure) -> int:
    """Return the change between the two headings as they are printed, whole degrees."""
    whole = [
        round(procedure.magnetic_deg(procedure.inbound_true_deg + cause.course_deg + each))
        for each in (cause.flown, cause.asked)
    ]
    return (whole[1] - whole[0] + 180) % 360 - 180


def _more(change_deg: float) -> str:
    return f"more {side_word(change_deg)}"


def remedy(cause: Correction, procedure: Procedure) -> str:
    """Return what to do next time about one cause, in the words of the card."""
    asked = cause.asked
    leg = _LEGS.get(cause.leg, "the leg")
    if cause.unit == "deg":
        return f"In this wind fly {leg} on heading {_heading(cause, asked, procedure)}."
    if cause.name == "rate of turn":
        return f"Turn at {asked:.1f}°/s and keep the bank until just before the heading."
    if cause.name == "outbound tracking":
        return "Track the outbound course before turning off it."
    if cause.name == "outbound distance":
        return f"Begin the turn back at {cause.place}."
    if cause.name in ("outbound time", "offset leg time"):
        return f"In this wind fly {leg} for {clock_words(asked)}."
    if cause.name == "offset turn":
        level = (
            "then at once the other way" if asked < 1.0 else f"hold it level for {asked:.0f} seconds, then turn back"
        )
        return f"In this wind turn off the course, {level}."
    if cause.name == "turn at the fix":
        return "Begin the turn as you cross the fix."
    word = "sooner" if cause.flown > asked else "later"
    return f"Begin the turn onto the course {abs(cause.flown - asked):.0f} s {word}."
