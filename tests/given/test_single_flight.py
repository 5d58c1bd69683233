"""Of several flights in one track the one with most points, and where one ends."""

import numpy as np
import pytest

from analyzer.given import Track, longest_flight


def track(time_s: np.ndarray) -> Track:
    return Track("a", time_s, 46.0 + 1e-4 * np.arange(len(time_s)), np.full(len(time_s), -101.5), None, None, None)


@pytest.mark.parametrize("longer_first", [True, False])
def test_of_two_flights_the_longer_one_is_taken_and_said(longer_first: bool):
    long, short = np.arange(0.0, 600.0), np.arange(0.0, 200.0)
    pause = 6.1 * 3600.0
    time = np.concatenate([long, long[-1] + pause + short] if longer_first else [short, short[-1] + pause + long])
    found = longest_flight(track(time))
    assert len(found) == 600
    assert len(found.quality) == 1


def test_a_pause_of_less_than_six_hours_parts_no_flight():
    first = np.arange(0.0, 300.0)
    assert len(longest_flight(track(np.concatenate([first, first[-1] + 5.9 * 3600.0 + np.arange(0.0, 300.0)])))) == 600


def test_one_flight_is_left_as_it_is():
    one = track(np.arange(0.0, 600.0))
    assert longest_flight(one) is one
    assert longest_flight(one).quality == ()
