"""The figures of altitude: over time, inside its limit, along the course."""

import numpy as np

from analyzer.given import AltitudeLimit
from analyzer.judged import SIGMAS_OF_DOUBT, AssessedAttempt, Assessment
from analyzer.shown.report.view import plot_words, wording
from analyzer.shown.report.view.plot_ranges import number_ticks, padded, pairs, span
from analyzer.shown.report.view.series import Series, segment_spans
from analyzer.shown.report.view.values import Band, Mark, PlotLine, PlotView, Point, Reference
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, FloatArray

MARGIN_TOP_FT = 450.0  # more room than this is not news: the line stays at the top
_FEET_STEPS = (50, 100, 200, 500, 1000, 2000, 5000, 10000)


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
        flown = pairs(across[inside], altitude / METRES_PER_FOOT, 1)
        edge = pairs(across[inside], _broken_edge(limit, altitude) / METRES_PER_FOOT, 1)
        shapes.append(flown + edge[::-1])
    return tuple(shapes)


def _altitude_range(series: Series, lines: list[Reference], shown: FloatArray) -> tuple[float, float]:
    values = list(shown[np.isfinite(shown)] / METRES_PER_FOOT)
    values += [line.value for line in lines]
    if not values:
        return (0.0, 1000.0)
    return padded(float(min(values)), float(max(values)), 0.1, 60.0)


def altitude_plot(assessment: Assessment, assessed: AssessedAttempt | None, series: Series) -> PlotView:
    """Return the figure of altitude over time."""
    spans = segment_spans(assessed) if assessed is not None else {}
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
        span(series),
        (low, high),
        number_ticks(low, high, 4, _FEET_STEPS),
        (PlotLine("flown", pairs(series.time_s, series.altitude_m / METRES_PER_FOOT, 1)),),
        tuple(lines),
        _washes(assessed, series, series.time_s),
        plot_words.altitude(assessment, assessed),
        "altitude",
        missing="" if np.isfinite(series.altitude_m).any() else "The track has no altitudes.",
        label="Altitude",
    )


def profile_plot(
    assessment: Assessment, assessed: AssessedAttempt | None, series: Series, bands: tuple[Band, ...]
) -> PlotView:
    """Return the figure of altitude along the course."""
    along = series.along_m / METRES_PER_NM
    first = assessed.attempt.first_passage_s if assessed is not None else -np.inf
    after = series.time_s >= first
    low_x, high_x = padded(float(along[after].min()), float(along[after].max()), 0.04, 0.3)
    shown = (along >= low_x) & (along <= high_x)
    spans = segment_spans(assessed) if assessed is not None else {}
    lines: list[Reference] = []
    for segment, (start, end) in spans.items():
        limit = assessment.procedure.altitude(segment)
        inside = shown & (series.time_s >= start) & (series.time_s <= end)
        if limit is not None and inside.any():
            lines += _limit_lines(limit, float(along[inside].min()), float(along[inside].max()))
    lines = _joined(lines)
    low, high = _altitude_range(series, lines, series.altitude_m[shown])
    flown = []
    for band in bands:
        inside = (series.time_s >= band.start_s - 1.5) & (series.time_s <= band.end_s + 0.5)
        height = np.where(shown[inside], series.altitude_m[inside] / METRES_PER_FOOT, np.nan)
        flown.append(PlotLine("flown", pairs(along[inside], height, 1), band.phase))
    if not bands:
        flown.append(PlotLine("flown", pairs(along, series.altitude_m / METRES_PER_FOOT, 1)))
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
        number_ticks(low, high, 5, _FEET_STEPS),
        tuple(flown),
        tuple(lines),
        _washes(assessed, series, along),
        plot_words.profile(assessment, assessed),
        "profile",
        tuple(marks),
        "" if np.isfinite(series.altitude_m).any() else "The track has no altitudes.",
    )


def margin_plot(assessment: Assessment, assessed: AssessedAttempt | None, series: Series) -> PlotView:
    """Return the figure of how far the altitude lay inside its limit, on a scale on which a little is seen."""
    margin = series.altitude_inside_m / METRES_PER_FOOT
    known = margin[np.isfinite(margin)]
    lowest = float(known.min()) if known.size else 0.0
    low, high = min(-150.0, 50.0 * np.floor(lowest / 50.0) - 50.0), MARGIN_TOP_FT
    shown = np.minimum(margin, high)
    start, end = span(series)
    washes = []
    for _, begun, ended in _violations(assessed):
        inside = np.flatnonzero((series.time_s >= begun) & (series.time_s <= ended) & np.isfinite(margin))
        if inside.size:
            line = pairs(series.time_s[inside], np.minimum(shown[inside], 0.0), 1)
            washes.append(((begun, 0.0), *line, (ended, 0.0)))
    return PlotView(
        "margin",
        "Altitude inside its limit",
        "ft",
        "time",
        (start, end),
        (float(low), high),
        number_ticks(float(low), high, 4, (50, 100, 200, 500, 1000)),
        (PlotLine("flown", pairs(series.time_s, shown, 1)),),
        (Reference("minimum", 0.0, start, end, "limit"),),
        tuple(washes),
        plot_words.margin(assessed),
        "margin_plot",
        missing="" if known.size else "No altitude can be compared with a limit.",
        label="To limit",
        doubt=_doubt(assessment, series, high),
    )


def _doubt(assessment: Assessment, series: Series, top_ft: float) -> tuple[tuple[Point, ...], ...]:
    """Return the stretch about the limit in which a margin is too close to call, over time."""
    record = assessment.altitude
    if record is None or len(record.time_s) == 0:
        return ()
    step = max(1, len(series.time_s) // 60)
    time = series.time_s[::step]
    sigma = np.interp(time, record.time_s, record.sigma_m) / METRES_PER_FOOT
    wide = np.minimum(SIGMAS_OF_DOUBT * sigma, top_ft)
    return (pairs(time, wide, 1) + pairs(time, -wide, 1)[::-1],)


def _joined(lines: list[Reference]) -> list[Reference]:
    """Return lines at the same limit as one line with both names."""
    joined: dict[tuple[str, float], Reference] = {}
    for one in lines:
        key = (one.kind, one.value)
        if key in joined:
            other = joined[key]
            label = f"{other.label}, {one.label.split(' ft ')[-1]}"
            joined[key] = Reference(one.kind, one.value, min(one.start, other.start), max(one.end, other.end), label)
        else:
            joined[key] = one
    return list(joined.values())
