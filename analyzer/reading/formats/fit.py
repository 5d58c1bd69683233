"""Binary recordings of sports watches and bicycle computers (FIT), by the library of the extra [watch].

Source: the format's published profile (from memory): `position_lat` and `position_long` are 2^31 parts of 180 degrees,
`timestamp` is UTC, `enhanced_altitude` or `altitude` metres, `enhanced_speed` or `speed` metres a second.
"""

import io
from datetime import UTC, datetime
from typing import Any

import numpy as np

from analyzer.errors import TrackFileError
from analyzer.reading.record import RawRecord
from analyzer.reading.wording import plain

_DEGREES_PER_PART = 180.0 / 2**31
#: as many as an XML track may hold
_MOST_POINTS = 4_000_000


def read_fit(data: bytes, source: str, stem: str) -> RawRecord:
    """Return the points of a recording in the file's order.

    Raises
    ------
    TrackFileError
        Where the library is not installed, or the file is damaged or holds no positions.
    """
    try:
        import fitdecode
    except ImportError as error:
        raise TrackFileError(
            f"{source}: a FIT recording needs the extra [watch]; install it with: pip install "
            "'reversal-debrief[watch]', or export the track as GPX"
        ) from error
    rows: list[tuple[float, float, float, float, float]] = []
    broken = ""
    try:
        with fitdecode.FitReader(
            io.BytesIO(data),
            check_crc=fitdecode.CrcCheck.DISABLED,
            error_handling=fitdecode.ErrorHandling.IGNORE,
        ) as reader:
            for frame in reader:
                if frame.frame_type == fitdecode.FIT_FRAME_DATA and frame.name == "record":
                    row = _row(frame)
                    if row is not None:
                        rows.append(row)
                    if len(rows) > _MOST_POINTS:
                        raise TrackFileError(f"{source}: holds too many points, the limit is {_MOST_POINTS:,}")
    except TrackFileError:
        raise
    except Exception as error:  # a damaged file brings errors of many kinds out of the library
        broken = plain(error) or type(error).__name__
    if len(rows) < 2:
        why = f" ({broken})" if broken else ""
        raise TrackFileError(f"{source}: a FIT recording without positions that can be read{why}; export it as GPX")
    time_s, latitude, longitude, altitude, speed = (np.array(column) for column in zip(*rows, strict=True))
    record = RawRecord(
        source,
        stem,
        time_s,
        True,
        latitude,
        longitude,
        row="point",
        columns_used=["timestamp", "position_lat", "position_long"],
    )
    record.add_altitude(altitude, "geometric", "altitude")
    record.add_sensor("groundspeed_mps", speed, "speed")
    if broken:
        record.note("file_cut_short", "The file is damaged or stops before its end; the rest is missing.")
    return record


def _row(frame: Any) -> tuple[float, float, float, float, float] | None:
    """Return time, latitude, longitude, altitude, speed of a record; None without a time and a position."""

    def value(*names: str) -> Any:
        return next((found for name in names if (found := frame.get_value(name, fallback=None)) is not None), None)

    moment, north, east = value("timestamp"), value("position_lat"), value("position_long")
    if not isinstance(moment, datetime) or not _is_number(north) or not _is_number(east):
        return None
    moment = moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment
    altitude, speed = value("enhanced_altitude", "altitude"), value("enhanced_speed", "speed")
    return (
        moment.timestamp(),
        north * _DEGREES_PER_PART,
        east * _DEGREES_PER_PART,
        float(altitude) if _is_number(altitude) else np.nan,
        float(speed) if _is_number(speed) else np.nan,
    )


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)
