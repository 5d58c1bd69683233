"""Turns that look like one and were two: the wings were level for a moment between them, or the bank changed."""

from typing import NamedTuple

import numpy as np

from analyzer.flown.motion.motion import smoothing_half_width_s
from analyzer.flown.turns.air_motion import AirMotion
from analyzer.flown.turns.roll_fit import FittedEdge, fit_edges
from analyzer.flown.turns.roll_model import Positions, Window, between, window_s_for
from analyzer.units import FloatArray

#: start and end in seconds, degrees
RoughTurn = tuple[float, float, float]

SPLIT_LEAST_S = 14.0  # a shorter turn is not looked into
SPLIT_INTERVAL_S = 5.5  # nor one recorded so coarsely that a whole turn falls between a few positions
COARSE_INTERVAL_S = 2.5  # a roll falls between two positions farther apart than this: its shape tells nothing,
COARSE_EVIDENCE = 16.0  # only that the path was straight for a while, which must be plain
COARSE_MISFIT = 8.0  # by a fit whose squared misfit for each degree of freedom is below this
COARSE_DEPTH = 0.85  # and the smoothed rate hardly dips
COARSE_LEVEL_S = 9.0  # a second length of level flight that the fit begins with
SPLIT_NOISE_M = 0.8  # unsteady bank leaves so much between path and fit, however good the positions
SPLIT_WINDOW_S = 9.0
SPLIT_EVIDENCE = 7.0  # the squared misfit must fall by this much for some seconds of level flight
DIP_INTERVAL_S = 1.3  # a dip between two positions farther apart can't be seen
DIP_EVIDENCE = 20.0  # and for a dip that only touches level: noise looks like one more often
CORRECTION_PART = 0.42  # a rate under this part of the turn's own, for seconds, is a correction before or after it
REACH_S = 5.0
APART_S = 4.0


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
    if positions.interval_s > SPLIT_INTERVAL_S:
        return turns
    coarse = positions.interval_s > COARSE_INTERVAL_S
    parts: list[RoughTurn] = []
    rest = turns
    while rest:  # the second part of a turn that was cut is looked into in the next round
        dips = [dip for number, turn in enumerate(rest) for dip in _dips(air, positions, noise_m, number, turn)]
        floor_m = max(noise_m, SPLIT_NOISE_M)
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
    coarse = interval_s > COARSE_INTERVAL_S
    correction = not coarse and min(abs(dip.before), abs(dip.after)) < CORRECTION_PART * max(
        abs(dip.before), abs(dip.after)
    )
    level_s = edge.start_s - edge.end_s
    needed = SPLIT_EVIDENCE if level_s > 2.5 else DIP_EVIDENCE
    if coarse:  # measured by the misfit that is left: positions with bad times show kinks that nobody flew
        left = level.cost / max(2.0 * len(dip.dip.time_s) - 11.0, 1.0)
        needed = COARSE_EVIDENCE * max(1.0, left) if left < COARSE_MISFIT else np.inf
    if level.cost + needed >= steady.cost and not correction:
        return None
    if level_s <= 2.5 and interval_s > DIP_INTERVAL_S and not correction:
        return None
    if not start_s + 3.0 < edge.end_s <= edge.start_s < end_s - 3.0:
        return None
    heading = np.interp([start_s, edge.end_s, edge.start_s, end_s], air.time_s, air.heading_deg)
    return (
        (start_s, edge.end_s - 0.5, float(heading[1] - heading[0])),
        (edge.start_s + 0.5, end_s, float(heading[3] - heading[2])),
    )


def _dips(air: AirMotion, positions: Positions, noise_m: float, number: int, turn: RoughTurn) -> list[_Dip]:
    start_s, end_s, degrees = turn
    inside = between(air.time_s, start_s, end_s)
    if inside.stop - inside.start < 8 or end_s - start_s < SPLIT_LEAST_S:
        return []
    direction = 1.0 if degrees > 0.0 else -1.0
    rate, time = direction * air.rate_deg_s[inside], air.time_s[inside]
    # the sharper the smoothing, the nearer to zero a true dip shows
    depth = float(np.clip(0.22 + 0.09 * smoothing_half_width_s(noise_m, positions.interval_s), 0.4, 0.72))
    coarse = positions.interval_s > COARSE_INTERVAL_S
    if coarse:
        depth = COARSE_DEPTH
    window_s = max(SPLIT_WINDOW_S, 1.3 * window_s_for(positions.interval_s, max(noise_m, SPLIT_NOISE_M)))
    found = []
    for at_s in _drops(rate, time, depth):
        chosen = positions.between(max(at_s - window_s, start_s - 1.0), min(at_s + window_s, end_s + 1.0))
        if chosen.stop - chosen.start < 8:
            continue  # in a gap, which may be a day long
        before, after = (
            direction * float(np.median(rate[np.searchsorted(time, first, "right") : np.searchsorted(time, last)]))
            for first, last in ((at_s - 11.0, at_s - 2.5), (at_s + 2.5, at_s + 11.0))
        )
        place = (positions.time_s[chosen], positions.position_m[:, chosen])
        steady = Window(*place, None, at_s, 0.0, after - before, steady_before=before)
        for level_s in (1.0, COARSE_LEVEL_S) if coarse else (1.0,):
            dip = Window(*place, at_s - 0.5 * level_s, at_s + 0.5 * level_s, before, after)
            found.append(_Dip(number, before, after, steady, dip))
    return found


def _drops(rate: FloatArray, time: FloatArray, depth: float) -> list[float]:
    """Moments inside a turn where its smoothed rate dips or steps, in order."""
    reach = max(2, round(REACH_S / float(time[1] - time[0])))
    if len(rate) <= 2 * reach:
        return []
    around = np.lib.stride_tricks.sliding_window_view(rate, 2 * reach + 1)
    left, here, right = around[:, :reach], around[:, reach], around[:, reach + 1 :]
    least = np.min(around[:, reach - 1 : reach + 2], axis=1)
    dips = (here <= least) & (here < depth * np.minimum(np.max(left, axis=1), np.max(right, axis=1)))
    middles = np.sort([np.median(left, axis=1), np.median(right, axis=1)], axis=0)
    low, high = middles
    steps = (low < 0.68 * high) & (np.abs(here - 0.5 * (low + high)) < 0.3 * (high - low))
    found: list[float] = []
    for moment in time[reach : len(rate) - reach][dips | steps]:
        if not found or moment - found[-1] > APART_S:
            found.append(float(moment))
    return found
