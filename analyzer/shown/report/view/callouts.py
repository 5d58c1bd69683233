"""A finding in at most six words, for the place beside it on the plan, and the strip that shows it."""

from collections.abc import Mapping
from types import MappingProxyType

from analyzer.judged import CODES, Finding
from analyzer.shown.report.view import wording

MOST_WORDS = 6
_VAGUE = ("full scale", "of full scale")  # a share of the needle's scale says nothing beside a place on the plan
#: {measured} and {margin} stand for the amount with its unit; a sentence without its amount falls back to the title
_SHORT: Mapping[str, str] = MappingProxyType(
    {
        "left-distance-limit": "{margin} beyond the limit",
        "left-primary-area": "{margin} outside the primary area",
        "left-secondary-area": "{margin} outside every area",
        "wrong-entry": "not the entry asked for",
        "reversal-not-permitted": "reversal was not permitted",
        "descended-before-fix": "{margin} low before the fix",
        "descended-before-established": "{margin} low before established",
        "below-minimum-altitude": "{margin} below the minimum",
        "below-minimum-descent-altitude": "{margin} below the minimum",
        "above-maximum-altitude": "{margin} above the maximum",
        "outside-tracking-limit": "needle beyond the tolerance",
        "overshot-course": "{measured} through the course",
        "several-crossings": "course crossed several times",
        "shallow-intercept": "{measured} cut, too shallow",
        "steep-intercept": "{measured} cut, too steep",
        "leg-too-short": "{measured} leg, too short",
        "leg-too-long": "{measured} leg, too long",
        "bank-too-steep": "{measured} of bank, too steep",
        "turn-too-slow": "{measured}, turn too slow",
        "turn-too-fast": "{measured}, turn too fast",
        "too-fast": "{measured}, too fast",
        "too-high-for-the-runway": "too high for the runway",
        "below-step-down-fix": "{margin} below the step-down minimum",
        "below-minimum-on-missed-approach": "{margin} below the minimum",
        "homed-to-beacon": "homed to the beacon",
        "circuits-not-as-cleared": "not the circuits cleared",
        "circuit-not-asked-for": "a circuit nobody asked for",
        "laps-converged": "laps came to their time",
        "inbound-leg-short": "{measured} inbound leg, too short",
        "missed-approach-late": "missed approach {measured} late",
        "descended-before-cleared": "{margin} low before cleared",
        "descended-before-segment": "{margin} low before the fix",
        "crossing-altitude-missed": "{margin} off the crossing altitude",
        "off-the-arc": "{measured} off the arc",
        "inbound-leg-long": "{measured} inbound leg, too long",
        "main-cause": "the main cause",
    }
)
_STRIPS: Mapping[str, str] = MappingProxyType(
    {
        "altitude": "altitude",
        "intercept": "needle",
        "turns": "rate",
        "speed": "speed",
        "timing": "track",
        "clearance": "altitude",
    }
)
_DECIMALS = {"NM": 2, "ft": 0, "s": 0, "kt": 0, "deg": 0, "°": 0, "°/s": 1, "deg/s": 1, "crossings": 0}


def amount(value: float | None, unit: str, *, signed: bool = False) -> str:
    """Return a measured amount with its unit; nothing where there is none."""
    if value is None:
        return ""
    decimals = _DECIMALS.get(unit, 2)
    unit = {"deg": "°", "deg/s": "°/s"}.get(unit, unit)
    if unit == "crossings" and round(abs(value)) == 1:
        unit = "crossing"
    gap = "" if unit.startswith("°") or not unit else " "
    return f"{wording.number(value, decimals, signed=signed)}{gap}{unit}"


def short_words(finding: Finding) -> str:
    """Return a finding in at most six words."""
    entry = CODES.get(finding.code)
    title = entry.title if entry is not None else finding.code.replace("-", " ")
    form = _SHORT.get(finding.code, "")
    margin = amount(None if finding.margin is None else abs(finding.margin), finding.unit)
    values = {"margin": margin, "measured": amount(finding.measured, finding.unit)}
    if (
        form
        and finding.unit not in _VAGUE
        and all(value or f"{{{name}}}" not in form for name, value in values.items())
    ):
        return form.format(**values)
    return title if len(title.split()) <= MOST_WORDS else form.partition("} ")[2] or form


def strip_of(finding: Finding) -> str:
    """Return the key of the strip that shows a finding, "" where none does."""
    entry = CODES.get(finding.code)
    return _STRIPS.get(entry.subject, "") if entry is not None else ""
