"""The flight of known truth in a part of the layouts and mistakes of `python -m tests.benchmarks.recordings`."""

import pytest

from analyzer.errors import TrackFileError
from analyzer.given import Procedure
from analyzer.judged import assess_track
from analyzer.reading import read_track_bytes
from analyzer.run.one_thread import one_thread
from analyzer.synthesis import FLIGHT_DAY, HUMAN, FlightPlan, Method, Sensor, fly, write_recording
from analyzer.units import MPS_PER_KNOT
from tests.benchmarks.recordings.case import Case, outcome
from tests.benchmarks.recordings.layouts import layouts
from tests.benchmarks.recordings.mistakes import mistakes
from tests.benchmarks.recordings.truth import procedure, truth
from tests.benchmarks.recordings.writing import gpx

#: one of each kind; refusals are all here, for they cost nothing
CHOSEN = {
    *("time epoch ms", "time decimal hours", "altitude AltB", "altitude no unit", "altitude above ground"),
    *("setting inches", "setting in an avionics log", "table decimal commas", "position one cell"),
    *("position minutes and letters in columns", "recorder simulator", "gpx", "igc", "every 12 s", "every 40 s"),
    *("numbered without header", "altitude unit by limits", "feet named, metres meant", "gpx in feet"),
    *("clock to the minute", "clock at 4 times", "clock at 4 times for 160 s", "west positive", "another place"),
    *("three decimals", "positions contradict", "altitude frozen", "unclosed quote", "NUL block", "rows reversed"),
}
CASES = [case for case in (*layouts(), *mistakes()) if case.answer == "refused" or case.name in CHOSEN]


def test_the_benchmark_is_as_large_as_it_says() -> None:
    names = [case.name for case in (*layouts(), *mistakes())]
    assert len(layouts()) >= 120
    assert len(mistakes()) >= 60
    assert len(names) == len(set(names))
    assert set(names) >= CHOSEN


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_a_recording_gets_the_answer_that_the_rule_asks_for(case: Case) -> None:
    found = outcome(case)
    assert found.wrong == "", found.said
    assert not found.silently_wrong


@pytest.mark.parametrize("method", ["45/180", "80/260", "teardrop", "racetrack", "straight in"])
@pytest.mark.parametrize("interval_s", [0.5, 3.0])
def test_clean_flights_bring_no_sentence_of_doubt(method: Method, interval_s: float, tmp_path) -> None:  # type: ignore[no-untyped-def]
    asked: Procedure = procedure()
    plan = FlightPlan(
        method,
        tas_mps=(90.0 if interval_s < 1.0 else 140.0) * MPS_PER_KNOT,
        wind_from_deg_true=20.0,
        wind_speed_mps=25.0 * MPS_PER_KNOT,
        ending="land",
        pilot=HUMAN,
    )
    columns = ("groundspeed_mps", "ias_mps", "vertical_speed_mps")
    sensor = Sensor(interval_s=interval_s, white_m=3.0, wander_m=4.0, columns=columns)
    file = tmp_path / "flight.csv"
    write_recording(fly(asked, plan, 5, sensor), file)
    with one_thread():
        assessment = assess_track(read_track_bytes(file.read_bytes(), "flight.csv"), asked)
    assert assessment.doubts == ()
    assert assessment.track.start == FLIGHT_DAY


def test_a_named_altitude_is_all_that_the_option_says_of_a_gpx_file() -> None:
    data = gpx(truth().every(slice(0, 30)), truth().sea_ft[:30])
    track = read_track_bytes(data, "a.gpx", columns={"gps_altitude_ft": "ele"})
    assert track.altitude_kind == "geometric"
    assert track.altitude_m is not None
    assert track.altitude_m[0] == pytest.approx(truth().sea_ft[0] * 0.3048, abs=0.1)
    with pytest.raises(TrackFileError, match="gps_altitude_ft=ele"):
        read_track_bytes(data, "a.gpx", columns={"time": "time"})
