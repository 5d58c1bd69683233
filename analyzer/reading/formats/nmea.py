"""NMEA 0183 logs: RMC for date, position, speed and track, GGA for altitude; sentences are checked by their sum.

Source: NMEA 0183 sentence formatters RMC and GGA, from memory (the standard is not public); the sum is the exclusive or
of all characters between $ and *.
"""

import re
from math import isfinite

import numpy as np

from analyzer.errors import TrackFileError
from analyzer.reading.content import SENTENCE
from analyzer.reading.record import RawRecord
from analyzer.reading.table.times import DAY_S, unwrapped_clock
from analyzer.reading.wording import counted
from analyzer.units import MPS_PER_KNOT, FloatArray

_SAME_MOMENT_S = 0.05


def read_nmea(data: bytes, source: str, stem: str) -> RawRecord:
    """Return the fixes of a log of sentences in the file's order.

    Parameters
    ----------
    data : bytes
        The log; lines may carry other text before the sentence.
    source : str
        The file as errors name it.
    stem : str
        Name of the flight.

    Raises
    ------
    TrackFileError
        Where no sentence with a position has a right sum.
    """
    kinds, bodies, damaged = _sentences(data)
    if not bodies:
        raise TrackFileError(
            f"{source}: holds no undamaged RMC or GGA sentence{f' ({damaged:,} have a wrong sum)' if damaged else ''}; "
            "record the log again"
        )
    fields = [body.decode("ascii").split(",") for body in bodies]
    clock = unwrapped_clock(_clock_s([cells[0] for cells in fields]))
    is_rmc = np.array([kind == b"RMC" for kind in kinds])
    rmc = [cells for cells, here in zip(fields, is_rmc, strict=True) if here]
    gga = [cells for cells, here in zip(fields, is_rmc, strict=True) if not here]
    day_start = _first_midnight_s(rmc, clock[is_rmc])
    record = _from_rmc(rmc, clock[is_rmc], source, stem) if rmc else _from_gga(gga, clock, source, stem)
    if day_start is None:
        record.has_date = False
        record.note("time_without_date", "No sentence has a date; the flight's date is not known.")
    else:
        record.time_s = record.time_s + day_start
    if gga:
        altitude = _numbers([_cell(cells, 8) if _cell(cells, 5) not in ("", "0") else "" for cells in gga])
        times = record.time_s - (day_start or 0.0)
        record.add_altitude(_at_moments(clock[~is_rmc], altitude, times), "geometric", "GGA altitude")
    if damaged:
        record.note("damaged_sentences", f"{counted(damaged, 'sentence has', 'sentences have')} a wrong sum: left out.")
    return record


def _sentences(data: bytes) -> tuple[list[bytes], list[bytes], int]:
    """Return kinds and bodies of the sentences whose sum is right or missing, and how many are damaged."""
    kinds: list[bytes] = []
    bodies: list[bytes] = []
    sums: list[int] = []
    whole: list[bytes] = []
    for match in re.finditer(SENTENCE, data):
        kinds.append(match.group(1))
        bodies.append(match.group(2))
        sums.append(int(match.group(3), 16) if match.group(3) else -1)
        whole.append(data[match.start() + 1 : match.end(2)])
    if not bodies:
        return [], [], 0
    lengths = np.array([len(text) for text in whole])
    starts = np.concatenate(([0], np.cumsum(lengths)[:-1]))
    found = np.bitwise_xor.reduceat(np.frombuffer(b"".join(whole), dtype=np.uint8), starts)
    right = (found == np.array(sums)) | (np.array(sums) < 0)
    kept = np.flatnonzero(right).tolist()
    return [kinds[i] for i in kept], [bodies[i] for i in kept], len(bodies) - len(kept)


def _from_rmc(rmc: list[list[str]], clock: FloatArray, source: str, stem: str) -> RawRecord:
    valid = np.array([_cell(cells, 1).upper() == "A" for cells in rmc])
    latitude = np.where(valid, _angles([_cell(c, 2) for c in rmc], [_cell(c, 3) for c in rmc]), np.nan)
    longitude = np.where(valid, _angles([_cell(c, 4) for c in rmc], [_cell(c, 5) for c in rmc]), np.nan)
    columns = ["RMC time", "RMC latitude", "RMC longitude"]
    record = RawRecord(source, stem, clock, True, latitude, longitude, row="fix", columns_used=columns)
    record.add_sensor("groundspeed_mps", _numbers([_cell(cells, 6) for cells in rmc]) * MPS_PER_KNOT, "RMC speed")
    record.add_sensor("track_true_deg", _numbers([_cell(cells, 7) for cells in rmc]), "RMC course")
    return record


def _from_gga(gga: list[list[str]], clock: FloatArray, source: str, stem: str) -> RawRecord:
    valid = np.array([_cell(cells, 5) not in ("", "0") for cells in gga])
    latitude = np.where(valid, _angles([_cell(c, 1) for c in gga], [_cell(c, 2) for c in gga]), np.nan)
    longitude = np.where(valid, _angles([_cell(c, 3) for c in gga], [_cell(c, 4) for c in gga]), np.nan)
    columns = ["GGA time", "GGA latitude", "GGA longitude"]
    return RawRecord(source, stem, clock, True, latitude, longitude, row="fix", columns_used=columns)


def _first_midnight_s(rmc: list[list[str]], clock: FloatArray) -> float | None:
    """Return the midnight that the unwrapped clock counts from, in seconds since 1970, by the first valid date."""
    for cells, seconds in zip(rmc, clock, strict=True):
        text = _cell(cells, 8)
        if len(text) != 6 or not text.isascii() or not text.isdigit() or not np.isfinite(seconds):
            continue
        year = int(text[4:6])
        try:
            date = np.datetime64(f"{year + (1900 if year >= 80 else 2000):04d}-{text[2:4]}-{text[0:2]}")
        except ValueError:
            continue
        return float(date.astype("datetime64[s]").astype(np.int64)) - float(seconds // DAY_S) * DAY_S
    return None


def _at_moments(from_s: FloatArray, values: FloatArray, at_s: FloatArray) -> FloatArray:
    """Return values at the same moments, nan where there is none within a twentieth of a second."""
    order = np.argsort(from_s, kind="stable")
    from_s, values = from_s[order], values[order]
    good = np.isfinite(from_s) & np.isfinite(values)
    from_s, values = from_s[good], values[good]
    if not len(from_s):
        return np.full(len(at_s), np.nan)
    place = np.clip(np.searchsorted(from_s, at_s - _SAME_MOMENT_S), 0, len(from_s) - 1)
    return np.where(np.abs(from_s[place] - at_s) <= _SAME_MOMENT_S, values[place], np.nan)


def _cell(cells: list[str], place: int) -> str:
    return cells[place].strip() if place < len(cells) else ""


def _numbers(texts: list[str]) -> FloatArray:
    return np.array([_number(text) for text in texts], dtype=np.float64)


def _number(text: str) -> float:
    try:
        number = float(text)
    except ValueError:
        return float("nan")
    return number if isfinite(number) else float("nan")


def _clock_s(texts: list[str]) -> FloatArray:
    """Return seconds after midnight of hhmmss.sss."""
    value = _numbers(texts)
    value = np.where((value >= 0.0) & (value < 240_000.0), value, np.nan)
    return np.floor(value / 10_000.0) * 3600.0 + np.floor(value % 10_000.0 / 100.0) * 60.0 + value % 100.0


def _angles(texts: list[str], hemispheres: list[str]) -> FloatArray:
    """Return degrees of dddmm.mmmm and a hemisphere letter."""
    value = _numbers(texts)
    degrees = np.floor(value / 100.0)
    angle = degrees + (value - degrees * 100.0) / 60.0
    letters = np.array([letter.upper() for letter in hemispheres])
    angle = np.where(np.isin(letters, ["S", "W"]), -angle, angle)
    return np.where(np.isin(letters, ["N", "S", "E", "W"]), angle, np.nan)
