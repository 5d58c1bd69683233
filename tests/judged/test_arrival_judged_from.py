"""From when an arrival is held against its altitude: each bound of "on its way there" with a twin on either side."""

from dataclasses import replace

import numpy as np
import pytest

from analyzer.judged.measurements.arrival import judged_from_s
from analyzer.units import METRES_PER_FOOT as FT
from tests.hand_flown import attempt

TIME = np.arange(0.0, 601.0)
FIRST = attempt([("arrival", 0.0, 600.0), ("outbound", 600.0, 700.0)], [(600.0, "outbound")], [None])


def judged_from(
    corners: list[tuple[float, float]], number: int = 1, starts_s: float = 0.0, took_off: bool = False
) -> float:
    """An arrival through corners of (seconds, feet) with a minimum of 5,000 ft, on a track that began at a moment."""
    altitude = np.interp(TIME, [at for at, _ in corners], [feet for _, feet in corners]) * FT
    return judged_from_s(replace(FIRST, number=number), starts_s, took_off, TIME, altitude, altitude - 5000 * FT)


@pytest.mark.parametrize(("began_ft", "from_s"), [(3900.0, 220.0), (4100.0, 0.0)])
def test_a_track_that_begins_in_flight_1000_ft_off_is_on_its_way(began_ft: float, from_s: float) -> None:
    """It reaches 5,000 ft at 220 s and stays there: before that nothing is held against it."""
    assert judged_from([(0.0, began_ft), (220.0, 5000.0), (600.0, 5000.0)]) == pytest.approx(from_s, abs=2.0)


@pytest.mark.parametrize(("back_ft", "from_s"), [(140.0, 300.0), (160.0, 0.0)])
def test_it_goes_there_without_turning_back_by_150_ft(back_ft: float, from_s: float) -> None:
    corners = [(0.0, 3500.0), (100.0, 4300.0), (130.0, 4300.0 - back_ft), (300.0, 5000.0), (600.0, 5000.0)]
    assert judged_from(corners) == pytest.approx(from_s, abs=2.0)


@pytest.mark.parametrize(("starts_s", "from_s"), [(-0.9, 320.0), (-1.2, 0.0)])
def test_the_track_begins_with_the_attempt_within_a_second(starts_s: float, from_s: float) -> None:
    """1,010 ft in 320 s are 189 ft/min: no climb that would count by itself."""
    corners = [(0.0, 3990.0), (10.0, 3990.0), (320.0, 5000.0), (600.0, 5000.0)]
    assert judged_from(corners, starts_s=starts_s) == pytest.approx(from_s, abs=2.0)


@pytest.mark.parametrize(("feet_a_minute", "from_s"), [(210.0, True), (190.0, False)])
def test_the_next_attempt_begins_in_a_climb_of_200_ft_a_minute(feet_a_minute: float, from_s: bool) -> None:
    """From 4,400 ft after a missed approach."""
    reached_s = 600.0 / feet_a_minute * 60.0
    found = judged_from([(0.0, 4400.0), (reached_s, 5000.0), (600.0, 5000.0)], number=2)
    assert found == pytest.approx(reached_s if from_s else 0.0, abs=2.0)


@pytest.mark.parametrize(("took_off", "from_s"), [(True, 300.0), (False, 0.0)])
def test_who_took_off_and_never_got_there_is_judged_for_the_last_five_minutes(took_off: bool, from_s: float) -> None:
    assert judged_from([(0.0, 1500.0), (600.0, 4500.0)], took_off=took_off) == from_s


def test_at_its_altitude_an_arrival_is_judged_from_its_beginning() -> None:
    assert judged_from([(0.0, 5000.0), (300.0, 4700.0), (600.0, 5200.0)]) == 0.0


def test_a_climb_through_the_altitude_is_judged_when_it_has_ended() -> None:
    """Through 5,000 ft at 200 s, up to 5,750 ft at 300 s: levelled when less than 50 ft follow in 15 s, at 293.3 s."""
    assert judged_from([(0.0, 3500.0), (300.0, 5750.0), (600.0, 5750.0)]) == pytest.approx(293.7, abs=0.7)
