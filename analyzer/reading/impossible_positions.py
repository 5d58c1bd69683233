"""Positions that no aircraft can have been at: jumps there and back, and old positions repeated in flight."""

import numpy as np
import numpy.typing as npt

from analyzer.given import course_and_distance
from analyzer.reading.record import RawRecord
from analyzer.units import MPS_PER_KNOT, BoolArray, FloatArray

Index = npt.NDArray[np.intp]

IMPOSSIBLE_SPEED_MPS = 1000.0 * MPS_PER_KNOT  # twice what any aircraft that flies course reversals reaches
JUMP_ALLOWANCE_M = 200.0  # so that noise between rows a few hundredths of a second apart is not a jump
STANDING_SPEED_MPS = 30.0 * MPS_PER_KNOT  # slower than this, equal positions may be an aircraft at rest
ROUNDING_M = 30.0  # nearer than this, equal positions may be rounded ones, which keep their own times
MOST_JUMPS = 0.2  # part of the rows; beyond it the rows themselves, or their clock, are of another kind
_MOST_RUNS = 10_000
_MOST_PASSES = 3
_NEIGHBOURS = 3  # rows on either side that are asked about a row


def _distance_m(record: RawRecord, start: Index, end: Index) -> FloatArray:
    latitude, longitude = record.latitude_deg, record.longitude_deg
    _, distance = course_and_distance(latitude[start], longitude[start], latitude[end], longitude[end])
    return np.asarray(distance, dtype=np.float64)


def _jumps(record: RawRecord, start: Index, end: Index) -> BoolArray:
    interval = record.time_s[end] - record.time_s[start]
    return np.asarray(_distance_m(record, start, end) > IMPOSSIBLE_SPEED_MPS * interval + JUMP_ALLOWANCE_M)


def without_jumps(record: RawRecord) -> RawRecord:
    """Leave out positions that can't be reached from the ones before and after."""
    count = len(record.time_s)
    rows = np.arange(count)
    for _ in range(_MOST_PASSES):  # single rows first, all at once: a long noisy file has thousands
        alone = _lone_jumps(record, rows)
        if not np.any(alone):
            break
        rows = rows[~alone]
    if len(rows) >= 3:
        jump = _jumps(record, rows[:-1], rows[1:])
        if np.any(jump):
            runs = np.concatenate(([0], np.flatnonzero(jump) + 1, [len(rows)]))
            keep = _reachable_runs(record, rows, runs)
            rows = rows[np.repeat(keep, np.diff(runs))]
    left_out = count - len(rows)
    if not left_out:
        return record
    if left_out > MOST_JUMPS * count:
        record.note(
            "impossible_speeds",
            "Many steps between positions are faster than 1000 kt, and it can't be told which positions are wrong; "
            "nothing was left out. Is the unit of the times right?",
        )
        return record
    record.note(
        "impossible_jumps",
        f"{record.count_of(left_out, 'lies', 'lie')} where no aircraft could have got to (over "
        "1000 kt there and back): left out.",
    )
    return record.chosen(rows)


def _lone_jumps(record: RawRecord, rows: Index) -> BoolArray:
    """Return which rows are impossible between neighbours that are possible without them.

    A good row between two outliers looks the same from its neighbours alone, so most of the three rows on either side
    must contradict it.
    """
    alone = np.zeros(len(rows), dtype=np.bool_)
    if len(rows) < 3:
        return alone
    against = np.zeros(len(rows), dtype=np.int64)
    asked = np.zeros(len(rows), dtype=np.int64)
    for step in range(1, min(_NEIGHBOURS, len(rows) - 1) + 1):
        jump = _jumps(record, rows[:-step], rows[step:])
        if step == 1:
            alone[1:-1] = jump[:-1] & jump[1:]
            if not np.any(alone):
                return alone
        for side in (slice(None, -step), slice(step, None)):
            against[side] += jump
            asked[side] += 1
    alone &= 2 * against > asked
    middle = np.flatnonzero(alone)
    alone[middle] = ~_jumps(record, rows[middle - 1], rows[middle + 1])
    return alone


def _reachable_runs(record: RawRecord, rows: Index, runs: Index) -> BoolArray:
    """Return which runs between jumps can be reached from the longest one, walking outward both ways."""
    keep = np.zeros(len(runs) - 1, dtype=np.bool_)
    if len(keep) > _MOST_RUNS:
        return keep  # nothing to hold on to
    main = int(np.argmax(np.diff(runs)))
    keep[main] = True
    first, last = rows[runs[:-1]], rows[runs[1:] - 1]
    edge = last[main]
    for run in range(main + 1, len(keep)):
        if not _jumps(record, np.array([edge]), first[run : run + 1])[0]:
            keep[run] = True
            edge = last[run]
    edge = first[main]
    for run in range(main - 1, -1, -1):
        if not _jumps(record, last[run : run + 1], np.array([edge]))[0]:
            keep[run] = True
            edge = first[run]
    return keep


def without_stale_positions(record: RawRecord) -> RawRecord:
    """Leave out repeats of the last position while the aircraft flew on: they are old news, not places."""
    count = len(record.time_s)
    if count < 3:
        return record
    same = (np.diff(record.latitude_deg) == 0.0) & (np.diff(record.longitude_deg) == 0.0)
    if not np.any(same):
        return record
    starts = np.concatenate(([0], np.flatnonzero(~same) + 1))  # first row of each run of equal positions
    following = np.append(starts[1:], count - 1)
    interval = record.time_s[following] - record.time_s[starts]
    moved_m = _distance_m(record, starts, following)
    speed = moved_m / np.where(interval > 0, interval, np.inf)
    flying = (speed > STANDING_SPEED_MPS) & (moved_m > ROUNDING_M)
    flying[-1] = len(flying) > 1 and flying[-2]  # after the last run nothing shows whether it flew on
    lengths = np.diff(np.append(starts, count))
    stale = np.repeat(flying, lengths)
    stale[starts] = False
    left_out = int(np.count_nonzero(stale))
    if not left_out or count - left_out < 2:
        return record
    record.note(
        "repeated_positions",
        f"{record.count_of(left_out, 'repeats', 'repeat')} the position before although the "
        "aircraft was flying: left out.",
    )
    return record.chosen(~stale)
