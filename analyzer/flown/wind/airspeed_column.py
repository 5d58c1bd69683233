"""True airspeed from the columns of a recording."""

import numpy as np

from analyzer.flown.altitude.altimeter_record import AltitudeRecord
from analyzer.given import Options, Track
from analyzer.standards import isa_temperature_k, tas_from_cas_mps
from analyzer.units import FloatArray


def recorded_tas_mps(track: Track, altitude: AltitudeRecord | None, options: Options) -> FloatArray | None:
    """Return the true airspeed at the track's points: its own column, else from indicated airspeed and altitude."""
    if "tas_mps" in track.sensors or "ias_mps" not in track.sensors or altitude is None:
        return track.sensors.get("tas_mps")
    height_m = np.interp(track.time_s, altitude.time_s, altitude.altitude_m)
    temperature_k = None
    if options.temperature_k is not None and options.station_elevation_m is not None:
        off_standard_k = options.temperature_k - isa_temperature_k(options.station_elevation_m)
        temperature_k = isa_temperature_k(height_m) + off_standard_k
    speed: FloatArray = np.asarray(tas_from_cas_mps(track.sensors["ias_mps"], height_m, temperature_k))
    return speed
