"""Against the FAA Aeronautical Information Manual, 5-3-8 j (edition effective 20 April 2023, read) and its figure.

The text: parallel "from anywhere in sector (a)", teardrop from (b), direct from (c); the sectors are made by a line
through the fix 70 degrees to the inbound course on the holding side. The split 70 / 110 / 180 and the 5 degrees either
way were read in training manuals that quote the ICAO rule (second hand).

The figure's hold has right turns. Drawn sector by sector, bearings from the fix, for inbound course 360 (the holding
side is east): (c) direct lies between bearings 110 and 290, the half plane south of the 70 degree line; (b) teardrop
between 290 and 360; (a) parallel between 000 and 110.
"""

import pytest

from analyzer.planned.entry_sectors import entry_sector


def sector_of_the_figure(bearing_from_fix_deg: float) -> str:
    """The figure read off: where the aircraft is, seen from the fix, inbound course 360, right turns."""
    if 110.0 < bearing_from_fix_deg < 290.0:
        return "direct"
    return "teardrop" if bearing_from_fix_deg > 290.0 else "parallel"


@pytest.mark.parametrize("bearing", [5, 60, 105, 115, 180, 230, 285, 295, 330, 355])
def test_sectors_of_the_figure(bearing: int) -> None:
    heading_to_fix = (bearing + 180.0) % 360.0
    assert entry_sector(heading_to_fix, 360.0, 1)[0] == sector_of_the_figure(bearing)


@pytest.mark.parametrize("bearing", [5, 60, 105, 115, 180, 230, 285, 295, 330, 355])
def test_a_nonstandard_pattern_is_the_figure_mirrored(bearing: int) -> None:
    """[AIM] 5-3-8 j: left turns mirror the sectors about the course."""
    heading_to_fix = (360.0 - bearing + 180.0) % 360.0
    assert entry_sector(heading_to_fix, 360.0, -1)[0] == sector_of_the_figure(bearing)


def test_the_70_degree_line_on_the_holding_side() -> None:
    """The line makes 70 degrees with the inbound course: its ends bear 110 and 290 from the fix for inbound 360."""
    for bearing in (110.0, 290.0):
        before, after = (entry_sector((bearing + off + 180.0) % 360.0, 360.0, 1)[0] for off in (-1.0, 1.0))
        assert {before, after} >= {"direct"}
        assert before != after
        assert entry_sector((bearing + 180.0) % 360.0, 360.0, 1)[1]


def test_published_widths_of_the_sectors() -> None:
    """110 degrees parallel (sector 1), 70 offset (sector 2), 180 direct (sector 3)."""
    found = [entry_sector(heading + 0.5, 37.0, -1)[0] for heading in range(360)]
    assert {name: found.count(name) for name in ("parallel", "teardrop", "direct")} == {
        "parallel": 110,
        "teardrop": 70,
        "direct": 180,
    }
