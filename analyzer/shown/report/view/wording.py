"""Numbers as the report shows them, and sentences about them."""

import math
import re
from datetime import datetime, timedelta

from analyzer.units import (
    MINUS as MINUS,
    NO_VALUE as NO_VALUE,
    clock as minutes_and_seconds,
    feet as feet,
    knots as knots,
    miles as miles,
    number as number,
    seconds as seconds,
)


def clock(seconds: float | None) -> str:
    """Time after the track's first moment as +mm:ss, or +h:mm:ss from one hour on; a dash where not known."""
    if seconds is None or not math.isfinite(seconds):
        return NO_VALUE
    return f"{MINUS if round(seconds) < 0 else '+'}{minutes_and_seconds(abs(seconds))}"


_CLOCK = re.compile(r"(?<![\d:+−])(?:\d{1,2}:)?\d{2}:\d{2}(?!\d|:|\s*UTC)")


def elapsed_marked(text: str) -> str:
    """Return a sentence with its moments after the track's start marked as such: 12:26 becomes +12:26."""
    return _CLOCK.sub(lambda found: f"+{found.group(0)}", text)


def lasting(seconds: float) -> str:
    """Return how long something lasted, as 14 min 47 s or 1 h 3 min."""
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    hours, minutes = divmod(whole // 60, 60)
    return f"{hours} h {minutes} min" if hours else f"{minutes} min {whole % 60} s"


def moment(start: datetime | None, seconds: float) -> str:
    """Time of day in UTC, or nothing where the track has elapsed seconds only."""
    if start is None:
        return ""
    moment = start + timedelta(seconds=seconds + 0.5)  # to the nearest second, as elapsed times are
    return moment.strftime("%H:%M:%S UTC")


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
