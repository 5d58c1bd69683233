"""The briefing sheet: the plan's numbers in drawing, steps and tables, on a page that asks for nothing from outside."""

import html
import re
import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from pathlib import Path

import pytest

from analyzer.errors import OptionError
from analyzer.given.plane import frame_of
from analyzer.given.procedure import Procedure
from analyzer.given.wind import wind_from
from analyzer.planned.solver.values import SolvedPlan
from analyzer.run.briefing import brief_procedure, chart_procedure
from analyzer.shown.briefing.page import CAUTION, briefing_page
from analyzer.shown.briefing.sheet import altitude_rows, briefed, leg_rows, limit_rows, what_if_rows
from analyzer.units.factors import KELVIN_AT_0_C, METRES_PER_NM, MPS_PER_KNOT
from tests.judged.test_flight_card import DELAY, HOLD, TURN

KT = MPS_PER_KNOT
FILES = Path(__file__).parents[1] / "procedures"
WIND = wind_from(35.0, 20.0 * KT)


@pytest.mark.parametrize("procedure", [TURN, HOLD, DELAY, replace(TURN, reversal="teardrop", outbound_true_deg=330.0)])
@pytest.mark.parametrize("wind", [None, WIND])
def test_the_page_is_whole_and_asks_for_nothing(procedure: Procedure, wind: object) -> None:
    page = briefing_page(briefed(procedure, 110.0 * KT, wind))  # type: ignore[arg-type]
    assert page.count(CAUTION) == 1
    assert "default-src 'none'" in html.unescape(page)
    assert not re.search(r"(src|href)=\"(?!data:)", page)
    assert "<script" not in page
    assert "nan" not in re.sub(r"<style>.*?</style>", "", page, flags=re.S)
    drawing = re.search(r"<svg.*?</svg>", page, re.S)
    assert drawing is not None
    ElementTree.fromstring(drawing[0])
    if wind is None:
        assert "for the wind" not in page


def test_steps_table_and_drawing_say_the_plans_numbers() -> None:
    sheet = briefed(HOLD, 110.0 * KT, WIND, arrival_true_deg=HOLD.inbound_true_deg)
    assert isinstance(sheet.solved, SolvedPlan)
    heading = sheet.solved.heading_true_deg("outbound")
    assert heading is not None
    printed = f"{round(HOLD.magnetic_deg(heading)):03d}°"
    assert any(printed in line for line in sheet.card.lines)
    assert f"heading {printed}" in {row[1] for row in leg_rows(sheet)}
    assert f">{printed} " in briefing_page(sheet)


def test_a_leg_by_distance_is_said_as_it_is_read() -> None:
    """Five miles on from a fix that reads 15: 20 DME in the steps, the table and the drawing."""
    latitude_deg, longitude_deg = frame_of(DELAY).latitude_longitude_from_along_cross(-15.0 * METRES_PER_NM, 0.0)
    station = replace(DELAY.guidance.station, latitude_deg=float(latitude_deg), longitude_deg=float(longitude_deg))
    plan = replace(
        DELAY, outbound_s=None, outbound_m=5.0 * METRES_PER_NM,
        guidance=replace(DELAY.guidance, kind="VOR", station=station),
    )  # fmt: skip
    sheet = briefed(plan, 110.0 * KT, WIND)
    assert any("to 20 DME" in line for line in sheet.card.lines)
    assert "to 20 DME" in {row[2] for row in leg_rows(sheet)}
    assert re.search(r">\d{3}° to 20 DME</text>", briefing_page(sheet))


def test_the_latest_point_to_turn_keeps_the_limit() -> None:
    """Begun there, the farthest point of the turn is on the limit."""
    sheet = briefed(TURN, 110.0 * KT, WIND)
    assert isinstance(sheet.solved, SolvedPlan)
    rows = dict(limit_rows(sheet))
    latest = float(rows["Begin the turn off the course at the latest"].split()[0]) * METRES_PER_NM
    begins = float(sheet.solved.legs[0].along_m[-1])
    turn = [leg for leg in sheet.solved.legs[1:] if leg.phase != "inbound"]
    later = [((leg.along_m + latest - begins) ** 2 + leg.cross_m**2).max() ** 0.5 for leg in turn]
    assert max(later) == pytest.approx(10.0 * METRES_PER_NM, abs=0.01 * METRES_PER_NM)


def test_an_arrival_gives_the_entry() -> None:
    """[AIM] 5-3-8 j: right turns, from 110 to 180 degrees right of the inbound course a teardrop entry."""
    assert briefed(DELAY, 110.0 * KT, None, DELAY.inbound_true_deg + 150.0).asked.entry == "teardrop"
    assert briefed(DELAY, 110.0 * KT, None, DELAY.inbound_true_deg - 120.0).asked.entry == "parallel"
    assert briefed(DELAY, 110.0 * KT, None, DELAY.inbound_true_deg + 20.0).asked.entry == "direct"


def test_what_if_answers_ten_knots_less_and_more() -> None:
    rows = what_if_rows(briefed(TURN, 110.0 * KT, WIND))
    assert [name for name, _ in rows] == ["10 kt (−10)", "30 kt (+10)"]
    assert rows[0][1] != rows[1][1]
    assert what_if_rows(briefed(TURN, 110.0 * KT, None)) == []
    gale = briefed(TURN, 80.0 * KT, wind_from(35.0, 40.0 * KT))
    assert "No plan: 50 kt of wind at 80 kt" in what_if_rows(gale)[1][1]


def test_cold_air_makes_the_altitudes_lower() -> None:
    """4 % of the height above the station for each 10 degrees below standard.

    The station is at 580 m, where the standard has 11.2 degrees: -15 is 26 colder. 4,600 ft is 2,697 ft above it, so
    280 ft.
    """
    sheet = briefed(TURN, 110.0 * KT, None, temperature_k=KELVIN_AT_0_C - 15.0)
    rows = {name: cold for name, _, cold in altitude_rows(sheet)}
    assert rows["reversal"] == "about 280 ft lower than shown"
    warm = briefed(TURN, 110.0 * KT, None, temperature_k=KELVIN_AT_0_C + 30.0)
    assert {cold for _, _, cold in altitude_rows(warm)} == {""}


def test_no_plan_is_said_and_nothing_is_ordered() -> None:
    page = briefing_page(briefed(HOLD, 90.0 * KT, wind_from(HOLD.inbound_true_deg, 45.0 * KT)))
    assert "No plan:" in page
    assert "<ol>" not in page


def test_markup_in_a_title_is_text() -> None:
    page = briefing_page(briefed(replace(TURN, title="<b>x</b>&"), 110.0 * KT, WIND))
    assert "<b>x</b>" not in page
    assert "&lt;b&gt;x&lt;/b&gt;&amp;" in page


def test_the_command_writes_a_sheet_and_names_what_is_wrong(tmp_path: Path) -> None:
    file = FILES / "vor_procedure_turn.toml"
    place = tmp_path / "sheet.html"
    said = brief_procedure(file, place, "240/18", 110.0, (None, None, None))
    assert said.startswith(f"{place}: briefing of vor_procedure_turn.toml")
    assert "233° magnetic at 18 kt" in place.read_text(encoding="utf-8")
    for wind, tas, more, word in (
        ("gusty", 110.0, (None, None, None), "is not a wind"),
        ("240/18", 5.0, (None, None, None), "--tas"),
        ("240/18", 110.0, (400.0, None, None), "--arrival"),
        ("240/18", 110.0, (None, "loop", None), "--method"),
        ("240/18", 110.0, (None, "hold", None), "is not flown as hold"),
        ("240/18", 110.0, (None, None, 99.0), "--temperature-c"),
    ):
        with pytest.raises(OptionError, match=word):
            brief_procedure(file, place, wind, tas, more)
    with pytest.raises(OptionError, match=r"written as \.html"):
        brief_procedure(file, tmp_path / "sheet.pdf", "240/18", 110.0, (None, None, None))


def test_the_chart_says_the_same_for_the_same_wind(tmp_path: Path) -> None:
    """Steps, legs and what if of the sheet stand on the chart's page as well; without a wind those of still air."""
    file, question = FILES / "vor_procedure_turn.toml", (None, None, None)
    sheet, chart, calm = tmp_path / "sheet.html", tmp_path / "chart.html", tmp_path / "calm.html"
    brief_procedure(file, sheet, "240/18", 110.0, question)
    chart_procedure(file, chart, "240/18", 110.0, question)
    chart_procedure(file, calm, None, None, question)
    briefed_page, charted, still = (path.read_text(encoding="utf-8") for path in (sheet, chart, calm))
    parts = re.findall(
        r"<ol>.*?</ol>|<table class=\"legs\">.*?</table>|<caption>What if.*?</table>", briefed_page, re.S
    )
    assert len(parts) == 3
    for part in parts:
        assert part in charted
    in_wind = '<path class="line planned corrected"'
    assert in_wind in charted, "the plan in the wind lies over that in still air"
    assert in_wind not in still
    assert "Still air, true airspeed" in still
    assert "for the wind" not in still
    assert charted.count("<style>") == 1
    assert ' style="' not in charted


def test_only_a_page_says_what_to_fly(tmp_path: Path) -> None:
    file = FILES / "vor_procedure_turn.toml"
    with pytest.raises(OptionError, match=r"only a page \(\.html\)"):
        chart_procedure(file, tmp_path / "chart.svg", "240/18", None, (None, None, None))
    with pytest.raises(OptionError, match="is not a wind"):
        chart_procedure(file, tmp_path / "chart.html", "gusty", None, (None, None, None))
    said = chart_procedure(file, tmp_path / "chart.html", "240/18", None, (None, None, None))
    assert "chart of vor_procedure_turn.toml" in said
    assert "true airspeed 90 kt" in (tmp_path / "chart.html").read_text(encoding="utf-8"), "the chart's own speed"
