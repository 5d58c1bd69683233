"""The flight of known truth: flown by the synthesizer, to standard, with less than 110 ft of room at each minimum.

What each device would have recorded of it follows from the day: an altimeter setting of 30.12 inches of mercury,
standard temperature, the ellipsoid 66 ft above mean sea level.
"""

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

import analyzer.run.demo
from analyzer.given import Procedure
from analyzer.reading import read_procedure
from analyzer.standards import pressure_altitude_m
from analyzer.synthesis import FLIGHT_DAY, HUMAN, FlightPlan, Sensor, fly
from analyzer.units import METRES_PER_FOOT, MPS_PER_FPM, MPS_PER_KNOT, PASCALS_PER_HPA, FloatArray

PROCEDURE_FILE = Path(analyzer.run.demo.__file__).parent / "vor_12.toml"
SETTING_INHG = 30.12
HPA_PER_INHG = 33.8638866667
ELLIPSOID_ABOVE_SEA_FT = 66.0
START_EPOCH_S = int(FLIGHT_DAY.timestamp())


@dataclass(frozen=True)
class Truth:
    """Rows of the flight, arrays of shape (n,): seconds, degrees, feet, knots, degrees, feet a minute."""

    time_s: FloatArray
    latitude: FloatArray
    longitude: FloatArray
    indicated_ft: FloatArray
    pressure_ft: FloatArray
    sea_ft: FloatArray
    ellipsoid_ft: FloatArray
    groundspeed_kt: FloatArray
    track_deg: FloatArray
    heading_deg: FloatArray
    ias_kt: FloatArray
    bank_deg: FloatArray
    climb_fpm: FloatArray

    def __len__(self) -> int:
        return len(self.time_s)

    def every(self, rows: slice) -> "Truth":
        """Return some of the rows."""
        return Truth(**{name: values[rows] for name, values in vars(self).items()})


@cache
def procedure() -> Procedure:
    """Return the procedure that was flown."""
    return read_procedure(PROCEDURE_FILE, FLIGHT_DAY)


@cache
def truth(interval_s: float = 1.0) -> Truth:
    """Return the flight with a row in `interval_s`."""
    plan = FlightPlan(
        "45/180",
        tas_mps=105.0 * MPS_PER_KNOT,
        wind_from_deg_true=280.0,
        wind_speed_mps=15.0 * MPS_PER_KNOT,
        pilot=HUMAN,
    )
    columns = (
        *("groundspeed_mps", "track_true_deg", "heading_magnetic_deg"),
        *("ias_mps", "bank_deg", "vertical_speed_mps"),
    )
    track = fly(procedure(), plan, 3, Sensor(interval_s=interval_s, columns=columns)).track
    sensors = track.sensors
    assert track.altitude_m is not None
    indicated_ft = np.asarray(track.altitude_m) / METRES_PER_FOOT
    setting_pa = SETTING_INHG * HPA_PER_INHG * PASCALS_PER_HPA
    # turning the setting shifts the altimeter's scale by the pressure altitude of the setting
    pressure_ft = indicated_ft + float(pressure_altitude_m(setting_pa)) / METRES_PER_FOOT
    return Truth(
        np.asarray(track.time_s),
        np.asarray(track.latitude_deg),
        np.asarray(track.longitude_deg),
        indicated_ft,
        pressure_ft,
        indicated_ft,
        indicated_ft - ELLIPSOID_ABOVE_SEA_FT,
        sensors["groundspeed_mps"] / MPS_PER_KNOT,
        np.mod(sensors["track_true_deg"], 360.0),
        np.mod(sensors["heading_magnetic_deg"], 360.0),
        sensors["ias_mps"] / MPS_PER_KNOT,
        np.asarray(sensors["bank_deg"]),
        sensors["vertical_speed_mps"] / MPS_PER_FPM,
    )
