"""Cards flown as they are printed, by the independent simulator, and judged: a few kinds and winds.

All of them: `python -m tests.benchmarks.cards`.
"""

import pytest

from tests.benchmarks.cards.runs import MOST_OFF_NM, MOST_OTHER_SIDE_NM, run
from tests.independent.aircraft import Air

SOME = (
    ("45/180 US", 110.0, Air(45, 40)), ("45/180 ICAO", 90.0, Air(135, 25)), ("80/260", 150.0, Air(225, 40)),
    ("racetrack", 110.0, Air(0, 25)), ("base turn, 2 min", 110.0, Air(200, 25)), ("teardrop to 6 NM", 110.0, Air(270,
    25)),
    ("hold 1 min, direct", 110.0, Air(315, 25)), ("hold 1 min, teardrop", 150.0, Air(45, 40)),
    ("hold 1 min, parallel", 110.0, Air(180, 12)), ("in lieu 4 NM, direct", 110.0, Air(45, 40)),
    ("in lieu 4 NM, parallel", 90.0, Air(225, 25)), ("hold 5 NM, teardrop", 110.0, Air(0, 40)),
)  # fmt: skip


def test_a_direct_entry_from_across_the_course_is_flown_as_its_card_says():
    """From 96 degrees right of the inbound course: after a short turn at the fix the leg leads away from it."""
    outcome = run("in lieu 4 NM, direct", 100.0, Air(223, 15), 221.0)
    assert outcome.how == "flown"
    assert not outcome.wrong


@pytest.mark.parametrize(("kind", "tas_kt", "air"), SOME)
def test_a_card_flown_as_printed_is_to_standard(kind, tas_kt, air):
    outcome = run(kind, tas_kt, air)
    if outcome.how == "no plan":
        assert air.wind_kt > 0.35 * tas_kt, outcome.reason
        return
    assert outcome.how == "flown", outcome.wrong
    assert outcome.result == "to standard", outcome.told
    assert outcome.other_side_nm <= MOST_OTHER_SIDE_NM
    assert outcome.off_nm <= MOST_OFF_NM, outcome.wrong
    assert not outcome.told
