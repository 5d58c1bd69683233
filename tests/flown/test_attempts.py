"""Attempts, methods, entries, laps and phases of synthesized flights, and what must not change them."""

from dataclasses import replace

import numpy as np
import pytest

from analyzer.flown import altitude_record
from analyzer.flown.attempt import Attempt
from analyzer.flown.flight import Flight as FlightRead
from analyzer.flown.whole_flight import read_flight
from analyzer.given import Options
from analyzer.given.plane import frame_of
from analyzer.given.procedure import Procedure
from analyzer.given.track import Track
from analyzer.planned import plan_of
from analyzer.synthesis import EXACT, Flight, Sensor
from tests.reading_material import TABLET, flown, procedure_for

BOUNDARY_S = 2.5  # at 1 Hz and 3 m


def read(flight: Flight, procedure: Procedure) -> FlightRead:
    return read_flight(flight.track, plan_of(procedure), altitude_record(flight.track, procedure, Options()))


def assert_like_truth(attempt: Attempt, flight: Flight, number: int = 0, within_s: float = BOUNDARY_S) -> None:
    truth = flight.truth.attempts[number]
    assert attempt.flown_as == truth.flown_as
    assert attempt.entry == truth.entry
    assert attempt.laps == truth.laps
    assert [(phase.name, phase.lap) for phase in attempt.phases] == [(phase.name, phase.lap) for phase in truth.phases]
    starts = np.array([phase.start_s for phase in attempt.phases[1:]])
    true_starts = np.array([phase.start_s for phase in truth.phases[1:]])
    assert np.max(np.abs(starts - true_starts)) < within_s
    for before, after in zip(attempt.phases[:-1], attempt.phases[1:], strict=True):
        assert before.end_s == after.start_s


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("method", ["45/180", "80/260"])
def test_procedure_turns(method: str, side: str) -> None:
    procedure = procedure_for(turn_side=side)  # type: ignore[arg-type]
    flight = flown(procedure, method)
    (attempt,) = read(flight, procedure).attempts
    assert_like_truth(attempt, flight)
    assert attempt.complete
    assert not attempt.wrong_side


def test_a_charted_teardrop() -> None:
    procedure = procedure_for("teardrop")
    flight = flown(procedure, "teardrop")
    (attempt,) = read(flight, procedure).attempts
    assert_like_truth(attempt, flight)


def test_a_racetrack_on_a_procedure_turn() -> None:
    procedure = procedure_for()
    flight = flown(procedure, "racetrack", arrival_track_true_deg=118.0)
    (attempt,) = read(flight, procedure).attempts
    assert attempt.flown_as == "racetrack"


@pytest.mark.parametrize(
    ("off_inbound_deg", "entry"), [(10.0, "direct"), (145.0, "teardrop"), (-120.0, "parallel"), (80.0, "direct")]
)
@pytest.mark.parametrize("side", ["left", "right"])
def test_hold_entries_by_arrival(off_inbound_deg: float, entry: str, side: str) -> None:
    procedure = procedure_for("hold in lieu", turn_side=side)  # type: ignore[arg-type]
    sign = 1.0 if side == "right" else -1.0
    arrival = (procedure.inbound_true_deg + sign * off_inbound_deg) % 360.0
    flight = flown(procedure, "hold", laps=2, arrival_track_true_deg=arrival)
    (attempt,) = read(flight, procedure).attempts
    assert attempt.entry == entry
    assert attempt.entry_expected == entry
    assert attempt.laps == 2
    assert attempt.flown_as == "hold"


def test_laps_of_a_delay_hold_are_counted() -> None:
    procedure = procedure_for("holding")
    flight = flown(procedure, "hold", laps=5, arrival_track_true_deg=118.0)
    (attempt,) = read(flight, procedure).attempts
    assert attempt.laps == 5
    assert [passage.direction for passage in attempt.passages] == ["outbound"] + ["inbound"] * 5


def test_a_straight_in_flight_has_no_attempt_and_says_so() -> None:
    procedure = procedure_for()
    flight = flown(procedure, "straight in")
    result = read(flight, procedure)
    assert result.attempts == ()
    assert result.notes[-1].code == "no-reversal-straight-in"


def test_a_track_far_from_the_fix_asks_for_the_right_procedure() -> None:
    flight = flown(procedure_for(), "45/180")
    elsewhere = procedure_for(latitude_deg=47.2)
    result = read(flight, elsewhere)
    assert result.attempts == ()
    assert result.notes[-1].code == "no-reversal-far-from-fix"
    assert "Is the procedure for another fix?" in result.notes[-1].text


def test_two_attempts_in_one_track() -> None:
    procedure = procedure_for()
    flight = flown(procedure, "45/180", attempts=2)
    first, second = read(flight, procedure).attempts
    assert (first.number, second.number) == (1, 2)
    assert first.end_s == second.start_s
    assert first.phases[-1].name == "final"
    assert second.phases[0].name == "arrival"


def test_a_track_that_ends_in_the_reversal_turn_has_no_later_phase() -> None:
    procedure = procedure_for()
    flight = flown(procedure, "45/180", stop_in="reversal turn", stop_after_s=20.0)
    (attempt,) = read(flight, procedure).attempts
    assert attempt.phases[-1].name == "reversal turn"
    assert not attempt.complete
    assert attempt.last_inbound_passage_s is None


def test_the_wrong_side_is_seen() -> None:
    flight = flown(procedure_for(turn_side="right"), "45/180", TABLET)
    other = procedure_for(turn_side="left")
    (attempt,) = read(flight, other).attempts
    assert attempt.wrong_side


def phases_of(result: FlightRead) -> list[tuple[str, int, float]]:
    return [(phase.name, phase.lap, phase.start_s) for attempt in result.attempts for phase in attempt.phases]


def assert_same_phases(one: FlightRead, two: FlightRead, within_s: float) -> None:
    first, second = phases_of(one), phases_of(two)
    assert [phase[:2] for phase in first] == [phase[:2] for phase in second]
    assert np.max(np.abs(np.array([a[2] for a in first]) - np.array([b[2] for b in second]))) < within_s


def test_the_mirror_image_reads_the_same() -> None:
    procedure = procedure_for(turn_side="right")
    flight = flown(procedure, "45/180")
    frame = frame_of(procedure)
    along, cross = frame.along_cross_m(flight.track.latitude_deg, flight.track.longitude_deg)
    latitude, longitude = frame.latitude_longitude_from_along_cross(along, -cross)
    mirrored = replace(flight.track, latitude_deg=latitude, longitude_deg=longitude)
    other = procedure_for(turn_side="left")
    assert_same_phases(read(flight, procedure), read_flight(mirrored, plan_of(other)), 0.05)


@pytest.mark.parametrize(("latitude", "longitude"), [(-33.0, 20.0), (70.0, 179.999), (0.0, -180.0)])
def test_the_world_can_be_turned_and_moved(latitude: float, longitude: float) -> None:
    here, there = procedure_for(), procedure_for(inbound_true_deg=301.0, latitude_deg=latitude, longitude_deg=longitude)
    flight = flown(here, "80/260")
    along, cross = frame_of(here).along_cross_m(flight.track.latitude_deg, flight.track.longitude_deg)
    moved_latitude, moved_longitude = frame_of(there).latitude_longitude_from_along_cross(along, cross)
    moved = Track("moved", flight.track.time_s, moved_latitude, moved_longitude)
    assert_same_phases(read(flight, here), read_flight(moved, plan_of(there)), 0.1)


def test_ten_times_the_rate_reads_the_same() -> None:
    procedure = procedure_for("hold in lieu")
    coarse = flown(procedure, "hold", EXACT if EXACT.interval_s == 1.0 else Sensor(interval_s=1.0), laps=2)
    fine = flown(procedure, "hold", Sensor(interval_s=0.1), laps=2)
    assert_same_phases(read(coarse, procedure), read(fine, procedure), 1.5)
