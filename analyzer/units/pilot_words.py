"""Times after a track's first moment, in words."""

from analyzer.units.factors import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT


def clock(seconds: float) -> str:
    """Return a time after the track's first moment as mm:ss, or h:mm:ss from one hour on; none is before it."""
    hours, rest = divmod(max(0, round(seconds)), 3600)
    return f"{hours}:{rest // 60:02d}:{rest % 60:02d}" if hours else f"{rest // 60:02d}:{rest % 60:02d}"


def span(start_s: float, end_s: float) -> str:
    """Return "from mm:ss to mm:ss"."""
    return f"from {clock(start_s)} to {clock(end_s)}"


def miles(distance_m: float) -> str:
    """Return nautical miles with two decimals, as the tables of the report have them."""
    return f"{distance_m / METRES_PER_NM:.2f} NM"


def feet(height_m: float) -> str:
    """Return whole feet with a thousands separator."""
    return f"{round(height_m / METRES_PER_FOOT):,} ft"


def knots(speed_mps: float) -> str:
    """Return whole knots."""
    return f"{round(speed_mps / MPS_PER_KNOT)} kt"


def seconds(time_s: float) -> str:
    """Return whole seconds."""
    return f"{round(time_s)} s"


def side_word(signed: float) -> str:
    """Return "right" for a positive angle or distance, "left" otherwise."""
    return "right" if signed > 0 else "left"
