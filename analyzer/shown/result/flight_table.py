"""The flight as a table for notebooks: a row for each moment of the smoothed track, in the units that pilots use."""

from typing import TYPE_CHECKING

import numpy as np

from analyzer.flown import Attempt
from analyzer.judged import Assessment, Lesson
from analyzer.shown.report.view.series import Series, series_of
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT

if TYPE_CHECKING:
    import pandas as pd

_VALUES = {
    "along_nm": ("along_m", METRES_PER_NM),
    "cross_nm": ("cross_m", METRES_PER_NM),
    "needle": ("deflection", 1.0),
    "altitude_ft": ("altitude_m", METRES_PER_FOOT),
    "altitude_margin_ft": ("altitude_inside_m", METRES_PER_FOOT),
    "area_margin_nm": ("margin_m", METRES_PER_NM),
    "groundspeed_kt": ("groundspeed_mps", MPS_PER_KNOT),
    "track_deg_true": ("track_true_deg", 1.0),
    "turn_rate_deg_s": ("turn_rate_deg_s", 1.0),
}


def flight_table(lesson: Lesson) -> "pd.DataFrame":
    """Return the table; see `Debrief.to_frame` for its columns.

    Outside reversals the places are those of the first procedure; no margin is known there.
    """
    import pandas as pd

    first = lesson.parts[0]
    end_s = float(first.motion.time_s[-1]) if len(first.motion) else 0.0
    pieces = [_rows(first, series_of(first, 0.0, end_s, None, every_point=True), None)]
    for _, part, assessed in lesson.in_order:
        attempt = assessed.attempt
        series = series_of(part, attempt.start_s, attempt.end_s, attempt, every_point=True)
        pieces.append(_rows(part, series, attempt))
    table = pd.concat([piece for piece in pieces if len(piece)] or pieces[:1], ignore_index=True)
    # a moment of a reversal stands once, as the reversal has it
    return table.drop_duplicates("time_s", keep="last").sort_values("time_s", ignore_index=True)


def _rows(part: Assessment, series: Series, attempt: Attempt | None) -> "pd.DataFrame":
    import pandas as pd

    count = len(series.time_s)
    phases = np.full(count, "", dtype=object)
    laps = np.zeros(count, dtype=int)
    for phase in () if attempt is None else attempt.phases:
        inside = (series.time_s >= phase.start_s) & (series.time_s <= phase.end_s)
        phases[inside], laps[inside] = phase.name, phase.lap
    columns: dict[str, object] = {
        "time_s": series.time_s,
        "procedure": np.full(count, part.procedure.title, dtype=object),
        "attempt": np.full(count, 0 if attempt is None else attempt.number),
        "phase": phases,
        "lap": laps,
    }
    for column, (name, unit) in _VALUES.items():
        columns[column] = np.asarray(getattr(series, name), dtype=float) / unit
    return pd.DataFrame(columns)
