"""The figures with a value over time or along-track distance: altitude, profile, needle, track, turn rate, speed."""

import numpy as np
import numpy.typing as npt

from analyzer.angles import difference_deg, reciprocal_deg
from analyzer.assessment import AssessedAttempt, Assessment
from analyzer.procedure import AltitudeLimit
from analyzer.report import plot_words, wording
from analyzer.report.scale import ticks
from analyzer.report.series import Series, cut_open_deg, laid_open_deg, segment_spans
from analyzer.report.view_types import Band, Mark, PlotLine, PlotView, Point, Reference
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT

FloatArray = npt.NDArray[np.float64]

OFF_SCALE = 1.25  # where the needle is drawn when it lies at its stop
_FEET_STEPS = (50, 100, 200, 500, 1000, 2000, 5000, 10000)


def plot_views(
    assessment: Assessment, assessed: AssessedAttempt | None, series: Series, bands: tuple[Band, ...]
) -> tuple[PlotView, ...]:
    """All figures of one stretch of the flight, in the order of the page."""
    return (
        _altitude(assessment, assessed, series),
        _profile(assessment, assessed, series, bands),
        _needle(assessment, assessed, series),
        _track(assessment, assessed, series),
        _rate(assessed, series),
        _speed(assessment, assessed, series),
    )


def _pairs(x: FloatArray, y: FloatArray, decimals: int = 2) -> tuple[Point, ...]:
    return tuple(
        (round(float(a), 2) if abs(a) >= 100 else round(float(a), 3), round(float(b), decimals))
        for a, b in zip(x, y, strict=True)
    )


def _span(series: Series) -> tuple[float, float]:
    start, end = float(series.time_s[0]), float(series.time_s[-1])
    return (start, end if end > start else start + 1.0)


def _padded(low: float, high: float, share: float = 0.08, least: float = 1.0) -> tuple[float, float]:
    pad = max((high - low) * share, least)
    return (low - pad, high + pad)


def _number_ticks(
    low: float, high: float, most: int = 5, steps: tuple[float, ...] | None = None
) -> tuple[tuple[float, str], ...]:
    marks = ticks(low, high, most, steps)
    decimals = 1 if any(abs(mark - round(mark)) > 1e-6 for mark in marks) else 0
    return tuple((mark, wording.number(mark, decimals)) for mark in marks)


def _limit_lines(limit: AltitudeLimit, start: float, end: float) -> list[Reference]:
    low, high = limit.low_m, limit.high_m
    if low is not None and low == high:
        return [Reference("exact", low / METRES_PER_FOOT, start, end, f"{wording.feet(low)} {limit.segment}")]
    lines = []
    if low is not None:
        lines.append(Reference("minimum", low / METRES_PER_FOOT, start, end, f"{wording.feet(low)} {limit.segment}"))
    if high is not None:
        lines.append(Reference("maximum", high / METRES_PER_FOOT, start, end, f"{wording.feet(high)} {limit.segment}"))
    return lines


def _violations(assessed: AssessedAttempt | None) -> list[tuple[AltitudeLimit, float, float]]:
    if assessed is None:
        return []
    return [(one.limit, each.start_s, each.end_s) for one in assessed.measures.altitudes for each in one.violations]


def _broken_edge(limit: AltitudeLimit, altitude: FloatArray) -> FloatArray:
    """Return the limit that each altitude lies beyond, metres."""
    low = limit.low_m if limit.low_m is not None else -np.inf
    high = limit.high_m if limit.high_m is not None else np.inf
    return np.where(altitude > high, high, np.where(altitude < low, low, altitude))


def _washes(assessed: AssessedAttempt | None, series: Series, across: FloatArray) -> tuple[tuple[Point, ...], ...]:
    """Return closed shapes between the limit and the altitude, where a limit was broken."""
    shapes = []
    for limit, start, end in _violations(assessed):
        inside = np.flatnonzero((series.time_s >= start - 0.5) & (series.time_s <= end + 0.5))
        inside = inside[np.isfinite(series.altitude_m[inside])]
        if inside.size < 2:
            continue
        altitude = series.altitude_m[inside]
        flown = _pairs(across[inside], altitude / METRES_PER_FOOT, 1)
        edge = _pairs(across[inside], _broken_edge(limit, altitude) / METRES_PER_FOOT, 1)
        shapes.append(flown + edge[::-1])
    return tuple(shapes)


def _altitude_range(series: Series, lines: list[Reference], shown: FloatArray) -> tuple[float, float]:
    values = list(shown[np.isfinite(shown)] / METRES_PER_FOOT)
    values += [line.value for line in lines]
    if not values:
        return (0.0, 1000.0)
    return _padded(float(min(values)), float(max(values)), 0.1, 60.0)


def _altitude(assessment: Assessment, assessed: AssessedAttempt | None, series: Series) -> PlotView:
    spans = segment_spans(assessed.attempt) if assessed is not None else {}
    lines: list[Reference] = []
    for segment, (start, end) in spans.items():
        limit = assessment.procedure.altitude(segment)
        if limit is not None:
            lines += _limit_lines(limit, start, end)
    low, high = _altitude_range(series, lines, series.altitude_m)
    return PlotView(
        "altitude",
        "Altitude over time",
        "ft",
        "time",
        _span(series),
        (low, high),
        _number_ticks(low, high, 5, _FEET_STEPS),
        (PlotLine("flown", _pairs(series.time_s, series.altitude_m / METRES_PER_FOOT, 1)),),
        tuple(lines),
        _washes(assessed, series, series.time_s),
        plot_words.altitude(assessment, assessed),
        "altitude",
        missing="" if np.isfinite(series.altitude_m).any() else "The track has no altitudes.",
    )


def _profile(
    assessment: Assessment, assessed: AssessedAttempt | None, series: Series, bands: tuple[Band, ...]
) -> PlotView:
    along = series.along_m / METRES_PER_NM
    first = assessed.attempt.first_passage_s if assessed is not None else -np.inf
    after = series.time_s >= first
    low_x, high_x = _padded(float(along[after].min()), float(along[after].max()), 0.04, 0.3)
    shown = (along >= low_x) & (along <= high_x)
    spans = segment_spans(assessed.attempt) if assessed is not None else {}
    lines: list[Reference] = []
    for segment, (start, end) in spans.items():
        limit = assessment.procedure.altitude(segment)
        inside = shown & (series.time_s >= start) & (series.time_s <= end)
        if limit is not None and inside.any():
            lines += _limit_lines(limit, float(along[inside].min()), float(along[inside].max()))
    low, high = _altitude_range(series, lines, series.altitude_m[shown])
    flown = []
    for band in bands:
        inside = (series.time_s >= band.start_s - 1.5) & (series.time_s <= band.end_s + 0.5)
        height = np.where(shown[inside], series.altitude_m[inside] / METRES_PER_FOOT, np.nan)
        flown.append(PlotLine("flown", _pairs(along[inside], height, 1), band.phase))
    if not bands:
        flown.append(PlotLine("flown", _pairs(along, series.altitude_m / METRES_PER_FOOT, 1)))
    marks = [Mark("fix", (0.0, low), assessment.procedure.fix.ident or "fix")]
    runway = assessment.procedure.runway
    if runway is not None:
        at, _ = assessment.frame.along_cross_m(runway.latitude_deg, runway.longitude_deg)
        if low_x <= float(at) / METRES_PER_NM <= high_x:
            marks.append(Mark("runway", (float(at) / METRES_PER_NM, low), "runway"))
    return PlotView(
        "profile",
        "Altitude along the course",
        "ft",
        "along",
        (high_x, low_x),  # outbound lies to the left, as on a chart's profile
        (low, high),
        _number_ticks(low, high, 5, _FEET_STEPS),
        tuple(flown),
        tuple(lines),
        _washes(assessed, series, along),
        plot_words.profile(assessment, assessed),
        "profile",
        tuple(marks),
        "" if np.isfinite(series.altitude_m).any() else "The track has no altitudes.",
    )


def _needle(assessment: Assessment, assessed: AssessedAttempt | None, series: Series) -> PlotView:
    start, end = _span(series)
    values = np.clip(series.deflection, -OFF_SCALE, OFF_SCALE)
    names = ((-1.0, "full left"), (-0.5, "half"), (0.0, "on course"), (0.5, "half"), (1.0, "full right"))
    references = tuple(
        Reference(kind, value, start, end, "")
        for value, kind in ((0.0, "course"), (0.5, "half"), (-0.5, "half"), (1.0, "full"), (-1.0, "full"))
    )
    return PlotView(
        "needle",
        "Off course, in parts of full needle deflection",
        "",
        "time",
        (start, end),
        (-OFF_SCALE - 0.1, OFF_SCALE + 0.1),
        names,
        (PlotLine("flown", _pairs(series.time_s, values)),),
        references,
        (),
        plot_words.needle(assessment, assessed, series),
        "deflection",
    )


def _track(assessment: Assessment, assessed: AssessedAttempt | None, series: Series) -> PlotView:
    procedure = assessment.procedure
    cut = cut_open_deg(series.track_relative_deg)
    relative = laid_open_deg(series.track_relative_deg, cut)
    jump = np.flatnonzero(np.abs(np.diff(relative)) > 180.0)
    time, shown = np.insert(series.time_s, jump + 1, series.time_s[jump]), np.insert(relative, jump + 1, np.nan)
    start, end = _span(series)
    low, high = _padded(float(np.nanmin(relative)), float(np.nanmax(relative)), 0.06, 8.0)
    courses = [("inbound course", procedure.inbound_true_deg), ("outbound course", procedure.outbound_true_deg)]
    if assessed is not None and assessed.attempt.flown_as == "45/180":
        courses.append(("offset heading", procedure.offset_true_deg))
        courses.append(("back from the offset", float(reciprocal_deg(procedure.offset_true_deg))))
    references = []
    for name, true_deg in courses:
        value = float(laid_open_deg(difference_deg(procedure.inbound_true_deg, true_deg), cut))
        for turn in (-360.0, 0.0, 360.0):
            if low <= value + turn <= high:
                label = f"{name} {wording.course(procedure.magnetic_deg(true_deg))}"
                references.append(Reference("course", value + turn, start, end, label))
    first = procedure.inbound_magnetic_deg
    marks = ticks(low + first, high + first, 6, (10, 30, 45, 90, 180))
    return PlotView(
        "track",
        "Ground track, magnetic",
        "",
        "time",
        (start, end),
        (low, high),
        tuple((mark - first, wording.course(mark)) for mark in marks),
        (PlotLine("flown", _pairs(time, shown, 1)),),
        tuple(references),
        (),
        plot_words.track(assessment, assessed),
        "track_plot",
    )


def _rate(assessed: AssessedAttempt | None, series: Series) -> PlotView:
    start, end = _span(series)
    most = max(4.0, float(np.nanmax(np.abs(series.turn_rate_deg_s))) * 1.1) if len(series.time_s) else 4.0
    most = min(most, 8.0)
    values = np.clip(series.turn_rate_deg_s, -most, most)
    references = (
        Reference("half", 3.0, start, end, "3°/s right"),
        Reference("course", 0.0, start, end, ""),
        Reference("half", -3.0, start, end, "3°/s left"),
    )
    return PlotView(
        "rate",
        "Turn rate of the ground track",
        "°/s",
        "time",
        (start, end),
        (-most, most),
        _number_ticks(-most, most, 5),
        (PlotLine("flown", _pairs(series.time_s, values)),),
        references,
        (),
        plot_words.rate(assessed),
        "rate",
    )


def _speed(assessment: Assessment, assessed: AssessedAttempt | None, series: Series) -> PlotView:
    start, end = _span(series)
    ground = series.groundspeed_mps / MPS_PER_KNOT
    lines = [PlotLine("flown", _pairs(series.time_s, ground, 1))]
    top, bottom = float(np.nanmax(ground)), float(np.nanmin(ground))
    track = assessment.track
    for key in ("ias_mps", "tas_mps"):
        if key in track.sensors and np.isfinite(track.sensors[key]).sum() > 1:
            good = np.isfinite(track.sensors[key])
            air = np.interp(series.time_s, track.time_s[good], track.sensors[key][good]) / MPS_PER_KNOT
            lines.append(PlotLine("airspeed", _pairs(series.time_s, air, 1)))
            top, bottom = max(top, float(air.max())), min(bottom, float(air.min()))
            break
    references = []
    limit = assessment.procedure.max_ias_mps
    if limit is not None and limit / MPS_PER_KNOT < top * 1.25:
        references.append(
            Reference("maximum", limit / MPS_PER_KNOT, start, end, f"{wording.knots(limit)} indicated at most")
        )
        top = max(top, limit / MPS_PER_KNOT)
    low, high = _padded(bottom, top, 0.1, 5.0)
    return PlotView(
        "speed",
        "Groundspeed" + (" and airspeed (dashed)" if len(lines) > 1 else ""),
        "kt",
        "time",
        (start, end),
        (low, high),
        _number_ticks(low, high, 5, (5, 10, 20, 50, 100, 200)),
        tuple(lines),
        tuple(references),
        (),
        plot_words.speed(assessment, assessed, series),
        "speed",
    )
