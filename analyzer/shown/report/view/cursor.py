"""What the time cursor reads out: short lists of whole numbers at evenly spaced moments, for the page's script."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from analyzer.given import AltitudeSegment
from analyzer.judged import Assessment
from analyzer.shown.report.view.seat import relative_bearings_deg
from analyzer.shown.report.view.series import Series, cut_open_deg, laid_open_deg
from analyzer.shown.report.view.values import Band
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT, FloatArray

#: the lists with a number for each moment
SERIES = (
    "x",
    "y",
    "latitude",
    "longitude",
    "along",
    "altitude",
    "low",
    "high",
    "margin_plot",
    "deflection",
    "pointer",
    "track",
    "track_plot",
    "rate",
    "speed",
    "distance",
    "margin",
)


def cursor_data(
    assessment: Assessment,
    series: Series,
    bands: tuple[Band, ...],
    spans: Mapping[AltitudeSegment, tuple[float, float]] | None = None,
) -> dict[str, Any]:
    """Return lists of whole numbers, None where not known; each with the factor that its numbers were multiplied by.

    `t0` and `step` give the moments in seconds. `x` and `y` are nautical miles east and north of the fix times 1000;
    `latitude` and `longitude` degrees times 100,000; `altitude` feet, `low` and `high` feet times 100; `margin`,
    `distance`, `along` nautical miles times 100 (1000 for `along`); `deflection` parts of full scale times 1000;
    `pointer` the direction of a beacon off the nose, degrees, and `full_deg` what a deflection of 1 is then; `track`
    degrees magnetic and `track_plot` degrees off the inbound course as the figure lays them, times 10; `rate` degrees a
    second times 100; `speed` knots times 10.
    """
    latitude, longitude = assessment.frame.latitude_longitude_deg(series.east_m, series.north_m)
    longitude = np.unwrap(np.concatenate([[assessment.frame.longitude_deg], longitude]), period=360.0)[1:]
    is_beacon = assessment.procedure.guidance.kind == "NDB"
    pointer = relative_bearings_deg(assessment, series) if is_beacon else np.zeros(0)
    magnetic = np.mod(series.track_true_deg - assessment.procedure.variation_deg, 360.0)
    step = float(series.time_s[1] - series.time_s[0]) if len(series.time_s) > 1 else 1.0
    return {
        "t0": round(float(series.time_s[0]), 3),
        "step": round(step, 3),
        "x": _whole(series.east_m / METRES_PER_NM, 1000),
        "y": _whole(series.north_m / METRES_PER_NM, 1000),
        "latitude": _whole(np.asarray(latitude), 100_000),
        "longitude": _whole(longitude, 100_000),  # without a jump at the antimeridian
        "along": _whole(series.along_m / METRES_PER_NM, 1000),
        "altitude": _whole(series.altitude_m / METRES_PER_FOOT, 1),
        "low": _whole(series.low_m / METRES_PER_FOOT, 100),
        "high": _whole(series.high_m / METRES_PER_FOOT, 100),
        "margin_plot": _whole(series.altitude_inside_m / METRES_PER_FOOT, 1),
        "deflection": _whole(series.deflection, 1000),
        "pointer": _whole(pointer, 1),
        "full_deg": assessment.procedure.guidance.full_scale_deg if is_beacon else None,
        "track": _whole(magnetic, 10),
        "track_plot": _whole(laid_open_deg(series.track_relative_deg, cut_open_deg(series.track_relative_deg)), 10),
        "rate": _whole(series.turn_rate_deg_s, 100),
        "speed": _whole(series.groundspeed_mps / MPS_PER_KNOT, 10),
        "distance": _whole(series.distance_m / METRES_PER_NM, 100),
        "margin": _whole(series.margin_m / METRES_PER_NM, 100),
        "utc": _seconds_of_day(assessment),
        "segments": [[name, round(start, 1), round(end, 1)] for name, (start, end) in (spans or {}).items()],
        "variation": assessment.procedure.variation_deg,
        "phases": [
            [band.letter, band.phase, band.label, round(band.start_s, 1), round(band.end_s, 1)] for band in bands
        ],
    }


def _seconds_of_day(assessment: Assessment) -> float | None:
    """Return the time of day in UTC at the track's first moment, seconds; None where the track has no date."""
    start = assessment.track.start
    if start is None:
        return None
    return round(start.hour * 3600 + start.minute * 60 + start.second + start.microsecond / 1e6, 1)


def in_steps(values: list[int | None]) -> list[int | None]:
    """Return each number as its step from the last one known: half as many digits for the page to carry."""
    before = 0
    steps: list[int | None] = []
    for value in values:
        steps.append(None if value is None else value - before)
        before = before if value is None else value
    return steps


def from_steps(steps: list[int | None]) -> list[int | None]:
    """Return the numbers that `in_steps` was given."""
    total = 0
    values: list[int | None] = []
    for step in steps:
        total += step or 0
        values.append(None if step is None else total)
    return values


def _whole(values: FloatArray, factor: int) -> list[int | None]:
    whole = np.rint(values * factor)
    known = np.isfinite(whole)
    if not known.any():
        return []
    return [int(value) if there else None for value, there in zip(whole.tolist(), known.tolist(), strict=True)]
