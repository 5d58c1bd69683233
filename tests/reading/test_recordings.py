"""The flight of known truth in a part of the layouts and mistakes of `python -m tests.benchmarks.recordings`."""

from collections.abc import Callable, Iterator

import pytest

from analyzer.errors import TrackFileError
from analyzer.given import Procedure
from analyzer.judged import assess_track
from analyzer.reading import read_track_bytes
from analyzer.run.one_thread import one_thread
from analyzer.synthesis import FLIGHT_DAY, HUMAN, FlightPlan, Method, Sensor, fly, write_recording
from analyzer.units import MPS_PER_KNOT
from tests.benchmarks.recordings import layouts, mistakes
from tests.benchmarks.recordings.case import Case, outcome
from tests.benchmarks.recordings.truth import Truth, procedure, truth
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


def test_the_benchmark_is_as_large_as_it_says() -> None:
    right, wrong = layouts.layouts(), mistakes.mistakes()
    names = [case.name for case in (*right, *wrong)]
    assert len(right) >= 120
    assert len(wrong) >= 60
    assert len(names) == len(set(names))
    assert set(names) >= CHOSEN


@pytest.mark.parametrize("maker", [*layouts.makers(), *mistakes.makers()], ids=lambda maker: maker.__name__.strip("_"))
def test_a_recording_gets_the_answer_that_the_rule_asks_for(maker: Callable[[Truth], Iterator[Case]]) -> None:
    cases = [case for case in maker(truth()) if case.answer == "refused" or case.name in CHOSEN]
    assert cases, "each kind has one that is tried here"
    for found in map(outcome, cases):
        assert found.wrong == "", f"{found.case.name}: {found.said}"
        assert not found.silently_wrong, found.case.name


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
