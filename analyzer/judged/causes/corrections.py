"""What of a circuit was flown otherwise than asked for: one correction each, ready for the re-flight."""

from dataclasses import replace

from analyzer.flown import Attempt
from analyzer.given import Procedure
from analyzer.judged.causes.correction import (
    LEAST_AWAY_MPS,
    LINE_SIGMA_M,
    NOTICED,
    TIME_SIGMA_S,
    Correction,
    lengthened,
    longest_straight,
    numbers_of,
)
from analyzer.judged.causes.headings import offset_heading, offset_turn, outbound_heading
from analyzer.judged.causes.reflight import Reflight, Straight, Turn, corners
from analyzer.judged.causes.turns import rate_of_turn, turn_at_the_fix, turn_onto_course
from analyzer.judged.findings.wording import turn_place
from analyzer.judged.measurements.values import AttemptMeasures
from analyzer.planned import SolvedPlan
from analyzer.units import METRES_PER_NM


def find_corrections(
    circuit: Reflight, attempt: Attempt, lap: int, measures: AttemptMeasures, procedure: Procedure
) -> tuple[Correction, ...]:
    """Return what was flown otherwise than asked for, in the order in which it is put right together.

    What is asked for is the plan's value of the same quantity, `measures.solved`.
    """
    points, solved = corners(circuit), measures.solved
    found: list[Correction] = []
    headings = [
        *outbound_heading(circuit, points, attempt, lap, procedure, solved),
        *offset_heading(circuit, procedure, attempt, solved),
    ]
    lacking = [correction for correction in headings if correction.name == "wind correction"]
    found += [correction for correction in headings if correction.name != "wind correction"]
    if lacking:
        found.append(_joined(lacking))
    found += [*outbound_time(circuit, attempt, lap, measures, procedure), *offset_time(circuit, lap, measures)]
    found += outbound_distance(circuit, lap, measures, procedure)
    found += rate_of_turn(circuit, solved)
    found += turn_at_the_fix(circuit)
    found += offset_turn(circuit, attempt, solved)
    found += turn_onto_course(circuit, points)
    return tuple(item for item in found if abs(item.flown - item.asked) >= NOTICED[item.unit])


def _joined(corrections: list[Correction]) -> Correction:
    """Several legs without wind correction are one cause; the numbers are those of the leg that lacks most."""
    worst = max(corrections, key=lambda item: abs(item.flown - item.asked))

    def change(circuit: Reflight) -> Reflight:
        for item in corrections:
            circuit = item.change(circuit)
        return circuit

    return replace(worst, change=change)


def outbound_time(
    circuit: Reflight, attempt: Attempt, lap: int, measures: AttemptMeasures, procedure: Procedure
) -> list[Correction]:
    """Outbound leg of a hold against its time; of any other reversal against the plan's where it led beyond a limit."""
    number = longest_straight(circuit, "outbound")
    solved = measures.solved
    if number is None or not isinstance(solved, SolvedPlan):
        return []
    asked = solved.timed_s("outbound", lap)
    if asked is None:
        return []
    if attempt.flown_as in ("hold", "racetrack"):
        flown = _clocked_s(measures, lap)
        if flown is None:
            return []
    else:
        limit_m = procedure.remain_within_m
        if limit_m is None or not any(e.area == "distance limit" for e in measures.containment.excursions):
            return []
        turns = [*numbers_of(circuit, "offset turn", Turn), *numbers_of(circuit, "reversal turn", Turn)]
        flown = sum(piece.duration_s for piece in circuit.pieces[: min(turns)]) if turns else 0.0
        if flown <= asked:
            return []
    change = lengthened(number, asked - flown)
    return [Correction("outbound time", flown, asked, "s", TIME_SIGMA_S, change, "outbound")]


def outbound_distance(circuit: Reflight, lap: int, measures: AttemptMeasures, procedure: Procedure) -> list[Correction]:
    """Outbound leg that the chart ends at a distance: where the turn back began against where it was to begin."""
    number, end, solved = longest_straight(circuit, "outbound"), measures.leg_end, measures.solved
    if number is None or end is None or end.lap != lap or not isinstance(solved, SolvedPlan):
        return []
    flown_m = end.out_m(along_the_course=procedure.is_hold)
    piece = circuit.pieces[number]
    assert isinstance(piece, Straight)
    along_mps, cross_mps = circuit.ground_velocity(piece.heading_deg, piece.tas_mps)
    away_mps = along_mps if procedure.is_hold else (along_mps * end.along_m + cross_mps * end.cross_m) / flown_m
    if away_mps < LEAST_AWAY_MPS:
        return []
    change = lengthened(number, (end.charted_m - flown_m) / away_mps)
    place, unit = turn_place(procedure, solved, lap), METRES_PER_NM
    flown_nm, asked_nm, sigma_nm = flown_m / unit, end.charted_m / unit, LINE_SIGMA_M / unit
    return [Correction("outbound distance", flown_nm, asked_nm, "NM", sigma_nm, change, "outbound", place=place)]


def _clocked_s(measures: AttemptMeasures, lap: int) -> float | None:
    """Outbound time of a lap by the clock, as the timing measures it."""
    timed = next((one.outbound_s for one in measures.laps if one.lap == lap and one.outbound_s is not None), None)
    timing = measures.timing
    if timing is not None and timing.leg == "outbound" and timing.lap == lap:
        return timing.leg_s
    return timed


def offset_time(circuit: Reflight, lap: int, measures: AttemptMeasures) -> list[Correction]:
    """Return the correction of the timed offset leg of a 45/180 against the plan's time."""
    number, timing, solved = longest_straight(circuit, "offset leg"), measures.timing, measures.solved
    if number is None or not isinstance(solved, SolvedPlan):
        return []
    asked = solved.timed_s("offset leg", lap)
    if asked is None:
        return []
    if timing is not None and timing.leg == "offset leg" and timing.lap == lap:
        flown = timing.leg_s
        low, high = sorted((timing.planned_s, asked))
        if low - NOTICED["s"] <= flown <= high + NOTICED["s"]:
            return []  # the charted time is right as well
    else:  # a leg that nobody timed: by its level part
        level = solved.leg("offset leg", lap)
        asked = asked if level is None else level.duration_s
        flown = circuit.pieces[number].duration_s
    change = lengthened(number, asked - flown)
    return [Correction("offset leg time", flown, asked, "s", TIME_SIGMA_S, change, "offset leg")]
