"""A recording that begins over the fix, on the way out, holds the reversal; one that begins with a take-off none."""

import numpy as np
import pytest

import analyzer
from analyzer.flown.whole_flight import read_flight
from analyzer.given.plane import frame_of
from analyzer.given.track import Track
from analyzer.planned import plan_of
from tests.reading_material import flown, procedure_for

PROCEDURE = procedure_for()
ONE_SECOND_S = 1.0


def cut(flight, from_s):
    track = flight.track
    kept = track.time_s >= from_s
    time = track.time_s[kept]
    return Track("cut", time - time[0], track.latitude_deg[kept], track.longitude_deg[kept]), float(time[0])


@pytest.mark.parametrize("after_passage_s", [0.0, 4.0, 15.0])
@pytest.mark.parametrize(("method", "arrival"), [("45/180", 298.0), ("80/260", 250.0), ("racetrack", 118.0)])
def test_a_recording_that_begins_at_the_fix_shows_the_reversal(method, arrival, after_passage_s):
    flight = flown(PROCEDURE, method, arrival_track_true_deg=arrival)
    truth = flight.truth.attempts[0]
    track, began_s = cut(flight, truth.passages[0].at_s + after_passage_s)
    (attempt,) = read_flight(track, plan_of(PROCEDURE)).attempts
    assert attempt.flown_as == method
    assert attempt.complete
    assert attempt.start_s == 0.0
    assert attempt.passages[0].at_s == pytest.approx(0.0, abs=ONE_SECOND_S)
    assert attempt.passages[0].direction == "outbound"
    assert attempt.phase("arrival", 1) is None
    assert attempt.passages[-1].at_s + began_s == pytest.approx(truth.passages[-1].at_s, abs=ONE_SECOND_S)


def test_such_a_flight_is_assessed_to_the_end():
    flight = flown(PROCEDURE, "45/180", arrival_track_true_deg=298.0)
    track, _ = cut(flight, flight.truth.attempts[0].passages[0].at_s + 2.0)
    debrief = analyzer.assess(track, PROCEDURE)
    (attempt,) = debrief.to_dict()["attempts"]
    assert attempt["phases"][0]["name"] == "outbound"
    assert attempt["containment"]["verdict"] in ("inside", "outside", "too close to call")
    assert debrief.to_html().rstrip().endswith("</html>")


def departure(first_mps):
    """Out along the outbound course, from a take-off at the fix or already flying, round, and back over the fix."""
    time = np.arange(0.0, 560.0)
    speed = np.minimum(60.0, first_mps + 2.0 * time)
    rate = np.where((time > 200.0) & (time <= 260.0), 3.0, 0.0)
    heading = np.radians(180.0 + np.cumsum(rate))
    along = 60.0 - np.cumsum(np.cos(heading) * speed)
    cross = np.cumsum(np.sin(heading) * speed)
    latitude, longitude = frame_of(PROCEDURE).latitude_longitude_from_along_cross(along, cross)
    return Track("departure", time, latitude, longitude)


def test_a_take_off_at_the_fix_is_no_passage_of_it():
    assert read_flight(departure(0.0), plan_of(PROCEDURE)).attempts == ()
    assert len(read_flight(departure(60.0), plan_of(PROCEDURE)).attempts) == 1
