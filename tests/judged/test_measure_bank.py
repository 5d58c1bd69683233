"""The largest bank held for 3 s, on banks drawn by hand and on turns whose bank follows from rate and speed."""

import numpy as np
import pytest

from analyzer.given.track import Track
from analyzer.given.wind import wind_from
from analyzer.judged.measurements.bank import held_bank
from analyzer.units.arrays import FloatArray
from tests.hand_flown import SPEED_MPS, flight_of, flown, turn

#: what the differences of positions half a second apart leave
WORKED_OUT_DEG = 0.3


def _recorded(bank_deg: FloatArray, step_s: float = 1.0) -> float | None:
    """The bank that is read from a column; the turn is the whole record."""
    time = np.arange(len(bank_deg)) * step_s
    motion, _ = flown([(float(time[-1]), 0.0)])
    track = Track("t", time, np.full(len(time), 46.0), np.full(len(time), -101.0), sensors={"bank_deg": bank_deg})
    found = held_bank(turn(0.0, float(time[-1]), 90.0), flight_of(motion, track))
    return None if found is None else found.degrees


@pytest.mark.parametrize(("lasting_s", "expected"), [(3, 38.0), (2, 29.0)])
def test_a_bank_counts_that_is_held_for_3_s(lasting_s: int, expected: float) -> None:
    """38 degrees for 3 s are 38; for 2 s it was 29 for 3 s, half way into each roll of a second from and to 20."""
    bank = np.full(40, 20.0)
    bank[15 : 15 + lasting_s + 1] = 38.0
    assert _recorded(bank) == pytest.approx(expected)


def test_the_side_does_not_matter_and_a_single_wild_value_neither_makes_nor_hides_a_bank() -> None:
    bank = np.full(40, -33.0)
    bank[20] = 90.0
    bank[30] = 0.0
    assert _recorded(bank) == pytest.approx(33.0)


def test_a_column_with_holes_does_not_show_what_was_held() -> None:
    """Without the wind nothing else shows it either."""
    bank = np.full(40, 33.0)
    bank[10:20] = np.nan
    assert _recorded(bank) is None or _recorded(bank) != pytest.approx(33.0)


def test_without_a_column_rate_and_airspeed_give_it() -> None:
    """60 m/s and 3 deg/s: tan(bank) = 60 x 0.05236 / 9.80665, 17.8 degrees."""
    motion, _ = flown([(30.0, 0.0), (60.0, 180.0), (30.0, 0.0)])
    found = held_bank(turn(30.0, 90.0, 180.0), flight_of(motion, wind=wind_from(0.0, 0.0, SPEED_MPS)))
    assert found is not None
    assert found.degrees == pytest.approx(17.8, abs=WORKED_OUT_DEG)
    assert not found.recorded


def test_a_turn_over_the_ground_alone_has_none() -> None:
    motion, _ = flown([(30.0, 0.0), (60.0, 180.0), (30.0, 0.0)])
    assert held_bank(turn(30.0, 90.0, 180.0, None), flight_of(motion)) is None
