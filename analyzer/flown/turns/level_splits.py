"""Turns that look like one and were two: the wings were level for a moment between them, or the bank changed."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from analyzer.flown.motion.motion import smoothing_half_width_s
from analyzer.flown.turns.air_motion import AirMotion
from analyzer.flown.turns.roll_fit import FittedEdge, fit_edges
from analyzer.flown.turns.roll_model import Positions, Window, between, window_s_for
from analyzer.units import FloatArray

#: start and end in seconds, degrees
RoughTurn = tuple[float, float, float]


@dataclass(frozen=True)
class SplitSettings:
    """By what a turn is told to have been level for a moment: own choices, `tests.benchmarks.settled level_split`."""

    least_s: float = 14.0  # a shorter turn is not looked into,
    most_interval_s: float = 5.5  # nor one recorded so coarsely that a whole turn falls between a few positions
    noise_m: float = 0.8  # unsteady bank leaves so much between path and fit, however good the positions
    window_s: float = 9.0  # of positions on either side that are fitted
    window_widths: float = 1.3  # or this many of a roll's own, where positions are coarse or noisy
    evidence: float = 7.0  # the squared misfit must fall by this much for some seconds of level flight,
    dip_evidence: float = 20.0  # and by this for a dip that only touches level: noise looks like one more often
    dip_s: float = 2.5  # level flight up to this long is such a dip
    dip_interval_s: float = 1.3  # a dip between two positions farther apart can't be seen
    correction_part: float = 0.42  # a slower rate than this part of the turn's own, for seconds, is a correction
    from_ends_s: float = 3.0  # nearer to the turn's ends, level flight is the roll itself
    # where the smoothed rate is looked at: it falls below this part of what it is on both sides
    reach_s: float = 5.0
    apart_s: float = 4.0  # two drops nearer to each other are one
    depth: tuple[float, float] = (0.4, 0.72)  # the sharper the smoothing, the nearer to zero a true dip shows:
    depth_at_0_s: float = 0.22  # this part for a half width of nothing,
    depth_per_s: float = 0.09  # and more for each second of it
    step_part: float = 0.68  # a rate that falls to less than this part is a step,
    step_middle: float = 0.3  # where it passes the middle between both this closely
    sides_s: tuple[float, float] = (2.5, 11.0)  # the rates before and after are read so far from the drop
    # a roll falls between two positions farther apart than this: its shape tells nothing,
    coarse_interval_s: float = 2.5
    coarse_evidence: float = 16.0  # only that the path was straight for a while, which must be plain
    coarse_misfit: float = 8.0  # by a fit whose squared misfit for each degree of freedom is below this
    coarse_depth: float = 0.85  # and the smoothed rate hardly dips
    coarse_level_s: float = 9.0  # a second length of level flight that the fit begins with


SPLITS = SplitSettings()


class _Dip(NamedTuple):
    """A place inside a turn where the wings may have been level: with the two ways to fly it."""

    turn: int
    before: float
    after: float
    steady: Window
    dip: Window


def split_at_level(air: AirMotion, positions: Positions, noise_m: float, turns: list[RoughTurn]) -> list[RoughTurn]:
    """Cut rough turns where the wings were level for a moment: a dip of the rate that reaches zero.

    The smoothed rate shows such a dip only as a drop; whether it was a dip or a change of bank is settled by fitting
    both to the positions.

    Parameters
    ----------
    air : AirMotion
    positions : Positions
    noise_m : float
        1 sigma of a position.
    turns : list of (start_s, end_s, degrees)

    Returns
    -------
    list of (start_s, end_s, degrees)
    """
    if positions.interval_s > SPLITS.most_interval_s:
        return turns
    coarse = positions.interval_s > SPLITS.coarse_interval_s
    parts: list[RoughTurn] = []
    rest = turns
    while rest:  # the second part of a turn that was cut is looked into in the next round
        dips = [dip for number, turn in enumerate(rest) for dip in _dips(air, positions, noise_m, number, turn)]
        floor_m = max(noise_m, SPLITS.noise_m)
        steady = fit_edges([dip.steady for dip in dips], air, floor_m)
        level = fit_edges([dip.dip for dip in dips], air, floor_m)
        cut: dict[int, tuple[RoughTurn, RoughTurn]] = {}
        gain: dict[int, float] = {}
        for dip, without, with_level in zip(dips, steady, level, strict=True):
            halves = _halves(air, positions.interval_s, rest[dip.turn], dip, without, with_level)
            if halves is not None and (
                dip.turn not in cut or (coarse and without.cost - with_level.cost > gain[dip.turn])
            ):
                cut[dip.turn], gain[dip.turn] = halves, without.cost - with_level.cost
        parts += [cut[number][0] if number in cut else turn for number, turn in enumerate(rest)]
        rest = [second for _, second in cut.values()]
    return sorted(parts)


def _halves(
    air: AirMotion, interval_s: float, turn: RoughTurn, dip: _Dip, steady: FittedEdge, level: FittedEdge
) -> tuple[RoughTurn, RoughTurn] | None:
    """Return the two turns where the wings were level between them, None where they were not."""
    start_s, end_s, _ = turn
    edge = level.edge
    if edge is None:
        return None
    coarse = interval_s > SPLITS.coarse_interval_s
    correction = not coarse and min(abs(dip.before), abs(dip.after)) < SPLITS.correction_part * max(
        abs(dip.before), abs(dip.after)
    )
    level_s = edge.start_s - edge.end_s
    needed = SPLITS.evidence if level_s > SPLITS.dip_s else SPLITS.dip_evidence
    if coarse:  # measured by the misfit that is left: positions with bad times show kinks that nobody flew
        left = level.cost / max(2.0 * len(dip.dip.time_s) - 11.0, 1.0)
        needed = SPLITS.coarse_evidence * max(1.0, left) if left < SPLITS.coarse_misfit else np.inf
    if level.cost + needed >= steady.cost and not correction:
        return None
    if level_s <= SPLITS.dip_s and interval_s > SPLITS.dip_interval_s and not correction:
        return None
    if not start_s + SPLITS.from_ends_s < edge.end_s <= edge.start_s < end_s - SPLITS.from_ends_s:
        return None
    heading = np.interp([start_s, edge.end_s, edge.start_s, end_s], air.time_s, air.heading_deg)
    return (
        (start_s, edge.end_s - 0.5, float(heading[1] - heading[0])),
        (edge.start_s + 0.5, end_s, float(heading[3] - heading[2])),
    )


def _dips(air: AirMotion, positions: Positions, noise_m: float, number: int, turn: RoughTurn) -> list[_Dip]:
    start_s, end_s, degrees = turn
    inside = between(air.time_s, start_s, end_s)
    if inside.stop - inside.start < 8 or end_s - start_s < SPLITS.least_s:
        return []
    direction = 1.0 if degrees > 0.0 else -1.0
    rate, time = direction * air.rate_deg_s[inside], air.time_s[inside]
    # the sharper the smoothing, the nearer to zero a true dip shows
    width_s = smoothing_half_width_s(noise_m, positions.interval_s)
    depth = float(np.clip(SPLITS.depth_at_0_s + SPLITS.depth_per_s * width_s, *SPLITS.depth))
    coarse = positions.interval_s > SPLITS.coarse_interval_s
    if coarse:
        depth = SPLITS.coarse_depth
    window_s = max(
        SPLITS.window_s, SPLITS.window_widths * window_s_for(positions.interval_s, max(noise_m, SPLITS.noise_m))
    )
    found = []
    for at_s in _drops(rate, time, depth):
        chosen = positions.between(max(at_s - window_s, start_s - 1.0), min(at_s + window_s, end_s + 1.0))
        if chosen.stop - chosen.start < 8:
            continue  # in a gap, which may be a day long
        near_s, far_s = SPLITS.sides_s
        before, after = (
            direction * float(np.median(rate[np.searchsorted(time, first, "right") : np.searchsorted(time, last)]))
            for first, last in ((at_s - far_s, at_s - near_s), (at_s + near_s, at_s + far_s))
        )
        place = (positions.time_s[chosen], positions.position_m[:, chosen])
        steady = Window(*place, None, at_s, 0.0, after - before, steady_before=before)
        for level_s in (1.0, SPLITS.coarse_level_s) if coarse else (1.0,):
            dip = Window(*place, at_s - 0.5 * level_s, at_s + 0.5 * level_s, before, after)
            found.append(_Dip(number, before, after, steady, dip))
    return found


def _drops(rate: FloatArray, time: FloatArray, depth: float) -> list[float]:
    """Moments inside a turn where its smoothed rate dips or steps, in order."""
    reach = max(2, round(SPLITS.reach_s / float(time[1] - time[0])))
    if len(rate) <= 2 * reach:
        return []
    around = np.lib.stride_tricks.sliding_window_view(rate, 2 * reach + 1)
    left, here, right = around[:, :reach], around[:, reach], around[:, reach + 1 :]
    least = np.min(around[:, reach - 1 : reach + 2], axis=1)
    dips = (here <= least) & (here < depth * np.minimum(np.max(left, axis=1), np.max(right, axis=1)))
    middles = np.sort([np.median(left, axis=1), np.median(right, axis=1)], axis=0)
    low, high = middles
    steps = (low < SPLITS.step_part * high) & (np.abs(here - 0.5 * (low + high)) < SPLITS.step_middle * (high - low))
    found: list[float] = []
    for moment in time[reach : len(rate) - reach][dips | steps]:
        if not found or moment - found[-1] > SPLITS.apart_s:
            found.append(float(moment))
    return found
