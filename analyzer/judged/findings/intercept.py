"""Judges how the inbound course was taken up and tracked."""

from analyzer.flown import Phase
from analyzer.given import frame_of
from analyzer.judged.findings.case import SIGMAS_OF_DOUBT, Case, Part, verdict_of, worst_verdict
from analyzer.judged.findings.needle_words import course_words, established_words, in_units, is_beacon, shown
from analyzer.judged.findings.tracking import judge_tracking
from analyzer.judged.findings.values import Finding, Severity, Verdict
from analyzer.units import METRES_PER_NM, clock, miles, seconds, side_word

DEFAULT_ANGLE_SIGMA_DEG = 1.5
DEFAULT_LATE_SIGMA_S = 1.0
LEAST_CROSSWIND_MPS = 2.0  # less does not explain an overshoot
ESTABLISHED_REFERENCE = {
    "US": "Pilot/Controller Glossary, established; ICAO Doc 8168 Vol I as quoted in FAA-H-8261-1 p. 4-6",
    "ICAO": "ICAO Doc 8168 Vol I as quoted in FAA-H-8261-1 p. 4-6",
}
_NOT_AT_THE_INTERMEDIATE_FIX = (
    "Not established at an intermediate fix: stay at the hold's altitude, tell ATC and fly another circuit."
)


def judge_intercept(case: Case) -> Part:
    """Return the verdict on the intercept and its findings."""
    intercept = case.measures.intercept
    if not intercept.established:
        if not case.reached_inbound:
            return Part(
                "not assessed",
                (),
                (f"Intercept: the track ends at {clock(case.attempt.end_s)}, before the inbound course was reached.",),
            )
        if intercept.near is None or intercept.near.established_s is None:
            return Part("not to standard", (_not_established(case), *_way_in(case)))
    tracked = judge_tracking(case)
    verdict, overshoot = _overshoot(case)
    judged = [*tracked, (verdict, overshoot)]
    missing: tuple[str, ...] = ()
    if not intercept.established:
        missing = ("The needle inbound: it says nothing in the station's cone; the position was judged instead.",)
    elif intercept.steady_deflection is None and intercept.near is None:
        missing = ("Tracking inbound: the needle once established could not be measured.",)
    verdicts: list[Verdict] = ["to standard", *(each for each, _ in judged)]
    findings = tuple(finding for _, finding in judged if finding is not None)
    return Part(worst_verdict(verdicts), (*findings, *_way_in(case)), missing)


def _not_established(case: Case) -> Finding:
    intercept = case.measures.intercept
    passage = case.attempt.last_inbound_passage_s
    end_s = passage if passage is not None else case.attempt.end_s
    reference = ESTABLISHED_REFERENCE[case.procedure.criteria]
    phase, lap = case.phase_at(end_s - 1.0)
    after = intercept.established_after_fix_s
    if after is not None and passage is not None:
        return Finding(
            "established-inside-fix",
            "major",
            "final",
            case.attempt.laps,
            after,
            f"The flight was established on {course_words(case)} only at {clock(after)}, "
            f"{seconds(after - passage)} after "
            f"the fix was crossed inbound at {clock(passage)}.",
            "Correct heading, time and turn for the wind so that the course is reached before the fix; not established "
            "there, fly another lap before any descent."
            if case.procedure.reversal == "holding"
            else _NOT_AT_THE_INTERMEDIATE_FIX
            if case.before_final_fix
            else "Not established at the fix means no further descent: go missed or fly another circuit, as cleared.",
            reference,
            after - passage,
            0.0,
            passage - after,
            "s",
        )
    until = f"the fix at {clock(passage)}" if passage is not None else f"the end of the track at {clock(end_s)}"
    return Finding(
        "never-established",
        "critical",
        phase,
        lap,
        end_s,
        f"Up to {until} the flight was never {established_words(case)} for 10 s: not established.",
        f"Intercept at 30° to 45° and turn as the {'bearing comes' if is_beacon(case) else 'needle moves'} in; not "
        "established at the fix, "
        + (
            "fly another lap."
            if case.procedure.reversal == "holding"
            else "do not descend: tell ATC and fly another circuit."
            if case.before_final_fix
            else "do not descend: fly the missed approach."
        ),
        reference,
    )


def _overshoot(case: Case) -> tuple[Verdict, Finding | None]:
    intercept = case.measures.intercept
    overshoot_m = intercept.overshoot_m
    if overshoot_m is None or overshoot_m <= 0.0:
        return "to standard", None
    deflection = intercept.overshoot_deflection
    if deflection is None:
        key, measured, unit = "intercept.overshoot_nm", overshoot_m / METRES_PER_NM, "NM"
        sigma = intercept.sigma_m / METRES_PER_NM
        pegged = False
    else:
        key, measured, unit = "intercept.overshoot_deflection", deflection, "deg" if is_beacon(case) else "full scale"
        sigma = deflection * intercept.sigma_m / overshoot_m
        # near the station a full scale is a few metres: what counts there is the distance
        near = overshoot_m <= case.tolerances.si("tracking.near_station_nm")
        pegged = deflection - SIGMAS_OF_DOUBT * sigma > 1.0 and not near
    limit = case.tolerances.value(key)
    if verdict_of(limit - measured, sigma) != "not to standard":
        return "to standard", None
    at_s = intercept.overshoot_at_s
    phase, lap = case.phase_at(at_s)
    scale = "" if deflection is None else f", {shown(case, deflection)}"
    allowed = shown(case, limit) if deflection is not None else f"{limit:.2f} NM"
    numbers = (measured, limit, limit - measured)
    at = "At an unknown time" if at_s is None else f"At {clock(at_s)}"
    severity: Severity = "major" if pegged else "minor"
    return ("not to standard" if pegged else "to standard"), Finding(
        "overshot-course",
        severity,
        phase,
        lap,
        at_s,
        f"{at} the flight was {miles(overshoot_m)} beyond {course_words(case)}{scale}; the limit is {allowed}.",
        _overshoot_advice(case),
        case.tolerances.reference(key),
        *(numbers if deflection is None else in_units(case, deflection, limit)[0]),
        unit=unit,
    )


def _overshoot_advice(case: Case) -> str:
    blown = _blown_to_the_course(case)
    if case.attempt.flown_as == "80/260":
        if blown:
            return (
                "With the wind across towards the course, hold the 80° heading before turning back; for how long, the "
                "lines for next time say."
            )
        return "Turn through all of the 80° first, then hold 3°/s all the way round to the inbound heading."
    late = _intercept_phase(case)
    at_s = case.measures.intercept.overshoot_at_s
    in_turn = late is None or at_s is None or at_s <= late.start_s  # else the course was passed on the way to it
    if case.attempt.flown_as in ("hold", "racetrack", "teardrop") and in_turn:
        return "Correct the outbound heading away from the course before the turn, and hold 3°/s all the way round."
    if blown and in_turn and case.attempt.flown_as == "45/180":
        return (
            "With the wind across towards the course, fly the offset leg longer: the turn back then ends before the "
            "course, and not on or beyond it."
        )
    return (
        f"Lead the turn onto the course by how fast the {_pointer(case)} moves, and hold 3°/s to the inbound heading."
    )


def _pointer(case: Case) -> str:
    return "bearing" if is_beacon(case) else "needle"


def _blown_to_the_course(case: Case) -> bool:
    """Whether the wind carries from the manoeuvre side across to the course."""
    if case.wind is None or case.attempt.wrong_side:
        return False
    cross = frame_of(case.procedure).along_cross_from_east_north(case.wind.east_mps, case.wind.north_mps)[1]
    return float(cross) * case.procedure.side < -LEAST_CROSSWIND_MPS


def _way_in(case: Case) -> tuple[Finding, ...]:
    """Return findings about angle, moment of the turn and crossings: they cost points but fail no verdict."""
    return tuple(f for f in (_angle(case), _turn_onto_course(case), _crossings(case)) if f is not None)


def _intercept_phase(case: Case) -> Phase | None:
    return case.attempt.phase("intercept", case.attempt.laps)


def _angle(case: Case) -> Finding | None:
    intercept = case.measures.intercept
    phase = _intercept_phase(case)
    angle = intercept.angle_deg
    if angle is None or phase is None:
        return None  # a turn that ends on the course has no intercept leg whose angle could be chosen
    sigma = DEFAULT_ANGLE_SIGMA_DEG if intercept.angle_sigma_deg is None else intercept.angle_sigma_deg
    low, high = (case.tolerances.value(f"intercept.{side}_angle_deg") for side in ("low", "high"))
    at_s = phase.start_s if intercept.angle_at_s is None else intercept.angle_at_s
    if verdict_of(angle - low, sigma) == "not to standard":
        code, limit, margin = "shallow-intercept", low, angle - low
        advice = f"Close on the course at 30° to 45°, and hold that heading until the {_pointer(case)} is moving in."
        words = f"shallower than {low:g}°"
    elif verdict_of(high - angle, sigma) == "not to standard":
        code, limit, margin = "steep-intercept", high, high - angle
        advice = "Keep turning in the reversal until no more than 45° remain to the inbound course."
        words = f"steeper than {high:g}°"
    else:
        return None
    shown = f"{angle:.1f}" if round(angle) == round(limit) else f"{angle:.0f}"
    return Finding(
        code,
        "minor",
        "intercept",
        phase.lap,
        at_s,
        f"At {clock(at_s)} the flight closed on {course_words(case)} at {shown}°, {words}.",
        advice,
        case.tolerances.reference(f"intercept.{'low' if code == 'shallow-intercept' else 'high'}_angle_deg"),
        angle,
        limit,
        margin,
        "deg",
    )


def _turn_onto_course(case: Case) -> Finding | None:
    intercept = case.measures.intercept
    late = intercept.turn_late_s
    if late is None or intercept.turn_onto_course_s is None:
        return None
    sigma = DEFAULT_LATE_SIGMA_S if intercept.turn_late_sigma_s is None else intercept.turn_late_sigma_s
    limit = case.tolerances.value("intercept.turn_onto_course_s")
    if verdict_of(limit - abs(late), sigma) != "not to standard":
        return None
    passage_s = case.attempt.last_inbound_passage_s
    if late < 0 and passage_s is not None and intercept.turn_onto_course_s - late >= passage_s:
        return None  # held on, the heading would have met the course only behind the fix: the turn was not at fault
    phase, lap = case.phase_at(intercept.turn_onto_course_s)
    if phase != "intercept" and case.attempt.flown_as != "teardrop":
        return None  # the outbound leg of a hold or racetrack hardly nears the course: its time is judged as timing
    charted = case.procedure.outbound_s is not None or case.procedure.outbound_m is not None
    if late < 0 and phase == "reversal turn" and charted:
        return None  # the chart says when a base turn is begun, and how well that was kept is judged as timing
    word = "late" if late > 0 else "early"
    moment = clock(intercept.turn_onto_course_s - late)
    return Finding(
        f"turned-inbound-{word}",
        "minor",
        phase,
        lap,
        intercept.turn_onto_course_s,
        f"The turn onto {course_words(case)} began at {clock(intercept.turn_onto_course_s)}, {abs(late):.0f} s "
        f"{word}: at "
        f"{moment} the same turn would have ended on the course.",
        f"Watch how fast the {_pointer(case)} moves and lead it: this turn had to begin {late:.0f} s sooner."
        if late > 0
        else f"Hold the intercept heading until the {_pointer(case)} comes in steadily; lead by the turn's radius.",
        case.tolerances.reference("intercept.turn_onto_course_s"),
        late,
        limit,
        limit - abs(late),
        "s",
    )


def _crossings(case: Case) -> Finding | None:
    intercept = case.measures.intercept
    limit = case.tolerances.value("intercept.crossings")
    if intercept.crossings is None or intercept.crossings <= limit:
        return None
    phase = case.attempt.phase("reversal turn", case.attempt.laps) or _intercept_phase(case)
    at_s = phase.start_s if phase else None
    when = "" if at_s is None else f"From {clock(at_s)} to the fix "
    if intercept.crossings == 2 and (intercept.overshoot_m or 0.0) > 0.0:
        advice = _overshoot_advice(case)  # once in the turn and once on the way back
    else:
        correction = _drift_words(case)
        advice = (
            f"Choose one heading with the drift correction in it{correction}, and change it by 5° at most at a time."
        )
    course = course_words(case)
    return Finding(
        "several-crossings",
        "minor",
        phase.name if phase else None,
        phase.lap if phase else None,
        at_s,
        f"{when}{course if when else course.capitalize()} was crossed {intercept.crossings} times, more than "
        f"{limit:g}.",
        advice,
        case.tolerances.reference("intercept.crossings"),
        float(intercept.crossings),
        limit,
        limit - intercept.crossings,
        "crossings",
    )


def _drift_words(case: Case) -> str:
    for leg in reversed(case.measures.legs):
        if leg.phase == "inbound" and leg.drift_correction_deg is not None:
            drift = leg.drift_correction_deg
            return f" (here {abs(drift):.0f}° {side_word(drift)})" if abs(drift) >= 1.0 else ""
    return ""
