"""Recordings of sports watches in XML (TCX): each `Trackpoint` with its `Time` and `Position`.

Source: the format's published schema, version 2 (from memory): `Time` is ISO 8601 in UTC, `LatitudeDegrees` and
`LongitudeDegrees` are WGS 84, `AltitudeMeters` is what the watch took for the height above mean sea level.
"""

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from analyzer.errors import TrackFileError
from analyzer.reading.formats.xml_guard import (
    DEFAULT_LIMITS,
    UnknownEncodingError,
    XmlLimits,
    check_element,
    declared_encoding,
    guarded_parser,
    run_parser,
    too_much,
)
from analyzer.reading.record import RawRecord
from analyzer.reading.time_text import LONGEST_TEXT, read_moments
from analyzer.reading.wording import plain
from analyzer.units import FloatArray

_POINT, _PART = "Trackpoint", "Track"
_LEAVES = ("Time", "LatitudeDegrees", "LongitudeDegrees", "AltitudeMeters")


@dataclass
class _Gathered:
    rows: list[tuple[str, ...]] = field(default_factory=list)
    part: list[int] = field(default_factory=list)
    parts: int = 0


def read_tcx(data: bytes, source: str, stem: str, limits: XmlLimits = DEFAULT_LIMITS) -> RawRecord:
    """Return the points of a recording in the file's order; arguments and errors as `read_kml`."""
    state: dict[str, _Gathered] = {}

    def make(encoding: str | None) -> Any:
        parser = guarded_parser(source, encoding)
        state["gathered"] = _gathering(parser, source, limits)
        return parser

    try:
        complete = run_parser(make, data, source)
    except UnknownEncodingError as error:
        name = plain(declared_encoding(data) or "")
        raise TrackFileError(f'{source}: encoding "{name}" can\'t be read; save the file as UTF-8') from error
    gathered = state["gathered"]
    if not gathered.rows:
        raise TrackFileError(f"{source}: holds no Trackpoint with a time and a position; export the recording again")
    times, *places = (list(column) for column in zip(*gathered.rows, strict=True))
    moments = read_moments(times, "iso")
    latitude, longitude, altitude = (_floats(column) for column in places)
    record = RawRecord(
        source,
        stem,
        moments.seconds,
        True,
        latitude,
        longitude,
        part=np.array(gathered.part, dtype=np.int64),
        row="point",
        columns_used=["Time", "Position"],
    )
    record.add_altitude(altitude, "geometric", "AltitudeMeters")
    if bool(np.any(moments.readable & ~moments.zoned)):
        record.note("time_without_zone", "Times name no zone; they are read as UTC.")
    if not complete:
        record.note("file_cut_short", "The file stops before its end, as after a power failure; the rest is missing.")
    return record


def _gathering(parser: Any, source: str, limits: XmlLimits) -> _Gathered:
    """Set handlers that gather the points."""
    gathered = _Gathered()
    text: list[str] = []
    point: dict[str, str] = {}
    depth = leaf_depth = point_depth = 0

    def start(name: str, attributes: dict[str, str]) -> None:
        nonlocal depth, leaf_depth, point_depth
        depth += 1
        if depth > limits.depth or attributes:
            check_element(source, parser, limits, depth, attributes)
        local = name.rpartition(":")[2]
        if local == _PART:
            gathered.parts += 1
        elif local == _POINT:
            point.clear()
            point_depth = depth
        elif point_depth and local in _LEAVES and not leaf_depth:
            leaf_depth = depth
            text.clear()
            parser.CharacterDataHandler = take

    def take(characters: str) -> None:
        text.append(characters)
        if sum(map(len, text)) > limits.text_characters:
            raise too_much(source, parser, "holds a text that is too long", limits.text_characters)

    def end(name: str) -> None:
        nonlocal depth, leaf_depth, point_depth
        if depth == leaf_depth:
            leaf_depth = 0
            parser.CharacterDataHandler = None
            point[name.rpartition(":")[2]] = "".join(text).strip()[:LONGEST_TEXT]
        elif depth == point_depth:
            point_depth = 0
            if all(point.get(leaf) for leaf in _LEAVES[:3]):
                gathered.rows.append(tuple(point.get(leaf, "") for leaf in _LEAVES))
                gathered.part.append(gathered.parts)
            if len(gathered.rows) > limits.points:
                raise too_much(source, parser, "holds too many points", limits.points)
        depth -= 1

    parser.StartElementHandler = start
    parser.EndElementHandler = end
    return gathered


def _floats(texts: list[str]) -> FloatArray:
    return np.array([_float(text) for text in texts])


def _float(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return float("nan")
