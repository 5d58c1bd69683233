"""Where a record has too few positions to tell how a reversal was flown."""

from collections.abc import Iterator

import numpy as np

from analyzer.flown.attempt import Attempt
from analyzer.flown.motion.motion import Motion
from analyzer.given import JudgedPart, QualityNote
from analyzer.units import FloatArray, clock, difference_deg

#: one position in more seconds than this leaves a standard-rate turn of 45 degrees with one position or none
MOST_SECONDS_IN_TURNS = 10.0
#: and one in more than this leaves the half circle of a standard-rate turn with one
MOST_SECONDS_AT_ALL = 30.0
#: an outage is a pause of over 10 s and of this many middle intervals ...
OUTAGE_INTERVALS = 3.0
#: ... across which the track over the ground changes by more than this
OUTAGE_TURN_DEG = 30.0
#: A pause that a turn fills hides nothing: the turn was going on, and where it ends shows how. What counts is the time
#: that the turn leaves over, in which it is not known when it began or ended, or whether something else was flown.
MOST_SECONDS_OPEN = MOST_SECONDS_IN_TURNS
#: a flight's turns are alike; rates between which its middle one is taken to have filled a pause: noise shows others
_FILLING_DEG_S = (1.5, 6.0)
_EITHER_SIDE_S = 3.0


def sparse_notes(attempts: tuple[Attempt, ...], motion: Motion, time_s: FloatArray) -> tuple[QualityNote, ...]:
    """Return the notes that keep from judgement what the record is too sparse for.

    Parameters
    ----------
    attempts : tuple of Attempt
    motion : Motion
    time_s : array, shape (n,)
        The record's own moments, seconds.
    """
    if not attempts:
        return tuple(_none_seen(time_s))
    return tuple(note for attempt in attempts for note in _of_one(attempt, motion, time_s))


def _none_seen(time_s: FloatArray) -> Iterator[QualityNote]:
    middle_s = float(np.median(np.diff(time_s)))
    if middle_s > MOST_SECONDS_IN_TURNS:
        text = f"The recording has one position in {middle_s:.0f} s: too few to show a reversal surely."
        yield QualityNote("sparse_rows", text, on_first_screen=True)


def _of_one(attempt: Attempt, motion: Motion, time_s: FloatArray) -> Iterator[QualityNote]:
    middle_s = _interval_in_turns_s(attempt, time_s)
    told = f"{middle_s:.0f} s" if middle_s >= MOST_SECONDS_IN_TURNS + 0.5 else f"{middle_s:.1f} s"
    if middle_s > MOST_SECONDS_AT_ALL:
        text = f"The recording has one position in {told}: too few to judge anything of this reversal."
        yield _note("too_sparse", text, ("everything",), attempt)
    elif middle_s > MOST_SECONDS_IN_TURNS:
        text = (
            f"The recording has one position in {told} in the turns: method, turns, timing and intercept are not "
            "assessed. A recording with a row every second or two shows them."
        )
        yield _note("sparse_rows", text, ("manoeuvre",), attempt)
    else:
        yield from _outage(attempt, motion, time_s, middle_s)


def _note(code: str, text: str, parts: tuple[JudgedPart, ...], attempt: Attempt) -> QualityNote:
    return QualityNote(code, text, not_judged=parts, attempt=attempt.number)


def _reversal_span_s(attempt: Attempt) -> tuple[float, float]:
    last_s = attempt.last_inbound_passage_s
    return attempt.first_passage_s, attempt.end_s if last_s is None else last_s


def _interval_in_turns_s(attempt: Attempt, time_s: FloatArray) -> float:
    """Return the middle interval of the intervals that reach into the turns; of the whole reversal without turns."""
    first_s, last_s = _reversal_span_s(attempt)
    turns = [turn for _, _, turn in attempt.turns if turn.end_s > first_s and turn.start_s < last_s]
    spans = [(turn.start_s, turn.end_s) for turn in turns] or [(first_s, last_s)]
    steps = np.diff(time_s)
    touched = np.zeros(len(steps), dtype=bool)
    for start_s, end_s in spans:
        touched |= (time_s[1:] > start_s) & (time_s[:-1] < end_s)
    return float(np.median(steps[touched])) if np.any(touched) else 0.0


def _outage(attempt: Attempt, motion: Motion, time_s: FloatArray, middle_s: float) -> Iterator[QualityNote]:
    """Note the longest pause of the record in a turn of the reversal that leaves open what was flown in it."""
    first_s, last_s = _reversal_span_s(attempt)
    steps = np.diff(time_s)
    long = steps > max(MOST_SECONDS_IN_TURNS, OUTAGE_INTERVALS * middle_s)
    long &= (time_s[1:] > first_s) & (time_s[:-1] < last_s)
    worst: tuple[float, float] | None = None
    for place in np.flatnonzero(long).tolist():
        begin_s, end_s = float(time_s[place]), float(time_s[place + 1])
        if not _is_open(attempt, motion, begin_s, end_s):
            continue
        if worst is None or steps[place] > worst[1]:
            worst = (begin_s, end_s - begin_s)
    if worst is None:
        return
    text = (
        f"The recording has no position for {worst[1]:.0f} s in a turn, from {clock(worst[0])}: method, turns, timing "
        "and intercept are not assessed."
    )
    yield _note("outage_in_turn", text, ("manoeuvre",), attempt)


def _is_open(attempt: Attempt, motion: Motion, begin_s: float, end_s: float) -> bool:
    """Return whether a pause of the record leaves open what was flown in it."""
    before, after = (
        min(int(np.searchsorted(motion.time_s, at_s)), len(motion) - 1)
        for at_s in (max(begin_s - _EITHER_SIDE_S, 0.0), end_s + _EITHER_SIDE_S)
    )
    lasts_s = float(motion.time_s[after] - motion.time_s[before])
    track = motion.track_true_deg
    turned_deg = float(np.abs(difference_deg(track[before], track[after])))
    if turned_deg < OUTAGE_TURN_DEG:
        return False
    rates = [abs(turn.mean_rate_deg_s) for _, _, turn in attempt.turns]
    rate = float(np.clip(np.median(rates) if rates else _FILLING_DEG_S[0], *_FILLING_DEG_S))
    return lasts_s - 2.0 * _EITHER_SIDE_S - turned_deg / rate > MOST_SECONDS_OPEN
