"""What of a circuit was flown otherwise than asked for: one correction each, ready for the re-flight."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from analyzer.causes.reflight import Circuit, Path, Straight, Turn, fly
from analyzer.causes.values import CauseName
from analyzer.findings.turns import asked_rate_deg_s
from analyzer.measurements.values import AttemptMeasures
from analyzer.phases import Attempt
from analyzer.procedure import Procedure

Change = Callable[[Circuit], Circuit]

PROMPT_S = 2.0  # a turn at the fix that begins within this is at once
LEAST_TURN_DEG = 40.0  # the outbound turn of a procedure turn may be a few degrees: no delay is read from it
LEAST_DRIFT_DEG = 4.0  # less wind correction than this asked for is not missed
UNCORRECTED_DEG = 4.0  # a heading within this of the course has no correction; farther off it is a wrong heading
ENTRY_DEG = 30.0  # AIM 5-3-8 j: teardrop entry
OUTBOUND_TIMES_DRIFT, LARGEST_CORRECTION_DEG = 3.0, 45.0  # AIM 5-3-8 j; beyond 45 degrees nobody flies it
HEADING_SIGMA_DEG, TIME_SIGMA_S, LINE_SIGMA_M, TURN_TIME_SIGMA_S = 2.0, 1.0, 30.0, 1.0
#: differences smaller than these are how anybody flies: no cause
NOTICED = {"deg": 2.0, "s": 2.0, "deg/s": 0.1, "m": 60.0}


@dataclass(frozen=True)
class Correction:
    """One thing put right: `flown` and `asked` in `unit`, 1 sigma of the reading, and the change to the circuit."""

    name: CauseName
    flown: float
    asked: float
    unit: str
    sigma: float
    change: Change


def signed_deg(angle_deg: float) -> float:
    """Return the angle in [-180, 180)."""
    return (angle_deg + 180.0) % 360.0 - 180.0


def find_corrections(
    circuit: Circuit, attempt: Attempt, lap: int, measures: AttemptMeasures, procedure: Procedure
) -> tuple[Correction, ...]:
    """Return what was flown otherwise than asked for, in the order in which it is put right together."""
    path = fly(circuit)
    side = procedure.side * (-1 if attempt.wrong_side else 1)
    found: list[Correction] = []
    headings = [*_outbound(circuit, path, attempt, lap, procedure, side), *_offset(circuit, procedure, attempt)]
    lacking = [correction for correction in headings if correction.name == "wind correction"]
    found += [correction for correction in headings if correction.name != "wind correction"]
    if lacking:
        found.append(_joined(lacking))
    found += _outbound_time(circuit, attempt, lap, measures, procedure)
    found += _offset_time(circuit, lap, measures)
    found += _rate(circuit)
    found += _at_the_fix(circuit)
    found += _onto_course(circuit, path)
    return tuple(item for item in found if abs(item.flown - item.asked) >= NOTICED[item.unit])


def _joined(corrections: list[Correction]) -> Correction:
    """Several legs without wind correction are one cause; the numbers are those of the leg that lacks most."""
    worst = max(corrections, key=lambda item: abs(item.flown - item.asked))

    def change(circuit: Circuit) -> Circuit:
        for item in corrections:
            circuit = item.change(circuit)
        return circuit

    return replace(worst, change=change)


def _numbers(circuit: Circuit, phase: str, kind: type[Straight] | type[Turn]) -> list[int]:
    return [n for n, piece in enumerate(circuit.pieces) if isinstance(piece, kind) and piece.phase == phase]


def _longest(circuit: Circuit, phase: str) -> int | None:
    numbers = _numbers(circuit, phase, Straight)
    return max(numbers, key=lambda n: circuit.pieces[n].duration_s) if numbers else None


# --- headings --------------------------------------------------------------------------------------------------------


def steered(number: int, change_deg: float) -> Change:
    """Change that flies a straight on another heading: the turn before it goes so much farther, the one after less."""

    def change(circuit: Circuit) -> Circuit:
        piece = circuit.pieces[number]
        assert isinstance(piece, Straight)
        circuit = circuit.with_piece(number, replace(piece, heading_deg=piece.heading_deg + change_deg))
        return _turns_about(circuit, number, change_deg)

    return change


def _turns_about(circuit: Circuit, number: int, change_deg: float) -> Circuit:
    before = circuit.pieces[number - 1] if number > 0 else None
    after = circuit.pieces[number + 1] if number + 1 < len(circuit.pieces) else None
    if isinstance(before, Turn):
        circuit = circuit.with_piece(number - 1, replace(before, degrees=_longer(before.degrees, change_deg)))
    if isinstance(after, Turn):
        start, degrees = after.start_deg + change_deg, _longer(after.degrees, -change_deg)
        circuit = circuit.with_piece(number + 1, replace(after, start_deg=start, degrees=degrees))
    return circuit


def _longer(degrees: float, change_deg: float) -> float:
    """Turn through so much more; a turn that would vanish keeps a degree in its direction."""
    changed = degrees + change_deg
    return changed if changed * degrees > 0.0 else (1.0 if degrees > 0.0 else -1.0)


def _heading(
    number: int, piece: Straight, course_deg: float, low_deg: float, high_deg: float, name: CauseName
) -> list[Correction]:
    """Correction of a leg flown by heading: `low_deg` and `high_deg` are the corrections to the right that are right.

    Where the correction asked for is lacking it is called that; else the heading is simply off.
    """
    flown = signed_deg(piece.heading_deg - course_deg)
    asked = high_deg if abs(high_deg) >= abs(low_deg) else low_deg
    if _uncorrected(flown, asked):
        change = steered(number, asked - flown)
        return [Correction("wind correction", flown, asked, "deg", HEADING_SIGMA_DEG, change)]
    nearest = min(max(flown, min(low_deg, high_deg)), max(low_deg, high_deg))
    return [Correction(name, flown, nearest, "deg", HEADING_SIGMA_DEG, steered(number, nearest - flown))]


def _uncorrected(flown_deg: float, asked_deg: float) -> bool:
    """Whether a heading is the course's own, or less than half corrected where little was asked for."""
    if abs(asked_deg) < LEAST_DRIFT_DEG:
        return False
    share = flown_deg / asked_deg
    little = abs(asked_deg) < 3.0 * UNCORRECTED_DEG and -0.5 < share < 0.5
    return little or (abs(flown_deg) <= UNCORRECTED_DEG and share < 0.5)


def _outbound(
    circuit: Circuit, path: Path, attempt: Attempt, lap: int, procedure: Procedure, side: int
) -> list[Correction]:
    number = _longest(circuit, "outbound")
    if number is None:
        return []
    piece = circuit.pieces[number]
    assert isinstance(piece, Straight)
    if attempt.flown_as in ("hold", "racetrack"):
        if lap == 1 and attempt.entry in ("teardrop", "parallel"):
            course = 180.0 - side * (ENTRY_DEG if attempt.entry == "teardrop" else 0.0)
            drift = signed_deg(circuit.heading_for_track(course, piece.tas_mps) - course)
            return _heading(number, piece, course, drift, drift, "outbound heading")
        drift = signed_deg(circuit.heading_for_track(180.0, piece.tas_mps) - 180.0)
        most = max(-LARGEST_CORRECTION_DEG, min(LARGEST_CORRECTION_DEG, OUTBOUND_TIMES_DRIFT * drift))
        return _heading(number, piece, 180.0, most, most, "outbound heading")
    if attempt.flown_as == "teardrop" and procedure.reversal != "teardrop":
        return []  # a procedure turn gives a teardrop no course
    course = signed_deg(procedure.outbound_true_deg - procedure.inbound_true_deg)
    if attempt.wrong_side and procedure.reversal == "teardrop":
        course = -course
    return _tracked(circuit, path, number, piece, course)


def _tracked(circuit: Circuit, path: Path, number: int, piece: Straight, course: float) -> list[Correction]:
    """Outbound leg on a course: what counts is how far off it the leg ended."""
    line = replace(piece, line_deg=course)
    on_line = circuit.with_piece(number, line)
    ended, right = path.ends[number], fly(on_line).ends[number]
    off_m = ((ended[0] - right[0]) ** 2 + (ended[1] - right[1]) ** 2) ** 0.5
    heading = circuit.heading_for_track(course, piece.tas_mps)
    following = circuit.pieces[number + 1] if number + 1 < len(circuit.pieces) else None
    turned = signed_deg(heading - following.start_deg) if isinstance(following, Turn) else 0.0

    def change(changed: Circuit) -> Circuit:
        present = changed.pieces[number]
        assert isinstance(present, Straight)
        changed = changed.with_piece(number, replace(present, line_deg=course, heading_deg=heading))
        after = changed.pieces[number + 1] if number + 1 < len(changed.pieces) else None
        if isinstance(after, Turn):
            start, degrees = after.start_deg + turned, _longer(after.degrees, -turned)
            changed = changed.with_piece(number + 1, replace(after, start_deg=start, degrees=degrees))
        return changed

    drift = signed_deg(heading - course)
    flown = signed_deg(piece.heading_deg - course)
    if _uncorrected(flown, drift):
        return [Correction("wind correction", flown, drift, "deg", HEADING_SIGMA_DEG, change)]
    return [Correction("outbound tracking", off_m, 0.0, "m", LINE_SIGMA_M, change)]


def _offset(circuit: Circuit, procedure: Procedure, attempt: Attempt) -> list[Correction]:
    number = _longest(circuit, "offset leg")
    if number is None:
        return []
    piece = circuit.pieces[number]
    assert isinstance(piece, Straight)
    course = signed_deg(procedure.offset_true_deg - procedure.inbound_true_deg)
    if attempt.wrong_side:
        course = -course
    drift = signed_deg(circuit.heading_for_track(course, piece.tas_mps) - course)
    return _heading(number, piece, course, 0.0, drift, "offset heading")


# --- times -----------------------------------------------------------------------------------------------------------


def lengthened(number: int, seconds: float) -> Change:
    """Change that flies a straight for so many seconds more."""

    def change(circuit: Circuit) -> Circuit:
        piece = circuit.pieces[number]
        assert isinstance(piece, Straight)
        return circuit.with_piece(number, replace(piece, duration_s=max(piece.duration_s + seconds, 0.0)))

    return change


def _outbound_time(
    circuit: Circuit, attempt: Attempt, lap: int, measures: AttemptMeasures, procedure: Procedure
) -> list[Correction]:
    """Outbound leg of a hold against its time; of any other reversal against the distance limit it led beyond."""
    number = _longest(circuit, "outbound")
    if number is None:
        return []
    timing = measures.timing
    if timing is not None and timing.leg == "outbound":
        flown = next((m.outbound_s for m in measures.laps if m.lap == lap and m.outbound_s is not None), timing.leg_s)
        adjusted = timing.planned_s if timing.wind_adjusted_s is None else timing.wind_adjusted_s
        low, high = (adjusted, adjusted) if lap > 1 else sorted((timing.planned_s, adjusted))
        asked = min(max(flown, low), high)
        return [Correction("outbound time", flown, asked, "s", TIME_SIGMA_S, lengthened(number, asked - flown))]
    limit_m = procedure.remain_within_m
    beyond_m = 0.0 if limit_m is None else measures.containment.max_distance_m - limit_m
    if beyond_m <= 0.0 or not any(e.area == "distance limit" for e in measures.containment.excursions):
        return []
    piece = circuit.pieces[number]
    assert isinstance(piece, Straight)
    along, cross = circuit.ground_velocity(piece.heading_deg, piece.tas_mps)
    seconds = beyond_m / max((along**2 + cross**2) ** 0.5, 10.0)
    flown = piece.duration_s
    change = lengthened(number, -seconds)
    return [Correction("outbound time", flown, flown - seconds, "s", TIME_SIGMA_S, change)]


def _offset_time(circuit: Circuit, lap: int, measures: AttemptMeasures) -> list[Correction]:
    number, timing = _longest(circuit, "offset leg"), measures.timing
    if number is None or timing is None or timing.leg != "offset leg" or timing.lap != lap:
        return []
    adjusted = timing.planned_s if timing.wind_adjusted_s is None else timing.wind_adjusted_s
    low, high = sorted((timing.planned_s, adjusted))
    asked = min(max(timing.leg_s, low), high)
    change = lengthened(number, asked - timing.leg_s)
    return [Correction("offset leg time", timing.leg_s, asked, "s", TIME_SIGMA_S, change)]


# --- turns -----------------------------------------------------------------------------------------------------------


def _rate(circuit: Circuit) -> list[Correction]:
    """All turns of the circuit at the rate asked for; the numbers are the means over the degrees turned."""
    turns = [piece for piece in circuit.pieces if isinstance(piece, Turn) and abs(piece.degrees) >= LEAST_TURN_DEG]
    if not turns:
        return []
    degrees = sum(abs(turn.degrees) for turn in turns)
    flown = degrees / sum(abs(turn.degrees) / turn.rate_deg_s for turn in turns)
    asked = sum(asked_rate_deg_s(turn.tas_mps) * abs(turn.degrees) for turn in turns) / degrees
    sigma = flown * TURN_TIME_SIGMA_S * len(turns) ** 0.5 / (degrees / flown)

    def change(changed: Circuit) -> Circuit:
        for number, piece in enumerate(changed.pieces):
            if isinstance(piece, Turn):
                changed = changed.with_piece(number, replace(piece, rate_deg_s=asked_rate_deg_s(piece.tas_mps)))
        return changed

    return [Correction("rate of turn", flown, asked, "deg/s", sigma, change)]


def _at_the_fix(circuit: Circuit) -> list[Correction]:
    """Seconds from the fix to the roll-in of the outbound turn."""
    if len(circuit.pieces) < 2:
        return []
    first, turn = circuit.pieces[:2]
    if not isinstance(first, Straight) or not isinstance(turn, Turn) or turn.phase != "outbound turn":
        return []
    if abs(turn.degrees) < LEAST_TURN_DEG:
        return []
    asked = min(first.duration_s, PROMPT_S)
    change = lengthened(0, asked - first.duration_s)
    return [Correction("turn at the fix", first.duration_s, asked, "s", TIME_SIGMA_S, change)]


def onto_course_number(circuit: Circuit) -> int | None:
    """Return the number of the turn from an intercept leg onto the course, None where there is none."""
    for number in reversed(_numbers(circuit, "intercept", Turn)):
        if number > 0 and isinstance(circuit.pieces[number - 1], Straight):
            return number
    return None


def _onto_course(circuit: Circuit, path: Path) -> list[Correction]:
    """Moment of the turn from the intercept leg onto the course, late in seconds (early: negative)."""
    number = onto_course_number(circuit)
    if number is None:
        return []
    piece = circuit.pieces[number - 1]
    assert isinstance(piece, Straight)
    _, cross_rate = circuit.ground_velocity(piece.heading_deg, piece.tas_mps)
    right = circuit.with_piece(number - 1, replace(piece, to_course=True, until_cross_m=None))
    at, ended = path.starts[number][1], fly(right).ends[number - 1][1]
    if abs(cross_rate) < 5.0:
        return []
    late = (at - ended) / cross_rate

    def change(changed: Circuit) -> Circuit:
        present = changed.pieces[number - 1]
        assert isinstance(present, Straight)
        return changed.with_piece(number - 1, replace(present, to_course=True, until_cross_m=None))

    return [Correction("turn onto the course", late, 0.0, "s", TIME_SIGMA_S, change)]
