"""The wind from heading and airspeed columns: its doubt worked out by hand, and which columns are not believed."""

import numpy as np
import pytest

from analyzer.flown.motion.motion import Motion
from analyzer.flown.wind.from_columns import better_of, wind_from_columns
from analyzer.given import Frame, Wind
from tests.hand_flown import motion_of

FRAME = Frame(46.2, -101.5, 0.0)  # flying north inbound: along is south, cross is east
TAS_MPS = 60.0


def circling(
    seconds: float = 360.0, east_mps: float = 6.0, tas_mps: object = TAS_MPS
) -> tuple[Motion, np.ndarray, np.ndarray]:
    """Three degrees a second in a wind from the west; motion, headings, airspeeds, a moment each half second."""
    time = np.arange(0.0, seconds, 0.5)
    heading = 3.0 * time
    tas = np.broadcast_to(np.asarray(tas_mps, dtype=float), time.shape)
    east, north = tas * np.sin(np.radians(heading)) + east_mps, tas * np.cos(np.radians(heading))
    return motion_of(time, -np.cumsum(north) * 0.5, np.cumsum(east) * 0.5), heading % 360.0, tas


def test_the_doubt_is_that_of_a_mean_over_independent_stretches() -> None:
    """1 m/s of scatter at least, alike over 4 s at least: in 360 s 90 of them. The wind: 1/90 (m/s)^2 each way.

    The airspeed: as much for its middle, as much again for the column's factor that is estimated along, and 0.3 m/s.
    """
    motion, heading, tas = circling()
    found = wind_from_columns(motion, FRAME, heading, tas)
    assert found is not None
    assert found.covariance is not None
    east, _, _, north, _, airspeed = found.covariance
    assert (east, north) == pytest.approx((1.0 / 90.0, 1.0 / 90.0), rel=0.05)
    assert airspeed == pytest.approx(2.0 / 90.0 + 0.09, rel=0.05)


@pytest.mark.parametrize(("off_deg", "believed"), [(18.0, True), (-18.0, True), (22.5, False), (-22.5, False)])
def test_a_heading_that_is_20_degrees_off_is_not_believed(off_deg: float, believed: bool) -> None:
    motion, heading, tas = circling(1200.0)
    found = wind_from_columns(motion, FRAME, (heading + off_deg) % 360.0, tas)
    assert (found is not None) is believed
    if found is not None:
        assert found.east_mps == pytest.approx(6.0, abs=0.5)


@pytest.mark.parametrize(("factor", "believed"), [(1.22, True), (1.28, False), (0.86, True), (0.81, False)])
def test_an_airspeed_that_is_a_fifth_off_is_not_believed(factor: float, believed: bool) -> None:
    """1/1.22 is 18 % less, 1/0.86 16 % more, 1/0.81 23 % more."""
    motion, heading, tas = circling(1200.0)
    assert (wind_from_columns(motion, FRAME, heading, tas * factor) is not None) is believed


@pytest.mark.parametrize(("slow_mps", "counts"), [(41.0, False), (43.0, True)])
def test_under_seven_tenths_of_the_usual_airspeed_is_not_flying(slow_mps: float, counts: bool) -> None:
    """60 m/s for 300 s; then another 120 s, slower, in which 4 m/s more of wind seem to blow."""
    motion, heading, tas = circling(420.0)
    late = motion.time_s > 300.0
    tas = np.where(late, slow_mps, tas)
    radians = np.radians(heading)
    east = np.where(late, slow_mps, TAS_MPS) * np.sin(radians) + np.where(late, 10.0, 6.0)
    north = np.where(late, slow_mps, TAS_MPS) * np.cos(radians)
    motion = motion_of(motion.time_s, -np.cumsum(north) * 0.5, np.cumsum(east) * 0.5)
    found = wind_from_columns(motion, FRAME, heading, tas)
    assert found is not None
    assert (found.east_mps > 6.5) is counts


@pytest.mark.parametrize(("rows", "enough"), [(31, True), (29, False)])
def test_thirty_moments_are_enough(rows: int, enough: bool) -> None:
    motion, heading, tas = circling()
    heading = np.where(np.arange(len(heading)) < rows, heading, np.nan)
    assert (wind_from_columns(motion, FRAME, heading, tas) is not None) is enough


def test_the_better_of_two_winds_is_the_better_known_one() -> None:
    def wind(variance: "float | None") -> Wind:
        return Wind(1.0, 2.0, 60.0, None if variance is None else (variance, 0.0, 0.0, variance, 0.0, 1.0), "by hand")

    good, bad, bare = wind(0.1), wind(0.4), wind(None)
    assert better_of(good, bad) is good
    assert better_of(bad, good) is good
    assert better_of(bare, bad) is bad
    assert better_of(None, bare) is bare
    assert better_of(None, None) is None
