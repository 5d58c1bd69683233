"""The demo: sample_tracks holds what the installed demo flies, and each flight shows what it is there for."""

import json
import re
from pathlib import Path

import numpy as np
import pytest

import analyzer
from analyzer.run.debrief import load_track
from analyzer.run.demo.scenario import DEMO_FLIGHTS, procedure_text, write_demo_flights, write_demo_lesson

SAMPLES = Path(__file__).parents[2] / "sample_tracks"
REPORTS = Path(__file__).parents[2] / "reports"
# The files hold rounded values, and another machine's last bit may round the other way.
one_step_of_position_deg = 1.01e-6
one_step_of_altitude_m = 0.31
one_millisecond_s = 0.001


@pytest.fixture(scope="module")
def flown(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("flown")
    assert len(list(write_demo_flights(folder))) == len(DEMO_FLIGHTS) >= 4
    write_demo_lesson(folder)
    return folder


def test_the_samples_are_the_demos_files_and_no_others(flown: Path) -> None:
    assert sorted(path.name for path in SAMPLES.iterdir()) == sorted(path.name for path in flown.iterdir())
    for flight in DEMO_FLIGHTS:
        assert (SAMPLES / flight.procedure).read_text(encoding="utf-8") == procedure_text(flight.procedure)


@pytest.mark.parametrize("flight", DEMO_FLIGHTS, ids=lambda flight: flight.track)
def test_the_samples_are_what_the_demo_flies(flown: Path, flight: object) -> None:
    name = flight.track  # type: ignore[attr-defined]
    sample, fresh = load_track(SAMPLES / name), load_track(flown / name)
    assert len(sample) == len(fresh)
    assert np.max(np.abs(sample.time_s - fresh.time_s)) < one_millisecond_s
    assert np.max(np.abs(sample.latitude_deg - fresh.latitude_deg)) < one_step_of_position_deg
    assert np.max(np.abs(sample.longitude_deg - fresh.longitude_deg)) < one_step_of_position_deg
    assert sample.altitude_m is not None
    assert fresh.altitude_m is not None
    assert np.max(np.abs(sample.altitude_m - fresh.altitude_m)) < one_step_of_altitude_m


def test_the_lesson_among_the_samples_is_what_the_demo_flies(flown: Path) -> None:
    sample, fresh = load_track(SAMPLES / "lesson.csv"), load_track(flown / "lesson.csv")
    assert 69.0 * 60.0 < sample.duration_s < 72.0 * 60.0
    assert np.max(np.abs(sample.latitude_deg - fresh.latitude_deg)) < one_step_of_position_deg
    assert np.max(np.abs(sample.altitude_m - fresh.altitude_m)) < one_step_of_altitude_m  # type: ignore[operator]


def test_the_demo_shows_what_it_is_there_for(flown: Path) -> None:
    seen = {}
    for flight in DEMO_FLIGHTS:
        debrief = analyzer.assess(flown / flight.track, flown / flight.procedure, **flight.options)  # type: ignore[arg-type]
        seen[Path(flight.track).stem] = debrief.assessment
    assert {Path(flight.track).suffix for flight in DEMO_FLIGHTS} == {".csv", ".gpx"}

    (good,) = seen["good_45_180"].attempts
    assert good.attempt.flown_as == "45/180"
    assert good.scores.result == "to standard"

    (blown,) = seen["blown_80_260"].attempts
    assert blown.attempt.flown_as == "80/260"
    assert blown.scores.result == "not to standard"
    eight_miles_m = 8.0 * 1852.0
    assert blown.measures.containment.max_distance_m > eight_miles_m  # the room is used

    (teardrop,) = seen["teardrop_entry"].attempts
    assert (teardrop.attempt.flown_as, teardrop.attempt.entry) == ("hold", "teardrop")

    (delay,) = seen["delay_hold"].attempts
    assert (delay.attempt.flown_as, delay.attempt.laps) == ("hold", 3)


def test_the_report_in_the_repository_is_of_these_flights(flown: Path) -> None:
    shown = json.loads((REPORTS / "blown_80_260.json").read_text(encoding="utf-8"))
    (flight,) = [flight for flight in DEMO_FLIGHTS if flight.track == "blown_80_260.gpx"]
    made = analyzer.assess(flown / flight.track, flown / flight.procedure, **flight.options).to_dict()  # type: ignore[arg-type]
    one_point = 1.0
    for old, new in zip(shown["attempts"], made["attempts"], strict=True):
        assert old["result"] == new["result"]
        assert old["scores"]["overall"] == pytest.approx(new["scores"]["overall"], abs=one_point)
        heavy = [[f["code"] for f in made["findings"] if f["severity"] in ("critical", "major")] for made in (old, new)]
        assert heavy[0] == heavy[1]
    page = (REPORTS / "blown_80_260.html").read_text(encoding="utf-8")
    page = re.sub(r"\+(?=\d\d:\d\d)", "", page)  # the page marks moments as after the start of the track
    assert all(finding["text"].split(",")[0] in page for finding in shown["attempts"][0]["findings"])
