"""Sentences about causes and effects, in pilots' units."""

from analyzer.judged.causes.correction import Correction
from analyzer.judged.causes.values import EffectName
from analyzer.units import miles, side_word

_EFFECTS: dict[EffectName, str] = {
    "overshoot": "the overshoot",
    "rolled out short": "the roll-out's distance short of the course",
    "distance limit": "the distance beyond the limit",
    "primary area": "the excursion from the primary area",
    "roll-out point": "the roll-out's distance from where it should be",
}


def effect_text(name: EffectName, before_m: float, together_m: float) -> str:
    """Return the sentence on an effect as re-flown and with everything put right."""
    subject = _EFFECTS[name]
    return (
        f"Flown again as it was, {subject} is {miles(before_m)}; with everything below put right together it is "
        f"{miles(together_m)}."
    )


def cause_text(name: EffectName, cause: Correction, before_m: float, after_m: float, share_m: float) -> str:
    """Return the sentence on one cause put right alone, or on its share where it helps only together with others."""
    if after_m >= before_m - 0.5 * share_m:
        return f"{_put_right(cause)}, and the rest put right as well, {_EFFECTS[name]} is {miles(share_m)} less."
    return f"{_put_right(cause)} {_EFFECTS[name]} is {miles(after_m)} instead of {miles(before_m)}."


def _drift(degrees: float) -> str:
    return "no drift correction" if abs(degrees) < 0.5 else f"{abs(degrees):.0f}° {side_word(degrees)}"


def _put_right(cause: Correction) -> str:
    flown, asked = cause.flown, cause.asked
    if cause.name == "rate of turn":
        return f"With the turns at {asked:.1f}°/s instead of {flown:.1f}°/s"
    if cause.name == "wind correction":
        return f"With {_drift(asked)} of drift correction instead of {_drift(flown)}"
    if cause.name in ("outbound heading", "offset heading"):
        leg = "outbound" if cause.name == "outbound heading" else "on the offset leg"
        return f"With a heading {abs(asked - flown):.0f}° more to the {side_word(asked - flown)} {leg}"
    if cause.name == "outbound tracking":
        return f"With the outbound course tracked instead of {miles(flown)} beside it"
    if cause.name in ("outbound time", "offset leg time"):
        leg = "outbound" if cause.name == "outbound time" else "on the offset leg"
        return f"With {asked:.0f} s instead of {flown:.0f} s {leg}"
    if cause.name == "offset turn":
        return f"With {asked:.0f} s on the offset heading as flown before the turn back instead of {flown:.0f} s"
    if cause.name == "turn at the fix":
        return f"With the turn at the fix begun after {asked:.0f} s instead of {flown:.0f} s"
    word = "earlier" if flown > asked else "later"
    return f"With the turn onto the course begun {abs(flown - asked):.0f} s {word}"
