"""One thing put right: the value type, and the changes to a circuit that the corrections are made of."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from analyzer.judged.causes.reflight import Reflight, Straight, Turn
from analyzer.judged.causes.values import CauseName
from analyzer.standards import FLYING
from analyzer.units import METRES_PER_NM

Change = Callable[[Reflight], Reflight]

PROMPT_S = 2.0  # a turn at the fix that begins within this is at once
LEAST_TURN_DEG = 40.0  # the outbound turn of a procedure turn may be a few degrees: no delay is read from it
LEAST_DRIFT_DEG = 4.0  # less wind correction than this asked for is not missed
UNCORRECTED_DEG = 4.0  # a heading within this of the course has no correction; farther off it is a wrong heading
ENTRY_DEG = FLYING["entry.teardrop"].value
HEADING_SIGMA_DEG, TIME_SIGMA_S, LINE_SIGMA_M, TURN_TIME_SIGMA_S = 2.0, 1.0, 30.0, 1.0
#: differences smaller than these are how anybody flies: no cause
LARGEST_INTERCEPT_DEG = 120.0
SLOWEST_CROSS_MPS = 10.0
LEAST_AWAY_MPS = 10.0
LEAST_OVERSHOOT_M = 0.08 * METRES_PER_NM  # a smaller overshoot needs no cause
NOTICED = {"deg": 2.0, "s": 4.0, "deg/s": 0.1, "m": 60.0, "NM": 0.1}


@dataclass(frozen=True)
class Correction:
    """One thing put right: `flown` and `asked` in `unit`, 1 sigma of the reading, and the change to the circuit.

    `leg` is the phase that it is of, `course_deg` the course that a correction in degrees is counted from, relative to
    the inbound one, `place` where a leg by distance is to end, as the pilot reads it.
    """

    name: CauseName
    flown: float
    asked: float
    unit: str
    sigma: float
    change: Change
    leg: str = ""
    course_deg: float = 180.0
    place: str = ""


def numbers_of(circuit: Reflight, phase: str, kind: type[Straight] | type[Turn]) -> list[int]:
    """Return the numbers of the straights or turns of a phase, in order."""
    return [n for n, piece in enumerate(circuit.pieces) if isinstance(piece, kind) and piece.phase == phase]


def longest_straight(circuit: Reflight, phase: str) -> int | None:
    """Return the number of a phase's longest straight, None without one."""
    numbers = numbers_of(circuit, phase, Straight)
    return max(numbers, key=lambda n: circuit.pieces[n].duration_s) if numbers else None


def steered(number: int, change_deg: float) -> Change:
    """Return the change that flies a straight on another heading: the turns before and after it change as well."""

    def change(circuit: Reflight) -> Reflight:
        piece = circuit.pieces[number]
        assert isinstance(piece, Straight)
        circuit = circuit.with_piece(number, replace(piece, heading_deg=piece.heading_deg + change_deg))
        return _turns_about(circuit, number, change_deg)

    return change


def _turns_about(circuit: Reflight, number: int, change_deg: float) -> Reflight:
    before = circuit.pieces[number - 1] if number > 0 else None
    after = circuit.pieces[number + 1] if number + 1 < len(circuit.pieces) else None
    if isinstance(before, Turn):
        circuit = circuit.with_piece(number - 1, replace(before, degrees=longer_turn(before.degrees, change_deg)))
    if isinstance(after, Turn):
        start, degrees = after.start_deg + change_deg, longer_turn(after.degrees, -change_deg)
        circuit = circuit.with_piece(number + 1, replace(after, start_deg=start, degrees=degrees))
    return circuit


def longer_turn(degrees: float, change_deg: float) -> float:
    """Return a turn through so much more; a turn that would vanish keeps a degree in its direction."""
    changed = degrees + change_deg
    return changed if changed * degrees > 0.0 else (1.0 if degrees > 0.0 else -1.0)


def lengthened(number: int, seconds: float) -> Change:
    """Return the change that flies a straight for so many seconds more."""

    def change(circuit: Reflight) -> Reflight:
        piece = circuit.pieces[number]
        assert isinstance(piece, Straight)
        return circuit.with_piece(number, replace(piece, duration_s=max(piece.duration_s + seconds, 0.0)))

    return change
