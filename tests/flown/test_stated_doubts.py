"""Errors over their stated 1 sigma, from both sides, on thirty-two seeded flights with and without columns.

Root mean square 1 is an honest doubt. The square of it over n independent errors is a chi-square variable over n, so
the band about 1 follows from n alone, and from `SURE`: an honest doubt is outside once in a hundred such tests. Where
a doubt is known to be wider than it need be, the line says so and by how much, and it may be as wide as half the band.
"""

import numpy as np
import pytest

from analyzer.flown.altitude.smoothed import altitude_profile
from analyzer.units import METRES_PER_FOOT
from tests.doubt_flights import SEEDS, airspeed_errors, bank_errors, farthest_errors, spread, wind_errors

SURE = 2.5758  # standard normal quantile of 99.5 %: both sides together leave out 1 %
#: errors that one item of `doubt_flights` stands for: a wind has two components
COMPONENTS = {"wind": 2, "airspeed": 1, "bank": 1, "farthest": 1}
#: doubts that are wider than need be, without and with columns, and why
WIDE = {
    False: {"bank": "0.8: the ends of a turn are better known than is said"},
    True: {
        "wind": "0.55: what columns leave over counts for 1 m/s at least, with gusts, and there are none here",
        "airspeed": "0.57: the same, and 0.3 m/s for an indicator's lag",
        "bank": "0.8: as without columns",
    },
}
#: no single error is larger than this many sigma: once in 16,000
LARGEST = 4.0
READ = {"wind": wind_errors, "airspeed": airspeed_errors, "bank": bank_errors, "farthest": farthest_errors}


def band(count: int) -> tuple[float, float]:
    """Root mean squares between which `count` honest errors lie, by Wilson and Hilferty (PNAS 17 (1931) 684)."""
    part = 2.0 / (9.0 * count)
    low, high = ((1.0 - part + sign * SURE * part**0.5) ** 1.5 for sign in (-1.0, 1.0))
    return low, high


def test_the_band_is_that_of_chi_square_tables() -> None:
    """Chi-square with 30 degrees of freedom: 13.787 and 53.672 leave out 0.5 % each (any printed table)."""
    assert band(30) == pytest.approx(((13.787 / 30.0) ** 0.5, (53.672 / 30.0) ** 0.5), rel=0.005)


@pytest.mark.slow
@pytest.mark.parametrize("columns", [False, True])
def test_the_doubts_of_thirty_two_flights(columns: bool) -> None:
    """One test for all four, as the flights are flown and read once."""
    found = {name: spread(read(columns)) for name, read in READ.items()}
    assert len(SEEDS) == 32
    assert found["wind"].count >= 30
    assert found["bank"].count >= 60
    for name, one in found.items():
        low, high = band(COMPONENTS[name] * one.count)
        assert one.rms < high, (name, one)
        if name in WIDE[columns]:
            assert one.rms > 0.5 * low, (name, one)
        else:
            assert one.rms > low, (name, one)
    assert max(one.largest for one in found.values()) < LARGEST


@pytest.mark.parametrize("interval_s", [1.0, 5.0])
@pytest.mark.parametrize("noise_ft", [5.0, 20.0])
def test_the_doubt_of_a_smoothed_altitude(noise_ft: float, interval_s: float) -> None:
    """Level, a descent at 500 ft/min, level again, thirty times: only the record's own scatter is in this doubt."""
    time = np.arange(0.0, 400.0, interval_s)
    true = 4000.0 - np.clip(time - 120.0, 0.0, 120.0) * 500.0 / 60.0
    over_sigma = []
    for seed in range(30):
        noise = np.random.default_rng([seed, 6]).normal(0.0, noise_ft, len(time))
        profile = altitude_profile(time, (true + noise) * METRES_PER_FOOT)
        assert profile is not None
        steady = (np.abs(profile.time_s - 120.0) > 10.0) & (np.abs(profile.time_s - 240.0) > 10.0)
        miss = profile.altitude_m / METRES_PER_FOOT - np.interp(profile.time_s, time, true)
        over_sigma.append((miss * METRES_PER_FOOT / profile.noise_sigma_m)[steady])
    assert 0.75 < float(np.sqrt(np.mean(np.concatenate(over_sigma) ** 2))) < 1.15
