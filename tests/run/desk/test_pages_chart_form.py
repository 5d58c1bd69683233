"""The chart form: what is typed as printed becomes the procedure file's text, with its problems at the right field."""

import time
import tomllib
from datetime import date
from pathlib import Path

import pytest
from typed_charts import TYPED

from analyzer.reading import read_procedure
from analyzer.run.desk.pages.chart_form.checked import checked, checked_tables, field_of
from analyzer.run.desk.pages.chart_form.drawn import drawing_of
from analyzer.run.desk.pages.chart_form.fields import FIELDS, SECTIONS
from analyzer.run.desk.pages.chart_form.form import tables_of, values_of
from analyzer.run.desk.pages.chart_form.page import live_answer
from analyzer.run.desk.pages.chart_form.printed import value_of
from analyzer.run.desk.pages.chart_form.toml_text import toml_text

SAMPLES = Path(__file__).parents[3] / "sample_tracks"


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("028", "course", 28),
        ("118°", "course", 118),
        ("343M", "course", 343),
        ("A 280, C 272", "course", {"A": 280, "C": 272}),
        ("4,600", "altitude", 4600),
        ("4 600 ft", "altitude", 4600),
        ("4600'", "altitude", 4600),
        # 1,000 m are 3,280.84 ft (the international foot is 0.3048 m exactly)
        ("1000 m", "altitude", 3281),
        ("1 400 m", "altitude", 4593),
        ("10", "distance", 10),
        ("8 DME", "distance", 8),
        # 1 NM is 1,852 m exactly
        ("18,52 km", "distance", 10.0),
        ("1.5 min", "minutes", 1.5),
        ("90 s", "minutes", 1.5),
        ("200 KIAS", "speed", 200),
        ("7° E", "variation", 7),
        ("W 3.5", "variation", -3.5),
        ("VAR 7.0°W", "variation", -7.0),
        ("-7", "variation", -7),
        ("wmm", "variation", "WMM"),
        ("080-156, 200–230", "sectors", [[80, 156], [200, 230]]),
        ("N46 12.0", "latitude", "N46 12.0"),
        ("46.2", "latitude", 46.2),
        ("46,2", "latitude", 46.2),
        ("2026-04-16", "date", date(2026, 4, 16)),
        ("", "course", None),
        ("   ", "altitude", None),
    ],
)
def test_values_are_read_as_charts_print_them(text, kind, value):
    assert value_of(text, kind) == value


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("46oo", "altitude"),
        ("118 degrees true", "course"),
        ("ten", "distance"),
        ("north", "variation"),
        ("80", "sectors"),
    ],
)
def test_what_cannot_be_read_stays_for_the_files_checks(text, kind):
    assert value_of(text, kind) == text


@pytest.mark.parametrize("name", ["vor_12", "vor_12_hold", "ndb_a", "rnav_30"])
def test_a_sample_chart_goes_through_the_form_unchanged(name):
    tables = tomllib.loads((SAMPLES / f"{name}.toml").read_text(encoding="utf-8"))
    assert tables_of(values_of(tables)) == tables
    assert tomllib.loads(toml_text(tables)) == tables


def test_every_key_of_the_file_goes_through_the_form_unchanged():
    tables = {
        "title": "All of it",
        "reversal": "teardrop",
        "no_reversal_from": [[80, 156]],
        "source": {"name": "2605", "in_force_from": date(2026, 4, 16), "in_force_until": date(2026, 5, 14)},
        "fix": {"ident": "HRF", "latitude": "N46 12.0", "longitude": "W101 30.0", "elevation_ft": 1900},
        "course": {
            "inbound_deg": 118,
            "variation_deg": -3.5,
            "turn_side": "left",
            "outbound_deg": {"A": 280, "C": 272},
        },
        "guidance": {"kind": "VOR", "full_scale_deg": 10, "latitude": 46.2, "longitude": -101.5},
        "limits": {
            "remain_within_nm": 10,
            "outbound_min": {"A": 2, "C": 1.5},
            "outbound_limit": {"dme_nm": 8, "ident": "HRF", "latitude": 46.2, "longitude": -101.5},
            "timing_from": "turn start",
            "max_ias_kt": 200,
        },
        "altitudes_ft": {
            "arrival": {"at": 5000},
            "reversal": {"between": [4000, 6000]},
            "inbound": {"at_or_below": 3900},
            "final": {"at_or_above": 2500},
        },
        "protection": {"criteria": "ICAO", "category": "B"},
        "runway": {"ident": "12", "latitude": 46.1503, "longitude": -101.3975, "elevation_ft": 1870},
        "final_fix": {"ident": "HFL", "latitude": 46.17, "longitude": -101.44},
        "missed_approach": {"at_min": 2.5, "groundspeed_kt": 90, "climb_to_ft": 5500},
        "arc": {"ident": "HRF", "latitude": 46.2, "longitude": -101.5, "radius_nm": 10, "from_deg": 230, "to_deg": 298},
        "step": [
            {"ident": "HFD", "distance_nm": 2.5, "at_or_above": 2900},
            {"distance_nm": 4, "at_or_above": 2700, "latitude": 46.2, "longitude": -101.5},
        ],
    }
    assert tables_of(values_of(tables)) == tables
    assert tomllib.loads(toml_text(tables)) == tables


def test_the_typed_chart_is_the_contracts_file(tmp_path):
    chart = checked(TYPED)
    assert (chart.wrong, chart.missing, chart.elsewhere) == ({}, {}, ())
    path = tmp_path / "chart.toml"
    path.write_text(chart.toml, encoding="utf-8")
    read = read_procedure(path)
    assert read.inbound_magnetic_deg == pytest.approx(118.0)
    assert (read.fix.latitude_deg, read.fix.longitude_deg) == pytest.approx((46.2, -101.5))
    limit = read.altitude("reversal")
    assert (limit.rule, limit.low_m) == ("at or above", pytest.approx(4600 * 0.3048))


def test_markup_and_line_ends_in_a_field_stay_one_text():
    nasty = 'x"\n[fix]\nlatitude = 0 # <script>\u2028\x7f\\'
    tables = {"title": nasty, "fix": {"ident": nasty}}
    assert tomllib.loads(toml_text(tables)) == tables
    assert "\n" not in tables_of({"title": nasty})["title"]


@pytest.mark.parametrize(
    ("change", "field", "said"),
    [
        ({"course.inbound_deg": "361"}, "course.inbound_deg", "361 is not possible"),
        ({"fix.latitude": "N46 72.0"}, "fix.latitude", "N46 12.0"),
        ({"course.offset_deg": "100"}, "course.offset_deg", "“Side”"),
        ({"altitudes_ft.final.value": "25oo"}, "altitudes_ft.final.value", "can't be read"),
        ({"altitudes_ft.reversal.rule": "between", "altitudes_ft.reversal.high": "4000"}, "altitudes_ft.reversal.value",
         "higher altitude first"),
        ({"limits.outbound_nm": "4"}, "limits.outbound_nm", "“Timed leg”"),
        ({"step.1.at_or_above": "2900"}, "step.1.distance_nm", "Still needed"),
        ({"missed_approach.climb_to_ft": "5500"}, "missed_approach.at_nm", "at_nm"),
        ({"runway.latitude": "46.15"}, "runway.longitude", "Still needed"),
        ({"protection.category": "F"}, "protection.category", "not one of the choices"),
    ],
)  # fmt: skip
def test_a_problem_stands_at_its_field_in_words(change, field, said):
    chart = checked({**TYPED, **change})
    told = {**chart.wrong, **chart.missing}
    assert list(told) == [field]
    assert said in told[field]


def test_an_empty_form_names_what_is_needed():
    chart = checked({})
    assert not chart.wrong
    assert set(chart.missing) == {
        "title", "reversal", "fix.latitude", "fix.longitude", "course.inbound_deg", "course.variation_deg",
        "guidance.kind",
    }  # fmt: skip


def test_every_problem_of_the_schema_has_a_place():
    """Whatever key the checks name, a field of the form or the top of the page says so."""
    assert field_of("course.no_reversal_from") == "no_reversal_from"
    assert field_of("arc") == "arc.ident"
    assert field_of("nothing.known") is None
    chart = checked_tables({**checked(TYPED).tables, "wind": {"from": 240}})
    assert "not a known key" in " ".join(chart.elsewhere)


def test_doubtful_values_are_asked_about_not_refused():
    chart = checked({**TYPED, "altitudes_ft.reversal.value": "1400", "fix.elevation_ft": "1900"})
    assert chart.procedure is not None
    assert any("metres" in text for text in chart.doubts)


@pytest.mark.parametrize("kind", ["procedure turn", "teardrop", "hold in lieu", "holding"])
def test_the_drawing_begins_with_the_inbound_course(kind):
    assert drawing_of(checked({"reversal": kind})).svg is None
    drawing = drawing_of(checked({"reversal": kind, "course.inbound_deg": "118"}))
    assert "inbound 118°" in drawing.svg
    assert "stand-in" in drawing.words
    whole = drawing_of(checked({**TYPED, "reversal": kind, "course.outbound_deg": "280", "course.turn_side": ""}))
    assert whole.svg is None or "HRF" in whole.svg


def test_the_drawing_escapes_what_is_typed():
    drawing = drawing_of(checked({**TYPED, "fix.ident": "<script>alert(1)</script>"}))
    assert "<script" not in drawing.svg
    assert "&lt;script" in drawing.svg


def test_the_drawing_stays_while_an_unneeded_value_is_wrong():
    drawing = drawing_of(checked({**TYPED, "limits.remain_within_nm": "te", "runway.latitude": "x"}))
    assert drawing.svg is not None
    blocked = drawing_of(checked({**TYPED, "fix.latitude": "N46 99"}))
    assert blocked.svg is None
    assert "Fix, latitude" in blocked.words


def test_each_field_is_there_once():
    keys = [field.key for section in SECTIONS for field in section.fields]
    assert len(keys) == len(set(keys)) == len(FIELDS)


@pytest.mark.parametrize("name", ["vor_12", "vor_12_hold", "ndb_a", "rnav_30"])
@pytest.mark.parametrize("key", ["course.inbound_deg", "altitudes_ft.reversal.value"])
def test_an_answer_to_a_key_leaves_half_of_150_ms_to_the_browser(name, key):
    """Processor time, so that a busy machine doesn't count; the drawing may wait for areas, as the script lets it."""
    values = values_of(tomllib.loads((SAMPLES / f"{name}.toml").read_text(encoding="utf-8")))
    first = 120 if key.startswith("course") else 5000
    spent = []
    for number in range(6):
        began = time.process_time()
        chart = checked({**values, key: str(first + number)})
        answer = live_answer(chart, drawing_of(chart, with_areas=False))
        spent.append(time.process_time() - began)
        assert answer["drawing"] is not None
    assert sorted(spent)[len(spent) // 2] < 0.075
