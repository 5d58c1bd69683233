"""Names for arrays, and small things that are done with arrays in many places."""

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]
IntArray = npt.NDArray[np.int64]

#: the median distance from the median times this is the standard deviation of normal noise: 1 / 0.6745
_SIGMA_PER_MEDIAN_DISTANCE = 1.4826


def runs(marks: npt.ArrayLike) -> list[tuple[int, int]]:
    """Return the stretches of true, each as its first index and the one after its last.

    Parameters
    ----------
    marks : array of bool, shape (n,)
        May be empty.
    """
    padded = np.concatenate(([False], np.asarray(marks, dtype=bool), [False])).astype(np.int8)
    edges = np.flatnonzero(np.diff(padded)).tolist()
    return list(zip(edges[::2], edges[1::2], strict=True))


def robust_sigma(misses: npt.ArrayLike) -> float:
    """Return the standard deviation about zero that a few wild values don't move.

    Parameters
    ----------
    misses : array, any shape
        Distances from what is taken as right, signed or not; nan where one of them is nan or there is none.

    Notes
    -----
    1.4826 times the median absolute value (Hampel 1974): the standard deviation where the misses are normal.
    """
    return _SIGMA_PER_MEDIAN_DISTANCE * float(np.median(np.abs(np.asarray(misses, dtype=float))))
