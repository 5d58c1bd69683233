"""Why a track shows no reversal: which of four reasons, on straight paths at 60 m/s."""

import numpy as np
import pytest

from analyzer.flown.reversals.fix_passes import Pass
from analyzer.flown.reversals.none_found import no_reversal_note
from tests.hand_flown import motion_of

RADIUS_M = 1852.0


def note(from_m: float, to_m: float, passed_s: "float | None" = None, beside_m: float = 0.0) -> tuple[str, str]:
    """Along the course from one distance to another."""
    time = np.arange(0.0, abs(to_m - from_m) / 60.0)
    motion = motion_of(time, from_m + np.sign(to_m - from_m) * 60.0 * time, beside_m + 0.0 * time)
    passed = () if passed_s is None else (Pass(passed_s, beside_m, 0.0, beside_m),)
    found = no_reversal_note(motion, passed, RADIUS_M)
    return found.code, found.text


@pytest.mark.parametrize(
    ("given", "code"),
    [
        ((12000.0, 6000.0), "no-reversal-far-from-fix"),
        ((12000.0, -6000.0, 200.0), "no-reversal-straight-in"),
        ((-6000.0, 12000.0, 100.0), "no-reversal-flew-on"),
        ((12000.0, -6000.0, 200.0, 1900.0), "no-reversal-straight-in"),  # it was passed, however far off
        ((12000.0, 600.0), "no-reversal-too-short"),  # near, and no pass yet
        ((12000.0, -1080.0, 200.0), "no-reversal-too-short"),  # passed 18 s before the end
        ((12000.0, -1380.0, 200.0), "no-reversal-straight-in"),  # passed 23 s before it
    ],
)
def test_a_track_without_a_reversal_says_why(given: tuple[float, ...], code: str) -> None:
    assert note(*given)[0] == code


def test_it_is_said_how_near_the_track_came_and_when() -> None:
    """From 12,000 m to 6,060 m out: 3.3 NM, after 99 s."""
    text = note(12000.0, 6000.0)[1]
    assert "no nearer to the fix than 3.3 NM (at 01:39)" in text
