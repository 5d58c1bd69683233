"""Turns that run into each other or carry far: they neither change a method's name nor cut a hold in two."""

import numpy as np
import pytest

from analyzer.flown import Flight, read_flight
from analyzer.given import Track, frame_of
from analyzer.planned import Plan
from analyzer.synthesis import FlightPlan, FlyingError, Sensor, fly
from analyzer.units import MPS_PER_KNOT as KNOT
from tests.doubt_flights import procedure


def read(track: Track, method: str) -> Flight:
    asked = procedure(method, right=True)
    return read_flight(track, Plan(asked, frame_of(asked)))


@pytest.mark.parametrize("bank_deg", [11.0, 14.0])
def test_laps_with_shallow_turns_that_carry_far_behind_the_fix_stay_laps_of_one_hold(bank_deg: float) -> None:
    """At 11 degrees of bank and 115 kt a half circle is 2 NM wide, and the lap before never got established."""
    plan = FlightPlan("hold", laps=3, tas_mps=115.0 * KNOT, errors=(FlyingError("shallow bank", bank_deg),))
    flown = fly(procedure("hold", right=True), plan, 3, Sensor(white_m=1.0))
    assert [attempt.laps for attempt in read(flown.track, "hold").attempts] == [flown.truth.attempts[0].laps]


def path(legs: list[tuple[float, float]], start_m: tuple[float, float], heading_deg: float, speed_mps: float) -> Track:
    """A track by (seconds, degrees per second) from a place, in the inbound course's axes; rates change at once."""
    rate = np.concatenate([np.full(round(seconds), turning) for seconds, turning in legs])
    heading = np.radians(heading_deg + np.concatenate([[0.0], np.cumsum(rate)]))
    middle = 0.5 * (heading[1:] + heading[:-1])
    along = start_m[0] - np.concatenate([[0.0], np.cumsum(np.cos(middle))]) * speed_mps
    cross = start_m[1] + np.concatenate([[0.0], np.cumsum(np.sin(middle))]) * speed_mps
    latitude, longitude = frame_of(procedure("45/180", right=True)).latitude_longitude_from_along_cross(along, cross)
    return Track("by hand", np.arange(len(along), dtype=float), latitude, longitude, None, None, None)


def test_a_capture_that_goes_on_into_the_offset_turn_is_the_offset_turn_of_a_45_180() -> None:
    """Overshot outbound, then one turn of 75 degrees through the outbound course onto the offset heading.

    Headings are relative to the inbound course: over the fix on 180, left to 145, back right through 180 to 225, a
    minute, left 180 to 45, right 45 onto the course.
    """
    legs = [(100, 0.0), (12, -3.0), (35, 0.0), (27, 3.0), (60, 0.0), (60, -3.0), (45, 0.0), (15, -3.0), (120, 0.0)]
    track = path(legs, (-5000.0, 0.0), 180.0, 50.0)
    (attempt,) = read(track, "45/180").attempts
    assert attempt.flown_as == "45/180"
    offset = attempt.phase("offset turn")
    assert offset is not None
    assert offset.start_s == pytest.approx(147.0, abs=2.0)
    assert offset.end_s == pytest.approx(174.0, abs=2.0)
