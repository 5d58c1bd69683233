"""The flight as GeoJSON and KML, the plan as SVG and PNG: read by others, held against flight and formats."""

import json
import xml.etree.ElementTree as ET
from datetime import UTC, datetime, timedelta
from io import BytesIO
from itertools import pairwise

import numpy as np
import pytest
from pyproj import Geod
from shapely.geometry import LinearRing, shape

from analyzer.errors import OptionError
from analyzer.judged import Lesson
from analyzer.run.debrief import Debrief
from analyzer.shown.handed_on.kinds import geojson_text
from tests.shown_flights import FLIGHTS, procedure_named, shown

NAMES = ("through the course", "hold of four laps", "straight in")
KML = "{http://www.opengis.net/kml/2.2}"
FOOT_M, NM_M = 0.3048, 1852.0  # exact, the international foot and nautical mile
WGS84 = Geod(ellps="WGS84")


def flight(name: str) -> Debrief:
    return Debrief(shown(name))


def features(name: str) -> list[dict]:
    return json.loads(geojson_text(flight(name).to_geojson()))["features"]


def of(name: str, kind: str) -> list[dict]:
    return [one for one in features(name) if one["properties"]["kind"] == kind]


@pytest.mark.parametrize("name", NAMES)
def test_geojson_is_what_rfc_7946_asks_for(name: str) -> None:
    """RFC 7946: longitude first (3.1.1), right-hand rule (3.1.6), nothing but WGS 84 heights as third (4)."""
    content = json.loads(geojson_text(flight(name).to_geojson()))
    assert content["type"] == "FeatureCollection"
    assert "crs" not in content  # 4: removed
    assert "not for navigation" in content["caution"]
    fix = procedure_named(FLIGHTS[name].procedure).fix
    for one in content["features"]:
        assert set(one) == {"type", "properties", "geometry"}
        found = shape(one["geometry"])
        assert found.is_valid
        west, south, east, north = found.bounds
        assert -180.0 <= west <= east <= 180.0
        assert abs((south + north) / 2 - fix.latitude_deg) < 1.0
        places = np.array(one["geometry"]["coordinates"] if found.geom_type == "LineString" else [[0.0, 0.0]])
        assert places.shape[1] == 2, "no third coordinate: heights are above mean sea level, not the ellipsoid"
        if found.geom_type == "Polygon":
            outer, *holes = one["geometry"]["coordinates"]
            assert LinearRing(outer).is_ccw
            assert not any(LinearRing(hole).is_ccw for hole in holes)


@pytest.mark.parametrize("name", NAMES)
def test_the_whole_flight_is_there_once_where_it_was_flown(name: str) -> None:
    lesson, tracks = shown(name), of(name, "track")
    track = lesson.parts[0].track
    time = np.concatenate([one["properties"]["time_s"] for one in tracks])
    places = np.concatenate([one["geometry"]["coordinates"] for one in tracks])
    feet = np.concatenate([one["properties"]["altitude_ft"] for one in tracks]).astype(float)
    order = np.argsort(time, kind="stable")
    assert time.min() == pytest.approx(track.time_s[0], abs=1.0)
    assert time.max() == pytest.approx(track.time_s[-1], abs=1.0)
    assert np.diff(time[order]).max() <= 1.05
    longitude = np.interp(time, track.time_s, track.longitude_deg)
    latitude = np.interp(time, track.time_s, track.latitude_deg)
    _, _, off_m = WGS84.inv(longitude, latitude, places[:, 0], places[:, 1])
    assert np.quantile(off_m, 0.99) < 25.0, "the recorded positions wander by metres"
    recorded_ft = np.interp(time, track.time_s, track.altitude_m) / FOOT_M
    assert np.nanmax(np.abs(feet - recorded_ft)) < 40.0
    starts = sorted((one["properties"]["start_s"], one["properties"]["end_s"]) for one in tracks)
    assert all(after[0] == pytest.approx(before[1], abs=1.1) for before, after in pairwise(starts))


def test_findings_stand_at_their_places_with_their_numbers() -> None:
    name = "through the course"
    result = flight(name).to_dict()["attempts"][0]["findings"]
    track, found = shown(name).parts[0].track, of(name, "finding")
    numbered = [one for one in result if one["severity"] != "note"]
    assert [one["properties"]["number"] for one in found] == list(range(1, len(numbered) + 1))
    assert {one["properties"]["code"] for one in found} == {one["code"] for one in numbered}
    for one in found:
        at_s = one["properties"]["at_s"]
        there = [np.interp(at_s, track.time_s, each) for each in (track.longitude_deg, track.latitude_deg)]
        _, _, off_m = WGS84.inv(*there, *one["geometry"]["coordinates"])
        assert off_m < 40.0
        assert any(each["at_s"] == at_s and each["text"] for each in result)


@pytest.mark.parametrize("name", NAMES)
def test_kml_keeps_to_its_schema(name: str) -> None:
    """OGC 07-147r2 with the schema of the standard as fastkml brings it."""
    validator = pytest.importorskip("fastkml.validator")
    from lxml import etree

    schema = validator.get_schema_parser()
    schema.assertValid(etree.fromstring(flight(name).to_kml().encode()))


def test_kml_holds_the_flight_at_its_height() -> None:
    """Heights `absolute` are metres above mean sea level (OGC 07-147r2, altitudeMode): feet times 0.3048."""
    name = "through the course"
    root = ET.fromstring(flight(name).to_kml())
    assert "not for navigation" in root.findtext(f"{KML}Document/{KML}description", "")
    lines = root.findall(f".//{KML}LineString")
    tracks = of(name, "track")
    assert len(lines) == len(tracks)
    start = datetime(2025, 3, 14, 15, tzinfo=UTC)
    spans = [(one.findtext(f"{KML}begin", ""), one.findtext(f"{KML}end", "")) for one in root.iter(f"{KML}TimeSpan")]
    for line, span, one in zip(lines, spans, tracks, strict=True):
        assert line.findtext(f"{KML}altitudeMode") == "absolute"
        rows = np.array([place.split(",") for place in line.findtext(f"{KML}coordinates", "").split()], dtype=float)
        assert rows[:, :2] == pytest.approx(np.array(one["geometry"]["coordinates"]))
        assert rows[:, 2] == pytest.approx(np.array(one["properties"]["altitude_ft"]) * FOOT_M, abs=0.051)
        told = [one["properties"]["start_s"], one["properties"]["end_s"]]
        for shown_moment, seconds in zip(span, told, strict=True):
            assert abs(datetime.fromisoformat(shown_moment) - start - timedelta(seconds=seconds)) < timedelta(seconds=1)
    names = [one.text for one in root.iter(f"{KML}name")]
    assert {"primary", "distance limit", "HRF", "Findings"} <= set(names)


def test_kml_without_altitudes_lies_on_the_ground() -> None:
    content = flight("through the course").to_geojson()
    for one in content["features"]:
        if one["properties"]["kind"] == "track":
            one["properties"]["altitude_ft"] = [None] * len(one["properties"]["altitude_ft"])
    from analyzer.shown.handed_on.kml import flight_kml

    root = ET.fromstring(flight_kml(content))
    modes = {line.findtext(f"{KML}altitudeMode") for line in root.iter(f"{KML}LineString")}
    assert modes == {"clampToGround"}


def test_svg_stands_alone() -> None:
    drawing = flight("through the course").to_svg()
    root = ET.fromstring(drawing)
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    for forbidden in ("var(", "calc(", "<script", "@media", "href=", ":root"):
        assert forbidden not in drawing
    words = " ".join(one.text or "" for one in root.iter("{http://www.w3.org/2000/svg}text"))
    assert "not for navigation" in words
    assert "put right" in words
    assert "D reversal turn" in words


def test_png_shows_the_plan() -> None:
    from matplotlib.image import imread

    picture = flight("through the course").to_png()
    assert b"Reversal Debrief" in picture[:4000]
    pixels = imread(BytesIO(picture))
    assert pixels.shape[1] == 1600
    blue = np.array([0x2E, 0x73, 0xE5]) / 255.0  # outbound
    assert np.sum(np.abs(pixels[..., :3] - blue).max(axis=2) < 0.02) > 500


def test_several_reversals_have_a_plan_each() -> None:
    lesson: Lesson = shown("two reversals")
    debrief = Debrief(lesson)
    assert debrief.to_svg(1) != debrief.to_svg(2)
    with pytest.raises(OptionError, match=r"reversal: 3 is not in this track\. Expected 1 to 2"):
        debrief.to_svg(3)
