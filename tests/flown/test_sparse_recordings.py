"""Coarse recordings: turns are not outliers, and what too few positions can't show is not assessed, with the reason."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from analyzer.given import Procedure, Track
from analyzer.judged import Assessment, assess_track
from analyzer.reading import read_procedure
from analyzer.shown import render_page
from analyzer.synthesis import HUMAN, FlightPlan, Method, Sensor, fly
from analyzer.units import MPS_PER_KNOT

PROCEDURE: Procedure = read_procedure(Path(__file__).parents[1] / "procedures" / "vor_procedure_turn.toml")
CALM_PLAN = {"tas_mps": 105.0 * MPS_PER_KNOT, "wind_from_deg_true": 280.0, "wind_speed_mps": 18.0 * MPS_PER_KNOT}


def flown(method: Method, interval_s: float, seed: int = 1, outlier_m: float = 0.0) -> Track:
    """Return a human pilot's flight with a row in `interval_s`, one position near the outbound leg's middle moved."""
    plan = FlightPlan(method, pilot=HUMAN, **CALM_PLAN)
    track = fly(PROCEDURE, plan, seed, Sensor(interval_s=interval_s, white_m=2.0)).track
    if not outlier_m:
        return track
    latitude = np.array(track.latitude_deg)
    latitude[len(latitude) // 3] += outlier_m / 111_120.0
    return replace(track, latitude_deg=latitude)


def assessed(track: Track) -> Assessment:
    return assess_track(track, PROCEDURE)


def codes(assessment: Assessment) -> list[str]:
    return [note.code for note in (*assessment.track.quality, *assessment.notes)]


@pytest.mark.parametrize("method", ["45/180", "80/260"])
@pytest.mark.parametrize("interval_s", [2.0, 5.0, 7.0, 10.0])
def test_turns_of_a_coarse_recording_are_no_outliers_and_the_method_is_read(method: Method, interval_s: float) -> None:
    assessment = assessed(flown(method, interval_s))
    assert "outlier-positions" not in codes(assessment)
    assert [one.attempt.flown_as for one in assessment.attempts] == [method]
    assert assessment.doubts == ()


@pytest.mark.parametrize("interval_s", [2.0, 5.0, 8.0])
def test_a_position_that_no_aircraft_flew_through_is_an_outlier_of_a_coarse_recording(interval_s: float) -> None:
    assessment = assessed(flown("45/180", interval_s, outlier_m=700.0))
    assert "outlier-positions" in codes(assessment)
    (text,) = (note.text for note in assessment.notes if note.code == "outlier-positions")
    assert text.startswith("1 position left out")


@pytest.mark.parametrize("method", ["45/180", "80/260"])
@pytest.mark.parametrize("interval_s", [11.0, 15.0, 25.0])
def test_over_ten_seconds_the_manoeuvre_is_not_assessed(method: Method, interval_s: float) -> None:
    assessment = assessed(flown(method, interval_s))
    (one,) = assessment.attempts
    assert "outlier-positions" not in codes(assessment)
    assert one.attempt.flown_as == "other"
    assert one.scores.result == "not assessed"
    assert (one.judgement.intercept, one.judgement.timing) == ("not assessed", "not assessed")
    assert (one.measures.turns, one.measures.timing, one.measures.intercept.angle_deg) == ((), None, None)
    assert one.judgement.containment == "inside"
    (text,) = assessment.doubts
    assert f"one position in {interval_s:.0f} s in the turns" in text
    assert text in render_page(assessment).split('<section class="papers')[0]


def test_over_thirty_seconds_nothing_is_judged() -> None:
    assessment = assessed(flown("45/180", 33.0))
    for one in assessment.attempts:
        assert one.scores.result == "not assessed"
        assert one.judgement.containment == "not assessed"
        assert set(one.judgement.altitudes) == {"not assessed"}
        assert one.judgement.findings == ()
    assert any("too few to judge" in text for text in assessment.doubts) or not assessment.attempts


def without(track: Track, from_s: float, to_s: float) -> Track:
    """Return the track without the rows of a span."""
    kept = (track.time_s <= from_s) | (track.time_s >= to_s)
    assert track.altitude_m is not None
    return replace(
        track,
        time_s=track.time_s[kept],
        latitude_deg=track.latitude_deg[kept],
        longitude_deg=track.longitude_deg[kept],
        altitude_m=track.altitude_m[kept],
        sensors={name: values[kept] for name, values in track.sensors.items()},
    )


def test_an_outage_that_a_turn_fills_hides_nothing() -> None:
    """24 s in the middle of a turn of a minute: it was going on, and where it ends shows how."""
    track = flown("45/180", 1.0)
    (whole,) = assessed(track).attempts
    turn = whole.attempt.phase("reversal turn")
    assert turn is not None
    middle_s = 0.5 * (turn.start_s + turn.end_s)
    cut = assessed(without(track, middle_s - 12.0, middle_s + 12.0))
    assert cut.doubts == ()
    assert [one.scores.result for one in cut.attempts] == [whole.scores.result]
    assert [one.attempt.flown_as for one in cut.attempts] == ["45/180"]


def test_an_outage_that_leaves_open_what_was_flown_is_told_and_one_on_the_leg_is_not() -> None:
    track = flown("45/180", 1.0)
    (whole,) = assessed(track).attempts
    turn = whole.attempt.phase("reversal turn")
    outbound = whole.attempt.phase("outbound")
    assert turn is not None
    assert outbound is not None
    # 90 s about a turn of a minute: half a minute of legs is lost with it
    middle_s = 0.5 * (turn.start_s + turn.end_s)
    cut = assessed(without(track, middle_s - 45.0, middle_s + 45.0))
    assert [one.scores.result for one in cut.attempts] == ["not assessed"]
    assert "outage_in_turn" in codes(cut)
    middle_s = 0.5 * (outbound.start_s + outbound.end_s)
    level = assessed(without(track, middle_s - 12.0, middle_s + 12.0))
    assert [one.scores.result for one in level.attempts] == [whole.scores.result]
    assert level.doubts == ()
