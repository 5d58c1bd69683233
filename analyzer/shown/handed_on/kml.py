"""The flight as OGC KML 2.2: the same features as its GeoJSON, the track at its height.

Source: OGC 07-147r2, OGC KML 2.2, read: `coordinates` are longitude, latitude, height in degrees WGS 84 and metres;
`absolute` heights are above mean sea level; colours are hexadecimal alpha, blue, green, red.
"""

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from typing import Any
from xml.etree.ElementTree import Element, SubElement, tostring

from analyzer.shown.report.drawn.palette import LIGHT, PHASE_LOOKS
from analyzer.units import METRES_PER_FOOT, clock, visible

NAMESPACE = "http://www.opengis.net/kml/2.2"
_SOLID, _CLEAR = "ff", "55"
_ABSOLUTE, _GROUND = "absolute", "clampToGround"
_SEVERITIES = {"critical": "bad", "major": "bad", "minor": "open"}
_FOLDERS = (("place", "Fix and runway"), ("area", "Protected areas"), ("finding", "Findings"))


def flight_kml(collection: Mapping[str, Any]) -> str:
    """Return the document for the features of `flight_collection`."""
    root = Element("kml", {"xmlns": NAMESPACE})
    document = SubElement(root, "Document")
    _text(document, "name", collection["name"])
    heights = f" Heights: {collection['heights']}." if collection["heights"] else ""
    _text(document, "description", f"{collection['generator']}. {collection['caution']}{heights}")
    _styles(document)
    start = None if collection["start"] is None else datetime.fromisoformat(collection["start"])
    features = collection["features"]
    for attempt in dict.fromkeys(one["properties"].get("attempt") for one in _of(features, "track")):
        here = [one for one in _of(features, "track") if one["properties"].get("attempt") == attempt]
        name = "Rest of the track" if attempt is None else f"Reversal {attempt}, {here[0]['properties']['procedure']}"
        folder = _folder(document, name)
        for one in here:
            _track(folder, one, start)
    for kind, name in _FOLDERS:
        found = list(_of(features, kind))
        folder = _folder(document, name) if found else document
        for one in found:
            (_area if kind == "area" else _point)(folder, one)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + tostring(root, encoding="unicode") + "\n"


def _of(features: Iterable[Mapping[str, Any]], kind: str) -> Iterable[Mapping[str, Any]]:
    return (one for one in features if one["properties"]["kind"] == kind)


def _text(parent: Element, name: str, content: object) -> Element:
    element = SubElement(parent, name)
    element.text = visible(str(content))
    return element


def _folder(parent: Element, name: str) -> Element:
    folder = SubElement(parent, "Folder")
    _text(folder, "name", name)
    return folder


def _colour(hexadecimal: str, alpha: str = _SOLID) -> str:
    red, green, blue = (hexadecimal[at : at + 2] for at in (1, 3, 5))
    return f"{alpha}{blue}{green}{red}"


def _styles(document: Element) -> None:
    lines = {name.replace(" ", "-"): look.light for name, look in PHASE_LOOKS.items()} | {"rest": LIGHT["quiet"]}
    for key, colour in lines.items():
        style = SubElement(document, "Style", {"id": key})
        line = SubElement(style, "LineStyle")
        _text(line, "color", _colour(colour))
        _text(line, "width", 3)
        _text(SubElement(style, "PolyStyle"), "color", _colour(colour, _CLEAR))
    for key, edge in (("area", LIGHT["area-line"]), ("limit", LIGHT["limit"])):
        style = SubElement(document, "Style", {"id": key})
        line = SubElement(style, "LineStyle")
        _text(line, "color", _colour(edge))
        _text(line, "width", 2)
        fill = SubElement(style, "PolyStyle")
        _text(fill, "color", _colour(LIGHT["area"], _CLEAR))
        _text(fill, "fill", int(key == "area"))
    for severity, key in _SEVERITIES.items():
        style = SubElement(document, "Style", {"id": severity})
        _text(SubElement(style, "IconStyle"), "color", _colour(LIGHT[key]))


def _placemark(parent: Element, name: str, description: str, style: str | None) -> Element:
    placemark = SubElement(parent, "Placemark")
    _text(placemark, "name", name)
    if description:
        _text(placemark, "description", description)
    if style is not None:
        _text(placemark, "styleUrl", f"#{style}")
    return placemark


def _track(folder: Element, feature: Mapping[str, Any], start: datetime | None) -> None:
    told = feature["properties"]
    phase, many = told.get("phase"), feature["geometry"]["type"] == "MultiLineString"
    name = "flown" if phase is None else phase
    placemark = SubElement(folder, "Placemark")
    _text(placemark, "name", name)
    _text(placemark, "description", f"{clock(told['start_s'])} to {clock(told['end_s'])} of the recording")
    if start is not None:
        span = SubElement(placemark, "TimeSpan")
        for which in ("start_s", "end_s"):
            moment = start + timedelta(seconds=told[which])
            _text(span, "begin" if which == "start_s" else "end", moment.isoformat(timespec="seconds"))
    _text(placemark, "styleUrl", f"#{'rest' if phase is None else phase.replace(' ', '-')}")
    lines = feature["geometry"]["coordinates"] if many else [feature["geometry"]["coordinates"]]
    heights = told["altitude_ft"] if many else [told["altitude_ft"]]
    parent = SubElement(placemark, "MultiGeometry") if many else placemark
    for places, feet in zip(lines, heights, strict=True):
        high = all(one is not None for one in feet)
        line = SubElement(parent, "LineString")
        _text(line, "extrude", int(high))
        _text(line, "tessellate", int(not high))
        _text(line, "altitudeMode", _ABSOLUTE if high else _GROUND)
        _text(line, "coordinates", _coordinates(places, feet if high else None))


def _point(folder: Element, feature: Mapping[str, Any]) -> None:
    told = feature["properties"]
    words = " ".join(part for part in (told.get("text", told.get("place", "")), told.get("advice", "")) if part)
    placemark = _placemark(folder, told["name"], words, told.get("severity"))
    point, feet = SubElement(placemark, "Point"), told.get("altitude_ft")
    _text(point, "altitudeMode", _GROUND if feet is None else _ABSOLUTE)
    place = [feature["geometry"]["coordinates"]]
    _text(point, "coordinates", _coordinates(place, None if feet is None else [feet]))


def _area(folder: Element, feature: Mapping[str, Any]) -> None:
    told, shape = feature["properties"], feature["geometry"]
    words = f"{told['procedure']}. {told['reference']}"
    placemark = _placemark(folder, told["name"], words, "limit" if told["name"] == "distance limit" else "area")
    many = shape["type"] == "MultiPolygon"
    parent = SubElement(placemark, "MultiGeometry") if many else placemark
    for rings in shape["coordinates"] if many else [shape["coordinates"]]:
        polygon = SubElement(parent, "Polygon")
        _text(polygon, "tessellate", 1)
        _text(polygon, "altitudeMode", _GROUND)
        for number, ring in enumerate(rings):
            boundary = SubElement(polygon, "innerBoundaryIs" if number else "outerBoundaryIs")
            _text(SubElement(boundary, "LinearRing"), "coordinates", _coordinates(ring, None))


def _coordinates(places: Iterable[Iterable[float]], feet: Iterable[float] | None) -> str:
    """Return places as text; heights in metres, to a decimetre."""
    if feet is None:
        return " ".join(",".join(f"{value:.7f}" for value in place) for place in places)
    pairs = zip(places, feet, strict=True)
    return " ".join(
        ",".join(f"{value:.7f}" for value in place) + f",{height * METRES_PER_FOOT:.1f}" for place, height in pairs
    )
