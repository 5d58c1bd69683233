"""Standard atmosphere and airspeed against printed figures.

Sources
- [Doc 7488] ICAO Standard Atmosphere: 15 deg C and 1013.25 hPa at sea level, -56.5 deg C from 11 km: read.
- Table values of the standard atmosphere at whole geopotential kilometres, as printed in the ICAO and U.S. 1976
  tables (the two are the same below 32 km): from memory, to the figures given.
- Heights of the standard pressure levels, as printed on upper-air charts (850, 700, 500 and 300 hPa): from memory.
"""

import pytest

from analyzer.standards.atmosphere_model import (
    isa_pressure_pa,
    isa_temperature_k,
    pressure_altitude_m,
    tas_from_cas_mps,
)
from analyzer.units.factors import MPS_PER_KNOT


def test_the_constants_that_were_read():
    assert isa_temperature_k(0.0) - 273.15 == pytest.approx(15.0, abs=1e-9)
    assert isa_pressure_pa(0.0) == pytest.approx(101325.0, abs=1e-6)
    assert isa_temperature_k(11000.0) - 273.15 == pytest.approx(-56.5, abs=1e-9)
    assert isa_temperature_k(15000.0) - 273.15 == pytest.approx(-56.5, abs=1e-9)


@pytest.mark.parametrize(
    ("geopotential_m", "pressure_hpa"),
    [(0, 1013.25), (5000, 540.20), (10000, 264.36), (11000, 226.32)],
)
def test_the_printed_table(geopotential_m, pressure_hpa):
    """Half a unit of the last figure printed: 0.005 hPa."""
    assert isa_pressure_pa(geopotential_m) / 100 == pytest.approx(pressure_hpa, abs=0.006)


@pytest.mark.parametrize(("level_hpa", "height_m"), [(850, 1457), (700, 3012), (500, 5574), (300, 9164)])
def test_the_heights_of_the_standard_levels(level_hpa, height_m):
    half_a_metre_m = 0.6  # printed to the metre, with a little for rounding of their constants
    assert pressure_altitude_m(100.0 * level_hpa) == pytest.approx(height_m, abs=half_a_metre_m)


def test_true_airspeed_meets_the_rule_of_two_per_cent():
    """Rule of the trade: true airspeed is 2 % above indicated for each 1000 ft; good to 1 % of the speed to 10000 ft.

    Common practice, so the tolerance is the rule's own accuracy, not ours.
    """
    for feet in (2000, 5000, 8000):
        metres = feet * 0.3048
        rule = 100.0 * (1 + 0.02 * feet / 1000)
        assert tas_from_cas_mps(100 * MPS_PER_KNOT, metres) / MPS_PER_KNOT == pytest.approx(rule, abs=3.5)


def test_sea_level_speed_of_sound():
    """661.47 kt, the constant of airspeed instruments, from memory: Mach 1 calibrated is Mach 1 at sea level."""
    assert tas_from_cas_mps(661.47 * MPS_PER_KNOT, 0.0) / MPS_PER_KNOT == pytest.approx(661.47, abs=0.005)
