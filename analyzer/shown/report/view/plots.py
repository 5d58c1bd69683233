"""The figures with a value over time or along-track distance: altitude, profile, needle, track, turn rate, speed."""

import numpy as np

from analyzer.judged import AssessedAttempt, Assessment
from analyzer.shown.report.drawn.scale import ticks
from analyzer.shown.report.view import plot_words, wording
from analyzer.shown.report.view.altitude_plots import altitude_plot, margin_plot, profile_plot
from analyzer.shown.report.view.plot_ranges import gaps_of, number_ticks, padded, pairs, span
from analyzer.shown.report.view.series import Series, cut_open_deg, laid_open_deg
from analyzer.shown.report.view.values import Band, PlotLine, PlotView, Reference
from analyzer.units import GRAVITY_MPS2, MPS_PER_KNOT, difference_deg, reciprocal_deg

BANK_PER_RATE = 6.0  # degrees of bank drawn like 1°/s: what a standard turn takes at about 120 kt
OFF_SCALE = 1.25  # where the needle is drawn when it lies at its stop


def plot_views(
    assessment: Assessment, assessed: AssessedAttempt | None, series: Series, bands: tuple[Band, ...]
) -> tuple[PlotView, ...]:
    """All figures of one stretch of the flight, in the order of the page."""
    plots: tuple[PlotView, ...] = (
        altitude_plot(assessment, assessed, series),
        margin_plot(assessment, assessed, series),
        _needle(assessment, assessed, series),
        _track(assessment, assessed, series),
        _rate(assessment, assessed, series),
        _speed(assessment, assessed, series),
        profile_plot(assessment, assessed, series, bands),
    )
    without = assessed is None or assessment.altitude is None
    empty = ("margin",) if without and assessment.altitude is not None else ("margin", "altitude", "profile")
    plots = tuple(plot for plot in plots if not (without and plot.key in empty))
    gaps = gaps_of(series)
    return tuple(plot._replace(gaps=gaps) if plot.across == "time" else plot for plot in plots)


def _needle(assessment: Assessment, assessed: AssessedAttempt | None, series: Series) -> PlotView:
    start, end = span(series)
    values = np.clip(series.deflection, -OFF_SCALE, OFF_SCALE)
    names = ((-1.0, "full L"), (0.0, "course"), (1.0, "full R"))
    title, label, kinds = "Off course, in parts of full needle deflection", "Off course", ("half", "full")
    guidance = assessment.procedure.guidance
    if guidance.kind == "NDB" and guidance.full_scale_deg:  # a beacon has bearings, no full scale
        full = guidance.full_scale_deg
        names = ((-1.0, f"{full:g}° L"), (0.0, "bearing"), (1.0, f"{full:g}° R"))
        title, label, kinds = "Off the inbound bearing, degrees", "Off bearing", ("half", "half")
    references = tuple(
        Reference(kind, value, start, end, "")
        for value, kind in ((0.0, "course"), (0.5, kinds[0]), (-0.5, kinds[0]), (1.0, kinds[1]), (-1.0, kinds[1]))
    )
    return PlotView(
        "needle",
        title,
        "",
        "time",
        (start, end),
        (-OFF_SCALE - 0.1, OFF_SCALE + 0.1),
        names,
        (PlotLine("flown", pairs(series.time_s, values)),),
        references,
        (),
        plot_words.needle(assessment, assessed, series),
        "deflection",
        label=label,
    )


def _track(assessment: Assessment, assessed: AssessedAttempt | None, series: Series) -> PlotView:
    procedure = assessment.procedure
    cut = cut_open_deg(series.track_relative_deg)
    relative = laid_open_deg(series.track_relative_deg, cut)
    jump = np.flatnonzero(np.abs(np.diff(relative)) > 180.0)
    time, shown = np.insert(series.time_s, jump + 1, series.time_s[jump]), np.insert(relative, jump + 1, np.nan)
    start, end = span(series)
    low, high = padded(float(np.nanmin(relative)), float(np.nanmax(relative)), 0.06, 8.0)
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
    marks = ticks(low + first, high + first, 4, (10, 30, 45, 90, 180))
    return PlotView(
        "track",
        "Ground track, magnetic",
        "",
        "time",
        (start, end),
        (low, high),
        tuple((mark - first, wording.course(mark)) for mark in marks),
        (PlotLine("flown", pairs(time, shown, 1)),),
        tuple(references),
        (),
        plot_words.track(assessment, assessed),
        "track_plot",
        label="Track",
    )


def _bank(assessment: Assessment, series: Series) -> np.ndarray | None:
    """Return bank, degrees, positive to the right, shape (n,): recorded, else from rate and airspeed; None without."""
    column = assessment.track.sensors.get("bank_deg")
    if column is not None and np.isfinite(column).sum() > 1:
        good = np.isfinite(column)
        size = np.abs(np.interp(series.time_s, assessment.track.time_s[good], column[good]))
        return np.asarray(np.copysign(size, series.turn_rate_deg_s))
    wind = assessment.wind
    if wind is None or wind.tas_mps is None:
        return None
    return np.degrees(np.arctan(wind.tas_mps * np.radians(series.turn_rate_deg_s) / GRAVITY_MPS2))


def _rate(assessment: Assessment, assessed: AssessedAttempt | None, series: Series) -> PlotView:
    start, end = span(series)
    most = max(4.0, float(np.nanmax(np.abs(series.turn_rate_deg_s))) * 1.1) if len(series.time_s) else 4.0
    most = min(most, 8.0)
    values = np.clip(series.turn_rate_deg_s, -most, most)
    lines = [PlotLine("flown", pairs(series.time_s, values))]
    bank = _bank(assessment, series)
    if bank is not None:
        shown = np.clip(bank / BANK_PER_RATE, -most, most)
        lines.append(PlotLine("bank", pairs(series.time_s, shown)))
    references = (
        Reference("half", 3.0, start, end, "right"),
        Reference("course", 0.0, start, end, ""),
        Reference("half", -3.0, start, end, "left"),
    )
    return PlotView(
        "rate",
        "Turn rate of the ground track" + ("" if bank is None else f", and bank (dashed, {BANK_PER_RATE:g}° for 1°/s)"),
        "°/s",
        "time",
        (start, end),
        (-most, most),
        ((-3.0, f"{wording.MINUS}3"), (0.0, "0"), (3.0, "+3")),
        tuple(lines),
        references,
        (),
        plot_words.rate(assessed),
        "rate",
        label="Turn rate" if bank is None else "Turn, bank",
    )


def _speed(assessment: Assessment, assessed: AssessedAttempt | None, series: Series) -> PlotView:
    start, end = span(series)
    ground = series.groundspeed_mps / MPS_PER_KNOT
    lines = [PlotLine("flown", pairs(series.time_s, ground, 1))]
    top, bottom = float(np.nanmax(ground)), float(np.nanmin(ground))
    track = assessment.track
    for key in ("ias_mps", "tas_mps"):
        if key in track.sensors and np.isfinite(track.sensors[key]).sum() > 1:
            good = np.isfinite(track.sensors[key])
            air = np.interp(series.time_s, track.time_s[good], track.sensors[key][good]) / MPS_PER_KNOT
            lines.append(PlotLine("airspeed", pairs(series.time_s, air, 1)))
            top, bottom = max(top, float(air.max())), min(bottom, float(air.min()))
            break
    references = []
    limit = assessment.procedure.max_ias_mps
    if limit is not None and limit / MPS_PER_KNOT < top * 1.25:
        references.append(
            Reference("maximum", limit / MPS_PER_KNOT, start, end, f"{wording.knots(limit)} indicated at most")
        )
        top = max(top, limit / MPS_PER_KNOT)
    low, high = padded(bottom, top, 0.1, 5.0)
    return PlotView(
        "speed",
        "Groundspeed" + (" and airspeed (dashed)" if len(lines) > 1 else ""),
        "kt",
        "time",
        (start, end),
        (low, high),
        number_ticks(low, high, 3, (5, 10, 20, 50, 100, 200)),
        tuple(lines),
        tuple(references),
        (),
        plot_words.speed(assessment, assessed, series),
        "speed",
        label="Speed",
    )
