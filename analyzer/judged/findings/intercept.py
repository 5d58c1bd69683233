"""Judges how the inbound course was taken up and tracked."""

from analyzer.flown import Phase
from analyzer.given import frame_of
from analyzer.judged.findings.case import SIGMAS_OF_DOUBT, Case, Part, verdict_of, worst_verdict
from analyzer.judged.findings.values import Finding, Severity, Verdict
from analyzer.units import METRES_PER_NM, clock, difference_deg, miles, seconds, side_word

DEFAULT_ANGLE_SIGMA_DEG = 1.5
DEFAULT_DEFLECTION_SIGMA = 0.02  # 10 m at 3 NM from a VOR whose needle is full over at 10 degrees
DEFAULT_LATE_SIGMA_S = 1.0
LEAST_CROSSWIND_MPS = 2.0  # less does not explain an overshoot
CUT_DEG, LOCALIZER_CUT_DEG = 20.0, 10.0  # handbook practice: back to a course within some degrees of it; own choice
SAME_CORRECTION_DEG = 5.0  # nearer to what the wind asked for than this the drift correction was not at fault
ESTABLISHED_REFERENCE = {
    "US": "Pilot/Controller Glossary, established; ICAO Doc 8168 Vol I as quoted in FAA-H-8261-1 p. 4-6",
    "ICAO": "ICAO Doc 8168 Vol I as quoted in FAA-H-8261-1 p. 4-6",
}


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
        if not intercept.needle_heard:
            return Part(
                "not assessed",
                (),
                ("Intercept: the whole way in lies inside the station's cone, where the needle says nothing.",),
            )
        return Part("not to standard", (_not_established(case), *_way_in(case)))
    verdicts: list[Verdict] = ["to standard"]
    findings = []
    if intercept.steady_deflection is not None:
        verdict, finding = _tracking(case, intercept.steady_deflection)
        verdicts.append(verdict)
        findings += [finding] if finding else []
    verdict, overshoot = _overshoot(case)
    verdicts.append(verdict)
    findings += [overshoot] if overshoot else []
    missing: tuple[str, ...] = ()
    if intercept.steady_deflection is None:
        missing = ("Tracking inbound: the needle once established could not be measured.",)
    return Part(worst_verdict(verdicts), (*findings, *_way_in(case)), missing)


def _inbound_words(case: Case) -> str:
    return f"the {round(case.procedure.inbound_magnetic_deg) % 360 or 360:03d}° inbound course"


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
            f"The flight was established on {_inbound_words(case)} only at {clock(after)}, "
            f"{seconds(after - passage)} after "
            f"the fix was crossed inbound at {clock(passage)}.",
            "Correct heading, time and turn for the wind so that the course is reached before the fix; not established "
            "there, fly another lap before any descent."
            if case.procedure.reversal == "holding"
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
        f"Up to {until} the flight was never within half scale and 10° of {_inbound_words(case)} for 10 s: not "
        "established.",
        "Intercept at 30° to 45° and turn as the needle moves in; not established at the fix, "
        + ("fly another lap." if case.procedure.reversal == "holding" else "do not descend: fly the missed approach."),
        reference,
    )


def _tracking(case: Case, largest: float) -> tuple[Verdict, Finding | None]:
    intercept = case.measures.intercept
    key = f"{case.task}.deflection"
    limit = case.tolerances.value(key)
    sigma = DEFAULT_DEFLECTION_SIGMA if intercept.steady_deflection_sigma is None else intercept.steady_deflection_sigma
    verdict = verdict_of(limit - largest, sigma)
    if verdict == "to standard":
        return verdict, None
    at_s = intercept.steady_deflection_at_s
    phase, lap = case.phase_at(at_s)
    at = "" if at_s is None else f"At {clock(at_s)}, "
    typical = intercept.rms_deflection  # with the last stretch before the station, which is not judged
    rms = "" if typical is None or typical > largest else f" (typically at {typical:.2f})"
    start = f"{at}{'o' if at else 'O'}nce established, the needle was at {largest:.2f} of full scale{rms}, "
    numbers = (largest, limit, limit - largest, "full scale")
    if verdict == "too close to call":
        return verdict, Finding(
            "intercept-too-close",
            "note",
            phase,
            lap,
            at_s,
            f"{start}within the doubt of {SIGMAS_OF_DOUBT * sigma:.2f} (2 sigma) about the limit of {limit:.2f}: "
            "too close to call.",
            "A recorded needle (a deflection column) or better positions would settle it.",
            case.tolerances.reference(key),
            *numbers,
        )
    severity: Severity = "critical" if largest - SIGMAS_OF_DOUBT * sigma > 1.0 else "major"
    return verdict, Finding(
        "outside-tracking-limit",
        severity,
        phase,
        lap,
        at_s,
        f"{start}beyond the limit of {limit:.2f}.",
        _tracking_advice(case),
        case.tolerances.reference(key),
        *numbers,
    )


def _tracking_advice(case: Case) -> str:
    """Advise on what kept the needle out: the drift correction, or flying beside the course with the right one."""
    leg = next((leg for leg in reversed(case.measures.legs) if leg.phase == "inbound"), None)
    last = "" if case.procedure.reversal == "holding" else "; at full scale on the final course fly the missed approach"
    cut = LOCALIZER_CUT_DEG if case.procedure.guidance.kind == "localizer" else CUT_DEG
    back = f"turn {cut:.0f}° towards the needle until it centres, then take the drift correction up again"
    known = leg is not None and leg.heading_true_deg is not None and leg.drift_correction_deg is not None
    if leg is None or not known or leg.course_true_deg is None:
        return f"Find the heading that stops the needle, and {back}{last}."
    asked = leg.drift_correction_deg or 0.0
    flown = float(difference_deg(leg.course_true_deg, leg.heading_true_deg or 0.0))
    if abs(flown - asked) <= SAME_CORRECTION_DEG:
        return f"The drift correction was right, but beside the course is not on it: {back}{last}."
    was = f"{abs(flown):.0f}° {side_word(flown)}" if abs(flown) >= 0.5 else "none"
    needed = f"{abs(asked):.0f}° {side_word(asked)}" if abs(asked) >= 0.5 else "none"
    return f"The wind asked for a drift correction of {needed}, flown was {was}: with the needle out, {back}{last}."


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
        key, measured, unit = "intercept.overshoot_deflection", deflection, "full scale"
        sigma = deflection * intercept.sigma_m / overshoot_m
        pegged = deflection - SIGMAS_OF_DOUBT * sigma > 1.0
    limit = case.tolerances.value(key)
    if verdict_of(limit - measured, sigma) != "not to standard":
        return "to standard", None
    at_s = intercept.overshoot_at_s
    phase, lap = case.phase_at(at_s)
    scale = "" if deflection is None else f", {deflection:.2f} of the needle's full scale"
    allowed = f"{limit:.2f} of full scale" if deflection is not None else f"{limit:.2f} NM"
    at = "At an unknown time" if at_s is None else f"At {clock(at_s)}"
    severity: Severity = "major" if pegged else "minor"
    return ("not to standard" if pegged else "to standard"), Finding(
        "overshot-course",
        severity,
        phase,
        lap,
        at_s,
        f"{at} the flight was {miles(overshoot_m)} beyond {_inbound_words(case)}{scale}; the limit is {allowed}.",
        _overshoot_advice(case),
        case.tolerances.reference(key),
        measured,
        limit,
        limit - measured,
        unit,
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
    return "Lead the turn onto the course by how fast the needle moves, and hold 3°/s to the inbound heading."


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
        advice = "Close on the course at 30° to 45°, and hold that heading until the needle is moving in."
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
        f"At {clock(at_s)} the flight closed on {_inbound_words(case)} at {shown}°, {words}.",
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
    word = "late" if late > 0 else "early"
    moment = clock(intercept.turn_onto_course_s - late)
    return Finding(
        f"turned-inbound-{word}",
        "minor",
        phase,
        lap,
        intercept.turn_onto_course_s,
        f"The turn onto {_inbound_words(case)} began at {clock(intercept.turn_onto_course_s)}, {abs(late):.0f} s "
        f"{word}: at "
        f"{moment} the same turn would have ended on the course.",
        f"Watch how fast the needle moves and lead it: this turn had to begin {late:.0f} s sooner."
        if late > 0
        else "Hold the intercept heading until the needle moves in steadily, then lead by the turn's radius only.",
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
    course = _inbound_words(case)
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
