"""Whether a recording can be a flight at all: its clock, its speeds, its positions and heights against each other.

What is plainly repairable is repaired and said; for the rest the affected part of the debrief is not judged, and the
note says what would settle it. None of it looks at a procedure.
"""

import re
from dataclasses import replace

import numpy as np

from analyzer.reading.record import RawRecord
from analyzer.reading.wording import listed
from analyzer.units import METRES_PER_FOOT, MPS_PER_KNOT, FloatArray, IntArray, clock

METRES_PER_DEGREE = 111_120.0  # of latitude; good to half a per cent, for comparisons only

# What no aeroplane on an instrument procedure does (own choice, wide on purpose: a false alarm costs trust).
SLOWEST_MPS, FASTEST_MPS = 15.0, 300.0  # over the ground, in the middle of a whole flight
STEEPEST_MPS2 = 20.0  # sideways for longer than LONGEST_STEEP_S: a level turn at 64 degrees of bank
LONGEST_STEEP_S = 6.0
FLYING_MPS = 20.0

_FEWEST_ROWS = 20
_CLOCK_UNITS = (("hours", 3600.0), ("minutes", 60.0), ("milliseconds", 1e-3), ("days", 86_400.0))
_SHARED = 0.5  # part of the rows that share their time with the one before
_LEAST_SHARED_STEP_S = 5.0  # of clocks cut to less than this the first row of each moment is good enough
_EVEN_MINUTES = 3  # whole minutes with the same number of rows that show the rows to be even
_RUSH = 1.7  # times the middle speed
_RUSH_LEAST_S = 10.0
_RUSH_EDGE_S = 12.0
_RUSH_EDGE = 0.5  # of the middle speed, gained within _RUSH_EDGE_S: 2 m/s2 at 100 kt for an aircraft in cruise
_BASE_S, _BASE_ROWS = 2.0, 3
_STEADY = 1.4  # speeds that differ by less than this factor are those of one turn
_COARSEST_S = 5.0
_FEWEST_POSITIONS = 30  # fewer may have few decimals by chance
_COARSE_DECIMALS = {3: 111.0, 2: 1_110.0, 1: 11_100.0, 0: 111_000.0}
_CLIMBING_MPS = 1.5
_CLIMB_BASE_S = 20.0
_FEWEST_CLIMBS = 10
_AIRSPEED_FACTORS = (0.5, 1.7)  # ground speed over airspeed: a wind of half the airspeed is the most that is flown in


def with_clock_in_seconds(record: RawRecord) -> RawRecord:
    """Return the record with times in seconds where the file names no unit and only another one makes a flight."""
    if not record.time_unit_open or len(record.time_s) < _FEWEST_ROWS:
        return record
    speed = _middle_speed_mps(record)
    if speed is None or SLOWEST_MPS <= speed <= FASTEST_MPS:
        return record
    for name, factor in _CLOCK_UNITS:
        if SLOWEST_MPS <= speed / factor <= FASTEST_MPS:
            record = replace(record, time_s=record.time_s * factor)
            column = listed(record.columns_used[:1])
            record.note(
                "clock_unit",
                f'The times of column "{column}" make a flight as {name} only and were read so: as seconds it would '
                f"have gone at {speed / MPS_PER_KNOT:,.0f} kt.",
                on_first_screen=True,
            )
            return record
    return record


def with_rows_spread(record: RawRecord) -> RawRecord:
    """Return the record, in order of time, with rows that share a time to the minute spread over it."""
    times, counts = np.unique(record.time_s, return_counts=True)
    repeated = len(record.time_s) - len(times)
    if len(times) < 3 or repeated < _SHARED * len(record.time_s):
        return record
    steps = np.diff(times)
    unit_s = float(np.median(steps))
    if unit_s < _LEAST_SHARED_STEP_S:
        return record
    inner = counts[1:-1]
    even = np.allclose(steps, unit_s) and np.allclose(times / unit_s, np.round(times / unit_s))
    per_unit = int(np.median(inner))
    if even and len(inner) >= _EVEN_MINUTES and np.all(np.abs(inner - per_unit) <= 1):
        record = replace(record, time_s=_spread(times, counts, unit_s, per_unit))
        record.note(
            "times_spread",
            f"The times go forward only every {unit_s:.0f} s; the {per_unit} {record.rows} of each step were spread "
            f"evenly over it. Times are good to about {max(1.0, unit_s / per_unit):.0f} s.",
            on_first_screen=True,
        )
        return record
    record.note(
        "rows_share_times",
        f"{record.count_of(repeated, 'shares its', 'share their')} time with another, and the times go forward only "
        f"every {unit_s:.0f} s: nothing can be judged. Export the recording with seconds in its times.",
        not_judged=("everything",),
    )
    return record


def _spread(times: FloatArray, counts: IntArray, unit_s: float, per_unit: int) -> FloatArray:
    parts = []
    for number, (start, count) in enumerate(zip(times.tolist(), counts.tolist(), strict=True)):
        step = unit_s / max(count, per_unit)
        offset = unit_s - count * step if number == 0 else 0.0  # the first rows stand at the end of their minute
        parts.append(start + offset + step * np.arange(count))
    return np.concatenate(parts)


def note_implausible(record: RawRecord, time_s: FloatArray) -> None:
    """Add notes on a record in order, without duplicates, whose clock, positions or heights can't be a flight's.

    Parameters
    ----------
    record : RawRecord
        Changed in place: notes; altitudes where their unit is plainly another one.
    time_s : array, shape (n,)
        Seconds after the first row.
    """
    _note_rounded_positions(record)
    _settle_altitude_unit(record, time_s)
    if len(time_s) < _FEWEST_ROWS or float(np.median(np.diff(time_s))) > _COARSEST_S:
        return
    base = _base_speeds(record, time_s)
    if base is None:
        return
    middle_s, east_mps, north_mps = base
    speed = np.hypot(east_mps, north_mps)
    if _note_too_fast(record, middle_s, east_mps, north_mps) or _note_rush(record, middle_s, speed):
        return
    if not _note_against_airspeed(record, time_s, middle_s, speed):
        _note_too_slow(record, speed)


def _steps_m(record: RawRecord) -> tuple[FloatArray, FloatArray]:
    """Return steps to the east and north between rows; nan where a position is missing."""
    north = np.diff(record.latitude_deg) * METRES_PER_DEGREE
    east = np.diff(record.longitude_deg)
    east = (np.mod(east + 180.0, 360.0) - 180.0) * METRES_PER_DEGREE * np.cos(np.radians(record.latitude_deg[1:]))
    return east, north


def _middle_speed_mps(record: RawRecord) -> float | None:
    on_earth = np.isfinite(record.time_s) & (np.abs(record.latitude_deg) <= 90.0)
    on_earth &= np.abs(record.longitude_deg) <= 360.0
    record = record.chosen(on_earth)
    steps = np.diff(record.time_s)
    moved = np.hypot(*_steps_m(record))
    with np.errstate(divide="ignore", invalid="ignore"):
        speed = moved / np.abs(steps)
    speed = speed[np.isfinite(speed) & (moved > 1.0) & (steps != 0.0)]
    return float(np.median(speed)) if len(speed) >= 3 else None


def _base_speeds(record: RawRecord, time_s: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray] | None:
    """Return moments and ground velocities (east, north) over stretches of a few rows, one after the other."""
    east, north = (np.concatenate(([0.0], np.cumsum(steps))) for steps in _steps_m(record))
    base_s = max(_BASE_S, _BASE_ROWS * float(np.median(np.diff(time_s))))
    ticks = np.unique(np.searchsorted(time_s, np.arange(0.0, float(time_s[-1]), base_s)))
    if len(ticks) < 10:
        return None
    interval = np.diff(time_s[ticks])
    good = interval <= 3.0 * base_s
    middle = 0.5 * (time_s[ticks][1:] + time_s[ticks][:-1])
    return middle[good], (np.diff(east[ticks]) / interval)[good], (np.diff(north[ticks]) / interval)[good]


def _note_too_fast(record: RawRecord, middle_s: FloatArray, east_mps: FloatArray, north_mps: FloatArray) -> bool:
    velocity = east_mps + 1j * north_mps
    step_s = np.diff(middle_s)
    turned = np.angle(velocity[1:] * np.conj(velocity[:-1]))
    speed = np.maximum(np.abs(velocity), 1e-3)
    steady = (speed[1:] < _STEADY * speed[:-1]) & (speed[:-1] < _STEADY * speed[1:])
    steep = (np.abs(np.diff(velocity)) / step_s > STEEPEST_MPS2) & steady
    # three steps the same way round: bad positions throw the path to one side and back
    side = np.where(steep, np.sign(turned), 0.0)
    three = np.zeros(len(side), dtype=bool)
    for way in (-1.0, 1.0):
        run = (side[2:] == way) & (side[1:-1] == way) & (side[:-2] == way)
        three[2:] |= run
        three[1:-1] |= run
        three[:-2] |= run
    steep_s = float(np.sum(step_s[three]))
    if steep_s <= LONGEST_STEEP_S:
        return False
    record.note(
        "clock_too_fast",
        f"For {steep_s:.0f} s the flight would have turned or accelerated with over "
        f"{STEEPEST_MPS2 / 9.80665:.0f} g, at "
        f"{float(np.median(np.hypot(east_mps, north_mps))) / MPS_PER_KNOT:.0f} kt in the middle: its clock runs too "
        "slowly, or its positions are not those of one aircraft. Record the flight in real time; if the times have "
        "another unit, name it with --columns, as elapsed_min=NAME.",
        not_judged=("manoeuvre", "speed"),
    )
    return True


def _note_rush(record: RawRecord, middle_s: FloatArray, speed: FloatArray) -> bool:
    """Note stretches at a multiple of the speed that begin and end at once: a simulator's clock at another rate."""
    flying = speed > FLYING_MPS
    if np.count_nonzero(flying) < 20:
        return False
    usual = float(np.median(speed[flying]))
    fast = np.concatenate(([False], speed > _RUSH * usual, [False]))
    starts, ends = np.flatnonzero(fast[1:] & ~fast[:-1]), np.flatnonzero(~fast[1:] & fast[:-1])
    for start, end in zip(starts.tolist(), ends.tolist(), strict=True):
        lasts_s = float(middle_s[end - 1] - middle_s[start]) + _BASE_S
        if lasts_s < _RUSH_LEAST_S or not (
            _jumps(middle_s, speed, start, usual) and _jumps(middle_s, speed, end, usual)
        ):
            continue
        times = float(np.median(speed[start:end])) / usual
        record.note(
            "clock_rate",
            f"From {clock(float(middle_s[start]))} to {clock(float(middle_s[end - 1]))} the flight goes "
            f"{times:.1f} times as fast as before and after, and changes at once: a clock that ran at another rate, as "
            "a simulator's may. Method, turns, timing, intercept and speed are not assessed; record in real time.",
            not_judged=("manoeuvre", "speed"),
        )
        return True
    return False


def _jumps(middle_s: FloatArray, speed: FloatArray, place: int, usual: float) -> bool:
    """Return whether the speed changes within seconds at an edge; the record's own ends count as edges."""
    if place <= 1 or place >= len(speed) - 1:
        return True
    near = np.abs(middle_s - 0.5 * (middle_s[place - 1] + middle_s[place])) <= 0.5 * _RUSH_EDGE_S
    return float(np.ptp(speed[near])) > _RUSH_EDGE * usual


def _note_against_airspeed(record: RawRecord, time_s: FloatArray, middle_s: FloatArray, speed: FloatArray) -> bool:
    for name, words in (("tas_mps", "true airspeed"), ("ias_mps", "indicated airspeed")):
        if name not in record.sensors:
            continue
        recorded = record.sensors[name][np.clip(np.searchsorted(time_s, middle_s), 0, len(time_s) - 1)]
        good = np.isfinite(recorded) & (recorded > FLYING_MPS) & (speed > FLYING_MPS)
        if np.count_nonzero(good) < 20:
            continue
        ratio = float(np.median(speed[good] / recorded[good]))
        if _AIRSPEED_FACTORS[0] <= ratio <= _AIRSPEED_FACTORS[1]:
            return False
        record.note(
            "clock_against_airspeed",
            f"The positions go {ratio:.1f} times as fast as the recorded {words}: the clock or the unit of the "
            "airspeed is another one. If it is the airspeed, name its unit with --columns, as "
            f"{name.removesuffix('_mps')}_kmh={record.sensor_columns.get(name, 'NAME')}.",
            not_judged=("manoeuvre", "speed"),
        )
        return True
    return False


def _note_too_slow(record: RawRecord, speed: FloatArray) -> None:
    north_m = float(np.ptp(record.latitude_deg)) * METRES_PER_DEGREE
    if north_m > 5_000.0 and float(np.quantile(speed, 0.9)) < SLOWEST_MPS:
        record.note(
            "clock_too_slow",
            f"Nine tenths of the flight are slower than {float(np.quantile(speed, 0.9)) / MPS_PER_KNOT:.0f} kt over "
            "the ground: its clock runs too fast, or this is no flight of an aeroplane. If the times have another "
            "unit, name it with --columns, as elapsed_ms=NAME.",
            not_judged=("manoeuvre", "speed"),
        )


def _note_rounded_positions(record: RawRecord) -> None:
    both = np.concatenate((record.latitude_deg, record.longitude_deg))
    if len(both) < 2 * _FEWEST_POSITIONS or not (np.ptp(record.latitude_deg) and np.ptp(record.longitude_deg)):
        return
    for decimals in (0, 1, 2, 3):
        scaled = both * 10.0**decimals
        if np.max(np.abs(scaled - np.round(scaled))) > 1e-6 * 10.0**decimals:
            continue
        step_m = _COARSE_DECIMALS[decimals]
        if decimals == 3:
            record.note(
                "positions_rounded",
                f"Positions have 3 decimals of a degree, steps of {step_m:.0f} m: distances from course and limits are "
                "no better than that. Export them with 5 decimals or more.",
                on_first_screen=True,
                not_judged=("manoeuvre",),
            )
        else:
            record.note(
                "positions_too_coarse",
                f"Positions have {decimals} decimals of a degree, steps of {step_m / 1000.0:.0f} km: nothing can be "
                "judged. Export them with 5 decimals or more.",
                not_judged=("everything",),
            )
        return


def _settle_altitude_unit(record: RawRecord, time_s: FloatArray) -> None:
    """Hold the altitudes against the recorded vertical speed: feet and metres differ by a factor of three."""
    kind, altitude = record.altitude_kind, record.altitude_m
    rate = record.sensors.get("vertical_speed_mps")
    if kind is None or altitude is None or rate is None:
        return
    ratio = _climb_ratio(time_s, altitude, rate)
    if ratio is None:
        return
    column = record.altitudes[kind][1]
    for words, other, factor in (("metres", "feet", 1.0 / METRES_PER_FOOT), ("feet", "metres", METRES_PER_FOOT)):
        # read as `other`, the altitudes change `factor` times too little
        if abs(ratio * factor - 1.0) > 0.12:
            continue
        if kind in record.open_units:
            record.altitudes[kind] = (altitude * factor, column)
            record.open_units.discard(kind)
            text = f'The vertical speed shows the altitudes of column "{column}" to be in {words}; they were read so.'
            record.note("altitude_unit_found", text, on_first_screen=True)
            return
        record.note(
            "altitude_unit_contradicted",
            f'The altitudes of column "{column}", read in {other}, change {ratio:.2f} times as fast as the recorded '
            f"vertical speed says; in {words} they would fit. If they are, say so with --columns "
            f"altitude_{'m' if words == 'metres' else 'ft'}=NAME.",
            not_judged=("altitudes",),
        )
        return


def _climb_ratio(time_s: FloatArray, altitude: FloatArray, rate: FloatArray) -> float | None:
    ticks = np.unique(np.searchsorted(time_s, np.arange(0.0, float(time_s[-1]), _CLIMB_BASE_S)))
    if len(ticks) < 3:
        return None
    interval = np.diff(time_s[ticks])
    known = np.where(np.isfinite(rate), rate, 0.0)
    climbed = np.concatenate(([0.0], np.cumsum(0.5 * (known[1:] + known[:-1]) * np.diff(time_s))))
    asked = np.diff(climbed[ticks]) / interval
    found = np.diff(altitude[ticks]) / interval
    good = np.isfinite(found) & (np.abs(asked) > _CLIMBING_MPS) & (interval < 2.0 * _CLIMB_BASE_S)
    if np.count_nonzero(good) < _FEWEST_CLIMBS:
        return None
    return float(np.median(found[good] / asked[good]))


#: what a column's name says of its unit of speed
SPEED_UNIT_NAMED = re.compile(r"kt|knot|kn\b|m/s|mps|km|mph", re.IGNORECASE)
