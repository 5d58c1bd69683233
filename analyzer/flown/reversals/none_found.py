"""Why a track shows no reversal, in words a pilot can act on."""

import numpy as np

from analyzer.flown.motion.motion import Motion
from analyzer.flown.reversals.fix_passes import Pass
from analyzer.given import QualityNote
from analyzer.units import METRES_PER_NM, clock


def no_reversal_note(motion: Motion, passed: tuple[Pass, ...], radius_m: float) -> QualityNote:
    """Return the note for a track without an attempt.

    Parameters
    ----------
    motion : Motion
    passed : tuple of Pass
        Passes within `radius_m` of the fix.
    radius_m : float
    """
    nearest = int(np.argmin(motion.distance_m))
    nearest_nm = float(motion.distance_m[nearest]) / METRES_PER_NM
    if not passed and nearest_nm * METRES_PER_NM > radius_m:
        text = (
            f"No course reversal: the track comes no nearer to the fix than {nearest_nm:.1f} NM "
            f"(at {clock(float(motion.time_s[nearest]))}). Is the procedure for another fix?"
        )
        return QualityNote("no-reversal-far-from-fix", text)
    at_s = passed[0].at_s if passed else float(motion.time_s[nearest])
    inbound = float(np.interp(at_s, motion.time_s, motion.along_mps)) < 0.0
    if not passed or at_s > float(motion.time_s[-1]) - 20.0:
        text = f"No course reversal: the track ends at the fix ({clock(at_s)}), before a reversal."
        return QualityNote("no-reversal-too-short", text)
    if inbound:
        text = f"No course reversal: the flight passes the fix inbound at {clock(at_s)} and flies on, straight in."
        return QualityNote("no-reversal-straight-in", text)
    text = f"No course reversal: the flight passes the fix at {clock(at_s)} and does not turn back to it."
    return QualityNote("no-reversal-flew-on", text)
