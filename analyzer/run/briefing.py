"""From the words of the `brief` command to the sheet."""

import math
from pathlib import Path
from typing import Any, get_args

from analyzer.errors import OptionError
from analyzer.given import FlownAs, Procedure, Wind
from analyzer.run.call_options import parsed_wind
from analyzer.units import KELVIN_AT_0_C, MPS_PER_KNOT

SLOWEST_KT, FASTEST_KT = 30.0, 400.0
COLDEST_C, WARMEST_C = -80.0, 60.0


More = tuple[float | None, str | None, float | None]


def brief_procedure(procedure: Path, output: Path | None, wind: str, tas_kt: float, more: More) -> str:
    """Write a briefing sheet and return a line for the terminal.

    Parameters
    ----------
    procedure, output : path
    wind : str
        As "240/18".
    tas_kt : float
    more : tuple
        Arrival track in degrees magnetic, method, temperature in degrees Celsius; None for what is not given.

    Raises
    ------
    OptionError
        For a value out of its range, named by its option.
    """
    from analyzer.shown import write_briefing

    return write_briefing(procedure, output, **_question(wind, tas_kt, more))


def sheet_of(procedure: Procedure, wind: str, tas_kt: float, more: More) -> str:
    """Return the briefing sheet of a procedure as a page; parameters and errors as `brief_procedure`."""
    from analyzer.shown import briefing_of

    return briefing_of(procedure, **_question(wind, tas_kt, more))


def chart_procedure(procedure: Path, output: Path | None, wind: str | None, tas_kt: float | None, more: More) -> str:
    """Write a chart, with what to fly where anything of it is given, and return a line for the terminal.

    Parameters and errors as of `brief_procedure`.
    """
    from analyzer.shown import write_chart

    if wind is None and tas_kt is None and more == (None, None, None):
        return write_chart(procedure, output)
    question = _question(wind or "0/0", SLOWEST_KT if tas_kt is None else tas_kt, more)
    if tas_kt is None:
        del question["tas_mps"]
    return write_chart(procedure, output, **question)


def _question(wind: str, tas_kt: float, more: More) -> dict[str, Any]:
    arrival_deg, method, temperature_c = more
    if not SLOWEST_KT <= tas_kt <= FASTEST_KT:
        raise OptionError(f"--tas: {tas_kt:g}; expected {SLOWEST_KT:.0f} to {FASTEST_KT:.0f} knots")
    if arrival_deg is not None and not (math.isfinite(arrival_deg) and 0.0 <= arrival_deg <= 360.0):
        raise OptionError(f"--arrival: {arrival_deg:g}; expected a magnetic track, 0 to 360 degrees")
    if temperature_c is not None and not COLDEST_C <= temperature_c <= WARMEST_C:
        raise OptionError(f"--temperature-c: {temperature_c:g}; expected {COLDEST_C:.0f} to {WARMEST_C:.0f}")
    methods = [name for name in get_args(FlownAs) if name != "other"]
    if method is not None and method not in methods:
        raise OptionError(f'--method: "{method[:40]}"; expected one of {", ".join(methods)}')
    parsed_wind(wind)  # a wrong one is refused before the file is read

    def in_this_wind(read: Procedure) -> Wind | None:
        blown = parsed_wind(wind, read.variation_deg)
        return None if blown.speed_mps == 0.0 else blown

    return {
        "tas_mps": tas_kt * MPS_PER_KNOT,
        "wind": in_this_wind,
        "arrival_true_deg": lambda read: None if arrival_deg is None else (arrival_deg + read.variation_deg) % 360.0,
        "method": lambda read: _fitting(read, method),
        "temperature_k": None if temperature_c is None else temperature_c + KELVIN_AT_0_C,
    }


def _fitting(procedure: Procedure, method: str | None) -> FlownAs | None:
    """Return the method where the procedure has it."""
    if method is None:
        return None
    fits = ("hold",) if procedure.is_hold else ("teardrop",) if procedure.reversal == "teardrop" else None
    if (fits is None and method == "hold") or (fits is not None and method not in fits):
        raise OptionError(f"--method: a {procedure.reversal} is not flown as {method}")
    return method  # type: ignore[return-value]
