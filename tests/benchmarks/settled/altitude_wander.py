"""How an altitude is smoothed: `python -m tests.benchmarks.settled.altitude_wander`.

Level flight, a climb and levelling off, with 5 to 20 ft of noise at 1 s and 5 s: for values of the wander of the
vertical speed the root mean square error of the smoothed altitude, and of the error over its stated 1 sigma.
"""

import sys

import numpy as np

from analyzer.flown.altitude import smoothed
from analyzer.units import METRES_PER_FOOT

TRIED_FT2 = (0.03, 0.1, 0.3)
SEEDS = range(12)


def true_altitude_m(time_s: np.ndarray) -> np.ndarray:
    """4000 ft, from 120 s on a descent at 500 ft/min to 3000 ft, then level; each change of speed takes 6 s."""
    speed = np.interp(time_s, [0.0, 120.0, 126.0, 240.0, 246.0], [0.0, 0.0, -500.0 / 60.0, -500.0 / 60.0, 0.0])
    return (4000.0 + np.concatenate([[0.0], np.cumsum(0.5 * (speed[1:] + speed[:-1]) * np.diff(time_s))])) * 0.3048


def errors_with(wander_ft2: float, noise_ft: float, interval_s: float) -> tuple[float, float]:
    """Error in feet, and error over sigma, root mean square over the seeds."""
    smoothed.WANDER_MPS2_PER_S = wander_ft2 * METRES_PER_FOOT**2
    fine = np.arange(0.0, 400.0, 0.1)
    time = np.arange(0.0, 400.0, interval_s)
    true = np.interp(time, fine, true_altitude_m(fine))
    missed, scaled = [], []
    for seed in SEEDS:
        noise = np.random.default_rng([seed, 5]).normal(0.0, noise_ft * METRES_PER_FOOT, len(time))
        profile = smoothed.altitude_profile(time, true + noise)
        missed.append((profile.altitude_m - np.interp(profile.time_s, time, true)) / METRES_PER_FOOT)
        scaled.append(missed[-1] * METRES_PER_FOOT / profile.noise_sigma_m)
    return tuple(float(np.sqrt(np.mean(np.concatenate(each) ** 2))) for each in (missed, scaled))  # type: ignore


def main() -> int:
    used = smoothed.WANDER_MPS2_PER_S
    try:
        for noise_ft in (5.0, 20.0):
            for interval_s in (1.0, 5.0):
                for wander in TRIED_FT2:
                    error, over_sigma = errors_with(wander, noise_ft, interval_s)
                    star = "*" if np.isclose(wander * METRES_PER_FOOT**2, used) else " "
                    print(
                        f"{star} {wander:<5g} {noise_ft:g} ft at {interval_s:g} s: "
                        f"{error:.1f} ft, over sigma {over_sigma:.2f}"
                    )
    finally:
        smoothed.WANDER_MPS2_PER_S = used
    return 0


if __name__ == "__main__":
    sys.exit(main())
