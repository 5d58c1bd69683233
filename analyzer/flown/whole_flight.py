"""What was flown: motion, wind, turns and attempts of one track, in that order."""

from dataclasses import dataclass

import numpy as np

from analyzer.flown.attempt import Attempt, FlownTurn
from analyzer.flown.motion.motion import Motion, estimate_motion
from analyzer.flown.reversals.attempts import find_attempts
from analyzer.flown.reversals.fix_passes import passes
from analyzer.flown.reversals.none_found import no_reversal_note
from analyzer.flown.reversals.unrelated import without_other_work
from analyzer.flown.turns.air_motion import AirMotion, air_motion
from analyzer.flown.turns.roll_edges import refined_turns
from analyzer.flown.wind.from_columns import better_of, wind_from_columns
from analyzer.flown.wind.from_turns import WindResult, estimate_wind, with_airspeed
from analyzer.given import Frame, Procedure, QualityNote, Track, Wind
from analyzer.planned import passage_radius_m
from analyzer.units import FloatArray

NEAR_FIX_M = 20_000.0


@dataclass(frozen=True)
class FlownTrack:
    """Everything that the track itself shows; `wind_reason` says why there is no wind."""

    motion: Motion
    wind: Wind | None
    wind_reason: str
    air: AirMotion
    turns: tuple[FlownTurn, ...]
    attempts: tuple[Attempt, ...]
    notes: tuple[QualityNote, ...]


def read_flight(
    track: Track,
    procedure: Procedure,
    frame: Frame,
    given_wind: Wind | None = None,
    altitude_m: FloatArray | None = None,
    tas_mps: FloatArray | None = None,
) -> FlownTrack:
    """Return what was flown.

    Parameters
    ----------
    track : Track
        At least two moments.
    procedure : Procedure
    frame : Frame
    given_wind : Wind, optional
        The user's; then none is estimated.
    altitude_m : array, shape (n,), optional
        Altimeter altitude at the track's moments, for the cone over a station.
    tas_mps : array, shape (n,), optional
        True airspeed at the track's moments where a column shows it; otherwise the track's own `tas_mps` is used.

    Returns
    -------
    FlownTrack
    """
    motion, notes = estimate_motion(track, frame)
    found = _wind(track, procedure, motion, frame, given_wind, tas_mps)
    air = air_motion(motion, frame, found.wind)
    samples = motion.samples
    assert samples is not None
    turns = refined_turns(air, samples, motion.noise_m, motion.distance_m < NEAR_FIX_M)
    altitude = None if altitude_m is None else at_moments(motion, track.time_s, altitude_m)
    attempts = find_attempts(motion, air, turns, procedure, frame, altitude)
    attempts, other_work = without_other_work(attempts, motion)
    notes = (*notes, *other_work)
    if not attempts:
        radius_m = passage_radius_m(procedure)
        notes = (*notes, no_reversal_note(motion, passes(motion, radius_m), radius_m))
    return FlownTrack(motion, found.wind, found.reason, air, turns, attempts, notes)


def at_moments(motion: Motion, time_s: FloatArray, values: FloatArray) -> FloatArray:
    """Return recorded values at the motion's moments; nan where none is within 10 s or three intervals."""
    good = np.isfinite(values)
    if np.count_nonzero(good) < 2:
        return np.full(len(motion), np.nan)
    known = time_s[good]
    result = np.interp(motion.time_s, known, values[good])
    after = np.clip(np.searchsorted(known, motion.time_s), 1, len(known) - 1)
    nearest = np.minimum(np.abs(motion.time_s - known[after - 1]), np.abs(known[after] - motion.time_s))
    return np.where(nearest <= 10.0, result, np.nan)


def _wind(
    track: Track,
    procedure: Procedure,
    motion: Motion,
    frame: Frame,
    given_wind: Wind | None,
    tas_mps: FloatArray | None,
) -> WindResult:
    if given_wind is not None:
        return WindResult(with_airspeed(given_wind, motion, frame), "")
    speed = tas_mps if tas_mps is not None else track.sensors.get("tas_mps")
    at_speed = None if speed is None else at_moments(motion, track.time_s, speed)
    if at_speed is not None and np.count_nonzero(np.isfinite(at_speed)) < 0.8 * len(motion):
        at_speed = None
    found = estimate_wind(motion, frame, at_speed)
    heading = _heading_true(track, procedure, motion)
    if at_speed is None or heading is None:
        return found
    best = better_of(found.wind, wind_from_columns(motion, frame, heading, at_speed))
    return found if best is None else WindResult(best, "")


def _heading_true(track: Track, procedure: Procedure, motion: Motion) -> FloatArray | None:
    heading = track.sensors.get("heading_true_deg")
    if heading is None:
        magnetic = track.sensors.get("heading_magnetic_deg")
        heading = None if magnetic is None else magnetic + procedure.variation_deg
    if heading is None:
        return None
    east = at_moments(motion, track.time_s, np.sin(np.radians(heading)))
    north = at_moments(motion, track.time_s, np.cos(np.radians(heading)))
    result: FloatArray = np.mod(np.degrees(np.arctan2(east, north)), 360.0)
    return result
