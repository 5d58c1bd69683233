"""Atmosphere, altimeter and airspeed: round trips, edges and mirrors. Outside checks stand in tests/against/."""

import numpy as np
import pytest

from analyzer.standards.atmosphere_model import (
    cas_from_tas_mps,
    geopotential_m,
    indicated_from_geometric_m,
    indicated_from_pressure_altitude_m,
    isa_pressure_pa,
    isa_temperature_k,
    pressure_altitude_m,
    tas_from_cas_mps,
)

A_MILLIMETRE_M = 0.001
FOOT_M = 0.3048


def test_pressure_altitude_is_the_inverse_of_pressure_through_the_tropopause():
    altitude = np.array([-500.0, 0.0, 3000.0, 10999.0, 11000.0, 11001.0, 19999.0])
    assert pressure_altitude_m(isa_pressure_pa(altitude)) == pytest.approx(altitude, abs=A_MILLIMETRE_M)


def test_beyond_the_model_there_is_no_number():
    assert np.isnan(isa_pressure_pa(20001.0))
    assert np.isnan(isa_temperature_k(float("nan")))
    assert np.isnan(pressure_altitude_m(0.0))
    assert np.isnan(pressure_altitude_m(-5.0))
    assert np.isnan(indicated_from_geometric_m(15000.0, 288.0, 0.0))


def test_shapes_are_kept():
    assert isinstance(isa_pressure_pa(1000.0), float)
    assert isa_pressure_pa(np.zeros((2, 3))).shape == (2, 3)
    assert len(pressure_altitude_m(np.array([]))) == 0


def test_the_standard_setting_changes_nothing_and_a_low_one_lowers():
    assert indicated_from_pressure_altitude_m(1500.0, 1013.25) == pytest.approx(1500.0, abs=A_MILLIMETRE_M)
    lower_by = 1500.0 - indicated_from_pressure_altitude_m(1500.0, 1003.25)
    assert lower_by / FOOT_M == pytest.approx(274.0, abs=3.0)  # about 27 ft per hPa


def test_on_a_standard_day_altimeter_and_true_altitude_agree():
    station_m = 600.0
    temperature_k = isa_temperature_k(station_m)
    shown = indicated_from_geometric_m(np.array([600.0, 1500.0, 3000.0]), temperature_k, station_m)
    # what is left is geopotential against geometric altitude: 1.4 m at 3000 m
    assert shown == pytest.approx([600.0, 1500.0, 3000.0], abs=1.5)


def test_the_altimeter_reads_high_on_a_cold_day_and_low_on_a_warm_one():
    height_m = 1500.0
    shown = {d: indicated_from_geometric_m(height_m, 288.15 + d, 0.0) - height_m for d in (-20.0, 20.0)}
    # rule of the trade: 4 % of the height for each 10 degrees
    assert shown[-20.0] / height_m == pytest.approx(0.08, abs=0.01)
    assert shown[20.0] / height_m == pytest.approx(-0.07, abs=0.01)


def test_the_altimeter_agrees_at_the_station_and_is_carried_on_below_it():
    shown = indicated_from_geometric_m(np.array([580.0, 600.0, 620.0]), 303.15, 600.0)
    assert shown[1] == pytest.approx(600.0, abs=A_MILLIMETRE_M)
    assert shown[0] > 580.0
    assert shown[2] < 620.0


def test_a_column_of_warm_air_is_thick_by_the_hydrostatic_sum():
    """The closed formula against a sum over thin layers: dh = (T + d)/T dH."""
    deviation_k, top_m = 17.0, 2500.0
    step_m = 0.5
    layers = np.arange(step_m / 2, top_m, step_m)
    true_m = np.sum((isa_temperature_k(layers) + deviation_k) / isa_temperature_k(layers)) * step_m
    geometric_m = 6356766.0 * true_m / (6356766.0 - true_m)
    shown = indicated_from_geometric_m(geometric_m, 288.15 + deviation_k, 0.0)
    assert shown == pytest.approx(top_m, abs=0.01)


def test_airspeed_there_and_back_and_the_limits():
    cas = np.array([0.0, 40.0, 90.0, 150.0])
    tas = tas_from_cas_mps(cas, 4000.0, 275.0)
    assert cas_from_tas_mps(tas, 4000.0, 275.0) == pytest.approx(cas, abs=1e-9)
    assert tas_from_cas_mps(80.0, 0.0) == pytest.approx(80.0, abs=1e-9)


def test_at_low_speed_compressibility_is_small_and_has_the_right_sign():
    """Without compressibility the true airspeed is the calibrated one over the root of the density ratio."""
    density_ratio = isa_pressure_pa(3000.0) / 101325.0 * 288.15 / isa_temperature_k(3000.0)
    slow, fast = (cas / density_ratio**0.5 - tas_from_cas_mps(cas, 3000.0) for cas in (50.0, 150.0))
    assert 0.0 < slow < 0.2
    assert fast > 1.0


def test_geopotential_is_a_little_less():
    assert geopotential_m(3048.0) == pytest.approx(3046.5, abs=0.1)
