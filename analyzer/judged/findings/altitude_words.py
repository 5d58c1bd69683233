"""What is said of an altitude beyond its limit: which fault it is, how grave, in words, with advice and reference."""

from dataclasses import dataclass

from analyzer.given import AltitudeLimit, PhaseName
from analyzer.judged.findings.case import Case
from analyzer.judged.findings.needle_words import established_words
from analyzer.judged.findings.values import Severity
from analyzer.judged.measurements.values import AltitudeMeasure, AltitudeViolation
from analyzer.units import METRES_PER_FOOT, feet

#: a violation that ends within this of the segment's end was still going on there
SAME_MOMENT_S = 1.0
SAME_HEIGHT_M = 0.5 * METRES_PER_FOOT
#: a level-off nearer to the minimum that counts than to the next one by this share is one below it, and no descent
#: begun too early (own choice); without a next minimum so much below it
NEARER_SHARE, NEARER_M = 0.5, 500.0 * METRES_PER_FOOT


def code_of(case: Case, limit: AltitudeLimit, violation: AltitudeViolation | None, *, low: bool) -> str:
    """Return the code of an altitude beyond its limit."""
    if limit.rule == "at":
        return "off-assigned-altitude"
    if not low:
        return "above-maximum-altitude"
    if limit.segment == "final":
        return "below-minimum-descent-altitude"
    if violation is None or levelled_below(case, limit, violation):
        return "below-minimum-altitude"
    first = case.attempt.first_passage_s
    went_down = violation.start_s > case.attempt.start_s + SAME_MOMENT_S
    if limit.segment == "arrival" and went_down and abs(violation.end_s - first) <= SAME_MOMENT_S:
        return "descended-before-fix"
    if (
        limit.segment == "reversal"
        and violation.start_s > first + SAME_MOMENT_S
        and _allows_less_next(case)
        and violation.end_s >= established_or_end_s(case) - SAME_MOMENT_S
    ):
        return "descended-before-established"
    return "below-minimum-altitude"


def levelled_below(case: Case, limit: AltitudeLimit, violation: AltitudeViolation) -> bool:
    """Return whether a stretch was a level-off below the minimum itself, and no descent to the next one begun early.

    On the way in, from the reversal turn on, more than a test allows about an altitude is the next descent begun.
    """
    if limit.low_m is None or violation.level_m is None:
        return False
    on_the_way_in = limit.segment == "reversal" and case.phase_at(violation.start_s)[0] in (
        "reversal turn",
        "intercept",
    )
    if on_the_way_in and limit.low_m - violation.level_m > case.tolerances.si(f"{case.task}.altitude_ft"):
        return False
    following = {"arrival": "reversal", "reversal": "inbound", "inbound": "final"}.get(limit.segment)
    after = None if following is None else case.procedure.altitude(following)  # type: ignore[arg-type]
    room_m = 2.0 * NEARER_M if after is None or after.low_m is None else limit.low_m - after.low_m
    return limit.low_m - violation.level_m < NEARER_SHARE * room_m or room_m <= 0.0


def _allows_less_next(case: Case) -> bool:
    """Whether the inbound leg allows less than the reversal."""
    reversal, inbound = case.procedure.altitude("reversal"), case.procedure.altitude("inbound")
    if reversal is None or reversal.low_m is None:
        return False
    return inbound is None or inbound.low_m is None or inbound.low_m < reversal.low_m


def established_or_end_s(case: Case) -> float:
    """Return until when the reversal's altitude counts: established, else the fix, else the end."""
    ends = [moment for moment in case.attempt.established_s if moment is not None]
    passage = case.attempt.last_inbound_passage_s
    return ends[-1] if ends else passage if passage is not None else case.attempt.end_s


def in_doubt_of_the_moment(case: Case, measure: AltitudeMeasure) -> bool:
    """Return whether all that was too low lies within the doubt of the moment from which it was allowed."""
    limit = measure.limit
    if limit.segment != "reversal" or limit.rule == "at" or limit.low_m is None or not measure.violations:
        return False
    if not _allows_less_next(case) or all(moment is None for moment in case.attempt.established_s):
        return False
    from_s = established_or_end_s(case) - case.tolerances.value("intercept.established_doubt_s")
    return all(one.start_s >= from_s and one.worst_m < limit.low_m for one in measure.violations)


def severity_of(case: Case, code: str, beyond_m: float) -> Severity:
    """Return how grave it is; compared as the sentence rounds it, to the foot."""
    if code == "above-maximum-altitude":
        return "major"
    if code == "off-assigned-altitude":
        critical_m = case.tolerances.si("assigned.critical_altitude_ft")
        return "critical" if beyond_m > critical_m + SAME_HEIGHT_M else "major"
    if code == "below-minimum-descent-altitude":
        return "critical" if beyond_m >= case.tolerances.si("final.critical_below_ft") - SAME_HEIGHT_M else "major"
    return "critical" if beyond_m > case.tolerances.si(f"{case.task}.altitude_ft") + SAME_HEIGHT_M else "major"


@dataclass(frozen=True)
class Beyond:
    """An altitude beyond a limit: its code, the segment in words, when, the reading in words, how far, and how."""

    code: str
    segment: str
    bound_m: float
    when: str
    reading: str
    beyond_m: float
    level: bool


def sentence(case: Case, beyond: Beyond) -> str:
    """Return what was flown, in one or two sentences."""
    code, name, bound_m, reading = beyond.code, beyond.segment, beyond.bound_m, beyond.reading
    start = beyond.when[0].upper() + beyond.when[1:]
    flown = "was level below" if beyond.level else "was below"
    said = {
        "descended-before-fix": f"{start}, before the fix was crossed outbound, the flight was below the "
        f"{feet(bound_m)} of the arrival: {reading}.",
        "descended-before-established": f"{start}, before being established inbound, the flight was below the "
        f"{feet(bound_m)} of {name}: {reading}.",
        "below-minimum-altitude": f"{start} the flight {flown} the {feet(bound_m)} minimum of {name}: {reading}.",
        "below-minimum-descent-altitude": f"{start} the flight was below the minimum descent altitude of "
        f"{feet(bound_m)}: {reading}.",
        "above-maximum-altitude": f"{start} the flight was above the {feet(bound_m)} maximum of {name}: {reading}.",
        "off-assigned-altitude": f"{start} the flight was off the {feet(bound_m)} of {name}: {reading}.",
    }[code]
    allowed_m = case.tolerances.si(f"{case.task}.altitude_ft")
    if code.startswith(("below-minimum-altitude", "descended")) and beyond.beyond_m <= allowed_m + SAME_HEIGHT_M:
        said += (
            f" That is inside the {feet(allowed_m)} of the {case.tolerances.title}, but below a charted minimum, which "
            "allows nothing below it."
        )
    return said


def advice_on(case: Case, code: str, bound_m: float, phase: PhaseName | None) -> str:
    """Return what to do instead."""
    established = established_words(case)
    turning = phase is not None and phase.endswith("turn")
    return {
        "descended-before-fix": f"Hold {feet(bound_m)} until the fix is crossed, or abeam, outbound; then descend.",
        "descended-before-established": f"Hold {feet(bound_m)} until the flight is {established}; then descend.",
        "below-minimum-altitude": f"Level off 50 ft above {feet(bound_m)} and trim before the next turn.",
        "below-minimum-descent-altitude": "Lead the level-off by a tenth of the descent rate, adding power as it "
        f"begins, and hold {feet(bound_m)}; below it only with the runway in sight.",
        "above-maximum-altitude": f"Be at or below {feet(bound_m)} before the segment begins; plan the descent by "
        "time.",
        "off-assigned-altitude": f"Hold {feet(bound_m)} through the turns: add back pressure with the bank, check "
        "every 10 s."
        if turning
        else f"Trim at {feet(bound_m)} after each turn, check every 10 s, and correct every deviation "
        "at once: 200 ft/min for 100 ft.",
    }[code]


def reference_of(case: Case, code: str) -> str:
    """Return the documents that the limit and its tolerance are from."""
    if code == "below-minimum-descent-altitude":
        return f"chart; {case.tolerances.reference('final.minimum_descent_below_ft')}"
    if code == "off-assigned-altitude":
        return f"chart; {case.tolerances.reference(f'{case.task}.altitude_ft')}"
    if code == "above-maximum-altitude" or not case.is_us:
        return "chart: altitude of the segment"
    if case.procedure.is_hold:
        return "chart; AIM 5-4-9 a5, b3" if code == "descended-before-established" else "chart: altitude of the segment"
    return "chart; AIM 5-4-9 a2" if code == "descended-before-fix" else "chart; AIM 5-4-9 a"


def altitude_remedy(kind: str) -> str:
    """Return what would settle an altitude that is too close to call, by the kind of the record."""
    words = kind.lower()
    if "geometric" in words and "temperature" not in words:
        return "Enter the temperature and the station's elevation, or record the altimeter's altitude, to settle it."
    if "geometric" in words:
        return "Record the altimeter's altitude, or enter the altimeter setting with a pressure altitude, to settle it."
    if "pressure" in words and ("setting" not in words or "unknown" in words):
        return "Enter the altimeter setting to settle it."
    if "indicated" in words:
        return "A record of the altimeter to the foot, without scatter, would settle it."
    return "An altimeter whose error is known to be smaller (a smaller stated altitude uncertainty) would settle it."
