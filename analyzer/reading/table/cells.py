"""Cells of a table as numbers: decimal commas, thousands, units written in the cell."""

import re
from collections import Counter

import numpy as np
import pandas as pd

from analyzer.reading.table.column_names import ColumnMeaning
from analyzer.reading.table.column_vocabulary import UNITS
from analyzer.units import FloatArray

_SAMPLE = 500  # cells that show whether a column holds numbers at all
#: a number with its unit behind it, or a flight level
_WITH_UNIT = r"^\s*([+-−]?\d+(?:\.\d+)?)\s*([A-Za-z°/%µ]{1,8})\.?\s*$"


def as_texts(values: "pd.Series[str]") -> "pd.Series[str]":
    """Return cells as text, "" where missing, the same in pandas 2 and 3."""
    return values.astype(object).where(values.notna(), "").astype(str)


def numbers(values: "pd.Series[str]", decimal: str) -> FloatArray:
    """Return cells as numbers, nan for what is none."""
    if pd.api.types.is_numeric_dtype(values):
        return np.asarray(values.to_numpy(dtype=np.float64, na_value=np.nan), dtype=np.float64)
    if len(values) > _SAMPLE and not np.any(
        np.isfinite(numbers(values.dropna()[:: -(-len(values) // _SAMPLE)], decimal))
    ):
        return np.full(len(values), np.nan)  # texts through and through, as ISO 8601 times
    texts = _with_points(values.astype(str).str.strip(), decimal)
    found = pd.to_numeric(texts, errors="coerce").to_numpy(dtype=np.float64, na_value=np.nan)
    return np.asarray(found, dtype=np.float64)


def _with_points(texts: "pd.Series[str]", decimal: str) -> "pd.Series[str]":
    if decimal == ",":
        return texts.str.replace(",", ".", regex=False)
    if texts.str.contains(",", regex=False).any():
        return texts.str.replace(r"(?<=\d),(?=\d{3}(?:\D|$))", "", regex=True)  # 5,500 in quotes
    return texts


def with_units(values: "pd.Series[str]", decimal: str, meaning: ColumnMeaning) -> tuple[FloatArray, str | None]:
    """Return cells such as "5600 ft" in SI, and the unit that most of them name; None where they name none.

    Cells whose unit is of another kind are nan.
    """
    missing = np.full(len(values), np.nan)
    if pd.api.types.is_numeric_dtype(values):
        return missing, None
    texts = _with_points(as_texts(values).str.slice(0, 40).str.strip(), decimal)
    sample = texts[texts != ""].head(_SAMPLE)
    if not len(sample) or sample.str.match(_WITH_UNIT).mean() < 0.5:
        return missing, None
    parts = texts.str.extract(re.compile(_WITH_UNIT))
    units = UNITS[meaning.kind]
    names = as_texts(parts[1]).str.lower()
    factors = names.map(units).to_numpy(dtype=np.float64, na_value=np.nan)
    amounts = pd.to_numeric(parts[0], errors="coerce").to_numpy(dtype=np.float64, na_value=np.nan)
    known = Counter(name for name in names if name in units)
    if not known:
        return missing, None
    return amounts * factors, known.most_common(1)[0][0]
