"""KML tracks: `gx:Track` with its `when` and `gx:coord`, and placemarks of one moment and one point each.

Source: OGC 12-007r2, OGC KML 2.3: `when` is ISO 8601; `coord` is longitude, latitude, altitude parted by blanks,
`coordinates` the same parted by commas; degrees WGS 84, metres; `altitudeMode` tells what the altitude is above.
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
from analyzer.reading.wording import counted, plain
from analyzer.units import FloatArray

_LEAVES = frozenset({"when", "coord", "coordinates", "altitudeMode", "name"})
_HOLDERS = frozenset({"Track", "Placemark"})
_LONGEST_COORDINATE = 120
_LONGEST_NAME = 200


@dataclass
class _Holder:
    """A `Track` or `Placemark` being read."""

    kind: str
    when: list[str] = field(default_factory=list)
    where: list[str] = field(default_factory=list)
    altitude_mode: str = ""


@dataclass
class _Gathered:
    """What the document holds so far."""

    when: list[str] = field(default_factory=list)
    where: list[str] = field(default_factory=list)
    part: list[int] = field(default_factory=list)
    modes: set[str] = field(default_factory=set)
    names: list[str] = field(default_factory=list)
    parts: int = 0
    unpaired: int = 0
    paths_without_time: int = 0


def read_kml(data: bytes, source: str, stem: str, limits: XmlLimits = DEFAULT_LIMITS) -> RawRecord:
    """Return the moments of a KML document in the file's order.

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
        Where the document is not well-formed, breaks a limit, or holds no moments with positions.
    """
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
    if not gathered.when:
        raise TrackFileError(f"{source}: {_no_moments(gathered)}")
    moments = read_moments(gathered.when, "iso")
    longitude, latitude, altitude = _positions(gathered.where)
    record = RawRecord(
        source,
        gathered.names[0] if gathered.names else stem,
        moments.seconds,
        True,
        latitude,
        longitude,
        part=np.array(gathered.part, dtype=np.int64),
        row="point",
        columns_used=["when", "coord"],
    )
    if gathered.modes & {"relativeToGround", "relativeToSeaFloor", "clampToSeaFloor"}:
        record.note("altitude_above_ground", "Altitudes are above the ground, not above sea level: not used.")
    elif np.any(altitude[np.isfinite(altitude)] != 0.0):
        record.add_altitude(altitude, "geometric", "altitude")
    if gathered.unpaired:
        record.note(
            "moments_without_pair",
            f"{counted(gathered.unpaired, 'time or position', 'times or positions')} stand alone: left out.",
        )
    if bool(np.any(moments.readable & ~moments.zoned)):
        record.note("time_without_zone", "Times name no zone; they are read as UTC.")
    if not complete:
        record.note("file_cut_short", "The file stops before its end, as after a power failure; the rest is missing.")
    return record


def _gathering(parser: Any, source: str, limits: XmlLimits) -> _Gathered:
    """Give the parser handlers that fill what is returned."""
    gathered = _Gathered()
    holders: list[_Holder] = []
    text: list[str] = []
    depth = leaf_depth = 0

    def start(name: str, attributes: dict[str, str]) -> None:
        nonlocal depth, leaf_depth
        depth += 1
        if depth > limits.depth or attributes:
            check_element(source, parser, limits, depth, attributes)
        local = name.rpartition(":")[2]
        if local in _HOLDERS:
            holders.append(_Holder(local))
        elif local in _LEAVES and not leaf_depth:
            leaf_depth = depth
            text.clear()
            parser.CharacterDataHandler = text.append

    def end(name: str) -> None:
        nonlocal depth, leaf_depth
        local = name.rpartition(":")[2]
        if depth == leaf_depth:
            leaf_depth = 0
            parser.CharacterDataHandler = None
            value = "".join(text).strip()
            if local != "coordinates" and len(value) > limits.text_characters:
                raise too_much(source, parser, "holds a text that is too long", limits.text_characters)
            _take_leaf(gathered, holders[-1] if holders else None, local, value)
        elif local in _HOLDERS and holders:
            _take_holder(gathered, holders.pop())
            if len(gathered.when) > limits.points:
                raise too_much(source, parser, "holds too many points", limits.points)
        depth -= 1

    parser.StartElementHandler = start
    parser.EndElementHandler = end
    return gathered


def _take_leaf(gathered: _Gathered, holder: _Holder | None, local: str, value: str) -> None:
    if holder is None:
        return
    if local == "when":
        holder.when.append(value[:LONGEST_TEXT])
    elif local == "coord":
        holder.where.append(value[:_LONGEST_COORDINATE])
    elif local == "coordinates":
        if len(value.split(None, 2)) == 1:
            holder.where.append(value[:_LONGEST_COORDINATE].replace(",", " "))
        else:
            gathered.paths_without_time += 1
    elif local == "altitudeMode":
        holder.altitude_mode = value
    elif local == "name" and holder.kind == "Placemark" and len(gathered.names) < 1 and value:
        gathered.names.append(plain(value[:1000], _LONGEST_NAME))


def _take_holder(gathered: _Gathered, holder: _Holder) -> None:
    pairs = min(len(holder.when), len(holder.where))
    if holder.kind == "Track" or pairs:
        gathered.unpaired += abs(len(holder.when) - len(holder.where))
    if not pairs:
        return
    if holder.kind == "Track":
        gathered.parts += 1
    gathered.when.extend(holder.when[:pairs])
    gathered.where.extend(holder.where[:pairs])
    gathered.part.extend([gathered.parts] * pairs)
    if holder.altitude_mode:
        gathered.modes.add(holder.altitude_mode[:40])


def _positions(texts: list[str]) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return longitude, latitude, altitude of texts of two or three numbers; nan where missing."""
    split = [text.split() for text in texts]
    columns = [[cells[place] if place < len(cells) else "nan" for cells in split] for place in range(3)]
    longitude, latitude, altitude = (_floats(column) for column in columns)
    return longitude, latitude, altitude


def _floats(texts: list[str]) -> FloatArray:
    try:
        return np.array(list(map(float, texts)))
    except ValueError:
        return np.array([_float(text) for text in texts])


def _float(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return float("nan")


def _no_moments(gathered: _Gathered) -> str:
    if gathered.paths_without_time:
        return (
            f"holds {counted(gathered.paths_without_time, 'path')} without times; a debrief needs the time of each "
            "position: export the track as gx:Track, GPX or CSV"
        )
    return "holds no track with times (gx:Track with when and gx:coord); export the recorded track"
