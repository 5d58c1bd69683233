"""Headings put right: wind correction, the outbound leg and its course, the offset heading."""

from dataclasses import replace

from analyzer.flown import Attempt
from analyzer.given import Procedure
from analyzer.judged.causes.correction import (
    ENTRY_DEG,
    HEADING_SIGMA_DEG,
    LEAST_DRIFT_DEG,
    LINE_SIGMA_M,
    TIME_SIGMA_S,
    UNCORRECTED_DEG,
    Correction,
    lengthened,
    longer_turn,
    longest_straight,
    numbers_of,
    steered,
)
from analyzer.judged.causes.reflight import Reflight, Straight, Turn, corners
from analyzer.judged.causes.values import CauseName
from analyzer.judged.measurements.asked_for import asked_correction_deg
from analyzer.planned import NoPlan, SolvedPlan
from analyzer.units import wrap_180


def _heading(number: int, piece: Straight, course_deg: float, asked_deg: float, name: CauseName) -> list[Correction]:
    """Correction of a leg flown by heading: `asked_deg` is the correction to the right that the plan has.

    Where the correction asked for is lacking it is called that; else the heading is simply off.
    """
    flown = wrap_180(piece.heading_deg - course_deg)
    if _uncorrected(flown, asked_deg):
        name = "wind correction"
    change = steered(number, asked_deg - flown)
    return [Correction(name, flown, asked_deg, "deg", HEADING_SIGMA_DEG, change, piece.phase, course_deg)]


def _uncorrected(flown_deg: float, asked_deg: float) -> bool:
    """Whether a heading is the course's own, or less than half corrected where little was asked for."""
    if abs(asked_deg) < LEAST_DRIFT_DEG:
        return False
    share = flown_deg / asked_deg
    little = abs(asked_deg) < 3.0 * UNCORRECTED_DEG and -0.5 < share < 0.5
    return little or (abs(flown_deg) <= UNCORRECTED_DEG and share < 0.5)


def outbound_heading(
    circuit: Reflight,
    points: list[tuple[float, float]],
    attempt: Attempt,
    lap: int,
    procedure: Procedure,
    solved: SolvedPlan | NoPlan | None,
) -> list[Correction]:
    """Return the correction of the outbound leg: flown by heading against the plan's, or on its course."""
    number = longest_straight(circuit, "outbound")
    if number is None:
        return []
    piece = circuit.pieces[number]
    assert isinstance(piece, Straight)
    if attempt.flown_as in ("hold", "racetrack"):
        side = procedure.side * (-1 if attempt.wrong_side else 1)
        course = 180.0
        if lap == 1 and attempt.entry == "teardrop":
            course -= side * ENTRY_DEG
        asked = asked_correction_deg(solved, "outbound", lap, procedure.inbound_true_deg + course)
        if asked is None:
            return []  # where there is no plan no heading is right
        return _heading(number, piece, course, asked, "outbound heading")
    if attempt.flown_as == "teardrop" and procedure.reversal != "teardrop":
        return []  # a procedure turn gives a teardrop no course
    course = wrap_180(procedure.outbound_true_deg - procedure.inbound_true_deg)
    if attempt.wrong_side and procedure.reversal == "teardrop":
        course = -course
    return _tracked(circuit, points, number, piece, course)


def _tracked(
    circuit: Reflight, points: list[tuple[float, float]], number: int, piece: Straight, course: float
) -> list[Correction]:
    """Outbound leg on a course: what counts is how far off it the leg ended."""
    line = replace(piece, line_deg=course)
    on_line = circuit.with_piece(number, line)
    ended, right = points[number + 1], corners(on_line)[number + 1]
    off_m = ((ended[0] - right[0]) ** 2 + (ended[1] - right[1]) ** 2) ** 0.5
    heading = circuit.heading_for_track(course, piece.tas_mps)
    following = circuit.pieces[number + 1] if number + 1 < len(circuit.pieces) else None
    turned = wrap_180(heading - following.start_deg) if isinstance(following, Turn) else 0.0

    def change(changed: Reflight) -> Reflight:
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
        return [Correction("wind correction", flown, drift, "deg", HEADING_SIGMA_DEG, change, "outbound", course)]
    return [Correction("outbound tracking", off_m, 0.0, "m", LINE_SIGMA_M, change, "outbound")]


def offset_heading(
    circuit: Reflight, procedure: Procedure, attempt: Attempt, solved: SolvedPlan | NoPlan | None
) -> list[Correction]:
    """Return the correction of the offset leg against the plan's heading, which holds the charted track."""
    number = longest_straight(circuit, "offset leg")
    if number is None:
        return []
    piece = circuit.pieces[number]
    assert isinstance(piece, Straight)
    course = wrap_180(procedure.offset_true_deg - procedure.inbound_true_deg)
    if attempt.wrong_side:
        course = -course
    asked = asked_correction_deg(solved, "offset leg", 1, procedure.offset_true_deg)
    if asked is None:
        asked = wrap_180(circuit.heading_for_track(course, piece.tas_mps) - course)
    return _heading(number, piece, course, asked, "offset heading")


def offset_turn(circuit: Reflight, attempt: Attempt, solved: SolvedPlan | NoPlan | None) -> list[Correction]:
    """Return the correction of an 80/260: the level time between its turns against the plan's."""
    if attempt.flown_as != "80/260" or not isinstance(solved, SolvedPlan):
        return []
    turns = numbers_of(circuit, "offset turn", Turn)
    reversal = numbers_of(circuit, "reversal turn", Turn)
    if not turns or not reversal or turns[-1] > reversal[0]:
        return []
    number = turns[-1]
    flown = sum(piece.duration_s for piece in circuit.pieces[number + 1 : reversal[0]] if isinstance(piece, Straight))
    level = solved.leg("offset turn")
    asked = 0.0 if level is None else level.duration_s

    def change(changed: Reflight) -> Reflight:
        present, following = changed.pieces[number], changed.pieces[number + 1]
        if isinstance(following, Straight):
            return lengthened(number + 1, asked - flown)(changed)
        assert isinstance(present, Turn)
        return changed.with_piece(number, replace(present, then_s=max(present.then_s + asked - flown, 0.0)))

    return [Correction("offset turn", flown, asked, "s", TIME_SIGMA_S, change, "offset turn")]
