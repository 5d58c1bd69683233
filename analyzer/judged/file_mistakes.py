"""Whether the flight fits the procedure file with one usual mistake undone: then the file is to be checked first.

A pilot who flies something else than the chart asks, and a file that says something else than the chart, look alike
from the track. Where the flight fits badly, and fits a file with one value put right that people mistype to the last
condition (turned on the right side, established, steady on the course), the question is worth the first line. It stays
a question: what is judged is the file as it stands.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from analyzer.flown import Attempt, Flight, Motion, read_flight
from analyzer.given import Place, Procedure, QualityNote
from analyzer.planned import plan_of
from analyzer.standards import declination
from analyzer.units import METRES_PER_NM, difference_deg, wrap_360

CODE = "procedure-mistaken"
# All own choices. A pilot holds a course within 2 degrees on average over a minute; one that misses by 3 is another.
_STEADY_FOR_S = 50.0
_FITS_WITHIN_DEG = 2.0
_FITS_NOT_FROM_DEG = 3.0
_STRAIGHT_WITHIN_DEG = 8.0
#: from the fix on inwards the needle swings, and the course over the ground is hardly held
_LEAVE_OUT_M = 0.4 * METRES_PER_NM
_WITHIN_M = 8.0 * METRES_PER_NM
_NEAR_M = 1.0 * METRES_PER_NM
_LEAST_VARIATION_DEG = 3.0
_FITS_AT = "The flight fits the file with the fix at"


@dataclass(frozen=True)
class _Variant:
    """The procedure with one mistake undone, and the question that is worth asking where the flight fits it."""

    procedure: Procedure
    question: str


def file_mistake(flight: Flight, procedure: Procedure) -> QualityNote | None:
    """Return the question whether the procedure file holds a usual mistake; None where the flight fits it, or nothing.

    Parameters
    ----------
    flight : Flight
        As read against the procedure.
    procedure : Procedure
    """
    if _fits(flight):
        return None
    for variant in _variants(flight, procedure):
        plan = plan_of(variant.procedure)
        again = read_flight(flight.track, plan, flight.altitude, flight.wind)
        if _fits(again) and not _is_as_good(flight, again):
            return QualityNote(CODE, variant.question, on_first_screen=True)
    return None


def _fits(flight: Flight) -> bool:
    """Whether a reversal was flown on its side to the end, and the inbound course held steadily."""
    return any(_miss_deg(flight.motion, attempt) <= _FITS_WITHIN_DEG for attempt in _whole(flight))


def _whole(flight: Flight) -> list[Attempt]:
    return [
        attempt
        for attempt in flight.attempts
        if attempt.complete and not attempt.wrong_side and attempt.flown_as != "other" and _is_established(attempt)
    ]


def _is_established(attempt: Attempt) -> bool:
    return bool(attempt.established_s) and attempt.established_s[-1] is not None


def _is_as_good(flight: Flight, again: Flight) -> bool:
    """Whether the file as it stands is missed by no more than what pilots miss a course by, or the change is small."""
    before = min((_miss_deg(flight.motion, attempt) for attempt in _whole(flight)), default=180.0)
    after = min(_miss_deg(again.motion, attempt) for attempt in _whole(again))
    return before < _FITS_NOT_FROM_DEG or before < 2.0 * after


def _miss_deg(motion: Motion, attempt: Attempt) -> float:
    """Return by how much the ground track of the last stretch to the fix misses the inbound course, degrees."""
    passage_s = attempt.last_inbound_passage_s
    held = None if passage_s is None else _held(motion, passage_s)
    return 180.0 if held is None else abs(held)


def _held(motion: Motion, passage_s: float) -> float | None:
    """Return the steady track before a passage of the fix less the inbound course, degrees; None for none."""
    before = np.flatnonzero(
        (motion.time_s < passage_s) & (motion.distance_m > _LEAVE_OUT_M) & (motion.distance_m < _WITHIN_M)
    )
    if len(before) < 3:
        return None
    course = motion.track_relative_deg
    last = int(before[-1])
    turned = np.flatnonzero(np.abs(difference_deg(course[last], course[: last + 1])) > _STRAIGHT_WITHIN_DEG)
    first = int(turned[-1]) + 1 if len(turned) else 0
    rows = before[before >= first]
    if len(rows) < 3 or float(motion.time_s[rows[-1]] - motion.time_s[rows[0]]) < _STEADY_FOR_S:
        return None
    along, cross = motion.along_m[rows], motion.cross_m[rows]
    east, north = float(along[-1] - along[0]), float(cross[-1] - cross[0])
    return float(np.degrees(np.arctan2(north, -east)))


def _variants(flight: Flight, procedure: Procedure) -> Iterator[_Variant]:
    yield from _other_places(flight, procedure)
    if float(np.min(flight.motion.distance_m)) > _NEAR_M:
        return
    yield from _other_courses(flight, procedure)
    if procedure.reversal != "teardrop" and any(attempt.wrong_side for attempt in flight.attempts):
        other = "left" if procedure.turn_side == "right" else "right"
        sides = "turns" if procedure.is_hold else "of the outbound course"
        yield _Variant(
            _on_the_other_side(procedure),
            f"The flight turned on the other side and fits the file in all else: does the chart draw {other} "
            f'{sides}, and is course.turn_side = "{procedure.turn_side}" typed by mistake?',
        )


def _other_courses(flight: Flight, procedure: Procedure) -> Iterator[_Variant]:
    """Give the procedures whose inbound course is one that the flight held to the fix."""
    typed, variation = procedure.inbound_magnetic_deg, procedure.variation_deg
    tracks = _tracks_to_the_fix(flight)

    def is_held(shift_deg: float) -> float | None:
        """Return the true track that was held on the course moved by so many degrees, None where none was."""
        near = [held for held in tracks if abs(float(difference_deg(shift_deg, held))) <= _FITS_WITHIN_DEG]
        return float(wrap_360(procedure.inbound_true_deg + near[0])) if near else None

    if procedure.variation_source == "file" and abs(variation) >= _LEAST_VARIATION_DEG:
        held = is_held(-variation)
        if held is not None:
            yield _Variant(
                _turned(procedure, -variation),
                f"The flight held {held:03.0f}° true all the way in: that is your {typed:03.0f}° without the "
                f"variation. Is {typed:03.0f} a true course?",
            )
        held = is_held(-2.0 * variation)
        if held is not None:
            yield _Variant(
                _turned(procedure, -2.0 * variation),
                f"The flight held {held:03.0f}° true all the way in: that is your {typed:03.0f}° with a variation of "
                f"{_east_west(-variation)}. Is the sign of course.variation_deg right?",
            )
    model = _model_variation(flight, procedure)
    if model is not None and abs(float(difference_deg(variation, model))) >= _LEAST_VARIATION_DEG:
        shift = float(difference_deg(variation, model))
        held = is_held(shift)
        if held is not None:
            yield _Variant(
                _turned(procedure, shift),
                f"The flight held {held:03.0f}° true all the way in: that is your {typed:03.0f}° with the magnetic "
                f"model's variation, {_east_west(model)}. Is course.variation_deg = {variation:g} right?",
            )
    if any(abs(float(difference_deg(180.0, held))) <= _STRAIGHT_WITHIN_DEG for held in tracks):
        other = float(wrap_360(typed + 180.0))
        yield _Variant(
            _turned(procedure, 180.0),
            f"The flight came in on {other:03.0f}°, steadily, and out on your {typed:03.0f}°: is "
            "course.inbound_deg the outbound course?",
        )


def _tracks_to_the_fix(flight: Flight) -> list[float]:
    """Return the steady tracks flown to the fix, less the inbound course, degrees, in order of time."""
    motion = flight.motion
    near = motion.distance_m < _NEAR_M
    edges = np.flatnonzero(np.diff(np.concatenate(([False], near, [False])).astype(int)))
    found: list[float] = []
    for first, end in edges.reshape(-1, 2):
        closest = first + int(np.argmin(motion.distance_m[first:end]))
        held = _held(motion, float(motion.time_s[closest]))
        if held is not None:
            found.append(held)
    return found


def _model_variation(flight: Flight, procedure: Procedure) -> float | None:
    start, fix = flight.track.start, procedure.fix
    if start is None or procedure.variation_source == "WMM":
        return None
    try:
        return declination(fix.latitude_deg, fix.longitude_deg, fix.elevation_m or 0.0, start).degrees
    except ValueError:
        return None


def _other_places(flight: Flight, procedure: Procedure) -> Iterator[_Variant]:
    """Give the procedures with the fix where a usual mistake would have moved it from, if the flight passes there."""
    track = flight.track
    for place, question in _places(procedure):
        moved = _with_fix(procedure, place)
        plane = plan_of(moved).frame
        east, north = plane.east_north_m(track.latitude_deg, track.longitude_deg)
        nearest = float(np.nanmin(np.hypot(east, north)))
        if np.isfinite(nearest) and nearest <= _NEAR_M:
            yield _Variant(moved, question)


def _places(procedure: Procedure) -> Iterator[tuple[Place, str]]:
    fix = procedure.fix
    latitude, longitude = fix.latitude_deg, fix.longitude_deg
    typed = f"fix.latitude = {latitude:g} and fix.longitude = {longitude:g}"
    north, east = _minutes_as_decimals(latitude), _minutes_as_decimals(longitude)
    if north is not None and east is not None and (north, east) != (latitude, longitude):
        moved = replace(fix, latitude_deg=north, longitude_deg=east)
        yield moved, f"{_FITS_AT} {_printed(moved)}: are the minutes of {typed} typed as decimals?"
    for north, east in ((latitude, -longitude), (-latitude, longitude), (-latitude, -longitude)):
        moved = replace(fix, latitude_deg=north, longitude_deg=east)
        yield moved, f"{_FITS_AT} {_printed(moved)}: are the signs of {typed} right? South and west are negative."
    if abs(longitude) <= 90.0:
        moved = replace(fix, latitude_deg=longitude, longitude_deg=latitude)
        yield moved, f"The flight fits the file with latitude and longitude of the fix changed over: is {typed} right?"
    others = (
        ("the station under [guidance]", procedure.guidance.station),
        ("[final_fix]", procedure.final_fix),
        ("[runway]", procedure.runway),
    )
    for name, place in others:
        if place is not None and (place.latitude_deg, place.longitude_deg) != (latitude, longitude):
            moved = replace(fix, latitude_deg=place.latitude_deg, longitude_deg=place.longitude_deg)
            yield moved, f"{_FITS_AT} the position of {name}: is {typed} of another line?"


def _minutes_as_decimals(degrees: float) -> float | None:
    """Return 46.2 for 46.12, which may be 46 degrees and 12 minutes; None where the decimals can't be minutes."""
    whole, part = divmod(abs(degrees), 1.0)
    minutes = round(part * 100.0, 4)
    return float(np.copysign(whole + minutes / 60.0, degrees)) if minutes < 60.0 else None


def _printed(place: Place) -> str:
    parts = []
    for degrees, letters in ((place.latitude_deg, "NS"), (place.longitude_deg, "EW")):
        minutes = round(abs(degrees) * 600.0)
        parts.append(f"{letters[degrees < 0.0]}{minutes // 600:02d} {minutes % 600 / 10:04.1f}")
    return " ".join(parts)


def _with_fix(procedure: Procedure, fix: Place) -> Procedure:
    """Return the procedure about another fix; a station at the old one goes along."""
    guidance = procedure.guidance
    if guidance.station == procedure.fix:
        guidance = replace(guidance, station=fix)
    return replace(procedure, fix=fix, guidance=guidance)


def _turned(procedure: Procedure, shift_deg: float) -> Procedure:
    """Return the procedure with all its courses moved by so many degrees."""
    guidance = procedure.guidance
    if (
        guidance.station != procedure.fix
    ):  # a station elsewhere gives the course its direction: it is left out of account
        guidance = replace(guidance, station=procedure.fix)
    return replace(
        procedure,
        guidance=guidance,
        inbound_true_deg=float(wrap_360(procedure.inbound_true_deg + shift_deg)),
        outbound_true_deg=float(wrap_360(procedure.outbound_true_deg + shift_deg)),
        offset_true_deg=float(wrap_360(procedure.offset_true_deg + shift_deg)),
    )


def _on_the_other_side(procedure: Procedure) -> Procedure:
    aside = float(difference_deg(procedure.outbound_true_deg, procedure.offset_true_deg))
    return replace(
        procedure,
        turn_side="left" if procedure.turn_side == "right" else "right",
        offset_true_deg=float(wrap_360(procedure.outbound_true_deg - aside)),
    )


def _east_west(variation_deg: float) -> str:
    return f"{abs(variation_deg):.1f}° {'E' if variation_deg >= 0 else 'W'}"
