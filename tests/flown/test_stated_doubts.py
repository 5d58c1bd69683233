"""Errors over their stated 1 sigma, from both sides, on thirty-two seeded flights with and without columns.

Root mean square 1 is an honest doubt, under it a wide one. Each band lies about what the program has now, so that a
doubt that is changed shows; where it does not hold 1, the doubt is wider than need be, and the line says by what.
"""

import numpy as np
import pytest

from analyzer.flown.altitude.smoothed import altitude_profile
from analyzer.units import METRES_PER_FOOT
from tests.doubt_flights import SEEDS, airspeed_errors, bank_errors, farthest_errors, spread, wind_errors

#: what is read, and between which bounds the root mean square of its errors over sigma lies
WITHOUT_COLUMNS = {
    "wind": (0.80, 1.20),
    "airspeed": (
        0.25,
        0.60,
    ),  # wide: the sigma counts airspeeds that wander, of which the mean of a flight feels little
    "bank": (0.60, 1.00),
    "farthest": (0.10, 0.60),  # wide: 10 m are allowed for what satellite positions wander by together
}
WITH_COLUMNS = {
    "wind": (0.40, 0.80),  # wide: a constant error of each column is allowed for, and these have none
    "airspeed": (0.15, 0.60),  # the same
    "bank": (0.60, 1.00),
    "farthest": (0.10, 0.60),
}
#: no single error is larger than this many sigma
LARGEST = 4.0
READ = {"wind": wind_errors, "airspeed": airspeed_errors, "bank": bank_errors, "farthest": farthest_errors}


@pytest.mark.slow
@pytest.mark.parametrize(("columns", "bands"), [(False, WITHOUT_COLUMNS), (True, WITH_COLUMNS)])
def test_the_doubts_of_thirty_two_flights(columns: bool, bands: dict[str, tuple[float, float]]) -> None:
    """One test for all four, as the flights are flown and read once."""
    found = {name: spread(read(columns)) for name, read in READ.items()}
    assert len(SEEDS) == 32
    assert found["wind"].count >= 30
    assert found["bank"].count >= 60
    outside = {name: one for name, one in found.items() if not bands[name][0] < one.rms < bands[name][1]}
    assert not outside
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
