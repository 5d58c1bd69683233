"""A turn at the fix flown in pieces is one turn outbound; level flight on the way out ends it."""

import numpy as np
import pytest

from analyzer.flown.whole_flight import read_flight
from analyzer.given.plane import frame_of
from analyzer.given.track import Track
from analyzer.planned import plan_of
from tests.reading_material import procedure_for

SPEED_MPS = 55.0
STEP_S = 0.1
TWO_SECONDS_S = 2.0


def hold_track(level_s: float, first_deg: float):
    """A right-hand hold in still air whose turn at the fix pauses after `first_deg` for `level_s`.

    Returns the track and the moments at which the pause starts and the second piece of the turn ends.
    """
    pieces = [(120.0, 0.0), (first_deg / 3.0, 3.0), (level_s, 0.0), ((180.0 - first_deg) / 3.0, 3.0)]
    pieces += [(70.0, 0.0), (60.0, 3.0), (150.0, 0.0)]
    rate = np.concatenate([np.full(round(seconds / STEP_S), value) for seconds, value in pieces])
    # wings take three seconds from level to banked and back
    rate = np.convolve(np.pad(rate, 15, mode="edge"), np.ones(31) / 31.0, mode="valid")
    heading = np.radians(np.cumsum(rate) * STEP_S)
    along = -np.cumsum(np.cos(heading)) * SPEED_MPS * STEP_S
    cross = np.cumsum(np.sin(heading)) * SPEED_MPS * STEP_S
    along -= np.interp(118.0, np.arange(len(along)) * STEP_S, along)  # the fix, 2 s before roll-in
    every = round(1.0 / STEP_S)
    frame = frame_of(procedure_for("holding"))
    latitude, longitude = frame.latitude_longitude_from_along_cross(along[::every], cross[::every])
    pause_s = 120.0 + first_deg / 3.0
    return Track("by hand", np.arange(len(latitude)) * 1.0, latitude, longitude), pause_s, 180.0 + level_s


def outbound_turn(track: Track):
    procedure = procedure_for("holding")
    (attempt,) = read_flight(track, plan_of(procedure)).attempts
    (turn,) = [turn for name, lap, turn in attempt.turns if name == "outbound turn" and lap == 1]
    phase = attempt.phase("outbound turn", 1)
    assert phase is not None
    assert phase.end_s == pytest.approx(turn.end_s)
    return turn


@pytest.mark.parametrize(("level_s", "first_deg"), [(8.0, 60.0), (8.0, 100.0)])
def test_a_turn_that_goes_on_is_one(level_s, first_deg):
    track, _, ends_s = hold_track(level_s, first_deg)
    turn = outbound_turn(track)
    assert turn.end_s == pytest.approx(ends_s, abs=TWO_SECONDS_S)
    assert turn.degrees == pytest.approx(180.0, abs=3.0)


@pytest.mark.parametrize(("level_s", "first_deg"), [(30.0, 90.0), (9.0, 150.0)])
def test_a_turn_after_level_flight_or_onto_the_course_is_another(level_s, first_deg):
    track, pause_s, _ = hold_track(level_s, first_deg)
    turn = outbound_turn(track)
    assert turn.end_s == pytest.approx(pause_s, abs=TWO_SECONDS_S)
    assert turn.degrees == pytest.approx(first_deg, abs=3.0)
