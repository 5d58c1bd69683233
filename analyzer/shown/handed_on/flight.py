"""The flight as GeoJSON (RFC 7946): areas, fix, track by phase with its heights, the places of the findings."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from analyzer.judged import AssessedAttempt, Assessment, Lesson
from analyzer.shown.report.view.findings import finding_views
from analyzer.shown.result.geojson import (
    Feature,
    Heights,
    feature_collection,
    flown_features,
    place_features,
    point_feature,
    protection_features,
    track_feature,
)
from analyzer.shown.result.rounding import SECONDS, rounded
from analyzer.units import METRES_PER_FOOT

CAUTION = (
    "Training debrief only, not for navigation or flight planning. The chart in force, local rules and a licensed "
    "instructor decide."
)
GENERATOR = "Reversal Debrief"  # also how a file of ours is known, so that nobody else's is replaced


def flight_collection(lesson: Lesson) -> dict[str, Any]:
    """Return the flight of a lesson as a FeatureCollection.

    Parameters
    ----------
    lesson : Lesson

    Returns
    -------
    dict
        Each feature says in `kind` what it is: "area", "place", "track" or "finding", and of which `procedure`. Tracks
        carry `time_s` after the first point and `altitude_ft` above mean sea level for each of their places; what was
        flown outside the reversals has no phase.
    """
    first = lesson.parts[0]
    features: list[Feature] = []
    for part in lesson.parts:
        features += _told(part, "area", protection_features(part.frame, part.protection))
        features += _told(part, "place", place_features(part.frame, part.procedure))
    features += _told(first, "track", _between(lesson))
    for _, part, one in lesson.in_order:
        features += _told(part, "track", flown_features(part.frame, part.motion, [one.attempt], _heights(part)))
    for _, part, one in lesson.in_order:
        features += _told(part, "finding", _findings(part, one))
    start = first.track.start
    return feature_collection(
        features,
        name=first.track.name,
        generator=GENERATOR,
        caution=CAUTION,
        start=None if start is None else start.isoformat(),
        heights=None if first.altitude is None else f"feet above mean sea level, {first.altitude.kind}",
    )


def _told(part: Assessment, kind: str, features: list[Feature]) -> list[Feature]:
    for feature in features:
        feature["properties"] = {"kind": kind, "procedure": part.procedure.title, **feature["properties"]}
    return features


def _heights(part: Assessment) -> Heights | None:
    return None if part.altitude is None else Heights(part.altitude.time_s, part.altitude.altitude_m)


def _between(lesson: Lesson) -> list[Feature]:
    """Return what was flown outside the reversals."""
    first = lesson.parts[0]
    if not len(first.motion):
        return []
    spans = sorted(
        (one.attempt.phases[0].start_s, one.attempt.phases[-1].end_s)
        for _, _, one in lesson.in_order
        if one.attempt.phases
    )
    now, end, found = float(first.motion.time_s[0]), float(first.motion.time_s[-1]), []
    for start_s, end_s in [*spans, (end, end)]:
        if start_s > now + 1.0:
            found.append(track_feature(first.frame, first.motion, (now, start_s), _heights(first)))
        now = max(now, end_s)
    return [each for each in found if each is not None]


def _findings(part: Assessment, one: AssessedAttempt) -> list[Feature]:
    return list(_numbered(part, one))


def _numbered(part: Assessment, one: AssessedAttempt) -> Iterator[Feature]:
    """Give the findings that have a moment, with the number that they have in the report."""
    motion, heights = part.motion, _heights(part)
    views = finding_views(one.judgement.findings, one.attempt.laps, part.track.start)
    for view in (each for each in views if each.number and each.at_s is not None):
        along = np.interp(view.at_s or 0.0, motion.time_s, motion.along_m)
        cross = np.interp(view.at_s or 0.0, motion.time_s, motion.cross_m)
        east, north = part.frame.east_north_from_along_cross(along, cross)
        altitude_ft = None
        if heights is not None and len(heights.time_s):
            altitude_ft = round(float(np.interp(view.at_s or 0.0, *heights)) / METRES_PER_FOOT)
        yield point_feature(
            part.frame,
            (float(east), float(north)),
            name=f"{view.number} {view.short}",
            attempt=one.attempt.number,
            number=view.number,
            code=view.code,
            severity=view.severity,
            at_s=rounded(view.at_s or 0.0, SECONDS),
            altitude_ft=altitude_ft,
            text=view.text,
            advice=view.advice,
        )
