"""The largest bank that was held in a turn: what an instructor sees; rolling in and out lowers the mean."""

import numpy as np

from analyzer.flown import Flight, FlownTurn
from analyzer.judged.measurements.values import HeldBank
from analyzer.units import GRAVITY_MPS2, FloatArray

#: a bank is held when it lasts so long: a gust or a flicker of the record is shorter (own choice)
HELD_S = 3.0
GRID_S = 0.25
#: a recorded attitude is taken to be right within this, 1 sigma; a bank that is worked out holds for a coordinated turn
#: and is never known better (own choices)
RECORDED_SIGMA_DEG, WORKED_OUT_SIGMA_DEG = 0.5, 0.3
#: a column with longer gaps than this does not show what was held
LONGEST_STEP_S = 2.0


def held_bank(turn: FlownTurn, flight: Flight) -> HeldBank | None:
    """Return the largest bank that was held for 3 s in a turn, from the recorded column where there is one.

    Parameters
    ----------
    turn : FlownTurn
    flight : Flight
        Its `bank_deg` column; else its motion through the air, where the wind is known.

    Returns
    -------
    HeldBank or None
        None for a turn of under 3 s, or where neither the bank nor the airspeed is known.

    Notes
    -----
    Worked out from a level, coordinated turn: tan(bank) = true airspeed x rate / g. The rate is that of the smoothed
    motion: of sparse positions it is too small, never too large.
    """
    column = flight.track.sensors.get("bank_deg")
    if column is not None:
        time = flight.track.time_s
        inside = (time >= turn.start_s) & (time <= turn.end_s) & np.isfinite(column)
        steps = np.diff(time[inside])
        if steps.size >= 2 and float(np.max(steps)) <= LONGEST_STEP_S:
            found = _held(time[inside], np.abs(_without_spikes(column[inside])))
            return None if found is None else HeldBank(*found, RECORDED_SIGMA_DEG, recorded=True)
    if turn.method != "air heading":
        return None
    air = flight.air
    inside = (air.time_s >= turn.start_s) & (air.time_s <= turn.end_s)
    if np.count_nonzero(inside) < 2:
        return None
    per_rate = np.radians(1.0) * air.speed_mps[inside] / GRAVITY_MPS2
    bank = np.degrees(np.arctan(per_rate * np.abs(air.rate_deg_s[inside])))
    found = _held(air.time_s[inside], bank)
    if found is None:
        return None
    steepness = np.degrees(per_rate * air.rate_sigma_deg_s[inside]) * np.cos(np.radians(bank)) ** 2
    sigma = float(np.interp(found[1], air.time_s[inside], steepness))
    return HeldBank(*found, float(np.hypot(WORKED_OUT_SIGMA_DEG, sigma)), recorded=False)


def _held(time_s: FloatArray, bank_deg: FloatArray) -> tuple[float, float] | None:
    """Return the largest value that was not fallen below for 3 s, and when that began; None for less than 3 s."""
    if time_s[-1] - time_s[0] < HELD_S:
        return None
    grid = np.arange(time_s[0], time_s[-1] + 1e-9, GRID_S)
    windows = np.lib.stride_tricks.sliding_window_view(
        np.interp(grid, time_s, bank_deg), min(round(HELD_S / GRID_S) + 1, grid.size)
    )
    least = windows.min(axis=1)
    best = int(np.argmax(least))
    return float(least[best]), float(grid[best])


def _without_spikes(values: FloatArray) -> FloatArray:
    """Return the middle one of each three: a single wild value neither makes a steep bank nor hides one."""
    around = np.pad(np.asarray(values, dtype=float), 1, mode="edge")
    middle: FloatArray = np.median(np.lib.stride_tricks.sliding_window_view(around, 3), axis=1)
    return middle
