"""From raw rows to a checked track: order, duplicates, impossible rows; every change is said in a quality note.

What is removed here is impossible, not merely noisy: noise of metres is the business of the motion step.
"""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np

from analyzer.errors import TrackFileError
from analyzer.given import (
    HIGHEST_ALTITUDE_M,
    HIGHEST_SETTING_HPA,
    LARGEST_READING,
    LONGEST_RECORD_S,
    LOWEST_ALTITUDE_M,
    LOWEST_SETTING_HPA,
    SEPARATE_FLIGHTS_S,
    Track,
    longest_stretch,
)
from analyzer.reading.impossible_positions import without_jumps, without_stale_positions
from analyzer.reading.plausibility import note_implausible, with_clock_in_seconds, with_rows_spread
from analyzer.reading.record import RawRecord
from analyzer.reading.unit_crosscheck import compare_with_positions
from analyzer.reading.wording import counted

GAP_MEDIANS = 5.0  # an interval is a gap when it is longer than this many median intervals
GAP_S = 5.0  # ... and longer than this
EARLIEST_S = 315_532_800.0  # 1980-01-01, before any satellite receiver
LATEST_S = 4_102_444_800.0  # 2100-01-01
_FARTHEST_TIME_S = 9e9  # microseconds are exact in a float up to here, the year 2255


def checked_track(record: RawRecord) -> Track:
    """Return a track of the rows that can be used.

    Rows without a readable time or position are left out; rows are put in order of time; of rows at one time the first
    is kept; single positions that would need more than 1000 kt both to reach and to leave are left out.

    Parameters
    ----------
    record : RawRecord
        As the format's reader found it.

    Raises
    ------
    TrackFileError
        Where no time can be read, latitude and longitude are swapped, or fewer than two rows can be used.
    """
    total = len(record.time_s)
    if total == 0:
        raise TrackFileError(f"{record.source}: holds no {record.rows}; a track needs at least two")
    if not np.any(np.isfinite(record.time_s)):
        raise TrackFileError(
            f"{record.source}: none of {record.count_of(total)} has a readable time; a track needs one with each "
            "position, as 2024-01-13T09:00:00Z"
        )
    _refuse_swapped(record)
    record = with_clock_in_seconds(record)
    record = _usable_rows(record)
    record = _in_order(record)
    record = _one_flight(record)
    record = with_rows_spread(record)
    record = _one_of_each_time(record)
    record = without_jumps(record)
    record = without_stale_positions(record)
    if len(record.time_s) < 2:
        raise TrackFileError(
            f"{record.source}: {record.count_of(len(record.time_s))} of {total:,} can be used; a track needs at least "
            f"two with time and position{_reasons(record)}"
        )
    _clean_values(record)
    _note_gaps(record)
    microseconds = np.round(record.time_s * 1e6)
    elapsed_s = (microseconds - microseconds[0]) / 1e6
    if elapsed_s[-1] > LONGEST_RECORD_S:
        raise TrackFileError(
            f"{record.source}: runs for {elapsed_s[-1] / 86_400.0:,.0f} days, which is not a single flight; "
            "cut out the flight and try again"
        )
    compare_with_positions(record, elapsed_s)
    note_implausible(record, elapsed_s)
    kind = record.altitude_kind
    return Track(
        name=record.name,
        time_s=elapsed_s,
        latitude_deg=record.latitude_deg,
        longitude_deg=record.longitude_deg,
        altitude_m=record.altitude_m,
        altitude_kind=kind,
        start=_start(record),
        sensors=record.sensors,
        columns_used=record.all_columns(),
        quality=tuple(record.notes),
        other_altitudes={other: values for other, (values, _) in record.altitudes.items() if other != kind},
        altimeter_setting_hpa=record.setting_hpa,
        open_altitude_units=frozenset(record.open_units),
    )


def _start(record: RawRecord) -> datetime | None:
    """Return the first moment in UTC, None where it is not known or not credible."""
    first = float(record.time_s[0])
    if not record.has_date:
        return None
    if not EARLIEST_S <= first <= LATEST_S:
        record.note("date_not_credible", "The flight's date lies before 1980 or after 2099; it is taken as not known.")
        return None
    return datetime(1970, 1, 1, tzinfo=UTC) + timedelta(microseconds=round(first * 1e6))


def _reasons(record: RawRecord) -> str:
    return " (" + " ".join(note.text for note in record.notes[:3]) + ")" if record.notes else ""


def _refuse_swapped(record: RawRecord) -> None:
    latitude, longitude = record.latitude_deg, record.longitude_deg
    both = np.isfinite(latitude) & np.isfinite(longitude)
    swapped = both & (np.abs(latitude) > 90.0) & (np.abs(latitude) <= 180.0) & (np.abs(longitude) <= 90.0)
    if int(np.count_nonzero(swapped)) > 0.5 * int(np.count_nonzero(both)):
        raise TrackFileError(
            f"{record.source}: latitudes lie beyond 90 degrees and longitudes do not: the two look swapped; "
            "correct the file, or for a table name them with --columns latitude=...,longitude=..."
        )


def _usable_rows(record: RawRecord) -> RawRecord:
    longitude = record.longitude_deg
    east = (longitude > 180.0) & (longitude < 360.0)
    if np.any(east):
        longitude = np.where(east, longitude - 360.0, longitude)
        record = replace(record, longitude_deg=longitude)
        record.note("longitude_beyond_180", "Longitudes are counted 0 to 360 east; they are read as -180 to 180.")
    timed = np.abs(record.time_s) < _FARTHEST_TIME_S  # also false for nan
    # microseconds: what a float holds of the seconds since 1970
    time_s = np.round(np.where(timed, record.time_s, np.nan) * 1e6) / 1e6
    record = replace(record, time_s=time_s)
    latitude = record.latitude_deg
    missing = ~(np.isfinite(latitude) & np.isfinite(longitude))
    impossible = ~missing & ((np.abs(latitude) > 90.0) | (np.abs(longitude) > 180.0))
    unset = (latitude == 0.0) & (longitude == 0.0)  # what a receiver without a fix writes
    for code, rows, text in (
        ("rows_without_time", ~timed, "no readable time"),
        ("rows_without_position", timed & missing, "no readable position"),
        ("impossible_positions", timed & impossible, "a position that is not on Earth"),
        ("unset_positions", timed & unset, "latitude and longitude both exactly 0"),
    ):
        count = int(np.count_nonzero(rows))
        if count:
            record.note(code, f"{record.count_of(count, 'has', 'have')} {text}: left out.")
    good = timed & ~missing & ~impossible & ~unset
    return record if bool(np.all(good)) else record.chosen(good)


def _in_order(record: RawRecord) -> RawRecord:
    steps = np.diff(record.time_s)
    back = int(np.count_nonzero(steps < 0))
    if not back:
        return record
    record = _one_of_overlapping_parts(record)
    back = int(np.count_nonzero(np.diff(record.time_s) < 0))
    if not back:
        return record
    record.note(
        "time_goes_back", f"Time goes back at {counted(back, 'place')}; {record.rows} were put in order of time."
    )
    return record.chosen(np.argsort(record.time_s, kind="stable"))


def _one_of_overlapping_parts(record: RawRecord) -> RawRecord:
    """Keep the longest of the file's tracks and those that do not run at the same time as it."""
    if record.part is None or len(np.unique(record.part)) < 2:
        return record
    parts, inverse, counts = np.unique(record.part, return_inverse=True, return_counts=True)
    first = np.full(len(parts), np.inf)
    last = np.full(len(parts), -np.inf)
    np.minimum.at(first, inverse, record.time_s)
    np.maximum.at(last, inverse, record.time_s)
    longest = int(np.argmax(counts))
    margin_s = 10.0
    overlapping = (first < last[longest] - margin_s) & (last > first[longest] + margin_s)
    overlapping[longest] = False
    if not np.any(overlapping):
        return record
    left_out = overlapping[inverse]
    kept = record.chosen(~left_out)
    record.note(
        "tracks_at_the_same_time",
        f"{counted(int(np.count_nonzero(overlapping)), 'track')} of the file run at the same time as the longest one "
        f"and were left out ({record.count_of(int(np.count_nonzero(left_out)))}).",
    )
    return kept


def _one_flight(record: RawRecord) -> RawRecord:
    """Keep the stretch with most rows where hours of nothing lie between stretches."""
    kept, parts = longest_stretch(record.time_s)
    if parts == 1:
        return record
    left_out = len(record.time_s) - (kept.stop - kept.start)
    record.note(
        "several_flights",
        f"Pauses of over {SEPARATE_FLIGHTS_S / 3600:.0f} hours divide the file into {parts:,} parts; the one "
        f"with most {record.rows} is assessed, {record.count_of(left_out)} left out.",
    )
    return record.chosen(np.arange(kept.start, kept.stop))


def _one_of_each_time(record: RawRecord) -> RawRecord:
    """Keep the first row of each moment: with clocks cut to whole seconds it is the nearest to that second."""
    if len(record.time_s) < 2:
        return record
    again = np.concatenate(([False], np.diff(np.round(record.time_s * 1e6)) <= 0))
    count = int(np.count_nonzero(again))
    if not count:
        return record
    record.note(
        "duplicate_times",
        f"{record.count_of(count, 'repeats', 'repeat')} the time of the one before: the first was kept.",
    )
    return record.chosen(~again)


def _clean_values(record: RawRecord) -> None:
    """Replace impossible altitudes and readings by nan; drop what holds nothing."""
    _clean_altitudes(record)
    for name in list(record.sensors):
        values = record.sensors[name]
        good = np.isfinite(values) & (np.abs(values) <= LARGEST_READING)
        if name.endswith("_mps") and name != "vertical_speed_mps":
            good &= values >= 0.0
        if not np.any(good):
            del record.sensors[name]
            continue
        values = np.where(good, values, np.nan)
        if name in ("track_true_deg", "heading_true_deg", "heading_magnetic_deg"):
            values = np.mod(values, 360.0)
            values = np.where(values >= 360.0, 0.0, values)
        record.sensors[name] = values


def _clean_altitudes(record: RawRecord) -> None:
    for kind, (altitude, column) in list(record.altitudes.items()):
        wrong = ~np.isfinite(altitude) | (altitude > HIGHEST_ALTITUDE_M) | (altitude < LOWEST_ALTITUDE_M)
        beyond = int(np.count_nonzero(wrong & np.isfinite(altitude)))
        if beyond and kind == record.altitude_kind:
            record.note(
                "impossible_altitudes", f"{counted(beyond, 'altitude is', 'altitudes are')} impossible: left out."
            )
        record.altitudes[kind] = (np.where(wrong, np.nan, altitude), column)
        if bool(np.all(wrong)):
            del record.altitudes[kind]
    if record.setting_hpa is not None:
        setting = record.setting_hpa
        possible = (setting >= LOWEST_SETTING_HPA) & (setting <= HIGHEST_SETTING_HPA)
        record.setting_hpa = np.where(possible, setting, np.nan) if np.any(possible) else None
    if not record.altitudes:
        text = "The recording holds no altitudes that can be used; altitude limits are not assessed."
        record.note("no_altitude", text, on_first_screen=True)


def _note_gaps(record: RawRecord) -> None:
    steps = np.diff(record.time_s)
    median = float(np.median(steps))
    gaps = steps[steps > max(GAP_S, GAP_MEDIANS * median)]
    if len(gaps):
        record.note(
            "gaps",
            f"The recording has {counted(len(gaps), 'gap')}, the longest of {float(np.max(gaps)):.0f} s, at a median "
            f"interval of {median:.1f} s.",
        )
