"""Recorded speeds and tracks against the positions: what the names leave open, and what they get wrong."""

import numpy as np
import numpy.typing as npt

from analyzer.given import course_and_distance
from analyzer.reading.plausibility import SPEED_UNIT_NAMED
from analyzer.reading.record import RawRecord
from analyzer.reading.wording import plain
from analyzer.units import MPS_PER_KMH, MPS_PER_KNOT, FloatArray, difference_deg

IndexArray = npt.NDArray[np.intp]

BASE_S = 10.0  # positions this far apart give speed and track to a few per cent at 10 m of noise
LONGEST_BASE_S = 30.0  # over a longer interval the aircraft may have turned
FLYING_MPS = 20.0  # slower than this an aircraft gives no good comparison
FEWEST = 5  # comparisons
SAME_SPEED = 0.08  # part of the speed within which two units count as the same; knots and mph lie 15 % apart
WRONG_SPEED = 0.25  # part of the speed beyond which a column is not a ground speed
SAME_TRACK_DEG = 10.0
_CLOCK_RATES = (2.0, 4.0, 8.0, 16.0, 0.5, 0.25)  # how much faster or slower than the flight a simulator may record
_UNITS = (("knots", MPS_PER_KNOT), ("metres per second", 1.0), ("km/h", MPS_PER_KMH), ("mph", 1609.344 / 3600.0))


def compare_with_positions(record: RawRecord, time_s: FloatArray) -> None:
    """Settle the record's undecided sensors by its positions and take out sensors that contradict them.

    Parameters
    ----------
    record : RawRecord
        In order of time, changed in place: sensors, notes, columns used.
    time_s : array, shape (n,)
        Seconds after the first row.
    """
    names = ("groundspeed_mps", "track_true_deg")
    if not any(name in record.sensors or name in record.undecided for name in names):
        return
    start, end, middle = _bases(time_s)
    interval = time_s[end] - time_s[start]
    latitude, longitude = record.latitude_deg, record.longitude_deg
    bearing, distance = course_and_distance(latitude[start], longitude[start], latitude[end], longitude[end])
    speed = distance / interval
    flying = speed > FLYING_MPS
    _settle_speed(record, middle[flying], speed[flying])
    _settle_track(record, middle[flying], bearing[flying])


def _bases(time_s: FloatArray) -> tuple[IndexArray, IndexArray, IndexArray]:
    """Return first, last and middle row of stretches of about BASE_S; at most a few thousand, evenly spread."""
    start = np.arange(0, len(time_s), max(1, len(time_s) // 5000))
    end = np.minimum(np.searchsorted(time_s, time_s[start] + BASE_S), len(time_s) - 1)
    interval = time_s[end] - time_s[start]
    good = (interval > BASE_S / 3.0) & (interval <= LONGEST_BASE_S)
    start, end = start[good], end[good]
    middle_s = (time_s[start] + time_s[end]) / 2.0
    after = np.clip(np.searchsorted(time_s, middle_s), 1, len(time_s) - 1)
    nearer = np.where(middle_s - time_s[after - 1] <= time_s[after] - middle_s, after - 1, after)
    return start, end, nearer


def _settle_speed(record: RawRecord, middle: IndexArray, speed_mps: FloatArray) -> None:
    name = "groundspeed_mps"
    if name in record.sensors:
        ratio = _ratio(record.sensors[name][middle], speed_mps)
        if ratio is not None and abs(ratio - 1.0) > WRONG_SPEED:
            _settle_contradiction(record, name, ratio)
    if name not in record.undecided:
        return
    column, values = record.undecided.pop(name)
    ratio = _ratio(values[middle], speed_mps)
    unit = next((unit for unit in _UNITS if ratio is not None and abs(ratio / unit[1] - 1.0) < SAME_SPEED), None)
    if unit is None:
        record.note("speed_not_used", f'Column "{plain(column)}" does not say which speed it holds: not used.')
        return
    record.add_sensor(name, np.where(values >= 0.0, values * unit[1], np.nan), plain(column))
    record.note("speed_unit_found", f'Column "{plain(column)}" is ground speed in {unit[0]}, as the positions show.')


def _settle_contradiction(record: RawRecord, name: str, ratio: float) -> None:
    """Read ground speeds in the unit in which they fit the positions, or say that clock and speeds contradict."""
    column = record.sensor_columns.get(name, "")
    named = SPEED_UNIT_NAMED.search(column) is not None
    nearest, words = min(
        [
            *((one / other, unit) for unit, one in _UNITS for _, other in _UNITS if one != other),
            *((rate, "") for rate in _CLOCK_RATES),
        ],
        key=lambda candidate: abs(np.log(candidate[0] / ratio)),
    )
    fits = abs(np.log(nearest / ratio)) < SAME_SPEED / 2.0
    if fits and words:
        record.sensors[name] = record.sensors[name] * nearest
        text = (
            f'Column "{column}" fits the positions as {words} and was read so{", whatever its name" if named else ""}.'
        )
        record.note("groundspeed_unit", text)
        return
    values = f"Recorded ground speeds are {1.0 / max(ratio, 1e-6):.2f} times what the positions show"
    del record.sensors[name]
    if fits:
        record.note(
            "clock_against_groundspeed",
            f"{values}: the clock ran at another rate, as a simulator's may. Method, turns, timing, intercept and "
            "speed are not assessed; record in real time.",
            not_judged=("manoeuvre", "speed"),
        )
        return
    record.note("groundspeed_not_used", f"{values}: not used. Is the clock right?", on_first_screen=True)


SLOWEST_MPS = 1e-3  # a moving aircraft shows no such reading, and a ratio to it is not a number


def _ratio(values: FloatArray, speed_mps: FloatArray) -> float | None:
    good = np.isfinite(values) & (values > SLOWEST_MPS)
    if int(np.count_nonzero(good)) < FEWEST:
        return None
    return float(np.median(speed_mps[good] / values[good]))


def _settle_track(record: RawRecord, middle: IndexArray, bearing_deg: FloatArray) -> None:
    name = "track_true_deg"
    if name in record.sensors:
        offset = _offset_deg(record.sensors[name][middle], bearing_deg)
        if offset is not None and offset > SAME_TRACK_DEG:
            del record.sensors[name]
            record.note(
                "track_not_used", f"Recorded tracks are {offset:.0f} degrees off what the positions show: not used."
            )
    if name not in record.undecided:
        return
    column, values = record.undecided.pop(name)
    offset = _offset_deg(values[middle], bearing_deg)
    if offset is None or offset > SAME_TRACK_DEG:
        record.note("course_not_used", f'Column "{plain(column)}" is not the track over the ground: not used.')
        return
    known = np.where(np.isfinite(values), values, np.nan)
    record.add_sensor(name, np.mod(known, 360.0), plain(column))


def _offset_deg(values: FloatArray, bearing_deg: FloatArray) -> float | None:
    """Return the median size of the difference, None for too few comparisons."""
    good = np.isfinite(values)
    if int(np.count_nonzero(good)) < FEWEST:
        return None
    return float(np.median(np.abs(difference_deg(bearing_deg[good], values[good]))))
