"""Optional keys of a procedure file, and values as charts print them: read, or refused with the right form."""

import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from analyzer.errors import ProcedureFileError
from analyzer.given import DistanceLimit, LeadingArc, MissedApproach, Place, StepFix
from analyzer.reading.procedure_file.printed_forms import printed_degrees
from analyzer.reading.procedure_file.read import read_procedure
from analyzer.reading.procedure_file.schema import procedure_schema

HEAD = """title = "VOR-A, Harrow Flats"
reversal = "{reversal}"
{top}
[fix]
latitude = 46.2
longitude = -101.5
[course]
inbound_deg = 118
variation_deg = 7
{course}
[guidance]
kind = "VOR"
latitude = 46.3
longitude = -101.4
{rest}
"""
A_MILLIMETRE_M = 0.001
A_MILLIONTH_DEG = 1e-6


def text_of(
    *, reversal: str = "procedure turn", top: str = "", course: str = 'turn_side = "right"', rest: str = ""
) -> str:
    return HEAD.format(reversal=reversal, top=top, course=course, rest=rest)


def read(tmp_path: Path, text: str) -> Any:
    file = tmp_path / "chart.toml"
    file.write_text(text, encoding="utf-8")
    try:
        mapping = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        mapping = None
    valid = None if mapping is None else jsonschema.Draft202012Validator(procedure_schema()).is_valid(mapping)
    procedure = read_procedure(file)
    assert valid is not False, "what is read the published schema allows"
    return procedure


def refusal(tmp_path: Path, text: str) -> str:
    file = tmp_path / "chart.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(ProcedureFileError) as caught:
        read_procedure(file)
    return str(caught.value).replace(f"{file}: ", "")


def test_a_turning_limit_from_another_station(tmp_path: Path) -> None:
    limit = "[limits]\noutbound_limit = { dme_nm = 8, latitude = 46.25, longitude = -101.6 }"
    assert read(tmp_path, text_of(rest=limit)).outbound_limit == DistanceLimit(Place(46.25, -101.6), 8 * 1852)
    guided = read(tmp_path, text_of(rest="[limits]\noutbound_limit = { dme_nm = 8 }")).outbound_limit
    assert guided.station == Place(46.3, -101.4), "without a position it is the station of the guidance"
    said = refusal(tmp_path, text_of(rest="[limits]\noutbound_limit = { dme_nm = 8, latitude = 46 }"))
    assert said == "limits.outbound_limit.longitude is missing. Expected it beside limits.outbound_limit.latitude"
    assert "above 0 and up to 200" in refusal(tmp_path, text_of(rest="[limits]\noutbound_limit = { dme_nm = 0 }"))


@pytest.mark.parametrize(
    ("category", "course", "minutes"), [("A", 280, 2), ("B", 280, 2), ("C", 272, 1.5), ("E", 272, 1.5)]
)
def test_courses_and_times_by_category(tmp_path: Path, category: str, course: int, minutes: float) -> None:
    text = text_of(
        reversal="teardrop",
        course="outbound_deg = { A = 280, C = 272 }",
        rest=f'[limits]\noutbound_min = {{ A = 2, C = 1.5 }}\n[protection]\ncategory = "{category}"',
    )
    procedure = read(tmp_path, text)
    assert procedure.outbound_true_deg == pytest.approx(course + 7, abs=A_MILLIONTH_DEG)
    assert procedure.outbound_s == minutes * 60


def test_a_category_without_a_value_is_told(tmp_path: Path) -> None:
    said = refusal(tmp_path, text_of(reversal="teardrop", course="outbound_deg = { C = 272 }"))
    assert "course.outbound_deg holds no value for the category of [protection]" in said
    assert "Did you mean" not in said
    said = refusal(tmp_path, text_of(reversal="teardrop", course="outbound_deg = { F = 272 }"))
    assert said.startswith("course.outbound_deg.F = 272 is not a known key")
    said = refusal(tmp_path, text_of(reversal="teardrop", course="outbound_deg = { A = 480 }"))
    assert said.startswith("course.outbound_deg.A = 480 is not possible")


@pytest.mark.parametrize("place", ["top", "course"])
def test_arrivals_without_a_reversal(tmp_path: Path, place: str) -> None:
    sectors = "no_reversal_from = [[80, 156], [350, 10]]"
    text = text_of(top=sectors) if place == "top" else text_of(course=f'turn_side = "right"\n{sectors}')
    procedure = read(tmp_path, text)
    assert procedure.no_reversal_from == ((87.0, 163.0), (357.0, 17.0))
    # magnetic 350 to 10, over north, is 357 to 17 true
    inside, outside = (87.0, 163.0, 357.0, 0.0, 17.0), (86.9, 163.1, 356.9, 17.1, 270.0)
    assert all(procedure.is_no_reversal_course(course) for course in inside)
    assert not any(procedure.is_no_reversal_course(course) for course in outside)


def test_step_down_fixes(tmp_path: Path) -> None:
    steps = (
        '[[step]]\nident = "BILKA"\ndistance_nm = 3\nat_or_above = 2800\n'
        '[[step]]\ndistance_nm = 5\nfrom = "fix"\nat_or_above = 2100\n'
        "[[step]]\ndistance_nm = 2\nlatitude = 46.15\nlongitude = -101.3\nat_or_above = 2000\n"
        "[[step]]\ndistance_nm = 1\nfrom = { latitude = 46.15, longitude = -101.3 }\nat_or_above = 1900\n"
    )
    procedure = read(tmp_path, text_of(rest=steps))
    elsewhere = Place(46.15, -101.3)
    assert [step.origin for step in procedure.steps] == [procedure.fix, procedure.fix, elsewhere, elsewhere]
    assert procedure.steps[0] == StepFix(
        3 * 1852.0, procedure.fix, pytest.approx(2800 * 0.3048, abs=A_MILLIMETRE_M), "BILKA"
    )
    said = refusal(tmp_path, text_of(rest="[[step]]\ndistance_nm = 3\nat_or_abov = 2800"))
    assert 'step[1].at_or_abov = 2800 is not a known key. Did you mean "at_or_above"?' in said
    said = refusal(tmp_path, text_of(rest='[[step]]\ndistance_nm = 3\nfrom = "runway"\nat_or_above = 1'))
    assert said.startswith('step[1].from = "runway" is not one of the choices. Expected "fix", or a position')
    assert "step[1].distance_nm is missing" in refusal(tmp_path, text_of(rest="[[step]]\nat_or_above = 2800"))


def test_final_fix_missed_approach_and_arc(tmp_path: Path) -> None:
    rest = (
        '[final_fix]\nident = "BILKA"\nlatitude = "N46 09.0"\nlongitude = "W101 21.0"\n'
        "[missed_approach]\nat_min = 2.5\ngroundspeed_kt = 90\nclimb_to_ft = 5000\n"
        "[arc]\nlatitude = 46.2\nlongitude = -101.5\nradius_nm = 12\nfrom_deg = 30\nto_deg = 290\n"
    )
    procedure = read(tmp_path, text_of(rest=rest))
    assert procedure.final_fix == Place(46.15, -101.35, "BILKA")
    missed = procedure.missed_approach
    assert missed == MissedApproach(after_s=150.0, groundspeed_mps=pytest.approx(46.3), climb_to_m=5000 * 0.3048)
    assert missed.after_m == pytest.approx(3.75 * 1852), "2.5 minutes at 90 kt are 3.75 NM"
    assert procedure.arc == LeadingArc(Place(46.2, -101.5), 12 * 1852.0, 37.0, 297.0)
    before = read(tmp_path, text_of(rest="[missed_approach]\nat_nm = 0.5")).missed_approach
    assert (before.before_runway_m, before.after_m) == (926.0, None)


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ("[missed_approach]\nclimb_to_ft = 5000", "missed_approach holds neither at_nm nor at_min"),
        ("[missed_approach]\nat_min = 2\nat_nm = 1\ngroundspeed_kt = 90", "holds at_nm and at_min"),
        ("[missed_approach]\nat_min = 2", "missed_approach.groundspeed_kt is missing"),
        ("[missed_approach]\nat_nm = 2\ngroundspeed_kt = 90", "goes with at_min"),
        (
            "[arc]\nlatitude = 46\nlongitude = -101\nradius_nm = 12\nfrom_deg = 30\nto_deg = 30",
            "Expected another radial",
        ),
        ("[final_fix]\nlatitude = 46", "final_fix.longitude is missing"),
    ],
)
def test_optional_tables_that_contradict_themselves(tmp_path: Path, table: str, said: str) -> None:
    assert said in refusal(tmp_path, text_of(rest=table))


def test_nothing_optional_is_there_unless_given(tmp_path: Path) -> None:
    procedure = read(tmp_path, text_of())
    assert (procedure.outbound_limit, procedure.no_reversal_from, procedure.steps) == (None, (), ())
    assert (procedure.final_fix, procedure.missed_approach, procedure.arc) == (None, None, None)


@pytest.mark.parametrize(
    ("printed", "key", "degrees"),
    [
        ("N46 12.0", "latitude", 46.2),
        ("46°12.0'N", "latitude", 46.2),
        ("46 12 30 S", "latitude", -(46 + 12 / 60 + 30 / 3600)),
        ("S33°06′", "latitude", -33.1),
        ("W101 30.0", "longitude", -101.5),
        ("w101-30.0", "longitude", -101.5),
        ("E 007 15.5", "longitude", 7 + 15.5 / 60),
        ("46.2 N", "latitude", 46.2),
        ("46.2", "latitude", None),
        ("N46 60.0", "latitude", None),
        ("E46 12.0", "latitude", None),
        ("N46 12.0 S", "latitude", None),
        ("N46.5 12.0", "latitude", None),
        ("N" + "4" * 100, "latitude", None),
    ],
)
def test_printed_positions(printed: str, key: str, degrees: float | None) -> None:
    assert printed_degrees(printed, key) == (None if degrees is None else pytest.approx(degrees, abs=1e-9))


def test_a_file_typed_as_the_chart_is_printed(tmp_path: Path) -> None:
    text = (
        'title = "VOR 028, Harrow Flats"  # 028\nreversal = "teardrop"\n[fix]\nlatitude = 46,2000\n'
        "longitude = W101 30.0\nelevation_ft = 0190\n[course]\ninbound_deg = 028\nvariation_deg = -07.0\n"
        'outbound_deg = { A = 220, C = 0215 }\n[guidance]\nkind = "VOR"\n[limits]\noutbound_min = 1,5\n'
        "[source]\nin_force_from = 2026-04-06\n"
    )
    procedure = read(tmp_path, text)
    assert procedure.title == "VOR 028, Harrow Flats"
    assert (procedure.fix.latitude_deg, procedure.fix.longitude_deg) == (46.2, -101.5)
    assert procedure.inbound_true_deg == pytest.approx(21.0, abs=A_MILLIONTH_DEG)
    assert procedure.outbound_true_deg == pytest.approx(213.0, abs=A_MILLIONTH_DEG)
    assert procedure.outbound_s == 90.0
    assert procedure.fix.elevation_m == pytest.approx(190 * 0.3048)


def test_a_comma_that_may_part_thousands_is_answered_with_both_forms(tmp_path: Path) -> None:
    said = refusal(tmp_path, text_of(rest="[runway]\nelevation_ft = 1,900"))
    assert said == "line 16: elevation_ft = 1,900 holds a comma. Expected 1900 where it parts thousands, or 1.900"


def test_a_position_beyond_its_range_is_refused(tmp_path: Path) -> None:
    said = refusal(tmp_path, text_of(rest='[runway]\nlatitude = "N95 00.0"\nlongitude = "W101 30.0"'))
    assert said.startswith("runway.latitude = 95.0 is not possible. Expected degrees WGS 84 from -90 to 90")
    said = refusal(tmp_path, text_of(rest='[runway]\nlatitude = "46 north"\nlongitude = "W101 30.0"'))
    assert said.startswith('runway.latitude = "46 north" is text. Expected degrees')
    assert said.endswith('or as printed: "N46 12.0"')


def test_result_and_report_show_what_the_file_says(tmp_path: Path) -> None:
    from analyzer.shown.report.view.procedure import procedure_table
    from analyzer.shown.result.result import procedure_result

    rest = (
        "[limits]\noutbound_limit = { dme_nm = 8 }\n[[step]]\ndistance_nm = 5\nat_or_above = 2100\n"
        "[missed_approach]\nat_min = 2.5\ngroundspeed_kt = 90\nclimb_to_ft = 5000\n"
        "[arc]\nlatitude = 46.2\nlongitude = -101.5\nradius_nm = 12\nfrom_deg = 30\nto_deg = 290\n"
    )
    procedure = read(tmp_path, text_of(top="no_reversal_from = [[80, 156]]", rest=rest))
    charted = procedure_result(procedure)["charted"]
    assert charted["outbound_limit"]["dme_nm"] == 8
    assert charted["no_reversal_from"] == [[80, 156]]
    assert charted["steps"][0]["at_or_above_ft"] == 2100
    assert charted["missed_approach"] == {"at_nm": None, "at_min": 2.5, "groundspeed_kt": 90, "climb_to_ft": 5000}
    assert (charted["arc"]["from_deg"], charted["arc"]["to_deg"]) == (30, 290)
    lines = {row[0].text: row[1].text for row in procedure_table(procedure).rows}
    assert lines["no reversal from arrival courses"] == "080° to 156° magnetic"
    assert "at or above 2,100 ft" in lines["step-down fix"]
    assert lines["missed approach point"] == "150 s from the final fix at 90 kt over the ground, climb to 5,000 ft"


def test_an_anonymous_procedure_has_none_of_the_charted_places(tmp_path: Path) -> None:
    from datetime import UTC, datetime

    import numpy as np

    from analyzer.given import Track
    from analyzer.run.anonymous import without_identity

    rest = (
        '[limits]\noutbound_limit = { dme_nm = 8 }\n[[step]]\nident = "BILKA"\ndistance_nm = 5\nat_or_above = 2100\n'
        '[final_fix]\nident = "BILKA"\nlatitude = 46.15\nlongitude = -101.35\n'
        '[arc]\nident = "HRF"\nlatitude = 46.2\nlongitude = -101.5\nradius_nm = 12\nfrom_deg = 30\nto_deg = 290\n'
    )
    track = Track("x", np.arange(3.0), np.full(3, 46.2), np.full(3, -101.5), start=datetime(2026, 5, 1, tzinfo=UTC))
    _, (procedure,) = without_identity(track, [read(tmp_path, text_of(rest=rest))])
    said = repr(procedure)
    assert not [word for word in ("BILKA", "HRF", "46.", "-101.") if word in said]
