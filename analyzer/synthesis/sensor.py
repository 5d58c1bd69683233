"""What a recording device makes of the flight: sampling, noise, outliers, gaps, bad times, optional columns."""

from dataclasses import dataclass, field
from datetime import UTC, datetime

import numpy as np

from analyzer.given import AltitudeKind, Frame, Procedure, Track
from analyzer.synthesis.aircraft import State
from analyzer.units import FloatArray

#: an invented day
FLIGHT_DAY = datetime(2025, 3, 14, 15, 0, 0, tzinfo=UTC)


@dataclass(frozen=True)
class Sensor:
    """A recording device; the defaults are exact.

    Parameters
    ----------
    interval_s : float
        Between rows.
    interval_jitter_s : float
        1 sigma of the moment a row is taken at; the row's time is right.
    stamp_resolution_s : float
        Times are rounded to multiples of this; 0 leaves them.
    white_m, wander_m, wander_correlation_s : float
        1 sigma of the position noise for each axis: independent from row to row, and first-order correlated.
    outlier_share, outlier_m : float
        Share of the rows that are off by a random distance of this scale.
    gaps, longest_gap_s : int, float
        Number and longest length of stretches without rows (shortest a third of it).
    duplicate_share, missing_time_share, missing_altitude_share : float
        Shares of rows that repeat the time of the row before, have no time, have no altitude.
    altitude_kind : str or None
        None records no altitudes.
    altitude_sigma_m, altitude_step_m : float
        Noise and quantisation of the altitude.
    altimeter_setting_hpa, isa_deviation_k : float
        Of the day: what pressure altitudes and geometric heights differ by from the altimeter.
    columns : tuple of str
        Which of the track's sensors are recorded.
    speed_sigma_mps, angle_sigma_deg : float
        Noise of speed and angle columns.
    position_decimals : int
        Decimals of the recorded degrees.
    """

    interval_s: float = 1.0
    interval_jitter_s: float = 0.0
    stamp_resolution_s: float = 0.0
    white_m: float = 0.0
    wander_m: float = 0.0
    wander_correlation_s: float = 30.0
    outlier_share: float = 0.0
    outlier_m: float = 400.0
    gaps: int = 0
    longest_gap_s: float = 30.0
    duplicate_share: float = 0.0
    missing_time_share: float = 0.0
    missing_altitude_share: float = 0.0
    altitude_kind: AltitudeKind | None = "indicated"
    altitude_sigma_m: float = 0.0
    altitude_step_m: float = 0.0
    altimeter_setting_hpa: float = 1013.25
    isa_deviation_k: float = 0.0
    columns: tuple[str, ...] = field(default_factory=tuple)
    speed_sigma_mps: float = 0.0
    angle_sigma_deg: float = 0.0
    position_decimals: int = 9


EXACT = Sensor()


@dataclass(frozen=True)
class Recording:
    """The rows as the device wrote them, in its order; times may repeat or be missing (nan).

    `first_s` and `last_s` are the flight's times of the first and last row with a time.
    """

    time_s: FloatArray
    latitude_deg: FloatArray
    longitude_deg: FloatArray
    altitude_m: FloatArray | None
    altitude_kind: AltitudeKind | None
    sensors: dict[str, FloatArray]
    first_s: float
    last_s: float

    def track(self, name: str) -> Track:
        """Return the rows that have a later time than all before them, times from the first."""
        time = self.time_s
        latest = np.fmax.accumulate(np.where(np.isfinite(time), time, -np.inf))
        keep = np.isfinite(time) & np.concatenate(([True], time[1:] > latest[:-1]))
        return Track(
            name=name,
            time_s=time[keep] - self.first_s,
            latitude_deg=self.latitude_deg[keep],
            longitude_deg=self.longitude_deg[keep],
            altitude_m=None if self.altitude_m is None else self.altitude_m[keep],
            altitude_kind=self.altitude_kind,
            start=FLIGHT_DAY,
            sensors={key: values[keep] for key, values in self.sensors.items()},
        )


def record(
    state: State, procedure: Procedure, frame: Frame, sensor: Sensor, generator: np.random.Generator
) -> Recording:
    """Return what the device records of a flight.

    Raises
    ------
    ValueError
        Where the sensor's columns name no sensor of a track (raised by the track).
    """
    taken, stamps = _moments(state, sensor, generator)
    at = {
        name: np.interp(taken, state.time_s, getattr(state, name))
        for name in (
            "along_m", "cross_m", "along_mps", "cross_mps", "heading_deg", "bank_deg", "tas_mps", "altitude_m",
        )
    }  # fmt: skip
    east, north = frame.east_north_from_along_cross(at["along_m"], at["cross_m"])
    noise_east, noise_north = (position_noise(taken, sensor, generator) for _ in range(2))
    outlier = generator.random(len(taken)) < sensor.outlier_share
    angle = generator.uniform(0.0, 2.0 * np.pi, len(taken))
    size = outlier * sensor.outlier_m * generator.uniform(0.3, 2.0, len(taken))
    latitude, longitude = frame.latitude_longitude_deg(
        east + noise_east + size * np.sin(angle), north + noise_north + size * np.cos(angle)
    )
    altitude = _altitude(at["altitude_m"], procedure, sensor, generator)
    sensors = _columns(taken, at, latitude, longitude, procedure, frame, sensor, generator)
    spoilt = generator.random(len(taken))
    stamps = stamps.copy()
    repeated = np.flatnonzero(spoilt < sensor.duplicate_share)
    repeated = repeated[repeated > 0]
    stamps[repeated] = stamps[repeated - 1]
    missing = spoilt > 1.0 - sensor.missing_time_share
    missing[0] = False
    stamps[missing] = np.nan
    return Recording(
        time_s=stamps,
        latitude_deg=np.round(latitude, sensor.position_decimals),
        longitude_deg=np.round(longitude, sensor.position_decimals),
        altitude_m=altitude,
        altitude_kind=sensor.altitude_kind,
        sensors=sensors,
        first_s=float(stamps[0]),
        last_s=float(np.nanmax(stamps)),
    )


def _moments(state: State, sensor: Sensor, generator: np.random.Generator) -> tuple[FloatArray, FloatArray]:
    """Return when rows are taken and what times they carry."""
    first = float(generator.uniform(0.45, 1.45) * sensor.interval_s) if sensor.interval_jitter_s else 0.0
    last = float(state.time_s[-1])
    taken = np.arange(first, last, sensor.interval_s)
    if sensor.interval_jitter_s:
        jitter = sensor.interval_jitter_s * generator.standard_normal(len(taken))
        taken = taken + np.clip(jitter, -0.45 * sensor.interval_s, 0.45 * sensor.interval_s)
        taken = np.minimum(taken, last)
    keep = np.ones(len(taken), dtype=bool)
    for _ in range(sensor.gaps):
        start = generator.uniform(0.05, 0.95) * last
        length = generator.uniform(0.33, 1.0) * sensor.longest_gap_s
        keep &= (taken < start) | (taken > start + length)
    keep[:2] = True
    taken = taken[keep]
    stamps = taken
    if sensor.stamp_resolution_s:
        stamps = np.round(taken / sensor.stamp_resolution_s) * sensor.stamp_resolution_s
    return taken, stamps


def position_noise(taken: FloatArray, sensor: Sensor, generator: np.random.Generator) -> FloatArray:
    """Return the noise of one axis at the moments of the rows, metres."""
    white = sensor.white_m * generator.standard_normal(len(taken))
    kicks = generator.standard_normal(len(taken))
    keep = np.exp(-np.diff(taken, prepend=taken[0] - 1e6) / sensor.wander_correlation_s)
    wander = np.empty(len(taken))
    value = 0.0
    for index, (part, kick) in enumerate(zip(keep.tolist(), kicks.tolist(), strict=True)):
        value = part * value + sensor.wander_m * (1.0 - part * part) ** 0.5 * kick
        wander[index] = value
    return np.asarray(white + wander)


def _altitude(
    indicated_m: FloatArray, procedure: Procedure, sensor: Sensor, generator: np.random.Generator
) -> FloatArray | None:
    noise = sensor.altitude_sigma_m * generator.standard_normal(len(indicated_m))
    missing = generator.random(len(indicated_m)) < sensor.missing_altitude_share
    if sensor.altitude_kind is None:
        return None
    altitude = indicated_m
    if sensor.altitude_kind == "pressure":
        # height of the setting's pressure in the standard atmosphere, ICAO Doc 7488 constants
        altitude = indicated_m + 288.15 / 0.0065 * (1.0 - (sensor.altimeter_setting_hpa / 1013.25) ** 0.190263)
    elif sensor.altitude_kind == "geometric":
        ground = procedure.fix.elevation_m or 0.0
        middle_k = 288.15 - 0.0065 * 0.5 * (indicated_m + ground)
        altitude = ground + (indicated_m - ground) * (1.0 + sensor.isa_deviation_k / middle_k)
    altitude = altitude + noise
    if sensor.altitude_step_m:
        altitude = np.round(altitude / sensor.altitude_step_m) * sensor.altitude_step_m
    return np.where(missing, np.nan, altitude)


def _columns(
    taken: FloatArray,
    at: dict[str, FloatArray],
    latitude_deg: FloatArray,
    longitude_deg: FloatArray,
    procedure: Procedure,
    frame: Frame,
    sensor: Sensor,
    generator: np.random.Generator,
) -> dict[str, FloatArray]:
    if not sensor.columns:
        return {}
    # the plane's north differs from the meridian away from the fix: direction of a small step north
    near_m, next_m = (
        frame.east_north_m(latitude_deg, longitude_deg),
        frame.east_north_m(latitude_deg + 1e-5, longitude_deg),
    )
    turned = np.degrees(np.arctan2(next_m[0] - near_m[0], next_m[1] - near_m[1]))
    north = procedure.inbound_true_deg - turned
    density_ratio = (1.0 - 0.0065 * at["altitude_m"] / 288.15) ** 4.2559
    density_ratio = density_ratio * 288.15 / (288.15 + sensor.isa_deviation_k)
    along, cross = at["along_m"], at["cross_m"]
    guidance = procedure.guidance
    if guidance.full_scale_m is not None:
        deflection = cross / guidance.full_scale_m
    else:
        station = frame.along_cross_m(guidance.station.latitude_deg, guidance.station.longitude_deg)
        angle = np.degrees(np.arctan2(cross - station[1], np.abs(along - station[0])))
        deflection = angle / (guidance.full_scale_deg or 10.0)
    exact = {
        "groundspeed_mps": np.hypot(at["along_mps"], at["cross_mps"]),
        "track_true_deg": np.mod(np.degrees(np.arctan2(at["cross_mps"], -at["along_mps"])) + north, 360.0),
        "heading_true_deg": np.mod(at["heading_deg"] + north, 360.0),
        "heading_magnetic_deg": np.mod(at["heading_deg"] + north - procedure.variation_deg, 360.0),
        "ias_mps": at["tas_mps"] * np.sqrt(density_ratio),
        "tas_mps": at["tas_mps"],
        "bank_deg": at["bank_deg"],
        "vertical_speed_mps": np.gradient(at["altitude_m"], taken),
        "deflection": np.clip(deflection, -1.0, 1.0),
    }
    recorded = {}
    for name in sensor.columns:
        sigma = sensor.angle_sigma_deg if name.endswith("deg") else sensor.speed_sigma_mps
        if name == "deflection":
            sigma = 0.0
        values = exact[name] + sigma * generator.standard_normal(len(latitude_deg))
        recorded[name] = np.mod(values, 360.0) if "track" in name or "heading" in name else values
    return recorded
