"""Options of the command and of `analyzer.assess` as people give them, checked and turned into SI."""

import math
import re
from dataclasses import replace
from datetime import UTC, datetime
from typing import cast, get_args

from analyzer.errors import OptionError
from analyzer.given import Clearance, Options, ReversalExpected, Wind, wind_from
from analyzer.units import KELVIN_AT_0_C, METRES_PER_FOOT, MPS_PER_KNOT, PASCALS_PER_HPA, PASCALS_PER_INHG

#: an altimeter setting above this is in hPa, below it in inches of mercury
SMALLEST_HPA_VALUE = 500.0
# Widest values an altimeter's setting window shows with some room, so that a slip of a digit is noticed: own choice.
LOWEST_SETTING_HPA, HIGHEST_SETTING_HPA = 900.0, 1085.0
_HUNDREDTHS_OF_INCHES = 2000.0
COLDEST_C, WARMEST_C = -80.0, 60.0
LOWEST_ELEVATION_FT, HIGHEST_ELEVATION_FT = -1500.0, 30000.0
STRONGEST_WIND_KT = 200.0
_WIND = re.compile(r"\s*(\d{1,3}(?:[.,]\d+)?)\s*°?\s*([TtMm]?)\s*[/@]\s*(\d{1,3}(?:[.,]\d+)?)\s*(?:kts?)?\s*", re.I)
#: as weather reports have it, ICAO Annex 3, Appendix 3, 4.1 (from memory): degrees true, speed, gusts, unit
_REPORTED_WIND = re.compile(r"\s*(\d{3})(\d{2,3})(?:G\d{2,3})?(KT|MPS)\s*", re.I)
_SETTING = re.compile(r"\s*(?:QNH\s*|[QA]\s*)?(\d{2,4}(?:[.,]\d+)?)\s*(?:inHg|in|hPa|mbar|mb)?\s*", re.I)
_TEMPERATURE = re.compile(r"\s*([+-]|M)?\s*(\d{1,3}(?:[.,]\d+)?)\s*°?\s*([CF])?\s*", re.I)


def options_from(
    *,
    altimeter_setting: float | str | None = None,
    temperature_c: float | str | None = None,
    station_elevation_ft: float | None = None,
    position_sigma_m: float | None = None,
    altitude_sigma_ft: float | None = None,
    wind: str | tuple[float, float] | None = None,
    forecast_wind: str | tuple[float, float] | None = None,
    brief_wind: str | tuple[float, float] | None = None,
    variation_deg: float = 0.0,
    tolerances: str = "US practical test",
    self_assessment: str | None = None,
    anonymous: bool = False,
    reversal_expected: str | None = None,
    clock: str | datetime | None = None,
    clearance: Clearance | None = None,
) -> Options:
    """Return the options in SI.

    Parameters
    ----------
    altimeter_setting : float or str, optional
        Inches of mercury, or hPa above 500; as text also "29,92", "A2992", "Q1013".
    temperature_c, station_elevation_ft : float, optional
        Temperature at a station and the station's elevation above mean sea level; the first needs the second. The
        temperature as text also "60F" or "M05".
    position_sigma_m, altitude_sigma_ft : float, optional
        1 sigma of the track's positions and altitudes, greater than zero.
    wind, forecast_wind, brief_wind : str or (float, float), optional
        "240/18", "240@18" or "24018KT": from 240 degrees true at 18 kt; "240M/18" is magnetic. A pair is degrees true
        and knots.
    variation_deg : float
        Degrees east, for a magnetic wind.
    tolerances, self_assessment, anonymous
        As `Options` says.
    reversal_expected : "required" or "not permitted", optional
        What the clearance asked for, where a reversal was to be flown, or not.
    clock : str or datetime, optional
        The moment that the report says it was made, ISO 8601; UTC where it has no zone.
    clearance : Clearance, optional
        What else was asked of the flight; `reversal_expected` goes before what it says of the reversal.

    Raises
    ------
    OptionError
        One line: which option, what is wrong, what would be right.
    """
    setting_hpa = None
    if altimeter_setting is not None:
        setting_hpa = _setting_hpa(altimeter_setting)
    if isinstance(temperature_c, str):
        temperature_c = _celsius(temperature_c)
    if temperature_c is not None:
        _check("temperature-c", temperature_c, COLDEST_C, WARMEST_C, "degrees Celsius")
        if station_elevation_ft is None:
            raise OptionError(
                "--temperature-c: needs the elevation of the station that reported it; add --station-elevation-ft"
            )
    if station_elevation_ft is not None:
        _check(
            "station-elevation-ft",
            station_elevation_ft,
            LOWEST_ELEVATION_FT,
            HIGHEST_ELEVATION_FT,
            "feet above sea level",
        )
    if position_sigma_m is not None:
        _check("position-sigma-m", position_sigma_m, 0.01, 5000.0, "metres")
    if altitude_sigma_ft is not None:
        _check("altitude-sigma-ft", altitude_sigma_ft, 0.1, 5000.0, "feet")
    if reversal_expected is not None:
        reversal_expected = reversal_expected.replace("-", " ")
    if reversal_expected is not None and reversal_expected not in get_args(ReversalExpected):
        raise OptionError(f'--reversal: "{reversal_expected[:40]}" is unknown. Expected required or not-permitted')
    expected = cast("ReversalExpected | None", reversal_expected)
    clearance = Clearance() if clearance is None else clearance
    if expected is not None:
        clearance = replace(clearance, reversal=expected)
    elif clearance.reversal in ("required", "not permitted"):
        expected = clearance.reversal
    return Options(
        altimeter_setting_hpa=setting_hpa,
        temperature_k=None if temperature_c is None else temperature_c + KELVIN_AT_0_C,
        station_elevation_m=None if station_elevation_ft is None else station_elevation_ft * METRES_PER_FOOT,
        position_sigma_m=position_sigma_m,
        altitude_sigma_m=None if altitude_sigma_ft is None else altitude_sigma_ft * METRES_PER_FOOT,
        wind=None if wind is None else parsed_wind(wind, variation_deg, "--wind"),
        forecast_wind=None if forecast_wind is None else parsed_wind(forecast_wind, variation_deg, "--forecast-wind"),
        brief_wind=None if brief_wind is None else parsed_wind(brief_wind, variation_deg, "--brief-wind"),
        tolerances=tolerances,
        self_assessment=self_assessment,
        anonymous=anonymous,
        reversal_expected=expected,
        made_at=None if clock is None else parsed_clock(clock),
        clearance=clearance,
    )


def parsed_wind(wind: str | tuple[float, float], variation_deg: float = 0.0, option: str = "--wind") -> Wind:
    """Return a wind given as "FROM/KT" (degrees true, or magnetic with an M after them) or as (degrees true, knots).

    Raises
    ------
    OptionError
        Where it is not a wind.
    """
    to_true_deg = 0.0
    if isinstance(wind, str):
        reported, parts = _REPORTED_WIND.fullmatch(wind), _WIND.fullmatch(wind)
        if reported is not None:
            from_deg, speed_kt = float(reported[1]), float(reported[2])
            if reported[3].upper() == "MPS":
                speed_kt /= MPS_PER_KNOT
        elif parts is not None:
            from_deg, speed_kt = _decimal(parts[1]), _decimal(parts[3])
            to_true_deg = variation_deg if parts[2] in ("M", "m") else 0.0
        else:
            raise OptionError(
                f'{option}: "{wind[:40]}" is not a wind. Expected FROM/KNOTS, as 240/18 (degrees true) or 240M/18, or '
                "as reported, 24018KT"
            )
    else:
        from_deg, speed_kt = wind
    _check(option.removeprefix("--"), from_deg, 0.0, 360.0, "degrees")
    _check(option.removeprefix("--"), speed_kt, 0.0, STRONGEST_WIND_KT, "knots")
    return wind_from((from_deg + to_true_deg) % 360.0, speed_kt * MPS_PER_KNOT)


def parsed_clock(clock: str | datetime) -> datetime:
    """Return a moment in UTC; one without a zone is UTC already.

    Raises
    ------
    OptionError
        Where the text is not a time.
    """
    if isinstance(clock, str):
        text = clock
        try:
            clock = datetime.fromisoformat(text.strip())
        except ValueError as error:
            raise OptionError(
                f'--clock: "{text[:40]}" is not a time. Expected ISO 8601, as 2026-05-01T12:00:00Z'
            ) from error
    return clock.replace(tzinfo=UTC) if clock.tzinfo is None else clock.astimezone(UTC)


def parsed_columns(text: str) -> dict[str, str]:
    """Return "time=Zulu,latitude=Lat" as a mapping of meaning to column.

    A column's name with a comma in it stands in quotes, `altitude_ft="alt, msl"`; `altitude_ft=#11` is the eleventh.

    Raises
    ------
    OptionError
        Where a part is not a pair, or a meaning stands twice.
    """
    columns: dict[str, str] = {}
    for part in re.findall(r"""(?:[^,"']|"[^"]*"|'[^']*'|["'])+""", text) or [text]:
        meaning, equals, column = (piece.strip() for piece in part.partition("="))
        column = column[1:-1] if len(column) > 1 and column[0] == column[-1] and column[0] in "\"'" else column
        if not equals or not meaning or not column:
            raise OptionError(
                f'--columns: "{part.strip()[:40]}" is not a pair. Expected MEANING=COLUMN, as time=Zulu,latitude=Lat; '
                "a name with a comma in quotes, or by number: altitude_ft=#11"
            )
        if meaning in columns:
            raise OptionError(f'--columns: "{meaning[:40]}" stands twice; name one column for it')
        columns[meaning] = column
    return columns


def _setting_hpa(setting: float | str) -> float:
    given = f"{setting:g}" if isinstance(setting, int | float) else f'"{str(setting)[:40]}"'
    if isinstance(setting, str):
        found = _SETTING.fullmatch(setting)
        setting = math.nan if found is None else _decimal(found[1])
        if setting >= _HUNDREDTHS_OF_INCHES and given.strip('" ')[:1] in "Aa":
            setting /= 100.0  # A2992, as reports have it
    hpa = setting if setting > SMALLEST_HPA_VALUE else setting * PASCALS_PER_INHG / PASCALS_PER_HPA
    if not LOWEST_SETTING_HPA <= hpa <= HIGHEST_SETTING_HPA:
        raise OptionError(
            f"--altimeter-setting: {given} is not an altimeter setting. Expected inches of mercury, as 29.92, or hPa, "
            "as 1013"
        )
    return hpa


def _celsius(text: str) -> float:
    found = _TEMPERATURE.fullmatch(text)
    if found is None:
        raise OptionError(
            f'--temperature-c: "{text[:40]}" is not a temperature. Expected degrees Celsius, as 15, or 60F'
        )
    value = _decimal(found[2]) * (-1.0 if found[1] in ("-", "M", "m") else 1.0)
    return (value - 32.0) / 1.8 if found[3] in ("F", "f") else value


def _decimal(text: str) -> float:
    return float(text.replace(",", "."))


def _check(option: str, value: float, low: float, high: float, unit: str) -> None:
    if not (math.isfinite(value) and low <= value <= high):
        raise OptionError(f"--{option}: {value:g} is out of range. Expected {low:g} to {high:g} {unit}")
