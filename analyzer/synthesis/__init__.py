"""Flies a course reversal in a wind, well or with named errors, and records it.

Use::

    from analyzer.synthesis import FlightPlan, FlyingError, HUMAN, Sensor, fly

    flight = fly(procedure, FlightPlan("45/180", tas_mps=60.0, wind_from_deg_true=240.0, wind_speed_mps=10.0,
                                       pilot=HUMAN, errors=(FlyingError("late turn", 15.0),)),
                 seed=7, sensor=Sensor(interval_s=1.0, white_m=3.0))
    flight.track        # analyzer.given.track.Track, as a device recorded it
    flight.truth        # Truth: wind, tas, attempts (phases, passages, established, timing, violations ...)
    flight.state        # the noise-free flight at 20 Hz in the axes of the plane about the fix
    flight.recording    # the device's raw rows, with repeated or missing times

`FlightPlan` lists methods ("45/180", "80/260", "teardrop", "racetrack", "hold", "straight in"), entry, laps,
attempts, timing, ending and `stop_in` (a phase in which the track ends); `ERROR_SIZES` the errors with their units;
`Sensor` the sampling, noise, outliers, gaps, bad times, altitude kind and optional columns. The same seed gives the
same flight. `analyzer.synthesis.write.write_recording(flight, path)` writes GPX or CSV.
"""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
