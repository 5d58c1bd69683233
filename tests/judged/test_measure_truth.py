"""All measurements of synthesized flights, given their true phases: what is left is the error of measuring itself."""

from functools import cache

import numpy as np
import pytest

from analyzer.flown import Flight as FlightRead
from analyzer.flown.altitude.altimeter_record import altitude_record
from analyzer.flown.attempt import Attempt
from analyzer.flown.motion.motion import Motion, estimate_motion
from analyzer.flown.reversals.established import established_time
from analyzer.flown.turns.air_motion import air_motion
from analyzer.flown.turns.roll_edges import flown_turn
from analyzer.flown.whole_flight import at_moments
from analyzer.given.options import Options
from analyzer.given.plane import Frame, frame_of
from analyzer.given.procedure import AltitudeLimit, Guidance, Place, Procedure
from analyzer.given.wind import wind_from
from analyzer.judged.measurements.ground import ends_on_ground
from analyzer.judged.measurements.measure import measure_attempt, threshold_passed_s
from analyzer.judged.measurements.values import AttemptMeasures
from analyzer.planned import Plan
from analyzer.planned.needle import deflection, in_cone
from analyzer.planned.protection.build import protection_areas
from analyzer.synthesis import HUMAN, AttemptTruth, Flight, FlightPlan, FlyingError, Sensor, fly
from analyzer.units.factors import METRES_PER_FOOT as FOOT, METRES_PER_NM as NM

ANGLE_DEG = 3.0
OVERSHOOT_M = 0.02 * NM
ESTABLISHED_M = 0.05 * NM
TIMED_S = 0.5
ONSET_S = 3.0
DISTANCE_M = 0.01 * NM

FIX = Place(46.2, -101.5, "HRF", 1900 * FOOT)
TABLET = Sensor(interval_s=1.0, white_m=3.0, wander_m=2.0, altitude_sigma_m=10 * FOOT)
COARSE = Sensor(interval_s=5.0, white_m=5.0, wander_m=3.0, altitude_sigma_m=10 * FOOT)
SIMULATOR = Sensor(interval_s=0.1)


def procedure(reversal: str = "procedure turn", **changes: object) -> Procedure:
    values = {
        "title": "VOR-A", "reversal": reversal, "fix": FIX, "inbound_true_deg": 125.0, "variation_deg": 7.0,
        "variation_source": "file", "turn_side": "right",
        "outbound_true_deg": 329.0 if reversal == "teardrop" else 305.0, "offset_true_deg": 350.0,
        "guidance": Guidance("VOR", FIX, 10.0, None), "remain_within_m": 10 * NM, "outbound_s": 60.0,
        "outbound_m": None, "timing_from": "wings level", "max_ias_mps": None,
        "altitudes": (
            AltitudeLimit("arrival", "at or above", 5500 * FOOT, None),
            AltitudeLimit("reversal", "at or above", 4600 * FOOT, None),
            AltitudeLimit("inbound", "at or above", 4600 * FOOT, None),
            AltitudeLimit("final", "at or above", 3100 * FOOT, None),
        ),
        "criteria": "US", "category": "A",
    }  # fmt: skip
    return Procedure(**{**values, **changes})  # type: ignore[arg-type]


#: name: procedure, method, laps, wind from and knots, errors, sensor
FLIGHTS = {
    "clean 45/180": ("procedure turn", "45/180", 1, (240.0, 9.0), (), TABLET),
    "clean 45/180, simulator": ("procedure turn", "45/180", 1, (240.0, 9.0), (), SIMULATOR),
    "clean 45/180, coarse": ("procedure turn", "45/180", 1, (20.0, 5.0), (), COARSE),
    "early descent": ("procedure turn", "45/180", 1, (60.0, 8.0), (FlyingError("early descent", 90.0),), TABLET),
    "level bust": ("procedure turn", "racetrack", 1, (60.0, 3.0), (FlyingError("level bust", 60.0),), TABLET),
    "past the limit": (
        "procedure turn", "45/180", 1, (300.0, 5.0), (FlyingError("past the distance limit", 900.0),), TABLET,
    ),
    "overshoot": ("procedure turn", "45/180", 1, (200.0, 6.0), (FlyingError("overshoot", 400.0),), TABLET),
    "clean 80/260": ("procedure turn", "80/260", 1, (100.0, 4.0), (), TABLET),
    "clean teardrop": ("teardrop", "teardrop", 1, (100.0, 6.0), (), TABLET),
    "hold of three laps": ("hold in lieu", "hold", 3, (350.0, 10.0), (), TABLET),
    "hold, coarse": ("hold in lieu", "hold", 2, (350.0, 8.0), (), COARSE),
}  # fmt: skip


@cache
def flight(name: str) -> Flight:
    reversal, method, laps, (wind_from_deg, wind_mps), errors, sensor = FLIGHTS[name]
    plan = FlightPlan(
        method=method, tas_mps=60.0, wind_from_deg_true=wind_from_deg, wind_speed_mps=wind_mps, laps=laps,
        arrival_m=4 * NM, final_m=2.5 * NM, ending="land", pilot=HUMAN, errors=errors,
    )  # fmt: skip
    return fly(procedure(reversal), plan, seed=sorted(FLIGHTS).index(name), sensor=sensor)


@cache
def read(name: str) -> tuple[AttemptTruth, Attempt, AttemptMeasures, Motion, Frame]:
    one = flight(name)
    truth = one.truth.attempts[0]
    frame = frame_of(one.procedure)
    motion, _ = estimate_motion(one.track, frame)
    wind = wind_from(one.truth.wind_from_deg_true, one.truth.wind_speed_mps, one.truth.tas_mps)
    record = altitude_record(one.track, one.procedure, Options())
    assert record is not None
    altitude = at_moments(motion, record.time_s, record.altitude_m)
    needle = deflection(one.procedure, frame, motion.along_m, motion.cross_m)
    cone = in_cone(one.procedure, frame, motion.along_m, motion.cross_m, altitude)
    ends = [passage.at_s for passage in truth.passages[1:]]
    starts = [phase.start_s for phase in truth.phases if phase.name == "reversal turn"]
    established = [established_time(motion, needle, cone, start, end) for start, end in zip(starts, ends, strict=True)]
    air = air_motion(motion, frame, wind)
    attempt = Attempt(
        1, truth.start_s, truth.end_s, truth.passages, truth.flown_as, truth.entry, truth.entry_expected, False,
        truth.arrival_track_true_deg, truth.laps, truth.phases,
        tuple((turn.phase, turn.lap, flown_turn(air, turn.start_s, turn.end_s)) for turn in truth.turns),
        tuple(established), truth.complete, truth.wrong_side, (),
    )  # fmt: skip
    areas = protection_areas(one.procedure)
    read_off = FlightRead(one.track, motion, air, wind, record)
    measures = measure_attempt(attempt, read_off, Plan(one.procedure, frame, areas), Options())
    return truth, attempt, measures, motion, frame


@pytest.mark.parametrize("name", FLIGHTS)
def test_intercept(name: str):
    truth, _, measures, _, _ = read(name)
    found = measures.intercept
    assert found.established
    assert found.established_at_m == pytest.approx(truth.established_at_m, abs=ESTABLISHED_M)
    assert found.overshoot_m == pytest.approx(truth.overshoot_m, abs=OVERSHOOT_M)
    assert found.crossings == truth.crossings
    assert found.angle_deg == pytest.approx(truth.intercept_angle_deg, abs=ANGLE_DEG)


@pytest.mark.parametrize("name", FLIGHTS)
def test_altitudes(name: str):
    truth, _, measures, _, _ = read(name)
    for true, found in zip(truth.altitudes, measures.altitudes, strict=True):
        deep = [one for one in true.violations if one.worst_m >= 50 * FOOT]
        for one in deep:
            hits = [said for said in found.violations if said.start_s < one.end_s and said.end_s > one.start_s]
            assert hits, f"{true.segment} at {one.start_s:.0f} s"
            assert hits[0].start_s == pytest.approx(one.start_s, abs=ONSET_S)
        for said in found.violations:
            assert any(said.start_s < one.end_s + 2 and said.end_s > one.start_s - 2 for one in true.violations)
    if "clean" in name or "hold" in name:
        assert not any(found.violations for found in measures.altitudes)


def test_the_altitude_errors_are_there():
    for name in ("early descent", "level bust"):
        assert sum(len(found.violations) for found in read(name)[2].altitudes) >= 1, name


@pytest.mark.parametrize("name", FLIGHTS)
def test_containment(name: str):
    truth, _, measures, _, _ = read(name)
    found = measures.containment
    assert found.max_distance_m == pytest.approx(truth.max_distance_m, abs=DISTANCE_M)
    said = [one for one in found.excursions if one.area == "distance limit"]
    assert len(said) == len(truth.distance_excursions)
    for one, true in zip(said, truth.distance_excursions, strict=True):
        assert (one.start_s, one.end_s) == (pytest.approx(true.start_s, abs=2.0), pytest.approx(true.end_s, abs=2.0))
        assert one.max_m == pytest.approx(true.worst_m, abs=DISTANCE_M)
    assert len(said) == (1 if name == "past the limit" else 0)


@pytest.mark.parametrize("name", FLIGHTS)
def test_timed_leg(name: str):
    truth, _, measures, _, _ = read(name)
    if truth.timed_leg_s is None:
        assert measures.timing is None
    else:
        assert measures.timing.leg_s == pytest.approx(truth.timed_leg_s, abs=TIMED_S)
        assert measures.timing.wind_adjusted_s is not None
    assert len(measures.laps) == (truth.laps if truth.flown_as == "hold" else 0)
    for lap, seconds in zip(measures.laps, truth.timed_legs_s, strict=False):
        assert lap.outbound_s == pytest.approx(seconds, abs=TIMED_S)


@pytest.mark.parametrize("name", FLIGHTS)
def test_turns_speed_and_legs(name: str):
    truth, _, measures, _, _ = read(name)
    assert [(one.phase, one.lap) for one in measures.turns] == [(one.phase, one.lap) for one in truth.turns]
    for one in measures.turns:
        if abs(one.turn.degrees) > 120.0:
            assert 12.0 < one.mean_bank_deg < 27.0
            assert 900.0 < one.radius_m < 1800.0
    assert measures.speed.kind == "tas"
    assert measures.speed.max_mps == pytest.approx(60.0, abs=6.0)
    assert {leg.phase for leg in measures.legs} <= {"outbound", "offset leg", "intercept", "inbound"}
    inbound = [leg for leg in measures.legs if leg.phase == "inbound"][-1]
    assert inbound.track_true_deg == pytest.approx(125.0, abs=6.0)


def test_landing_and_threshold():
    truth, attempt, _, motion, frame = read("clean 45/180")
    one = flight("clean 45/180")
    assert ends_on_ground(attempt, one.track, motion)
    assert threshold_passed_s(attempt, motion, one.procedure, frame) is None
    latitude, longitude = frame.latitude_longitude_from_along_cross(-2.0 * NM, 0.0)
    with_runway = procedure(runway=Place(float(latitude), float(longitude), "12", 1870 * FOOT))
    passed = threshold_passed_s(attempt, motion, with_runway, frame)
    final = truth.phases[-1]
    assert final.start_s < passed < final.end_s
    along = float(np.interp(passed, motion.time_s, motion.along_m))
    assert along == pytest.approx(-2.0 * NM, abs=150.0)
