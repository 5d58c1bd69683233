"""What was flown: motion, wind, turns and attempts of one track, in that order."""

from dataclasses import dataclass, replace

import numpy as np

from analyzer.flown.altitude.altimeter_record import AltitudeRecord
from analyzer.flown.flight import Flight, at_moments
from analyzer.flown.motion.motion import Motion, estimate_motion
from analyzer.flown.reversals.attempts import NEAR_FIX_M, find_attempts
from analyzer.flown.reversals.fix_passes import passes
from analyzer.flown.reversals.none_found import no_reversal_note
from analyzer.flown.reversals.sparse import sparse_notes
from analyzer.flown.reversals.unrelated import without_other_work, without_own_holds
from analyzer.flown.turns.air_motion import air_motion
from analyzer.flown.turns.roll_edges import refined_turns
from analyzer.flown.wind.from_columns import better_of, wind_from_columns
from analyzer.flown.wind.from_turns import WindEstimate, estimate_wind, with_airspeed
from analyzer.given import Frame, Place, Procedure, Track, Wind
from analyzer.planned import Plan, passage_radius_m
from analyzer.units import BoolArray, FloatArray


@dataclass(frozen=True)
class Others:
    """Other procedures that one track is read for: their fixes, and what was read for the first of them.

    Wind and turns are the same about any fix; they are worked out once, near all of them.
    """

    fixes: tuple[Place, ...]
    read: Flight | None = None


def read_flight(
    track: Track,
    plan: Plan,
    altitude: AltitudeRecord | None = None,
    given_wind: Wind | None = None,
    tas_mps: FloatArray | None = None,
    others: "Others | None" = None,
) -> Flight:
    """Return what was flown.

    Parameters
    ----------
    track : Track
        At least two points.
    plan : Plan
    altitude : AltitudeRecord, optional
        Altimeter altitude, for the cone over a station.
    given_wind : Wind, optional
        The user's; then none is estimated.
    tas_mps : array, shape (n,), optional
        True airspeed at the track's points where a column shows it; otherwise the track's own `tas_mps` is used.
    others : Others, optional
        Other procedures that the same track is read for.

    Returns
    -------
    Flight
    """
    procedure, frame = plan.procedure, plan.frame
    motion, notes = estimate_motion(track, frame)
    read = None if others is None else others.read
    if read is None:
        found = _wind(track, procedure, motion, frame, given_wind, tas_mps)
    else:
        found = WindEstimate(read.wind, read.wind_reason)
    air = air_motion(motion, frame, found.wind)
    samples = motion.samples
    assert samples is not None
    turns = refined_turns(air, samples, motion.noise_m, _near(motion, frame, others)) if read is None else read.turns
    flight = Flight(track, motion, air, found.wind, altitude, found.reason, turns)
    if read is not None:
        flight.take_profile_of(read)
    attempts = find_attempts(motion, air, turns, procedure, frame, flight.altitude_m)
    attempts, own_holds = without_own_holds(attempts)
    attempts, other_work = without_other_work(attempts, motion)
    notes = (*notes, *own_holds, *other_work, *sparse_notes(attempts, motion, track.time_s))
    if not attempts:
        radius_m = passage_radius_m(procedure)
        notes = (*notes, no_reversal_note(motion, passes(motion, radius_m), radius_m))
    return replace(flight, attempts=attempts, notes=notes)


def _near(motion: Motion, frame: Frame, others: Others | None) -> BoolArray:
    """Where the flight is near a fix: there the edges of its turns are worked out."""
    near = np.asarray(motion.distance_m < NEAR_FIX_M)
    for fix in () if others is None else others.fixes:
        along, cross = frame.along_cross_m(fix.latitude_deg, fix.longitude_deg)
        near |= np.hypot(motion.along_m - along, motion.cross_m - cross) < NEAR_FIX_M
    return near


def _wind(
    track: Track,
    procedure: Procedure,
    motion: Motion,
    frame: Frame,
    given_wind: Wind | None,
    tas_mps: FloatArray | None,
) -> WindEstimate:
    if given_wind is not None:
        return WindEstimate(with_airspeed(given_wind, motion, frame), "")
    speed = tas_mps if tas_mps is not None else track.sensors.get("tas_mps")
    at_speed = None if speed is None else at_moments(motion, track.time_s, speed)
    if at_speed is not None and np.count_nonzero(np.isfinite(at_speed)) < 0.8 * len(motion):
        at_speed = None
    found = estimate_wind(motion, frame, at_speed)
    heading = _heading_true(track, procedure, motion)
    if at_speed is None or heading is None:
        return found
    best = better_of(found.wind, wind_from_columns(motion, frame, heading, at_speed))
    return found if best is None else WindEstimate(best, "")


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
