"""Course arithmetic on scalars and arrays, in degrees."""

from typing import Any, overload

import numpy as np
import numpy.typing as npt

from analyzer.units.arrays import FloatArray


def wrap_360(angle_deg: Any) -> Any:
    """Return the angle in [0, 360).

    Parameters
    ----------
    angle_deg : float or array, any shape
        Degrees; nan stays nan.
    """
    wrapped = np.mod(angle_deg, 360.0)
    wrapped = np.where(wrapped >= 360.0, 0.0, wrapped)  # -1e-15 % 360 rounds up to 360
    return float(wrapped) if np.ndim(angle_deg) == 0 else wrapped


@overload
def wrap_180(angle_deg: float) -> float: ...
@overload
def wrap_180(angle_deg: FloatArray) -> FloatArray: ...
def wrap_180(angle_deg: Any) -> Any:
    """Return the angle in [-180, 180): of a course relative to another, positive to its right.

    Parameters
    ----------
    angle_deg : float or array, any shape
        Degrees; nan stays nan.
    """
    return (angle_deg + 180.0) % 360.0 - 180.0


def difference_deg(from_deg: Any, to_deg: Any) -> Any:
    """Return the signed change from one course to another, in [-180, 180), positive clockwise (to the right).

    Parameters
    ----------
    from_deg, to_deg : float or array, shapes that broadcast
        Degrees; nan stays nan.
    """
    change = wrap_180(np.asarray(to_deg, dtype=float) - np.asarray(from_deg, dtype=float))
    return float(change) if np.ndim(change) == 0 else change


def reciprocal_deg(course_deg: Any) -> Any:
    """Return the opposite course in [0, 360)."""
    return wrap_360(np.asarray(course_deg, dtype=float) + 180.0)


def circular_mean_deg(angles_deg: npt.ArrayLike, weights: npt.ArrayLike | None = None) -> float:
    """Return the direction of the mean unit vector, in [0, 360).

    Parameters
    ----------
    angles_deg : array, shape (n,)
        Degrees; nan are left out.
    weights : array, shape (n,), optional
        Not negative.

    Returns
    -------
    float
        nan for no angles, or where they cancel each other out.
    """
    angles = np.radians(np.asarray(angles_deg, dtype=float))
    weight = np.ones_like(angles) if weights is None else np.asarray(weights, dtype=float)
    good = np.isfinite(angles) & np.isfinite(weight)
    east = float(np.sum(weight[good] * np.sin(angles[good])))
    north = float(np.sum(weight[good] * np.cos(angles[good])))
    if np.hypot(east, north) <= 1e-9 * max(1.0, float(np.sum(weight[good]))):
        return float("nan")
    return float(wrap_360(np.degrees(np.arctan2(east, north))))


def unwrap_deg(angles_deg: npt.ArrayLike) -> FloatArray:
    """Return the angles without jumps of more than 180 degrees, starting where they start."""
    degrees: FloatArray = np.degrees(np.unwrap(np.radians(np.asarray(angles_deg, dtype=float))))
    return degrees
