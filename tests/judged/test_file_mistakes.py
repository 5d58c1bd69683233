"""A flight that fits a file with one usual mistake undone is answered with that question, first; others are not."""

import tomllib
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest

import analyzer
from analyzer.given import Track
from analyzer.reading.procedure_file.read import procedure_from_mapping
from analyzer.run.debrief import load_track

SAMPLES = Path(__file__).parents[2] / "sample_tracks"
GOOD = tomllib.loads((SAMPLES / "vor_12.toml").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def track() -> Track:
    return load_track(SAMPLES / "good_45_180.csv")


def first_doubt(track: Track, **changes: Any) -> str:
    """Return the first sentence of the first screen for the good flight and a file with a mistake; "" for none."""
    mapping = deepcopy(GOOD)
    for key, value in changes.items():
        table, _, name = key.partition("__")
        if value is None:
            mapping[table].pop(name)
        else:
            mapping[table][name] = value
    doubts = analyzer.assess(track, procedure_from_mapping(mapping, "chart", track.start)).assessment.doubts
    return doubts[0] if doubts else ""


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        # 118 magnetic is 125 true at 7 E: the true course typed for the magnetic one
        (
            {"course__inbound_deg": 125, "course__offset_deg": 350},
            "The flight held 125° true all the way in: that is your 125° without the variation. Is 125 a true course?",
        ),
        (
            {"course__variation_deg": -7.0},
            "The flight held 125° true all the way in: that is your 118° with a variation of 7.0° E. "
            "Is the sign of course.variation_deg right?",
        ),
        ({"course__variation_deg": 0.0}, "Is course.variation_deg = 0 right?"),
        (
            {"course__inbound_deg": 298, "course__offset_deg": None},
            "The flight came in on 118°, steadily, and out on your 298°: is course.inbound_deg the outbound course?",
        ),
        ({"course__turn_side": "left", "course__offset_deg": None}, "does the chart draw right of the outbound course"),
        (
            {"fix__latitude": 46.12, "fix__longitude": -101.3},
            "The flight fits the file with the fix at N46 12.0 W101 30.0: are the minutes of fix.latitude = 46.12 and "
            "fix.longitude = -101.3 typed as decimals?",
        ),
        ({"fix__longitude": 101.5}, "are the signs of fix.latitude = 46.2 and fix.longitude = 101.5 right?"),
        (
            {
                "fix__latitude": 46.1503,
                "fix__longitude": -101.3975,
                "guidance__latitude": 46.2,
                "guidance__longitude": -101.5,
            },
            "with the fix at the position of the station under [guidance]",
        ),
    ],
)
def test_one_mistake_undone(track: Track, changes: dict[str, Any], said: str) -> None:
    assert said in first_doubt(track, **changes)


def test_the_good_file_brings_no_question(track: Track) -> None:
    assert first_doubt(track) == ""


@pytest.mark.parametrize("name", ["blown_80_260.gpx", "teardrop_entry.gpx", "delay_hold.csv"])
def test_flights_with_a_pilots_mistakes_bring_no_question(name: str) -> None:
    files = {"blown_80_260.gpx": "ndb_a", "teardrop_entry.gpx": "rnav_30", "delay_hold.csv": "vor_12_hold"}
    debrief = analyzer.assess(SAMPLES / name, SAMPLES / f"{files[name]}.toml")
    assert [note for note in debrief.assessment.notes if note.code == "procedure-mistaken"] == []


def test_it_is_the_first_line_of_the_page(track: Track) -> None:
    mapping = deepcopy(GOOD)
    mapping["course"]["variation_deg"] = -7.0
    debrief = analyzer.assess(track, procedure_from_mapping(mapping, "chart", track.start))
    codes = [note["code"] for note in debrief.to_dict()["track"]["quality"]]
    assert "procedure-mistaken" in codes
    page = debrief.to_html()
    assert page.index("Is the sign of course.variation_deg right?") < page.index("is its sign right?")
