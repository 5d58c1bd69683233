"""The chart: three kinds of file, the same bytes each time, self-contained and escaped, for every kind of procedure."""

import base64
import hashlib
import html
import json
import re
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pytest
from shapely.geometry import shape

from analyzer.errors import OptionError, OutputError
from analyzer.given.procedure import Procedure
from analyzer.reading.procedure_file.read import procedure_from_mapping
from analyzer.shown.chart.draw import chart_content, draw_chart, write_chart
from analyzer.shown.chart.scene import scene_of
from analyzer.shown.chart.words import CAUTION


def mapping(reversal: str = "procedure turn", **sections: dict) -> dict:
    base = {
        "title": "VOR-A, Harrow Flats",
        "reversal": reversal,
        "fix": {"ident": "HRF", "latitude": 46.2, "longitude": -101.5, "elevation_ft": 1900},
        "course": {"inbound_deg": 118, "variation_deg": 7.0, "turn_side": "right"},
        "guidance": {"kind": "VOR"},
        "limits": {"remain_within_nm": 10},
        "altitudes_ft": {
            "arrival": {"at_or_above": 5500},
            "reversal": {"at_or_above": 4600},
            "inbound": {"between": [3700, 4200]},
            "final": {"at_or_below": 3100},
        },
        "protection": {"criteria": "US", "category": "A"},
        "runway": {"ident": "12", "latitude": 46.1503, "longitude": -101.3975, "elevation_ft": 1870},
    }
    if reversal == "teardrop":
        base["course"] = {**base["course"], "outbound_deg": 323}
    for name, values in sections.items():
        base[name] = {**base.get(name, {}), **values} if isinstance(values, dict) else values
    return base


def procedure(reversal: str = "procedure turn", **sections: dict) -> Procedure:
    return procedure_from_mapping(mapping(reversal, **sections), "test.toml")


def words_of(svg: str) -> str:
    root = ElementTree.fromstring(svg)
    return " | ".join("".join(node.itertext()) for node in root.iter("{http://www.w3.org/2000/svg}text"))


@pytest.mark.parametrize("reversal", ["procedure turn", "teardrop", "hold in lieu", "holding"])
@pytest.mark.parametrize("guidance", ["VOR", "localizer", "RNAV"])
def test_every_kind_is_drawn_and_its_courses_are_magnetic(reversal: str, guidance: str) -> None:
    words = words_of(chart_content(procedure(reversal, guidance={"kind": guidance}), ".svg"))
    assert "118°" in words
    assert "125°" not in words, "the true course is not on the chart"
    assert "primary" in words
    assert "secondary" in words
    assert "remain within 10 NM" in words
    assert "4,600" in words
    assert "variation 7.0° E" in words
    assert CAUTION in words
    if reversal == "procedure turn":
        assert "343° / 163°" in words
    if reversal == "teardrop":
        assert "323°" in words
    if reversal in ("hold in lieu", "holding"):
        assert all(entry in words for entry in ("direct", "teardrop", "parallel"))


def test_the_same_procedure_gives_the_same_bytes() -> None:
    for suffix in (".svg", ".html", ".geojson"):
        assert chart_content(procedure(), suffix) == chart_content(procedure(), suffix)
    assert "<dc:date>" not in chart_content(procedure(), ".svg")


def test_the_page_is_self_contained_under_a_strict_policy() -> None:
    page = chart_content(procedure(), ".html")
    assert "default-src 'none'" in html.unescape(page)
    style = re.search(r"<style>(.*?)</style>", page, flags=re.DOTALL).group(1)
    assert base64.b64encode(hashlib.sha256(style.encode()).digest()).decode() in html.unescape(page)
    script = re.search(r"<script>(.*?)</script>", page, flags=re.DOTALL).group(1)
    assert base64.b64encode(hashlib.sha256(script.encode()).digest()).decode() in html.unescape(page)
    assert page.count("<script") == 2, "the data and what moves the plan"
    assert ' style="' not in page, "the policy would drop it"
    assert page.count("<style>") == 1
    assert not re.findall(r'(?:src|href)="(?!#|data:,")', page), "nothing is fetched"
    assert page.count(CAUTION) >= 3, "in the head, on the drawing and at the foot"
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    for reference in re.findall(r'(?:href="#|url\(#)([^")]+)', page):
        assert reference in ids
    assert "default</span>" in page, "values the file left out are marked"
    assert "from memory" in page
    assert "paragraph 234" in page


def test_text_from_the_file_is_escaped_everywhere() -> None:
    nasty = procedure(
        title='<script>alert(1)</script> & "quoted" $x$ 飛行', fix={"ident": "<b>$H$"}, runway={"ident": "<i>&"}
    )
    page = chart_content(nasty, ".html")
    assert "<script>alert" not in page
    assert "<b>" not in page
    assert "<i>" not in page
    svg = chart_content(nasty, ".svg")
    assert '<script>alert(1)</script> & "quoted" $x$ 飛行' in words_of(svg)
    assert "<b>$H$" in words_of(svg)


@pytest.mark.parametrize("category", ["A", "B", "C", "D", "E"])
def test_every_category_is_drawn(category: str) -> None:
    words = words_of(chart_content(procedure(protection={"criteria": "ICAO", "category": category}), ".svg"))
    assert f"category {category}" in words


def test_a_procedure_without_limits_and_altitudes_is_drawn() -> None:
    bare = mapping()
    for key in ("limits", "altitudes_ft", "runway"):
        del bare[key]
    page = chart_content(procedure_from_mapping(bare, "bare.toml"), ".html")
    assert "the procedure gives no altitudes" in page
    assert "10 NM is assumed" in page


def test_geojson_holds_areas_and_the_nominal_path() -> None:
    collection = json.loads(chart_content(procedure(), ".geojson"))
    names = [feature["properties"]["name"] for feature in collection["features"]]
    assert names == ["primary", "secondary", "entry zone", "distance limit", "nominal path"]
    assert all(shape(feature["geometry"]).is_valid for feature in collection["features"])
    assert collection["caution"] == CAUTION


def test_files_are_written_and_wrong_suffixes_and_places_are_one_line_errors(tmp_path: Path) -> None:
    for suffix in (".html", ".SVG", ".geojson"):
        path = tmp_path / f"chart{suffix}"
        draw_chart(procedure(), path)
        assert path.stat().st_size > 1000
    with pytest.raises(OptionError, match=r"\.pdf; the suffix says how to draw") as error:
        draw_chart(procedure(), tmp_path / "chart.pdf")
    assert "\n" not in str(error.value)
    with pytest.raises(OutputError):
        draw_chart(procedure(), tmp_path / "missing" / "chart.svg")


def test_a_procedure_file_is_drawn_under_its_own_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    source = tmp_path / "ndb_b.toml"
    source.write_text(
        'title = "NDB-B"\nreversal = "holding"\n[fix]\nlatitude = -17.0\nlongitude = 179.99\n'
        '[course]\ninbound_deg = 5\nvariation_deg = 12\nturn_side = "left"\n[guidance]\nkind = "NDB"\n',
        encoding="utf-8",
    )
    monkeypatch.chdir(tmp_path)
    line = write_chart(source)
    assert line.startswith("ndb_b.html: ")
    assert "NDB-B" in (tmp_path / "ndb_b.html").read_text(encoding="utf-8")
    with pytest.raises(OptionError, match="no suffix"):
        write_chart(source, tmp_path / "chart")


def test_charted_values_that_allow_no_path_are_drawn_with_the_outbound_course() -> None:
    """18 degrees apart and a minute out: a turn at the standard rate ends far beyond the course."""
    course = {"inbound_deg": 118, "outbound_deg": 280, "variation_deg": 7.0, "turn_side": "left"}
    limits = {"remain_within_nm": 10, "outbound_min": 1}
    procedure = procedure_from_mapping(mapping("teardrop", course=course, limits=limits), "chart.toml")
    scene = scene_of(procedure, ())
    assert not scene.nominal
    along_m, cross_m = scene.outbound_m
    # 18,520 m out, 18 degrees to the left of the reciprocal looking outbound, which is right looking inbound
    assert (along_m[-1], cross_m[-1]) == pytest.approx((17_613.6, 5_723.0), abs=1.0)
    for suffix in (".html", ".svg"):
        assert chart_content(procedure, suffix)
