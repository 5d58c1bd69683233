"""When each roll-in starts and each roll-out ends, from a fit to the recorded positions around it.

A turn's rate rises linearly while the bank is rolled in and falls linearly while it is rolled out. Over half a minute
around an edge the path follows from a handful of values (position, heading, airspeed, rates, the moments of the edge),
so that they can be fitted to the raw positions: far sharper than a threshold on a smoothed rate.
"""

from typing import NamedTuple

import numpy as np

from analyzer.flown.attempt import FlownTurn
from analyzer.flown.motion.motion import Samples
from analyzer.flown.turns.air_motion import AirMotion
from analyzer.flown.turns.level_splits import RoughTurn, split_at_level
from analyzer.flown.turns.roll_fit import fit_edges
from analyzer.flown.turns.roll_model import (
    USUAL_ROLL,
    Positions,
    RollHabit,
    Window,
    between,
    used_positions,
    window_s_for,
)
from analyzer.flown.turns.turn_states import FASTEST_TURN_DEG_S, LEAST_TURN_DEG, rough_turns
from analyzer.units import BoolArray

LONGEST_AWAY_S, LONGEST_TO_FIX_S = 2400.0, 900.0  # 20 NM out and back at 60 kt; the turns that lead to the fix
LONGEST_FIT_S = 900.0  # across a longer gap or with hourly positions an edge stays where it was seen
CLOSE_S = 11.0  # two turns nearer to each other than this share one fit
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


def refined_turns(
    air: AirMotion, samples: Samples, noise_m: float, near: BoolArray | None = None
) -> tuple[FlownTurn, ...]:
    """Return all turns of at least 15 degrees with the moments of roll-in and wings level.

    Parameters
    ----------
    air : AirMotion
    samples : Samples
        The recorded positions.
    noise_m : float
        1 sigma of a position.
    near : array of bool, shape (n,), optional
        Moments of `air` that are near the fix. Turns of hours before and after stay as the turn rate shows them.

    Returns
    -------
    tuple of FlownTurn
        In order, not overlapping.
    """
    positions = used_positions(samples)
    all_rough = rough_turns(air)
    chosen = [_matters(turn, air, near) for turn in all_rough]
    rough = split_at_level(air, positions, noise_m, [turn for turn, own in zip(all_rough, chosen, strict=True) if own])
    rates = [_steady_rate(air, start, end) for start, end, _ in rough]
    jobs = _jobs(rough)
    found = [_window(positions, noise_m, rough, rates, job) for job in jobs]
    jobs = [job for job, window in zip(jobs, found, strict=True) if window]
    windows = [window for window in found if window]
    fitted = fit_edges(windows, air, noise_m)
    rolls = [rate for each in fitted if each.edge for rate in each.edge.roll_rates_deg_s]
    if len(rolls) >= HABIT_EDGES:
        # an aircraft rolls alike all through a flight: what all edges show together sharpens each of them
        logs = np.log(np.clip(rolls, 1.5, 20.0))
        mean = float((np.sum(logs) + np.log(USUAL_ROLL.rate_deg_s)) / (len(logs) + 1))
        fitted = fit_edges(windows, air, noise_m, RollHabit(float(np.exp(mean)), HABIT_LOG_SIGMA), fitted)
    new_starts, new_ends = [start for start, _, _ in rough], [end for _, end, _ in rough]
    for job, each in zip(jobs, fitted, strict=True):
        if each.edge and job.ending is not None:
            new_ends[job.ending] = each.edge.end_s
        if each.edge and job.starting is not None:
            new_starts[job.starting] = each.edge.start_s
    edges = [*zip(rough, new_starts, new_ends, strict=True)]
    edges += [(turn, turn[0], turn[1]) for turn, own in zip(all_rough, chosen, strict=True) if not own]
    turns: list[FlownTurn] = []
    for (seen_start, seen_end, seen_degrees), new_start, new_end in sorted(edges):
        start, end = max(new_start, float(air.time_s[0])), min(new_end, float(air.time_s[-1]))
        if end - start < 2.0:
            start, end = seen_start, max(seen_end, seen_start + 2.0)
        if turns:
            start = max(start, turns[-1].end_s)
        if start >= end:
            continue
        turn = flown_turn(air, start, end)
        if abs(turn.mean_rate_deg_s) > FASTEST_TURN_DEG_S:
            continue  # noise at the end of a recording: no aircraft of this trade turns so fast
        if abs(turn.degrees) >= LEAST_TURN_DEG and turn.degrees * seen_degrees > 0.0:
            turns.append(turn)
    return tuple(turns)


def _matters(turn: RoughTurn, air: AirMotion, near: BoolArray | None) -> bool:
    """Return whether the aircraft was near the fix not too long before or after a turn."""
    return near is None or bool(np.any(near[between(air.time_s, turn[0] - LONGEST_AWAY_S, turn[1] + LONGEST_TO_FIX_S)]))


def _jobs(rough: list[RoughTurn]) -> list[_Job]:
    """Return the fits of all edges: two close ones share one."""
    jobs: list[_Job] = []
    for after in range(len(rough) + 1):
        before = after - 1
        end_s = rough[before][1] if before >= 0 else None
        start_s = rough[after][0] if after < len(rough) else None
        if end_s is not None and start_s is not None and start_s - end_s <= CLOSE_S:
            jobs.append(_Job(before, after, end_s, start_s))
            continue
        if end_s is not None:
            jobs.append(_Job(before, None, end_s, None))
        if start_s is not None:
            jobs.append(_Job(None, after, None, start_s))
    return jobs


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
