"""A flight without names, dates and absolute position: the same flight about a fix at latitude 0, longitude 0."""

import re
from collections.abc import Callable, Sequence
from dataclasses import replace

from analyzer.given import Frame, Place, Procedure, StepFix, Track, frame_of

#: dates and clock times in notes that readers wrote
_MOMENT = re.compile(r"\d{4}-\d{2}-\d{2}(?:[T ]\d{2}:\d{2}(?::\d{2}(?:\.\d+)?)?(?:Z|[+-]\d{2}:?\d{2})?)?")
NO_PLACE_LATITUDE_DEG = 0.0
NO_PLACE_LONGITUDE_DEG = 0.0


def without_identity(track: Track, procedures: Sequence[Procedure]) -> tuple[Track, tuple[Procedure, ...]]:
    """Return track and procedures moved to latitude 0, longitude 0, without names and dates.

    The move keeps every distance and bearing from the first procedure's fix, and with them everything that is measured.
    Courses, altitudes, elevations and the variation stay as they are: they are what is debriefed; who knows where
    several fixes lie to each other may know the place by that. The track's fingerprint stays too, so that a report
    still is replaced by the same track's only; it tells the file to nobody who doesn't have it.

    Parameters
    ----------
    track : Track
    procedures : sequence of Procedure
        With their variation known; a variation from the model at the track's date has been looked up before.
    """
    here = frame_of(procedures[0])
    nowhere = Frame(NO_PLACE_LATITUDE_DEG, NO_PLACE_LONGITUDE_DEG, here.inbound_true_deg)
    latitude_deg, longitude_deg = nowhere.latitude_longitude_deg(
        *here.east_north_m(track.latitude_deg, track.longitude_deg)
    )
    moved_track = replace(
        track,
        name="flight",
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        start=None,
        quality=tuple(replace(note, text=_without_identity(note.text, track.name)) for note in track.quality),
    )

    def moved(place: Place, ident: str | None) -> Place:
        latitude, longitude = nowhere.latitude_longitude_deg(
            *here.east_north_m(place.latitude_deg, place.longitude_deg)
        )
        return Place(float(latitude), float(longitude), ident, place.elevation_m)

    if len(procedures) == 1:
        fix = Place(NO_PLACE_LATITUDE_DEG, NO_PLACE_LONGITUDE_DEG, "FIX", procedures[0].fix.elevation_m)
        return moved_track, (_moved(procedures[0], f"A {procedures[0].reversal}", fix, moved),)
    return moved_track, tuple(
        _moved(one, f"Procedure {number}, a {one.reversal}", moved(one.fix, f"FIX{number}"), moved)
        for number, one in enumerate(procedures, 1)
    )


def _moved(procedure: Procedure, title: str, fix: Place, moved: Callable[[Place, str | None], Place]) -> Procedure:
    """Return a procedure by another title, with its fix and all its places moved and unnamed."""

    def unnamed(place: Place) -> Place:
        return moved(place, None)

    limit, arc = procedure.outbound_limit, procedure.arc
    station = procedure.guidance.station
    at_the_fix = (station.latitude_deg, station.longitude_deg) == (
        procedure.fix.latitude_deg,
        procedure.fix.longitude_deg,
    )
    return replace(
        procedure,
        title=title,
        fix=fix,
        guidance=replace(procedure.guidance, station=fix if at_the_fix else moved(station, "STN")),
        runway=None if procedure.runway is None else moved(procedure.runway, "RWY"),
        outbound_limit=None if limit is None else replace(limit, station=unnamed(limit.station)),
        steps=tuple(replace(step, origin=_origin(step, procedure, fix, moved), ident=None) for step in procedure.steps),
        final_fix=None if procedure.final_fix is None else unnamed(procedure.final_fix),
        arc=None if arc is None else replace(arc, station=unnamed(arc.station)),
        source=None,
        notes=(),  # they name fixes and the day of the flight
        doubts=tuple(replace(doubt, text=_without_identity(doubt.text, "")) for doubt in procedure.doubts),
    )


def _origin(step: StepFix, procedure: Procedure, fix: Place, moved: Callable[[Place, str | None], Place]) -> Place:
    """Return where a step-down fix is counted from; from the fix it stays counted from the fix."""
    return fix if step.origin == procedure.fix else moved(step.origin, None)


def _without_identity(text: str, name: str) -> str:
    """Return a note without dates and without the track's name."""
    text = _MOMENT.sub("(date left out)", text)
    return text.replace(name, "the track") if len(name) > 2 else text
