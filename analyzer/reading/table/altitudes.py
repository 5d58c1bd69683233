"""Altitude columns of a table: all kinds it holds, with what their names leave open, and the altimeter's setting."""

from collections.abc import Mapping, Sequence
from typing import Protocol

import numpy as np

from analyzer.given import HIGHEST_SETTING_HPA, LOWEST_SETTING_HPA, RecordedAltitude
from analyzer.reading.record import RawRecord
from analyzer.reading.table.column_vocabulary import UNITS
from analyzer.reading.table.columns import UsedColumn
from analyzer.reading.wording import listed, plain
from analyzer.units import METRES_PER_FOOT, FloatArray

#: the one name that means the altimeter without saying so
_EXACT_NAME = "altitude_ft"
_KINDS: dict[str, RecordedAltitude] = {
    "altitude_indicated": "indicated",
    "altitude_pressure": "pressure",
    "altitude_geometric": "geometric",
    "altitude_ellipsoidal": "ellipsoidal",
    "altitude": "unstated",
}
_INCHES_BELOW = 100.0  # settings smaller than this are inches of mercury
#: two columns of one kind that differ by more than this in the middle contradict each other; rounding does not
CONTRADICTION_M = 100.0 * METRES_PER_FOOT


class Columns(Protocol):
    """What gives a column's values."""

    def quantity(self, column: UsedColumn) -> tuple[FloatArray, str | None]:
        """Return a column in SI, and the unit that it names anywhere."""


def add_altitudes(record: RawRecord, used: Mapping[str, Sequence[UsedColumn]], table: Columns) -> None:
    """Add the altitudes of all kinds, the settings, and notes on what was assumed or refused."""
    _add_settings(record, used, table)
    for meaning, kind in _KINDS.items():
        for column in used.get(meaning, ()):
            exact = kind == "unstated" and column.name.strip().lower() == _EXACT_NAME
            _add(record, column, "indicated" if exact else kind, table)
    for column in used.get("altitude_barometric", ()):
        _add_barometric(record, column, table)
    above_ground = [column.name for column in used.get("altitude_above_ground", ())]
    if above_ground:
        record.note(
            "height_above_ground",
            f"Column {listed(above_ground)} holds heights above the ground, which no limit is counted from: not used "
            "as altitude.",
            on_first_screen=not record.altitudes,
        )


def _add(record: RawRecord, column: UsedColumn, kind: RecordedAltitude, table: Columns) -> None:
    values, unit = table.quantity(column)
    if not np.any(np.isfinite(values)):
        return
    name = plain(column.name)
    if kind in record.altitudes:
        earlier, earlier_name = record.altitudes[kind]
        off_m = np.abs(values - earlier)
        if np.any(np.isfinite(off_m)) and float(np.nanmedian(off_m)) > CONTRADICTION_M:
            record.note(
                "altitudes_contradict",
                f'Columns "{earlier_name}" and "{name}" both hold {kind} altitudes and differ by '
                f"{float(np.nanmedian(off_m)) / METRES_PER_FOOT:,.0f} ft in the middle; the first was used. Name the "
                "right one with --columns altitude_ft=NAME.",
                on_first_screen=True,
                not_judged=("altitudes",),
            )
        return
    record.add_altitude(values, kind, name)
    if column.meaning.unknown_unit:
        record.note(
            "altitude_unit_assumed",
            f'The unit "{plain(column.meaning.unknown_unit)}" of column "{name}" is not known; it was read as feet.',
        )
    elif unit is None and kind == "unstated":
        record.note("altitude_unit_assumed", f'Column "{name}" names no unit; it was read as feet.')
    if unit is None:
        record.open_units.add(kind)


def _add_barometric(record: RawRecord, column: UsedColumn, table: Columns) -> None:
    """Add "Baro Altitude", which one recorder corrects for its setting and the other does not.

    A recorder that writes the setting, or a pressure altitude besides, has an altimeter to set: its barometric altitude
    is what that showed. Without either it is the pressure altitude of a transponder (common practice, no document).
    """
    values, _ = table.quantity(column)
    good = values[np.isfinite(values)]
    if not len(good):
        return
    as_written = float(np.median(good)) / column.meaning.factor
    if column.meaning.unit is None and (25.0 < as_written < 33.0 or LOWEST_SETTING_HPA <= as_written <= 1085.0):
        steady = float(np.ptp(good)) / column.meaning.factor < 60.0
        if steady and record.setting_hpa is None:
            _set_settings(record, values / column.meaning.factor, plain(column.name))
        return
    has_altimeter = record.setting_hpa is not None or "pressure" in record.altitudes
    _add(record, column, "indicated" if has_altimeter else "pressure", table)
    if has_altimeter and record.altitudes.get("indicated", (None, ""))[1] == plain(column.name):
        beside = record.setting_column if record.setting_hpa is not None else "a pressure altitude"
        record.note(
            "barometric_altitude",
            f'Column "{plain(column.name)}" stands beside {beside} and was taken for what the altimeter showed. If it '
            f"counts from 1013.25 hPa, say so with --columns pressure_altitude_ft={plain(column.name)}.",
        )


def _add_settings(record: RawRecord, used: Mapping[str, Sequence[UsedColumn]], table: Columns) -> None:
    for column in used.get("setting", ())[:1]:
        values, unit = table.quantity(column)
        if unit is not None and unit in UNITS["pressure"]:
            record.setting_hpa = values
            record.setting_column = plain(column.name)
            _keep_possible(record)
        else:
            _set_settings(record, values, plain(column.name))


def _set_settings(record: RawRecord, values: FloatArray, name: str) -> None:
    """Set settings whose unit is told by their size: inches of mercury, or hPa."""
    record.setting_hpa = np.where(np.abs(values) < _INCHES_BELOW, values * UNITS["pressure"]["inhg"], values)
    record.setting_column = name
    _keep_possible(record)


def _keep_possible(record: RawRecord) -> None:
    settings = record.setting_hpa
    assert settings is not None
    possible = (settings >= LOWEST_SETTING_HPA) & (settings <= HIGHEST_SETTING_HPA)
    record.setting_hpa = np.where(possible, settings, np.nan) if np.any(possible) else None
