"""What the page saves: the drawing, the picture, the flight for a map; as the command writes it."""

import json
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from browser_pages import Opened
from pyproj import Geod
from shapely.geometry import shape

from analyzer.shown.handed_on.flight import flight_collection
from analyzer.shown.report.page import render_lesson
from tests.shown_flights import shown

pytestmark = pytest.mark.browser
FLIGHT = "through the course"
METRES_OFF = 3.0  # the page holds places to a hundred-thousandth of a degree


@pytest.fixture(scope="module")
def saved(browser: Any, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    place = tmp_path_factory.mktemp("saved")
    page_file = place / "flight.html"
    page_file.write_text(render_lesson(shown(FLIGHT)), encoding="utf-8")
    found = {}
    with Opened(browser, page_file, accept_downloads=True) as opened:
        opened.page.locator(".layers summary").click()
        for kind in ("svg", "png", "geojson", "kml"):
            with opened.page.expect_download() as waited:
                opened.page.locator(f"[data-save={kind}]").click()
            found[kind] = place / waited.value.suggested_filename
            waited.value.save_as(found[kind])
        assert opened.messages == []
    return found


def test_the_map_is_that_of_the_command(saved: dict[str, Path]) -> None:
    page = json.loads(saved["geojson"].read_text(encoding="utf-8"))
    command = flight_collection(shown(FLIGHT))
    assert page["caution"] == command["caution"]
    kinds = [(one["properties"]["kind"], one["properties"]["name"]) for one in page["features"]]
    assert kinds == [(one["properties"]["kind"], one["properties"]["name"]) for one in command["features"]]
    wgs84 = Geod(ellps="WGS84")
    for one, other in zip(page["features"], command["features"], strict=True):
        assert shape(one["geometry"]).is_valid
        assert shape(one["geometry"]).hausdorff_distance(shape(other["geometry"])) < 2e-4
        if one["properties"]["kind"] != "track":
            continue
        told, real = one["properties"], other["properties"]
        assert told["phase"] == real["phase"]
        here, there = np.array(one["geometry"]["coordinates"]), np.array(other["geometry"]["coordinates"])
        places = [np.interp(told["time_s"], real["time_s"], there[:, axis]) for axis in (0, 1)]
        _, _, off_m = wgs84.inv(here[:, 0], here[:, 1], *places)
        assert off_m.max() < METRES_OFF + 2.0
        feet = np.interp(told["time_s"], real["time_s"], real["altitude_ft"])
        assert np.abs(feet - told["altitude_ft"]).max() <= 8.0  # between two samples of a descent


def test_kml_of_the_page_keeps_to_its_schema(saved: dict[str, Path]) -> None:
    validator = pytest.importorskip("fastkml.validator")
    from lxml import etree

    validator.get_schema_parser().assertValid(etree.fromstring(saved["kml"].read_bytes()))
    heights = [float(one.split(",")[2]) for one in ET.parse(saved["kml"]).getroot().findtext(
        ".//{http://www.opengis.net/kml/2.2}LineString/{http://www.opengis.net/kml/2.2}coordinates", ""
    ).split()]  # fmt: skip
    real = next(one for one in flight_collection(shown(FLIGHT))["features"] if one["properties"]["kind"] == "track")
    assert heights[0] == pytest.approx(real["properties"]["altitude_ft"][0] * 0.3048, abs=0.4)


def test_drawing_and_picture_stand_alone_with_their_caution(saved: dict[str, Path]) -> None:
    drawing = saved["svg"].read_text(encoding="utf-8")
    ET.fromstring(drawing)
    assert "not for navigation" in drawing
    assert "var(--ink)" not in drawing
    assert saved["png"].read_bytes()[:8] == b"\x89PNG\r\n\x1a\n"
