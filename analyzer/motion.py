"""Cleaned and smoothed motion in the plane about the fix, with its noise."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Motion:
    """State of the aircraft at evenly spaced moments, arrays of shape (n,).

    Parameters
    ----------
    time_s : array
        Seconds after the track's first moment, evenly spaced by `step_s`, from the first moment to the last.
    along_m, cross_m : array
        Position in the frame's along/cross axes.
    along_mps, cross_mps : array
        Ground velocity in the same axes.
    turn_rate_deg_s : array
        Rate of the ground track, positive to the right.
    position_sigma_m, speed_sigma_mps, track_sigma_deg, turn_rate_sigma_deg_s : array
        1 sigma of the above.
    in_gap : array of bool
        Moments inside a gap of the recording, where the state is only bridged.
    noise_m : float
        1 sigma of the recorded positions, estimated from the data.
    inbound_true_deg : float
        The frame's inbound course, so that tracks can be given as true.
    """

    time_s: FloatArray
    along_m: FloatArray
    cross_m: FloatArray
    along_mps: FloatArray
    cross_mps: FloatArray
    turn_rate_deg_s: FloatArray
    position_sigma_m: FloatArray
    speed_sigma_mps: FloatArray
    track_sigma_deg: FloatArray
    turn_rate_sigma_deg_s: FloatArray
    in_gap: npt.NDArray[np.bool_]
    noise_m: float
    inbound_true_deg: float

    def __len__(self) -> int:
        return len(self.time_s)

    @property
    def groundspeed_mps(self) -> FloatArray:
        """Speed over the ground."""
        return np.hypot(self.along_mps, self.cross_mps)

    @property
    def track_relative_deg(self) -> FloatArray:
        """Ground track minus inbound course in [-180, 180): 0 inbound, positive to the right, -180 outbound."""
        relative = np.degrees(np.arctan2(self.cross_mps, -self.along_mps))
        return np.where(relative >= 180.0, relative - 360.0, relative)

    @property
    def track_true_deg(self) -> FloatArray:
        """Ground track, degrees true in [0, 360)."""
        return np.mod(self.track_relative_deg + self.inbound_true_deg, 360.0)

    @property
    def distance_m(self) -> FloatArray:
        """Distance from the fix."""
        return np.hypot(self.along_m, self.cross_m)
