"""The clearance file: what was asked of one flight. All keys are optional; options of the command say the same."""

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, time
from pathlib import Path
from typing import Any, cast, get_args

from analyzer.errors import ClearanceFileError
from analyzer.files import parsed_toml, read_small_text
from analyzer.given import AltitudeRule, Clearance, CrossingAltitude, HoldClearance, Landing, ReversalAsked
from analyzer.reading.wording import plain, shown
from analyzer.units import METRES_PER_FOOT, likely_words

#: a moment this far outside the recording was hardly meant: local time for UTC, or another day's clearance. Own choice.
_FARTHEST_OUTSIDE_S = 3600.0
_DAY_S = 86_400.0
_UTC = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)(?::([0-5]\d))?\s*[Zz]?")
_OF_RECORDING = re.compile(r"\+(?:(\d{1,3}):)?(\d{1,3}):([0-5]\d)")
_CROSSING = re.compile(r"(?:(at or above|at or below|at) )?(\d{1,2},?\d{3}|\d{1,5})(?: ?ft)?")
_A_MOMENT = 'UTC as "15:42:00", or minutes and seconds of the recording as "+32:10"'


@dataclass(frozen=True)
class ClearanceAsked:
    """A checked clearance whose moments are not yet those of a flight; `values` by dotted key, as they were given."""

    values: Mapping[str, Any]
    source: str | None = None


def read_clearance(path: str | Path) -> ClearanceAsked:
    """Return what a clearance file asks for.

    Raises
    ------
    ClearanceFileError
        With one line for each problem; all problems of the file are in it.
    """
    source = plain(str(path), 200)
    try:
        mapping = parsed_toml(read_small_text(Path(path)))
    except OSError as error:
        reason = (error.strerror or "can't be read").lower()
        raise ClearanceFileError(f"{source}: {reason}. Expected the path of a clearance file (TOML)") from error
    except ValueError as error:
        raise ClearanceFileError(
            f"{source}: {error}. Expected a clearance file (TOML), lines like key = value"
        ) from None
    return clearance_asked(mapping, source)


def clearance_asked(
    mapping: Mapping[str, Any], source: str = "clearance", names: Mapping[str, str] | None = None
) -> ClearanceAsked:
    """Return what a mapping shaped like the file asks for; None is taken as left out.

    Parameters
    ----------
    mapping : mapping
    source : str
        What error messages begin with.
    names : mapping of str to str, optional
        What error messages call a dotted key, such as the option it was given by.

    Raises
    ------
    ClearanceFileError
        With one line for each problem.
    """
    values: dict[str, Any] = {}
    problems: list[str] = []
    hold = mapping.get("hold")
    for key, value in mapping.items():
        if value is None:
            continue
        if key != "hold":
            values[key] = value
        elif isinstance(hold, Mapping):
            values |= {f"hold.{name}": each for name, each in hold.items() if each is not None}
        else:
            problems.append(f"hold = {shown(hold)} is not a table. Expected {{ laps = 3, leave_at = ... }}")
    for key, value in values.items():
        entry = _KEYS.get(key)
        name = (names or {}).get(key, plain(key, 80))
        if entry is None:
            problems.append(f"{name} = {shown(value)} is not a known key. {_likely(key)}")
        elif not entry[0](value):
            problems.append(f"{name} = {shown(value)} is not possible. Expected {entry[1]}")
    if values.get("straight_in") is True and values.get("circling") is True:
        problems.append("straight_in and circling can't both hold. Expected one of them")
    if problems:
        raise ClearanceFileError("\n".join(f"{source}: {problem}" for problem in problems[:50]))
    return ClearanceAsked(values, source)


def merged_clearance(asked: ClearanceAsked, over: ClearanceAsked) -> ClearanceAsked:
    """Return the clearance with what `over` says in its place, key by key."""
    return ClearanceAsked({**asked.values, **over.values}, asked.source)


def clearance_of_flight(asked: ClearanceAsked, start: datetime | None, duration_s: float) -> Clearance:
    """Return the clearance with its moments in seconds after the flight's first point.

    Parameters
    ----------
    asked : ClearanceAsked
    start : datetime or None
        The flight's first moment in UTC; None where its record has no date.
    duration_s : float

    Raises
    ------
    ClearanceFileError
        For a time in UTC and a record without a date, or a moment hours from the recording.
    """
    values = asked.values

    def moment_s(key: str) -> float | None:
        if key not in values:
            return None
        try:
            return _moment_s(values[key], start, duration_s)
        except ValueError as error:
            raise ClearanceFileError(
                f"{asked.source or 'clearance'}: {key} = {shown(str(values[key]))} {error}"
            ) from None

    def scaled(key: str, factor: float) -> float | None:
        return float(values[key]) * factor if key in values else None

    landing: Landing | None = "circling" if values.get("circling") else None
    return Clearance(
        reversal=cast("ReversalAsked | None", values.get("reversal")),
        hold=HoldClearance(
            laps=values.get("hold.laps"),
            leave_at_s=moment_s("hold.leave_at"),
            altitude_m=scaled("hold.altitude_ft", METRES_PER_FOOT),
            leg_s=scaled("hold.leg_min", 60.0),
        ),
        assigned_altitude_m=scaled("assigned_altitude_ft", METRES_PER_FOOT),
        cleared_at_s=moment_s("cleared_at"),
        landing="straight in" if values.get("straight_in") else landing,
        source=asked.source,
        crossing=_crossing(values.get("crossing_altitude_ft")),
    )


def _moment_s(value: Any, start: datetime | None, duration_s: float) -> float:
    utc_s, recording_s = _parts_of_moment(value)
    if recording_s is not None:
        moment_s = recording_s
    elif start is None:
        raise ValueError(
            'needs the date and time of the track, and the track has none. Expected "+mm:ss" of the recording'
        )
    else:
        assert utc_s is not None
        start_s = start.hour * 3600.0 + start.minute * 60.0 + start.second + start.microsecond * 1e-6
        middle_s = duration_s / 2.0  # of the days that the time could be of, the one nearest to the flight
        moment_s = (utc_s - start_s - middle_s + _DAY_S / 2.0) % _DAY_S - _DAY_S / 2.0 + middle_s
    outside_s = max(-moment_s, moment_s - duration_s)
    if outside_s > _FARTHEST_OUTSIDE_S:
        recorded = f"{duration_s / 60:.0f} minutes"
        if start is not None:
            recorded += f" from {start:%H:%M:%S} UTC on"
        raise ValueError(
            f"lies {outside_s / 3600:.1f} hours outside the recording of {recorded}; a local time? Expected {_A_MOMENT}"
        )
    return moment_s


def _parts_of_moment(value: Any) -> tuple[float | None, float | None]:
    """Return seconds of the day in UTC or seconds of the recording; both None for what is neither."""
    if isinstance(value, time):
        value = value.replace(microsecond=0, tzinfo=None).isoformat() if value.tzinfo is None else ""
    text = value.strip() if isinstance(value, str) else ""
    if found := _UTC.fullmatch(text):
        return int(found[1]) * 3600.0 + int(found[2]) * 60.0 + int(found[3] or 0), None
    if found := _OF_RECORDING.fullmatch(text):
        return None, int(found[1] or 0) * 3600.0 + int(found[2]) * 60.0 + int(found[3])
    return None, None


def _crossing(value: Any) -> CrossingAltitude | None:
    """Return a crossing altitude given as a number, in words or as a table of the procedure file; None for neither."""
    if isinstance(value, Mapping):
        if len(value) != 1:
            return None
        ((word, feet),) = value.items()
        rule = str(word).replace("_", " ")
    elif isinstance(value, str):
        found = _CROSSING.fullmatch(value.strip().lower())
        rule, feet = (found[1] or "at", float(found[2].replace(",", ""))) if found else ("", None)
    else:
        rule, feet = "at", value
    if rule not in ("at", "at or above", "at or below") or not _ALTITUDE[0](feet):
        return None
    limit_m = float(feet) * METRES_PER_FOOT
    return CrossingAltitude(
        cast("AltitudeRule", rule),
        None if rule == "at or below" else limit_m,
        None if rule == "at or above" else limit_m,
    )


def _is_crossing(value: Any) -> bool:
    return _crossing(value) is not None


def _is_moment(value: Any) -> bool:
    return _parts_of_moment(value) != (None, None)


def _number_in(low: float, high: float) -> Callable[[Any], bool]:
    def is_fine(value: Any) -> bool:
        is_number = isinstance(value, int | float) and not isinstance(value, bool)
        return is_number and math.isfinite(value) and low <= value <= high

    return is_fine


def _is_laps(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= 100


def _is_reversal(value: Any) -> bool:
    return isinstance(value, str) and value in get_args(ReversalAsked)


def _is_bool(value: Any) -> bool:
    return isinstance(value, bool)


def _likely(key: str) -> str:
    by_name = {full.rpartition(".")[2]: full for full in _KEYS}
    near = likely_words(key.rpartition(".")[2].lower()[:80], by_name, 1)
    return f'Did you mean "{by_name[near[0]]}"?' if near else f"Known keys: {', '.join(_KEYS)}"


_ALTITUDE = (_number_in(-1500.0, 60_000.0), "feet above mean sea level, -1500 to 60000")
#: dotted key: what it may be, and the same in words
_KEYS: dict[str, tuple[Callable[[Any], bool], str]] = {
    "reversal": (_is_reversal, '"required", "not permitted" or "as charted"'),
    "hold.laps": (_is_laps, "a whole number of circuits from 1 to 100"),
    "hold.leave_at": (_is_moment, _A_MOMENT),
    "hold.altitude_ft": _ALTITUDE,
    "hold.leg_min": (_number_in(0.1, 10.0), "minutes, 0.1 to 10"),
    "assigned_altitude_ft": _ALTITUDE,
    "cleared_at": (_is_moment, _A_MOMENT),
    "crossing_altitude_ft": (_is_crossing, 'feet, or { at_or_above = 5000 }, or "at or above 5000"'),
    "straight_in": (_is_bool, "true or false"),
    "circling": (_is_bool, "true or false"),
}
