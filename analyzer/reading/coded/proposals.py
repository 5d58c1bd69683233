"""Which coded reversals a track may have flown: those whose fix it passed and whose inbound course it flew there."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from analyzer.given import Frame, Track
from analyzer.reading.coded.stored_index import open_coded_file
from analyzer.units import METRES_PER_NM, difference_deg, runs, wrap_180

#: a pass of a fix is within 1 NM of it, of a hold's within 2 NM
_PASS_M = {"PI": METRES_PER_NM, "HF": 2.0 * METRES_PER_NM, "HA": 2.0 * METRES_PER_NM, "HM": 2.0 * METRES_PER_NM}
#: the ground track over the fix differs from the course by drift that is not corrected yet and by tracking: own choice
_COURSE_TOLERANCE_DEG = 20.0
#: shorter and the passes would be one
_LEAST_BETWEEN_PASSES_S = 60.0
#: half width of the box in which fixes are looked at, degrees of latitude: more than any pass distance
_BOX_DEG = 0.05


@dataclass(frozen=True)
class Proposal:
    """A coded reversal that a track may have flown.

    Parameters
    ----------
    airport, approach, transition, path : str
        As `CodedReversal` has them.
    inbound_passes, outbound_passes : int
        Passes of the fix on the inbound course, and the other ones.
    course_error_deg, distance_nm : float
        Of the best inbound pass: ground track less inbound course, distance from the fix.
    score : float
        The higher the better; it orders proposals of one track and means nothing else.
    evidence : str
        One sentence.
    """

    airport: str
    approach: str
    transition: str
    path: str
    inbound_passes: int
    outbound_passes: int
    course_error_deg: float
    distance_nm: float
    score: float
    evidence: str


def proposals(path: str | Path, track: Track, most: int = 10) -> tuple[Proposal, ...]:
    """Return the coded reversals that fit a track, best first.

    A reversal fits where its fix was passed at least twice, a minute or more apart, and once on the inbound course.
    Several approaches share one fix and course: they are as good as each other, and the user knows which was flown.

    Parameters
    ----------
    path : str or Path
        Coded file.
    track : Track
    most : int
        Longest list.

    Raises
    ------
    CodedProcedureError
        Where the file can't be read.
    """
    file = open_coded_file(path)
    if len(track) < 2 or not file.reversals:
        return ()
    latitude = np.array([row[4] for row in file.reversals])
    longitude = np.array([row[5] for row in file.reversals])
    # longitudes relative to the track's first point, so that the date line is not an edge
    start = float(track.longitude_deg[0])
    near_east = wrap_180(np.asarray(track.longitude_deg) - start)
    east = wrap_180(longitude - start)
    widest = _BOX_DEG / max(0.05, float(np.cos(np.radians(np.max(np.abs(track.latitude_deg))))))
    inside = (
        (latitude >= np.min(track.latitude_deg) - _BOX_DEG)
        & (latitude <= np.max(track.latitude_deg) + _BOX_DEG)
        & (east >= np.min(near_east) - widest)
        & (east <= np.max(near_east) + widest)
    )
    found = []
    passes: dict[tuple[float, float, float], list[tuple[float, float, float]]] = {}
    for number in np.flatnonzero(inside):
        row = file.reversals[int(number)]
        place = (float(row[4]), float(row[5]), _PASS_M[str(row[3])])
        if place not in passes:
            passes[place] = _passes(track, *place)
        proposal = _proposal(row, passes[place])
        if proposal is not None:
            found.append(proposal)
    found.sort(key=lambda proposal: (-proposal.score, proposal.airport, proposal.approach, proposal.transition))
    return tuple(found[:most])


def _passes(
    track: Track, latitude_deg: float, longitude_deg: float, radius_m: float
) -> list[tuple[float, float, float]]:
    """Return moment, distance and ground track (true) of the nearest point of each stretch within the radius."""
    frame = Frame(latitude_deg, longitude_deg, 0.0)
    east, north = frame.east_north_m(track.latitude_deg, track.longitude_deg)
    step_east, step_north = np.diff(east), np.diff(north)
    length2 = step_east**2 + step_north**2
    with np.errstate(invalid="ignore", divide="ignore"):
        part = np.where(length2 > 0.0, -(east[:-1] * step_east + north[:-1] * step_north) / length2, 0.0)
    part = np.clip(part, 0.0, 1.0)
    # the nearest point of each straight piece: a fast aircraft flies 1 NM between two points of a sparse track
    distance = np.hypot(east[:-1] + part * step_east, north[:-1] + part * step_north)
    moment = track.time_s[:-1] + part * np.diff(track.time_s)
    direction = np.degrees(np.arctan2(step_east, step_north)) % 360.0
    found: list[tuple[float, float, float]] = []
    for first, after in runs(distance <= radius_m):
        best = first + int(np.argmin(distance[first:after]))
        found.append((float(moment[best]), float(distance[best]), float(direction[best])))
    return found


def _proposal(row: list[object], passes: list[tuple[float, float, float]]) -> Proposal | None:
    airport, approach, transition, path, _, _, inbound = row
    if len(passes) < 2 or passes[-1][0] - passes[0][0] < _LEAST_BETWEEN_PASSES_S:
        return None
    course = float(inbound)  # type: ignore[arg-type]
    errors = [float(difference_deg(course, direction)) for _, _, direction in passes]
    # the first pass is where the reversal starts: it can't be the one that ends it
    ending = [number for number in range(1, len(passes)) if abs(errors[number]) <= _COURSE_TOLERANCE_DEG]
    if not ending:
        return None
    best = min(
        ending, key=lambda number: abs(errors[number]) / _COURSE_TOLERANCE_DEG + passes[number][1] / METRES_PER_NM
    )
    error, distance_nm = errors[best], passes[best][1] / METRES_PER_NM
    score = 2.0 - abs(error) / _COURSE_TOLERANCE_DEG - distance_nm + (0.5 if path in ("PI", "HF") else 0.0)
    evidence = (
        f"passed the fix {len(passes)} times, {len(ending)} of them on the inbound course {course:.0f} true, "
        f"the best one {distance_nm:.2f} NM from the fix and {abs(error):.0f} degrees off"
    )
    return Proposal(
        str(airport),
        str(approach),
        str(transition),
        str(path),
        len(ending),
        len(passes) - len(ending),
        error,
        distance_nm,
        score,
        evidence,
    )
