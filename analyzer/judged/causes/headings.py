"""Headings put right: wind correction, the outbound leg and its course, the offset heading."""

from dataclasses import replace

from analyzer.flown import Attempt
from analyzer.given import Procedure
from analyzer.judged.causes.correction import (
    ENTRY_DEG,
    HEADING_SIGMA_DEG,
    LARGEST_CORRECTION_DEG,
    LEAST_DRIFT_DEG,
    LEAST_OVERSHOOT_M,
    LINE_SIGMA_M,
    OUTBOUND_TIMES_DRIFT,
    SLOWEST_CROSS_MPS,
    TIME_SIGMA_S,
    UNCORRECTED_DEG,
    Correction,
    longer_turn,
    longest_straight,
    steered,
)
from analyzer.judged.causes.reflight import Circuit, Straight, Turn, corners, rolled_out
from analyzer.judged.causes.turns import rate_of_turn, turn_at_the_fix
from analyzer.judged.causes.values import CauseName
from analyzer.units import wrap_180


def _heading(
    number: int, piece: Straight, course_deg: float, low_deg: float, high_deg: float, name: CauseName
) -> list[Correction]:
    """Correction of a leg flown by heading: `low_deg` and `high_deg` are the corrections to the right that are right.

    Where the correction asked for is lacking it is called that; else the heading is simply off.
    """
    flown = wrap_180(piece.heading_deg - course_deg)
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


def outbound_heading(
    circuit: Circuit,
    points: list[tuple[float, float]],
    attempt: Attempt,
    lap: int,
    procedure: Procedure,
    side: int,
    timed: list[Correction],
) -> list[Correction]:
    """Return the correction of the outbound leg: flown by heading, or on its course."""
    number = longest_straight(circuit, "outbound")
    if number is None:
        return []
    piece = circuit.pieces[number]
    assert isinstance(piece, Straight)
    if attempt.flown_as in ("hold", "racetrack"):
        if lap == 1 and attempt.entry in ("teardrop", "parallel"):
            course = 180.0 - side * (ENTRY_DEG if attempt.entry == "teardrop" else 0.0)
            drift = wrap_180(circuit.heading_for_track(course, piece.tas_mps) - course)
            return _heading(number, piece, course, drift, drift, "outbound heading")
        drift = wrap_180(circuit.heading_for_track(180.0, piece.tas_mps) - 180.0)
        most = max(-LARGEST_CORRECTION_DEG, min(LARGEST_CORRECTION_DEG, OUTBOUND_TIMES_DRIFT * drift))
        ends_on_course = _correction_to_course(circuit, number, piece, timed)
        if -side * rolled_out(circuit)[1] > LEAST_OVERSHOOT_M:
            most = ends_on_course  # the rule of thumb did not do: what ends on the course is asked for
        return _heading(number, piece, 180.0, most, ends_on_course, "outbound heading")
    if attempt.flown_as == "teardrop" and procedure.reversal != "teardrop":
        return []  # a procedure turn gives a teardrop no course
    course = wrap_180(procedure.outbound_true_deg - procedure.inbound_true_deg)
    if attempt.wrong_side and procedure.reversal == "teardrop":
        course = -course
    return _tracked(circuit, points, number, piece, course)


def _correction_to_course(circuit: Circuit, number: int, piece: Straight, timed: list[Correction]) -> float:
    """Correction to the right of the reciprocal with which the turn ends on the course, the rest put right as well."""
    for item in (*timed, *rate_of_turn(circuit), *turn_at_the_fix(circuit)):
        circuit = item.change(circuit)
    low, high = -LARGEST_CORRECTION_DEG, LARGEST_CORRECTION_DEG
    off = [_ends_beside(circuit, number, piece, correction) for correction in (low, high)]
    if off[0] * off[1] > 0.0:
        return low if abs(off[0]) < abs(off[1]) else high
    for _ in range(12):  # 90 degrees halved twelve times: a fiftieth of a degree
        middle = 0.5 * (low + high)
        beside = _ends_beside(circuit, number, piece, middle)
        if beside * off[0] > 0.0:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def _ends_beside(circuit: Circuit, number: int, piece: Straight, correction_deg: float) -> float:
    changed = steered(number, wrap_180(180.0 + correction_deg - piece.heading_deg))(circuit)
    return rolled_out(changed)[1]


def _tracked(
    circuit: Circuit, points: list[tuple[float, float]], number: int, piece: Straight, course: float
) -> list[Correction]:
    """Outbound leg on a course: what counts is how far off it the leg ended."""
    line = replace(piece, line_deg=course)
    on_line = circuit.with_piece(number, line)
    ended, right = points[number + 1], corners(on_line)[number + 1]
    off_m = ((ended[0] - right[0]) ** 2 + (ended[1] - right[1]) ** 2) ** 0.5
    heading = circuit.heading_for_track(course, piece.tas_mps)
    following = circuit.pieces[number + 1] if number + 1 < len(circuit.pieces) else None
    turned = wrap_180(heading - following.start_deg) if isinstance(following, Turn) else 0.0

    def change(changed: Circuit) -> Circuit:
        present = changed.pieces[number]
        assert isinstance(present, Straight)
        changed = changed.with_piece(number, replace(present, line_deg=course, heading_deg=heading))
        after = changed.pieces[number + 1] if number + 1 < len(changed.pieces) else None
        if isinstance(after, Turn):
            start, degrees = after.start_deg + turned, longer_turn(after.degrees, -turned)
            changed = changed.with_piece(number + 1, replace(after, start_deg=start, degrees=degrees))
        return changed

    drift = wrap_180(heading - course)
    flown = wrap_180(piece.heading_deg - course)
    if _uncorrected(flown, drift):
        return [Correction("wind correction", flown, drift, "deg", HEADING_SIGMA_DEG, change)]
    return [Correction("outbound tracking", off_m, 0.0, "m", LINE_SIGMA_M, change)]


def offset_heading(circuit: Circuit, procedure: Procedure, attempt: Attempt) -> list[Correction]:
    """Return the correction of the offset leg: the charted heading and the one corrected for wind are both right."""
    number = longest_straight(circuit, "offset leg")
    if number is None:
        return []
    piece = circuit.pieces[number]
    assert isinstance(piece, Straight)
    course = wrap_180(procedure.offset_true_deg - procedure.inbound_true_deg)
    if attempt.wrong_side:
        course = -course
    drift = wrap_180(circuit.heading_for_track(course, piece.tas_mps) - course)
    return _heading(number, piece, course, 0.0, drift, "offset heading")


def offset_turn(circuit: Circuit, attempt: Attempt, side: int) -> list[Correction]:
    """Return the correction of an 80/260 that overshot: so many seconds more on the offset heading.

    In still air the 260 degrees follow at once; with the wind across towards the course that is too early. `circuit`
    has everything else put right: only what the wind does to the turns is left to this correction.
    """
    turns = [n for n, piece in enumerate(circuit.pieces) if isinstance(piece, Turn) and piece.phase == "offset turn"]
    beyond_m = -side * rolled_out(circuit)[1]
    if attempt.flown_as != "80/260" or not turns or beyond_m < LEAST_OVERSHOOT_M:
        return []
    number = turns[-1]
    turn = circuit.pieces[number]
    assert isinstance(turn, Turn)
    cross_rate = side * circuit.ground_velocity(turn.start_deg + turn.degrees, turn.tas_mps)[1]
    if cross_rate < SLOWEST_CROSS_MPS:
        return []
    seconds = beyond_m / cross_rate

    def change(changed: Circuit) -> Circuit:
        present = changed.pieces[number]
        assert isinstance(present, Turn)
        return changed.with_piece(number, replace(present, then_s=present.then_s + seconds))

    return [Correction("offset turn", 0.0, seconds, "s", TIME_SIGMA_S, change)]
