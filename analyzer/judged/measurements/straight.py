"""The ground track of a straight stretch, from the recorded positions themselves."""

from dataclasses import dataclass

import numpy as np

from analyzer.flown import Motion


@dataclass(frozen=True)
class StraightFit:
    """Track over the ground relative to the inbound course, positive to the right, in [-180, 180), and the speed."""

    track_relative_deg: float
    track_sigma_deg: float
    groundspeed_mps: float
    along_mps: float
    cross_mps: float


def straight_fit(motion: Motion, start_s: float, end_s: float) -> StraightFit | None:
    """Return the line at steady speed through the positions between two moments.

    The smoothed motion rounds off the ends of a straight; the recorded positions do not. They are used where the
    stretch holds at least three of them, the smoothed motion where it does not.

    Parameters
    ----------
    motion : Motion
    start_s, end_s : float
        Wings level in between.

    Returns
    -------
    StraightFit or None
        None for a stretch without length or an aircraft that does not move.
    """
    if not end_s > start_s:
        return None
    samples = motion.samples
    time = np.zeros(0)
    along = cross = time
    sigma_m = motion.noise_m
    if samples is not None:
        used = (samples.time_s >= start_s) & (samples.time_s <= end_s) & (samples.weight > 0.0)
        time, along, cross = samples.time_s[used], samples.along_m[used], samples.cross_m[used]
    if time.size < 3:
        count = max(3, int((end_s - start_s) / max(motion.step_s, 0.1)) + 1)
        time = np.linspace(start_s, end_s, count)
        along, cross = (np.interp(time, motion.time_s, values) for values in (motion.along_m, motion.cross_m))
        # neighbouring smoothed positions share their noise: as good as two independent ones
        sigma_m = (
            float(np.interp(0.5 * (start_s + end_s), motion.time_s, motion.position_sigma_m)) * (count / 2.0) ** 0.5
        )
    offset = time - time.mean()
    spread = float(offset @ offset)
    along_mps, cross_mps = float(offset @ along) / spread, float(offset @ cross) / spread
    speed = float(np.hypot(along_mps, cross_mps))
    if speed < 1.0:
        return None
    track = float(np.degrees(np.arctan2(cross_mps, -along_mps)))
    return StraightFit(
        track if track < 180.0 else track - 360.0,
        float(np.degrees(sigma_m / np.sqrt(spread) / speed)),
        speed,
        along_mps,
        cross_mps,
    )
