"""Judges what was flown: side, entry, outbound tracking, wind correction, and whether a reversal was wanted at all."""

from analyzer.judged.findings.as_charted import charted_method, entry_sector, not_permitted
from analyzer.judged.findings.case import SIGMAS_OF_DOUBT, Case, Part
from analyzer.judged.findings.needle_words import in_units, shown
from analyzer.judged.findings.values import Finding, Severity
from analyzer.judged.findings.wording import limb, magnetic
from analyzer.judged.measurements.asked_for import asked_correction_deg
from analyzer.judged.measurements.values import LegMeasure
from analyzer.units import clock, difference_deg, side_word

LONG_ENOUGH_TO_TRACK_S = 60.0  # a shorter outbound leg near the station can't be expected to be on its course
WRONG_WAY_DEG = 3.0  # a correction of less than this the wrong way is a wandering heading, not a choice
DEFAULT_HEADING_SIGMA_DEG = 2.0
DEFLECTION_SIGMA = 0.02  # 10 m at 3 NM from a VOR whose needle is full over at 10 degrees
FULL_SCALE = 1.0


def judge_method(case: Case, *, contained: bool) -> Part:
    """Return findings on how the reversal was flown; `contained`: it stayed inside what must not be left."""
    findings = [
        *_side(case),
        *_entry(case, contained=contained),
        *not_permitted(case),
        *entry_sector(case),
        *charted_method(case),
        *_outbound_tracking(case),
        *_wind_corrections(case),
    ]
    missing = []
    if case.wind is None:
        missing.append("Wind correction: the wind is not known.")
    return Part("not to standard" if findings else "to standard", tuple(findings), tuple(missing))


def judge_side(case: Case) -> Part:
    """Return the side alone: where the flight went shows even in a record that tells little of its turns."""
    findings = tuple(_side(case))
    return Part("not to standard" if findings else "to standard", findings)


def _side(case: Case) -> list[Finding]:
    if not case.attempt.wrong_side:
        return []
    for name in ("offset turn", "reversal turn", "outbound turn"):
        phase = case.attempt.phase(name, 1)
        if phase is not None:
            break
    side = case.procedure.turn_side
    other = "left" if side == "right" else "right"
    at_s = phase.start_s if phase else case.attempt.first_passage_s
    inbound = magnetic(case.procedure, case.procedure.inbound_true_deg)
    outbound = magnetic(case.procedure, case.procedure.outbound_true_deg)
    if case.procedure.is_hold:
        text = (
            f"From {clock(at_s)} on, the hold on the {inbound} inbound course was flown with {other} turns; "
            f"the chart asks for {side} turns."
        )
        advice = f"Say the turn direction aloud before the fix: {side} turns."
    else:
        text = (
            f"The reversal at {clock(at_s)} was flown {other} of the {outbound} outbound course; only the {side} side "
            "is the manoeuvring side."
        )
        advice = f"Brief the barb before the fix: the manoeuvre is on the {side}, looking outbound."
    reference = ("AIM 5-3-8 j" if case.procedure.is_hold else "AIM 5-4-9 a1") if case.is_us else "chart: turn direction"
    return [
        Finding(
            "turned-on-unprotected-side",
            "critical",
            phase.name if phase else None,
            phase.lap if phase else None,
            at_s,
            text,
            advice,
            reference,
        )
    ]


def _entry(case: Case, *, contained: bool) -> list[Finding]:
    attempt = case.attempt
    if not case.procedure.is_hold or attempt.entry is None or attempt.entry_expected is None:
        return []
    if attempt.entry == attempt.entry_expected or attempt.entry_near_boundary:
        return []
    binding = case.tolerances.value("entry.sector_rule_binding") >= 0.5
    severity: Severity = "major" if binding or not contained else "minor"
    arrival = (
        ""
        if attempt.arrival_track_true_deg is None
        else f" on a track of {magnetic(case.procedure, attempt.arrival_track_true_deg)}"
    )
    at_s = attempt.first_passage_s
    return [
        Finding(
            "wrong-entry",
            severity,
            "outbound turn",
            1,
            at_s,
            f"The fix was crossed at {clock(at_s)}{arrival} and a {attempt.entry} entry flown; the 70° rule gives a "
            f"{attempt.entry_expected} entry.",
            "Draw the 70° line on the heading indicator before the fix and name the entry aloud.",
            case.tolerances.reference("entry.sector_rule_binding"),
        )
    ]


def _outbound_tracking(case: Case) -> list[Finding]:
    limit = case.tolerances.value("tracking.deflection")
    for leg in case.measures.legs:
        if leg.phase != "outbound" or leg.end_deflection is None or leg.end_s - leg.start_s < LONG_ENOUGH_TO_TRACK_S:
            continue
        if abs(leg.end_deflection) - limit > SIGMAS_OF_DOUBT * DEFLECTION_SIGMA:
            return [_not_tracked(case, leg, abs(leg.end_deflection), limit)]
    return []


def _not_tracked(case: Case, leg: LegMeasure, off: float, limit: float) -> Finding:
    """Return the finding: major where the needle was still full over, minor where the test's limit alone is passed."""
    course = magnetic(case.procedure, case.procedure.outbound_true_deg)
    numbers, unit = in_units(case, off, limit)
    return Finding(
        "outbound-course-not-tracked",
        "major" if off - SIGMAS_OF_DOUBT * DEFLECTION_SIGMA > FULL_SCALE else "minor",
        "outbound",
        leg.lap,
        leg.end_s,
        f"After {leg.end_s - leg.start_s:.0f} s outbound, at {clock(leg.end_s)}, the flight was still "
        f"{shown(case, off)} {side_word(leg.end_deflection or 0.0)} of the {course} outbound course; the limit is "
        f"{shown(case, limit)}.",
        "Turn to intercept the outbound course at once after the fix and track it before turning off.",
        case.tolerances.reference("tracking.deflection"),
        *numbers,
        unit=unit,
    )


def _wind_corrections(case: Case) -> list[Finding]:
    """At most one finding of each code: the leg farthest off."""
    worst: dict[str, tuple[float, Finding]] = {}
    if case.attempt.wrong_side:
        return []  # every heading follows from the wrong side: that is said once
    for leg in case.measures.legs:
        if leg.lap == 1 and case.attempt.entry in ("teardrop", "parallel"):
            continue  # an entry's outbound leg has a heading of its own
        for amount, finding in (*_correction(case, leg), *_heading(case, leg)):
            if finding.code not in worst or amount > worst[finding.code][0]:
                worst[finding.code] = (amount, finding)
    return [finding for _, finding in worst.values()]


def _free_leg(case: Case, leg: LegMeasure) -> bool:
    """Whether the leg is flown by heading alone: a hold's or racetrack's outbound leg."""
    return leg.phase == "outbound" and case.attempt.flown_as in ("hold", "racetrack")


def _asked_deg(case: Case, leg: LegMeasure) -> float:
    """Correction that the leg's plan asks for, positive to the right; the single drift where there is no plan."""
    if leg.course_true_deg is not None:
        planned = asked_correction_deg(case.measures.solved, leg.phase, leg.lap, leg.course_true_deg)
        if planned is not None:
            return planned
    return leg.drift_correction_deg or 0.0


def _correction(case: Case, leg: LegMeasure) -> list[tuple[float, Finding]]:
    drift = leg.drift_correction_deg
    smallest = case.tolerances.value("wind.smallest_correction_deg")
    if leg.phase != "outbound" or leg.heading_true_deg is None or leg.course_true_deg is None or drift is None:
        return []
    if abs(drift) < smallest:
        return []
    towards = 1.0 if drift > 0 else -1.0
    flown = towards * float(difference_deg(leg.course_true_deg, leg.heading_true_deg))
    sigma = DEFAULT_HEADING_SIGMA_DEG if leg.heading_sigma_deg is None else leg.heading_sigma_deg
    if not _free_leg(case, leg):
        downwind = -towards  # where the wind carries: the side opposite to the correction
        if leg.end_deflection is None or leg.end_deflection * downwind < 0.25:
            return []  # on the course, or upwind of it and turning back to it: the heading tells nothing
    limit = case.tolerances.value("wind.correction_share") * abs(drift)
    wrong_way = flown + SIGMAS_OF_DOUBT * sigma < -WRONG_WAY_DEG
    if not wrong_way and flown + SIGMAS_OF_DOUBT * sigma >= limit:
        return []
    free = _free_leg(case, leg)
    asked = towards * _asked_deg(case, leg)
    if asked < smallest:
        return []  # a plan that turns the other way for another reason is not one for the drift
    asked_words = f"{asked:.0f}° {side_word(drift)}"
    heading = magnetic(case.procedure, leg.heading_true_deg)
    better = magnetic(case.procedure, leg.course_true_deg + towards * asked)
    amount = (
        f"a correction of {abs(flown):.0f}° the wrong way"
        if wrong_way
        else f"a correction of {max(flown, 0.0):.0f}°"
        if flown >= 0.5
        else "no correction"
    )
    finding = Finding(
        "wind-correction-wrong-way" if wrong_way else "no-wind-correction",
        "minor",
        leg.phase,
        leg.lap,
        leg.start_s,
        f"From {clock(leg.start_s)} to {clock(leg.end_s)} the {limb(leg.phase)} was flown on heading {heading} with "
        f"{amount}; "
        f"the wind asked for {asked_words}.",
        f"Fly heading {better} outbound in this wind.",
        case.tolerances.reference("wind.correction_share") if not free else "AIM 5-3-8 j",
        flown,
        limit if not wrong_way else -WRONG_WAY_DEG,
        flown - (limit if not wrong_way else -WRONG_WAY_DEG),
        "deg",
    )
    return [(asked - flown, finding)]


def _heading(case: Case, leg: LegMeasure) -> list[tuple[float, Finding]]:
    """Judge a leg flown by heading: anything between the charted heading and the one corrected for wind is fine."""
    if leg.phase != "offset leg" and not _free_leg(case, leg):
        return []
    if leg.heading_true_deg is None or leg.course_true_deg is None:
        return []
    asked = _asked_deg(case, leg)
    flown = float(difference_deg(leg.course_true_deg, leg.heading_true_deg))
    low, high = min(0.0, asked), max(0.0, asked)
    off = flown - high if flown > high else flown - low if flown < low else 0.0
    key = f"{case.task}.heading_deg"
    limit = case.tolerances.value(key)
    sigma = DEFAULT_HEADING_SIGMA_DEG if leg.heading_sigma_deg is None else leg.heading_sigma_deg
    if abs(off) - limit <= SIGMAS_OF_DOUBT * sigma or _correction(case, leg):
        return []
    charted = magnetic(case.procedure, leg.course_true_deg)
    with_wind = magnetic(case.procedure, leg.course_true_deg + asked)
    asked_words = f"{charted}" if abs(asked) < 1.0 else f"{charted}, or {with_wind} with the wind"
    finding = Finding(
        "heading-off",
        "minor",
        leg.phase,
        leg.lap,
        leg.start_s,
        f"From {clock(leg.start_s)} to {clock(leg.end_s)} the {limb(leg.phase)} was flown on heading "
        f"{magnetic(case.procedure, leg.heading_true_deg)}, {abs(off):.0f}° too far {side_word(off)}; asked for was "
        f"{asked_words}.",
        f"Roll out on {with_wind} and check the heading against the compass before starting the clock.",
        case.tolerances.reference(key),
        off,
        limit,
        limit - abs(off),
        "deg",
    )
    return [(abs(off), finding)]
