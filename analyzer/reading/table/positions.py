"""Latitudes and longitudes of a table, however they are written."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from analyzer.given import JudgedPart, QualityNote
from analyzer.reading.table.cells import as_texts
from analyzer.reading.table.columns import UsedColumn
from analyzer.reading.wording import plain
from analyzer.units import FloatArray

_TEN_MILLION = 1e7  # receivers' whole numbers of 1e-7 degrees
_CONTRADICTION_DEG = 0.01  # a kilometre: two receivers of one aircraft agree far better
_LETTERS = {"N": 1.0, "E": 1.0, "S": -1.0, "W": -1.0}
_ANGLE = re.compile(
    r"^\s*(?P<before>[NSEWnsew])?\s*(?P<sign>[+-])?(?P<degrees>\d{1,3}(?:\.\d+)?)\s*(?:[°ºd:\s]\s*(?P<minutes>\d{1,2}(?:\.\d+)?)"
    r"\s*(?:['′m:\s]\s*(?P<seconds>\d{1,2}(?:\.\d+)?)\s*)?)?[\"″'′°ºs]*\s*(?P<after>[NSEWnsew])?\s*$"
)


@dataclass
class RowPositions:
    """Degrees of the rows, nan where not readable; which columns told them; notes."""

    latitude_deg: FloatArray
    longitude_deg: FloatArray
    columns_used: list[str]
    notes: list[QualityNote] = field(default_factory=list)


def row_positions(
    used: Mapping[str, Sequence[UsedColumn]],
    cells_of: Callable[[UsedColumn], "pd.Series[str]"],
    numbers_of: Callable[[UsedColumn], FloatArray],
    decimal: str,
) -> RowPositions:
    """Return the positions of the rows.

    Parameters
    ----------
    used : mapping
        Columns for each meaning: latitude and longitude, or position.
    cells_of, numbers_of : callable
        Give a column's cells as they stand, or as numbers with nan for what is none.
    decimal : str
        The table's decimal sign.
    """
    if used.get("latitude") and used.get("longitude"):
        latitude, longitude = used["latitude"][0], used["longitude"][0]
        found = RowPositions(
            _degrees(latitude, cells_of, numbers_of, decimal),
            _degrees(longitude, cells_of, numbers_of, decimal),
            [latitude.name, longitude.name],
        )
        _with_letters(found, used, cells_of)
        _note_contradiction(found, used, cells_of, numbers_of, decimal)
    else:
        column = used["position"][0]
        found = RowPositions(*_pair(as_texts(cells_of(column)), decimal), [column.name])
    _from_whole_numbers(found)
    return found


def _degrees(
    column: UsedColumn,
    cells_of: Callable[[UsedColumn], "pd.Series[str]"],
    numbers_of: Callable[[UsedColumn], FloatArray],
    decimal: str,
) -> FloatArray:
    """Return latitudes or longitudes in degrees, written as numbers or with minutes, seconds, hemisphere."""
    values = numbers_of(column) * column.meaning.factor
    if np.any(np.isfinite(values)) or pd.api.types.is_numeric_dtype(cells_of(column)):
        return values
    return sexagesimal(as_texts(cells_of(column)).str.slice(0, 40), decimal)


def _pair(texts: "pd.Series[str]", decimal: str) -> tuple[FloatArray, FloatArray]:
    """Return latitudes and longitudes of cells such as "46.2, -101.5" or "46.2N 101.5W"."""
    texts = texts.str.slice(0, 80).str.strip(" ()[]\t\"'")
    parts = texts.str.extract(r"^(.+?)\s*[,;]\s*(.+)$" if decimal == "." else r"^(.+?)\s*;\s*(.+)$")
    if parts[0].isna().mean() > 0.5:
        parts = texts.str.extract(r"^([^\sNSns]+[NSns]?)\s+([^\s]+)$")
    latitude, longitude = (sexagesimal(as_texts(parts[place]), decimal) for place in (0, 1))
    return latitude, longitude


def _with_letters(
    found: RowPositions,
    used: Mapping[str, Sequence[UsedColumn]],
    cells_of: Callable[[UsedColumn], "pd.Series[str]"],
) -> None:
    """Use columns of N, S, E, W, which give the sign to positions that have none."""
    for name in ("latitude", "longitude"):
        columns = used.get(f"hemisphere_{name}")
        values = found.latitude_deg if name == "latitude" else found.longitude_deg
        if not columns:
            continue
        letters = as_texts(cells_of(columns[0])).str.strip().str.upper().str.slice(0, 1)
        signs = letters.map(_LETTERS).to_numpy(dtype=np.float64, na_value=np.nan)
        if np.mean(np.isfinite(signs)) < 0.9:
            continue
        largest = 90.0 if name == "latitude" else 180.0
        if np.nanmedian(np.abs(values)) > largest:  # degrees and minutes written together, as 4612.34
            degrees = np.floor(np.abs(values) / 100.0)
            values = degrees + (np.abs(values) - 100.0 * degrees) / 60.0
        values = np.where(np.isfinite(signs), np.abs(values) * signs, values)
        if name == "latitude":
            found.latitude_deg = values
        else:
            found.longitude_deg = values
        found.columns_used.append(columns[0].name)


def _note_contradiction(
    found: RowPositions,
    used: Mapping[str, Sequence[UsedColumn]],
    cells_of: Callable[[UsedColumn], "pd.Series[str]"],
    numbers_of: Callable[[UsedColumn], FloatArray],
    decimal: str,
) -> None:
    """Say that a second column of latitudes or longitudes has the flight elsewhere."""
    for name, first in (("latitude", found.latitude_deg), ("longitude", found.longitude_deg)):
        for other in used[name][1:2]:
            off = np.abs(np.abs(_degrees(other, cells_of, numbers_of, decimal)) - np.abs(first))
            off = off[np.isfinite(off)]
            if len(off) and float(np.median(off)) > _CONTRADICTION_DEG:
                text = (
                    f'Columns "{plain(used[name][0].name)}" and "{plain(other.name)}" both hold {name}s and differ by '
                    f"{float(np.median(off)):.3f} degrees in the middle: where the flight went is not sure. Name the "
                    f"right one with --columns {name}=NAME."
                )
                parts: tuple[JudgedPart, ...] = ("containment", "manoeuvre")
                found.notes.append(QualityNote("positions_contradict", text, not_judged=parts))


def _from_whole_numbers(found: RowPositions) -> None:
    """Read whole numbers of 1e-7 degrees as degrees."""
    both = np.isfinite(found.latitude_deg) & np.isfinite(found.longitude_deg)
    latitude, longitude = found.latitude_deg[both], found.longitude_deg[both]
    if not len(latitude) or np.median(np.abs(latitude)) <= 1e5:
        return
    whole = np.all(latitude == np.round(latitude)) and np.all(longitude == np.round(longitude))
    on_earth = np.max(np.abs(latitude)) <= 90.0 * _TEN_MILLION and np.max(np.abs(longitude)) <= 180.0 * _TEN_MILLION
    if whole and on_earth:
        found.latitude_deg, found.longitude_deg = found.latitude_deg / _TEN_MILLION, found.longitude_deg / _TEN_MILLION
        names = " and ".join(f'"{plain(name)}"' for name in found.columns_used[:2])
        text = f"Columns {names} hold whole numbers; they were read as ten-millionths of a degree."
        found.notes.append(QualityNote("positions_in_whole_numbers", text))


def sexagesimal(texts: "pd.Series[str]", decimal: str) -> FloatArray:
    """Return angles written with degrees, minutes, seconds and hemisphere, any of the last three left out."""
    if decimal == ",":
        texts = texts.str.replace(",", ".", regex=False)
    parts = texts.str.replace(r"\s+", " ", regex=True).str.extract(_ANGLE)  # single blanks: no backtracking over many
    degrees = pd.to_numeric(parts["degrees"], errors="coerce").to_numpy(dtype=np.float64)
    minutes = pd.to_numeric(parts["minutes"], errors="coerce").fillna(0.0).to_numpy(dtype=np.float64)
    seconds = pd.to_numeric(parts["seconds"], errors="coerce").fillna(0.0).to_numpy(dtype=np.float64)
    letter = as_texts(parts["before"].where(parts["before"].notna(), parts["after"])).str.upper()
    negative = letter.isin(["S", "W"]).to_numpy() | (parts["sign"] == "-").to_numpy(dtype=bool, na_value=False)
    values = degrees + minutes / 60.0 + seconds / 3600.0
    values = np.where((minutes < 60.0) & (seconds < 60.0), values, np.nan)
    return np.where(negative, -values, values)
