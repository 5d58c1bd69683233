"""When each roll-in starts and each roll-out ends, from a fit to the recorded positions around it.

A turn's rate rises linearly while the bank is rolled in and falls linearly while it is rolled out. Over half a minute
around an edge the path follows from a handful of values (position, heading, airspeed, rates, the moments of the edge),
so that they can be fitted to the raw positions: far sharper than a threshold on a smoothed rate.
"""

import numpy as np
import numpy.typing as npt

from analyzer.edge_model import USUAL_ROLL, Edge, EdgeModel, RollHabit
from analyzer.motion import Samples, smoothing_half_width_s
from analyzer.segments import LEAST_TURN_DEG, AirMotion, FlownTurn, rough_turns

FloatArray = npt.NDArray[np.float64]

WINDOW_S = 12.0  # of level flight and of turn on each side of an edge
WINDOW_INTERVALS = 4.0  # at least so many intervals of the recording
LONGEST_FIT_S = 900.0  # across a longer gap or with hourly positions an edge stays where it was seen
CLOSE_S = 11.0  # two turns nearer to each other than this share one fit
SPLIT_LEAST_S = 14.0  # a shorter turn is not looked into
SPLIT_INTERVAL_S = 2.5  # nor one recorded so coarsely that a roll falls between two positions
SPLIT_NOISE_M = 0.8  # unsteady bank leaves so much between path and fit, however good the positions
SPLIT_WINDOW_S = 9.0
SPLIT_EVIDENCE = 7.0  # by so much the squared misfit must fall for some seconds of level flight
DIP_INTERVAL_S = 1.3  # a dip between two positions farther apart can't be seen
DIP_EVIDENCE = 20.0  # and for a dip that only touches level: noise looks like one more often
CORRECTION_PART = 0.42  # a rate under this part of the turn's own, for seconds, is a correction before or after it
FASTEST_MEAN_DEG_S = 7.0
HABIT_EDGES = 4
HABIT_LOG_SIGMA = 0.22


def refined_turns(air: AirMotion, samples: Samples, noise_m: float) -> tuple[FlownTurn, ...]:
    """Return all turns of at least 15 degrees with the moments of roll-in and wings level.

    Parameters
    ----------
    air : AirMotion
    samples : Samples
        The recorded positions.
    noise_m : float
        1 sigma of a position.

    Returns
    -------
    tuple of FlownTurn
        In order, not overlapping.
    """
    rough = [part for turn in rough_turns(air) for part in _split_at_level(air, samples, noise_m, turn)]
    starts = [start for start, _, _ in rough]
    ends = [end for _, end, _ in rough]
    rates = [_steady_rate(air, start, end) for start, end, _ in rough]
    count = len(rough)
    new_starts, new_ends, rolls = _edges(air, samples, noise_m, rough, rates, USUAL_ROLL)
    if len(rolls) >= HABIT_EDGES:
        # an aircraft rolls alike all through a flight: what all edges show together sharpens each of them
        logs = np.log(np.clip(rolls, 1.5, 20.0))
        mean = float((np.sum(logs) + np.log(USUAL_ROLL.rate_deg_s)) / (len(logs) + 1))
        habit = RollHabit(float(np.exp(mean)), HABIT_LOG_SIGMA)
        new_starts, new_ends, _ = _edges(air, samples, noise_m, rough, rates, habit)
    turns: list[FlownTurn] = []
    for index in range(count):
        start = max(new_starts[index], float(air.time_s[0]))
        end = min(new_ends[index], float(air.time_s[-1]))
        if end - start < 2.0:
            start, end = starts[index], max(ends[index], starts[index] + 2.0)
        if turns:
            start = max(start, turns[-1].end_s)
        if start >= end:
            continue
        turn = flown_turn(air, start, end)
        if abs(turn.mean_rate_deg_s) > FASTEST_MEAN_DEG_S:
            continue  # noise at the end of a recording: no aircraft of this trade turns so fast
        if abs(turn.degrees) >= LEAST_TURN_DEG and turn.degrees * rough[index][2] > 0.0:
            turns.append(turn)
    return tuple(turns)


def _edges(
    air: AirMotion,
    samples: Samples,
    noise_m: float,
    rough: list[tuple[float, float, float]],
    rates: list[float],
    habit: RollHabit,
) -> tuple[list[float], list[float], list[float]]:
    """Fitted starts and ends of all turns, and the roll rates that the fits found."""
    starts, ends = [start for start, _, _ in rough], [end for _, end, _ in rough]
    new_starts, new_ends = list(starts), list(ends)
    rolls: list[float] = []
    for after in range(len(rough) + 1):
        before = after - 1
        pair = before >= 0 and after < len(rough) and starts[after] - ends[before] <= CLOSE_S
        jobs = [(before, after)] if pair else [(before, None), (None, after)]
        for ending, starting in jobs:
            if (ending is not None and ending < 0) or (starting is not None and starting >= len(rough)):
                continue
            fitted = _fit_edge(
                air,
                samples,
                noise_m,
                None if ending is None else ends[ending],
                None if starting is None else starts[starting],
                0.0 if ending is None else rates[ending],
                0.0 if starting is None else rates[starting],
                rough,
                habit,
            )
            rolls += fitted.roll_rates_deg_s
            if ending is not None:
                new_ends[ending] = fitted.end_s
            if starting is not None:
                new_starts[starting] = fitted.start_s
    return new_starts, new_ends, rolls


def flown_turn(air: AirMotion, start_s: float, end_s: float) -> FlownTurn:
    """Return the turn between two moments with its degrees, rates and mean airspeed."""
    heading = np.interp([start_s, end_s], air.time_s, air.heading_deg)
    inside = (air.time_s >= start_s) & (air.time_s <= end_s)
    degrees = float(heading[1] - heading[0])
    rates = air.rate_deg_s[inside]
    fastest = float(np.max(np.abs(rates))) if len(rates) else abs(degrees) / max(end_s - start_s, 1e-3)
    speed = air.speed_mps[inside]
    tas = float(np.mean(speed)) if air.method == "air heading" and len(speed) else None
    mean = degrees / max(end_s - start_s, 1e-3)
    return FlownTurn(start_s, end_s, degrees, mean, float(np.copysign(fastest, degrees)), tas, air.method)


def _steady_rate(air: AirMotion, start_s: float, end_s: float) -> float:
    inside = (air.time_s >= start_s) & (air.time_s <= end_s)
    return float(np.median(air.rate_deg_s[inside])) if np.any(inside) else 0.0


def _fit_edge(
    air: AirMotion,
    samples: Samples,
    noise_m: float,
    end_s: float | None,
    start_s: float | None,
    rate_before: float,
    rate_after: float,
    rough: list[tuple[float, float, float]],
    habit: RollHabit,
) -> Edge:
    """Fit the path around an edge (or two close ones) and return its moments; the given ones where it can't."""
    low = end_s if end_s is not None else start_s
    high = start_s if start_s is not None else end_s
    assert low is not None
    assert high is not None
    window = _window_s(samples, noise_m)
    first, last = low - window, high + window
    # do not reach over the middle of the turns at either side, nor into a turn beyond the level part
    for turn_start, turn_end, _ in rough:
        if end_s is not None and turn_end == end_s:
            first = max(first, turn_start + 3.0) if turn_end - turn_start > 9.0 else first
        elif turn_end < low:
            first = max(first, turn_end + 1.5)
        if start_s is not None and turn_start == start_s:
            last = min(last, turn_end - 3.0) if turn_end - turn_start > 9.0 else last
        elif turn_start > high:
            last = min(last, turn_start - 1.5)
    used = samples.time_s[samples.weight > 0.0]
    if first < low and last > high:  # reach over a gap to what is recorded on its other side
        before, after = used[used < low], used[used > high]
        if len(before) and before[-1] < low - 0.5 * window:
            first = min(first, float(before[max(-6, -len(before))]))
        if len(after) and after[0] > high + 0.5 * window:
            last = max(last, float(after[min(5, len(after) - 1)]))
    chosen = (samples.time_s >= first) & (samples.time_s <= last) & (samples.weight > 0.0)
    fallback = Edge(low, high)
    if np.count_nonzero(chosen) < 5 or np.ptp(samples.time_s[chosen]) > LONGEST_FIT_S:
        return fallback
    model = EdgeModel(air, samples, chosen, noise_m, end_s, start_s, rate_before, rate_after, habit)
    return model.fit() or fallback


def _window_s(samples: Samples, noise_m: float) -> float:
    """Good data need a short window only, in which level flight and turn are steady."""
    spread = noise_m * np.sqrt(samples.interval_s)
    return float(
        max(np.clip(WINDOW_S * (spread / 4.0) ** 0.4, 0.6 * WINDOW_S, WINDOW_S), WINDOW_INTERVALS * samples.interval_s)
    )


def _split_at_level(
    air: AirMotion, samples: Samples, noise_m: float, turn: tuple[float, float, float]
) -> list[tuple[float, float, float]]:
    """Cut a rough turn where the wings were level for a moment: a dip of the rate that reaches zero.

    The smoothed rate shows such a dip only as a drop; whether it was a dip or a change of bank is settled by fitting
    both to the positions.
    """
    start_s, end_s, degrees = turn
    inside = np.flatnonzero((air.time_s >= start_s) & (air.time_s <= end_s))
    if len(inside) < 8 or end_s - start_s < SPLIT_LEAST_S or samples.interval_s > SPLIT_INTERVAL_S:
        return [turn]
    direction = 1.0 if degrees > 0.0 else -1.0
    rate = direction * air.rate_deg_s[inside]
    time = air.time_s[inside]
    # the sharper the smoothing, the nearer to zero a true dip shows
    depth = float(np.clip(0.22 + 0.09 * smoothing_half_width_s(noise_m, samples.interval_s), 0.4, 0.72))
    noise_m = max(noise_m, SPLIT_NOISE_M)
    for index in _drops(rate, time, depth):
        at_s = float(time[index])
        before = float(np.median(rate[(time > at_s - 11.0) & (time < at_s - 2.5)]))
        after = float(np.median(rate[(time < at_s + 11.0) & (time > at_s + 2.5)]))
        window = max(SPLIT_WINDOW_S, 1.3 * _window_s(samples, noise_m))
        chosen = (samples.time_s >= max(at_s - window, start_s - 1.0)) & (
            samples.time_s <= min(at_s + window, end_s + 1.0)
        )
        chosen &= samples.weight > 0.0
        if np.count_nonzero(chosen) < 8:
            continue
        steady = EdgeModel(air, samples, chosen, noise_m, None, at_s, 0.0, direction * (after - before))
        steady.steady_before(direction * before)
        dip = EdgeModel(air, samples, chosen, noise_m, at_s - 0.5, at_s + 0.5, direction * before, direction * after)
        edge = dip.fit()
        steady.fit()
        correction = min(abs(before), abs(after)) < CORRECTION_PART * max(abs(before), abs(after))
        level_s = 0.0 if edge is None else edge.start_s - edge.end_s
        needed = SPLIT_EVIDENCE if level_s > 2.5 else DIP_EVIDENCE
        if edge is None or (dip.cost + needed >= steady.cost and not correction):
            continue
        if level_s <= 2.5 and samples.interval_s > DIP_INTERVAL_S and not correction:
            continue
        if not start_s + 3.0 < edge.end_s <= edge.start_s < end_s - 3.0:
            continue
        heading = np.interp([start_s, edge.end_s, edge.start_s, end_s], air.time_s, air.heading_deg)
        first = (start_s, edge.end_s - 0.5, float(heading[1] - heading[0]))
        second = (edge.start_s + 0.5, end_s, float(heading[3] - heading[2]))
        return [first, *_split_at_level(air, samples, noise_m, second)]
    return [turn]


def _drops(rate: FloatArray, time: FloatArray, depth: float) -> list[int]:
    """Places inside a turn where its smoothed rate dips or steps, in order of time."""
    found: list[int] = []
    step = float(time[1] - time[0])
    reach = max(2, round(5.0 / step))
    for index in range(reach, len(rate) - reach):
        left, here, right = rate[index - reach : index], rate[index], rate[index + 1 : index + 1 + reach]
        top_left, top_right = float(np.max(left)), float(np.max(right))
        dips = here <= float(np.min(rate[index - 1 : index + 2])) and here < depth * min(top_left, top_right)
        low, high = sorted((float(np.median(left)), float(np.median(right))))
        steps = low < 0.68 * high and abs(here - 0.5 * (low + high)) < 0.3 * (high - low)
        if (dips or steps) and (not found or time[index] - time[found[-1]] > 4.0):
            found.append(index)
    return found
