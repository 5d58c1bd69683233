"""The plan view's content: areas, planned and flown paths, marks and the sentence that says the same in words."""

import numpy as np

from analyzer.judged import AssessedAttempt, Assessment
from analyzer.planned import NominalPath
from analyzer.shown.report.view import wording
from analyzer.shown.report.view.plan_ground import (
    AREA_LABELS,
    area_shape,
    bounds_of,
    course_line,
    full_scale_lines,
    ground_marks,
    places_nm,
    points_nm,
)
from analyzer.shown.report.view.plan_wind import drifts, minute_ticks, put_right
from analyzer.shown.report.view.series import Series
from analyzer.shown.report.view.values import (
    Band,
    Callout,
    FindingView,
    Mark,
    PlanView,
    Point,
    Stretch,
)
from analyzer.units import METRES_PER_NM, runs


def plan_view(
    assessment: Assessment,
    assessed: AssessedAttempt | None,
    series: Series,
    bands: tuple[Band, ...],
    findings: tuple[FindingView, ...] = (),
) -> PlanView:
    """Plan view of one attempt, or of the whole flight where there is none."""
    east, north = series.east_m / METRES_PER_NM, series.north_m / METRES_PER_NM
    areas = tuple(area_shape(assessment.frame, area.name, area.shape) for area in assessment.protection)
    method = assessed.attempt.flown_as if assessed is not None else None
    planned = tuple(
        (path.name, places_nm(assessment.frame, np.concatenate([leg.along_m for leg in path.legs]), _cross(path)))
        for path in _paths_for(assessment, method)
        if path.legs
    )
    stretches = tuple(_stretch(band, series, east, north) for band in bands)
    judged = _judged(assessed, series)
    flown = points_nm(east[judged], north[judged])
    content = [point for _, path in planned for point in path] + flown + [(0.0, 0.0)]
    righted = put_right(assessment, assessed)
    close = bounds_of([*flown, *(point for one in righted for point in one.path), (0.0, 0.0)], 0.12)
    shown = [point for area in areas if area.name != "distance limit" for ring in area.rings for point in ring]
    everything = bounds_of(shown + content) if shown else bounds_of(content, 0.22)
    whole_east, whole_north = assessment.frame.east_north_from_along_cross(
        assessment.motion.along_m, assessment.motion.cross_m
    )
    step = 1 + len(assessment.motion) // 4000
    return PlanView(
        areas=areas,
        planned=planned,
        whole_track=tuple(points_nm(whole_east[::step] / METRES_PER_NM, whole_north[::step] / METRES_PER_NM)),
        stretches=tuple(stretch for stretch in stretches if stretch.points),
        outside=_outside(series, east, north),
        marks=_marks(assessment, assessed, series, east, north),
        course=course_line(assessment.frame, everything),
        full_scale=full_scale_lines(assessment.frame, assessment.procedure, everything),
        variation_deg=assessment.procedure.variation_deg,
        wind=_wind(assessment),
        bounds=everything,
        close_bounds=close,
        title="Plan view",
        words=_words(assessment, assessed),
        callouts=tuple(
            Callout(one.number, one.severity, _at(series, east, north, one.at_s), one.short, one.at_s, one.place)
            for one in findings
            if one.number and one.at_s is not None
        ),
        ticks=minute_ticks(assessment, series) if assessed is not None else (),
        drifts=drifts(assessment, assessed, series),
        put_right=righted,
    )


def _cross(path: NominalPath) -> np.ndarray:
    return np.concatenate([leg.cross_m for leg in path.legs])


def _paths_for(assessment: Assessment, method: str | None) -> list[NominalPath]:
    """Planned paths of the method that was flown, or all where the plan has only others."""
    of_method = [path for path in assessment.nominal if path.method == method]
    return of_method or list(assessment.nominal)


def _stretch(band: Band, series: Series, east: np.ndarray, north: np.ndarray) -> Stretch:
    inside = np.flatnonzero((series.time_s >= band.start_s - 1.5) & (series.time_s <= band.end_s + 0.5))
    return Stretch(
        band.number,
        band.phase,
        band.label,
        band.start_s,
        band.end_s,
        tuple(points_nm(east[inside], north[inside])),
    )


def _judged(assessed: AssessedAttempt | None, series: Series) -> np.ndarray:
    """Return samples between the first passage and the inbound one; all where there is no attempt."""
    if assessed is None:
        return np.ones(series.time_s.shape, dtype=bool)
    end = assessed.attempt.last_inbound_passage_s
    inside: np.ndarray = (series.time_s >= assessed.attempt.first_passage_s) & (
        series.time_s <= (assessed.attempt.end_s if end is None else end)
    )
    return inside


def _outside(series: Series, east: np.ndarray, north: np.ndarray) -> tuple[tuple[Point, ...], ...]:
    stretches = runs(series.margin_m < 0)
    return tuple(
        tuple(points_nm(east[first:after], north[first:after])) for first, after in stretches if after - first > 1
    )


def _at(series: Series, east: np.ndarray, north: np.ndarray, at_s: float) -> Point:
    return (
        round(float(np.interp(at_s, series.time_s, east)), 4),
        round(float(np.interp(at_s, series.time_s, north)), 4),
    )


def _marks(
    assessment: Assessment, assessed: AssessedAttempt | None, series: Series, east: np.ndarray, north: np.ndarray
) -> tuple[Mark, ...]:
    marks = ground_marks(assessment.frame, assessment.procedure)
    if assessed is None:
        return tuple(marks)
    for passage in assessed.attempt.passages:
        words = f"passed the fix {passage.direction} at {wording.clock(passage.at_s)}"
        marks.append(Mark("passage", _at(series, east, north, passage.at_s), words, passage.at_s))
    return tuple(marks)


def _wind(assessment: Assessment) -> tuple[float, str] | None:
    if assessment.wind is None:
        return None
    wind = assessment.wind
    return (round(wind.from_deg_true, 1), f"{wording.course(wind.from_deg_true)} / {wording.knots(wind.speed_mps)}")


def _words(assessment: Assessment, assessed: AssessedAttempt | None) -> str:
    named = [AREA_LABELS.get(area.name, area.name) for area in assessment.protection]
    areas = f"Drawn with the {wording.listed(named)}. " if named else "The procedure has no area that can be drawn. "
    if assessed is None:
        return f"The whole track about the fix, north up. {areas}No course reversal was found in it."
    attempt, measured = assessed.attempt, assessed.measures.containment
    text = (
        f"Flown as {attempt.flown_as}, north up. Farthest from the fix: {wording.miles(measured.max_distance_m)} "
        f"at {wording.clock(measured.max_distance_at_s)}. "
    )
    if measured.margin_m is not None and measured.margin_area is not None:
        where = "inside" if measured.margin_m >= 0 else "outside"
        text += (
            f"Nearest to the edge of the {AREA_LABELS.get(measured.margin_area, measured.margin_area)} at "
            f"{wording.clock(measured.margin_at_s)}: {wording.miles(abs(measured.margin_m))} {where} it. "
        )
    return text + areas
