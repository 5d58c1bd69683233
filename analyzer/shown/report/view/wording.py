"""Numbers as people read them: the one place where the report rounds and changes to knots, feet and nautical miles."""

import math
from datetime import datetime, timedelta

from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT, clock as minutes_and_seconds

NO_VALUE = "–"  # an en dash stands for a value that is not known
MINUS = "−"  # the minus sign proper: a hyphen breaks lines and is read out as a dash


def clock(seconds: float | None) -> str:
    """Time after the track's first moment as mm:ss, or h:mm:ss from one hour on; a dash where not known."""
    if seconds is None or not math.isfinite(seconds):
        return NO_VALUE
    return f"{MINUS if round(seconds) < 0 else ''}{minutes_and_seconds(abs(seconds))}"


def moment(start: datetime | None, seconds: float) -> str:
    """Time of day in UTC, or nothing where the track has elapsed seconds only."""
    return (start + timedelta(seconds=seconds)).strftime("%H:%M:%S UTC") if start is not None else ""


def number(value: float | None, decimals: int = 0, *, signed: bool = False) -> str:
    """Return number with thousands parted by commas and a proper minus sign; a dash where not known."""
    if value is None or not math.isfinite(value):
        return NO_VALUE
    text = f"{abs(value):,.{decimals}f}"
    if float(text.replace(",", "")) == 0.0:
        return text
    return (MINUS if value < 0 else "+" if signed else "") + text


def feet(metres: float | None, *, signed: bool = False) -> str:
    """Metres as whole feet with their unit."""
    return _with_unit(None if metres is None else metres / METRES_PER_FOOT, 0, "ft", signed)


def miles(metres: float | None, decimals: int = 2, *, signed: bool = False) -> str:
    """Metres as nautical miles with their unit."""
    return _with_unit(None if metres is None else metres / METRES_PER_NM, decimals, "NM", signed)


def knots(mps: float | None) -> str:
    """Metres per second as whole knots with their unit."""
    return _with_unit(None if mps is None else mps / MPS_PER_KNOT, 0, "kt", False)


def seconds(value: float | None, *, signed: bool = False) -> str:
    """Whole seconds with their unit."""
    return _with_unit(value, 0, "s", signed)


def degrees(value: float | None, decimals: int = 0, *, signed: bool = False) -> str:
    """Degrees of an angle (not a course)."""
    text = number(value, decimals, signed=signed)
    return text if text == NO_VALUE else f"{text}°"


def course(true_deg: float | None) -> str:
    """Return a course or direction in three figures, 360 for north."""
    if true_deg is None or not math.isfinite(true_deg):
        return NO_VALUE
    whole = round(true_deg) % 360
    return f"{whole or 360:03d}°"


def parts_of_scale(value: float | None) -> str:
    """Needle deflection as a percentage of full scale."""
    return NO_VALUE if value is None or not math.isfinite(value) else f"{number(value * 100)} % of full scale"


def sentence(text: str) -> str:
    """Text with a capital first letter and a full stop."""
    text = text.strip()
    if not text:
        return ""
    return text[0].upper() + text[1:] + ("" if text[-1] in ".!?" else ".")


def listed(items: list[str]) -> str:
    """Items as a list in a sentence."""
    if len(items) < 2:
        return "".join(items)
    return ", ".join(items[:-1]) + " and " + items[-1]


def _with_unit(value: float | None, decimals: int, unit: str, signed: bool) -> str:
    text = number(value, decimals, signed=signed)
    return text if text == NO_VALUE else f"{text} {unit}"
