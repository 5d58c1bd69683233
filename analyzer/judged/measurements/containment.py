"""How the flight kept inside the distance limit and the protected areas."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from analyzer.flown import Attempt, Motion
from analyzer.given import PhaseName, Procedure
from analyzer.judged.measurements.altitudes import inbound_passage_s
from analyzer.judged.measurements.values import Containment, Excursion, LimitArea
from analyzer.planned import Area, OutsideStretch, line_margins_m, outside_stretches, point_margins_m
from analyzer.units import FloatArray, runs

#: positions are known to 10 m, 1 sigma, unless the user says otherwise (own choice)
POSITION_SIGMA_M = 10.0
#: a stretch outside counts from this many sigma of depth on; shallower ones show in the margin alone, so that noise
#: along an edge makes no excursion
DEPTH_SIGMAS = 2.0


@dataclass(frozen=True)
class JudgedPath:
    """The path from the first passage of the fix to the inbound one or the attempt's end, shape (n,).

    Gaps of the recording are left out: there the straight line between the points at their edges counts.
    `sigma_m` is of the position, `noise_sigma_m` from the scatter of the record alone.
    """

    time_s: FloatArray
    along_m: FloatArray
    cross_m: FloatArray
    sigma_m: FloatArray
    noise_sigma_m: FloatArray

    @property
    def distance_m(self) -> FloatArray:
        """Distance from the fix."""
        return np.hypot(self.along_m, self.cross_m)


def judged_path(attempt: Attempt, motion: Motion, position_sigma_m: float | None = None) -> JudgedPath:
    """Return the stretch of the motion that is judged, its ends interpolated.

    Parameters
    ----------
    attempt : Attempt
    motion : Motion
    position_sigma_m : float, optional
        As stated by the user; 10 m otherwise. A larger sigma of the smoothing itself counts instead.
    """
    start_s = attempt.first_passage_s if attempt.passages else attempt.start_s
    passage_s = inbound_passage_s(attempt)
    end_s = attempt.end_s if passage_s is None else passage_s
    inside = (motion.time_s > start_s) & (motion.time_s < end_s) & ~motion.in_gap
    time = np.concatenate([[start_s], motion.time_s[inside], [end_s]])
    noise = np.interp(time, motion.time_s, motion.position_sigma_m)
    along, cross = (np.interp(time, motion.time_s, values) for values in (motion.along_m, motion.cross_m))
    stated = POSITION_SIGMA_M if position_sigma_m is None else position_sigma_m
    sigma = np.maximum(noise, stated)
    return JudgedPath(time, along, cross, np.hypot(sigma, _gap_doubt_m(time, along, cross, motion)), noise)


def _gap_doubt_m(time_s: FloatArray, along_m: FloatArray, cross_m: FloatArray, motion: Motion) -> FloatArray:
    """Return at the edges of each gap how far the smoothly bridged motion lies off the straight line, 0 elsewhere."""
    doubt = np.zeros(time_s.shape)
    lost = np.flatnonzero(motion.in_gap & (motion.time_s > time_s[0]) & (motion.time_s < time_s[-1]))
    if lost.size == 0:
        return doubt
    at_s = motion.time_s[lost]
    off = np.hypot(
        motion.along_m[lost] - np.interp(at_s, time_s, along_m), motion.cross_m[lost] - np.interp(at_s, time_s, cross_m)
    )
    before = np.searchsorted(time_s, at_s) - 1
    np.maximum.at(doubt, before, off)
    np.maximum.at(doubt, before + 1, off)
    return doubt


def measure_containment(
    attempt: Attempt,
    motion: Motion,
    procedure: Procedure,
    areas: tuple[Area, ...],
    position_sigma_m: float | None = None,
) -> Containment:
    """Return margins, greatest distance and excursions from the first passage of the fix to the inbound one.

    Parameters
    ----------
    attempt : Attempt
    motion : Motion
    procedure : Procedure
        Its distance limit is taken as an exact circle about the fix.
    areas : tuple of Area
        "primary" is what must not be left; "secondary" the ring outside it, an excursion from which is outside both. A
        primary area that is not published counts only for a margin where nothing else gives one.
    position_sigma_m : float, optional
        As in `judged_path`.
    """
    path = judged_path(attempt, motion, position_sigma_m)
    distance = path.distance_m
    far = int(np.argmax(distance))
    margins: list[tuple[float, float, LimitArea, float]] = []
    excursions: list[Excursion] = []
    computed, beyond = False, []
    if procedure.remain_within_m is not None:
        margins.append(_circle_margin(path, procedure.remain_within_m))
        stretches = _outside_circle(path, procedure.remain_within_m)
        excursions += _excursions("distance limit", stretches, path, attempt)
    primary = _shape(areas, "primary")
    if primary is not None and not _published(areas):
        computed = not margins
        if computed:
            margins.append(_area_margin(path, primary))
        beyond = _excursions("primary", _stretches(path, primary), path, attempt)
    elif primary is not None:
        margins.append(_area_margin(path, primary))
        excursions += _excursions("primary", _stretches(path, primary), path, attempt)
        secondary = _shape(areas, "secondary")
        if secondary is not None:
            outer = primary.union(secondary)
            excursions += _excursions("secondary", _stretches(path, outer), path, attempt)
    nearest = min(margins, default=None, key=lambda margin: margin[0])
    return Containment(
        margin_m=None if nearest is None else nearest[0],
        sigma_m=float(path.sigma_m[far]) if nearest is None else nearest[3],
        margin_area=None if nearest is None else nearest[2],
        margin_at_s=None if nearest is None else nearest[1],
        max_distance_m=float(distance[far]),
        max_distance_at_s=float(path.time_s[far]),
        excursions=tuple(sorted(excursions, key=lambda excursion: excursion.start_s)),
        computed=computed,
        computed_excursions=tuple(beyond),
    )


def _shape(areas: tuple[Area, ...], name: str) -> Any | None:
    return next((area.shape for area in areas if area.name == name), None)


def _published(areas: tuple[Area, ...]) -> bool:
    return all(area.published for area in areas if area.name == "primary")


def _circle_margin(path: JudgedPath, radius_m: float) -> tuple[float, float, LimitArea, float]:
    far = int(np.argmax(path.distance_m))  # the farthest point of a straight line is one of its ends
    return (
        radius_m - float(path.distance_m[far]),
        float(path.time_s[far]),
        "distance limit",
        float(path.sigma_m[far]),
    )


def _area_margin(path: JudgedPath, shape: Any) -> tuple[float, float, LimitArea, float]:
    lines = line_margins_m(shape, path.along_m, path.cross_m)
    nearest = int(np.argmin(lines))
    ends = point_margins_m(shape, path.along_m[nearest : nearest + 2], path.cross_m[nearest : nearest + 2])
    at = nearest + int(np.argmin(ends))
    return float(lines[nearest]), float(path.time_s[at]), "primary", float(np.max(path.sigma_m[nearest : nearest + 2]))


def _outside_circle(path: JudgedPath, radius_m: float) -> tuple[OutsideStretch, ...]:
    """Return the stretches outside the circle about the fix, cut where the line crosses it."""
    beyond = path.distance_m - radius_m
    time, along, cross = [path.time_s], [path.along_m], [path.cross_m]
    # lines that cross the circle: |p + s v|^2 = r^2 for s in 0 ... 1, one crossing or two
    step_along, step_cross = np.diff(path.along_m), np.diff(path.cross_m)
    squared = step_along**2 + step_cross**2
    half = path.along_m[:-1] * step_along + path.cross_m[:-1] * step_cross
    under = half**2 - squared * (path.distance_m[:-1] ** 2 - radius_m**2)
    candidates = np.flatnonzero((under > 0.0) & (squared > 0.0) & ((beyond[:-1] > 0.0) | (beyond[1:] > 0.0)))
    for sign in (-1.0, 1.0):
        share = (-half[candidates] + sign * np.sqrt(under[candidates])) / squared[candidates]
        index, share = candidates[(share > 0.0) & (share < 1.0)], share[(share > 0.0) & (share < 1.0)]
        for parts, values in ((time, path.time_s), (along, path.along_m), (cross, path.cross_m)):
            parts.append(values[index] + share * (values[index + 1] - values[index]))
    order = np.argsort(np.concatenate(time), kind="stable")
    moments, x, y = (np.concatenate(parts)[order] for parts in (time, along, cross))
    depth = np.hypot(x, y) - radius_m
    middle = np.hypot(0.5 * (x[:-1] + x[1:]), 0.5 * (y[:-1] + y[1:])) - radius_m
    # next to a crossing the chord's middle and both ends decide alike; rounding at the crossing itself must not
    outside = np.maximum(middle, 0.5 * (depth[:-1] + depth[1:])) > 1e-6
    found = []
    for first, last in runs(outside):
        worst = int(first + np.argmax(depth[first : last + 1]))
        found.append(
            OutsideStretch(float(moments[first]), float(moments[last]), float(depth[worst]), float(moments[worst]))
        )
    return tuple(found)


def _stretches(path: JudgedPath, shape: Any) -> tuple[OutsideStretch, ...]:
    return outside_stretches(shape, path.time_s, path.along_m, path.cross_m)


def _excursions(
    area: LimitArea, stretches: tuple[OutsideStretch, ...], path: JudgedPath, attempt: Attempt
) -> list[Excursion]:
    """Return the stretches that are deeper than the doubt about the position."""
    found = []
    for stretch in stretches:
        noise = float(np.interp(stretch.at_s, path.time_s, path.noise_sigma_m))
        sigma = float(np.interp(stretch.at_s, path.time_s, path.sigma_m))
        if stretch.max_m <= DEPTH_SIGMAS * max(noise, min(sigma, POSITION_SIGMA_M)):
            continue
        phase, lap = phase_at(attempt, stretch.at_s)
        found.append(Excursion(area, stretch.start_s, stretch.end_s, stretch.max_m, stretch.at_s, phase, lap))
    return found


def phase_at(attempt: Attempt, at_s: float) -> tuple[PhaseName, int]:
    """Return the name and lap of the phase at a moment; the nearest one outside the attempt."""
    if not attempt.phases:
        return "outbound", 1
    for phase in attempt.phases:
        if at_s < phase.end_s:
            return phase.name, phase.lap
    return attempt.phases[-1].name, attempt.phases[-1].lap
