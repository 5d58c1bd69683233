"""Entry sectors against the published rule, right and left turns, and their boundaries."""

import pytest

from analyzer.planned.entry_sectors import entry_sector


@pytest.mark.parametrize(
    ("heading", "entry"),
    [
        (0, "direct"),
        (109, "direct"),
        (291, "direct"),
        (111, "teardrop"),
        (179, "teardrop"),
        (181, "parallel"),
        (289, "parallel"),
    ],
)
@pytest.mark.parametrize("inbound", [360.0, 0.0, 118.0, 275.5])
def test_right_turn_sectors_and_their_mirror(heading: float, entry: str, inbound: float) -> None:
    assert entry_sector((inbound + heading) % 360.0, inbound, 1)[0] == entry
    assert entry_sector((inbound - heading) % 360.0, inbound, -1)[0] == entry


def test_every_heading_has_an_entry_and_the_sectors_have_their_widths() -> None:
    entries = [entry_sector(heading + 0.5, 0.0, 1)[0] for heading in range(360)]
    assert [entries.count(name) for name in ("direct", "teardrop", "parallel")] == [180, 70, 110]


@pytest.mark.parametrize("boundary", [110.0, 180.0, 290.0])
def test_five_degrees_either_side_of_a_boundary_are_near(boundary: float) -> None:
    for off, near in ((-5.1, False), (-4.9, True), (0.0, True), (4.9, True), (5.1, False)):
        assert entry_sector(boundary + off, 0.0, 1)[1] is near


def test_a_wrong_turn_sign_or_no_track_is_refused() -> None:
    with pytest.raises(ValueError, match=r"\+1 is right"):
        entry_sector(10.0, 20.0, 0)
    with pytest.raises(ValueError, match="finite"):
        entry_sector(float("nan"), 20.0, 1)
