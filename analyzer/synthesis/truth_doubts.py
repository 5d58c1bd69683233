"""What the definitions leave open on a flight: cases on which careful readers may differ."""

from analyzer.synthesis.controls import LapNote, TurnNote

#: a turn of fewer degrees is not a phase of its own
SMALLEST_TURN_DEG = 15.0


def doubts_about(laps: list[LapNote], farthest_m: list[float], pass_m: float) -> tuple[str, ...]:
    """Return the doubts, each once.

    Parameters
    ----------
    laps : list of LapNote
        The circuits flown.
    farthest_m : list of float
        Largest distance from the fix between each two passages.
    pass_m : float
        Distance within which a stretch counts as one pass.
    """
    doubts = []
    for turn in (turn for lap in laps for turn in lap.turns):
        if 10.0 < abs(turn.degrees) < 20.0 and turn.purpose in ("outbound", "onto course"):
            doubts.append("a turn near 15 degrees")
        if turn.purpose == "offset" and not abs(turn.degrees) >= 20.0:
            doubts.append("an offset turn that the drift takes away")
    if any(farthest < pass_m for farthest in farthest_m):
        doubts.append("never farther than a pass between two passages")
    if sum(1 for turn in laps[-1].turns if _is_onto_course(turn)) > 1:
        doubts.append("several turns onto the course")
    return tuple(dict.fromkeys(doubts))


def _is_onto_course(turn: TurnNote) -> bool:
    return turn.purpose == "onto course" and not abs(turn.degrees) < SMALLEST_TURN_DEG
