"""Which chart of the desk a recording fits: by its outline for all, by its reversals for the likeliest."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from analyzer.errors import ReversalDebriefError
from analyzer.given import Procedure, frame_of
from analyzer.run.desk.opened import Desk
from analyzer.run.desk.store.charts import Chart
from analyzer.run.desk.store.lessons import Lesson
from analyzer.run.one_thread import one_thread
from analyzer.units import METRES_PER_NM, difference_deg, number, reciprocal_deg

#: charts whose reversals are looked for in the recording: each costs a fifth of a second
MOST_READ = 4
#: a fix passed farther off than this was not flown to
_NEAR_M = 3.0 * METRES_PER_NM
#: a track within this of the inbound course, either way, near the fix
_ALONG_DEG = 25.0
#: points of a reversal that was established inbound, about what one costs that was flown off in every way
_GOOD, _FAIR = 3.0, 0.0
_MOST_KNOWN = 512
_known: dict[tuple[str, str, str], float | None] = {}


@dataclass(frozen=True)
class Fit:
    """How well a chart fits a recording: words for the page, and what ranks it, the larger the better.

    `procedure` is None where the chart can't be read for this flight.
    """

    chart: Chart
    procedure: Procedure | None
    rank: float
    words: str
    tone: str


def ranked(desk: Desk, lesson: Lesson, charts: Sequence[Chart]) -> list[Fit]:
    """Return the charts of a desk, those first that the recording fits."""
    first = sorted((_by_outline(lesson, chart) for chart in charts), key=lambda fit: -fit.rank)
    near = [fit for fit in first if fit.rank > -_NEAR_M / METRES_PER_NM and fit.procedure is not None]
    read = [_by_reversals(desk, lesson, fit) for fit in near[:MOST_READ]]
    rest = [fit for fit in first if fit.chart.id not in {one.chart.id for one in read}]
    return sorted(read, key=lambda fit: -fit.rank) + rest


def procedure_for(chart: Chart, lesson: Lesson) -> Procedure | str:
    """Return a chart's procedure on the day of a flight, or why it can't be read."""
    from datetime import datetime

    from analyzer.reading import parsed_procedure, procedure_from_mapping

    start = datetime.fromisoformat(lesson.flown_at.replace("Z", "+00:00")) if lesson.flown_at else None
    try:
        tables = parsed_procedure(chart.text.encode("utf-8", "replace"), chart.title)
        return procedure_from_mapping(tables, chart.title, start)
    except ReversalDebriefError as error:
        return str(error)


def _by_outline(lesson: Lesson, chart: Chart) -> Fit:
    """Rank by how near its fix was passed: minus the distance in nautical miles."""
    procedure = procedure_for(chart, lesson)
    if isinstance(procedure, str):
        return Fit(chart, None, -math.inf, procedure, "bad")
    outline = np.asarray(lesson.look.get("outline") or [], dtype=float).reshape(-1, 3)
    if len(outline) < 2:
        return Fit(chart, procedure, -math.inf, "nothing to compare", "plain")
    along_m, cross_m = frame_of(procedure).along_cross_m(outline[:, 1], outline[:, 2])
    nearest_m, at = _nearest(np.asarray(along_m), np.asarray(cross_m))
    if nearest_m > _NEAR_M:
        words = f"its fix was not passed; nearest {number(nearest_m / METRES_PER_NM, 0)} NM"
        return Fit(chart, procedure, -nearest_m / METRES_PER_NM, words, "plain")
    along = _flown_along(np.asarray(along_m), np.asarray(cross_m), at)
    words = f"its fix was passed at {number(nearest_m / METRES_PER_NM, 1)} NM{', along the course' if along else ''}"
    return Fit(chart, procedure, -nearest_m / METRES_PER_NM + (1.0 if along else 0.0), words, "open")


def _nearest(along_m: np.ndarray, cross_m: np.ndarray) -> tuple[float, int]:
    """Return the least distance of a path of straight pieces from the fix, and the piece."""
    step = np.stack([np.diff(along_m), np.diff(cross_m)])
    start = np.stack([along_m[:-1], cross_m[:-1]])
    square = np.maximum((step**2).sum(axis=0), 1e-9)
    share = np.clip(-(start * step).sum(axis=0) / square, 0.0, 1.0)
    off = np.hypot(*(start + share * step))
    at = int(np.argmin(off))
    return float(off[at]), at


def _flown_along(along_m: np.ndarray, cross_m: np.ndarray, at: int) -> bool:
    """Whether the path at a piece runs along the course, in or out."""
    first, last = max(0, at - 2), min(len(along_m) - 1, at + 3)
    bearing = math.degrees(math.atan2(cross_m[last] - cross_m[first], -(along_m[last] - along_m[first])))
    off = abs(float(difference_deg(0.0, bearing)))
    return min(off, abs(float(reciprocal_deg(off)))) < _ALONG_DEG or off > 180.0 - _ALONG_DEG


def _by_reversals(desk: Desk, lesson: Lesson, fit: Fit) -> Fit:
    """Rank by the best reversal that the recording holds for this chart."""
    assert fit.procedure is not None
    points = _points(desk, lesson, fit.chart, fit.procedure)
    if points is None:
        return Fit(fit.chart, fit.procedure, fit.rank, f"{fit.words}; no reversal by it", "open")
    if points >= _GOOD:
        said, tone = "fits well: a reversal by it, established inbound", "good"
    elif points >= _FAIR:
        said, tone = "fits: a reversal by it, not closely flown", "good"
    else:
        said, tone = "may be meant: something like a reversal by it", "open"
    return Fit(fit.chart, fit.procedure, 100.0 + points, said, tone)


def track_of(desk: Desk, lesson: Lesson) -> Any:
    """Return the track of a lesson's recording.

    Raises
    ------
    ReversalDebriefError
        Where it can't be read.
    """
    from analyzer.reading import read_track_bytes
    from analyzer.run.call_options import parsed_columns

    columns = lesson.options.get("columns")
    mapping = parsed_columns(columns) if columns else None
    name = lesson.recording.name
    return read_track_bytes(
        desk.recordings.read(lesson.recording.sha256), name, name.rpartition(".")[0] or name, mapping
    )


def _points(desk: Desk, lesson: Lesson, chart: Chart, procedure: Procedure) -> float | None:
    """Return the fit's points, remembered for as long as the desk runs: neither recording nor chart ever changes."""
    key = (lesson.recording.sha256, chart.sha256, str(lesson.options.get("columns", "")))
    if key not in _known:
        from analyzer.judged import fit_of

        if len(_known) >= _MOST_KNOWN:
            del _known[next(iter(_known))]
        try:
            with one_thread():
                _known[key] = fit_of(track_of(desk, lesson), procedure)
        except ReversalDebriefError:
            _known[key] = None
    return _known[key]
