"""The track: what the device recorded, as read-only arrays checked at birth. It analyses nothing."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from types import MappingProxyType
from typing import Literal

import numpy as np
import numpy.typing as npt

from analyzer.units import FloatArray, visible

AltitudeKind = Literal["indicated", "pressure", "geometric"]
#: what recorders write: also heights above the ellipsoid, and altitudes whose name does not say above what they are
RecordedAltitude = AltitudeKind | Literal["ellipsoidal", "unstated"]

#: optional columns a track may carry, in SI; courses in degrees true unless the name says magnetic
SENSOR_NAMES = (
    "groundspeed_mps",
    "track_true_deg",
    "heading_magnetic_deg",
    "heading_true_deg",
    "ias_mps",
    "tas_mps",
    "bank_deg",
    "vertical_speed_mps",
    "deflection",
)


#: altitudes and readings (in SI) beyond are error codes of the recorder
HIGHEST_ALTITUDE_M = 30_000.0
LOWEST_ALTITUDE_M = -1_000.0
LARGEST_READING = 1e6
#: the widest that an altimeter's setting window shows, with some room (own choice)
LOWEST_SETTING_HPA = 900.0
HIGHEST_SETTING_HPA = 1085.0
#: longer records are refused: no aircraft that flies course reversals is longer in the air, though a device may run on
LONGEST_RECORD_S = 7 * 86_400.0
#: a longer pause means another flight or a clock that was not yet set
SEPARATE_FLIGHTS_S = 6 * 3600.0


#: what a doubt about the record can keep from being judged; "manoeuvre" is method, turns, timing and intercept
JudgedPart = Literal["altitudes", "manoeuvre", "speed", "containment", "everything"]


@dataclass(frozen=True)
class QualityNote:
    """One thing that a reader or a later step saw or repaired: a code for programs, a sentence for people.

    Parameters
    ----------
    code, text : str
    on_first_screen : bool
        Whether it bears on the verdict, so that nobody should read the verdict without it.
    not_judged : tuple of JudgedPart
        What must not be judged from this record because of it; such a note bears on the verdict too.
    attempt : int or None
        Number of the one reversal that it speaks of.
    """

    code: str
    text: str
    on_first_screen: bool = False
    not_judged: tuple[JudgedPart, ...] = ()
    attempt: int | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "text", visible(self.text))
        object.__setattr__(self, "on_first_screen", self.on_first_screen or bool(self.not_judged))


@dataclass(frozen=True)
class Track:
    """Moments of one flight in order of time.

    Parameters
    ----------
    name : str
        What the report calls the flight; the file's stem unless the file says otherwise.
    time_s : array, shape (n,)
        Seconds after the first moment, strictly increasing.
    latitude_deg, longitude_deg : array, shape (n,)
        WGS 84, finite, longitude in [-180, 180].
    altitude_m : array, shape (n,), or None
        nan where a moment has none or an impossible one; None where no column holds altitudes.
    altitude_kind : str or None
        "indicated" (what the altimeter showed), "pressure" (1013.25 hPa set), "geometric" (above mean sea level),
        "ellipsoidal" (above the ellipsoid) or "unstated".
    start : datetime or None
        The first moment in UTC, with its zone; None for a track with elapsed seconds only.
    sensors : mapping of str to array, shape (n,)
        Any of SENSOR_NAMES, nan where missing or impossible.
    columns_used : tuple of str
        The names as they stand in the file.
    quality : tuple of QualityNote
    other_altitudes : mapping of kind to array, shape (n,)
        What else the recorder wrote, each of another kind than `altitude_m`.
    altimeter_setting_hpa : array, shape (n,), or None
        A recorded column of settings; nan where missing.
    open_altitude_units : frozenset of kind
        Altitudes whose unit the file does not name; they were read in the usual one.
    source_sha256 : str or None
        SHA-256 of the file's bytes, hexadecimal: how a report is known to be this track's.

    Raises
    ------
    ValueError
        Where lengths differ, times do not increase or positions are not on Earth: a mistake of the caller.
    """

    name: str
    time_s: FloatArray
    latitude_deg: FloatArray
    longitude_deg: FloatArray
    altitude_m: FloatArray | None = None
    altitude_kind: RecordedAltitude | None = None
    start: datetime | None = None
    sensors: Mapping[str, FloatArray] = field(default_factory=dict)
    columns_used: tuple[str, ...] = ()
    quality: tuple[QualityNote, ...] = ()
    source_sha256: str | None = None
    other_altitudes: Mapping[RecordedAltitude, FloatArray] = field(default_factory=dict)
    altimeter_setting_hpa: FloatArray | None = None
    open_altitude_units: frozenset[RecordedAltitude] = frozenset()

    def __post_init__(self) -> None:
        object.__setattr__(self, "name", visible(self.name))
        object.__setattr__(self, "columns_used", tuple(visible(column) for column in self.columns_used))
        for name in ("time_s", "latitude_deg", "longitude_deg", "altitude_m"):
            values = getattr(self, name)
            if values is not None:
                object.__setattr__(self, name, _read_only(values))
        count = len(self.time_s)
        for name in ("latitude_deg", "longitude_deg"):
            if len(getattr(self, name)) != count:
                raise ValueError(f"{name} has {len(getattr(self, name))} values for {count} times")
        if self.altitude_m is not None and len(self.altitude_m) != count:
            raise ValueError(f"altitude_m has {len(self.altitude_m)} values for {count} times")
        if count and not (np.all(np.isfinite(self.time_s)) and np.all(np.diff(self.time_s) > 0)):
            raise ValueError("time_s must be finite and increase from point to point")
        if count and not (np.all(np.abs(self.latitude_deg) <= 90.0) and np.all(np.abs(self.longitude_deg) <= 180.0)):
            raise ValueError("a position lies outside latitude -90 to 90 or longitude -180 to 180")
        sensors = {}
        for key, values in self.sensors.items():
            if key not in SENSOR_NAMES:
                raise ValueError(f"{key} is not a sensor of a track; known: {', '.join(SENSOR_NAMES)}")
            if len(values) != count:
                raise ValueError(f"{key} has {len(values)} values for {count} times")
            sensors[key] = _within(values, -LARGEST_READING, LARGEST_READING)
        object.__setattr__(self, "sensors", MappingProxyType(sensors))
        if self.altitude_m is not None:
            object.__setattr__(self, "altitude_m", _within(self.altitude_m, LOWEST_ALTITUDE_M, HIGHEST_ALTITUDE_M))
        others = {}
        for kind, values in self.other_altitudes.items():
            if len(values) != count:
                raise ValueError(f"{kind} altitudes have {len(values)} values for {count} times")
            others[kind] = _within(values, LOWEST_ALTITUDE_M, HIGHEST_ALTITUDE_M)
        object.__setattr__(self, "other_altitudes", MappingProxyType(others))
        if self.altimeter_setting_hpa is not None:
            if len(self.altimeter_setting_hpa) != count:
                raise ValueError(
                    f"altimeter_setting_hpa has {len(self.altimeter_setting_hpa)} values for {count} times"
                )
            low, high = LOWEST_SETTING_HPA, HIGHEST_SETTING_HPA
            object.__setattr__(self, "altimeter_setting_hpa", _within(self.altimeter_setting_hpa, low, high))
        if (self.altitude_m is None) != (self.altitude_kind is None):
            raise ValueError("altitude_m and altitude_kind come together or not at all")

    def __len__(self) -> int:
        return len(self.time_s)

    @property
    def median_interval_s(self) -> float:
        """Middle step between moments, seconds; nan for fewer than two."""
        return float(np.median(np.diff(self.time_s))) if len(self) > 1 else float("nan")

    @property
    def duration_s(self) -> float:
        """Last moment minus first, seconds; 0 for fewer than two."""
        return float(self.time_s[-1] - self.time_s[0]) if len(self) > 1 else 0.0


def _within(values: npt.ArrayLike, low: float, high: float) -> FloatArray:
    """Return the values with nan for those outside the limits."""
    array = np.array(values, dtype=np.float64)
    return _read_only(np.where((array >= low) & (array <= high), array, np.nan))


def _read_only(values: npt.ArrayLike) -> FloatArray:
    array = np.array(values, dtype=np.float64)
    array.setflags(write=False)
    return array


def best_altitude(kinds: Collection[RecordedAltitude], *, setting_known: bool) -> RecordedAltitude | None:
    """Return the kind nearest to what the altimeter showed, None for no kind.

    Indicated, else pressure with its setting, else geometric, else pressure without a setting. An altitude whose datum
    is not stated stands with the geometric ones, whose doubt it has.
    """
    order: tuple[RecordedAltitude, ...] = ("indicated", "geometric", "ellipsoidal", "unstated", "pressure")
    if setting_known:
        order = ("indicated", "pressure", "geometric", "ellipsoidal", "unstated")
    return next((kind for kind in order if kind in kinds), None)
