"""Wind and true airspeed from the ground velocity of a flight that turns, with an honest covariance.

In a steady wind the ground velocities of an aircraft of constant airspeed lie on a circle about the wind. Airspeed is
never constant: its wandering is part of the model (an exponentially correlated process whose size and memory are
estimated with the wind, by restricted maximum likelihood), so that a flight that changes speed ends with a wide
uncertainty instead of a wrong wind.
"""

from dataclasses import dataclass, replace

import numpy as np

from analyzer.flown.motion.motion import Motion
from analyzer.given import Frame, Wind
from analyzer.units import METRES_PER_NM, MPS_PER_KNOT, FloatArray

CHORD_S = 4.0  # shortest stretch whose mean velocity is one observation
LONGEST_CHORD_S = 8.0  # in long flights: still but a small part of a turn
MOST_CHORDS = 140
ITERATIONS = 6
SAME_WIND_M = 25.0 * METRES_PER_NM  # wind far from the procedure is another wind
#: the largest is not an aircraft's but that of received positions whose times are seconds off
WANDER_SIGMAS_MPS = (0.05, 0.3, 0.7, 1.5, 4.0, 7.0, 12.0)
WANDER_MEMORIES_S = (15.0, 60.0, 240.0)
SIGMA_LIMIT_MPS = 5.0 * MPS_PER_KNOT  # a wind less well known than this is called not known
HOPELESS_KT = 60.0  # a larger figure says no more than that nothing is known
#: on a shorter arc a change of airspeed looks like a wind: slowing down on a straight-in approach, like one of 96 kt
#: (own choice, after synthetic flights; the next one as well)
LEAST_TURNED_DEG = 60.0
MOST_WIND = 0.8  # of the airspeed; more is a fit gone wrong sooner than a wind to fly approaches in
SPREAD_LIMIT = 0.25  # airspeed wandering of more than this part of the airspeed: constant is no longer meaningful


@dataclass(frozen=True)
class _Chords:
    """Mean ground velocities between knots of the path: time, east, north, and the part of a turn the chord cuts."""

    time_s: FloatArray
    east_mps: FloatArray
    north_mps: FloatArray
    position_sigma_m: float
    length_s: float
    turn_deg: FloatArray
    known_change_mps: FloatArray


#: 1 sigma at least of an airspeed that rests on a column: lag and steps of an indicator, and a middle of the flight's
#: airspeeds that another stretch would have a little higher or lower; common practice
COLUMN_AIRSPEED_SIGMA_MPS = 0.3


@dataclass(frozen=True)
class WindEstimate:
    """A wind, or None with the reason."""

    wind: Wind | None
    reason: str


def estimate_wind(motion: Motion, frame: Frame, known_speed_mps: FloatArray | None = None) -> WindEstimate:
    """Return the wind that fits the whole flight, or None with the reason why it shows none.

    Parameters
    ----------
    motion : Motion
    frame : Frame
    known_speed_mps : array, shape (n,), optional
        A recorded airspeed at the motion's moments, nan where missing: only its changes are used, so that a
        calibration error of the column does no harm.

    Returns
    -------
    WindEstimate
    """
    chords = _chords(motion, frame, known_speed_mps)
    if chords is None:
        return WindEstimate(None, "The track is too short to show the wind.")
    direction = np.unwrap(np.arctan2(chords.east_mps, chords.north_mps))
    turned_deg = float(np.degrees(np.ptp(np.percentile(direction, [2.0, 98.0]))))
    if known_speed_mps is None and turned_deg < LEAST_TURNED_DEG:
        return WindEstimate(
            None, f"The flight turns too little to tell wind from airspeed: by {turned_deg:.0f} degrees."
        )
    start = _circle(chords)
    if start is None:
        return WindEstimate(None, "The flight turns too little to tell wind from airspeed.")
    fits = [
        (*fitted, sigma)
        for memory in WANDER_MEMORIES_S
        for sigma in WANDER_SIGMAS_MPS
        if (fitted := _fit(chords, start, sigma, memory)) is not None
    ]
    if not fits:
        return WindEstimate(
            None, "The flight turns too little to tell wind from airspeed: none fits its ground speeds."
        )
    estimate, covariance, wander = _averaged(fits)
    tas = float(estimate[2])
    worst = float(np.sqrt(np.max(np.linalg.eigvalsh(covariance[:2, :2]))))
    if worst > SIGMA_LIMIT_MPS:
        doubt_kt = worst / MPS_PER_KNOT
        how_much = f"by {doubt_kt:.0f} kt" if doubt_kt < HOPELESS_KT else "altogether"
        return WindEstimate(
            None,
            "The flight turns too little, or changes its airspeed too much, to tell wind from airspeed "
            f"(the wind would be uncertain {how_much}).",
        )
    if tas <= 15.0 or wander > SPREAD_LIMIT * tas or np.hypot(*estimate[:2]) > MOST_WIND * tas:
        return WindEstimate(None, "The airspeed changes too much to tell wind from airspeed.")
    if known_speed_mps is not None:
        covariance[2, 2] += COLUMN_AIRSPEED_SIGMA_MPS**2
    upper = tuple(float(covariance[i, j]) for i, j in ((0, 0), (0, 1), (0, 2), (1, 1), (1, 2), (2, 2)))
    method = "turns and legs" if known_speed_mps is None else "turns and legs, with the changes of the airspeed column"
    wind = Wind(float(estimate[0]), float(estimate[1]), tas, upper, method)  # type: ignore[arg-type]
    return WindEstimate(wind, "")


def _chords(motion: Motion, frame: Frame, known_speed_mps: FloatArray | None) -> _Chords | None:
    interval = motion.samples.interval_s if motion.samples is not None else motion.step_s
    near_s = float(np.count_nonzero(motion.distance_m < SAME_WIND_M)) * motion.step_s
    chord_s = max(CHORD_S, 1.5 * interval, min(LONGEST_CHORD_S, near_s / MOST_CHORDS))
    every = max(1, int(np.ceil(chord_s / motion.step_s)))
    knots = np.arange(0, len(motion), every)
    if len(knots) < 8:
        return None
    first, second = knots[:-1], knots[1:]
    length = every * motion.step_s
    gaps = np.concatenate([[0], np.cumsum(motion.in_gap)])
    usable = gaps[second] - gaps[first] == 0
    usable &= np.minimum(motion.distance_m[first], motion.distance_m[second]) < SAME_WIND_M
    speed = motion.groundspeed_mps
    usable &= (speed[first] > 15.0) & (speed[second] > 15.0)
    first, second = first[usable], second[usable]
    if len(first) > MOST_CHORDS:
        # keep the stretch with the most turning: that is where the wind shows
        turning = np.convolve(np.abs(motion.turn_rate_deg_s[first]), np.ones(MOST_CHORDS), mode="valid")
        begin = int(np.argmax(turning))
        first, second = first[begin : begin + MOST_CHORDS], second[begin : begin + MOST_CHORDS]
    if len(first) < 8:
        return None
    along = (motion.along_m[second] - motion.along_m[first]) / length
    cross = (motion.cross_m[second] - motion.cross_m[first]) / length
    east, north = frame.east_north_from_along_cross(along, cross)
    turned = np.concatenate([[0.0], np.cumsum(motion.turn_rate_deg_s) * motion.step_s])
    change = np.zeros(len(first))
    if known_speed_mps is not None:
        middle = known_speed_mps[(first + second) // 2]
        good = np.isfinite(middle)
        change = np.where(good, middle - np.median(middle[good]), 0.0) if np.any(good) else change
    return _Chords(
        time_s=(motion.time_s[first] + motion.time_s[second]) / 2.0,
        east_mps=east,
        north_mps=north,
        position_sigma_m=float(np.median(motion.position_sigma_m[first])),
        length_s=length,
        turn_deg=turned[second] - turned[first],
        known_change_mps=change,
    )


def _circle(chords: _Chords) -> FloatArray | None:
    """Wind and airspeed of the algebraic circle through the velocities (Kasa, IEEE Trans. IM 25 (1976) 8)."""
    design = np.column_stack([2.0 * chords.east_mps, 2.0 * chords.north_mps, np.ones(len(chords.time_s))])
    square = chords.east_mps**2 + chords.north_mps**2
    solution, _, rank, _ = np.linalg.lstsq(design, square, rcond=None)
    if rank < 3:
        return None
    radius = solution[2] + solution[0] ** 2 + solution[1] ** 2
    if radius <= 0.0:
        return None
    start = np.array([solution[0], solution[1], np.sqrt(radius)])
    if np.hypot(start[0], start[1]) > 0.9 * start[2]:
        start = np.array([0.0, 0.0, float(np.median(np.sqrt(square)))])
    return start


def _fit(
    chords: _Chords,
    start: FloatArray,
    wander_mps: float,
    memory_s: float,
) -> tuple[float, FloatArray, FloatArray] | None:
    """Minus twice the restricted log likelihood, the estimate (east, north, tas) and its covariance."""
    estimate = start.copy()
    count = len(chords.time_s)
    weight = np.ones(count)
    lag = np.abs(chords.time_s[:, None] - chords.time_s[None, :])
    process = wander_mps**2 * np.exp(-lag / memory_s)
    neighbours = np.abs(lag - chords.length_s) < 1e-6
    noise = (chords.position_sigma_m / chords.length_s) ** 2
    result: tuple[float, FloatArray, FloatArray] | None = None
    for _ in range(ITERATIONS):
        east, north = chords.east_mps - estimate[0], chords.north_mps - estimate[1]
        speed = np.maximum(np.hypot(east, north), 1e-6)
        unit = np.column_stack([east, north]) / speed[:, None]
        turn = np.radians(chords.turn_deg) * np.clip(np.hypot(chords.east_mps, chords.north_mps) / speed, 0.5, 2.0)
        shortening = np.sinc(turn / (2.0 * np.pi))  # a chord is shorter than its arc
        rest = speed / shortening - chords.known_change_mps - estimate[2]
        covariance = process + noise * (2.0 * np.eye(count) - neighbours * (unit @ unit.T))
        covariance[np.diag_indices(count)] += 1e-4 + (1.0 / weight - 1.0) * np.diag(covariance)
        try:
            factor = np.linalg.cholesky(covariance)
        except np.linalg.LinAlgError:
            return result
        design = np.column_stack([unit, np.ones(count)])
        white = np.linalg.solve(factor, np.column_stack([design, rest]))
        white_design, white_rest = white[:, :3], white[:, 3]
        normal = white_design.T @ white_design
        try:
            inverse = np.linalg.inv(normal)
        except np.linalg.LinAlgError:
            return result
        gain = inverse @ np.linalg.solve(factor.T, white_design).T
        step = gain @ rest
        estimate = estimate + step
        left = white_rest - white_design @ step
        criterion = float(left @ left + 2.0 * np.sum(np.log(np.diag(factor))) + np.linalg.slogdet(normal)[1])
        result = (criterion, estimate.copy(), _about_the_mean(gain, process, covariance))
        # a chord over a bad position stands out of its whitened neighbours
        weight = np.minimum(weight, 1.0 / (1.0 + np.clip(np.abs(left) / 3.5 - 1.0, 0.0, None) ** 2))
        if not np.all(np.isfinite(estimate)) or np.hypot(*estimate[:2]) > 150.0:
            return None
        if np.max(np.abs(step)) < 0.01:
            break
    return result


def _averaged(fits: list[tuple[float, FloatArray, FloatArray, float]]) -> tuple[FloatArray, FloatArray, float]:
    """Return estimate, covariance and wander over all sizes and memories of the wander, each as likely as it fits.

    A flight of ten minutes shows neither well: the likeliest alone would claim more than is known.
    """
    criterion = np.array([fit[0] for fit in fits])
    share = np.exp(-0.5 * (criterion - np.min(criterion)))
    share /= np.sum(share)
    estimates = np.array([fit[1] for fit in fits])
    middle = share @ estimates
    apart = estimates - middle
    covariance = np.einsum("i,ijk->jk", share, np.array([fit[2] for fit in fits])) + (apart * share[:, None]).T @ apart
    return middle, covariance, float(share @ np.array([fit[3] for fit in fits]))


def _about_the_mean(gain: FloatArray, process: FloatArray, covariance: FloatArray) -> FloatArray:
    """Covariance of wind and airspeed about what they were on this flight.

    The airspeed that is told is the mean of what was flown: how far that mean lies from the one of endless flights by
    the same pilot is part of what was measured, not of its error.
    """
    seen = gain.copy()
    seen[2] -= 1.0 / len(process)
    result: FloatArray = seen @ process @ seen.T + gain @ (covariance - process) @ gain.T
    return result


def with_airspeed(wind: Wind, motion: Motion, frame: Frame) -> Wind:
    """Return a given wind with the airspeed that the flight's ground velocities have in it."""
    east, north = frame.east_north_from_along_cross(motion.along_mps, motion.cross_mps)
    flying = motion.groundspeed_mps > 15.0
    if not np.any(flying):
        return wind
    return replace(wind, tas_mps=float(np.median(np.hypot(east - wind.east_mps, north - wind.north_mps)[flying])))
