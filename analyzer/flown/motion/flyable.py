"""Which positions no aircraft can have flown through: what makes a coarse recording's position an outlier."""

import numpy as np

from analyzer.units import BoolArray, FloatArray

#: sideways acceleration of a level turn at 45 degrees of bank, one g: steeper turns are not part of a reversal flown on
#: instruments (own choice; the handbooks' limit is 30 degrees)
STEEPEST_TURN_MPS2 = 9.80665
#: a bend of at least this share of the middle one, the other way, before and after it: for a single position off the
#: path both are half of it
SHARE_OF_BEND = 0.25
LEAST_OFF_M = 25.0
_MOST_PASSES = 20


def not_flyable(time_s: FloatArray, along_m: FloatArray, cross_m: FloatArray, asked: BoolArray) -> BoolArray:
    """Return which of the positions asked about no aircraft can have flown through.

    A position is impossible where it takes more than `STEEPEST_TURN_MPS2`, or where the path would have to bend one
    way, the other way and back again within three positions. Bends are second differences of the positions, which are
    means of the true acceleration and so never larger than it. The worst go first, since they spoil their neighbours.

    Parameters
    ----------
    time_s, along_m, cross_m : array, shape (n,)
        Increasing times in seconds; positions in metres.
    asked : array of bool, shape (n,)
        Positions that look wrong; all others are taken for right.

    Returns
    -------
    array of bool, shape (n,)
        The first and the last position, which show no bend, are never among them.
    """
    place = along_m + 1j * cross_m
    kept = np.arange(len(time_s))
    for _ in range(_MOST_PASSES):
        if len(kept) < 5:
            break
        moment, where = time_s[kept], place[kept]
        before, after = np.diff(moment)[:-1], np.diff(moment)[1:]
        velocity = np.diff(where) / np.diff(moment)
        bend = np.zeros(len(kept), dtype=np.complex128)
        bend[1:-1] = 2.0 * np.diff(velocity) / (before + after)
        off_m = np.zeros(len(kept))
        off_m[1:-1] = 0.5 * np.abs(bend[1:-1]) * before * after
        wrong = asked[kept] & (off_m > LEAST_OFF_M) & ((np.abs(bend) > STEEPEST_TURN_MPS2) | _zigzag(bend))
        worst = off_m * wrong
        around = np.maximum(np.concatenate(([0.0], worst[:-1])), np.concatenate((worst[1:], [0.0])))
        first = wrong & (worst >= around)
        if not np.any(first):
            break
        kept = kept[~first]
    left_out = np.ones(len(time_s), dtype=bool)
    left_out[kept] = False
    return left_out


def _zigzag(bend: "np.ndarray[tuple[int], np.dtype[np.complex128]]") -> BoolArray:
    """Return which bends have one the other way on both sides."""
    square = np.abs(bend) ** 2
    against = np.zeros(len(bend), dtype=np.int64)
    share = np.real(bend[1:] * np.conj(bend[:-1]))
    against[1:] += share < -SHARE_OF_BEND * square[1:]
    against[:-1] += share < -SHARE_OF_BEND * square[:-1]
    result: BoolArray = against == 2
    return result
