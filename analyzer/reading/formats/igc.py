"""IGC flight recorder files: B records of time, position, pressure and satellite altitude, with their extensions.

Source: FAI Sporting Code, Section 3, Annex A and the IGC technical specification for GNSS flight recorders, appendix A
(file format): B HHMMSS DDMMmmmN DDDMMmmmE V PPPPP GGGGG; altitudes in metres, the pressure altitude above 1013.25 hPa;
the I record lists what else stands in a B record; HFDTE is the date of the first fix. From memory, not read anew.
"""

import re
from collections import Counter
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from analyzer.errors import TrackFileError
from analyzer.reading.content import FIX_RECORD
from analyzer.reading.record import RawRecord
from analyzer.reading.table.times import unwrapped_clock
from analyzer.reading.wording import counted
from analyzer.units import MPS_PER_KMH, FloatArray

Bytes = npt.NDArray[np.uint8]

_DATE = re.compile(rb"^HFDTE(?:DATE:\s*)?(\d{2})(\d{2})(\d{2})", re.MULTILINE)
_EXTENSIONS = re.compile(rb"^I(\d{2})((?:\d{4}[A-Z0-9]{3})+)", re.MULTILINE)
_BASE_BYTES = 35  # of a B record without extensions
_MOST_LENGTHS = 16  # records of more different lengths than this are left out: bounds the work
_SENSORS = {  # three-letter codes: sensor, factor to SI; speeds are km/h, courses whole degrees
    "GSP": ("groundspeed_mps", MPS_PER_KMH),
    "TRT": ("track_true_deg", 1.0),
    "HDT": ("heading_true_deg", 1.0),
    "HDM": ("heading_magnetic_deg", 1.0),
    "IAS": ("ias_mps", MPS_PER_KMH),
    "TAS": ("tas_mps", MPS_PER_KMH),
}


@dataclass(frozen=True)
class _Extension:
    """Characters of a B record that an I record names; `start` counts from 0."""

    code: str
    start: int
    end: int


def read_igc(data: bytes, source: str, stem: str) -> RawRecord:
    """Return the fixes of a flight recorder file in the file's order.

    Parameters
    ----------
    data : bytes
        The file.
    source : str
        The file as errors name it.
    stem : str
        Name of the flight.

    Raises
    ------
    TrackFileError
        Where the file holds no fixes.
    """
    lines = re.findall(FIX_RECORD, data)
    if not lines:
        raise TrackFileError(f"{source}: holds no fixes (B records); export the recorded flight")
    extensions = _extensions(data)
    lengths = Counter(map(len, lines))
    common = {length for length, _ in lengths.most_common(_MOST_LENGTHS)}
    kept = [line for line in lines if len(line) in common]
    fixes = _Fixes(kept, extensions)
    date = _DATE.search(data)
    clock = unwrapped_clock(fixes.clock_s())
    latitude, longitude = fixes.positions()
    record = RawRecord(
        source,
        stem,
        clock + _date_s(date) if date else clock,
        bool(date),
        latitude,
        longitude,
        row="fix",
        columns_used=["time", "latitude", "longitude"],
    )
    if not date:
        record.note("time_without_date", "The file has no date record; the flight's date is not known.")
    pressure = fixes.number(25, 30)
    geometric = np.where(fixes.three_dimensional(), fixes.number(30, 35), np.nan)
    if np.any(pressure[np.isfinite(pressure)] != 0.0):  # recorders without a capsule write zeros
        record.add_altitude(pressure, "pressure", "pressure altitude")
    if np.any(geometric[np.isfinite(geometric)] != 0.0):
        record.add_altitude(geometric, "geometric", "satellite altitude")
    for extension in extensions:
        if extension.code in _SENSORS:
            sensor, factor = _SENSORS[extension.code]
            record.add_sensor(sensor, fixes.number(extension.start, extension.end) * factor, extension.code)
    if len(kept) < len(lines):
        record.note(
            "damaged_records", f"{counted(len(lines) - len(kept), 'fix', 'fixes')} of unusual length: left out."
        )
    return record


def _extensions(data: bytes) -> list[_Extension]:
    found = _EXTENSIONS.search(data[:1_000_000])
    if found is None:
        return []
    text = found.group(2).decode("ascii")
    extensions = []
    for place in range(0, min(len(text), 7 * int(found.group(1))), 7):
        start, end, code = int(text[place : place + 2]), int(text[place + 2 : place + 4]), text[place + 4 : place + 7]
        if _BASE_BYTES < start <= end <= start + 9:
            extensions.append(_Extension(code, start - 1, end))
    return extensions


def _date_s(found: re.Match[bytes]) -> float:
    """Return midnight of an HFDTE date in seconds since 1970, 0 for no date of the calendar."""
    day, month, year = (int(part) for part in found.groups())
    try:
        date = np.datetime64(f"{year + (1900 if year >= 80 else 2000):04d}-{month:02d}-{day:02d}")
    except ValueError:
        return 0.0
    return float(date.astype("datetime64[s]").astype(np.int64))


class _Fixes:
    """B records as a matrix of characters, short ones padded with blanks."""

    def __init__(self, lines: list[bytes], extensions: list[_Extension]) -> None:
        self._codes: dict[str, _Extension] = {extension.code: extension for extension in extensions}
        width = max(map(len, lines))
        padded = np.array(lines, dtype=f"S{width}")
        self._bytes: Bytes = padded.view(np.uint8).reshape(len(lines), width)

    def number(self, start: int, end: int) -> FloatArray:
        """Return characters start to end as a whole number, negative with a leading minus; nan where not digits."""
        cells = self._bytes[:, start:end]
        if cells.shape[1] == 0:
            return np.full(len(self._bytes), np.nan)
        negative = cells[:, 0] == ord("-")
        digits = cells.astype(np.float64) - 48.0
        digits[:, 0] = np.where(negative, 0.0, digits[:, 0])
        good = np.all((digits >= 0.0) & (digits <= 9.0), axis=1)
        value = digits @ (10.0 ** np.arange(cells.shape[1] - 1, -1, -1))
        return np.where(good, np.where(negative, -value, value), np.nan)

    def clock_s(self) -> FloatArray:
        """Return seconds after midnight; with the extension TDS also parts of a second."""
        clock = self.number(1, 3) * 3600.0 + self.number(3, 5) * 60.0 + self.number(5, 7)
        return clock + self._more_digits("TDS")

    def positions(self) -> tuple[FloatArray, FloatArray]:
        """Return latitudes and longitudes in degrees; with the extensions LAD and LOD to more digits of the minute."""
        latitude_minutes = self.number(9, 11) + (self.number(11, 14) + self._more_digits("LAD")) / 1000.0
        longitude_minutes = self.number(18, 20) + (self.number(20, 23) + self._more_digits("LOD")) / 1000.0
        latitude = self.number(7, 9) + latitude_minutes / 60.0
        longitude = self.number(15, 18) + longitude_minutes / 60.0
        latitude = np.where(self._bytes[:, 14] == ord("S"), -latitude, latitude)
        longitude = np.where(self._bytes[:, 23] == ord("W"), -longitude, longitude)
        return latitude, longitude

    def three_dimensional(self) -> npt.NDArray[np.bool_]:
        """Return whether the fix had a satellite altitude (A), not only a position or nothing (V)."""
        return np.asarray(self._bytes[:, 24] == ord("A"))

    def _more_digits(self, code: str) -> FloatArray | float:
        """Return an extension's digits as a part of the last digit before them, 0 where there is none."""
        extension = self._codes.get(code)
        if extension is None:
            return 0.0
        digits = self.number(extension.start, extension.end)
        return np.where(np.isfinite(digits), digits, 0.0) / 10.0 ** (extension.end - extension.start)
