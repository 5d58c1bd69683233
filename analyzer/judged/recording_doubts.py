"""Where recording and procedure meet: a place, a sign or a unit in which the two can't be of one flight."""

from dataclasses import replace

import numpy as np

from analyzer.flown import chosen_altitude
from analyzer.given import (
    Options,
    Place,
    Procedure,
    QualityNote,
    RecordedAltitude,
    Track,
    course_and_distance,
    frame_of,
)
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, FloatArray

#: farther from the fix than this all the time, a recording is of another place (own choice: no approach starts there)
ANOTHER_PLACE_M = 100.0 * METRES_PER_NM
#: and a sign put right has to bring it as near as this
AT_THE_FIX_M = 10.0 * METRES_PER_NM
#: rows nearer to the fix than this are what the limits speak of
NEAR_M = 8.0 * METRES_PER_NM
FEWEST_ROWS = 10
# How far the middle altitude has to be off before units are asked about (own choice): an aircraft is never so far
# under the ground, and nobody practises at a limit from so far above it without meaning to.
UNDER_GROUND_M = 200.0 * METRES_PER_FOOT
GOES_DOWN_M = 500.0 * METRES_PER_FOOT
SHARE_UNDER_GROUND = 0.03
BELOW_LIMITS_M = 1_000.0 * METRES_PER_FOOT
ABOVE_LIMITS_M = 3_000.0 * METRES_PER_FOOT
# Within this of the limits another unit fits.
FITS_BELOW_M, FITS_ABOVE_M = 500.0 * METRES_PER_FOOT, 2_000.0 * METRES_PER_FOOT
_UNITS = (
    ("metres", "altitude_m", 1.0 / METRES_PER_FOOT),
    ("feet", "altitude_ft", METRES_PER_FOOT),
    ("hundreds of feet", "flight_level", 100.0),
)


def met(track: Track, procedure: Procedure, options: Options) -> Track:
    """Return the track as it fits the procedure: what is plainly repairable repaired, the rest noted.

    Parameters
    ----------
    track : Track
    procedure : Procedure
    options : Options
        Which altitude is used depends on them.

    Returns
    -------
    Track
        With notes for the first screen, and what must not be judged.
    """
    if not _fix_is_in_doubt(procedure):
        track = _at_the_right_place(track, procedure.fix)
    return _in_the_right_unit(track, procedure, options)


def _fix_is_in_doubt(procedure: Procedure) -> bool:
    """Whether runway or station lie far from the fix: then a sign of the file is wrong, not one of the recording."""
    fix = procedure.fix
    others = (place for place in (procedure.runway, procedure.guidance.station) if place is not None)
    return any(
        float(_distances_m(np.array([place.latitude_deg]), np.array([place.longitude_deg]), fix)[0]) > ANOTHER_PLACE_M
        for place in others
    )


def _with(track: Track, note: QualityNote) -> Track:
    return replace(track, quality=(*track.quality, note))


def _distances_m(latitude_deg: FloatArray, longitude_deg: FloatArray, fix: Place) -> FloatArray:
    latitude, longitude = np.full_like(latitude_deg, fix.latitude_deg), np.full_like(latitude_deg, fix.longitude_deg)
    return np.asarray(course_and_distance(latitude_deg, longitude_deg, latitude, longitude)[1], dtype=np.float64)


def _at_the_right_place(track: Track, fix: Place) -> Track:
    step = max(1, len(track) // 2000)
    latitude, longitude = track.latitude_deg[::step], track.longitude_deg[::step]
    nearest_m = float(np.min(_distances_m(latitude, longitude, fix)))
    if nearest_m < ANOTHER_PLACE_M:
        return track
    name = fix.ident or "the fix"
    for words, north, east in (("longitudes", 1.0, -1.0), ("latitudes", -1.0, 1.0), ("positions", -1.0, -1.0)):
        if float(np.min(_distances_m(north * latitude, east * longitude, fix))) < AT_THE_FIX_M:
            text = (
                f"The recording's {words} have the other sign than the procedure's: as written the flight comes no "
                f"nearer to {name} than {nearest_m / METRES_PER_NM:,.0f} NM, with the sign turned it passes there, and "
                "was read so. West longitudes and south latitudes are negative."
            )
            note = QualityNote("sign_of_positions", text, on_first_screen=True)
            turned = replace(track, latitude_deg=north * track.latitude_deg, longitude_deg=east * track.longitude_deg)
            return _with(turned, note)
    text = (
        f"The whole recording lies far from the procedure: it comes no nearer to {name} than "
        f"{nearest_m / METRES_PER_NM:,.0f} NM. Is it of another place, or is a position or a sign mistyped in the "
        "procedure file?"
    )
    return _with(track, QualityNote("far_from_fix", text, on_first_screen=True))


def _in_the_right_unit(track: Track, procedure: Procedure, options: Options) -> Track:
    found = chosen_altitude(track, options)
    if found is None or _decided(track):
        return track
    kind, altitude = found
    # in the plane about the fix, where distances from it are exact, and ten times as fast as lines on the ellipsoid
    near = np.hypot(*frame_of(procedure).east_north_m(track.latitude_deg, track.longitude_deg)) < NEAR_M
    near &= np.isfinite(altitude)
    if np.count_nonzero(near) < FEWEST_ROWS:
        return track
    if not np.ptp(altitude[near]) and _goes_down(procedure):
        text = (
            f"The altitudes never change: {_feet(float(altitude[near][0]))} all the way through a procedure that goes "
            "down. Was the altimeter recorded? Altitudes are not assessed."
        )
        return _with(track, QualityNote("altitude_frozen", text, not_judged=("altitudes",)))
    middle_m = float(np.median(altitude[near]))
    why = _off(middle_m, procedure)
    low = altitude[near] < _lowest_ground_m(procedure) - UNDER_GROUND_M
    if why is None and np.count_nonzero(low) >= max(FEWEST_ROWS, SHARE_UNDER_GROUND * np.count_nonzero(near)):
        return _with(track, _under_ground(float(np.min(altitude[near])), middle_m, procedure))
    if why is None:
        return track
    fitting = [unit for unit in _UNITS if _fits(middle_m * unit[2], procedure)]
    if len(fitting) == 1 and kind in track.open_altitude_units:
        words, _, factor = fitting[0]
        text = (
            f"The altitudes name no unit: as feet they would be {why}, as {words} they fit, and were read so: "
            f"{_feet(middle_m * factor)} in the middle."
        )
        note = QualityNote("altitude_unit_found", text, on_first_screen=True)
        return _with(_scaled(track, kind, factor), note)
    return _with(track, _altitude_note(middle_m, why, fitting[:1], procedure))


def _under_ground(lowest_m: float, middle_m: float, procedure: Procedure) -> QualityNote:
    """Return the note on altitudes of which a part lies under the ground although the middle fits."""
    ground_m = _lowest_ground_m(procedure)
    raised = _fits(middle_m + ground_m, procedure)
    guess = " They look like heights above the ground." if raised else ""
    text = (
        f"The altitudes can't be right: near the fix they go down to {_feet(lowest_m)}, below the ground at "
        f"{_feet(ground_m)}.{guess} Altitudes are not assessed; look at the recording's altitude column and at the "
        "elevations of the procedure file."
    )
    return QualityNote("altitude_below_ground", text, not_judged=("altitudes",))


def _altitude_note(
    middle_m: float, why: str, fitting: list[tuple[str, str, float]], procedure: Procedure
) -> QualityNote:
    """Return the note on altitudes that fit neither ground nor limits, with the unit in which they would."""
    middle = f"{_feet(middle_m)} in the middle near the fix, {why}"
    for words, name, factor in fitting:
        text = (
            f"The altitudes can't be right: {middle}. As {words} they would be {_feet(middle_m * factor)}, which fits. "
            f"If that is their unit, say so with --columns {name}=NAME; if not, look at the altitudes and elevations "
            "of the procedure file. Altitudes are not assessed."
        )
        return QualityNote("altitude_unit_doubtful", text, not_judged=("altitudes",))
    if middle_m < _lowest_ground_m(procedure):
        text = (
            f"The altitudes can't be right: {middle}. No other unit fits either. Altitudes are not assessed; look at "
            "the recording's altitude column and the procedure's elevations."
        )
        return QualityNote("altitude_below_ground", text, not_judged=("altitudes",))
    return QualityNote("altitude_far_off", f"The altitudes are far from all limits: {middle}.", on_first_screen=True)


def _decided(track: Track) -> bool:
    """Return whether an earlier check has settled the unit, or refused the altitudes."""
    return any(note.code == "altitude_unit_found" or "altitudes" in note.not_judged for note in track.quality)


def _scaled(track: Track, kind: RecordedAltitude, factor: float) -> Track:
    if kind == track.altitude_kind and track.altitude_m is not None:
        return replace(track, altitude_m=track.altitude_m * factor)
    others = {other: values * (factor if other == kind else 1.0) for other, values in track.other_altitudes.items()}
    return replace(track, other_altitudes=others)


def _lowest_ground_m(procedure: Procedure) -> float:
    places = (procedure.fix, procedure.runway, procedure.guidance.station)
    known = [place.elevation_m for place in places if place is not None and place.elevation_m is not None]
    return min(known, default=-np.inf)


def _limits_m(procedure: Procedure) -> tuple[float, float] | None:
    """Return the lowest and the highest altitude that the procedure names, None where it names none."""
    named = [bound for limit in procedure.altitudes for bound in (limit.low_m, limit.high_m) if bound is not None]
    return (min(named), max(named)) if named else None


def _goes_down(procedure: Procedure) -> bool:
    """Return whether the limits lie at heights that can't all be flown at one altitude without a thought."""
    limits = _limits_m(procedure)
    return limits is not None and not procedure.is_hold and limits[1] - limits[0] > GOES_DOWN_M


def _off(middle_m: float, procedure: Procedure) -> str | None:
    """Return how the middle altitude is off ground and limits, None where it is not."""
    ground_m = _lowest_ground_m(procedure)
    if middle_m < ground_m - UNDER_GROUND_M:
        return f"below the ground at {_feet(ground_m)}"
    limits = _limits_m(procedure)
    if limits is None:
        return None
    low_m, high_m = limits
    if middle_m < low_m - BELOW_LIMITS_M:
        return f"{_feet(low_m - middle_m)} below every limit"
    if middle_m > high_m + ABOVE_LIMITS_M:
        return f"{_feet(middle_m - high_m)} above every limit"
    return None


def _fits(altitude_m: float, procedure: Procedure) -> bool:
    limits = _limits_m(procedure)
    if limits is None:
        ground_m = _lowest_ground_m(procedure)
        return bool(ground_m < altitude_m < ground_m + 15_000.0 * METRES_PER_FOOT)
    low_m, high_m = limits
    lowest_m = max(low_m - FITS_BELOW_M, _lowest_ground_m(procedure))
    return bool(lowest_m <= altitude_m <= high_m + FITS_ABOVE_M)


def _feet(metres: float) -> str:
    return f"{metres / METRES_PER_FOOT:,.0f} ft"
