"""Entry to a hold: which of the three entries the sectors give for an arrival track."""

import numpy as np

from analyzer.given import Entry
from analyzer.standards import FLYING
from analyzer.units import difference_deg

#: angle between the inbound course and the line through the fix that parts the sectors
SECTOR_LINE_DEG = FLYING["entry.line"].value
#: a heading within this of a boundary may use either entry
BOUNDARY_TOLERANCE_DEG = FLYING["entry.flexibility"].value


def entry_sector(arrival_track_true_deg: float, inbound_true_deg: float, turn_sign: int) -> tuple[Entry, bool]:
    """Entry that the sectors give, and whether the arrival lies so near a boundary that the neighbour is as good.

    With right turns the sectors, by the heading at the fix less the inbound course, are: direct from 70 deg left
    to 110 deg right (180 deg wide), teardrop from 110 to 180 deg right (70 deg wide), parallel from 180 to 70 deg
    left (110 deg wide). Left turns mirror them.

    Parameters
    ----------
    arrival_track_true_deg : float
        Mean track (or heading) on which the fix is reached, degrees true.
    inbound_true_deg : float
        Inbound course of the hold, degrees true.
    turn_sign : int
        +1 for right turns, -1 for left turns.

    Returns
    -------
    entry : {"direct", "teardrop", "parallel"}
        A track on a boundary gives direct before teardrop before parallel.
    near_boundary : bool
        Within 5 deg of a boundary, where the rule lets the pilot choose.

    Raises
    ------
    ValueError
        For a turn sign other than +1 or -1, or a track that is not finite.
    """
    if turn_sign not in (1, -1):
        raise ValueError(f"turn_sign is {turn_sign}; +1 is right turns, -1 left turns")
    if not (np.isfinite(arrival_track_true_deg) and np.isfinite(inbound_true_deg)):
        raise ValueError("an entry sector needs a finite arrival track and inbound course")
    relative = float(difference_deg(inbound_true_deg, arrival_track_true_deg)) * turn_sign
    boundaries = (-SECTOR_LINE_DEG, 180.0 - SECTOR_LINE_DEG, 180.0)
    near = any(abs(float(difference_deg(edge, relative))) <= BOUNDARY_TOLERANCE_DEG for edge in boundaries)
    if -SECTOR_LINE_DEG <= relative <= 180.0 - SECTOR_LINE_DEG:
        return "direct", near
    # difference_deg gives the reciprocal as -180: it belongs to the teardrop as much as to the parallel sector
    if relative > 180.0 - SECTOR_LINE_DEG or relative == -180.0:
        return "teardrop", near
    return "parallel", near
