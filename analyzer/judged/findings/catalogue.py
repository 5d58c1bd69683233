"""Every code a finding may carry, with its subject and what it says in a few words."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

Subject = Literal[
    "containment", "altitude", "intercept", "timing", "turns", "speed", "hold", "method", "final", "clearance"
]


@dataclass(frozen=True)
class CodeEntry:
    """`counts` names the score that a finding of this code takes points from, None for one that takes none."""

    subject: Subject
    title: str
    counts: Literal["containment", "altitude", "intercept", "timing", "overall"] | None


CODES: Mapping[str, CodeEntry] = MappingProxyType(
    {
        "left-distance-limit": CodeEntry("containment", "beyond the distance limit", "containment"),
        "left-primary-area": CodeEntry("containment", "left the primary area", "containment"),
        "left-secondary-area": CodeEntry("containment", "left the protected area altogether", "containment"),
        "outside-computed-area": CodeEntry("containment", "outside an area that was computed", None),
        "containment-too-close": CodeEntry("containment", "containment too close to call", None),
        "turned-on-unprotected-side": CodeEntry("method", "turned on the unprotected side", "containment"),
        "wrong-entry": CodeEntry("method", "not the entry that the arrival asked for", "overall"),
        "outbound-course-not-tracked": CodeEntry("method", "outbound course not tracked", "intercept"),
        "no-wind-correction": CodeEntry("method", "no wind correction", "overall"),
        "wind-correction-wrong-way": CodeEntry("method", "wind correction the wrong way", "overall"),
        "heading-off": CodeEntry("method", "heading off", "overall"),
        "outside-entry-sector": CodeEntry("method", "entered from outside the entry sector", "overall"),
        "not-the-charted-method": CodeEntry("method", "not the charted method", "overall"),
        "reversal-not-permitted": CodeEntry("method", "reversal flown where none was permitted", "overall"),
        "reversal-missing": CodeEntry("method", "required reversal not flown", "overall"),
        "descended-before-fix": CodeEntry("altitude", "descended before the fix", "altitude"),
        "descended-before-established": CodeEntry("altitude", "descended before established inbound", "altitude"),
        "below-minimum-altitude": CodeEntry("altitude", "below the minimum altitude", "altitude"),
        "below-minimum-descent-altitude": CodeEntry("altitude", "below the minimum descent altitude", "altitude"),
        "above-maximum-altitude": CodeEntry("altitude", "above the maximum altitude", "altitude"),
        "off-assigned-altitude": CodeEntry("altitude", "off the charted altitude", "altitude"),
        "descent-rate": CodeEntry("altitude", "rate of descent too high", "overall"),
        "too-high-for-the-runway": CodeEntry("altitude", "too high for a normal descent to the runway", "overall"),
        "altitude-too-close": CodeEntry("altitude", "altitude too close to call", None),
        "off-the-arc": CodeEntry("final", "off the arc that leads to the fix", "overall"),
        "final-not-tracked": CodeEntry("final", "final course not tracked", "overall"),
        "below-step-down-fix": CodeEntry("final", "below the minimum of a step-down fix", "altitude"),
        "missed-approach-late": CodeEntry("final", "missed approach begun late", "overall"),
        "below-minimum-on-missed-approach": CodeEntry("final", "below the minimum on the missed approach", "altitude"),
        "never-established": CodeEntry("intercept", "never established inbound", "intercept"),
        "established-inside-fix": CodeEntry("intercept", "established only after the fix", "intercept"),
        "outside-tracking-limit": CodeEntry("intercept", "needle beyond the tolerance once established", "intercept"),
        "homed-to-beacon": CodeEntry("intercept", "homed to the beacon instead of tracking", "intercept"),
        "overshot-course": CodeEntry("intercept", "overshot the inbound course", "intercept"),
        "several-crossings": CodeEntry("intercept", "crossed the inbound course several times", "intercept"),
        "shallow-intercept": CodeEntry("intercept", "shallow intercept", "intercept"),
        "steep-intercept": CodeEntry("intercept", "steep intercept", "intercept"),
        "turned-inbound-early": CodeEntry("intercept", "turned onto the inbound course early", "intercept"),
        "turned-inbound-late": CodeEntry("intercept", "turned onto the inbound course late", "intercept"),
        "intercept-too-close": CodeEntry("intercept", "intercept too close to call", None),
        "leg-too-short": CodeEntry("timing", "timed leg too short", "timing"),
        "leg-too-long": CodeEntry("timing", "timed leg too long", "timing"),
        "timing-too-close": CodeEntry("timing", "timing too close to call", None),
        "bank-too-steep": CodeEntry("turns", "bank too steep", "overall"),
        "turn-too-slow": CodeEntry("turns", "rate of turn too slow", "overall"),
        "turn-too-fast": CodeEntry("turns", "rate of turn too fast", "overall"),
        "too-fast": CodeEntry("speed", "above the speed limit", "overall"),
        "speed-not-held": CodeEntry("speed", "airspeed not held", "overall"),
        "speed-too-close": CodeEntry("speed", "speed too close to call", None),
        "main-cause": CodeEntry("method", "the main cause of what went wrong", None),
        "left-early": CodeEntry("hold", "left the hold early", "timing"),
        "left-late": CodeEntry("hold", "left the hold late", "timing"),
        "left-on-time": CodeEntry("hold", "left the hold on time", None),
        "laps-converged": CodeEntry("hold", "the hold's laps came to their time", None),
        "circuits-not-as-cleared": CodeEntry("hold", "not the circuits that were cleared", "overall"),
        "circuit-not-asked-for": CodeEntry("hold", "circuit of a hold in lieu that nobody asked for", "overall"),
        "descended-before-cleared": CodeEntry("clearance", "descended before cleared", "altitude"),
        "descended-before-segment": CodeEntry("clearance", "descended before a published segment", "altitude"),
        "climbed-off-assigned-altitude": CodeEntry("clearance", "climbed off the assigned altitude", "altitude"),
        "crossing-altitude-missed": CodeEntry("clearance", "crossing altitude missed", "altitude"),
        "laps-drift": CodeEntry("hold", "the hold's laps drift", "timing"),
        "inbound-leg-short": CodeEntry("hold", "inbound leg of the hold too short", "timing"),
        "inbound-leg-long": CodeEntry("hold", "inbound leg of the hold too long", "timing"),
    }
)
