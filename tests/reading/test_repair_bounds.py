"""Where a repair begins, just inside and just outside, each bound written as a number."""

import numpy as np
import pytest

from analyzer.reading.record import RawRecord
from analyzer.reading.repair import checked_track

STEP_DEG = 0.0005


def codes(time_s: np.ndarray, longitude_deg: float = -101.5) -> set[str]:
    raw = RawRecord("a.csv", "a", time_s, False, 46.2 + time_s * STEP_DEG, np.full(len(time_s), longitude_deg))
    return {note.code for note in checked_track(raw).quality}


@pytest.mark.parametrize(
    ("interval_s", "pause_s", "gap"), [(1.0, 4.9, False), (1.0, 5.1, True), (3.0, 14.9, False), (3.0, 15.2, True)]
)
def test_a_gap_is_longer_than_5_intervals_and_than_5_seconds(interval_s: float, pause_s: float, gap: bool) -> None:
    steps = np.full(40, interval_s)
    steps[20] = pause_s
    assert ("gaps" in codes(np.concatenate([[0.0], np.cumsum(steps)]))) is gap


@pytest.mark.parametrize(("longitude", "counted_east"), [(179.9, False), (180.1, True), (359.9, True)])
def test_longitudes_from_180_to_360_are_counted_east(longitude: float, counted_east: bool) -> None:
    assert ("longitude_beyond_180" in codes(np.arange(20.0), longitude)) is counted_east


def test_a_longitude_of_360_is_not_a_place() -> None:
    time = np.arange(20.0)
    longitude = np.full(20, 0.0)
    longitude[5] = 360.0
    raw = RawRecord("a.csv", "a", time, False, 46.2 + time * STEP_DEG, longitude)
    assert len(checked_track(raw)) == 19
