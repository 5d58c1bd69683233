"""GPX 1.0 and 1.1 tracks: a direct, guarded expat reader, with gpxpy for what that one declines.

Source: GPX 1.1 schema (topografix.com/GPX/1/1): `trkpt` has `lat` and `lon` in decimal degrees WGS 84, `ele` in metres,
`time` in UTC as ISO 8601. GPX 1.0 has `speed` in m/s and `course` in degrees true besides.
"""

from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

import numpy as np

from analyzer.errors import TrackFileError
from analyzer.reading.formats.xml_guard import (
    DEFAULT_LIMITS,
    UnknownEncodingError,
    XmlLimits,
    check_element,
    check_xml,
    declared_encoding,
    guarded_parser,
    run_parser,
    too_much,
)
from analyzer.reading.record import RawRecord
from analyzer.reading.time_text import LONGEST_TEXT, read_moments
from analyzer.reading.wording import counted, plain
from analyzer.units import FloatArray

_CHUNK = 16_384  # points held as text at a time: bounds the memory of a long file
_LONGEST_NAME = 200
_CHILD, _POINT, _TRACK, _NAME, _OTHER = range(5)
_CHILDREN = {"ele": 0, "time": 1, "speed": 2, "course": 3}
_SPEED = 2  # from here on: children that may also stand in a point's extensions, under any prefix
_POINT_NAMES = ("trkpt",)


class DeclinedError(Exception):
    """The direct reader leaves this document to gpxpy."""


@dataclass
class _Points:
    """Points so far: chunks already turned into arrays, and the texts of the current one."""

    latitude: list[Any] = field(default_factory=list)
    longitude: list[Any] = field(default_factory=list)
    children: tuple[list[str], ...] = field(default_factory=lambda: ([], [], [], []))
    part: list[int] = field(default_factory=list)
    done: list[tuple[FloatArray, ...]] = field(default_factory=list)
    count: int = 0
    comma_numbers: bool = False
    unread_times: int = 0
    without_zone: bool = False

    def flush(self) -> None:
        """Turn the texts of the current chunk into arrays."""
        if not self.latitude:
            return
        elevation, time, speed, course = self.children
        moments = read_moments(time, "iso")
        self.unread_times += sum(map(bool, time)) - int(np.count_nonzero(np.isfinite(moments.seconds)))
        self.without_zone |= bool(np.any(moments.readable & ~moments.zoned))
        self.done.append(
            (
                self._numbers(self.latitude),
                self._numbers(self.longitude),
                moments.seconds,
                self._numbers(elevation),
                self._numbers(speed),
                self._numbers(course),
                np.array(self.part, dtype=np.float64),
            )
        )
        self.count += len(self.latitude)
        for texts in (self.latitude, self.longitude, *self.children, self.part):
            texts.clear()

    def _numbers(self, texts: list[Any]) -> FloatArray:
        try:
            return np.array(list(map(float, texts)))
        except (TypeError, ValueError):
            pass
        return np.array([self._number(text) for text in texts])

    def _number(self, text: Any) -> float:
        try:
            return float(text)
        except (TypeError, ValueError):
            pass
        if isinstance(text, str) and "," in text:
            try:
                number = float(text.replace(",", "."))
            except ValueError:
                return float("nan")
            self.comma_numbers = True
            return number
        return float("nan")

    def columns(self) -> tuple[FloatArray, ...]:
        """Return all columns: latitude, longitude, time, elevation, speed, course, part."""
        self.flush()
        if not self.done:
            return tuple(np.empty(0) for _ in range(7))
        return tuple(np.concatenate(parts) for parts in zip(*self.done, strict=True))


def read_gpx(data: bytes, source: str, stem: str, limits: XmlLimits = DEFAULT_LIMITS) -> RawRecord:
    """Return the track points of a GPX document in the file's order.

    Parameters
    ----------
    data : bytes
        The document.
    source : str
        The file as errors name it.
    stem : str
        Name of the flight where the document gives none.
    limits : XmlLimits

    Raises
    ------
    TrackFileError
        Where the document is not well-formed, breaks a limit or is not GPX.
    """
    try:
        return read_gpx_directly(data, source, stem, limits)
    except DeclinedError as reason:
        return _read_with_gpxpy(data, source, stem, limits, str(reason))


def read_gpx_directly(data: bytes, source: str, stem: str, limits: XmlLimits = DEFAULT_LIMITS) -> RawRecord:
    """Return what `read_gpx` returns, or raise DeclinedError where gpxpy should have a look."""
    state: dict[str, Any] = {}

    def make(encoding: str | None) -> Any:
        state.update(points=_Points(), names=[], outside={"wpt": 0, "rtept": 0}, root="")
        parser = guarded_parser(source, encoding)
        _set_handlers(parser, source, state, limits)
        return parser

    try:
        complete = run_parser(make, data, source)
    except UnknownEncodingError as error:
        raise DeclinedError(f"encoding {declared_encoding(data)}") from error
    if state["root"].lower() != "gpx" and complete:
        raise TrackFileError(
            f"{source}: an XML file whose first element is <{plain(state['root'])}>, not <gpx>; export the track as GPX"
        )
    points: _Points = state["points"]
    latitude, longitude, time, elevation, speed, course, part = points.columns()
    if not len(latitude):
        raise TrackFileError(f"{source}: {_no_points(state['outside'])}")
    if points.unread_times and not np.any(np.isfinite(time)):
        raise DeclinedError("times in another layout")
    record = RawRecord(
        source,
        state["names"][0] if state["names"] else stem,
        time,
        True,
        latitude,
        longitude,
        part=part.astype(np.int64),
        row="point",
        columns_used=["time", "lat", "lon"],
    )
    record.add_altitude(elevation, "geometric", "ele")
    record.add_sensor("groundspeed_mps", speed, "speed")
    record.add_sensor("track_true_deg", course, "course")
    if points.unread_times:
        record.note(
            "times_not_readable",
            f"{counted(points.unread_times, 'point has', 'points have')} a time that is not ISO 8601.",
        )
    if points.without_zone:
        record.note("time_without_zone", "Times name no zone; they are read as UTC, as GPX asks.")
    if points.comma_numbers:
        record.note("decimal_comma", "Numbers are written with a decimal comma, against the GPX standard.")
    if not complete:
        record.note("file_cut_short", "The file stops before its end, as after a power failure; the rest is missing.")
    return record


def _set_handlers(parser: Any, source: str, state: dict[str, Any], limits: XmlLimits) -> None:
    """Give the parser the handlers that gather points; locals, not attributes, because they run for each element."""
    points: _Points = state["points"]
    names: list[str] = state["names"]
    outside: dict[str, int] = state["outside"]
    kinds: dict[str, tuple[int, int]] = {}
    add_latitude, add_longitude, add_part = points.latitude.append, points.longitude.append, points.part.append
    add_elevation, add_time, add_speed, add_course = (texts.append for texts in points.children)
    blank = ("nan", "", "nan", "nan")
    values = list(blank)
    position: dict[str, str] = {}
    most_depth = limits.depth
    depth = point_depth = track_depth = name_depth = track = waiting = 0
    text: list[str] = []
    collect = text.append

    def start(name: str, attributes: dict[str, str]) -> None:
        nonlocal depth, point_depth, track, track_depth, name_depth, position
        depth += 1
        try:
            kind, child = kinds[name]
        except KeyError:
            kind, child = kinds[name] = _kind_of(name)
        if depth > most_depth or (attributes and (kind != _POINT or len(attributes) > 2)):
            check_element(source, parser, limits, depth, attributes)
        if kind == _CHILD:
            if point_depth and (depth == point_depth + 1 or child >= _SPEED):
                text.clear()
                parser.CharacterDataHandler = collect
        elif kind == _POINT:
            if track_depth and not point_depth:
                point_depth = depth
                position = attributes
                values[:] = blank
        elif kind == _TRACK:
            if not track_depth:
                track += 1
                track_depth = depth
        elif kind == _NAME:
            if track_depth and depth == track_depth + 1 and not names:
                name_depth = depth
                text.clear()
                parser.CharacterDataHandler = collect
        elif name in outside:
            outside[name] += 1
        if depth == 1:
            state["root"] = name.rpartition(":")[2]

    def end(name: str) -> None:
        nonlocal depth, point_depth, track_depth, name_depth, waiting
        kind, child = kinds[name]
        if kind == _CHILD:
            if parser.CharacterDataHandler is not None:
                parser.CharacterDataHandler = None
                value = "".join(text).strip()
                if len(value) > limits.text_characters:
                    raise too_much(source, parser, "holds a text that is too long", limits.text_characters)
                if value and values[child] == blank[child]:
                    values[child] = value[:LONGEST_TEXT]
        elif kind == _POINT:
            if depth == point_depth:
                point_depth = 0
                add_latitude(position.get("lat"))
                add_longitude(position.get("lon"))
                add_part(track)
                add_elevation(values[0])
                add_time(values[1])
                add_speed(values[2])
                add_course(values[3])
                waiting += 1
                if waiting >= _CHUNK:
                    waiting = 0
                    points.flush()
                    if points.count > limits.points:
                        raise too_much(source, parser, "holds too many points", limits.points)
        elif depth == name_depth:
            parser.CharacterDataHandler = None
            name_depth = 0
            label = plain("".join(text)[:1000], _LONGEST_NAME)
            if label:
                names.append(label)
        elif depth == track_depth:
            track_depth = 0
        depth -= 1

    parser.StartElementHandler = start
    parser.EndElementHandler = end


def _kind_of(name: str) -> tuple[int, int]:
    """Return what an element is to this reader, by its local name, and which child of a point."""
    local = name.rpartition(":")[2]
    if local in _CHILDREN:
        return _CHILD, _CHILDREN[local]
    return {"trkpt": _POINT, "trk": _TRACK, "name": _NAME}.get(local, _OTHER), 0


def _no_points(outside: dict[str, int]) -> str:
    held = [
        counted(outside[key], word) for key, word in (("wpt", "waypoint"), ("rtept", "route point")) if outside[key]
    ]
    if held:
        return f"holds {' and '.join(held)} but no track points with times; export the recorded track, not the plan"
    return "holds no track points (trk, trkseg, trkpt); export the recorded track"


def _read_with_gpxpy(data: bytes, source: str, stem: str, limits: XmlLimits, reason: str) -> RawRecord:
    """Read with the tree-building library what the direct reader declines, after the guard has seen the bytes."""
    from xml.etree import ElementTree

    import gpxpy.gpx
    import gpxpy.parser

    text = _decoded(data, source)
    check_xml(text.encode("utf-8"), source, limits, _POINT_NAMES)
    vars(gpxpy.parser)["mod_etree"] = ElementTree  # not lxml, even where that is installed: one answer everywhere
    try:
        document = gpxpy.parser.GPXParser(text).parse()
    except (gpxpy.gpx.GPXException, ValueError, LookupError) as error:
        raise TrackFileError(
            f"{source}: {plain(error, 120)}; times must be ISO 8601, as 2024-01-13T09:00:00Z"
        ) from error
    moments, latitude, longitude, elevation, part = [], [], [], [], []
    for number, track in enumerate(document.tracks, 1):
        for segment in track.segments:
            for point in segment.points:
                moments.append(point.time.timestamp() if point.time and point.time.tzinfo else _utc(point.time))
                latitude.append(point.latitude)
                longitude.append(point.longitude)
                elevation.append(np.nan if point.elevation is None else point.elevation)
                part.append(number)
    if not latitude:
        raise TrackFileError(f"{source}: {_no_points({'wpt': len(document.waypoints), 'rtept': 0})}")
    name = next((plain(track.name, _LONGEST_NAME) for track in document.tracks if track.name), "") or stem
    record = RawRecord(
        source,
        name,
        np.array(moments, dtype=np.float64),
        True,
        np.array(latitude, dtype=np.float64),
        np.array(longitude, dtype=np.float64),
        part=np.array(part, dtype=np.int64),
        row="point",
        columns_used=["time", "lat", "lon"],
    )
    record.add_altitude(np.array(elevation, dtype=np.float64), "geometric", "ele")
    record.note("read_the_long_way", f"Read with the general GPX library because of {plain(reason)}.")
    return record


def _utc(moment: datetime | None) -> float:
    return float("nan") if moment is None else moment.replace(tzinfo=UTC).timestamp()


def _decoded(data: bytes, source: str) -> str:
    """Return the document as text without its declaration, by the encoding that it names."""
    name = declared_encoding(data) or "utf-8"
    try:
        text = data.decode(name)
    except (LookupError, UnicodeError) as error:
        raise TrackFileError(f'{source}: encoding "{plain(name)}" can\'t be read; save the file as UTF-8') from error
    head, mark, rest = text.partition("?>")
    return rest if mark and "<?xml" in head else text
