"""Runs of straight flight and turns: the most likely ones, given how fast the heading changes."""

from itertools import pairwise

import numpy as np

from analyzer.flown.turns.air_motion import TOO_SLOW_FOR_A_HEADING_MPS, AirMotion
from analyzer.units import BoolArray, FloatArray, IntArray, runs

# The turn rate of straight flight scatters by heading corrections, that of a turn lies anywhere between a shallow and
# a steep one: common practice, and `tests.benchmarks.settled straight_spread` and `switch_cost`.
STRAIGHT_SPREAD_DEG_S = 0.45
SLOWEST_TURN_DEG_S = 0.8
COMMON_TURN_DEG_S = 7.0
#: as fast as a light aeroplane turns in its steepest bank, 10 deg/s at 110 kt in 45 degrees and 15 at 90 kt in 51; the
#: rates above the common ones are rare, and that rarer (own choice, a share of e^-2) keeps noise from looking like one
FASTEST_TURN_DEG_S = 15.0
RARE_TURN_COST = 2.0
GAP_TURN_DEG = 12.0  # more change of heading across a gap than this is a turn inside it
MEAN_RATE_S = 4.0  # about a roll-in: a mean rate over so long hides no turn and little noise is left in it
SWITCH_COST = 5.0  # nats for a change between straight and turn: keeps noise from cutting a turn in two
LEAST_TURN_DEG = 15.0  # a smaller heading change is a correction, no turn


def turn_states(air: AirMotion) -> IntArray:
    """Return -1 (left turn), 0 (straight) or +1 (right turn) for each moment: the most likely sequence as a whole.

    Parameters
    ----------
    air : AirMotion

    Returns
    -------
    array of int, shape (n,)

    Notes
    -----
    A hidden Markov model with three states solved by dynamic programming (Viterbi, IEEE Trans. IT 13 (1967) 260).
    Neighbouring rates share their noise, so each moment's evidence counts by its own share only. A slow turn hides in
    the noise of the rate but not of the heading: where the rate shows straight flight, mean rates over a few seconds
    are asked as well.
    """
    if len(air.time_s) == 0:
        return np.zeros(0, dtype=np.int64)
    step = float(air.time_s[1] - air.time_s[0]) if len(air.time_s) > 1 else 1.0
    sharp = _states(air, air.rate_deg_s, air.rate_sigma_deg_s, step)
    slow = _states(air, *_mean_rate(air, step), step)
    edges = np.flatnonzero(np.diff(np.concatenate([[0], slow, [0]])))
    for first, after in pairwise([0, *edges.tolist(), len(slow)]):
        if after > first and slow[first] != 0 and not np.any(sharp[first:after]):
            sharp[first:after] = slow[first]
    return _with_turns_in_gaps(air, sharp)


def _with_turns_in_gaps(air: AirMotion, states: IntArray) -> IntArray:
    """Mark a turn inside a gap that has straight flight on both sides but another heading, where the change is."""
    for first, after in runs(air.in_gap):
        if first == 0 or after >= len(states) or np.any(states[first - 1 : after + 1]):
            continue
        change = float(air.heading_deg[after] - air.heading_deg[first - 1])
        if abs(change) < GAP_TURN_DEG:
            continue
        half = air.heading_deg[first - 1] + 0.5 * change
        middle_s = float(air.time_s[first + int(np.argmin(np.abs(air.heading_deg[first:after] - half)))])
        lasts_s = abs(change) / 3.0 + 2.0  # at standard rate
        inside = np.abs(air.time_s[first:after] - middle_s) <= 0.5 * lasts_s
        states[first:after][inside] = 1 if change > 0.0 else -1
    return states


def _states(air: AirMotion, measured_deg_s: FloatArray, sigma_deg_s: FloatArray, step_s: float) -> IntArray:
    share = min(1.0, step_s / 2.0)
    noise = np.minimum(sigma_deg_s, 4.0)
    spread = np.hypot(STRAIGHT_SPREAD_DEG_S, noise)
    straight = -0.5 * (measured_deg_s / spread) ** 2 - np.log(spread * np.sqrt(2.0 * np.pi))
    width = COMMON_TURN_DEG_S - SLOWEST_TURN_DEG_S
    turn_scale = np.hypot(0.25, noise)
    evidence = np.empty((len(measured_deg_s), 3))
    evidence[:, 1] = np.maximum(straight, -60.0)
    for column, sign in ((0, -1.0), (2, 1.0)):
        rate = sign * measured_deg_s
        below = np.clip(SLOWEST_TURN_DEG_S - rate, 0.0, None) / turn_scale
        rare = np.minimum(0.5 * (np.clip(rate - COMMON_TURN_DEG_S, 0.0, None) / 1.5) ** 2, RARE_TURN_COST)
        above = np.clip(rate - FASTEST_TURN_DEG_S, 0.0, None) / 1.5
        evidence[:, column] = np.maximum(-np.log(width) - rare - 0.5 * (below**2 + above**2), -60.0)
    evidence[air.in_gap] = 0.0  # a bridge says nothing of when the turn was flown
    return _most_likely(evidence * share, SWITCH_COST) - 1


def _mean_rate(air: AirMotion, step_s: float) -> tuple[FloatArray, FloatArray]:
    """Mean rate over MEAN_RATE_S about each moment and its sigma: the difference of two headings."""
    reach = max(1, round(0.5 * MEAN_RATE_S / step_s))
    index = np.arange(len(air.time_s))
    before, after = np.maximum(index - reach, 0), np.minimum(index + reach, len(index) - 1)
    span = np.maximum((after - before) * step_s, step_s)
    rate = (air.heading_deg[after] - air.heading_deg[before]) / span
    sigma = np.hypot(air.heading_sigma_deg[after], air.heading_sigma_deg[before]) / span
    return rate, np.minimum(sigma, air.rate_sigma_deg_s)


def _most_likely(evidence: FloatArray, cost: float) -> IntArray:
    """Return the best path through three states, of which the middle one is the usual one.

    Only where turning gains more than it costs to begin and to end it the path can leave the middle state: the rest,
    nearly all of a long flight, needs no search.
    """
    states = np.ones(len(evidence), dtype=np.int64)
    worth = _worth_a_search(evidence, cost)
    # what lies between two stretches is the middle state for certain: one such moment stands for it
    pieces, places = [], []
    for first, after in runs(worth):
        pieces += [evidence[first:after], np.array([[-np.inf, 0.0, -np.inf]])]
        places += [np.arange(first, after), np.array([-1])]
    if not pieces:
        return states
    if worth[-1]:
        pieces, places = pieces[:-1], places[:-1]
    place = np.concatenate(places)
    searched = _best_path(np.concatenate(pieces), cost)
    states[place[place >= 0]] = searched[place >= 0]
    return states


def _worth_a_search(evidence: FloatArray, cost: float) -> BoolArray:
    """Return where a path may leave the middle state.

    A turn that is worth its cost gains more than that over its whole length, and something over each of its beginnings:
    so it lies where the gain since its lowest point so far is above 0, and rises above the cost there.
    """
    gain = np.maximum(evidence[:, 0], evidence[:, 2]) - evidence[:, 1]
    total = np.concatenate([[0.0], np.cumsum(gain)])
    above = (total - np.minimum.accumulate(total))[1:]
    worth = np.zeros(len(evidence), dtype=bool)
    for first, after in runs(above > 0.0):
        # a turn at the end of the recording has but a beginning to pay for
        needed = cost if after == len(evidence) else 2.0 * cost
        worth[first:after] = np.max(above[first:after]) >= needed * (1.0 - 1e-9)
    return worth


def _best_path(evidence: FloatArray, cost: float) -> IntArray:
    """Return the best path by dynamic programming; plain floats and no inner loop are fastest here."""
    count = len(evidence)
    left_column, straight_column, right_column = (column.tolist() for column in evidence.T)
    left, straight, right = left_column[0] - cost, straight_column[0], right_column[0] - cost
    from_left, from_straight, from_right = [0] * count, [1] * count, [2] * count
    for index in range(1, count):
        if straight > left:
            best, jump = (1, straight - cost) if straight >= right else (2, right - cost)
        else:
            best, jump = (0, left - cost) if left >= right else (2, right - cost)
        if jump > left:
            left, from_left[index] = jump, best
        if jump > straight:
            straight, from_straight[index] = jump, best
        if jump > right:
            right, from_right[index] = jump, best
        left += left_column[index]
        straight += straight_column[index]
        right += right_column[index]
    state = max(range(3), key=(left, straight, right).__getitem__)
    origins = (from_left, from_straight, from_right)
    path = [state] * count
    for index in range(count - 1, 0, -1):
        state = origins[state][index]
        path[index - 1] = state
    return np.array(path, dtype=np.int64)


def rough_turns(air: AirMotion, least_deg: float = 8.0) -> list[tuple[float, float, float]]:
    """Return (start_s, end_s, degrees) of the turns in order, as the states show them, before refinement.

    Turns of under `least_deg` are left out; two of the same direction that nearly touch are one.
    """
    states = turn_states(air)
    edges = np.flatnonzero(np.diff(np.concatenate([[0], states, [0]])))
    found: list[tuple[float, float, float]] = []
    bounds = [0, *edges.tolist(), len(states)]
    for first, after in pairwise(bounds):
        if after <= first or states[first] == 0:
            continue
        last = min(after, len(states) - 1)
        degrees = float(air.heading_deg[last] - air.heading_deg[max(first - 1, 0)])
        if (
            degrees * states[first] < least_deg
            or np.max(air.speed_mps[max(first - 1, 0) : last + 1]) < TOO_SLOW_FOR_A_HEADING_MPS
        ):
            continue
        start_s, end_s = _outside_gap(air, first, last)
        found.append((start_s, end_s, degrees))
    return found


def _outside_gap(air: AirMotion, first: int, last: int) -> tuple[float, float]:
    """Start and end of a turn; one that falls into a gap is put where the turn's own rate would have it."""
    start_s, end_s = float(air.time_s[first]), float(air.time_s[last])
    seen = np.flatnonzero(~air.in_gap[first : last + 1]) + first
    if not len(seen):
        return start_s, end_s
    rate = abs(float(np.median(air.rate_deg_s[seen])))
    if rate < SLOWEST_TURN_DEG_S:
        return start_s, end_s
    gap_after = last
    while gap_after + 1 < len(air.in_gap) and air.in_gap[gap_after]:
        gap_after += 1
    if air.in_gap[last] or (last + 1 < len(air.in_gap) and air.in_gap[last + 1]):
        turned = abs(float(air.heading_deg[gap_after] - air.heading_deg[seen[-1]]))
        end_s = min(float(air.time_s[gap_after]), float(air.time_s[seen[-1]]) + turned / rate)
    gap_before = first
    while gap_before > 0 and air.in_gap[gap_before]:
        gap_before -= 1
    if air.in_gap[first] or air.in_gap[max(first - 1, 0)]:
        turned = abs(float(air.heading_deg[seen[0]] - air.heading_deg[gap_before]))
        start_s = max(float(air.time_s[gap_before]), float(air.time_s[seen[0]]) - turned / rate)
    return start_s, max(end_s, start_s + 1.0)
