"""Passes of the fix with other work between them: a lesson holds more than the reversal it is handed in for."""

from dataclasses import replace
from itertools import pairwise

import numpy as np

from analyzer.flown.attempt import Attempt
from analyzer.flown.motion.motion import Motion
from analyzer.given import QualityNote
from analyzer.units import clock

# All of these are own choices.
#: the way out and the way back of a reversal, however badly flown, lie nearer to the course than this
OUT_DEG, BACK_DEG = 30.0, 25.0
OUT_WITHIN_S, STEADY_S = 180.0, 30.0  # the turn at the fix takes its time; then the way out is steady for so long
BACK_S = 30.0
_OWN_KINDS = ("45/180", "80/260", "teardrop")
LONGEST_S = 900.0  # out and back: 10 NM at 90 kt and the turns; who is not back at the fix by then does something else


def without_other_work(attempts: tuple[Attempt, ...], motion: Motion) -> tuple[tuple[Attempt, ...], list[QualityNote]]:
    """Leave out what looks like no reversal, where the track holds one that does.

    Parameters
    ----------
    attempts : tuple of Attempt
    motion : Motion

    Returns
    -------
    attempts : tuple of Attempt
        Numbered anew. All of them where none of them became established: then the badly flown one is meant.
    notes : list of QualityNote
        One for each that was left out, so that a reversal which was meant is not lost without a word.
    """
    if not any(_established(attempt) for attempt in attempts):
        return attempts, []
    kept = [attempt for attempt in attempts if _established(attempt) or _like_a_reversal(attempt, motion)]
    notes = [
        QualityNote(
            "other-work",
            f"Between {clock(attempt.first_passage_s)} and {clock(attempt.end_s)} the flight passed the fix and came "
            "back without ever taking up the inbound course, and not the way a reversal goes: taken for other work and "
            "not judged. If it was meant to be the reversal, cut it out and hand it in by itself.",
        )
        for attempt in attempts
        if attempt not in kept
    ]
    return tuple(replace(attempt, number=number) for number, attempt in enumerate(kept, 1)), notes


def without_own_holds(attempts: tuple[Attempt, ...]) -> tuple[tuple[Attempt, ...], list[QualityNote]]:
    """Leave out the laps of a hold that was flown in the recording of another reversal, with its entry.

    A racetrack on the side that is not protected is such a lap where another attempt flew the reversal on its own side,
    by its own kind of turn, and became established: a hold before the approach, or that of the missed approach. The
    attempt just before the laps is their entry where it went the wrong side or never became established.

    Parameters
    ----------
    attempts : tuple of Attempt

    Returns
    -------
    attempts : tuple of Attempt
        Numbered anew.
    notes : list of QualityNote
        One for each that was left out.
    """
    meant = [a for a in attempts if a.flown_as in _OWN_KINDS and not a.wrong_side and _established(a)]
    laps = {a.number for a in attempts if a.flown_as == "racetrack" and a.wrong_side}
    if not meant or not laps:
        return attempts, []
    for before, after in pairwise(attempts):
        entry = before not in meant and (before.wrong_side or not _established(before))
        if after.number in laps and entry:
            laps.add(before.number)
    notes = [
        QualityNote(
            "other-hold",
            f"Between {clock(attempt.first_passage_s)} and {clock(attempt.end_s)} a lap of a hold was flown on the "
            "other side: taken for a hold of its own and not judged here. Its procedure, handed in as well, judges it.",
        )
        for attempt in attempts
        if attempt.number in laps
    ]
    kept = [attempt for attempt in attempts if attempt.number not in laps]
    return tuple(replace(attempt, number=number) for number, attempt in enumerate(kept, 1)), notes


def _established(attempt: Attempt) -> bool:
    return any(moment is not None for moment in attempt.established_s)


def _like_a_reversal(attempt: Attempt, motion: Motion) -> bool:
    """Return whether the way out followed the outbound course, or the fix was passed on about the inbound one."""
    passed_s = attempt.last_inbound_passage_s
    if passed_s is None and attempt.end_s >= float(motion.time_s[-1]) - 1.0:
        return True  # the track ends during it
    if passed_s is not None:
        back = (motion.time_s >= passed_s - BACK_S) & (motion.time_s <= passed_s - 2.0)
        if np.any(back) and float(np.mean(np.abs(motion.track_relative_deg[back]))) <= BACK_DEG:
            return True
    first_s = attempt.first_passage_s
    if passed_s is None and (attempt.wrong_side or attempt.end_s - first_s > LONGEST_S):
        return False
    if attempt.flown_as == "other":
        return False
    out = (motion.time_s >= first_s) & (motion.time_s <= first_s + OUT_WITHIN_S)
    off = 180.0 - np.abs(motion.track_relative_deg[out])
    count = max(1, round(STEADY_S / motion.step_s))
    if len(off) < count:
        return True
    means = np.convolve(off, np.full(count, 1.0 / count), mode="valid")
    return bool(np.min(means) <= OUT_DEG)
