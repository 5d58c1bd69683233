"""One segment's altitudes against its limit: margins, and the stretches outside."""

from dataclasses import dataclass

import numpy as np

from analyzer.given import AltitudeLimit
from analyzer.judged.measurements.landing import LEVEL_MPS, LEVEL_S
from analyzer.judged.measurements.values import AltitudeViolation
from analyzer.units import METRES_PER_FOOT, FloatArray

#: an altitude to be flown exactly is held within 100 ft (own definition, after common practice)
EXACT_BAND_M = 100.0 * METRES_PER_FOOT
#: altimeter altitude is known to 20 ft, 1 sigma, unless the user says otherwise (own choice)
ALTIMETER_SIGMA_M = 20.0 * METRES_PER_FOOT
#: a stretch counts from this many sigma of depth on; shallower ones show in the worst altitude and its margin alone,
#: so that noise about an altitude flown at its limit makes no violation
DEPTH_SIGMAS, DEPTH_NOISE_SIGMAS = 1.5, 2.5
#: a stretch that starts flat inside the scatter starts where the altitude begins to leave the limit
FLAT_SHARE, FLAT_LEAST_S = 0.25, 2.0


@dataclass(frozen=True)
class Stretch:
    """Altitudes of one segment with its ends interpolated, shape (n,); margin is positive inside the limit."""

    time_s: FloatArray
    altitude_m: FloatArray
    margin_m: FloatArray
    noise_sigma_m: FloatArray
    sigma_m: FloatArray

    def part(self, start_s: float, end_s: float) -> "Stretch":
        """Return the stretch from one moment to another, both interpolated."""
        inside = (self.time_s > start_s) & (self.time_s < end_s)
        time = np.concatenate([[start_s], self.time_s[inside], [end_s]])
        columns = (self.altitude_m, self.margin_m, self.noise_sigma_m, self.sigma_m)
        return Stretch(time, *(np.interp(time, self.time_s, values) for values in columns))


def margin_m(limit: AltitudeLimit, altitude_m: FloatArray) -> FloatArray:
    """Return how far inside its limit each altitude is, negative outside; an exact altitude has a band of 100 ft."""
    band = EXACT_BAND_M if limit.rule == "at" else 0.0
    above = np.inf if limit.low_m is None else altitude_m - (limit.low_m - band)
    below = np.inf if limit.high_m is None else (limit.high_m + band) - altitude_m
    return np.asarray(np.minimum(above, below), dtype=np.float64)


def with_band_corners(limit: AltitudeLimit, flown: Stretch) -> Stretch:
    """Return the same with the crossings of the limits as moments of their own: margins are then straight between."""
    edges = [
        edge
        for edge in (
            None if limit.low_m is None else limit.low_m - (EXACT_BAND_M if limit.rule == "at" else 0.0),
            None if limit.high_m is None else limit.high_m + (EXACT_BAND_M if limit.rule == "at" else 0.0),
        )
        if edge is not None
    ]
    time = flown.time_s
    extra = []
    for edge in edges:
        above = flown.altitude_m - edge
        index = np.flatnonzero(above[:-1] * above[1:] < 0.0)
        extra.append(time[index] + (time[index + 1] - time[index]) * above[index] / (above[index] - above[index + 1]))
    time = np.unique(np.concatenate([time, *extra]))
    altitude = np.interp(time, flown.time_s, flown.altitude_m)
    margins = margin_m(limit, altitude)
    margins[np.abs(margins) < 1e-9] = 0.0
    return Stretch(
        time,
        altitude,
        margins,
        np.interp(time, flown.time_s, flown.noise_sigma_m),
        np.interp(time, flown.time_s, flown.sigma_m),
    )


def violations_of(flown: Stretch, reading_m: float = 0.0) -> tuple[AltitudeViolation, ...]:
    """Return the stretches outside the limit, those deeper than their doubt and than what an altimeter can be read to.

    Parameters
    ----------
    flown : Stretch
    reading_m : float, optional
        How far beyond a minimum or maximum still counts as at it.
    """
    found = []
    outside = 0.5 * (flown.margin_m[:-1] + flown.margin_m[1:]) < 0.0
    edges = np.flatnonzero(np.diff(np.concatenate([[False], outside, [False]]).astype(int)))
    for first, last in zip(edges[::2], edges[1::2], strict=True):
        worst = int(first + np.argmin(flown.margin_m[first : last + 1]))
        depth = -flown.margin_m[worst]
        counts_from = max(
            reading_m,
            DEPTH_SIGMAS * min(float(flown.sigma_m[worst]), ALTIMETER_SIGMA_M),
            DEPTH_NOISE_SIGMAS * float(flown.noise_sigma_m[worst]),
        )
        if depth <= counts_from:
            continue
        start_s = _left_limit_s(flown, worst, int(first), -1)
        end_s = _left_limit_s(flown, worst, int(last), +1)
        worst_m, worst_s = float(flown.altitude_m[worst]), float(flown.time_s[worst])
        found.append(AltitudeViolation(start_s, end_s, worst_m, worst_s, _level_m(flown, start_s, end_s)))
    return tuple(found)


def _level_m(flown: Stretch, start_s: float, end_s: float) -> float | None:
    """Return the altitude of the longest level flight between two moments; None where nothing was level."""
    starts = np.arange(start_s, end_s - LEVEL_S + 1e-9, 1.0)
    if not starts.size:
        return None
    at_start, at_end = (np.interp(starts + after, flown.time_s, flown.altitude_m) for after in (0.0, LEVEL_S))
    level = np.abs(at_end - at_start) < LEVEL_MPS * LEVEL_S
    edges = np.flatnonzero(np.diff(np.concatenate([[False], level, [False]]).astype(int)))
    if not edges.size:
        return None
    first, after = max(zip(edges[::2], edges[1::2], strict=True), key=lambda pair: int(pair[1] - pair[0]))
    return float(np.median(0.5 * (at_start + at_end)[first:after]))


def _left_limit_s(flown: Stretch, worst: int, edge: int, direction: int) -> float:
    """Moment at which a stretch outside begins (direction -1) or ends (+1).

    It is the crossing of the limit, except where the altitude lies flat within its scatter about the limit before it
    leaves it: there the smoothed altitude may have crossed at any moment, and the stretch begins where it bends away.
    """
    order = np.arange(worst, edge + direction, direction)
    depth, time = -flown.margin_m[order], flown.time_s[order]
    shallow = np.minimum(2.0 * flown.noise_sigma_m[order] + 1.0 * METRES_PER_FOOT, 0.5 * depth[0])
    reached = np.flatnonzero(depth <= shallow)
    if reached.size == 0 or reached[0] == 0:
        return float(time[-1])
    near = int(reached[0])
    before = max(near - 3, 0)
    slope = (depth[before] - depth[near]) / abs(time[before] - time[near])
    if slope <= 0.0:
        return float(time[-1])
    flat_s = abs(time[-1] - time[near]) - depth[near] / slope
    if flat_s <= FLAT_LEAST_S:
        return float(time[-1])
    bend = near
    while bend + 1 < time.size:
        step = abs(time[bend + 1] - time[bend])
        if abs(depth[bend] - depth[bend + 1]) <= FLAT_SHARE * slope * step:
            break
        bend += 1
    return float(time[bend])
