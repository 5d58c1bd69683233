"""The result file: valid against its published schema, without nan, in the units that its names say."""

import json
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import jsonschema
import numpy as np
import pytest

import analyzer
from analyzer.files.whole_files import json_text
from analyzer.given.wind import Wind
from analyzer.judged.assessment import Assessment
from analyzer.run.demo.scenario import DEMO_FLIGHTS
from analyzer.shown.result.result import result_dict, wind_sigmas
from analyzer.shown.result.rounding import course, number, rounded
from analyzer.shown.result.schemas import RESULT_SCHEMA_FILE, result_schema
from analyzer.units.factors import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT
from tests.demo_debriefs import demo_debrief

# the keys that other people's scripts may rely on; more may be there
PROMISED = {
    "": {"schema", "track", "procedure", "wind", "protection", "attempts"},
    "track": {"name", "points", "duration_s", "median_interval_s", "columns_used", "quality"},
    "wind": {"from_deg_true", "speed_kt", "tas_kt", "from_sigma_deg", "speed_sigma_kt", "tas_sigma_kt", "method"},
    "attempt": {
        "number", "start_s", "end_s", "fix_passages", "flown_as", "entry", "entry_expected", "entry_near_boundary",
        "laps", "phases", "containment", "altitudes", "intercept", "timing", "turns", "speed", "findings", "scores",
        "result",
    },
    "fix_passages": {"at_s", "distance_nm", "direction"},
    "phases": {"name", "lap", "start_s", "end_s"},
    "containment": {"verdict", "margin_nm", "max_distance_nm", "excursions"},
    "altitudes": {"segment", "rule", "limit_ft", "worst_ft", "verdict", "violations"},
    "intercept": {
        "angle_deg", "overshoot_nm", "crossings", "established", "established_s", "established_at_nm", "rms_deflection",
        "max_deflection", "verdict",
    },
    "timing": {"leg_s", "planned_s", "wind_adjusted_s", "verdict"},
    "turns": {"phase", "lap", "degrees", "mean_rate_deg_s", "max_rate_deg_s", "mean_bank_deg", "radius_nm", "method"},
    "speed": {"limit_kt", "verdict"},
    "findings": {"code", "severity", "phase", "lap", "at_s", "text", "advice", "reference"},
    "scores": {"containment", "altitude", "intercept", "timing", "overall"},
}  # fmt: skip


@pytest.fixture(scope="module")
def assessments() -> list[Assessment]:
    return [demo_debrief(number).assessment for number in range(len(DEMO_FLIGHTS))]


@pytest.fixture(scope="module")
def published() -> dict[str, Any]:
    content: dict[str, Any] = json.loads(RESULT_SCHEMA_FILE.read_text(encoding="utf-8"))
    return content


def as_read(assessment: Assessment) -> dict[str, Any]:
    """The result as a script reads it from the file."""
    content: dict[str, Any] = json.loads(json_text(result_dict(assessment)))
    return content


def without_reversal(assessment: Assessment) -> Assessment:
    return replace(assessment, attempts=(), wind=None, wind_reason="no turn", altitude=None)


def test_the_published_schema_is_the_types_schema(published: dict[str, Any]) -> None:
    assert published == result_schema()
    jsonschema.Draft202012Validator.check_schema(published)


def test_results_validate_against_the_published_schema(
    assessments: list[Assessment], published: dict[str, Any]
) -> None:
    for assessment in [*assessments, without_reversal(assessments[0])]:
        jsonschema.validate(as_read(assessment), published, jsonschema.Draft202012Validator)


def test_the_schema_refuses_what_is_wrong(assessments: list[Assessment], published: dict[str, Any]) -> None:
    for change in (
        {"schema": "reversal-debrief/2"},
        {"attempts": None},
        {"track": {}},
        {"wind": {"from_deg_true": "west"}},
    ):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(as_read(assessments[0]) | change, published, jsonschema.Draft202012Validator)


def test_all_promised_keys_are_there(assessments: list[Assessment]) -> None:
    for assessment in assessments:
        result = as_read(assessment)
        assert result.keys() >= PROMISED[""]
        for key in ("track", "wind"):
            assert result[key].keys() >= PROMISED[key]
        for attempt in result["attempts"]:
            assert attempt.keys() >= PROMISED["attempt"]
            for key in PROMISED.keys() & attempt.keys():
                parts = attempt[key] if isinstance(attempt[key], list) else [attempt[key]]
                for part in parts:
                    assert part is None or part.keys() >= PROMISED[key], key
    assert any(attempt["timing"] for one in assessments for attempt in as_read(one)["attempts"])


def test_protection_is_geojson_with_named_features_that_are_valid(assessments: list[Assessment]) -> None:
    import shapely.geometry

    for assessment in assessments:
        protection = as_read(assessment)["protection"]
        assert protection["type"] == "FeatureCollection"
        names = {feature["properties"]["name"] for feature in protection["features"]}
        assert names >= {area.name for area in assessment.protection}
        for feature in protection["features"]:
            assert {"criteria", "reference"} <= feature["properties"].keys()
            shape = shapely.geometry.shape(feature["geometry"])
            assert shape.is_valid
            assert not shape.is_empty


def test_phases_have_no_gaps_or_overlaps(assessments: list[Assessment]) -> None:
    for assessment in assessments:
        for attempt in as_read(assessment)["attempts"]:
            phases = attempt["phases"]
            assert phases[0]["start_s"] == attempt["start_s"]
            assert phases[-1]["end_s"] == attempt["end_s"]
            for before, after in pairwise(phases):
                assert before["end_s"] == after["start_s"]


def test_units_are_those_of_the_names(assessments: list[Assessment]) -> None:
    assessment = assessments[0]
    (attempt,) = as_read(assessment)["attempts"]
    measures = assessment.attempts[0].measures
    half_a_step_nm, half_a_step_ft, half_a_step_kt = 0.00005001, 0.05001, 0.005001
    in_miles = measures.containment.max_distance_m / METRES_PER_NM
    assert abs(attempt["containment"]["max_distance_nm"] - in_miles) <= half_a_step_nm
    worst_m = measures.altitudes[0].worst_m
    assert worst_m is not None
    assert abs(attempt["altitudes"][0]["worst_ft"] - worst_m / METRES_PER_FOOT) <= half_a_step_ft
    assert attempt["altitudes"][0]["limit_ft"] == 5500.0
    assert measures.speed is not None
    assert abs(attempt["speed"]["max_ias_kt"] - measures.speed.max_mps / MPS_PER_KNOT) <= half_a_step_kt


def test_times_are_within_the_track(assessments: list[Assessment]) -> None:
    for assessment in assessments:
        result = as_read(assessment)
        for attempt in result["attempts"]:
            for moment in [attempt["start_s"], attempt["end_s"], *(one["at_s"] for one in attempt["fix_passages"])]:
                assert 0.0 <= moment <= result["track"]["duration_s"]


def test_what_is_not_finite_is_null() -> None:
    assert number(None, 1.0, 2) is None
    assert number(float("nan"), 1.0, 2) is None
    assert number(float("-inf"), 1.0, 2) is None
    assert number(1852.0, METRES_PER_NM, 4) == 1.0


def test_minus_zero_and_courses_are_written_one_way() -> None:
    assert str(rounded(-0.00001, 2)) == "0.0"
    assert course(359.999) == 0.0
    assert course(360.0) == 0.0


def test_wind_sigmas_of_a_wind_with_unequal_noise() -> None:
    one_mm_s, one_thousandth_deg = 0.001, 0.001
    # from 270 at 10 m/s: 2 m/s along the wind, 0.5 m/s across it
    wind = Wind(10.0, 0.0, 60.0, (4.0, 0.0, 0.0, 0.25, 0.0, 1.0), "test")
    speed, direction, tas = wind_sigmas(wind)
    assert speed == pytest.approx(2.0, abs=one_mm_s)
    assert direction == pytest.approx(np.degrees(0.05), abs=one_thousandth_deg)
    assert tas == pytest.approx(1.0, abs=one_mm_s)
    assert wind_sigmas(replace(wind, covariance=None)) == (None, None, None)
    assert wind_sigmas(Wind(0.0, 0.0, 60.0, wind.covariance, "test"))[1] == 180.0


def test_a_flight_without_reversal_says_why(tmp_path: Path) -> None:
    from analyzer.run import cli

    procedure = tmp_path / "p.toml"
    procedure.write_text(
        (Path(analyzer.__file__).parent / "run" / "demo" / "vor_12.toml").read_text(encoding="utf-8"), encoding="utf-8"
    )
    track = tmp_path / "straight.csv"
    assert (
        cli.run(["synthesize", "--procedure", str(procedure), "--method", "straight in", "--output", str(track)]) == 0
    )
    result = analyzer.assess(track, procedure).to_dict()
    assert result["attempts"] == []
    assert any("revers" in note["text"].lower() for note in result["track"]["quality"])
