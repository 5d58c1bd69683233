"""What a chip says: one thing to do otherwise, and what it would have come to."""

import re

from analyzer.judged import Cause, Effect
from analyzer.shown.report.view import wording
from analyzer.units import METRES_PER_NM, clock_words, side_word

_NOTHING_M = 0.03 * METRES_PER_NM  # less than this is on the course
_CHANGE = re.compile(r"\((\d+° more (?:left|right))\)")
_HEADINGS = {"wind correction": "Heading", "outbound heading": "Outbound heading", "offset heading": "Offset heading"}
_PLACES = {
    "overshoot": ("on course", "through"),
    "rolled out short": ("on course", "short"),
    "distance limit": ("inside the limit", "beyond"),
    "primary area": ("inside the area", "outside"),
    "roll-out point": ("where planned", "from there"),
}


def chip_words(effect: Effect, cause: Cause) -> str:
    """Return what was to be done and what it leads to, as "Outbound 3:49 → inside the limit"."""
    doing = _doing(cause)
    if cause.after_m >= cause.before_m - 0.5 * cause.contribution_m:
        return f"{doing}, with the rest"  # alone it changes next to nothing
    right, wrong = _PLACES[effect.name]
    left = right if cause.after_m < _NOTHING_M else f"{wording.miles(cause.after_m)} {wrong}"
    return f"{doing} → {left}"


def _doing(cause: Cause) -> str:
    change = cause.asked - cause.flown
    if cause.name in _HEADINGS:
        said = _CHANGE.search(cause.text)  # of the headings as they are printed, which rounding may part from this
        return f"{_HEADINGS[cause.name]} {said[1] if said else f'{abs(change):.0f}° more {side_word(change)}'}"
    if cause.name == "rate of turn":
        return f"Turn at {cause.asked:.1f}°/s"
    if cause.name == "outbound tracking":
        return "Track the outbound course"
    if cause.name == "outbound time":
        return f"Outbound {clock_words(cause.asked)}"
    if cause.name == "outbound distance":
        return f"Turn back at {cause.asked:.1f} NM"
    if cause.name == "offset leg time":
        return f"Offset leg {clock_words(cause.asked)}"
    if cause.name == "offset turn":
        return "Turn back at once" if cause.asked < 1.0 else f"{cause.asked:.0f} s level before turning back"
    if cause.name == "turn at the fix":
        return "Turn at once at the fix"
    return f"Turn in {abs(change):.0f} s {'sooner' if change < 0.0 else 'later'}"
