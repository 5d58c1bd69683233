"""A flight without names, dates and absolute position is measured the same."""

import json
import re
from pathlib import Path

import pytest
import shapely.geometry

from analyzer.run.demo.scenario import DEMO_FLIGHTS
from tests.demo_debriefs import demo_debrief

NAMES = ("Harrow", "HRF", "HFL", "TILBO", "2025-03", "Mar 2025", *(Path(flight.track).stem for flight in DEMO_FLIGHTS))
one_decimal_of_the_file = 0.0011
one_degree = 1.0


@pytest.mark.parametrize("number", range(len(DEMO_FLIGHTS)))
def test_no_name_date_or_place_is_left(number: int) -> None:
    debrief = demo_debrief(number, anonymous=True)
    for text in (json.dumps(debrief.to_dict()), debrief.to_html()):
        for name in NAMES:
            assert name not in text
        assert re.search(r"\b4[56]\.\d{5,}", text) is None, "a latitude of the place"
        assert re.search(r"-101\.\d{2,}", text) is None, "a longitude of the place"
    result = debrief.to_dict()
    for feature in result["protection"]["features"]:
        west, south, east, north = shapely.geometry.shape(feature["geometry"]).bounds
        assert max(abs(west), abs(south), abs(east), abs(north)) < one_degree
    assert result["procedure"]["fix"] | {"elevation_ft": None} == {
        "ident": "FIX",
        "latitude": 0.0,
        "longitude": 0.0,
        "elevation_ft": None,
    }


@pytest.mark.parametrize("number", range(len(DEMO_FLIGHTS)))
def test_what_is_measured_stays(number: int) -> None:
    known = demo_debrief(number).to_dict()["attempts"]
    unknown = demo_debrief(number, anonymous=True).to_dict()["attempts"]
    assert len(known) == len(unknown) == 1
    for key in ("flown_as", "entry", "laps", "result"):
        assert known[0][key] == unknown[0][key]
    for phase, same in zip(known[0]["phases"], unknown[0]["phases"], strict=True):
        assert phase["name"] == same["name"]
        assert phase["end_s"] == pytest.approx(same["end_s"], abs=0.05)
    for key in ("margin_nm", "max_distance_nm"):
        assert known[0]["containment"][key] == pytest.approx(
            unknown[0]["containment"][key], abs=one_decimal_of_the_file
        )
