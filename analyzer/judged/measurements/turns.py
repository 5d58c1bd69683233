"""Bank and radius of each turn, from its rate and the airspeed."""

from dataclasses import replace

import numpy as np

from analyzer.flown import Attempt, Flight, FlownTurn, Motion
from analyzer.given import PhaseName, Track, Wind
from analyzer.judged.measurements.bank import held_bank
from analyzer.judged.measurements.timing import edge_sigma_s
from analyzer.judged.measurements.values import TurnMeasure
from analyzer.units import bank_of_turn_deg, lean_of_turn

SLOWEST_MPS = 5.0  # a slower "airspeed" is a column that does not work


def measure_turns(attempt: Attempt, flight: Flight) -> tuple[TurnMeasure, ...]:
    """Return each turn of the attempt with its phase, bank and radius.

    Parameters
    ----------
    attempt : Attempt
    flight : Flight
        The track's true airspeed column serves where the wind is not known.

    Notes
    -----
    In a level, coordinated turn tan(bank) = speed x rate / g and radius = speed / rate, all through the air; mean
    rate from roll-in to wings level, so that rolling in and out lowers the mean bank.
    """
    track, wind = flight.track, flight.wind
    return tuple(
        replace(
            _measure(turn, phase, lap, _airspeed_mps(turn, track, wind), flight.motion),
            held_bank=held_bank(turn, flight),
        )
        for phase, lap, turn in attempt.turns
    )


def _airspeed_mps(turn: FlownTurn, track: Track, wind: Wind | None) -> float | None:
    if turn.tas_mps is not None:
        return turn.tas_mps
    column = track.sensors.get("tas_mps")
    if column is not None:
        inside = (track.time_s >= turn.start_s) & (track.time_s <= turn.end_s) & np.isfinite(column)
        if np.any(inside):
            return float(np.mean(column[inside]))
    return wind.tas_mps if wind is not None else None


def _measure(turn: FlownTurn, phase: PhaseName, lap: int, tas_mps: float | None, motion: Motion) -> TurnMeasure:
    duration = max(turn.end_s - turn.start_s, 1e-3)
    ends_deg = np.interp([turn.start_s, turn.end_s], motion.time_s, motion.track_sigma_deg)
    rate = abs(turn.mean_rate_deg_s)
    rate_sigma = float(np.hypot(np.hypot(*ends_deg) / duration, rate * np.sqrt(2.0) * edge_sigma_s(motion) / duration))
    bank = radius = bank_sigma = None
    if tas_mps is not None and tas_mps > SLOWEST_MPS and rate > 0.0:
        bank = bank_of_turn_deg(rate, tas_mps)
        radius = float(tas_mps / np.radians(rate))
        bank_sigma = float(np.degrees(lean_of_turn(rate_sigma, tas_mps) / (1.0 + lean_of_turn(rate, tas_mps) ** 2)))
    return TurnMeasure(phase, lap, turn, bank, radius, bank_sigma, rate_sigma)
