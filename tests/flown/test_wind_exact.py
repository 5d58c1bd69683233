"""Wind and airspeed of motions made by hand, where the right answer is known to the last figure."""

import numpy as np
import pytest

from analyzer.flown.motion.motion import Motion
from analyzer.flown.wind.from_columns import wind_from_columns
from analyzer.flown.wind.from_turns import estimate_wind
from analyzer.given import Frame
from tests.hand_flown import motion_of

FRAME = Frame(46.2, -101.5, 0.0)  # flying north inbound: along is south, cross is east
TAS_MPS, EAST_MPS, NORTH_MPS = 60.0, 6.0, -9.0
ONE_CENTIMETRE_A_SECOND = 0.01


def circling(rate_deg_s: float = 3.0, seconds: float = 360.0) -> tuple[Motion, np.ndarray]:
    """A circle through the air in a steady wind, sampled every 0.1 s without noise, and its headings."""
    time = np.arange(0.0, seconds, 0.1)
    heading = np.radians(rate_deg_s * time)
    rate = np.radians(rate_deg_s)
    east = TAS_MPS / rate * (1.0 - np.cos(heading)) + EAST_MPS * time
    north = TAS_MPS / rate * np.sin(heading) + NORTH_MPS * time
    return motion_of(time, -north, east), np.degrees(heading) % 360.0


def weaving() -> tuple[Motion, np.ndarray]:
    """Headings that swing through 120 degrees."""
    time = np.arange(0.0, 360.0, 0.1)
    heading = np.radians(60.0 * np.sin(2.0 * np.pi * time / 120.0))
    east = np.cumsum(TAS_MPS * np.sin(heading) + EAST_MPS) * 0.1
    north = np.cumsum(TAS_MPS * np.cos(heading) + NORTH_MPS) * 0.1
    return motion_of(time, -north, east), np.degrees(heading) % 360.0


def test_turns_give_wind_and_airspeed_although_chords_are_shorter_than_their_arcs() -> None:
    """At 3 deg/s a chord of 4 s is shorter than its arc by 0.18 %: 0.11 m/s of airspeed."""
    motion, _ = circling()
    wind = estimate_wind(motion, FRAME).wind
    assert wind is not None
    assert wind.east_mps == pytest.approx(EAST_MPS, abs=ONE_CENTIMETRE_A_SECOND)
    assert wind.north_mps == pytest.approx(NORTH_MPS, abs=ONE_CENTIMETRE_A_SECOND)
    assert wind.tas_mps == pytest.approx(TAS_MPS, abs=2.0 * ONE_CENTIMETRE_A_SECOND)


@pytest.mark.parametrize("heading_error_deg", [0.0, 4.0, -4.0])
@pytest.mark.parametrize("factor", [1.0, 1.04])
def test_columns_with_a_constant_error_give_the_wind_of_a_flight_that_turns(
    heading_error_deg: float, factor: float
) -> None:
    """The errors are estimated with the wind, held back a little by what is usual of them: 3 % and 3 degrees."""
    motion, heading = weaving()
    found = wind_from_columns(
        motion, FRAME, (heading + heading_error_deg) % 360.0, np.full(len(heading), TAS_MPS * factor)
    )
    a_fifth_of_a_metre_a_second = 0.2
    assert found is not None
    assert found.east_mps == pytest.approx(EAST_MPS, abs=a_fifth_of_a_metre_a_second)
    assert found.north_mps == pytest.approx(NORTH_MPS, abs=a_fifth_of_a_metre_a_second)
    assert found.tas_mps == pytest.approx(TAS_MPS, abs=a_fifth_of_a_metre_a_second)


def test_on_one_heading_the_columns_own_errors_stay_in_the_doubt() -> None:
    """3 % of 60 m/s is 1.8 m/s along the heading, 3 degrees are 3.1 m/s across: nothing in the flight shows them."""
    time = np.arange(0.0, 300.0, 0.5)
    motion = motion_of(time, -(TAS_MPS + NORTH_MPS) * time, EAST_MPS * time)
    found = wind_from_columns(motion, FRAME, np.zeros(len(time)), np.full(len(time), TAS_MPS))
    assert found is not None
    assert found.covariance is not None
    east, _, _, north, _, airspeed = np.sqrt(np.abs(found.covariance))
    assert east == pytest.approx(3.14, abs=0.15)
    assert north == pytest.approx(1.8, abs=0.15)
    assert airspeed == pytest.approx(1.8, abs=0.15)


def test_an_airspeed_from_a_column_is_never_stated_better_than_half_a_knot() -> None:
    """However smooth a column is, the median of a flight's airspeed is not known to 0.03 kt."""
    motion, _ = circling()
    wind = estimate_wind(motion, FRAME, np.full(len(motion), TAS_MPS)).wind
    assert wind is not None
    assert wind.covariance is not None
    assert 0.25 < np.sqrt(wind.covariance[5]) < 1.0
