"""Standard atmosphere, altimeter and airspeed: from what instruments show to what the air is.

All functions take scalars or arrays of any shape (shapes that broadcast), in SI; nan in, nan out.
"""

import math
from typing import Any

import numpy as np

from analyzer.standards.figures import figure
from analyzer.units import GRAVITY_MPS2, PASCALS_PER_HPA

# [Doc 7488]; the same figures with their paragraphs stand in `analyzer.standards`
SEA_LEVEL_TEMPERATURE_K = figure("isa.temperature").value
SEA_LEVEL_PRESSURE_PA = figure("isa.pressure").value * PASCALS_PER_HPA
LAPSE_K_M = figure("isa.lapse").value
TROPOPAUSE_M = figure("isa.tropopause").value
GAS_CONSTANT_J_KG_K = figure("isa.gas_constant").value
HEAT_RATIO = figure("isa.heat_ratio").value
#: radius of the nominal Earth between geometric and geopotential altitude, [Doc 7488], from memory
_NOMINAL_RADIUS_M = 6356766.0
_EXPONENT = GRAVITY_MPS2 / (LAPSE_K_M * GAS_CONSTANT_J_KG_K)
_TROPOPAUSE_TEMPERATURE_K = SEA_LEVEL_TEMPERATURE_K - LAPSE_K_M * TROPOPAUSE_M
_TROPOPAUSE_PRESSURE_PA = SEA_LEVEL_PRESSURE_PA * (_TROPOPAUSE_TEMPERATURE_K / SEA_LEVEL_TEMPERATURE_K) ** _EXPONENT
_SPEED_OF_SOUND_SEA_LEVEL_MPS = math.sqrt(HEAT_RATIO * GAS_CONSTANT_J_KG_K * SEA_LEVEL_TEMPERATURE_K)
#: the standard atmosphere used here ends where its second layer does, [Doc 7488]
_HIGHEST_M = 20000.0
#: rounds of the fixed-point iteration for the indicated altitude; each one takes off two digits of the error
_ROUNDS = 8


def isa_temperature_k(pressure_altitude_m: Any) -> Any:
    """Temperature of the standard atmosphere at a pressure altitude, kelvin; nan above 20 km."""
    altitude = _in_range(pressure_altitude_m)
    return _as_given(SEA_LEVEL_TEMPERATURE_K - LAPSE_K_M * np.minimum(altitude, TROPOPAUSE_M))


def isa_pressure_pa(pressure_altitude_m: Any) -> Any:
    """Pressure of the standard atmosphere at a pressure altitude, pascals; nan above 20 km."""
    altitude = _in_range(pressure_altitude_m)
    below = SEA_LEVEL_PRESSURE_PA * (np.asarray(isa_temperature_k(altitude)) / SEA_LEVEL_TEMPERATURE_K) ** _EXPONENT
    above = np.exp(
        -GRAVITY_MPS2 * np.maximum(altitude - TROPOPAUSE_M, 0.0) / (GAS_CONSTANT_J_KG_K * _TROPOPAUSE_TEMPERATURE_K)
    )
    return _as_given(below * above)


def pressure_altitude_m(pressure_pa: Any) -> Any:
    """Altitude at which the standard atmosphere has a pressure, metres; nan above 20 km and for no pressure."""
    pressure = np.asarray(pressure_pa, dtype=float)
    pressure = np.where(pressure > 0.0, pressure, np.nan)
    ratio = (pressure / SEA_LEVEL_PRESSURE_PA) ** (1.0 / _EXPONENT)
    low = SEA_LEVEL_TEMPERATURE_K * (1.0 - ratio) / LAPSE_K_M
    high = TROPOPAUSE_M + GAS_CONSTANT_J_KG_K * _TROPOPAUSE_TEMPERATURE_K / GRAVITY_MPS2 * np.log(
        _TROPOPAUSE_PRESSURE_PA / pressure
    )
    return _as_given(_in_range(np.where(pressure >= _TROPOPAUSE_PRESSURE_PA, low, high)))


def indicated_from_pressure_altitude_m(altitude_m: Any, setting_hpa: float) -> Any:
    """Altitude that an altimeter shows with a setting, from the pressure altitude (1013.25 hPa set), metres.

    Notes
    -----
    Turning the setting shifts the scale by the pressure altitude of the setting: about 8.3 m (27 ft) per hPa.
    """
    return _as_given(np.asarray(altitude_m, dtype=float) - pressure_altitude_m(setting_hpa * PASCALS_PER_HPA))


def geopotential_m(geometric_m: Any) -> Any:
    """Geopotential altitude of a geometric one, metres: 0.3 m less at 5000 ft, 1.5 m less at 10000 ft."""
    height = np.asarray(geometric_m, dtype=float)
    return _as_given(_NOMINAL_RADIUS_M * height / (_NOMINAL_RADIUS_M + height))


def indicated_from_geometric_m(altitude_m: Any, station_temperature_k: float, station_elevation_m: float) -> Any:
    """Altitude that an altimeter set to a station's setting shows at a true altitude above mean sea level, metres.

    At the station's elevation the altimeter shows the elevation; above it, warm air is thicker than standard air and
    the altimeter shows less than the true altitude, about 4 % of the height for each 10 degrees.

    Parameters
    ----------
    altitude_m : float or array
        True altitude above mean sea level.
    station_temperature_k, station_elevation_m : float
        Temperature measured at the station, whose deviation from standard is taken for the whole column.

    Notes
    -----
    With a constant deviation d from the standard temperature, a layer of pressure altitude dH is (T + d) / T as thick,
    T the standard temperature; over the column that is h = H + (d / L) ln((T1) / (T2)), L the lapse rate. [PANS-OPS I]
    gives the same as its accurate temperature correction (from memory). The station's own pressure altitude is taken
    as its elevation: 30 hPa off standard, that changes the result by under 0.1 % of the height. Below the station the
    formula is carried on downwards; above the tropopause the answer is nan.
    """
    deviation = station_temperature_k - isa_temperature_k(station_elevation_m)
    station = float(geopotential_m(station_elevation_m))
    height = np.asarray(geopotential_m(altitude_m)) - station
    ground = SEA_LEVEL_TEMPERATURE_K - LAPSE_K_M * station
    indicated = np.array(height, dtype=float)
    for _ in range(_ROUNDS):
        with np.errstate(invalid="ignore", divide="ignore"):
            thicker = deviation / LAPSE_K_M * np.log(ground / (ground - LAPSE_K_M * indicated))
        indicated = height - thicker
    result = indicated + station_elevation_m
    return _as_given(np.where(result <= TROPOPAUSE_M, result, np.nan))


def tas_from_cas_mps(cas_mps: Any, pressure_altitude: Any, temperature_k: Any = None) -> Any:
    """Return the true airspeed from the calibrated one in air that is compressible, m/s; for subsonic flight.

    Parameters
    ----------
    cas_mps : float or array
        Calibrated airspeed; the indicated one where the instrument's error is not known.
    pressure_altitude : float or array
        Metres, 1013.25 hPa set.
    temperature_k : float or array, optional
        Static temperature of the air; the standard one where not given.

    Notes
    -----
    Impact pressure qc = p0 ((1 + (k - 1)/2 (CAS/a0)^2)^(k/(k - 1)) - 1), the Mach number from qc and the static
    pressure, TAS = M a; standard gas dynamics, k = 1.4.
    """
    exponent = HEAT_RATIO / (HEAT_RATIO - 1.0)
    half = (HEAT_RATIO - 1.0) / 2.0
    static = np.asarray(isa_pressure_pa(pressure_altitude))
    temperature = np.asarray(isa_temperature_k(pressure_altitude) if temperature_k is None else temperature_k)
    sea_level_mach = np.asarray(cas_mps, dtype=float) / _SPEED_OF_SOUND_SEA_LEVEL_MPS
    impact = SEA_LEVEL_PRESSURE_PA * ((1.0 + half * sea_level_mach**2) ** exponent - 1.0)
    mach = np.sqrt(((impact / static + 1.0) ** (1.0 / exponent) - 1.0) / half)
    return _as_given(mach * np.sqrt(HEAT_RATIO * GAS_CONSTANT_J_KG_K * temperature))


def cas_from_tas_mps(tas_mps: Any, pressure_altitude: Any, temperature_k: Any = None) -> Any:
    """Calibrated airspeed from true airspeed, m/s: the inverse of `tas_from_cas_mps`."""
    exponent = HEAT_RATIO / (HEAT_RATIO - 1.0)
    half = (HEAT_RATIO - 1.0) / 2.0
    static = np.asarray(isa_pressure_pa(pressure_altitude))
    temperature = np.asarray(isa_temperature_k(pressure_altitude) if temperature_k is None else temperature_k)
    mach = np.asarray(tas_mps, dtype=float) / np.sqrt(HEAT_RATIO * GAS_CONSTANT_J_KG_K * temperature)
    impact = static * ((1.0 + half * mach**2) ** exponent - 1.0)
    sea_level_mach = np.sqrt(((impact / SEA_LEVEL_PRESSURE_PA + 1.0) ** (1.0 / exponent) - 1.0) / half)
    return _as_given(sea_level_mach * _SPEED_OF_SOUND_SEA_LEVEL_MPS)


def _in_range(altitude_m: Any) -> Any:
    altitude = np.asarray(altitude_m, dtype=float)
    return np.where(altitude <= _HIGHEST_M, altitude, np.nan)


def _as_given(values: Any) -> Any:
    return float(values) if np.ndim(values) == 0 else np.asarray(values)
