"""Whole flights, as recorders keep them: standing, taxiing, take-off, climb, the reversal, landing, taxiing."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import analyzer
from analyzer.flown.altitude.smoothed import AltitudeProfile
from analyzer.flown.motion.motion import estimate_motion
from analyzer.flown.reversals.take_off import take_off_s
from analyzer.given.plane import Frame, frame_of
from analyzer.given.procedure import Procedure
from analyzer.given.track import Track
from analyzer.judged.measurements.ground import _touched_s as touchdown_s
from analyzer.reading.procedure_file.read import read_procedure
from analyzer.reading.track_file import read_track
from analyzer.shown.report.view.series import series_of
from analyzer.units.factors import METRES_PER_FOOT as FOOT, METRES_PER_NM

SAMPLES = Path(__file__).parents[2] / "sample_tracks"
FIELD_M = 1870.0 * FOOT
STANDS_S, TAXIES_S, TAXI_MPS = 120, 180, 6.0
CLIMB_MPS = 600.0 * FOOT / 60.0
SEVERE = ("critical", "major")


def flown_to(start: tuple[float, float], points: list[tuple[float, float]], speed_mps: float) -> np.ndarray:
    """Stand, taxi to and fro, take off and fly to each point in turn at 3 degrees a second; shape (n, 2)."""
    heading, place, speed, found = 0.4, np.array(start), 0.0, []
    moment = 0
    while points:
        off_ground = moment - STANDS_S - TAXIES_S
        if off_ground < 0:
            speed = 0.0 if moment < STANDS_S else TAXI_MPS
            heading += 0.5 * np.pi if moment > STANDS_S and moment % 45 == 0 else 0.0
        else:
            speed = min(speed_mps, speed + speed_mps / 25.0)
        if off_ground > 60:
            wanted = np.arctan2(*(np.array(points[0]) - place))
            heading += np.clip((wanted - heading + np.pi) % (2.0 * np.pi) - np.pi, -0.052, 0.052)
            if np.hypot(*(np.array(points[0]) - place)) < (60.0 if len(points) == 1 else 900.0):
                points = points[1:]
        place = place + speed * np.array([np.sin(heading), np.cos(heading)])
        found.append(place)
        moment += 1
    return np.array(found)


def whole(
    track: Track,
    frame: Frame,
    field: tuple[float, float],
    landing: bool = True,
    before: Sequence[tuple[float, float]] = (),
) -> Track:
    """Return a track with the way from a field (and by more places) before it, and a landing and taxiing after it."""
    east, north = (np.asarray(each) for each in frame.east_north_m(track.latitude_deg, track.longitude_deg))
    ahead = np.array([east[15] - east[0], north[15] - north[0]])
    speed = float(np.hypot(*ahead)) / float(track.time_s[15] - track.time_s[0])
    back, side = ahead / np.hypot(*ahead), np.array([ahead[1], -ahead[0]]) / np.hypot(*ahead)
    first = np.array([east[0], north[0]])
    way = [*before, tuple(first - 9000.0 * back + 4000.0 * side), tuple(first - 3000.0 * back), tuple(first)]
    random = np.random.default_rng(1)
    there = flown_to(field, way, speed)
    noise = random.normal(0.0, 1.0, there.shape)
    airborne = np.maximum(np.arange(len(there)) - STANDS_S - TAXIES_S - 25, 0)
    assert track.altitude_m is not None
    climb = np.minimum(FIELD_M + CLIMB_MPS * airborne, track.altitude_m[0])
    path, altitude = [there + noise, np.column_stack([east, north])], [climb, track.altitude_m]
    if landing:
        slowing = np.linspace(speed, 0.0, 40)
        taxiing = np.concatenate([slowing, np.full(TAXIES_S, TAXI_MPS)])
        heading = np.arctan2(east[-1] - east[-15], north[-1] - north[-15]) + 0.5 * np.pi * (
            np.maximum(np.arange(len(taxiing)) - 40, 0) // 40
        )
        steps = np.column_stack([np.sin(heading), np.cos(heading)]) * taxiing[:, None]
        path.append(np.array([east[-1], north[-1]]) + np.cumsum(steps, axis=0) + random.normal(0.0, 1.0, steps.shape))
        altitude.append(np.full(len(taxiing), track.altitude_m[-1]))
    places = np.concatenate(path)
    latitude, longitude = frame.latitude_longitude_deg(places[:, 0], places[:, 1])
    times = np.concatenate(
        [
            np.arange(float(len(there))),
            len(there) + track.time_s,
            len(there) + track.time_s[-1] + 1.0 + np.arange(len(places) - len(there) - len(track)),
        ]
    )
    return Track(
        "whole", times, np.asarray(latitude), np.asarray(longitude), np.concatenate(altitude), track.altitude_kind
    )


def sample(name: str, procedure: str) -> tuple[Track, Procedure]:
    return read_track(SAMPLES / name), read_procedure(SAMPLES / procedure)


@pytest.mark.parametrize(
    ("name", "procedure", "field_nm"),
    [
        ("blown_80_260.gpx", "ndb_a.toml", (-0.3, -0.2)),  # a beacon on the field
        ("blown_80_260.gpx", "ndb_a.toml", (-4.0, 3.0)),
        ("good_45_180.csv", "vor_12.toml", (5.0, -3.0)),
        ("teardrop_entry.gpx", "rnav_30.toml", (5.0, -3.0)),
        ("delay_hold.csv", "vor_12_hold.toml", (-5.0, 3.0)),
    ],
)
def test_take_off_and_taxiing_change_nothing_of_the_reversal(
    name: str, procedure: str, field_nm: tuple[float, float]
) -> None:
    track, loaded = sample(name, procedure)
    frame = frame_of(loaded)
    field = (field_nm[0] * METRES_PER_NM, field_nm[1] * METRES_PER_NM)
    alone = analyzer.assess(track, loaded).to_dict()["attempts"]
    together = analyzer.assess(whole(track, frame, field), loaded).to_dict()["attempts"]
    assert len(alone) == 1
    assert [(one["flown_as"], one["entry"], one["laps"]) for one in together] == [
        (one["flown_as"], one["entry"], one["laps"]) for one in alone
    ]
    for one, other in zip(alone, together, strict=True):
        severe = [
            [finding["code"] for finding in each["findings"] if finding["severity"] in SEVERE] for each in (one, other)
        ]
        assert severe[0] == severe[1]
        assert other["scores"]["altitude"] == pytest.approx(one["scores"]["altitude"], abs=3.0)


def test_take_off_is_seen() -> None:
    track, procedure = sample("blown_80_260.gpx", "ndb_a.toml")
    frame = frame_of(procedure)
    flight = whole(track, frame, (1000.0, 2000.0))
    motion, _ = estimate_motion(flight, frame)
    assert take_off_s(motion) == pytest.approx(STANDS_S + TAXIES_S + 10.0, abs=10.0)
    assert take_off_s(estimate_motion(track, frame)[0]) is None


def test_a_reversal_begun_level_soon_after_take_off_and_low_counts() -> None:
    track, procedure = sample("blown_80_260.gpx", "ndb_a.toml")
    assert track.altitude_m is not None
    low = replace(track, altitude_m=np.minimum(track.altitude_m, 3000.0 * FOOT))
    flight = whole(low, frame_of(procedure), (-600.0, -300.0))
    (attempt,) = analyzer.assess(flight, procedure).to_dict()["attempts"]
    assert attempt["flown_as"] == "80/260"
    assert "below-minimum-altitude" in {finding["code"] for finding in attempt["findings"]}


@pytest.mark.parametrize(("low_ft", "touches"), [(60.0, True), (500.0, False)])
def test_a_touch_and_go_at_the_field_of_the_take_off_is_seen(low_ft: float, touches: bool) -> None:
    track, procedure = sample("blown_80_260.gpx", "ndb_a.toml")
    frame = frame_of(procedure)
    flight = whole(track, frame, (-1200.0, -2700.0), landing=False)
    (attempt,) = analyzer.assess(flight, procedure).assessment.attempts
    motion, _ = estimate_motion(flight, frame)
    from_s = attempt.attempt.phases[-1].start_s
    dip = np.abs(flight.time_s - from_s - 60.0) / 30.0
    altitude = np.where(dip < 1.0, FIELD_M + low_ft * FOOT + dip * 500.0 * FOOT, FIELD_M + 3000.0 * FOOT)
    altitude[flight.time_s < 400.0] = FIELD_M
    profile = AltitudeProfile(flight.time_s, altitude, np.full(altitude.shape, 1.0), 1.0)
    found = touchdown_s(from_s, attempt.attempt, motion, profile)
    assert found == pytest.approx(from_s + 60.0, abs=1.0) if touches else found is None


def _after(legs: list[tuple[float, float]], field: tuple[float, float]) -> analyzer.Debrief:
    """Debrief a flight whose reversal comes after legs to places about the fix, NM east and north of it."""
    track, procedure = sample("good_45_180.csv", "vor_12.toml")
    places = [(east * METRES_PER_NM, north * METRES_PER_NM) for east, north in legs]
    return analyzer.assess(whole(track, frame_of(procedure), field, before=places), procedure)


def test_other_work_about_the_fix_is_left_out_and_said() -> None:
    # twice over the fix, south and east of it, before the reversal to the north-west
    debrief = _after([(6.0, -9.0), (0.0, 0.0), (1.0, 9.0), (8.0, 5.0), (0.0, 0.1), (-2.0, -8.0)], (11_000.0, -9_000.0))
    assert [one["flown_as"] for one in debrief.to_dict()["attempts"]] == ["45/180"]
    assert [one["number"] for one in debrief.to_dict()["attempts"]] == [1]
    assert "other-work" in {note["code"] for note in debrief.to_dict()["track"]["quality"]}


def test_a_lone_reversal_that_never_took_up_the_course_is_judged() -> None:
    track, procedure = sample("good_45_180.csv", "vor_12.toml")
    first = analyzer.assess(track, procedure).assessment.attempts[0].attempt
    established_s = first.established_s[0]
    assert established_s is not None
    cut = track.time_s < established_s - 5.0
    part = replace(
        track,
        time_s=track.time_s[cut],
        latitude_deg=track.latitude_deg[cut],
        longitude_deg=track.longitude_deg[cut],
        altitude_m=None,
        altitude_kind=None,
        sensors={},
    )
    (attempt,) = analyzer.assess(part, procedure).to_dict()["attempts"]
    assert attempt["intercept"]["established_s"] is None


def test_the_figures_hold_the_arrival_against_its_limit_from_where_it_is_judged() -> None:
    track, procedure = sample("delay_hold.csv", "vor_12_hold.toml")
    assessment = analyzer.assess(whole(track, frame_of(procedure), (9_000.0, -5_000.0)), procedure).assessment
    (assessed,) = assessment.attempts
    begins_s = assessed.measures.altitudes[0].judged_from_s
    assert begins_s is not None
    series = series_of(assessment, 0.0, assessed.attempt.first_passage_s, assessed.attempt)
    climb = series.time_s < begins_s
    assert climb.any()
    assert np.isnan(series.altitude_inside_m[climb]).all()
    assert np.isfinite(series.altitude_inside_m[~climb]).all()
