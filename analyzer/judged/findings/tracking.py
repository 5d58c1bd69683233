"""Judges how the inbound course was kept once established: by the needle, near the station by the distance from it."""

from analyzer.judged.findings.case import SIGMAS_OF_DOUBT, Case, verdict_of
from analyzer.judged.findings.needle_words import beacon_deg, course_words, in_units, is_beacon, shown
from analyzer.judged.findings.values import Finding, Severity, Verdict
from analyzer.judged.findings.wording import magnetic
from analyzer.judged.measurements.values import LegMeasure
from analyzer.units import METRES_PER_NM, clock, difference_deg, miles, side_word

DEFAULT_DEFLECTION_SIGMA = 0.02  # 10 m at 3 NM from a VOR whose needle is full over at 10 degrees
CUT_DEG, LOCALIZER_CUT_DEG = 20.0, 10.0  # handbook practice: back to a course within some degrees of it; own choice
SAME_CORRECTION_DEG = 5.0  # nearer to what the wind asked for than this the drift correction was not at fault


def judge_tracking(case: Case) -> list[tuple[Verdict, Finding | None]]:
    """Return verdicts with their findings: the needle, the last mile before the station, homing."""
    found: list[tuple[Verdict, Finding | None]] = []
    if case.measures.intercept.steady_deflection is not None:
        found.append(_needle(case, case.measures.intercept.steady_deflection))
    near_verdict, near = _near_the_station(case)
    said = any(finding is not None and finding.severity != "note" for _, finding in found)
    found.append((near_verdict, None if said else near))
    homing = _homing(case)
    if homing is not None:
        found.append(("to standard", homing))
    return found


def _needle(case: Case, largest: float) -> tuple[Verdict, Finding | None]:
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
    rms = "" if typical is None or typical > largest else f" (typically at {shown(case, typical)})"
    once = f"{at}{'o' if at else 'O'}nce established, "
    where = f"the flight was {shown(case, largest)} off {course_words(case)}"
    start = f"{once}{where if is_beacon(case) else f'the needle was at {shown(case, largest)}'}{rms}, "
    numbers, unit = in_units(case, largest, limit)
    if verdict == "too close to call":
        return verdict, Finding(
            "intercept-too-close",
            "note",
            phase,
            lap,
            at_s,
            f"{start}within the doubt of {shown(case, SIGMAS_OF_DOUBT * sigma)} (2 sigma) about the limit of "
            f"{shown(case, limit)}: too close to call.",
            "A recorded needle (a deflection column) or better positions would settle it.",
            case.tolerances.reference(key),
            *numbers,
            unit=unit,
        )
    severity: Severity = "critical" if largest - SIGMAS_OF_DOUBT * sigma > 1.0 else "major"
    return verdict, Finding(
        "outside-tracking-limit",
        severity,
        phase,
        lap,
        at_s,
        f"{start}beyond the limit of {shown(case, limit)}.",
        _advice(case),
        case.tolerances.reference(key),
        *numbers,
        unit=unit,
    )


def _near_the_station(case: Case) -> tuple[Verdict, Finding | None]:
    """Judge the distance from the course within 1 NM or 30 s of the station, and in its cone."""
    near = case.measures.intercept.near
    key = "tracking.near_station_nm"
    if near is None:
        return "not assessed", None
    limit_m = case.tolerances.si(key)
    sigma_m = max(near.sigma_m, case.measures.intercept.sigma_m)
    verdict = verdict_of(limit_m - near.off_m, sigma_m)
    if verdict == "to standard":
        return verdict, None
    phase, lap = case.phase_at(near.at_s)
    start = f"At {clock(near.at_s)}, near the station, the flight was {miles(near.off_m)} off {course_words(case)}"
    close = verdict == "too close to call"
    doubt = f"within the doubt of {SIGMAS_OF_DOUBT * sigma_m:.0f} m (2 sigma) about the {miles(limit_m)} allowed there"
    return verdict, Finding(
        "intercept-too-close" if close else "outside-tracking-limit",
        "note" if close else "major",
        phase,
        lap,
        near.at_s,
        f"{start}, {doubt}: too close to call." if close else f"{start}, beyond the {miles(limit_m)} allowed there.",
        "Be on the course with the drift correction found a mile before the station; from there on hold the heading "
        "and chase nothing.",
        case.tolerances.reference(key),
        near.off_m / METRES_PER_NM,
        limit_m / METRES_PER_NM,
        (limit_m - near.off_m) / METRES_PER_NM,
        "NM",
    )


def _homing(case: Case) -> Finding | None:
    homing = case.measures.intercept.homing
    if homing is None:
        return None
    phase, lap = case.phase_at(homing.start_s)
    drift = _asked_deg(case)
    asked = "that the wind asks for" if drift is None else f"of {abs(drift):.0f}° {side_word(drift)}"
    heading = ""
    if drift is not None:
        heading = f", heading {magnetic(case.procedure, case.procedure.inbound_true_deg + drift)} on the bearing here,"
    return Finding(
        "homed-to-beacon",
        "minor",
        phase,
        lap,
        homing.start_s,
        f"From {clock(homing.start_s)} to {clock(homing.end_s)} the nose followed the beacon while its bearing turned "
        f"by {abs(homing.turned_deg):.0f}°: that is homing, a curve from downwind, and not tracking "
        f"{course_words(case)}.",
        f"Hold a drift correction {asked}{heading} and keep the beacon that many degrees off the nose: the bearing "
        "then stands still.",
        "FAA-H-8083-15B ch. 9, ADF: homing and tracking",
        abs(homing.turned_deg),
        0.0,
        -abs(homing.turned_deg),
        "deg",
    )


def _inbound_leg(case: Case) -> LegMeasure | None:
    return next((leg for leg in reversed(case.measures.legs) if leg.phase == "inbound"), None)


def _asked_deg(case: Case) -> float | None:
    leg = _inbound_leg(case)
    return None if leg is None else leg.drift_correction_deg


def _advice(case: Case) -> str:
    """Advise on what kept the needle out: the drift correction, or flying beside the course with the right one."""
    leg = _inbound_leg(case)
    last = "" if case.procedure.reversal == "holding" else _last_resort(case)
    if case.measures.intercept.homing is not None:
        return f"The nose was kept on the beacon: find the heading that keeps the bearing, and fly that{last}."
    cut = LOCALIZER_CUT_DEG if case.procedure.guidance.kind == "localizer" else CUT_DEG
    back = f"turn {cut:.0f}° towards the needle until it centres, then take the drift correction up again"
    stops, out = "the needle", "with the needle out"
    if is_beacon(case):
        back = f"turn {cut:.0f}° beyond the bearing to cut it, and back with the drift correction as it comes"
        stops, out = "the bearing", "off the bearing"
    known = leg is not None and leg.heading_true_deg is not None and leg.drift_correction_deg is not None
    if leg is None or not known or leg.course_true_deg is None:
        return f"Find the heading that stops {stops}, and {back}{last}."
    asked = leg.drift_correction_deg or 0.0
    flown = float(difference_deg(leg.course_true_deg, leg.heading_true_deg or 0.0))
    if abs(flown - asked) <= SAME_CORRECTION_DEG:
        return f"The drift correction was right, but beside the course is not on it: {back}{last}."
    was = f"{abs(flown):.0f}° {side_word(flown)}" if abs(flown) >= 0.5 else "none"
    needed = f"{abs(asked):.0f}° {side_word(asked)}" if abs(asked) >= 0.5 else "none"
    return f"The wind asked for a drift correction of {needed}, flown was {was}: {out}, {back}{last}."


def _last_resort(case: Case) -> str:
    if is_beacon(case):
        return f"; more than {beacon_deg(case, 1.0):g}° off on the final bearing fly the missed approach"
    return "; at full scale on the final course fly the missed approach"
