"""From raw rows to a checked track: each repair, that it is said, and what is refused."""

import numpy as np
import pytest

from analyzer.errors import TrackFileError
from analyzer.given.track import Track
from analyzer.reading.record import RawRecord
from analyzer.reading.repair import checked_track

STEP_DEG = 0.0005  # of latitude: 55.6 m, in a second 108 kt


def record(count: int = 20, interval_s: float = 1.0) -> RawRecord:
    """Return rows due north at 108 kt."""
    time_s = np.arange(count) * interval_s
    return RawRecord("a.csv", "a", time_s, False, 46.2 + time_s * STEP_DEG, np.full(count, -101.5))


def codes(track: Track) -> list[str]:
    return [note.code for note in track.quality if note.code != "no_altitude"]


def test_a_clean_record_is_left_as_it_is() -> None:
    raw = record()
    raw.add_altitude(np.linspace(1000.0, 1100.0, 20), "pressure", "alt")
    track = checked_track(raw)
    assert track.quality == ()
    np.testing.assert_array_equal(track.latitude_deg, raw.latitude_deg)
    assert track.altitude_kind == "pressure"


def test_rows_out_of_order_are_sorted_and_counted() -> None:
    raw = record(6)
    order = np.array([0, 2, 1, 3, 5, 4])
    raw.time_s, raw.latitude_deg = raw.time_s[order], raw.latitude_deg[order]
    track = checked_track(raw)
    assert track.time_s.tolist() == [0.0, 1.0, 2.0, 3.0, 4.0, 5.0]
    assert np.all(np.diff(track.latitude_deg) > 0)
    assert [note.text for note in track.quality if note.code == "time_goes_back"] == [
        "Time goes back at 2 places; rows were put in order of time."
    ]


def test_of_rows_at_one_time_the_first_is_kept() -> None:
    raw = record(20, 0.2)
    raw.time_s = np.floor(raw.time_s)
    track = checked_track(raw)
    assert track.time_s.tolist() == [0.0, 1.0, 2.0, 3.0]
    np.testing.assert_array_equal(track.latitude_deg, raw.latitude_deg[::5])
    assert codes(track) == ["duplicate_times"]


def test_times_closer_than_a_microsecond_are_the_same_time() -> None:
    raw = record(4)
    raw.time_s = np.array([0.0, 1.0, 1.0 + 1e-9, 2.0])
    assert checked_track(raw).time_s.tolist() == [0.0, 1.0, 2.0]


@pytest.mark.parametrize("place", [0, 7, 19])
def test_a_single_impossible_position_is_left_out(place: int) -> None:
    raw = record()
    raw.latitude_deg[place] += 1.0  # 60 NM in a second
    track = checked_track(raw)
    assert len(track) == 19
    assert track.latitude_deg.tolist() == np.delete(record().latitude_deg, place).tolist()
    assert codes(track) == ["impossible_jumps"]


def test_several_impossible_positions_together_are_left_out() -> None:
    raw = record(40)
    raw.latitude_deg[10:13] -= 2.0
    raw.longitude_deg[25] = -100.0
    track = checked_track(raw)
    assert len(track) == 36
    assert codes(track) == ["impossible_jumps"]


def test_noise_of_metres_is_left_alone() -> None:
    raw = record(200, 0.05)
    raw.latitude_deg = raw.latitude_deg + np.random.default_rng(1).normal(0.0, 30.0 / 111_120.0, 200)
    assert len(checked_track(raw)) == 200


def test_a_flight_with_the_clock_sped_up_is_kept_and_said() -> None:
    """A simulator at sixteen times the rate: each step is impossible, and none can be told from the others."""
    raw = record(50)
    raw.latitude_deg = 46.2 + np.arange(50) * 16 * STEP_DEG
    track = checked_track(raw)
    assert len(track) == 50
    assert codes(track) == ["impossible_speeds"]


def test_a_jump_to_another_place_for_good_is_kept_and_said() -> None:
    raw = record(50)
    raw.latitude_deg[25:] += 3.0
    track = checked_track(raw)
    assert len(track) == 50
    assert codes(track) == ["impossible_speeds"]


def test_thousands_of_lone_outliers_in_a_long_file_are_left_out() -> None:
    raw = record(200_000)
    raw.latitude_deg = 46.2 + 0.2 * np.sin(raw.time_s / 1000.0)
    good = raw.latitude_deg.copy()
    generator = np.random.default_rng(2)
    wrong = generator.permutation(200_000)[:10_000]
    raw.latitude_deg[wrong] += generator.choice([-1.0, 1.0], 10_000) * generator.uniform(0.5, 2.0, 10_000)
    track = checked_track(raw)
    np.testing.assert_array_equal(track.latitude_deg, np.delete(good, wrong))


def test_thousands_of_jumps_end_quickly() -> None:
    raw = record(200_000)
    raw.latitude_deg = np.where(np.arange(200_000) % 7 == 0, 10.0, 46.2)
    checked_track(raw)


def test_a_receiver_without_a_fix_writes_zeros() -> None:
    raw = record()
    raw.latitude_deg[:5] = 0.0
    raw.longitude_deg[:5] = 0.0
    track = checked_track(raw)
    assert len(track) == 15
    assert codes(track) == ["unset_positions"]


def test_positions_repeated_in_flight_are_left_out() -> None:
    raw = record(30)
    raw.latitude_deg = np.repeat(raw.latitude_deg[::5], 5)
    track = checked_track(raw)
    assert track.time_s.tolist() == [0.0, 5.0, 10.0, 15.0, 20.0, 25.0]
    assert codes(track) == ["repeated_positions"]


def test_positions_rounded_to_eleven_metres_keep_their_rows() -> None:
    raw = record(200, 0.1)
    raw.latitude_deg = np.round(46.2 + raw.time_s * STEP_DEG, 4)
    assert len(checked_track(raw)) == 200


def test_an_aircraft_at_rest_keeps_its_rows() -> None:
    raw = record(60)
    raw.latitude_deg[:30] = 46.2
    raw.latitude_deg[30:] = 46.2 + np.arange(1, 31) * 1e-5
    assert len(checked_track(raw)) == 60


@pytest.mark.parametrize(("missing", "noted"), [(4, False), (6, True), (300, True)])
def test_gaps_are_longer_than_five_intervals_and_five_seconds(missing: int, noted: bool) -> None:
    raw = record(20)
    raw.time_s[10:] += missing - 1
    raw.latitude_deg = 46.2 + raw.time_s * STEP_DEG
    track = checked_track(raw)
    assert ("gaps" in codes(track)) == noted
    if noted:
        assert f"the longest of {missing} s, at a median interval of 1.0 s" in track.quality[-1].text


def test_a_slow_recording_has_no_gaps() -> None:
    assert codes(checked_track(record(20, 10.0))) == []


def test_hours_of_nothing_part_two_flights() -> None:
    raw = record(50)
    raw.time_s[:20] -= 100_000.0
    track = checked_track(raw)
    assert len(track) == 30
    assert track.time_s[0] == 0.0
    assert codes(track) == ["several_flights"]


def test_a_clock_not_yet_set_is_no_part_of_the_flight() -> None:
    raw = record(50)
    raw.has_date = True
    raw.time_s = raw.time_s + 1_705_136_400.0
    raw.time_s[:3] = [315_964_800.0, 315_964_801.0, 315_964_802.0]  # 1980-01-06, where satellite weeks start
    track = checked_track(raw)
    assert len(track) == 47
    assert track.start is not None
    assert track.start.year == 2024


def test_days_without_a_landing_are_no_flight() -> None:
    raw = record(40, 5 * 3600.0)
    raw.latitude_deg[:] = 46.2
    with pytest.raises(TrackFileError, match="runs for 8 days, which is not a single flight"):
        checked_track(raw)


def test_a_date_beyond_belief_is_not_known() -> None:
    raw = record()
    raw.has_date = True
    raw.time_s = raw.time_s + 5e9
    track = checked_track(raw)
    assert track.start is None
    assert "date_not_credible" in codes(track)


def test_times_beyond_a_float_are_not_readable() -> None:
    raw = record()
    raw.time_s[3] = 1e300
    assert len(checked_track(raw)) == 19


def test_impossible_altitudes_become_missing() -> None:
    raw = record()
    raw.add_altitude(np.full(20, 1500.0), "geometric", "ele")
    assert raw.altitude_m is not None
    raw.altitude_m[3:6] = [np.inf, 99_999.0, -9_999.0]
    track = checked_track(raw)
    assert track.altitude_m is not None
    assert np.flatnonzero(np.isnan(track.altitude_m)).tolist() == [3, 4, 5]
    assert codes(track) == ["impossible_altitudes"]


def test_altitudes_all_impossible_are_none() -> None:
    raw = record()
    raw.add_altitude(np.full(20, -9_999.0), "geometric", "ele")
    track = checked_track(raw)
    assert track.altitude_m is None
    assert track.altitude_kind is None
    assert "ele" not in track.columns_used
    assert [note.code for note in track.quality] == ["impossible_altitudes", "no_altitude"]


def test_sensors_are_freed_of_the_impossible() -> None:
    raw = record()
    raw.add_sensor("ias_mps", np.where(np.arange(20) < 3, -1.0, 50.0), "ias")
    raw.add_sensor("heading_magnetic_deg", np.full(20, -7.0), "hdg")
    raw.add_sensor("bank_deg", np.full(20, np.inf), "bank")
    track = checked_track(raw)
    assert np.isnan(track.sensors["ias_mps"][:3]).all()
    assert track.sensors["heading_magnetic_deg"][0] == 353.0
    assert "bank_deg" not in track.sensors


def test_longitudes_counted_to_360() -> None:
    raw = record()
    raw.longitude_deg = raw.longitude_deg + 360.0
    track = checked_track(raw)
    assert track.longitude_deg == pytest.approx(-101.5)
    assert codes(track) == ["longitude_beyond_180"]


@pytest.mark.parametrize("start", [179.999, -179.999])
def test_across_longitude_180(start: float) -> None:
    raw = record(40)
    raw.latitude_deg[:] = 0.5
    longitude = start + np.sign(start) * np.arange(40) * STEP_DEG
    raw.longitude_deg = (longitude + 180.0) % 360.0 - 180.0
    track = checked_track(raw)
    assert len(track) == 40
    assert codes(track) == []


def test_at_the_poles() -> None:
    for pole in (90.0, -90.0):
        raw = record()
        raw.latitude_deg = np.linspace(pole - np.sign(pole) * 0.01, pole, 20)
        raw.longitude_deg = np.linspace(-180.0, 180.0, 20)
        assert len(checked_track(raw)) == 20


@pytest.mark.parametrize("count", [0, 1])
def test_fewer_than_two_rows_are_refused(count: int) -> None:
    with pytest.raises(TrackFileError, match="at least two"):
        checked_track(record(count))


def test_no_usable_row_is_refused_with_the_reasons() -> None:
    raw = record(3)
    raw.latitude_deg[:] = np.nan
    with pytest.raises(TrackFileError, match=r"0 rows of 3 can be used.*3 rows have no readable position: left out"):
        checked_track(raw)
