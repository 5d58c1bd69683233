"""Numbers in the words of pilots: where they are rounded for people, in knots, feet and nautical miles."""

import math

from analyzer.units.factors import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT

NO_VALUE = "–"  # an en dash stands for a value that is not known
MINUS = "−"  # the minus sign proper: a hyphen breaks lines and is read out as a dash


def clock(seconds: float) -> str:
    """Return a time after the track's first point as mm:ss, or h:mm:ss from one hour on; none is before it."""
    hours, rest = divmod(max(0, round(seconds)), 3600)
    return f"{hours}:{rest // 60:02d}:{rest % 60:02d}" if hours else f"{rest // 60:02d}:{rest % 60:02d}"


def span(start_s: float, end_s: float) -> str:
    """Return "from mm:ss to mm:ss"."""
    return f"from {clock(start_s)} to {clock(end_s)}"


def number(value: float | None, decimals: int = 0, *, signed: bool = False) -> str:
    """Return a number with thousands parted by commas and a proper minus sign; a dash where it is not known.

    Parameters
    ----------
    value : float or None
        nan and infinities are not known either.
    decimals : int
        Figures after the point.
    signed : bool
        Whether what is above zero has a plus sign.
    """
    if value is None or not math.isfinite(value):
        return NO_VALUE
    text = f"{abs(value):,.{decimals}f}"
    if float(text.replace(",", "")) == 0.0:
        return text
    return (MINUS if value < 0 else "+" if signed else "") + text


def miles(metres: float | None, decimals: int = 2, *, signed: bool = False) -> str:
    """Return metres as nautical miles with their unit."""
    return _with_unit(None if metres is None else metres / METRES_PER_NM, decimals, "NM", signed)


def feet(metres: float | None, *, signed: bool = False) -> str:
    """Return metres as whole feet with their unit."""
    return _with_unit(None if metres is None else metres / METRES_PER_FOOT, 0, "ft", signed)


def knots(mps: float | None) -> str:
    """Return metres per second as whole knots with their unit."""
    return _with_unit(None if mps is None else mps / MPS_PER_KNOT, 0, "kt", False)


def seconds(time_s: float | None, *, signed: bool = False) -> str:
    """Return whole seconds with their unit."""
    return _with_unit(time_s, 0, "s", signed)


def clock_words(time_s: float) -> str:
    """Return a time as a stop watch shows it, in seconds under a minute."""
    whole = round(time_s)
    return f"{whole // 60}:{whole % 60:02d}" if whole >= 60 else f"{whole} seconds"


def side_word(signed: float) -> str:
    """Return "right" for a positive angle or distance, "left" otherwise."""
    return "right" if signed > 0 else "left"


def _with_unit(value: float | None, decimals: int, unit: str, signed: bool) -> str:
    text = number(value, decimals, signed=signed)
    return text if text == NO_VALUE else f"{text} {unit}"
