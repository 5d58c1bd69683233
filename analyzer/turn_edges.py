"""When each roll-in starts and each roll-out ends, from a fit to the recorded positions around it.

A turn's rate rises linearly while the bank is rolled in and falls linearly while it is rolled out. Over half a minute
around an edge the path follows from a handful of values (position, heading, airspeed, rates, the moments of the edge),
so that they can be fitted to the raw positions: far sharper than a threshold on a smoothed rate.
"""

from typing import NamedTuple

import numpy as np

from analyzer.edge_fit import fit_edges
from analyzer.edge_model import USUAL_ROLL, Positions, RollHabit, Window, between, used_positions, window_s_for
from analyzer.motion import Samples
from analyzer.segments import LEAST_TURN_DEG, AirMotion, FlownTurn, rough_turns
from analyzer.turn_splits import RoughTurn, split_at_level

LONGEST_FIT_S = 900.0  # across a longer gap or with hourly positions an edge stays where it was seen
CLOSE_S = 11.0  # two turns nearer to each other than this share one fit
FASTEST_MEAN_DEG_S = 7.0
HABIT_EDGES = 4
HABIT_LOG_SIGMA = 0.22


class _Job(NamedTuple):
    """One fit: the turn that ends and the turn that starts there, by number, and where."""

    ending: int | None
    starting: int | None
    end_s: float | None
    start_s: float | None

    @property
    def first_turn(self) -> int:
        """The number of the one that ends, else of the one that starts."""
        return self.ending if self.ending is not None else self.starting or 0

    @property
    def last_turn(self) -> int:
        """The number of the one that starts, else of the one that ends."""
        return self.starting if self.starting is not None else self.ending or 0


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
    positions = used_positions(samples)
    rough = split_at_level(air, positions, noise_m, rough_turns(air))
    rates = [_steady_rate(air, start, end) for start, end, _ in rough]
    new_starts, new_ends, rolls = _edges(air, positions, noise_m, rough, rates, USUAL_ROLL)
    if len(rolls) >= HABIT_EDGES:
        # an aircraft rolls alike all through a flight: what all edges show together sharpens each of them
        logs = np.log(np.clip(rolls, 1.5, 20.0))
        mean = float((np.sum(logs) + np.log(USUAL_ROLL.rate_deg_s)) / (len(logs) + 1))
        habit = RollHabit(float(np.exp(mean)), HABIT_LOG_SIGMA)
        new_starts, new_ends, _ = _edges(air, positions, noise_m, rough, rates, habit)
    turns: list[FlownTurn] = []
    for (seen_start, seen_end, seen_degrees), new_start, new_end in zip(rough, new_starts, new_ends, strict=True):
        start, end = max(new_start, float(air.time_s[0])), min(new_end, float(air.time_s[-1]))
        if end - start < 2.0:
            start, end = seen_start, max(seen_end, seen_start + 2.0)
        if turns:
            start = max(start, turns[-1].end_s)
        if start >= end:
            continue
        turn = flown_turn(air, start, end)
        if abs(turn.mean_rate_deg_s) > FASTEST_MEAN_DEG_S:
            continue  # noise at the end of a recording: no aircraft of this trade turns so fast
        if abs(turn.degrees) >= LEAST_TURN_DEG and turn.degrees * seen_degrees > 0.0:
            turns.append(turn)
    return tuple(turns)


def _edges(
    air: AirMotion,
    positions: Positions,
    noise_m: float,
    rough: list[RoughTurn],
    rates: list[float],
    habit: RollHabit,
) -> tuple[list[float], list[float], list[float]]:
    """Fitted starts and ends of all turns, and the roll rates that the fits found."""
    starts, ends = [start for start, _, _ in rough], [end for _, end, _ in rough]
    jobs: list[_Job] = []
    for after in range(len(rough) + 1):
        before = after - 1
        ending = None if before < 0 else _Job(before, None, ends[before], None)
        starting = None if after == len(rough) else _Job(None, after, None, starts[after])
        if ending and starting and starts[after] - ends[before] <= CLOSE_S:
            jobs.append(_Job(before, after, ends[before], starts[after]))
        else:
            jobs += [job for job in (ending, starting) if job]
    windows = [_window(positions, noise_m, rough, rates, job) for job in jobs]
    fitted = iter(fit_edges([window for window in windows if window], air, noise_m, habit))
    rolls: list[float] = []
    for job, window in zip(jobs, windows, strict=True):
        edge = next(fitted).edge if window else None
        if edge is None:
            continue
        rolls += edge.roll_rates_deg_s
        if job.ending is not None:
            ends[job.ending] = edge.end_s
        if job.starting is not None:
            starts[job.starting] = edge.start_s
    return starts, ends, rolls


def flown_turn(air: AirMotion, start_s: float, end_s: float) -> FlownTurn:
    """Return the turn between two moments with its degrees, rates and mean airspeed."""
    heading = np.interp([start_s, end_s], air.time_s, air.heading_deg)
    inside = between(air.time_s, start_s, end_s)
    degrees = float(heading[1] - heading[0])
    rates = air.rate_deg_s[inside]
    fastest = float(np.max(np.abs(rates))) if len(rates) else abs(degrees) / max(end_s - start_s, 1e-3)
    speed = air.speed_mps[inside]
    tas = float(np.mean(speed)) if air.method == "air heading" and len(speed) else None
    mean = degrees / max(end_s - start_s, 1e-3)
    return FlownTurn(start_s, end_s, degrees, mean, float(np.copysign(fastest, degrees)), tas, air.method)


def _steady_rate(air: AirMotion, start_s: float, end_s: float) -> float:
    rates = air.rate_deg_s[between(air.time_s, start_s, end_s)]
    return float(np.median(rates)) if len(rates) else 0.0


def _window(
    positions: Positions, noise_m: float, rough: list[RoughTurn], rates: list[float], job: _Job
) -> Window | None:
    """Return the positions around an edge (or two close ones), None where they are too few or too far apart."""
    low = job.end_s if job.end_s is not None else job.start_s
    high = job.start_s if job.start_s is not None else job.end_s
    assert low is not None
    assert high is not None
    window_s = window_s_for(positions.interval_s, noise_m)
    first, last = low - window_s, high + window_s
    # do not reach over the middle of the turns at either side, nor into a turn beyond the level part
    if job.ending is not None:
        start, end, _ = rough[job.ending]
        first = max(first, start + 3.0) if end - start > 9.0 else first
    if job.starting is not None:
        start, end, _ = rough[job.starting]
        last = min(last, end - 3.0) if end - start > 9.0 else last
    if job.first_turn > 0:
        first = max(first, rough[job.first_turn - 1][1] + 1.5)
    if job.last_turn + 1 < len(rough):
        last = min(last, rough[job.last_turn + 1][0] - 1.5)
    time = positions.time_s
    if first < low and last > high:  # reach over a gap to what is recorded on its other side
        before, after = int(np.searchsorted(time, low)), int(np.searchsorted(time, high, side="right"))
        if before > 0 and time[before - 1] < low - 0.5 * window_s:
            first = min(first, float(time[max(before - 6, 0)]))
        if after < len(time) and time[after] > high + 0.5 * window_s:
            last = max(last, float(time[min(after + 5, len(time) - 1)]))
    chosen = positions.between(first, last)
    if chosen.stop - chosen.start < 5 or time[chosen.stop - 1] - time[chosen.start] > LONGEST_FIT_S:
        return None
    return Window(
        time[chosen],
        positions.position_m[:, chosen],
        job.end_s,
        job.start_s,
        0.0 if job.ending is None else rates[job.ending],
        0.0 if job.starting is None else rates[job.starting],
    )
