"""Which altitude is compared with the limits, and with what doubt."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from analyzer.flown.altitude.altimeter_record import altitude_record
from analyzer.given.options import Options
from analyzer.given.track import Track
from analyzer.reading.procedure_file.read import read_procedure

PROCEDURES = Path(__file__).parents[1] / "procedures"
FOOT_M = 0.3048
HALF_A_FOOT_M = 0.15


def a_track(altitudes_ft, kind):
    count = len(altitudes_ft)
    return Track(
        "flight",
        np.arange(count, dtype=float),
        np.full(count, 46.2),
        np.linspace(-101.5, -101.4, count),
        np.array(altitudes_ft, dtype=float) * FOOT_M,
        kind,
    )


@pytest.fixture
def procedure():
    return read_procedure(PROCEDURES / "vor_procedure_turn.toml")  # the fix lies at 1900 ft


def test_what_the_altimeter_showed_is_taken_as_it_is(procedure):
    record = altitude_record(a_track([4600, 4500], "indicated"), procedure, Options(altimeter_setting_hpa=990.0))
    assert record is not None
    assert record.altitude_m / FOOT_M == pytest.approx([4600, 4500])
    assert record.sigma_m / FOOT_M == pytest.approx([0, 0])
    assert record.kind == "indicated"
    assert record.reading_m / FOOT_M == pytest.approx(10.0)


@pytest.mark.parametrize(("step_ft", "doubt_ft"), [(1.0, 0.0), (10.0, 5.0), (20.0, 10.0), (100.0, 50.0)])
def test_the_doubt_of_an_indicated_altitude_is_half_the_step_it_was_recorded_in(procedure, step_ft, doubt_ft):
    """Two sigma; a descent from 5500 ft to 3137 ft, recorded in steps."""
    record = altitude_record(
        a_track([round(feet / step_ft) * step_ft for feet in range(5500, 3130, -7)], "indicated"), procedure, Options()
    )
    assert record is not None
    assert 2.0 * record.sigma_m / FOOT_M == pytest.approx(np.full(record.sigma_m.shape, doubt_ft), abs=2.0)


def test_a_pressure_altitude_is_corrected_for_the_setting(procedure):
    record = altitude_record(a_track([5000, 4600], "pressure"), procedure, Options(altimeter_setting_hpa=1023.25))
    assert record is not None
    assert record.altitude_m / FOOT_M == pytest.approx([5272, 4872], abs=3)
    assert record.sigma_m / FOOT_M == pytest.approx([20, 20])
    assert "1023.2" in record.note


def test_without_a_setting_a_pressure_altitude_is_in_large_doubt_and_the_note_says_what_helps(procedure):
    record = altitude_record(a_track([5000, 4600], "pressure"), procedure, Options())
    assert record is not None
    assert record.altitude_m / FOOT_M == pytest.approx([5000, 4600])
    assert record.sigma_m / FOOT_M == pytest.approx([274, 274], abs=2)
    assert "Enter the altimeter setting" in record.note


def test_the_doubt_of_geometric_heights_grows_with_the_height_above_the_fix(procedure):
    record = altitude_record(a_track([1900, 4900], "geometric"), procedure, Options())
    assert record is not None
    assert record.sigma_m / FOOT_M == pytest.approx([30, 90])
    assert "--temperature-c" in record.note


def test_a_temperature_narrows_the_doubt_and_moves_the_altitude(procedure):
    options = Options(temperature_k=301.33, station_elevation_m=1900 * FOOT_M)  # 17 degrees warmer than standard
    record = altitude_record(a_track([1900, 4900], "geometric"), procedure, options)
    assert record is not None
    assert record.altitude_m[0] == pytest.approx(1900 * FOOT_M, abs=HALF_A_FOOT_M)
    assert record.altitude_m[1] / FOOT_M == pytest.approx(4900 - 3000 * 17 / 301, abs=10)
    assert record.sigma_m[1] / FOOT_M == pytest.approx(30 + 0.005 * (record.altitude_m[1] / FOOT_M - 1900), abs=0.1)


def test_a_given_doubt_takes_the_place_of_the_default(procedure):
    record = altitude_record(a_track([4600, 4500], "geometric"), procedure, Options(altitude_sigma_m=50 * FOOT_M))
    assert record is not None
    assert record.sigma_m / FOOT_M == pytest.approx([50, 50])
    assert "50 ft (1 sigma) was given" in record.note


def test_moments_without_an_altitude_are_left_out_and_counted(procedure):
    record = altitude_record(a_track([4600, np.nan, 4500], "indicated"), procedure, Options())
    assert record is not None
    assert record.time_s == pytest.approx([0.0, 2.0])
    assert "1 of 3 points have no altitude" in record.note


def test_no_altitude_at_all_is_no_record(procedure):
    assert altitude_record(a_track([np.nan, np.nan], "indicated"), procedure, Options()) is None
    bare = Track("flight", np.arange(2.0), np.zeros(2), np.zeros(2))
    assert altitude_record(bare, procedure, Options()) is None


def test_without_the_fixs_elevation_the_note_says_what_heights_are_counted_from():
    procedure = read_procedure(PROCEDURES / "shortest.toml")
    record = altitude_record(a_track([3000], "geometric"), procedure, Options())
    assert record is not None
    assert record.sigma_m / FOOT_M == pytest.approx([90])
    assert "the sea, as the fix's elevation is not given" in record.note


def test_what_else_was_recorded_is_told_with_how_far_off_it_lies(procedure):
    """Satellite heights 120 ft above the altimeter's in the middle, pressure altitudes 200 ft below.

    One with nothing in it is not told of.
    """
    track = a_track([4600, 4500, 4400], "indicated")
    others = {
        "geometric": (np.array([4700.0, 4620.0, 4550.0])) * FOOT_M,
        "pressure": (np.array([4400.0, 4300.0, 4200.0])) * FOOT_M,
        "ellipsoidal": np.full(3, np.nan),
    }
    record = altitude_record(replace(track, other_altitudes=others), procedure, Options())
    assert record is not None
    assert "geometric heights lie 120 ft above them" in record.note
    assert "pressure altitudes lie 200 ft below them" in record.note
    assert "ellipsoid" not in record.note
