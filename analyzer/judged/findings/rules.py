"""Rules that findings judge by: finding, limit, source, status; DEVELOPERS.md prints them, and others in words.

`python -m analyzer.judged.findings.rules` prints the table. A number that is a line of the tolerance sets stands as
`{its.key}` and is filled in from the set of the US practical test.
"""

from dataclasses import dataclass
from typing import Literal

from analyzer.standards import Status, load_tolerances

RuleStatus = Status | Literal["own choice"]


@dataclass(frozen=True)
class Rule:
    """One rule: `codes` that it may raise, its limit in words, where the limit stands, how well that is known."""

    codes: tuple[str, ...]
    limit: str
    source: str
    status: RuleStatus


OWN: RuleStatus = "own choice"
_CHAPTER = "Doc 8168 Vol II, Part I, Section 4, Chapter 3"
RULES: tuple[Rule, ...] = (
    Rule(
        ("left-distance-limit",),
        "the charted distance from the fix; critical from 1 NM beyond (own choice)",
        "chart note; AIM 5-4-9 a",
        "read",
    ),
    Rule(
        ("left-primary-area", "left-secondary-area"),
        "the drawn area; critical",
        "FAA Order 8260.3B, 234 (10 NM); Doc 8168 Vol II, I-4-3, Appendix C",
        "second hand",
    ),
    Rule(("outside-computed-area",), "a note: US rules at hand draw no area of a hold or teardrop", "none", OWN),
    Rule(
        ("containment-too-close", "intercept-too-close", "timing-too-close", "speed-too-close"),
        "margin under twice its 1 sigma",
        "this project's definition",
        OWN,
    ),
    Rule(("turned-on-unprotected-side",), "the charted side; critical", "AIM 5-4-9 a1; AIM 5-3-8 j", "read"),
    Rule(
        ("wrong-entry",),
        "the sector rule, 5° about a boundary free; major where binding or the area is left",
        "AIM 5-3-8 j3 d, j8 d",
        "read",
    ),
    Rule(
        ("no-wind-correction", "wind-correction-wrong-way"),
        "{wind.correction_share} of what the plan asks for, where that is {wind.smallest_correction_deg}° or more",
        "common practice",
        "common practice",
    ),
    Rule(
        ("heading-off",),
        "{before_final.heading_deg}° off what chart and wind ask for",
        "IR.III.B.S4, IR.VI.A.S9",
        "read",
    ),
    Rule(
        ("outside-entry-sector",),
        "30° either side of the outbound track, 5° of doubt (own choice); major; ICAO only",
        f"{_CHAPTER}, 3.5.3",
        "read",
    ),
    Rule(
        ("not-the-charted-method",),
        "the charted method, 45/180 and 80/260 alike; minor; ICAO only (US: AIM 5-4-9 a1)",
        f"{_CHAPTER}, 3.5.4",
        "second hand",
    ),
    Rule(
        ("reversal-not-permitted",),
        "none on NoPT, vectors, timed approaches; major",
        "AIM 5-4-9 a, b1; 14 CFR 91.175(j)",
        "read",
    ),
    Rule(("reversal-missing",), "required by the clearance; major", "AIM 5-4-9 a", "read"),
    Rule(("above-maximum-altitude",), "the charted maximum; major", "chart", "read"),
    Rule(("off-the-arc",), "{tracking.arc_nm} NM off its radius; major", "IR.V.A.S6, IR.VI.A.S9", "read"),
    Rule(("final-not-tracked",), "{tracking.deflection} of full scale", "IR.V.A.S6", "read"),
    Rule(
        ("below-step-down-fix",),
        "the minimum until the step-down fix; major, critical from 100 ft (own choice)",
        "chart",
        "read",
    ),
    Rule(
        ("missed-approach-late", "below-minimum-on-missed-approach"),
        "at the missed approach point, 5 s to begin it (own choice)",
        "chart; IR.VI.A.S13",
        "read",
    ),
    Rule(
        ("never-established", "established-inside-fix"),
        "half scale (NDB 5°) and 10° of the course for 10 s; critical",
        "Doc 8168 Vol I, quoted in FAA-H-8261-1",
        "second hand",
    ),
    Rule(("several-crossings",), "{intercept.crossings} crossing", "common practice", "common practice"),
    Rule(
        ("shallow-intercept", "steep-intercept"),
        "{intercept.low_angle_deg}° to {intercept.high_angle_deg}°",
        "FAA-H-8083-15B ch. 9",
        "read",
    ),
    Rule(
        ("turned-inbound-early", "turned-inbound-late"),
        "{intercept.turn_onto_course_s} s",
        "common practice",
        "common practice",
    ),
    Rule(
        ("leg-too-long",),
        "a charted time by a quarter minor, by half major; a charted length by {timing.leg_over_nm} NM "
        "minor, by {timing.leg_major_over_nm} NM major (the documents allow nothing and give no tolerance); an ICAO "
        "offset leg by {timing.leg_s} s minor, by twice that major",
        f"AIM 5-4-9 a, a5; AIM 5-3-8 j5; {_CHAPTER}, 3.6.2 h) 1)",
        OWN,
    ),
    Rule(
        ("leg-too-short",),
        "as much short of what the wind asks; minor at most",
        "none: no document gives a minimum",
        OWN,
    ),
    Rule(
        ("turn-too-slow", "turn-too-fast"),
        "{turns.slow_rate_share} and {turns.fast_rate_share} of 3°/s or of the rate at 25° of bank",
        "AIM 5-3-8 j8 b; shares common practice",
        "common practice",
    ),
    Rule(
        ("too-fast",),
        "the charted speed, else 200 kt (US reversal), the category's (ICAO), the hold's by altitude",
        "AIM 5-4-9 a3; AIM 5-3-8 j; Doc 8168 Vol II, Tables I-4-1-2 and II-4-1-2",
        "read",
    ),
    Rule(("speed-not-held",), "{before_final.speed_kt} kt", "IR.III.B.S4, IR.VI.A.S9", "read"),
    Rule(("main-cause",), "a note: the largest of the causes found", "this project's own reckoning", OWN),
    Rule(
        ("left-early", "left-late", "left-on-time"),
        "{timing.leave_s} s about the time cleared; major beyond twice that",
        "AIM 5-3-8 k; IR.III.B.S5 (no seconds)",
        OWN,
    ),
    Rule(
        ("descended-before-cleared", "climbed-off-assigned-altitude"),
        "{before_final.altitude_ft} ft about the altitude assigned until the clearance; critical beyond "
        "{assigned.critical_altitude_ft} ft",
        "14 CFR 91.123 (a); AIM 4-4-10 a; IR.III.A.S5",
        "read",
    ),
    Rule(
        ("descended-before-segment",),
        "as much, from the clearance to the fix, which is taken for the beginning of a published segment; major",
        "14 CFR 91.175 (i)",
        "read",
    ),
    Rule(
        ("crossing-altitude-missed",),
        "the altitude cleared for the fix; {before_final.altitude_ft} ft about an exact one; major",
        "14 CFR 91.123 (a); AIM 4-4-10 a",
        "read",
    ),
    Rule(("circuits-not-as-cleared",), "the number cleared; minor", "clearance", OWN),
    Rule(
        ("circuit-not-asked-for",),
        "one circuit of a hold in lieu, unless asked for; minor; US only",
        "AIM 5-4-9 a5",
        "read",
    ),
    Rule(("laps-drift",), "{timing.lap_drift_nm} NM over three laps", "common practice", "common practice"),
    Rule(
        ("inbound-leg-short", "inbound-leg-long", "laps-converged"),
        "{timing.inbound_leg_s} s about the minute (or 1.5) in the last lap; minor",
        "AIM 5-3-8 j4; seconds common practice",
        "common practice",
    ),
)


def table() -> list[str]:
    """Return the rules as lines of a Markdown table, in the order of their subjects."""
    tolerances = load_tolerances()
    lines = ["| Finding | Limit | Source | Status |", "|---|---|---|---|"]
    for rule in RULES:
        limit = rule.limit
        for key in tolerances.lines:
            limit = limit.replace(f"{{{key}}}", f"{tolerances.value(key):g}")
        codes = ", ".join(f"`{code}`" for code in rule.codes)
        lines.append(f"| {codes} | {limit} | {rule.source} | {rule.status} |")
    return lines


if __name__ == "__main__":
    print("\n".join(table()))
