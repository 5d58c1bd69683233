"""GeoJSON with times: a line whose feature holds a list of times beside it, or points with a time each.

Source: RFC 7946: coordinates are longitude, latitude and, where given, metres above the ellipsoid of WGS 84 (3.1.1, 4).
The standard knows no times. Common practice: `times`, `coordTimes` or `coordinateProperties.times` of a line's feature,
in the order of its coordinates; `time`, `timestamp` and the like of a point's.
"""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from analyzer.errors import TrackFileError
from analyzer.reading.record import RawRecord
from analyzer.reading.time_text import LONGEST_TEXT, read_moments
from analyzer.reading.wording import counted, plain
from analyzer.units import FloatArray

#: as many as an XML track may hold
_MOST_POINTS = 4_000_000
_TIME_LISTS = ("times", "coordTimes", "timestamps", "time")
_TIMES = ("time", "timestamp", "when", "datetime", "date_time", "utc")
#: seconds since 1970 are below this until the year 5138, milliseconds above it since 1973
_MILLISECONDS_FROM = 1e11
_DEEPEST = 12


@dataclass
class _Gathered:
    times: list[Any] = field(default_factory=list)
    places: list[Any] = field(default_factory=list)
    part: list[int] = field(default_factory=list)
    name: str = ""
    unpaired: int = 0
    without_times: int = 0


def read_geojson(data: bytes, source: str, stem: str) -> RawRecord:
    """Return the points of a GeoJSON text in the file's order; arguments as `read_kml`.

    Raises
    ------
    TrackFileError
        Where it is not JSON, no GeoJSON, or holds no points with times.
    """
    try:
        content = json.loads(data.decode("utf-8", "replace"), parse_constant=lambda _: None)
    except (ValueError, RecursionError) as error:
        where = f", line {error.lineno}, column {error.colno}" if isinstance(error, json.JSONDecodeError) else ""
        raise TrackFileError(f"{source}{where}: the JSON breaks off or is damaged; export the track again") from error
    gathered = _Gathered()
    for part, feature in enumerate(_features(content, 0)):
        _take(feature, part, gathered)
        if len(gathered.times) > _MOST_POINTS:
            raise TrackFileError(
                f"{source}: holds too many points, the limit is {_MOST_POINTS:,}; export the flight alone"
            )
    if not gathered.times:
        raise TrackFileError(f"{source}: {_nothing(content, gathered)}")
    seconds, has_zone = _seconds(gathered.times)
    longitude, latitude, altitude = (_column(gathered.places, place) for place in range(3))
    record = RawRecord(
        source,
        gathered.name or stem,
        seconds,
        True,
        latitude,
        longitude,
        part=np.array(gathered.part, dtype=np.int64),
        row="point",
        columns_used=["times", "coordinates"],
    )
    if np.any(altitude[np.isfinite(altitude)] != 0.0):
        record.add_altitude(altitude, "geometric", "altitude")
    if gathered.unpaired:
        alone = counted(gathered.unpaired, "time or position", "times or positions")
        record.note("moments_without_pair", f"{alone} stand alone: left out.")
    if not has_zone:
        record.note("time_without_zone", "Times name no zone; they are read as UTC.")
    return record


def _features(content: Any, depth: int) -> Iterator[Mapping[str, Any]]:
    """Give the features of a GeoJSON value, those within collections too."""
    if not isinstance(content, Mapping) or depth > _DEEPEST:
        return
    if content.get("type") == "Feature":
        yield content
    elif content.get("type") == "FeatureCollection" and isinstance(content.get("features"), list):
        for each in content["features"]:
            yield from _features(each, depth + 1)


def _take(feature: Mapping[str, Any], part: int, gathered: _Gathered) -> None:
    geometry, about = feature.get("geometry"), feature.get("properties")
    if not isinstance(geometry, Mapping):
        return
    about = about if isinstance(about, Mapping) else {}
    places, kind = geometry.get("coordinates"), geometry.get("type")
    if not isinstance(places, list):
        return
    if not gathered.name and isinstance(about.get("name"), str):
        gathered.name = plain(about["name"][:1000], 200)
    if kind == "Point":
        moment = next((about[key] for key in about if str(key).lower() in _TIMES), None)
        if moment is not None:
            gathered.times.append(moment)
            gathered.places.append(places)
            gathered.part.append(0)
        return
    if kind not in ("LineString", "MultiLineString", "MultiPoint"):
        return
    lines = places if kind == "MultiLineString" else [places]
    times = _times_of(about)
    if times is None:
        gathered.without_times += 1
        return
    if kind == "MultiLineString" and not (times and isinstance(times[0], list)):
        lines, times = [[place for line in lines if isinstance(line, list) for place in line]], [times]
    elif kind != "MultiLineString":
        times = [times]
    for line, moments in zip(lines, times, strict=False):
        if not isinstance(line, list) or not isinstance(moments, list):
            continue
        pairs = min(len(line), len(moments))
        gathered.unpaired += abs(len(line) - len(moments))
        gathered.times.extend(moments[:pairs])
        gathered.places.extend(line[:pairs])
        gathered.part.extend([part] * pairs)


def _times_of(about: Mapping[str, Any]) -> list[Any] | None:
    within = about.get("coordinateProperties")
    for table in (about, within if isinstance(within, Mapping) else {}):
        for key in _TIME_LISTS:
            if isinstance(table.get(key), list):
                return list(table[key])
    return None


def _seconds(times: list[Any]) -> tuple[FloatArray, bool]:
    """Return seconds since 1970 UTC, nan where not readable, and whether all that are text name their zone."""
    numbers = np.array([float(value) if _is_number(value) else np.nan for value in times])
    seconds = np.where(np.abs(numbers) >= _MILLISECONDS_FROM, numbers / 1000.0, numbers)
    texts = [value[:LONGEST_TEXT] if isinstance(value, str) else "" for value in times]
    if not any(texts):
        return seconds, True
    moments = read_moments(texts, "iso")
    has_zone = not bool(np.any(moments.readable & ~moments.zoned))
    return np.where(np.isfinite(seconds), seconds, moments.seconds), has_zone


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e18


def _column(places: list[Any], at: int) -> FloatArray:
    return np.array(
        [
            float(place[at]) if isinstance(place, list) and len(place) > at and _is_number(place[at]) else np.nan
            for place in places
        ]
    )


def _nothing(content: Any, gathered: _Gathered) -> str:
    if gathered.without_times:
        return (
            f"holds {counted(gathered.without_times, 'line')} without times; a debrief needs the time of each "
            "position: export the track with its times, or as GPX"
        )
    if isinstance(content, Mapping) and content.get("type") in ("Feature", "FeatureCollection"):
        return "GeoJSON without points that have a time; export the recorded track"
    return "holds JSON, not a track; GeoJSON with times is read, or export the track as GPX or CSV"
