"""The legs of a plan in words: from when to count, headings magnetic, distances as they are read."""

from analyzer.given import Procedure, frame_of
from analyzer.judged.findings.wording import end_place, fix_name, magnetic
from analyzer.planned import PathLeg, SolvedPlan, deflection
from analyzer.units import METRES_PER_NM, clock_words as clock, difference_deg, miles

SMALLEST_DRIFT_DEG = 1.0
#: a roll-out farther beyond the course than this is said
SAID_BEYOND_M = 0.05 * METRES_PER_NM
#: a needle farther over than this share of full scale looks full over; one nearer than this is all but centred
NEEDLE_ALIVE = 0.95
#: dots on each side of a course needle (common practice: five, of 2 degrees for a VOR, half a degree for a localizer)
DOTS = 5
#: level time between two turns the same way that is no leg: they are one turn
AT_ONCE_S = 6.0
#: after a smaller turn at the fix than the first a direct entry has to lead away from the course; an outbound heading
#: this far off its reciprocal is said to do so (own choices)
SHORT_TURN_DEG, LEAST_ENTRY_DEG = 120.0, 3.0


def step_lines(procedure: Procedure, plan: SolvedPlan) -> list[str]:
    """Return one line for each leg; a turn and the straight after it share one."""
    lines: list[str] = []
    turn: PathLeg | None = None
    legs = plan.legs
    for number, leg in enumerate(legs):
        following = legs[number + 1] if number + 1 < len(legs) else None
        if leg.turn_deg is not None:
            onto = leg.phase == "intercept"
            turn = leg
            if onto:
                lines.append(_onto_course(procedure, leg))
                turn = None
            elif following is None or following.turn_deg is not None:
                at_once = ", then at once the other way" if leg.phase == "offset turn" and following else ""
                heading = _to(procedure, leg)
                lines.append(f"Turn {_side(leg.turn_deg)} {abs(leg.turn_deg):.0f}° to {heading}{at_once}.")
            continue
        first = number == 0 or (turn is not None and number == 1)
        lines += _straight(procedure, plan, leg, turn, first=first)
        turn = None
    return lines


def _side(turn_deg: float | None) -> str:
    return "right" if (turn_deg or 0.0) > 0 else "left"


def _to(procedure: Procedure, leg: PathLeg) -> str:
    return "" if leg.to_heading_true_deg is None else magnetic(procedure, leg.to_heading_true_deg)


def _correction(leg: PathLeg, course_true_deg: float | None, plan: SolvedPlan) -> str:
    """Say in brackets how much of a heading is for the wind, against its charted course or its own track."""
    if plan.wind is None or leg.heading_true_deg is None:
        return ""
    drift = leg.drift_correction_deg or 0.0
    if course_true_deg is not None:
        drift = float(difference_deg(course_true_deg, leg.heading_true_deg))
    if abs(drift) < SMALLEST_DRIFT_DEG:
        return ""
    return f" ({abs(drift):.0f}° {_side(drift)} for the wind)"


def _of_the_entry(leg: PathLeg, turn: PathLeg | None, course_true_deg: float | None, plan: SolvedPlan) -> str:
    """Say what a direct entry's heading is for where it comes from across the course: not for the wind alone."""
    if leg.lap > 1 or turn is None or course_true_deg is None or leg.heading_true_deg is None:
        return ""
    off = float(difference_deg(course_true_deg, leg.heading_true_deg))
    if abs(turn.turn_deg or 0.0) >= SHORT_TURN_DEG or abs(off) < LEAST_ENTRY_DEG:
        return ""
    why = "for the short turn at the fix" + (" and the wind" if plan.wind is not None else "")
    return f" ({abs(off):.0f}° {_side(off)} of the outbound course {why})"


def _free(procedure: Procedure, plan: SolvedPlan, leg: PathLeg) -> bool:
    """Whether a leg is flown by a heading that only the wind turns off the reciprocal of the course."""
    circuit = plan.method in ("hold", "racetrack") and leg.phase == "outbound"
    return circuit and not (leg.lap == 1 and plan.entry in ("teardrop", "parallel"))


def _straight(procedure: Procedure, plan: SolvedPlan, leg: PathLeg, turn: PathLeg | None, *, first: bool) -> list[str]:
    heading = "" if leg.heading_true_deg is None else magnetic(procedure, leg.heading_true_deg)
    if leg.phase == "outbound":
        return [_outbound(procedure, plan, leg, turn, heading, first=first)]
    if leg.phase == "offset leg":
        start = "as the turn begins" if procedure.timing_from == "turn start" else "with wings level"
        time = leg.timed_s if leg.timed_s is not None else leg.duration_s
        words = f"Turn {_side(turn.turn_deg if turn else None)} to {heading}{_correction(leg, None, plan)}"
        return [f"{words}; start the clock {start}: {clock(time)}."]
    if leg.phase == "offset turn":
        size = "" if turn is None or turn.turn_deg is None else f" {abs(turn.turn_deg):.0f}°"
        side = _side(turn.turn_deg if turn else None)
        return [f"Turn {side}{size} to {heading}, hold it wings level for {clock(leg.duration_s)}."]
    if leg.phase == "intercept":
        return [_intercept(procedure, leg, turn, heading)]
    if leg.phase == "inbound":
        return _inbound(procedure, plan, leg, turn, heading)
    return []


def _outbound(
    procedure: Procedure, plan: SolvedPlan, leg: PathLeg, turn: PathLeg | None, heading: str, *, first: bool
) -> str:
    """Heading, from when to count, and how long or how far."""
    course = procedure.reciprocal_true_deg if _free(procedure, plan, leg) else None
    correction = _of_the_entry(leg, turn, course, plan) or _correction(leg, course, plan)
    fix = fix_name(procedure)
    entry = plan.entry if leg.lap == 1 and plan.entry in ("teardrop", "parallel") else None
    name = f"{entry.capitalize()} entry: over" if entry else "Over"
    if turn is not None:
        start = f"{name} {fix} turn {_side(turn.turn_deg)} to {heading}{correction}"
    elif first and entry is None:
        start = f"From {fix} outbound heading {heading}{correction}"
    else:
        start = f"{name} {fix} outbound heading {heading}{correction}"
    end = leg.end
    if end is not None and end.kind != "time":
        return f"{start}, to {end_place(procedure, end)}."
    time = clock(leg.timed_s if leg.timed_s is not None else leg.duration_s)
    when = None if end is None else end.clock_from
    if when == "abeam or wings level, the later":
        return f"{start}. Clock from abeam {fix} or wings level, the later: {time}."
    if when == "wings level":
        return f"{start}. Clock from wings level: {time}."
    return f"{start}, {time} from over {fix}."


def _intercept(procedure: Procedure, leg: PathLeg, turn: PathLeg | None, heading: str) -> str:
    through = "" if turn is None or turn.turn_deg is None else f" {abs(turn.turn_deg):.0f}°"
    side = _side(turn.turn_deg if turn else None)
    beyond = turn is not None and float(turn.cross_m[0]) * float(leg.cross_m[0]) < 0.0
    across = " through the course" if beyond and abs(float(leg.cross_m[0])) > SAID_BEYOND_M else ""
    return f"Turn {side}{through}{across} to {heading} and intercept{' from there' if across else ''}."


def _inbound(procedure: Procedure, plan: SolvedPlan, leg: PathLeg, turn: PathLeg | None, heading: str) -> list[str]:
    lines = []
    if turn is not None and turn.phase == "reversal turn":
        degrees = abs(turn.turn_deg or 0.0)
        lines.append(f"Turn {_side(turn.turn_deg)} {degrees:.0f}° onto the course, inbound heading {heading}.")
    else:
        lines.append(f"Inbound heading {heading}{_correction(leg, None, plan)}.")
    beyond_m = -procedure.side * float(leg.cross_m[0])
    if beyond_m > SAID_BEYOND_M:
        lines.append(f"That turn ends {miles(beyond_m)} beyond the course: correct to it.")
    return lines


def _onto_course(procedure: Procedure, leg: PathLeg) -> str:
    """When to begin the turn onto the course: by the needle or the bearing where they move, else by the distance."""
    along_m, cross_m = float(leg.along_m[0]), float(leg.cross_m[0])
    course = magnetic(procedure, procedure.inbound_true_deg)
    side = _side(leg.turn_deg)
    guidance = procedure.guidance
    share = abs(float(deflection(procedure, frame_of(procedure), along_m, cross_m)))
    if guidance.full_scale_m is not None:
        return f"Turn {side} onto {course} {miles(abs(cross_m))} before the course."
    degrees = share * (guidance.full_scale_deg or 0.0)
    if guidance.kind == "NDB":
        return f"Turn {side} onto {course} when the bearing is {degrees:.0f}° from {course}."
    if share > NEEDLE_ALIVE:
        return f"Turn {side} onto {course} as the needle comes alive."
    return f"Turn {side} onto {course} when the needle is {dots(share)} out ({degrees:.1f}°)."


def dots(share: float) -> str:
    """Return a deflection in dots, to the half."""
    halves = max(round(2.0 * DOTS * share), 1)
    whole, half = divmod(halves, 2)
    if whole == 0:
        return "half a dot"
    if half:
        return f"{whole}½ dots"
    return "one dot" if whole == 1 else f"{whole} dots"
