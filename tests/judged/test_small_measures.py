"""Bounds and interpolations of the small measurements, on motion made by hand: 60 m/s, moments that are 4 s apart."""

from dataclasses import replace

import numpy as np
import pytest

from analyzer.flown import AltitudeProfile, Flight, Motion
from analyzer.given import Guidance, Track, frame_of, wind_from
from analyzer.judged.measurements.ground import ends_on_ground, touchdown_of
from analyzer.judged.measurements.homing import measure_homing
from analyzer.judged.measurements.landing import Touchdown, landing_of, last_above_s
from analyzer.judged.measurements.laps import measure_laps
from analyzer.judged.measurements.legs import measure_leg_end, measure_legs
from analyzer.judged.measurements.near_station import measure_near_station
from analyzer.judged.measurements.timing import edge_sigma_s, timed_leg_name, timed_span
from analyzer.planned import Plan
from analyzer.units import METRES_PER_FOOT as FT, METRES_PER_NM as NM, MPS_PER_KNOT as KT
from tests.hand_flown import FIX, attempt, flight_of, motion_of, procedure

HOLD = procedure(reversal="holding")
BASE = procedure(reversal="teardrop", outbound_true_deg=329.0, outbound_s=120.0)


def outbound(along_m: float = -100.0, cross_m: float = 0.0, step_s: float = 4.0, seconds: float = 200.0) -> Motion:
    """Outbound at 60 m/s."""
    time = np.arange(0.0, seconds + 0.1, step_s)
    return motion_of(time, along_m + 60.0 * time, cross_m + 0.0 * time)


def held(start_s: float, end_s: float, flown_as: str = "hold"):  # type: ignore[no-untyped-def]
    phases = [("outbound turn", 0.0, start_s), ("outbound", start_s, end_s), ("reversal turn", end_s, end_s + 20.0)]
    return attempt([*phases, ("inbound", end_s + 20.0, end_s + 70.0)],
                   [(1.0, "outbound"), (end_s + 70.0, "inbound")], [end_s + 25.0], flown_as=flown_as)  # fmt: skip


# --- the timed leg ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("along_m", "start_s"), [(-1000.0, 16.667), (-500.0, 10.0), (2000.0, 10.0)])
def test_a_holds_clock_starts_abeam_the_fix_or_wings_level(along_m: float, start_s: float) -> None:
    """Wings level at 10 s; abeam where along is 0: 1,000 m at 60 m/s are 16.667 s."""
    assert timed_span(held(10.0, 90.0), outbound(along_m), HOLD, 1) == pytest.approx((start_s, 90.0), abs=0.001)


def test_a_leg_that_never_comes_abeam_is_not_timed() -> None:
    assert timed_span(held(10.0, 90.0), outbound(-6000.0), HOLD, 1) is None


@pytest.mark.parametrize(("end_s", "start_s"), [(124.0, 1.0), (130.0, 10.0)])
def test_a_base_turns_clock_starts_where_it_comes_nearer_to_its_time(end_s: float, start_s: float) -> None:
    """Two minutes are charted; the fix is passed at 1 s, wings level at 10 s: 123 s or 114, 129 or 120."""
    made = held(10.0, end_s, "teardrop")
    assert timed_span(made, outbound(2000.0), BASE, 1) == pytest.approx((start_s, end_s))


@pytest.mark.parametrize(
    ("flown_as", "asked", "leg"),
    [
        ("hold", HOLD, "outbound"),
        ("teardrop", BASE, "outbound"),
        ("teardrop", procedure(), None),  # a teardrop that nobody charted
        ("racetrack", procedure(), None),
        ("80/260", procedure(), None),
        ("45/180", procedure(criteria="ICAO"), "offset leg"),
        ("45/180", procedure(defaults=frozenset({"limits.outbound_min"})), None),  # US: the pilot's own choice
        ("45/180", procedure(), "offset leg"),  # a time that the file gives
        ("45/180", BASE, None),
    ],
)
def test_which_leg_is_timed(flown_as: str, asked: object, leg: "str | None") -> None:
    assert timed_leg_name(held(10.0, 90.0, flown_as), asked) == leg  # type: ignore[arg-type]


@pytest.mark.parametrize(("step_s", "sigma_s"), [(0.25, 0.5), (1.0, 0.8), (2.0, 1.2), (5.0, 1.2)])
def test_the_moment_of_a_roll_is_known_to_two_fifths_of_a_second_and_of_the_interval(
    step_s: float, sigma_s: float
) -> None:
    """Up to an interval of 2 s."""
    assert edge_sigma_s(outbound(step_s=step_s)) == pytest.approx(sigma_s)


# --- legs and laps ---------------------------------------------------------------------------------------------------


def test_a_legs_end_is_where_the_turn_back_begins() -> None:
    """At 90 s: 5,400 - 100 m out and 1,200 m beside; the moments stand at 88 and 92 s."""
    asked = replace(HOLD, outbound_m=3 * NM, outbound_s=None)
    end = measure_leg_end(held(10.0, 90.0), outbound(cross_m=1200.0), asked, 15.0)
    assert end is not None
    assert (end.along_m, end.at_s, end.charted_m, end.sigma_m) == pytest.approx((5300.0, 90.0, 3 * NM, 15.0))
    assert end.from_fix_m == pytest.approx(np.hypot(5300.0, 1200.0))
    assert measure_leg_end(held(10.0, 90.0), outbound(), HOLD, 15.0) is None
    assert (
        measure_leg_end(held(10.0, 90.0, "teardrop"), outbound(), replace(asked, reversal="procedure turn"), 15.0)
        is None
    )
    assert measure_leg_end(held(10.0, 90.0, "teardrop"), outbound(), replace(BASE, outbound_m=3 * NM), 15.0) is not None


def test_a_laps_inbound_leg_is_from_wings_level_to_the_fix() -> None:
    (lap,) = measure_laps(held(10.0, 90.0), outbound(), HOLD)
    assert (lap.outbound_s, lap.inbound_s, lap.established_s) == pytest.approx((80.0, 50.0, 115.0))
    assert (lap.roll_in_along_m, lap.roll_in_cross_m) == pytest.approx((5300.0, 0.0))
    assert measure_laps(held(10.0, 90.0, "racetrack"), outbound(), HOLD) == ()


@pytest.mark.parametrize(("seconds", "count"), [(10.0, 1), (9.9, 0)])
def test_a_leg_of_10_seconds_is_measured(seconds: float, count: int) -> None:
    made = attempt(
        [("outbound", 20.0, 20.0 + seconds), ("reversal turn", 20.0 + seconds, 60.0)], [(0.0, "outbound")], [None]
    )
    motion = outbound(step_s=0.5)
    assert len(measure_legs(made, _track(motion), motion, None, procedure(), frame_of(procedure()))) == count


def _track(motion: Motion, **sensors: object) -> Track:
    sensors = {name: np.full(len(motion), value) for name, value in sensors.items()}
    return Track("by hand", motion.time_s, 46.2 + 0 * motion.time_s, -101.5 + 0 * motion.time_s, sensors=sensors)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("flown_as", "asked", "side_m", "needle"),
    [
        # 2 NM out and 600 m to the right of the inbound course, which is left of the outbound one: 9.2 degrees of 10
        ("45/180", procedure(), 600.0, -np.degrees(np.arctan2(600.0, 2 * NM)) / 10.0),
        ("80/260", procedure(guidance=Guidance("RNAV", FIX, None, NM)), -926.0, 0.5),
        ("hold", HOLD, 600.0, None),
        ("racetrack", procedure(), 600.0, None),
        ("teardrop", procedure(), 600.0, None),
    ],
)
def test_the_needle_at_the_end_of_an_outbound_leg(
    flown_as: str, asked: object, side_m: float, needle: "float | None"
) -> None:
    """Seen flying outbound; of a hold, a racetrack or a teardrop that is not charted there is none."""
    end_s = (2 * NM + 100.0) / 60.0
    motion = outbound(cross_m=side_m)
    made = attempt(
        [("outbound", 20.0, end_s), ("reversal turn", end_s, 90.0)], [(0.0, "outbound")], [None], flown_as=flown_as
    )
    (leg,) = measure_legs(made, _track(motion), motion, None, asked, frame_of(asked))  # type: ignore[arg-type]
    assert leg.end_deflection == (None if needle is None else pytest.approx(needle, abs=0.001))


def test_the_needle_of_a_charted_teardrop_is_about_its_own_course() -> None:
    """24 degrees right of the reciprocal: 2 NM out on that the aircraft is 24 degrees left of it, 2.4 scales."""
    end_s = (2 * NM + 100.0) / 60.0
    motion = outbound()
    made = attempt(
        [("outbound", 20.0, end_s), ("reversal turn", end_s, 90.0)], [(0.0, "outbound")], [None], flown_as="teardrop"
    )
    (leg,) = measure_legs(made, _track(motion), motion, None, BASE, frame_of(BASE))
    assert leg.end_deflection == pytest.approx(-2.4, abs=0.001)
    assert leg.course_true_deg == 329.0


def test_heading_track_and_what_the_wind_asks_for() -> None:
    """Outbound over the ground, 305 true, 60 m/s; 10 m/s from the right of that, from 35: asin(10/V) to the right.

    Through the air the aircraft goes 60 m/s ahead and 10 m/s to the right: 9.46 degrees right of 305, at 60.83 m/s.
    """
    motion = outbound(step_s=0.5)
    made = attempt([("outbound", 20.0, 80.0), ("reversal turn", 80.0, 140.0)], [(0.0, "outbound")], [None])
    (leg,) = measure_legs(made, _track(motion), motion, wind_from(35.0, 10.0), procedure(), frame_of(procedure()))
    assert leg.track_true_deg == pytest.approx(305.0, abs=0.01)
    assert leg.heading_true_deg == pytest.approx(314.46, abs=0.01)
    assert leg.drift_correction_deg == pytest.approx(9.46, abs=0.01)
    wind = replace(wind_from(35.0, 10.0), tas_mps=50.0)
    (leg,) = measure_legs(made, _track(motion), motion, wind, procedure(), frame_of(procedure()))
    assert leg.drift_correction_deg == pytest.approx(11.537, abs=0.001)  # asin 0.2
    gale = replace(wind_from(35.0, 51.0), tas_mps=50.0)
    (leg,) = measure_legs(made, _track(motion), motion, gale, procedure(), frame_of(procedure()))
    assert leg.drift_correction_deg is None


@pytest.mark.parametrize(
    ("sensors", "heading"),
    [
        ({"heading_true_deg": 308.0}, 308.0),
        ({"heading_magnetic_deg": 300.0}, 307.0),
        ({"heading_magnetic_deg": 356.0}, 3.0),
    ],
)
def test_a_heading_column_is_taken_as_it_is_within_a_degree(sensors: dict[str, float], heading: float) -> None:
    """Magnetic plus 7 degrees of variation."""
    motion = outbound(step_s=0.5)
    made = attempt([("outbound", 20.0, 80.0), ("reversal turn", 80.0, 140.0)], [(0.0, "outbound")], [None])
    (leg,) = measure_legs(made, _track(motion, **sensors), motion, None, procedure(), frame_of(procedure()))
    assert (leg.heading_true_deg, leg.heading_sigma_deg) == pytest.approx((heading, 1.0))


@pytest.mark.parametrize(("phase_s", "from_s"), [(19.5, 20.0), (20.5, 25.0)])
def test_from_20_seconds_on_5_are_left_out_at_both_ends(phase_s: float, from_s: float) -> None:
    """A heading column that is 300 in the first 5 and the last 5 s of the leg, and 310 between."""
    motion = outbound(step_s=0.5)
    made = attempt(
        [("outbound", 20.0, 20.0 + phase_s), ("reversal turn", 20.0 + phase_s, 90.0)], [(0.0, "outbound")], [None]
    )
    middle = (motion.time_s >= 25.0) & (motion.time_s <= 15.0 + phase_s)
    track = replace(_track(motion), sensors={"heading_true_deg": np.where(middle, 310.0, 300.0)})
    (leg,) = measure_legs(made, track, motion, None, procedure(), frame_of(procedure()))
    assert leg.heading_true_deg is not None
    assert (leg.heading_true_deg > 309.9) is (from_s == 25.0)


# --- ground and landing ----------------------------------------------------------------------------------------------


def _rolling(last_mps: float, column: "float | None" = None) -> tuple[Track, Motion]:
    """Inbound at 60 m/s, in the last 10 s at another speed."""
    time = np.arange(0.0, 100.5, 0.5)
    along = 6000.0 - np.cumsum(np.where(time < 90.0, 60.0, last_mps)) * 0.5
    motion = motion_of(time, along, 0.0 * time)
    return _track(motion, **({} if column is None else {"groundspeed_mps": column})), motion


@pytest.mark.parametrize(
    ("end_s", "last_mps", "column", "down"),
    [
        (100.0, 39.0 * KT, None, True),
        (100.0, 41.0 * KT, None, False),
        (95.5, 39.0 * KT, None, True),
        (94.5, 39.0 * KT, None, False),  # another attempt, or no attempt, follows
        (100.0, 60.0, 39.0 * KT, True),  # what the recorder says of its speed counts
        (100.0, 20.0, 41.0 * KT, False),
    ],
)
def test_a_track_ends_on_the_ground_under_40_knots(
    end_s: float, last_mps: float, column: "float | None", down: bool
) -> None:
    track, motion = _rolling(last_mps, column)
    made = attempt([("final", 50.0, end_s)], [(50.0, "inbound")], [None])
    assert ends_on_ground(made, track, motion) is down


def _profile(time_s: object, altitude_ft: object) -> AltitudeProfile:
    time = np.asarray(time_s, dtype=float)
    altitude = np.asarray(altitude_ft, dtype=float) * FT
    return AltitudeProfile(time, altitude, np.full(time.shape, 0.01), 0.01)


def test_a_landing_to_stay_touches_15_ft_above_where_it_ends() -> None:
    """Down 10 ft a second to 1,900 ft at 80 s, then level on the runway: 1,915 ft are passed at 78.5 s."""
    time = np.arange(0.0, 100.5, 0.5)
    track, motion = _rolling(10.0)
    profile = _profile(time, np.maximum(1900.0, 2700.0 - 10.0 * time))
    made = attempt([("final", 50.0, 100.0)], [(50.0, "inbound")], [None])
    found = touchdown_of(50.0, made, track, motion, profile)
    assert found is not None
    assert found.at_s == pytest.approx(78.5, abs=0.01)
    assert found.ground_m / FT == pytest.approx(1900.0)
    there = np.interp(78.5, motion.time_s, motion.along_m)
    assert found.away_m[0] == pytest.approx(motion.along_m[0] - there)
    assert touchdown_of(None, made, track, motion, profile) is None


def test_the_moment_of_passing_an_altitude_is_interpolated() -> None:
    profile = _profile([0.0, 10.0, 20.0, 30.0], [1000.0, 900.0, 500.0, 400.0])
    assert last_above_s(profile, 600.0 * FT, 30.0) == pytest.approx(17.5)
    assert last_above_s(profile, 1100.0 * FT, 30.0) == 0.0
    assert last_above_s(profile, 300.0 * FT, 30.0) == 30.0


@pytest.mark.parametrize(("from_nm", "begins_late"), [(3.0, False), (3.8, True)])
def test_a_landing_begins_no_farther_off_than_250_ft_a_mile_and_a_mile_give(from_nm: float, begins_late: bool) -> None:
    """The minimum of 2,400 ft is passed 500 ft above the runway: 500 / 250 + 1 = 3 NM away at most.

    Down 5 ft a second, the last minimum passed at 100 s, on the runway at 200 s.
    """
    time = np.arange(0.0, 201.0)
    profile = _profile(time, 2900.0 - 5.0 * time)
    away = from_nm * NM * (200.0 - time) / 100.0
    touchdown = Touchdown(200.0, 1900.0 * FT, time, away)
    found = landing_of(2400.0 * FT, profile, np.full(time.shape, 0.01), touchdown, 50.0)
    if not begins_late:
        assert found.from_s == pytest.approx(100.0, abs=1.0)
    else:
        # height 5 (200 - t) ft, away 0.038 (200 - t) NM: 0.038 s = 0.02 s + 1 from s = 55.6 on
        assert found.from_s == pytest.approx(200.0 - 1.0 / 0.018, abs=1.5)


@pytest.mark.parametrize(("level_s", "from_s"), [(12.0, 162.0), (6.0, 100.0)])
def test_ten_seconds_of_level_flight_are_no_descent_to_a_landing(level_s: float, from_s: float) -> None:
    """5 ft a second down, level from 150 s on for so long, then 8 ft a second; the minimum was passed at 100 s.

    Level is what loses less than 100 ft/min, 16.7 ft in 10 s: with 6 s of it 4 x 5 = 20 ft are lost.
    """
    time = np.arange(0.0, 260.0)
    level_until = 150.0 + level_s
    altitude = np.where(
        time < 150.0, 2900.0 - 5.0 * time, np.where(time < level_until, 2150.0, 2150.0 - 8.0 * (time - level_until))
    )
    at_s = level_until + 250.0 / 8.0
    touchdown = Touchdown(at_s, 1900.0 * FT, time, 0.01 * NM * np.maximum(at_s - time, 0.0))
    found = landing_of(2400.0 * FT, _profile(time, altitude), np.full(time.shape, 0.001), touchdown, 50.0)
    assert found.from_s == pytest.approx(from_s, abs=1.5)


# --- near the station, homing ----------------------------------------------------------------------------------------


def _inbound(off_m: object, seconds: float = 120.0, along_nm: float = 3.0) -> tuple[Flight, Plan]:
    time = np.arange(0.0, seconds)
    flight = flight_of(motion_of(time, along_nm * NM - 60.0 * time, np.broadcast_to(off_m, time.shape)))  # type: ignore[arg-type]
    asked = procedure()
    return flight, Plan(asked, frame_of(asked))


def _on_course(established_s: "float | None", stop_s: float = 92.0):  # type: ignore[no-untyped-def]
    return attempt([("reversal turn", 0.0, 1.0), ("inbound", 1.0, stop_s)], [(0.0, "outbound"), (stop_s, "inbound")],
                   [established_s])  # fmt: skip


def test_within_a_mile_or_30_seconds_of_the_station_the_position_counts() -> None:
    """60 m/s: 30 s are 1,800 m, a mile is 1,852 m. 200 m off until 2,800 m out, 100 m off from 1,900 m on."""
    time = np.arange(0.0, 120.0)
    along = 3 * NM - 60.0 * time
    flight, plan = _inbound(np.interp(along, [1900.0, 2800.0], [100.0, 200.0]))
    found = measure_near_station(_on_course(5.0), flight, plan, 0.0, 92.0)
    assert found is not None
    assert found.off_m == pytest.approx(100.0, abs=1.0)
    assert measure_near_station(_on_course(5.0), flight, plan, 0.0, 60.0) is None, "not there yet"
    assert measure_near_station(_on_course(None), flight, plan, 0.0, 92.0) is None, "never established"


@pytest.mark.parametrize(("off_nm", "established"), [(0.074, True), (0.076, False)])
def test_in_the_cone_a_flight_within_0075_nm_of_the_course_is_established(off_nm: float, established: bool) -> None:
    """All of the way in lies in the cone: 3,000 m above the station, 50 degrees, 3,575 m."""
    time = np.arange(0.0, 60.0)
    motion = motion_of(time, 3300.0 - 60.0 * time, off_nm * NM + 0.0 * time)
    flight = flight_of(motion)
    flight = replace(flight, altitude=_record(time, 579.0 + 3000.0))
    asked = procedure()
    found = measure_near_station(_on_course(None, 55.0), flight, Plan(asked, frame_of(asked)), 0.0, 55.0)
    assert (found is not None) is established
    if found is not None:
        assert found.established_s == pytest.approx(0.0, abs=0.5)


def _record(time, altitude_m: float):  # type: ignore[no-untyped-def]
    from analyzer.flown import AltitudeRecord

    return AltitudeRecord(time, np.full(time.shape, altitude_m), np.full(time.shape, 6.0), "indicated", "by hand")


BEACON = procedure(guidance=Guidance("NDB", FIX, 10.0, None))


def _curve(turned_deg: float, off_deg: float, seconds: float, share_off: float = 0.0):  # type: ignore[no-untyped-def]
    """Round the beacon at 4 NM from dead ahead by so many degrees; the nose on the bearing, or so much beside it."""
    time = np.arange(0.0, seconds + 0.5)
    bearing = np.radians(turned_deg * time / seconds)
    motion = motion_of(time, 4 * NM * np.cos(bearing), -4 * NM * np.sin(bearing))
    nose = np.degrees(bearing) + np.where(time > (1.0 - share_off) * seconds, 30.0, off_deg)
    track = replace(_track(motion), sensors={"heading_true_deg": (nose + 125.0) % 360.0})
    return measure_homing(flight_of(motion, track), Plan(BEACON, frame_of(BEACON)), 0.0, seconds)


@pytest.mark.parametrize(
    ("turned_deg", "off_deg", "seconds", "homed"),
    [
        (10.0, 0.0, 60.0, True),
        (6.2, 0.0, 60.0, True),
        (5.8, 0.0, 60.0, False),  # six degrees of bearing are a curve
        (-6.2, 0.0, 60.0, True),
        (10.0, 3.9, 60.0, True),
        (10.0, 4.1, 60.0, False),  # the nose within four degrees
        (10.0, -4.1, 60.0, False),
        (10.0, 0.0, 41.0, True),
        (10.0, 0.0, 39.0, False),  # for forty seconds
    ],
)
def test_homing_by_its_bounds(turned_deg: float, off_deg: float, seconds: float, homed: bool) -> None:
    found = _curve(turned_deg, off_deg, seconds)
    assert (found is not None) is homed
    if found is not None:
        assert found.turned_deg == pytest.approx(turned_deg, abs=0.3)
        assert (found.start_s, found.end_s) == pytest.approx((0.0, seconds), abs=1.0)


@pytest.mark.parametrize(("share_off", "homed"), [(0.18, True), (0.22, False)])
def test_homing_is_four_fifths_of_the_time_on_the_beacon(share_off: float, homed: bool) -> None:
    assert (_curve(12.0, 0.0, 100.0, share_off) is not None) is homed
