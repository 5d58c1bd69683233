"""Well-known general methods on the same flights: change points for phase boundaries, circle fits for wind."""

from collections.abc import Iterable

import numpy as np
import ruptures
from scipy.optimize import least_squares

from analyzer.given.plane import frame_of
from analyzer.units.arrays import FloatArray
from analyzer.units.factors import MPS_PER_KNOT
from tests.benchmarks.accuracy.bound import wind_bound_mps
from tests.benchmarks.accuracy.comparison import FINEST_WIND_MPS
from tests.benchmarks.accuracy.flights import Case, case_of

STEP_S = 1.0


def change_point_errors_s(case: Case) -> list[float]:
    """Distance of each true start and end of a turn to the nearest change point.

    Optimal partition by dynamic programming (ruptures, KernelCPD with a linear kernel) of the turn rate at 1 s into
    constant stretches. The true count is given, with four more an attempt for turns that are not part of the reversal.
    """
    time, along_mps, cross_mps = _velocity(case)
    course = np.degrees(np.unwrap(np.arctan2(cross_mps, -along_mps)))
    rate = np.gradient(course, STEP_S)
    wanted = [
        moment
        for attempt in case.flight.truth.attempts
        for turn in attempt.turns
        for moment in (turn.start_s, turn.end_s)
    ]
    if not wanted or len(time) < 60:
        return []
    scale = 1.4826 * float(np.median(np.abs(np.diff(rate) - np.median(np.diff(rate))))) / 2**0.5 + 0.05
    search = ruptures.KernelCPD(kernel="linear", min_size=4).fit((rate / scale).reshape(-1, 1))
    count = min(len(wanted) + 4 * len(case.flight.truth.attempts), len(time) // 8)
    found = time[np.array(search.predict(n_bkps=count)[:-1]) - 1]
    return [float(np.min(np.abs(found - moment))) for moment in wanted]


def circle_wind_error_mps(case: Case) -> float:
    """Error of the wind from a robust geometric circle fit to all ground velocities (soft l1, scipy)."""
    _, along_mps, cross_mps = _velocity(case)
    east, north = frame_of(case.flight.procedure).east_north_from_along_cross(along_mps, cross_mps)
    flying = np.hypot(east, north) > 25.0
    east, north = east[flying], north[flying]

    def residual(values: FloatArray) -> FloatArray:
        return np.asarray(np.hypot(east - values[0], north - values[1]) - values[2])

    start = np.array([0.0, 0.0, float(np.median(np.hypot(east, north)))])
    fitted = least_squares(residual, start, loss="soft_l1", f_scale=2.0).x
    truth = case.flight.truth
    direction = np.radians(truth.wind_from_deg_true)
    wind = -truth.wind_speed_mps * np.array([np.sin(direction), np.cos(direction)])
    return float(np.hypot(*(fitted[:2] - wind)))


def _velocity(case: Case) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Ground velocity at even steps from positions smoothed over 5 s, both in the plane's axes."""
    track = case.flight.track
    frame = frame_of(case.flight.procedure)
    along, cross = frame.along_cross_m(track.latitude_deg, track.longitude_deg)
    time = np.arange(0.0, track.duration_s, STEP_S)
    kernel = np.ones(5) / 5.0
    smooth = [
        np.convolve(np.pad(np.interp(time, track.time_s, values), 2, mode="edge"), kernel, mode="valid")
        for values in (along, cross)
    ]
    return time, np.gradient(smooth[0], STEP_S), np.gradient(smooth[1], STEP_S)


def peers_table(seeds: Iterable[int]) -> str:
    """Both peers over the given flights, as text."""
    boundaries: list[float] = []
    at_1_hz: list[float] = []
    ratios: list[float] = []
    errors: list[float] = []
    for seed in seeds:
        case = case_of(seed)
        if case.method == "straight in":
            continue
        found = change_point_errors_s(case)
        boundaries += found
        if case.interval_s == 1.0:
            at_1_hz += found
        bound = wind_bound_mps(case)
        error = circle_wind_error_mps(case)
        errors.append(error / MPS_PER_KNOT)
        if bound is not None and not any(one.name == "too fast" for one in case.flight.plan.errors):
            ratios.append(error / max(bound, FINEST_WIND_MPS))
    return "\n".join(
        [
            "\npeers",
            f"  change points, true count given: boundary error median {np.median(boundaries):.2f} s, "
            f"95th {np.percentile(boundaries, 95):.2f} s; at 1 s {np.median(at_1_hz):.2f} s, "
            f"{np.percentile(at_1_hz, 95):.2f} s (n {len(boundaries)})",
            f"  circle fit: wind error median {np.median(errors):.2f} kt, over bound median {np.median(ratios):.2f}, "
            f"rms {np.sqrt(np.mean(np.square(ratios))):.2f} (n {len(ratios)})",
        ]
    )
