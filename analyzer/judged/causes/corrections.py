"""What of a circuit was flown otherwise than asked for: one correction each, ready for the re-flight."""

from dataclasses import replace
from functools import reduce

from analyzer.flown import Attempt
from analyzer.given import Procedure
from analyzer.judged.causes.correction import (
    NOTICED,
    TIME_SIGMA_S,
    Correction,
    lengthened,
    longest_straight,
)
from analyzer.judged.causes.headings import offset_heading, offset_turn, outbound_heading
from analyzer.judged.causes.reflight import Circuit, Straight, corners
from analyzer.judged.causes.turns import rate_of_turn, turn_at_the_fix, turn_onto_course
from analyzer.judged.measurements.values import AttemptMeasures


def find_corrections(
    circuit: Circuit, attempt: Attempt, lap: int, measures: AttemptMeasures, procedure: Procedure
) -> tuple[Correction, ...]:
    """Return what was flown otherwise than asked for, in the order in which it is put right together."""
    points = corners(circuit)
    side = procedure.side * (-1 if attempt.wrong_side else 1)
    found: list[Correction] = []
    timed = [*outbound_time(circuit, attempt, lap, measures, procedure), *offset_time(circuit, lap, measures)]
    headings = [
        *outbound_heading(circuit, points, attempt, lap, procedure, side, timed),
        *offset_heading(circuit, procedure, attempt),
    ]
    lacking = [correction for correction in headings if correction.name == "wind correction"]
    found += [correction for correction in headings if correction.name != "wind correction"]
    if lacking:
        found.append(_joined(lacking))
    found += timed
    found += rate_of_turn(circuit)
    found += turn_at_the_fix(circuit)
    corrected = reduce(lambda changed, item: item.change(changed), found, circuit)
    found += offset_turn(corrected, attempt, side)
    found += turn_onto_course(circuit, points)
    return tuple(item for item in found if abs(item.flown - item.asked) >= NOTICED[item.unit])


def _joined(corrections: list[Correction]) -> Correction:
    """Several legs without wind correction are one cause; the numbers are those of the leg that lacks most."""
    worst = max(corrections, key=lambda item: abs(item.flown - item.asked))

    def change(circuit: Circuit) -> Circuit:
        for item in corrections:
            circuit = item.change(circuit)
        return circuit

    return replace(worst, change=change)


def outbound_time(
    circuit: Circuit, attempt: Attempt, lap: int, measures: AttemptMeasures, procedure: Procedure
) -> list[Correction]:
    """Outbound leg of a hold against its time; of any other reversal against the distance limit it led beyond."""
    number = longest_straight(circuit, "outbound")
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


def offset_time(circuit: Circuit, lap: int, measures: AttemptMeasures) -> list[Correction]:
    """Return the correction of the timed offset leg of a 45/180."""
    number, timing = longest_straight(circuit, "offset leg"), measures.timing
    if number is None or timing is None or timing.leg != "offset leg" or timing.lap != lap:
        return []
    adjusted = timing.planned_s if timing.wind_adjusted_s is None else timing.wind_adjusted_s
    low, high = sorted((timing.planned_s, adjusted))
    asked = min(max(timing.leg_s, low), high)
    change = lengthened(number, asked - timing.leg_s)
    return [Correction("offset leg time", timing.leg_s, asked, "s", TIME_SIGMA_S, change)]
