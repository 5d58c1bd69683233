"""What to fly next time: headings, times and rates of one reversal in one wind, short enough to read aloud."""

import math
from dataclasses import dataclass, replace

from analyzer.given import AltitudeSegment, Entry, FlownAs, Procedure, Wind
from analyzer.judged.findings.wording import magnetic
from analyzer.planned import NominalPath, PathLeg, nominal_paths
from analyzer.standards import FLYING
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_FPM, difference_deg, feet, knots, miles

SMALLEST_DRIFT_DEG = 1.0
SMALLEST_DESCENT_M = 50.0 * METRES_PER_FOOT
AT_ONCE_S = 6.0  # a level part shorter than this between two turns the same way is not a leg: one turn
BY_SO_LITTLE_M = 100.0  # a turn that passes the course by less than this ends on it
LEAST_INBOUND_S = 5.0  # with the end of the turn that is established for 10 s: less than it asks for a circuit
SHORTEST_HELD_S = 5.0
BANK_CHANGE_S = 7.0  # level part that rolling from bank to bank of an 80/260 stands for
NEEDLE_ALIVE = 0.95  # a needle farther over than this looks full over


@dataclass(frozen=True)
class FlightCard:
    """One card.

    Parameters
    ----------
    title : str
    conditions : str
        Wind and airspeed the card is for.
    lines : tuple of str
        What to do, in order, one sentence each; empty where no heading holds the tracks (`conditions` says so).
    """

    title: str
    conditions: str
    lines: tuple[str, ...]

    @property
    def spoken(self) -> str:
        """The whole card as it is read aloud."""
        return " ".join((self.conditions, *self.lines))


def flight_card(
    procedure: Procedure,
    tas_mps: float,
    wind: Wind | None,
    method: FlownAs,
    entry: Entry | None = None,
    title: str = "Next time, in the same wind",
) -> FlightCard:
    """Return the card for a procedure in a wind.

    Parameters
    ----------
    procedure : Procedure
    tas_mps : float
        True airspeed to be flown, greater than zero.
    wind : Wind or None
        None: still air.
    method : str
        As flown or as intended; "other" is taken as the method that the procedure suggests.
    entry : str or None
        Of a hold; None: direct.
    title : str

    Notes
    -----
    Headings and times are those of the wind-corrected path that the report draws.
    """
    from_deg = 0.0 if wind is None else wind.from_deg_true
    calm = wind is None or wind.speed_mps < 0.5
    air = (
        "Still air"
        if calm or wind is None
        else f"Wind {magnetic(procedure, from_deg)} magnetic at {knots(wind.speed_mps)}"
    )
    conditions = f"{air}, true airspeed {knots(tas_mps)}."
    paths = nominal_paths(procedure, tas_mps, None if calm else wind, method, entry or "direct")
    corrected = [path for path in paths if calm or path.name == "wind-corrected path"]
    if not corrected:
        reason = "no heading holds the tracks in this wind" if paths else "this way of reversing has no plan"
        return FlightCard(title, f"{conditions[:-1]}: {reason}.", ())
    path = replace(corrected[-1], legs=_asked_for(procedure, corrected[-1].legs))
    lines = [*_legs(procedure, path), *_descents(procedure, path)]
    return FlightCard(title, conditions, tuple(lines))


def _asked_for(procedure: Procedure, legs: tuple[PathLeg, ...]) -> tuple[PathLeg, ...]:
    """Legs that a pilot is asked to fly: in lieu of a procedure turn no circuit after the entry, no turn in two pieces.

    A hold in lieu is complete when established inbound after the entry (AIM 5-4-9 a5); the planned path goes on round
    the pattern.
    """
    if procedure.reversal == "hold in lieu" and legs[-1].lap > 1:
        entry = tuple(leg for leg in legs if leg.lap == 1)
        if sum(leg.duration_s for leg in entry if leg.phase == "inbound") >= LEAST_INBOUND_S:
            legs = entry
    asked: list[PathLeg] = []
    for leg in legs:
        turn, level = (asked[-2], asked[-1]) if len(asked) > 1 else (None, None)
        if turn is not None and level is not None and _one_turn(turn, level, leg):
            asked[-2:] = [replace(turn, turn_deg=(turn.turn_deg or 0.0) + (leg.turn_deg or 0.0))]
        else:
            asked.append(leg)
    return tuple(asked)


def _one_turn(turn: PathLeg, level: PathLeg, onto: PathLeg) -> bool:
    """Whether the turn onto the course only goes on with the reversal turn, or takes back a trifle of it."""
    if turn.phase != "reversal turn" or level.turn_deg is not None or onto.turn_deg is None or turn.turn_deg is None:
        return False
    if onto.phase != "intercept" or level.duration_s > AT_ONCE_S:
        return False
    return turn.turn_deg * onto.turn_deg > 0.0 or abs(float(onto.cross_m[0])) <= BY_SO_LITTLE_M


def _clock(seconds: float) -> str:
    whole = round(seconds)
    return f"{whole // 60}:{whole % 60:02d}" if whole >= 60 else f"{whole} seconds"


def _drift(leg: PathLeg, procedure: Procedure | None = None) -> str:
    """Correction in brackets; of a leg flown by heading (`procedure` given) against the reciprocal of the course."""
    drift = leg.drift_correction_deg or 0.0
    if procedure is not None and leg.heading_true_deg is not None:
        drift = float(difference_deg(procedure.reciprocal_true_deg, leg.heading_true_deg))
    if abs(drift) < SMALLEST_DRIFT_DEG:
        return ""
    return f" ({abs(drift):.0f}° {'right' if drift > 0 else 'left'} for the wind)"


def _side(turn_deg: float | None) -> str:
    return "right" if (turn_deg or 0.0) > 0 else "left"


def _legs(procedure: Procedure, path: NominalPath) -> list[str]:
    """One line for each leg; a turn and the straight after it share one."""
    lines = []
    turn: PathLeg | None = None
    for number, leg in enumerate(path.legs):
        following = path.legs[number + 1] if number + 1 < len(path.legs) else None
        if number and leg.lap > path.legs[number - 1].lap and procedure.reversal == "hold in lieu":
            lines.append("That leaves no time to be established before the fix: ask for one circuit more.")
        if leg.turn_deg is not None:
            turn = leg
            if leg.phase == "intercept":
                lines.append(_onto_course(procedure, leg))
            elif leg.phase == "offset turn" and path.method == "80/260":
                level = following is not None and following.turn_deg is None
                held_s = following.duration_s - BANK_CHANGE_S if following is not None and level else 0.0
                hold = f"hold for {_clock(held_s)}" if held_s >= SHORTEST_HELD_S else "then at once the other way"
                lines.append(f"Turn {_side(leg.turn_deg)} {abs(leg.turn_deg):.0f}°, {hold}.")
            elif following is None or following.turn_deg is not None:
                lines.append(f"Turn {_side(leg.turn_deg)} {abs(leg.turn_deg):.0f}°.")
            continue
        heading = "" if leg.heading_true_deg is None else magnetic(procedure, leg.heading_true_deg)
        lines += _straight(procedure, path, leg, turn, heading)
        turn = None
    return lines


def _straight(procedure: Procedure, path: NominalPath, leg: PathLeg, turn: PathLeg | None, heading: str) -> list[str]:
    if leg.phase == "outbound":
        start = f"Turn {_side(turn.turn_deg)} to {heading}" if turn is not None else f"Outbound heading {heading}"
        if procedure.outbound_m is not None:
            free = procedure if turn is not None and path.method in ("hold", "racetrack") else None
            return [f"{start}{_drift(leg, free)} to {procedure.outbound_m / METRES_PER_NM:g} NM from the fix."]
        if leg.timed_s is not None and procedure.is_hold and turn is not None:
            return [f"{start}{_drift(leg, procedure)}, {_clock(leg.timed_s)} from abeam or wings level, the later."]
        if path.method == "racetrack":
            return [f"{start}{_drift(leg, procedure)}, {_clock(leg.duration_s)}."]
        return [f"{start}{_drift(leg)}, {_clock(leg.timed_s if leg.timed_s is not None else leg.duration_s)}."]
    if leg.phase == "offset leg":
        start = "from the start of the turn" if procedure.timing_from == "turn start" else "from wings level"
        time = leg.timed_s if leg.timed_s is not None else leg.duration_s
        return [f"Turn {_side(turn.turn_deg if turn else None)} to {heading}{_drift(leg)}, {_clock(time)} {start}."]
    if leg.phase == "offset turn":
        return []  # the change of bank of an 80/260
    if leg.phase == "intercept":
        through = "" if turn is None or turn.turn_deg is None else f" {abs(turn.turn_deg):.0f}°"
        across = ": the wind carries the turn across the course; intercept from there." if _crosses(turn, leg) else ""
        return [f"Turn {_side(turn.turn_deg if turn else None)}{through} to {heading}{across or ' and intercept.'}"]
    if leg.phase == "inbound":
        if turn is not None and turn.phase == "reversal turn":
            degrees = abs(turn.turn_deg or 0.0)
            return [f"Turn {_side(turn.turn_deg)} {degrees:.0f}° onto the course, inbound heading {heading}."]
        return [f"Inbound heading {heading}{_drift(leg)}."]
    return []


def _crosses(turn: PathLeg | None, level: PathLeg) -> bool:
    """Whether the reversal turn ends beyond the course, so that it is closed on from the other side."""
    if turn is None or abs(float(turn.cross_m[0])) < BY_SO_LITTLE_M:
        return False
    return float(turn.cross_m[0]) * float(level.cross_m[0]) < 0.0


def _onto_course(procedure: Procedure, leg: PathLeg) -> str:
    """When to begin the turn onto the course: by the needle where it moves, else by the distance."""
    cross_m = abs(float(leg.cross_m[0]))
    needle = _deflection(procedure, cross_m, float(leg.along_m[0]))
    course = magnetic(procedure, procedure.inbound_true_deg)
    when = f"{miles(cross_m)} before the {course} course"
    if needle is not None and needle <= NEEDLE_ALIVE:
        when += f", the needle at {needle:.1f} of full scale"
    elif needle is not None:
        when += ", as the needle comes alive"
    return f"Turn onto it {when}."


def _deflection(procedure: Procedure, cross_m: float, along_m: float) -> float | None:
    guidance = procedure.guidance
    if guidance.full_scale_m is not None:
        return cross_m / guidance.full_scale_m
    at_the_fix = guidance.station == procedure.fix
    if guidance.full_scale_deg is None or along_m <= 0.0 or not at_the_fix:
        return None  # the distance from a station elsewhere is not worked out here
    return math.degrees(math.atan2(cross_m, along_m)) / guidance.full_scale_deg


def _low_m(procedure: Procedure, segment: AltitudeSegment) -> float | None:
    limit = procedure.altitude(segment)
    return None if limit is None else limit.low_m


def _descents(procedure: Procedure, path: NominalPath) -> list[str]:
    """Descent outbound to the reversal's altitude and inbound to the next, with the rate that each needs.

    Where the outbound leg alone asks for more than procedures are built for, the turn back is taken for it as well:
    its minimum is the same.
    """
    slow = procedure.category in ("A", "B")
    first, last = path.legs[0].lap, path.legs[-1].lap
    outbound_s, inbound_s = _seconds(path, first, "outbound"), _seconds(path, last, "inbound")
    turning_s = _seconds(path, first, "offset turn", "offset leg", "reversal turn")
    lines = []
    for before, after, seconds, more_s, words in (
        ("arrival", "reversal", outbound_s, turning_s, "Outbound"),
        ("reversal", "inbound", inbound_s, 0.0, "Established"),
    ):
        high, low = _low_m(procedure, before), _low_m(procedure, after)  # type: ignore[arg-type]
        if high is None or low is None or high - low < SMALLEST_DESCENT_M or seconds <= 0.0:
            continue
        leg = "outbound" if words == "Outbound" else "inbound"
        most_fpm = FLYING[f"icao.descent.{leg}.{'slow' if slow else 'fast'}"].value
        rate_fpm = (high - low) / seconds / MPS_PER_FPM
        if rate_fpm > most_fpm and more_s > 0.0:
            rate_fpm, words = (high - low) / (seconds + more_s) / MPS_PER_FPM, "Outbound and in the turn back"
        steep = "; steep: a longer outbound leg, where allowed, helps" * (rate_fpm > most_fpm)
        rounded = math.ceil(rate_fpm / 50.0) * 50
        lines.append(f"{words}, descend to {feet(low)} at {rounded:,} feet a minute or more{steep}.")
    return lines


def _seconds(path: NominalPath, lap: int, *phases: str) -> float:
    return sum(leg.duration_s for leg in path.legs if leg.phase in phases and leg.lap == lap)
