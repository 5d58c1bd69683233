"""Which options of an assessment a lesson may carry, and what was wrong with them before a worker meets it."""

from collections.abc import Mapping
from typing import Any

from analyzer.errors import DeskError
from analyzer.run.commands.options import TOLERANCE_SETS

#: keyword arguments of `analyzer.assess`; none of them may be the path of a file
_NAMES = (
    "altimeter_setting",
    "temperature_c",
    "station_elevation_ft",
    "position_sigma_m",
    "altitude_sigma_ft",
    "wind",
    "forecast_wind",
    "brief_wind",
    "tolerances",
    "reversal_expected",
    "columns",
)
_NUMBERS = ("station_elevation_ft", "position_sigma_m", "altitude_sigma_ft")
_LONGEST = 400


def checked_options(options: Mapping[str, Any]) -> dict[str, Any]:
    """Return options as a lesson keeps them: empty ones left out, numbers as numbers.

    Parameters
    ----------
    options : mapping
        altimeter_setting, temperature_c, wind, forecast_wind, brief_wind, reversal_expected, columns: text as the
        command takes it; station_elevation_ft, position_sigma_m, altitude_sigma_ft: numbers, or text that is one;
        tolerances: the name of one of the sets.

    Raises
    ------
    DeskError, OptionError
        One line: which option, what is wrong, what would be right.
    """
    kept: dict[str, Any] = {}
    for name, value in options.items():
        if name not in _NAMES:
            raise DeskError(f"option {name[:40]!r}: is not known here. Expected {', '.join(_NAMES)}")
        if value is None or value == "":
            continue
        if name in _NUMBERS:
            kept[name] = _number(name, value)
        elif isinstance(value, str) or (isinstance(value, int | float) and not isinstance(value, bool)):
            kept[name] = str(value).strip()
        else:
            raise DeskError(f"{name}: is not a text")
        if isinstance(kept[name], str) and len(kept[name]) > _LONGEST:
            raise DeskError(f"{name}: {len(kept[name]):,} letters, at most {_LONGEST} are kept")
    if kept.get("tolerances", TOLERANCE_SETS[0]) not in TOLERANCE_SETS:
        raise DeskError(f"tolerances: is not a set. Expected {', '.join(TOLERANCE_SETS)}")
    _try_out(kept)
    return kept


def _number(name: str, value: Any) -> float:
    try:
        return float(str(value).replace(",", "."))
    except ValueError as error:
        raise DeskError(f"{name}: {str(value)[:40]!r} is not a number") from error


def _try_out(kept: Mapping[str, Any]) -> None:
    from analyzer.run.call_options import options_from, parsed_columns

    if "columns" in kept:
        parsed_columns(kept["columns"])
    options_from(**{name: value for name, value in kept.items() if name != "columns"})
