"""How a flight that made no reversal came to the fix."""

import numpy as np

from analyzer.flown import Motion
from analyzer.units import circular_mean_deg, wrap_360

ARRIVAL_MEAN_S = 30.0  # as for the entry of a hold: the mean ground track of the last half minute


def track_over_fix_deg(motion: Motion, inbound_true_deg: float) -> float | None:
    """Return the mean ground track of the last half minute before the nearest point to the fix, degrees true.

    Parameters
    ----------
    motion : Motion
    inbound_true_deg : float
        The course that the motion's tracks are relative to.

    Returns
    -------
    float or None
        In [0, 360); None without points there.
    """
    nearest_s = float(motion.time_s[int(np.argmin(motion.distance_m))])
    before = (motion.time_s >= nearest_s - ARRIVAL_MEAN_S) & (motion.time_s <= nearest_s)
    relative_deg = circular_mean_deg(motion.track_relative_deg[before])
    return float(wrap_360(relative_deg + inbound_true_deg)) if np.isfinite(relative_deg) else None
