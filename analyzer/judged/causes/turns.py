"""Turns put right: their rate, the prompt turn at the fix, the turn onto the course."""

from dataclasses import replace

from analyzer.judged.causes.correction import (
    LARGEST_INTERCEPT_DEG,
    LEAST_TURN_DEG,
    PROMPT_S,
    TIME_SIGMA_S,
    TURN_TIME_SIGMA_S,
    Correction,
    lengthened,
    numbers_of,
)
from analyzer.judged.causes.reflight import Reflight, Straight, Turn, corners
from analyzer.judged.findings.turns import asked_rate_deg_s
from analyzer.planned import NoPlan, SolvedPlan
from analyzer.units import wrap_180


def rate_of_turn(circuit: Reflight, solved: SolvedPlan | NoPlan | None) -> list[Correction]:
    """All turns of the circuit at the plan's rate; the numbers are the means over the degrees turned."""
    turns = [piece for piece in circuit.pieces if isinstance(piece, Turn) and abs(piece.degrees) >= LEAST_TURN_DEG]
    if not turns:
        return []
    degrees = sum(abs(turn.degrees) for turn in turns)
    flown = degrees / sum(abs(turn.degrees) / turn.rate_deg_s for turn in turns)
    asked = sum(asked_rate_deg_s(turn.tas_mps) * abs(turn.degrees) for turn in turns) / degrees
    if isinstance(solved, SolvedPlan):
        asked = solved.rate_deg_s
    sigma = flown * TURN_TIME_SIGMA_S * len(turns) ** 0.5 / (degrees / flown)

    def change(changed: Reflight) -> Reflight:
        for number, piece in enumerate(changed.pieces):
            if isinstance(piece, Turn):
                changed = changed.with_piece(number, replace(piece, rate_deg_s=asked))
        return changed

    return [Correction("rate of turn", flown, asked, "deg/s", sigma, change)]


def turn_at_the_fix(circuit: Reflight) -> list[Correction]:
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


def onto_course_number(circuit: Reflight) -> int | None:
    """Return the number of the first turn from an intercept leg towards the inbound heading, None without one."""
    for number in numbers_of(circuit, "intercept", Turn):
        turn, before = circuit.pieces[number], circuit.pieces[number - 1] if number > 0 else None
        if not isinstance(turn, Turn) or not isinstance(before, Straight):
            continue
        left = wrap_180(circuit.heading_for_track(0.0, turn.tas_mps) - turn.start_deg)
        if left * turn.degrees > 0.0 and abs(left) <= LARGEST_INTERCEPT_DEG:
            return number
    return None


def turn_onto_course(circuit: Reflight, points: list[tuple[float, float]]) -> list[Correction]:
    """Moment of the turn from the intercept leg onto the course, late in seconds (early: negative)."""
    number = onto_course_number(circuit)
    if number is None:
        return []
    piece = circuit.pieces[number - 1]
    assert isinstance(piece, Straight)
    _, cross_rate = circuit.ground_velocity(piece.heading_deg, piece.tas_mps)
    right = circuit.with_piece(number - 1, replace(piece, to_course=True, until_cross_m=None))
    at, ended = points[number][1], corners(right)[number][1]
    if abs(cross_rate) < 5.0:
        return []
    late = (at - ended) / cross_rate

    def change(changed: Reflight) -> Reflight:
        present = changed.pieces[number - 1]
        assert isinstance(present, Straight)
        return changed.with_piece(number - 1, replace(present, to_course=True, until_cross_m=None))

    return [Correction("turn onto the course", late, 0.0, "s", TIME_SIGMA_S, change)]
