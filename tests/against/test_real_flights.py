"""What the program says of real flights, against what their plotted tracks show.

Source of the flights: see `real_flights`. The courses, turns and times expected here are readings of the plotted tracks
(and of the recorded ground speeds and tracks), made before the program was run on them, by eye to a few degrees and
seconds; they are neither clearances nor charts. Where an expectation is computed from the recorded velocities, the test
does it by itself, with another method than the program's.
"""

import numpy as np
import pytest

import analyzer
from analyzer.units.angles import circular_mean_deg, difference_deg
from analyzer.units.factors import MPS_PER_KNOT
from tests.against.real_flights import procedure_file, track_file, window_rows

pytestmark = pytest.mark.slow  # the first test downloads 28 MB

READ_COURSE_DEG = 3.0  # a course read from a plot
READ_TURN_DEG = 10.0  # a turn read from a plot
READ_MOMENT_S = 12.0  # a roll-in or roll-out read from rows that come every 5 s
FIVE_KNOTS_KT = 5.0


@pytest.fixture(params=[True, False], ids=["with velocities", "positions only"])
def velocities(request):
    return request.param


def assessed(folder, name, *changes, velocities=True):
    procedure = procedure_file(folder, name, *changes)
    return analyzer.assess(track_file(folder, name, velocities=velocities), procedure)


def phases(attempt):
    return [(phase.name, phase.lap) for phase in attempt.phases]


def turn_deg(attempt, name, lap=1):
    """Sum of the turns of a phase; to the right is positive."""
    return sum(turn.degrees for phase, number, turn in attempt.turns if (phase, number) == (name, lap))


def course_deg(debrief, phase, from_end=False, seconds=20.0):
    """Mean ground track of a phase's middle, or of its last seconds, degrees true."""
    motion = debrief.assessment.motion
    half = 0.3 * (phase.end_s - phase.start_s)
    first, last = (phase.end_s - seconds, phase.end_s) if from_end else (phase.start_s + half, phase.end_s - half)
    return circular_mean_deg(motion.track_true_deg[(motion.time_s >= first) & (motion.time_s <= last)])


def only(debrief):
    assert len(debrief.assessment.attempts) == 1
    return debrief.assessment.attempts[0]


def wind_of_recorded_velocities(name, from_s, to_s):
    """East and north wind and airspeed, knots, of the circle through the recorded velocities of steady flight."""
    rows = window_rows(name)
    time = np.array([np.datetime64(row[0].removesuffix("Z")) for row in rows])
    seconds = (time - time[0]) / np.timedelta64(1, "s")
    chosen = [row for row, at in zip(rows, seconds, strict=True) if from_s <= at <= to_s and row[5]]
    speed = np.array([float(row[4]) for row in chosen])
    angle = np.radians([float(row[5]) for row in chosen])
    east, north = speed * np.sin(angle), speed * np.cos(angle)
    design = np.column_stack([2.0 * east, 2.0 * north, np.ones(len(chosen))])
    solution = np.linalg.lstsq(design, east**2 + north**2, rcond=None)[0]
    return float(solution[0]), float(solution[1]), float(np.sqrt(solution[2] + solution[0] ** 2 + solution[1] ** 2))


def wind_miss_kt(debrief, name, from_s, to_s):
    wind = debrief.to_dict()["wind"]
    blows_to = np.radians(wind["from_deg_true"] + 180.0)
    east, north, _ = wind_of_recorded_velocities(name, from_s, to_s)
    return float(np.hypot(wind["speed_kt"] * np.sin(blows_to) - east, wind["speed_kt"] * np.cos(blows_to) - north))


def test_a_hold_with_a_teardrop_entry(tmp_path, velocities):
    debrief = assessed(tmp_path, "hold", velocities=velocities)
    attempt = only(debrief).attempt
    assert attempt.flown_as == "hold"
    # arrives on a track of 084, which is 121 degrees right of the inbound course of a right-hand hold
    assert (attempt.entry, attempt.entry_expected) == ("teardrop", "teardrop")
    assert attempt.laps == 2
    assert attempt.arrival_track_true_deg == pytest.approx(84.0, abs=READ_COURSE_DEG)
    # the three passages, read from the rows nearest to the fix
    assert [passage.at_s for passage in attempt.passages] == pytest.approx([179.0, 414.0, 732.0], abs=4.0)
    for lap in (1, 2):
        inbound = attempt.phase("inbound", lap)
        assert inbound is not None
        assert abs(difference_deg(323.0, course_deg(debrief, inbound))) < READ_COURSE_DEG
    outbound = attempt.phase("outbound", 2)
    assert outbound is not None
    # track 143 from 15:48:35 to 15:49:32
    assert outbound.start_s == pytest.approx(515.0, abs=5.0)
    assert outbound.end_s == pytest.approx(573.0, abs=5.0)
    assert abs(difference_deg(143.0, course_deg(debrief, outbound))) < READ_COURSE_DEG
    assert turn_deg(attempt, "outbound turn", 2) == pytest.approx(180.0, abs=READ_TURN_DEG)
    # level at pressure altitudes from 8,975 to 9,025 ft, uncorrected: good to hundreds of feet only
    (altitude,) = [one for one in debrief.to_dict()["attempts"][0]["altitudes"] if one["segment"] == "reversal"]
    assert (altitude["rule"], altitude["limit_ft"]) == ("at", 9000)
    assert abs(altitude["worst_ft"] - 9000) <= 25
    assert altitude["verdict"] == "too close to call"


def test_the_holds_turns_are_whole_with_velocities(tmp_path):
    debrief = assessed(tmp_path, "hold")
    attempt = only(debrief).attempt
    assert phases(attempt) == [
        ("arrival", 1),
        ("outbound", 1),
        ("reversal turn", 1),
        ("inbound", 1),
        ("outbound turn", 2),
        ("outbound", 2),
        ("reversal turn", 2),
        ("inbound", 2),
        ("final", 2),
    ]
    assert turn_deg(attempt, "reversal turn", 1) == pytest.approx(231.0, abs=READ_TURN_DEG)
    assert turn_deg(attempt, "reversal turn", 2) == pytest.approx(180.0, abs=READ_TURN_DEG)
    # between the entry and the last passage the airspeed was steady
    assert wind_miss_kt(debrief, "hold", 180.0, 760.0) < FIVE_KNOTS_KT


def test_an_80_260(tmp_path, velocities):
    debrief = assessed(tmp_path, "80/260", velocities=velocities)
    attempt = only(debrief).attempt
    assert attempt.flown_as == "80/260"
    assert attempt.laps == 1
    assert phases(attempt) == [
        ("arrival", 1),
        ("outbound", 1),
        ("offset turn", 1),
        ("reversal turn", 1),
        ("inbound", 1),
        ("final", 1),
    ]
    outbound, inbound = attempt.phase("outbound", 1), attempt.phase("inbound", 1)
    assert outbound is not None
    assert inbound is not None
    assert abs(difference_deg(265.0, course_deg(debrief, outbound))) < READ_COURSE_DEG
    assert abs(difference_deg(81.0, course_deg(debrief, inbound))) < READ_COURSE_DEG
    # right 71, left 252; positions alone, with a speed that seems to swing by 100 kt, show no wind and tell the turns,
    # of the track over the ground, to 25 degrees
    within = READ_TURN_DEG if velocities else 2.5 * READ_TURN_DEG
    assert turn_deg(attempt, "offset turn") == pytest.approx(71.0, abs=within)
    assert turn_deg(attempt, "reversal turn") == pytest.approx(-252.0, abs=within)
    assert outbound.end_s == pytest.approx(132.0, abs=READ_MOMENT_S)
    assert inbound.start_s == pytest.approx(255.0, abs=READ_MOMENT_S)


def test_a_base_turn_over_a_station(tmp_path, velocities):
    debrief = assessed(tmp_path, "base turn", velocities=velocities)
    attempt = only(debrief).attempt
    assert attempt.flown_as == "teardrop"
    assert attempt.laps == 1
    assert not attempt.wrong_side
    outbound, inbound = attempt.phase("outbound", 1), attempt.phase("inbound", 1)
    assert outbound is not None
    assert inbound is not None
    # over the station on about 250, right 32 to 288, held for 44 s to a minute, left 222 with a pause at 090, in on 069
    assert abs(difference_deg(288.0, course_deg(debrief, outbound))) < 2.0 * READ_COURSE_DEG
    assert turn_deg(attempt, "outbound turn") == pytest.approx(35.0, abs=READ_TURN_DEG)
    spare_s = 0.0 if velocities else READ_MOMENT_S  # positions alone show no wind here, and turns of the track only
    assert 40.0 - spare_s < outbound.end_s - outbound.start_s < 65.0 + spare_s
    left = turn_deg(attempt, "reversal turn") + turn_deg(attempt, "intercept")
    assert -235.0 < left < -175.0
    assert abs(difference_deg(69.0, course_deg(debrief, inbound))) < 2.0 * READ_COURSE_DEG


def test_racetracks(tmp_path, velocities):
    debrief = assessed(tmp_path, "racetracks", velocities=velocities)
    attempts = [one.attempt for one in debrief.assessment.attempts]
    assert [attempt.flown_as for attempt in attempts] == ["racetrack"] * 3
    # the bottom of a turn is partly drawn straight between two received positions
    within = (2.0 if velocities else 3.0) * READ_TURN_DEG
    for attempt in attempts:
        assert turn_deg(attempt, "outbound turn") == pytest.approx(180.0, abs=within)
        assert turn_deg(attempt, "reversal turn") == pytest.approx(180.0, abs=within)
    # the same path as a hold: three laps after a direct entry
    (hold,) = assessed(
        tmp_path,
        "racetracks",
        ('"procedure turn"', '"holding"'),
        ('turn_side = "left"', 'turn_side = "right"'),
        velocities=velocities,
    ).assessment.attempts
    assert (hold.attempt.flown_as, hold.attempt.entry, hold.attempt.laps) == ("hold", "direct", 3)


# in the second place the flight passes twice, in opposite directions, with a turn of 180 degrees between: a reversal of
# another course than the one asked about
@pytest.mark.parametrize("place", [("48.3557", "11.67"), ("48.3600", "11.5045")])
def test_a_straight_in_is_no_reversal(tmp_path, velocities, place):
    debrief = assessed(
        tmp_path, "no reversal", ("48.3557", place[0]), ("longitude = 11.67", f"longitude = {place[1]}"),
        velocities=velocities,
    )  # fmt: skip
    assert debrief.assessment.attempts == ()
    codes = [note.code for note in debrief.assessment.notes]
    assert any(code.startswith("no-reversal") for code in codes)


# steady flight within each window: from and to, seconds
STEADY = {"hold": (180.0, 760.0), "80/260": (70.0, 325.0), "racetracks": (150.0, 960.0), "base turn": (230.0, 520.0)}


@pytest.mark.parametrize("name", ["80/260", "racetracks"])
def test_velocities_show_the_wind_and_positions_with_bad_times_say_that_they_do_not(tmp_path, name):
    assert wind_miss_kt(assessed(tmp_path, name), name, *STEADY[name]) < 2.0 * FIVE_KNOTS_KT
    assert assessed(tmp_path, name, velocities=False).to_dict()["wind"] is None


@pytest.mark.parametrize("name", sorted(STEADY))
def test_a_wind_that_is_told_is_no_farther_off_than_its_doubt(tmp_path, name, velocities):
    """The base turn slows down by 40 kt on the way: its wind may well be not known."""
    debrief = assessed(tmp_path, name, velocities=velocities)
    wind = debrief.assessment.wind
    if wind is not None:
        east, north, _ = wind_of_recorded_velocities(name, *STEADY[name])
        miss = np.array([wind.east_mps, wind.north_mps]) / MPS_PER_KNOT - (east, north)
        ee, en, _, nn, _, _ = np.array(wind.covariance) / MPS_PER_KNOT**2
        # the circle through recorded velocities is itself good to a few knots: airspeeds are not constant
        doubt = np.array([[ee, en], [en, nn]]) + 2.0**2 * np.eye(2)
        assert miss @ np.linalg.solve(doubt, miss) < 9.21, "chi-square with two degrees of freedom, once in a hundred"


def test_the_reports_of_real_flights_are_whole(tmp_path):
    for name in ("hold", "base turn", "no reversal"):
        debrief = assessed(tmp_path, name)
        page = debrief.to_html()
        assert page.rstrip().endswith("</html>")
        assert "Recorded ground speed and track show" in page
        assert "pressure" in page, "what kind of altitude was recorded is told"
