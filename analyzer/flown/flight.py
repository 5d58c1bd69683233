"""What was flown, in one value: the track with its motion, air, wind, altitude, turns and attempts."""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from analyzer.flown.altitude.altimeter_record import AltitudeRecord
from analyzer.flown.altitude.smoothed import AltitudeProfile, altitude_profile
from analyzer.flown.attempt import Attempt, FlownTurn
from analyzer.flown.motion.motion import Motion
from analyzer.flown.turns.air_motion import AirMotion
from analyzer.given import QualityNote, Track, Wind
from analyzer.units import FloatArray


@dataclass(frozen=True)
class RecordedProfile:
    """The altitude record freed of noise with the record's 1 sigma at its moments; None twice without altitudes.

    `reading_m` is how far beyond a minimum or maximum still counts as at it, see `AltitudeRecord`.
    """

    profile: AltitudeProfile | None
    sigma_m: FloatArray | None
    reading_m: float = 0.0


@dataclass(frozen=True)
class Flight:
    """Everything that one track shows by itself.

    Parameters
    ----------
    track : Track
    motion : Motion
        Of the whole track.
    air : AirMotion
        The motion with the wind taken out, where it is known.
    wind : Wind or None
        None: no bank, radius, drift correction or wind-adjusted time; `wind_reason` says why there is none.
    altitude : AltitudeRecord or None
        None: no altitude is measured, and no cone over a station.
    turns : tuple of FlownTurn
    attempts : tuple of Attempt
    notes : tuple of QualityNote
    """

    track: Track
    motion: Motion
    air: AirMotion
    wind: Wind | None
    altitude: AltitudeRecord | None = None
    wind_reason: str = ""
    turns: tuple[FlownTurn, ...] = ()
    attempts: tuple[Attempt, ...] = ()
    notes: tuple[QualityNote, ...] = ()

    @cached_property
    def recorded(self) -> RecordedProfile:
        """The smoothed altitude of the record: a tenth of a second for an hour, so once for all attempts."""
        return recorded_profile(self.altitude)

    def take_profile_of(self, other: "Flight") -> None:
        """Use the smoothed altitude of the same record read about another fix."""
        mine, its = self.altitude, other.altitude
        if mine is None or its is None or mine.reading_m != its.reading_m:
            return
        if np.array_equal(mine.altitude_m, its.altitude_m, equal_nan=True) and np.array_equal(
            mine.sigma_m, its.sigma_m
        ):
            self.__dict__["recorded"] = other.recorded

    def with_attempts(self, attempts: tuple[Attempt, ...], notes: tuple[QualityNote, ...]) -> "Flight":
        """Return the same flight with other attempts and notes."""
        other = replace(self, attempts=attempts, notes=notes)
        if "recorded" in self.__dict__:
            other.__dict__["recorded"] = self.recorded
        return other

    @cached_property
    def altitude_m(self) -> FloatArray | None:
        """Altimeter altitude at the motion's moments, shape (n,), nan where none is near; None without altitudes."""
        if self.altitude is None:
            return None
        return at_moments(self.motion, self.altitude.time_s, self.altitude.altitude_m)


def recorded_profile(record: AltitudeRecord | None) -> RecordedProfile:
    """Return the smoothed altitude of a record."""
    if record is None:
        return RecordedProfile(None, None)
    profile = altitude_profile(record.time_s, record.altitude_m)
    if profile is None:
        return RecordedProfile(None, None)
    return RecordedProfile(profile, np.interp(profile.time_s, record.time_s, record.sigma_m), record.reading_m)


def at_moments(motion: Motion, time_s: FloatArray, values: FloatArray) -> FloatArray:
    """Return recorded values at the motion's moments; nan where none is within 10 s."""
    good = np.isfinite(values)
    if np.count_nonzero(good) < 2:
        return np.full(len(motion), np.nan)
    known = time_s[good]
    result = np.interp(motion.time_s, known, values[good])
    after = np.clip(np.searchsorted(known, motion.time_s), 1, len(known) - 1)
    nearest = np.minimum(np.abs(motion.time_s - known[after - 1]), np.abs(known[after] - motion.time_s))
    return np.where(nearest <= 10.0, result, np.nan)
