"""Extreme places, clocks, speeds, records and procedures: an answer or "not assessed", never a crash or a nan.

EXTREME_CASES=all tries each of them with each kind of procedure; the quick run takes turns.
"""

import os
import time
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from typing import Any

import numpy as np
import pytest
import report_fixture
from answers import check_answer
from reading_material import flown, procedure_for

from analyzer import assess
from analyzer.errors import TrackFileError
from analyzer.given.plane import frame_of
from analyzer.given.procedure import AltitudeLimit, Procedure, ReversalKind
from analyzer.given.track import SENSOR_NAMES, Track
from analyzer.reading.procedure_file.read import procedure_from_mapping
from analyzer.shown.report.drawn.plan import draw_plan
from analyzer.shown.report.drawn.scale import ticks
from analyzer.shown.report.view.report import report_view
from analyzer.synthesis import Sensor

ALL = os.environ.get("EXTREME_CASES") == "all"
COARSE = Sensor(interval_s=2.0, white_m=3.0)  # soon read
ONE_TENTH_NM = 0.1
A_HUNDREDTH_DEG_M = 1113.0  # of latitude
LIMIT = AltitudeLimit("reversal", "at or above", 1402.0, None)
#: of processor time, for the result and the page of any flight; other work on the machine does not count
LONGEST_ANSWER_S = 10.0


def track_of(procedure: Procedure, time_s: Any, east_m: Any, north_m: Any, **more: Any) -> Track:
    """A track of points in the plane about the fix."""
    time, east, north = np.broadcast_arrays(*(np.asarray(each, dtype=float) for each in (time_s, east_m, north_m)))
    latitude, longitude = frame_of(procedure).latitude_longitude_deg(east, north)
    return Track("extreme", time, latitude, longitude, **more)


def reversal(procedure: Procedure, **plan: Any) -> Track:
    method = {"procedure turn": "45/180", "teardrop": "teardrop"}.get(procedure.reversal, "hold")
    return flown(procedure, method, COARSE, **plan).track


def thinned(track: Track, kept: Any, time_s: Any = None) -> Track:
    """Some of a track's moments, at other times if wanted."""
    return Track(
        track.name,
        track.time_s[kept] if time_s is None else time_s,
        track.latitude_deg[kept],
        track.longitude_deg[kept],
        None if track.altitude_m is None else track.altitude_m[kept],
        track.altitude_kind,
        sensors={name: values[kept] for name, values in track.sensors.items()},
    )


def in_turn(cases: Iterable[Any], others: Sequence[Any]) -> list[Any]:
    """Each case with each of the others if all are asked for, else with one of them in turn."""
    if ALL:
        return [(case, other) for case in cases for other in others]
    return [(case, others[number % len(others)]) for number, case in enumerate(cases)]


@cache
def usual_result(kind: ReversalKind) -> dict[str, Any]:
    usual = procedure_for(kind)
    return assess(reversal(usual), usual).to_dict()


PLACES = [(90.0, 0.0), (-90.0, 0.0), (89.99, 45.0), (-89.9, -170.0), (0.0, 180.0), (46.2, -180.0), (-17.0, 179.999),
          (0, 0)]  # fmt: skip


@pytest.mark.parametrize(("place", "kind"), in_turn(PLACES, ["procedure turn", "hold in lieu"]))
def test_a_reversal_anywhere_on_earth_is_found_and_measured_alike(place: tuple[float, float], kind: Any) -> None:
    here = procedure_for(kind, latitude_deg=place[0], longitude_deg=place[1])
    result = check_answer(reversal(here), here)
    expected = usual_result(kind)
    assert [one["flown_as"] for one in result["attempts"]] == [one["flown_as"] for one in expected["attempts"]]
    assert result["attempts"][0]["containment"]["max_distance_nm"] == pytest.approx(
        expected["attempts"][0]["containment"]["max_distance_nm"], abs=ONE_TENTH_NM
    )


@pytest.mark.parametrize("kind", ["procedure turn", "teardrop", "hold in lieu", "holding"])
@pytest.mark.parametrize("jitter_m", [0.0, 2.0])
def test_a_parked_aircraft_has_no_reversal(kind: Any, jitter_m: float) -> None:
    procedure = procedure_for(kind)
    random = np.random.default_rng(1)
    east, north = 300.0 + jitter_m * random.standard_normal((2, 900))
    result = check_answer(track_of(procedure, np.arange(900.0), east, north), procedure)
    assert result["attempts"] == []


@pytest.mark.parametrize(("count", "interval_s"), in_turn(range(2, 11), [1e-6, 0.05, 1.0, 60.0, 3600.0]))
def test_a_handful_of_points_is_no_reversal(count: int, interval_s: float) -> None:
    procedure = procedure_for()
    time_s = np.arange(count) * interval_s
    track = track_of(procedure, time_s, 60.0 * time_s, -30.0 * time_s, altitude_m=0 * time_s, altitude_kind="geometric")
    assert check_answer(track, procedure)["attempts"] == []


@pytest.mark.parametrize("count", [0, 1])
def test_fewer_than_two_points_are_refused_in_one_line(count: int) -> None:
    procedure = procedure_for()
    with pytest.raises(TrackFileError, match="a track needs at least two"):
        assess(track_of(procedure, np.arange(count), 0.0, 0.0), procedure)


def test_a_track_of_many_days_is_refused_in_one_line() -> None:
    procedure = procedure_for()
    with pytest.raises(TrackFileError, match="extreme: runs for 8 days, which is not a single flight"):
        assess(track_of(procedure, 5 * 3600.0 * np.arange(40.0), 0.0, 0.0), procedure)


def test_of_flights_years_apart_the_one_with_most_moments_is_assessed() -> None:
    """Found by drawn flights: the fit across days between two flights took up to 45 s."""
    procedure = procedure_for("hold in lieu")
    track = reversal(procedure)
    start = datetime(2024, 1, 13, 9, tzinfo=UTC)
    years_s = 7300.0 * 86_400.0
    times = np.concatenate([[0.0, 10.0], years_s + track.time_s, [2.0 * years_s]])
    place = [np.pad(each, (2, 1), mode="edge") for each in (track.latitude_deg, track.longitude_deg)]
    result = check_answer(Track("extreme", times, *place, start=start), procedure)
    alone = check_answer(Track("extreme", track.time_s, track.latitude_deg, track.longitude_deg), procedure)
    assert result["attempts"] == alone["attempts"]
    assert "several_flights" in {note["code"] for note in result["track"]["quality"]}
    assert result["track"]["start_utc"].startswith("2044-01-08T09:00:00")


def test_all_points_at_the_fix() -> None:
    procedure = procedure_for("holding")
    assert check_answer(track_of(procedure, np.arange(600.0), 0.0, 0.0), procedure)["attempts"] == []


def test_twenty_hertz_is_read_as_one_hertz_is() -> None:
    procedure = procedure_for()
    track = reversal(procedure)
    fine = np.arange(0.0, track.time_s[-1], 0.05)
    frame = frame_of(procedure)
    east, north = frame.east_north_m(track.latitude_deg, track.longitude_deg)
    fast = track_of(procedure, fine, np.interp(fine, track.time_s, east), np.interp(fine, track.time_s, north))
    result = check_answer(fast, procedure)
    assert [one["flown_as"] for one in result["attempts"]] == ["45/180"]


@pytest.mark.parametrize("jitter", [0.4, 0.999])
def test_jittered_times(jitter: float) -> None:
    procedure = procedure_for("hold in lieu")
    track = reversal(procedure)
    random = np.random.default_rng(2)
    times = track.time_s + jitter * random.uniform(0.0, 1.0, len(track))
    result = check_answer(thinned(track, slice(None), times), procedure)
    assert [one["flown_as"] for one in result["attempts"]] == ["hold"]


GAPS_S = [20.0, 120.0, 3600.0, 86_400.0]


@pytest.mark.parametrize(("at", "gap_s"), in_turn([0.1, 0.5, 0.7, 0.9], GAPS_S))
def test_huge_gaps(gap_s: float, at: float) -> None:
    procedure = procedure_for()
    track = reversal(procedure)
    after = track.time_s > at * track.duration_s
    check_answer(thinned(track, slice(None), track.time_s + np.where(after, gap_s, 0.0)), procedure)
    lost = after & (track.time_s < at * track.duration_s + gap_s)
    check_answer(thinned(track, ~lost), procedure)


def test_a_day_at_one_hertz_with_one_reversal_in_it() -> None:
    procedure = procedure_for()
    track = reversal(procedure)
    times = np.arange(86_400.0)
    middle = times - 40_000.0
    east, north = frame_of(procedure).east_north_m(track.latitude_deg, track.longitude_deg)
    place = [np.interp(middle, track.time_s, each) for each in (east, north)]
    elsewhere = (middle < 0.0) | (middle > track.time_s[-1])  # circles at 60 m/s, far from the fix
    circles = (60_000.0 * np.sin(1e-3 * times), 60_000.0 * np.cos(1e-3 * times))
    place = [each + np.where(elsewhere, circle, 0.0) for each, circle in zip(place, circles, strict=True)]
    began = time.process_time()
    result = check_answer(
        track_of(procedure, times, *place, altitude_m=0 * times, altitude_kind="indicated"), procedure
    )
    assert time.process_time() - began < LONGEST_ANSWER_S
    assert result["track"]["duration_s"] == pytest.approx(86_399.0)
    assert [one["flown_as"] for one in result["attempts"]] == ["45/180"]


def test_days_on_the_ground_are_answered_soon() -> None:
    """A device that runs on, a point each minute: each of 10,000 directions of standing still was once a turn."""
    procedure = procedure_for()
    times = 60.0 * np.arange((7.0 if ALL else 3.0) * 1440.0)
    east, north = 3.0 * np.random.default_rng(3).standard_normal((2, len(times)))
    began = time.process_time()
    assert check_answer(track_of(procedure, times, east, north), procedure)["attempts"] == []
    assert time.process_time() - began < LONGEST_ANSWER_S


@pytest.mark.parametrize("kind", ["indicated", "pressure", "geometric"])
@pytest.mark.parametrize("which", ["all nan", "one", "first half", "absurd"])
def test_missing_and_absurd_altitudes(kind: Any, which: str) -> None:
    procedure = replace(procedure_for(), altitudes=(LIMIT,))
    track = reversal(procedure)
    altitude = np.full(len(track), 1500.0)
    if which == "all nan":
        altitude[:] = np.nan
    elif which == "one":
        altitude[1:] = np.nan
    elif which == "first half":
        altitude[len(track) // 2 :] = np.nan
    else:
        altitude *= np.where(np.arange(len(track)) % 2, 1e250, -1e305)
    result = check_answer(replace(track, altitude_m=altitude, altitude_kind=kind), procedure)
    (attempt,) = result["attempts"]
    if which != "first half":
        assert {row["verdict"] for row in attempt["altitudes"]} == {"not assessed"}
        assert attempt["scores"]["altitude"] is None


def test_limits_without_altitudes_are_not_assessed() -> None:
    procedure = replace(procedure_for(), altitudes=(LIMIT,))
    result = check_answer(replace(reversal(procedure), altitude_m=None, altitude_kind=None), procedure)
    assert [row["verdict"] for row in result["attempts"][0]["altitudes"]] == ["not assessed"]


@pytest.mark.parametrize("guidance", ["VOR", "NDB"])
def test_a_station_without_elevation(guidance: Any) -> None:
    fix = replace(procedure_for().fix, elevation_m=None)
    procedure = procedure_for()
    procedure = replace(procedure, fix=fix, guidance=replace(procedure.guidance, kind=guidance, station=fix))
    assert len(check_answer(reversal(procedure), procedure)["attempts"]) == 1


@pytest.mark.parametrize(
    ("name", "value"), [*((name, np.nan) for name in SENSOR_NAMES), *in_turn(SENSOR_NAMES, [1e9, 0.0, -1e300])]
)
def test_columns_that_say_nothing_or_nonsense(name: str, value: float) -> None:
    procedure = procedure_for()
    track = reversal(procedure)
    check_answer(replace(track, sensors={name: np.full(len(track), value)}), procedure)


ABSURD = {
    "hair-thin needle": {"guidance": {"kind": "RNAV", "full_scale_nm": 1e-9}},
    "needle as wide as the sky": {"guidance": {"kind": "VOR", "full_scale_deg": 45.0}},
    "station on the other side of the Earth": {"guidance": {"kind": "VOR", "latitude": -46.2, "longitude": 78.5}},
    "fix a mile from a localizer": {"guidance": {"kind": "localizer", "latitude": 46.215, "longitude": -101.5}},
    "distance limit of a hair": {"limits": {"remain_within_nm": 1e-9}},
    "leg of no time": {"limits": {"outbound_min": 1e-9}},
    "leg of no length": {"limits": {"outbound_nm": 1e-9}},
    "leg of ten minutes": {"limits": {"outbound_min": 10.0}},
    "leg of fifty miles": {"limits": {"outbound_nm": 50.0}},
    "walking speed": {"limits": {"max_ias_kt": 30.0}},
    "speed of a bullet": {"limits": {"max_ias_kt": 600.0}},
    "in the stratosphere": {"altitudes_ft": {"reversal": {"at": 60000}, "inbound": {"between": [-1500, 60000]}}},
    "below the sea": {"fix": {"elevation_ft": -1500}, "altitudes_ft": {"reversal": {"at_or_below": -1500}}},
    "far variation": {"course": {"variation_deg": -180.0}},
    "runway on the other side of the Earth": {"runway": {"latitude": -46.2, "longitude": 78.5}},
}


PROCEDURES = [("procedure turn", "US"), ("teardrop", "ICAO"), ("hold in lieu", "US"), ("procedure turn", "ICAO")]


@pytest.mark.parametrize(("case", "procedure"), in_turn([*ABSURD, *reversed(ABSURD)], PROCEDURES))
def test_absurd_but_valid_procedures(case: str, procedure: tuple[Any, str]) -> None:
    kind, criteria = procedure
    tables: dict[str, Any] = {
        "title": "Absurd",
        "reversal": kind,
        "fix": {"latitude": 46.2, "longitude": -101.5},
        "course": {"inbound_deg": 118.0, "variation_deg": 0.0},
        "guidance": {"kind": "VOR"},
        "protection": {"criteria": criteria},
    }
    tables["course"] |= {"outbound_deg": 322.0} if kind == "teardrop" else {"turn_side": "right"}
    for table, keys in ABSURD[case].items():
        tables[table] = {**tables.get(table, {}), **keys}
    check_answer(reversal(procedure_for(kind)), procedure_from_mapping(tables, "absurd.toml"))


def test_all_of_a_fast_recording_in_one_block() -> None:
    """Found by drawn flights: a division by a step of 0 s."""
    procedure = procedure_for()
    check_answer(track_of(procedure, [0.0, 1e-6, 2e-6], [0.0, 1.0, 2.0], 0.0), procedure)


def test_a_day_between_two_turns_is_quick() -> None:
    """Found by drawn flights: the edge of a turn fitted across a gap of a day took minutes."""
    procedure = procedure_for("holding")
    track = reversal(procedure)
    times = track.time_s + np.where(track.time_s > 0.4 * track.duration_s, 86_400.0, 0.0)
    began = time.process_time()
    check_answer(thinned(track, slice(None), times), procedure)
    assert time.process_time() - began < LONGEST_ANSWER_S


def test_steps_of_a_microsecond_beside_gaps_of_a_day() -> None:
    """Found by drawn flights: the altitude's equations lost all digits and divided by 0."""
    procedure = procedure_for()
    steps = np.array([5.0, 1e-6, 5.0, 600.0, 5.0, 86_400.0, 5.0])
    time_s = np.concatenate([[0.0], np.cumsum(steps)])
    check_answer(
        track_of(procedure, time_s, 0.0, time_s, altitude_m=0 * time_s - 30, altitude_kind="indicated"), procedure
    )


def test_a_speed_that_no_aircraft_has_is_marked_with_few_marks() -> None:
    """Found by drawn flights: the scale of a figure was marked every 200 kt up to thousands of millions."""
    most = 5
    assert 2 <= len(ticks(0.0, 1e9, most, (5, 10, 20, 50, 100, 200))) <= most + 1
    procedure = procedure_for()
    track = reversal(procedure)
    check_answer(replace(track, sensors={"ias_mps": np.linspace(0.0, 1e9, len(track))}), procedure)


def test_a_reversal_that_is_a_point_of_its_drawing_is_drawn() -> None:
    """Found by drawn flights: the closer view was rounded to no width, and divided by."""
    plan = report_view(report_fixture.assessment()).attempts[0].plan
    drawing = draw_plan(plan._replace(bounds=(-1e6, -1e6, 1e6, 1e6)), "r1")
    assert drawing.close_view[2] > 0.0
    assert drawing.close_view[3] > 0.0
