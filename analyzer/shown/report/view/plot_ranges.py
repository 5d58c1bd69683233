"""Bounds, points and marks of the figures with a value over time or along the course."""

import numpy as np

from analyzer.shown.report.drawn.scale import ticks
from analyzer.shown.report.view import wording
from analyzer.shown.report.view.series import Series
from analyzer.shown.report.view.values import Point
from analyzer.units import FloatArray, runs


def pairs(x: FloatArray, y: FloatArray, decimals: int = 2) -> tuple[Point, ...]:
    """Return points of a line, rounded for the page."""
    across = np.where(np.abs(x) >= 100, np.round(x, 2), np.round(x, 3))
    return tuple(zip(across.tolist(), np.round(y, decimals).tolist(), strict=True))


def span(series: Series) -> tuple[float, float]:
    """Return the first and the last moment of a series, seconds, never the same twice."""
    start, end = float(series.time_s[0]), float(series.time_s[-1])
    return (start, end if end > start else start + 1.0)


def padded(low: float, high: float, share: float = 0.08, least: float = 1.0) -> tuple[float, float]:
    """Return bounds with some space on both sides."""
    # the last: a pad that rounding loses beside an absurd value leaves no range
    pad = max((high - low) * share, least, 1e-6 * max(abs(low), abs(high)))
    return (low - pad, high + pad)


def number_ticks(
    low: float, high: float, most: int = 5, steps: tuple[float, ...] | None = None
) -> tuple[tuple[float, str], ...]:
    """Return round values between two bounds with their words."""
    marks = ticks(low, high, most, steps)
    decimals = 1 if any(abs(mark - round(mark)) > 1e-6 for mark in marks) else 0
    return tuple((mark, wording.number(mark, decimals)) for mark in marks)


def gaps_of(series: Series) -> tuple[tuple[float, float], ...]:
    """Return when nothing was recorded and the path is bridged, seconds."""
    return tuple(
        (round(float(series.time_s[first]), 1), round(float(series.time_s[after - 1]), 1))
        for first, after in runs(series.in_gap)
    )
