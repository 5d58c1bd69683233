"""The altitude that is compared with the limits: what an altimeter shows, with its doubt and what would settle it."""

from dataclasses import dataclass

import numpy as np

from analyzer.given import Options, Procedure, RecordedAltitude, Track, best_altitude
from analyzer.standards import indicated_from_geometric_m, pressure_altitude_m
from analyzer.units import KELVIN_AT_0_C, METRES_PER_FOOT, PASCALS_PER_HPA, BoolArray, FloatArray

# Doubt of the kinds of record, 1 sigma: own choice, stated to the user in every report. What the altimeter showed is
# what counts: it is in doubt by its recording alone. 20 ft is the reading and the hysteresis of another altimeter in
# order, whose pressure was recorded; 30 ft the scatter of satellite heights; 2 % a day 5 degrees off standard (4 % of
# the height for 10 degrees), and 0.5 % what is left when the temperature at the ground is known.
ALTIMETER_SIGMA_M = 20.0 * METRES_PER_FOOT
#: nearer to a limit than half of an altimeter's smallest division, 20 ft, nobody can read it (own choice)
READING_M = 10.0 * METRES_PER_FOOT
#: an altitude that was recorded in steps lies within half of one: twice the 1 sigma of the record
SIGMAS_IN_A_STEP = 4.0
#: what altitudes are recorded in steps of, and how many different ones show which
STEPS_FT, STEPS_METRIC_M = (1000.0, 500.0, 200.0, 100.0, 50.0, 40.0, 25.0, 20.0, 10.0, 5.0), (10.0, 5.0, 2.0, 1.0)
STEP_LEAST_VALUES, STEP_SHARE, STEP_EXACT_M = 5, 0.9, 0.05 * METRES_PER_FOOT
GEOMETRIC_SIGMA_M = 30.0 * METRES_PER_FOOT
GEOMETRIC_SHARE = 0.02
#: how far mean sea level lies from the ellipsoid, 1 sigma over the globe: from memory, with the extremes of -107 m and
#: +85 m
GEOID_SIGMA_M = 30.0
GEOMETRIC_SHARE_WITH_TEMPERATURE = 0.005
#: how far the setting strays from 1013.25 hPa where none is given, 1 sigma: own choice, from the usual day-to-day
#: range of sea-level pressure in middle latitudes (common practice, no document)
UNKNOWN_SETTING_SIGMA_HPA = 10.0


@dataclass(frozen=True)
class AltitudeRecord:
    """The altitude that is compared with the limits: altimeter altitude with its 1 sigma.

    Parameters
    ----------
    time_s : array, shape (n,)
        The track's moments that have an altitude, seconds after its first moment.
    altitude_m : array, shape (n,)
        What the altimeter showed or would have shown with the right setting, metres above mean sea level; finite.
    sigma_m : array, shape (n,)
        1 sigma, metres.
    kind : str
        "indicated", "pressure, corrected for the setting", "pressure, setting unknown", "geometric",
        "geometric, corrected for temperature" or "of a datum that is not stated".
    note : str
        One or two sentences for the report: where the doubt comes from and what would settle it.
    reading_m : float
        How far beyond a minimum or maximum still counts as at it: half a division of the altimeter that showed the
        altitudes, 0 for altitudes that no altimeter showed.
    """

    time_s: FloatArray
    altitude_m: FloatArray
    sigma_m: FloatArray
    kind: str
    note: str
    reading_m: float = 0.0


def altitude_record(track: Track, procedure: Procedure, options: Options) -> AltitudeRecord | None:
    """Return the altimeter altitude of a track, or None where no moment has an altitude.

    Parameters
    ----------
    track : Track
    procedure : Procedure
        Its elevations tell how high above the ground the flight was, which the doubt of geometric heights grows with.
    options : Options
        `altimeter_setting_hpa` corrects pressure altitudes, `temperature_k` with `station_elevation_m` geometric ones;
        `altitude_sigma_m` takes the place of the default doubt.
    """
    found = chosen_altitude(track, options)
    if found is None:
        return None
    recorded_kind, values = found
    there = np.isfinite(values)
    recorded = np.array(values[there])
    if recorded_kind in ("geometric", "ellipsoidal", "unstated"):
        altitude, sigma, kind, note = _from_geometric(recorded, recorded_kind, procedure, options)
    elif recorded_kind == "pressure":
        altitude, sigma, kind, note = _from_pressure(recorded, _settings(track, options, there), options)
    else:
        altitude, kind = recorded, "indicated"
        step_m = recorded_step_m(recorded)
        sigma = np.full_like(altitude, step_m / SIGMAS_IN_A_STEP)
        note = "The altitudes are what the altimeter showed."
        if step_m > READING_M:
            note += f" They were recorded in steps of {_feet(step_m)} ft, so each is in doubt by half of that."
    if options.altitude_sigma_m is not None:
        sigma = np.full_like(altitude, options.altitude_sigma_m)
        note += f" Their doubt of {_feet(options.altitude_sigma_m)} ft (1 sigma) was given."
    note += _differences(track, there, altitude, recorded_kind)
    missing = int(np.size(there) - np.count_nonzero(there))
    if missing:
        note += f" {missing} of {np.size(there)} points have no altitude."
    return AltitudeRecord(track.time_s[there], altitude, sigma, kind, note, READING_M if kind == "indicated" else 0.0)


def recorded_step_m(altitude_m: FloatArray) -> float:
    """Return the step that altitudes were recorded in, metres; 0 where there are none that matter.

    Parameters
    ----------
    altitude_m : array, shape (n,)
        Finite.
    """
    values = np.unique(np.round(altitude_m, 3))
    if values.size < STEP_LEAST_VALUES:
        return 0.0
    for step in sorted([step * METRES_PER_FOOT for step in STEPS_FT] + [*STEPS_METRIC_M], reverse=True):
        off = np.abs(values - step * np.round(values / step))
        if np.count_nonzero(off <= STEP_EXACT_M) >= STEP_SHARE * values.size:
            return step
    return 0.0


def chosen_altitude(track: Track, options: Options) -> tuple[RecordedAltitude, FloatArray] | None:
    """Return the recorded altitude nearest to what the altimeter showed, and its kind; None where there is none."""
    altitudes = dict(track.other_altitudes)
    if track.altitude_m is not None and track.altitude_kind is not None:
        altitudes[track.altitude_kind] = track.altitude_m
    held = {kind: values for kind, values in altitudes.items() if np.any(np.isfinite(values))}
    known = options.altimeter_setting_hpa is not None or track.altimeter_setting_hpa is not None
    kind = best_altitude(held, setting_known=known)
    return None if kind is None else (kind, held[kind])


def _settings(track: Track, options: Options, there: BoolArray) -> FloatArray | None:
    """Return the altimeter setting of each altitude: the user's, else the recorded ones; None where neither is."""
    if options.altimeter_setting_hpa is not None:
        return np.full(int(np.count_nonzero(there)), options.altimeter_setting_hpa)
    if track.altimeter_setting_hpa is None:
        return None
    known = np.isfinite(track.altimeter_setting_hpa)
    if not np.any(known):
        return None
    # the setting stands until it is turned: the last one known counts, before the first the first
    last = np.maximum.accumulate(np.where(known, np.arange(len(known)), -1))
    first = int(np.argmax(known))
    return np.asarray(track.altimeter_setting_hpa[np.where(last < 0, first, last)][there])


def _differences(track: Track, there: BoolArray, altitude: FloatArray, kind: RecordedAltitude) -> str:
    """Return how far what else was recorded lies from the altitudes that are used."""
    others = dict(track.other_altitudes)
    if track.altitude_m is not None and track.altitude_kind is not None:
        others[track.altitude_kind] = track.altitude_m
    told = []
    for other, values in others.items():
        off = values[there] - altitude
        if other == kind or not np.any(np.isfinite(off)):
            continue
        middle_ft = float(np.nanmedian(off)) / METRES_PER_FOOT
        side = "above" if middle_ft >= 0.0 else "below"
        told.append(f"the recorded {_KIND_WORDS[other]} lie {abs(middle_ft):.0f} ft {side} them")
    return f" In the middle {' and '.join(told)}." if told else ""


_KIND_WORDS: dict[RecordedAltitude, str] = {
    "indicated": "altitudes of the altimeter",
    "pressure": "pressure altitudes",
    "geometric": "geometric heights",
    "ellipsoidal": "heights above the ellipsoid",
    "unstated": "altitudes of a datum that is not stated",
}


def _from_pressure(
    recorded: FloatArray, settings_hpa: FloatArray | None, options: Options
) -> tuple[FloatArray, FloatArray, str, str]:
    if settings_hpa is not None:
        altitude = np.asarray(recorded - pressure_altitude_m(settings_hpa * PASCALS_PER_HPA))
        low, high = float(np.min(settings_hpa)), float(np.max(settings_hpa))
        told = f"{low:.1f} hPa" if high - low < 0.05 else f"{low:.1f} to {high:.1f} hPa"
        source = "" if options.altimeter_setting_hpa is not None else ", as recorded"
        note = f"Pressure altitudes were corrected for an altimeter setting of {told}{source}."
        return altitude, np.full_like(altitude, ALTIMETER_SIGMA_M), "pressure, corrected for the setting", note
    per_hpa_m = pressure_altitude_m((1013.25 - 0.5) * PASCALS_PER_HPA) - pressure_altitude_m(
        (1013.25 + 0.5) * PASCALS_PER_HPA
    )
    sigma_m = float(np.hypot(ALTIMETER_SIGMA_M, per_hpa_m * UNKNOWN_SETTING_SIGMA_HPA))
    note = (
        "The track holds pressure altitudes (1013.25 hPa set) and no altimeter setting was given: each hPa moves them "
        f"by {_feet(per_hpa_m)} ft, so they are in doubt by {_feet(sigma_m)} ft (1 sigma, for a setting within "
        f"{UNKNOWN_SETTING_SIGMA_HPA:.0f} hPa of standard). Enter the altimeter setting (--altimeter-setting) to "
        "settle it."
    )
    return recorded, np.full_like(recorded, sigma_m), "pressure, setting unknown", note


def _from_geometric(
    recorded: FloatArray, recorded_kind: RecordedAltitude, procedure: Procedure, options: Options
) -> tuple[FloatArray, FloatArray, str, str]:
    ground, ground_name = _ground(procedure, options)
    heights = recorded_kind != "unstated"
    if heights and options.temperature_k is not None and options.station_elevation_m is not None:
        altitude = np.asarray(
            indicated_from_geometric_m(recorded, options.temperature_k, options.station_elevation_m), dtype=float
        )
        # above the tropopause no reversal is flown; a wild recorded height keeps its value and its large doubt
        altitude = np.where(np.isfinite(altitude), altitude, recorded)
        share, kind = GEOMETRIC_SHARE_WITH_TEMPERATURE, "geometric, corrected for temperature"
        note = (
            "Geometric heights were turned into altimeter altitudes with "
            f"{options.temperature_k - KELVIN_AT_0_C:.0f} °C at {_feet(options.station_elevation_m)} ft."
        )
    else:
        altitude, share, kind = recorded, GEOMETRIC_SHARE, "geometric"
        note = (
            "The track holds geometric heights, which differ from the altimeter by about 4 % of the height above the "
            "station for each 10 °C off standard. Enter the temperature and the elevation it was measured at "
            "(--temperature-c, --station-elevation-ft) to narrow the doubt."
        )
    if not heights:
        kind = "of a datum that is not stated"
        note = (
            "The name of the altitude column does not say above what the altitudes are; they are taken with the doubt "
            "of geometric heights. If the altimeter showed them, say so with --columns altitude_ft=NAME."
        )
    sigma = GEOMETRIC_SIGMA_M + share * np.abs(altitude - ground)
    if recorded_kind == "ellipsoidal":
        sigma = np.hypot(sigma, GEOID_SIGMA_M)
        note += (
            " They are counted from the ellipsoid, which lies up to 350 ft from mean sea level: that is not corrected, "
            f"and widens the doubt by {_feet(GEOID_SIGMA_M)} ft."
        )
    note += (
        f" Doubt (1 sigma): {_feet(GEOMETRIC_SIGMA_M)} ft and {100.0 * share:g} % of the height above {ground_name}."
    )
    return altitude, sigma, kind, note


def _ground(procedure: Procedure, options: Options) -> tuple[float, str]:
    """Return the elevation that heights are counted from: the fix, else a station or threshold, else the sea."""
    if procedure.fix.elevation_m is not None:
        return procedure.fix.elevation_m, "the fix"
    if options.station_elevation_m is not None:
        return options.station_elevation_m, "the station, as the fix's elevation is not given"
    if procedure.runway is not None and procedure.runway.elevation_m is not None:
        return procedure.runway.elevation_m, "the runway, as the fix's elevation is not given"
    return 0.0, "the sea, as the fix's elevation is not given"


def _feet(metres: float) -> str:
    return f"{metres / METRES_PER_FOOT:.0f}"
