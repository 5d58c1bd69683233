"""Heading and speed through the air: the ground's motion with the wind taken out."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from analyzer.flown.motion.motion import Motion
from analyzer.given import Frame, Wind
from analyzer.units import FloatArray, unwrap_deg

TOO_SLOW_FOR_A_HEADING_MPS = 5.0  # the heading of what is slower all the way is noise


@dataclass(frozen=True)
class AirMotion:
    """Motion through the air, or over the ground where the wind is not known; arrays of shape (n,).

    `heading_deg` is relative to the inbound course and continuous (not wrapped); `rate_deg_s` its rate, positive to
    the right.
    """

    time_s: FloatArray
    heading_deg: FloatArray
    rate_deg_s: FloatArray
    rate_sigma_deg_s: FloatArray
    heading_sigma_deg: FloatArray
    speed_mps: FloatArray
    method: Literal["air heading", "ground track"]
    wind_along_mps: float
    wind_cross_mps: float
    in_gap: npt.NDArray[np.bool_]


def air_motion(motion: Motion, frame: Frame, wind: Wind | None) -> AirMotion:
    """Return the motion with the wind taken out, where it is known.

    Parameters
    ----------
    motion : Motion
    frame : Frame
    wind : Wind or None

    Returns
    -------
    AirMotion
    """
    wind_along, wind_cross = (0.0, 0.0)
    if wind is not None:
        wind_along, wind_cross = frame.along_cross_from_east_north(wind.east_mps, wind.north_mps)
    along, cross = motion.along_mps - wind_along, motion.cross_mps - wind_cross
    speed = np.hypot(along, cross)
    safe = np.maximum(speed, 2.0)
    if motion.along_mps2 is None or motion.cross_mps2 is None:
        rate = motion.turn_rate_deg_s
    else:
        rate = np.degrees((-along * motion.cross_mps2 + cross * motion.along_mps2) / safe**2)
    # turns are told from noise: what a curve rounds off them has no part in it
    rate_sigma = (
        motion.turn_rate_noise_deg_s if motion.turn_rate_noise_deg_s is not None else motion.turn_rate_sigma_deg_s
    )
    speed_sigma = motion.speed_noise_mps if motion.speed_noise_mps is not None else motion.speed_sigma_mps
    sigma = rate_sigma * np.maximum(motion.groundspeed_mps, 2.0) / safe
    heading = unwrap_deg(np.degrees(np.arctan2(cross, -along)))
    return AirMotion(
        time_s=motion.time_s,
        heading_deg=heading,
        rate_deg_s=np.where(speed < TOO_SLOW_FOR_A_HEADING_MPS, 0.0, rate),
        rate_sigma_deg_s=sigma,
        heading_sigma_deg=np.degrees(speed_sigma / safe),
        speed_mps=speed,
        method="ground track" if wind is None else "air heading",
        wind_along_mps=float(wind_along),
        wind_cross_mps=float(wind_cross),
        in_gap=motion.in_gap,
    )
