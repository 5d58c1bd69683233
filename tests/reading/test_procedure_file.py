"""Procedure files: what is read, what is filled in, and that each guard fires with a line that helps."""

import json
import subprocess
import sys
from copy import deepcopy
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings, strategies as st

import analyzer
from analyzer.errors import ProcedureFileError
from analyzer.given.procedure import AltitudeLimit, Place
from analyzer.reading.procedure_file.read import procedure_from_mapping, read_procedure
from analyzer.reading.procedure_file.schema import procedure_schema

PROCEDURES = Path(__file__).parents[1] / "procedures"
PUBLISHED = Path(analyzer.__file__).parent / "shown" / "result" / "schemas" / "procedure.schema.json"
FLIGHT = datetime(2026, 5, 1, 14, 0, tzinfo=UTC)
A_MILLIMETRE_M = 0.001
A_MILLIONTH_DEG = 1e-6

SHORTEST: dict[str, Any] = {
    "title": "Shortest, Lower Teal",
    "reversal": "procedure turn",
    "fix": {"latitude": 46.2, "longitude": -101.5},
    "course": {"inbound_deg": 118, "variation_deg": 7, "turn_side": "right"},
    "guidance": {"kind": "VOR"},
}


def changed(**changes: Any) -> dict[str, Any]:
    """The shortest procedure with dotted keys (two underscores for the dot) set, or removed where None."""
    mapping = deepcopy(SHORTEST)
    for key, value in changes.items():
        table, _, name = key.rpartition("__")
        target = mapping.setdefault(table, {}) if table else mapping
        if value is None:
            del target[name]
        else:
            target[name] = value
    return mapping


def problems_of(mapping: dict[str, Any]) -> list[str]:
    with pytest.raises(ProcedureFileError) as caught:
        procedure_from_mapping(mapping, "teal.toml")
    lines = str(caught.value).split("\n")
    assert all(line.startswith("teal.toml: ") for line in lines)
    return [line.removeprefix("teal.toml: ") for line in lines]


def test_a_full_procedure_turn_is_read_with_nothing_filled_in():
    procedure = read_procedure(PROCEDURES / "vor_procedure_turn.toml")
    assert procedure.title == "VOR-A, Harrow Flats"
    assert procedure.reversal == "procedure turn"
    assert procedure.fix == Place(46.2, -101.5, "HRF", pytest.approx(1900 * 0.3048, abs=A_MILLIMETRE_M))
    assert procedure.inbound_true_deg == pytest.approx(125.0, abs=A_MILLIONTH_DEG)
    assert procedure.outbound_true_deg == pytest.approx(305.0, abs=A_MILLIONTH_DEG)
    assert procedure.offset_true_deg == pytest.approx(350.0, abs=A_MILLIONTH_DEG)
    assert procedure.guidance.station == procedure.fix, "a station at the fix keeps the fix's elevation for its cone"
    assert procedure.remain_within_m == pytest.approx(18520.0, abs=A_MILLIMETRE_M)
    assert (procedure.outbound_s, procedure.outbound_m) == (60.0, None)
    assert procedure.max_ias_mps == pytest.approx(200 * 1852 / 3600)
    assert procedure.altitude("arrival") == AltitudeLimit("arrival", "at or above", pytest.approx(1676.4), None)
    assert procedure.defaults == frozenset()
    assert procedure.source == str(PROCEDURES / "vor_procedure_turn.toml")


def test_the_shortest_file_gets_every_default_and_says_which():
    procedure = read_procedure(PROCEDURES / "shortest.toml")
    assert procedure.offset_true_deg == pytest.approx(350.0, abs=A_MILLIONTH_DEG)
    assert procedure.guidance.full_scale_deg == 10.0
    assert procedure.guidance.full_scale_m is None
    assert procedure.guidance.station == procedure.fix
    assert procedure.outbound_s == 60.0
    assert procedure.timing_from == "wings level"
    assert procedure.max_ias_mps == pytest.approx(200 * 1852 / 3600)
    assert (procedure.criteria, procedure.category) == ("US", "A")
    assert (procedure.remain_within_m, procedure.altitudes, procedure.runway) == (None, (), None)
    assert procedure.defaults == {
        "course.offset_deg",
        "guidance.full_scale_deg",
        "guidance.latitude",
        "guidance.longitude",
        "limits.outbound_min",
        "limits.timing_from",
        "limits.max_ias_kt",
        "protection.criteria",
        "protection.category",
    }


def test_a_teardrop_takes_its_side_from_the_outbound_course():
    procedure = read_procedure(PROCEDURES / "ndb_teardrop.toml")
    assert procedure.turn_side == "left", "254 lies to the left of 272, looking outbound"
    assert "course.turn_side" in procedure.defaults
    assert procedure.inbound_true_deg == pytest.approx(67.5, abs=A_MILLIONTH_DEG)
    assert procedure.outbound_true_deg == pytest.approx(229.5, abs=A_MILLIONTH_DEG)
    assert procedure.timing_from == "turn start"
    assert procedure.max_ias_mps == pytest.approx(140 * 1852 / 3600)
    assert procedure.outbound_s == 120.0
    limit = procedure.altitude("reversal")
    assert limit is not None
    assert (limit.rule, limit.low_m, limit.high_m) == ("between", pytest.approx(1280.16), pytest.approx(1828.8))
    assert procedure.runway is not None
    assert procedure.runway.ident == "09"


def test_a_hold_in_lieu_with_a_leg_in_miles_and_the_magnetic_model():
    procedure = read_procedure(PROCEDURES / "rnav_hold_in_lieu.toml", FLIGHT)
    assert (procedure.outbound_s, procedure.outbound_m) == (None, pytest.approx(7408.0))
    assert procedure.guidance.full_scale_m == 1852.0
    assert procedure.guidance.full_scale_deg is None
    assert procedure.variation_source == "WMM"
    assert 3.0 < procedure.variation_deg < 6.0
    assert procedure.inbound_true_deg == pytest.approx(172.0 + procedure.variation_deg)
    assert procedure.max_ias_mps == pytest.approx(230 * 1852 / 3600), "7000 ft: the middle band of US holding speeds"
    assert "WMM2025 on 2026-05-01" in procedure.notes[0]
    inbound = procedure.altitude("inbound")
    assert inbound is not None
    assert (inbound.low_m, inbound.high_m) == (None, pytest.approx(2133.6))


def test_a_hold_above_14000_ft_has_the_longer_leg():
    procedure = read_procedure(PROCEDURES / "vor_holding.toml")
    assert procedure.outbound_s == 90.0
    assert procedure.max_ias_mps == pytest.approx(240 * 1852 / 3600)
    assert procedure.side == 1
    assert procedure.inbound_true_deg == pytest.approx(2.0, abs=A_MILLIONTH_DEG)


@pytest.mark.parametrize(
    ("category", "kind", "seconds", "knots"),
    [("A", "procedure turn", 60.0, 110), ("C", "procedure turn", 75.0, 240), ("B", "holding", 60.0, 170)],
)
def test_icao_defaults_follow_the_category(category, kind, seconds, knots):
    mapping = changed(reversal=kind, protection__criteria="ICAO", protection__category=category)
    procedure = procedure_from_mapping(mapping, "teal.toml")
    assert procedure.outbound_s == seconds
    assert procedure.max_ias_mps == pytest.approx(knots * 1852 / 3600)
    assert procedure.timing_from == "turn start"


@pytest.mark.parametrize(("kind", "scale"), [("VOR", 10.0), ("NDB", 10.0), ("localizer", 2.5)])
def test_full_scale_defaults(kind, scale):
    assert procedure_from_mapping(changed(guidance__kind=kind), "teal.toml").guidance.full_scale_deg == scale


def test_a_station_elsewhere_is_no_station_at_the_fix():
    mapping = changed(fix__elevation_ft=1900, guidance__latitude=46.1, guidance__longitude=-101.4)
    assert procedure_from_mapping(mapping, "teal.toml").guidance.station == Place(46.1, -101.4)


def test_left_and_right_are_mirrors():
    left = procedure_from_mapping(changed(course__turn_side="left"), "teal.toml")
    right = procedure_from_mapping(changed(), "teal.toml")
    assert left.offset_true_deg == pytest.approx(260.0, abs=A_MILLIONTH_DEG)
    assert (left.side, right.side) == (1, -1)


@pytest.mark.parametrize(
    ("changes", "line"),
    [
        ({"fix__latitude": 96.2}, "fix.latitude = 96.2 is not possible. Expected degrees WGS 84 from -90 to 90"),
        ({"fix__latitude": float("nan")}, "fix.latitude = NaN is not possible"),
        ({"fix__latitude": "46.2"}, 'fix.latitude = "46.2" is text. Expected degrees WGS 84'),
        ({"fix__latitude": True}, "fix.latitude = true is true or false. Expected degrees"),
        ({"fix": 3}, "fix = 3 is a number. Expected a table: [fix]"),
        ({"fix": None}, "fix is missing. Expected a table: [fix]"),
        ({"title": " "}, 'title = " " is not possible. Expected a line of text'),
        ({"title": None}, "title is missing"),
        ({"reversal": "procedure-turn"}, 'Did you mean "procedure turn"?'),
        ({"guidance__kind": "vor"}, 'guidance.kind = "vor" is not one of the choices. Expected "VOR"'),
        ({"guidance__kind": "vor"}, 'Did you mean "VOR"?'),
        ({"course__inbound_deg": 361}, "course.inbound_deg = 361 is not possible. Expected degrees magnetic"),
        ({"course__inbound_deg": -1}, "course.inbound_deg = -1 is not possible"),
        ({"course__variation_deg": "east"}, 'course.variation_deg = "east" is text. Expected degrees from -180 to 180'),
        ({"course__turn_side": "Right"}, 'Did you mean "right"?'),
        ({"course__turn_side": None}, 'course.turn_side is missing. Expected "left" or "right"'),
        (
            {"course__turn_sid": "left", "course__turn_side": None},
            'course.turn_sid = "left" is not a known key. Did you mean',
        ),
        ({"course__outbound_deg": 280}, "is for a teardrop; a procedure turn goes out on 298"),
        ({"course__offset_deg": 253}, "does not lie on the right of the outbound course 298. Expected 343"),
        ({"course__offset_deg": 118}, "does not lie on the right"),
        ({"limits__remain_within_nm": 0}, "limits.remain_within_nm = 0 is not possible. Expected nautical miles"),
        ({"limits__outbound_min": 1, "limits__outbound_nm": 4}, "limits.outbound_min can't both hold"),
        ({"guidance__full_scale_deg": 5.0, "guidance__full_scale_nm": 1}, "guidance.full_scale_deg can't both hold"),
        ({"guidance__latitude": 46}, "guidance.longitude is missing. Expected it beside guidance.latitude"),
        ({"limits__timing_from": "abeam"}, 'Expected "wings level" or "turn start"'),
        ({"limits__max_ias_kt": 0}, "limits.max_ias_kt = 0 is not possible. Expected knots"),
        ({"remain_within_nm": 10}, "remain_within_nm = 10 is not a known key. It belongs in [limits]"),
        ({"limits__title": "x"}, 'limits.title = "x" is not a known key. It belongs at the top'),
        ({"limits__zzz": 1}, "Known keys of [limits]: remain_within_nm"),
        ({"limits__zz\n": 1}, '"limits.zz\\n" = 1 is not a known key'),
        ({"altitudes_ft__reversal": 4600}, "altitudes_ft.reversal = 4600 is a number. Expected a table such as"),
        ({"altitudes_ft__reversal": {}}, "altitudes_ft.reversal holds nothing. Expected one of"),
        (
            {"altitudes_ft__arival": {"at": 1}},
            'altitudes_ft.arival = a table is not a known key. Did you mean "arrival"?',
        ),
        ({"altitudes_ft__final": {"at_or_above": 1, "at_or_below": 2}}, "Expected between = [low, high]"),
        ({"altitudes_ft__final": {"at": 1, "at_or_below": 2}}, "Expected one of at_or_above"),
        ({"altitudes_ft__final": {"between": [5000, 4000]}}, "has the higher altitude first. Expected [4000, 5000]"),
        ({"altitudes_ft__final": {"between": [1]}}, "altitudes_ft.final.between = [1] is not possible"),
        ({"altitudes_ft__final": {"between": [1, "b"]}}, "altitudes_ft.final.between"),
        ({"protection__category": "F"}, 'protection.category = "F" is not one of the choices'),
        ({"protection__criteria": "us"}, 'Did you mean "US"?'),
        ({"runway__latitude": 46.2}, "runway.longitude is missing"),
    ],
)
def test_each_guard_fires(changes, line):
    lines = problems_of(changed(**changes))
    assert len(lines) == 1
    assert line in lines[0]


@pytest.mark.parametrize(
    ("course", "line"),
    [
        ({}, "course.outbound_deg is missing"),
        ({"outbound_deg": 298}, "makes no teardrop with course.inbound_deg"),
        ({"outbound_deg": 118}, "makes no teardrop"),
        ({"outbound_deg": 280, "turn_side": "right"}, 'Expected "left" or no turn_side'),
    ],
)
def test_teardrop_guards_fire(course, line):
    lines = problems_of(changed(reversal="teardrop", course={"inbound_deg": 118, "variation_deg": 7, **course}))
    assert len(lines) == 1
    assert line in lines[0]


def test_a_charted_reciprocal_is_no_contradiction():
    procedure = procedure_from_mapping(changed(course__outbound_deg=298), "teal.toml")
    assert procedure.outbound_true_deg == pytest.approx(305.0, abs=A_MILLIONTH_DEG)


def test_all_problems_are_told_at_once():
    lines = problems_of(
        changed(fix__latitude=100, course__turn_side=None, limits__outbound_min=1, limits__outbound_nm=2, gidance={})
    )
    assert len(lines) == 4


def test_the_magnetic_model_needs_a_date_it_covers():
    mapping = changed(course__variation_deg="WMM")
    assert "Give degrees, east positive and west negative" in problems_of(mapping)[0]
    with pytest.raises(ProcedureFileError, match="not stretched to 1990"):
        procedure_from_mapping(mapping, "teal.toml", datetime(1990, 1, 1, tzinfo=UTC))


@pytest.mark.parametrize(
    ("data", "line"),
    [
        (b"title = ", "not valid TOML"),
        (b'title = "a"\ntitle = "b"', "not valid TOML"),
        (b'title = "\xff"', "line 1: not UTF-8"),
        (b"x = " + b"[" * 50_000, "too deep"),
        (b"x = " + b"1" * 5_000, "too long"),
        (b"#" * 1_000_001, "larger than 1 MB"),
    ],
)
def test_a_file_that_is_no_procedure_is_one_line(tmp_path, data, line):
    path = tmp_path / "odd.toml"
    path.write_bytes(data)
    with pytest.raises(ProcedureFileError) as caught:
        read_procedure(path)
    assert line in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_missing_file_is_one_line(tmp_path):
    with pytest.raises(ProcedureFileError, match=r"no such file or directory\. Expected the path of a procedure file"):
        read_procedure(tmp_path / "none.toml")


def test_a_byte_order_mark_is_no_problem(tmp_path):
    path = tmp_path / "marked.toml"
    path.write_bytes(b"\xef\xbb\xbf" + (PROCEDURES / "shortest.toml").read_bytes())
    assert read_procedure(path).title == "Shortest, Lower Teal"


def test_the_published_schema_is_the_models_schema():
    assert json.loads(PUBLISHED.read_text(encoding="utf-8")) == procedure_schema(), (
        "write it anew: python -m analyzer.reading.procedure_file.schema"
    )


def test_the_published_schema_agrees_with_the_reader():
    import tomllib

    schema = json.loads(PUBLISHED.read_text(encoding="utf-8"))
    validator = jsonschema.Draft202012Validator(schema)
    validator.check_schema(schema)
    for path in PROCEDURES.glob("*.toml"):
        validator.validate(tomllib.loads(path.read_text(encoding="utf-8")))
    for bad in (
        changed(fix__latitude=96.2),
        changed(limits__zzz=1),
        changed(course__turn_side=None),
        changed(reversal="teardrop"),
        changed(altitudes_ft__final={"at": 1, "at_or_below": 2}),
    ):
        assert not validator.is_valid(bad)


def test_models_are_paid_for_only_where_a_file_is_read():
    code = (
        "import sys, analyzer.reading.procedure_file.read; print('pydantic' in sys.modules, 'pygeomag' in sys.modules)"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert said.split() == ["False", "False"]


_VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**400), 10**400) | st.floats() | st.text(max_size=6) | st.just("WMM"),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner, max_size=3),
    max_leaves=4,
)
_PLACES = st.sampled_from(
    [
        ("fix", "latitude"),
        ("fix", "longitude"),
        ("fix", "elevation_ft"),
        ("course", "inbound_deg"),
        ("course", "outbound_deg"),
        ("course", "offset_deg"),
        ("course", "variation_deg"),
        ("course", "turn_side"),
        ("guidance", "latitude"),
        ("guidance", "full_scale_nm"),
        ("limits", "outbound_min"),
        ("altitudes_ft", "reversal"),
        ("protection", "criteria"),
        ("runway", "latitude"),
    ]
)


@settings(max_examples=300, deadline=None)
@given(place=_PLACES, value=_VALUES, kind=st.sampled_from(["procedure turn", "teardrop", "hold in lieu", 3]))
def test_any_value_anywhere_is_read_or_refused_in_lines_that_name_the_file(place, value, kind):
    mapping = deepcopy(SHORTEST)
    mapping["reversal"] = kind
    mapping.setdefault(place[0], {})[place[1]] = value
    try:
        procedure = procedure_from_mapping(mapping, "teal.toml", FLIGHT)
    except ProcedureFileError as error:
        lines = str(error).splitlines()
    else:
        lines = []
        assert 0.0 <= procedure.inbound_true_deg < 360.0
        assert 0.0 <= procedure.offset_true_deg < 360.0
    assert all(line.startswith("teal.toml: ") for line in lines)
