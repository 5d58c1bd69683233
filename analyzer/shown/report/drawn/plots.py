"""Draws the figures with a value over time or along the course."""

from typing import NamedTuple

import numpy as np
from markupsafe import Markup

from analyzer.shown.report.drawn.palette import phase_key
from analyzer.shown.report.drawn.scale import Scale, ticks
from analyzer.shown.report.drawn.svg import STEADY, element, group, line, path_data, text, thinned
from analyzer.shown.report.view import wording
from analyzer.shown.report.view.values import Band, PlotView, Point, Reference
from analyzer.units import FloatArray

WIDTH = 560.0
LEFT, RIGHT, TOP, BOTTOM = 76.0, 12.0, 20.0, 26.0
HEIGHTS = {
    "altitude": 200.0,
    "margin": 180.0,
    "profile": 220.0,
    "needle": 180.0,
    "track": 180.0,
    "rate": 150.0,
    "speed": 150.0,
}
_TIME_STEPS = (10.0, 20.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1200.0, 1800.0, 3600.0)
_HATCH = 7.0


class PlotDrawing(NamedTuple):
    """The drawing with what the script needs: place = offset + factor * value on each axis, in drawing units."""

    svg: Markup
    x: tuple[float, float]
    y: tuple[float, float]


def draw_plot(plot: PlotView, bands: tuple[Band, ...], prefix: str) -> PlotDrawing:
    """One figure; `prefix` is put before its ids."""
    height = HEIGHTS.get(plot.key, 180.0)
    across = Scale(*plot.x_range, LEFT, WIDTH - RIGHT)
    up = Scale(*plot.y_range, height - BOTTOM, TOP)
    name = f"{prefix}-{plot.key}"
    parts = [element("title", plot.title, id=f"{name}-title"), _clip(name, height)]
    if plot.across == "time":
        parts.append(_bands(bands, across, height))
    parts += [_grid(plot, across, up, height), _x_axis(plot, across, height)]
    inside = [
        element("path", class_="doubt", d=path_data(_laid(shape, across, up), closed=True)) for shape in plot.doubt
    ]
    inside += [
        element(
            "rect",
            class_="gap",
            x=across(a),
            y=TOP,
            width=max(1.0, across(b) - across(a)),
            height=height - TOP - BOTTOM,
        )
        for a, b in plot.gaps
    ]
    inside += [
        element("path", class_="wash", d=path_data(_laid(wash, across, up), closed=True)) for wash in plot.washes
    ]
    inside += [_reference(reference, across, up) for reference in plot.references]
    for drawn in plot.lines:
        look = phase_key(drawn.phase) if drawn.phase is not None else "single"
        points = thinned(_laid(drawn.points, across, up), 0.25)
        inside.append(element("path", class_=f"line {drawn.kind} {look}", d=path_data(points), vector_effect=STEADY))
    parts.append(group(*inside, clip_path=f"url(#{name}-clip)"))
    parts += _labels(plot, across, up)
    parts += _foot_marks(plot, across, height)
    if plot.missing:
        parts.append(text((LEFT + WIDTH) / 2, height / 2, plot.missing, class_="word quiet", text_anchor="middle"))
    if plot.series and not plot.missing:
        parts.append(_hair(plot, height))
    svg = element(
        "svg",
        *parts,
        class_=f"figure plot {plot.across}",
        id=name,
        viewBox=f"0 0 {WIDTH:.0f} {height:.0f}",
        role="img",
        aria_labelledby=f"{name}-title",
        aria_describedby=f"{name}-words",
    )
    return PlotDrawing(
        svg,
        (round(across(0.0), 3), round(across.per_unit, 6)),
        (round(up(0.0), 3), round(up.per_unit, 6)),
    )


def _laid(points: tuple[Point, ...], across: Scale, up: Scale) -> FloatArray:
    """Return the places of points, shape (n, 2)."""
    x, y = np.asarray(points, dtype=np.float64).reshape(-1, 2).T
    return np.column_stack([across.places(x), up.places(y)])


def _clip(name: str, height: float) -> Markup:
    frame = element("rect", x=LEFT, y=TOP - 2, width=WIDTH - LEFT - RIGHT, height=height - TOP - BOTTOM + 4)
    return element("defs", element("clipPath", frame, id=f"{name}-clip"))


def _bands(bands: tuple[Band, ...], across: Scale, height: float) -> Markup:
    """Each phase as a light ground with its number on top: the same numbers as on the plan and in the table."""
    parts = []
    for band in bands:
        left, right = across(band.start_s), across(band.end_s)
        width = max(0.5, right - left)
        key = phase_key(band.phase)
        parts.append(
            element("rect", class_=f"fill {key} ground-band", x=left, y=TOP, width=width, height=height - TOP - BOTTOM)
        )
        parts.append(element("rect", class_=f"fill {key}", x=left, y=TOP - 5, width=max(0.5, width - 1), height=4))
        if width > 11:
            parts.append(
                text(left + width / 2, TOP - 8, str(band.number), class_="note band-number", text_anchor="middle")
            )
    return group(*parts, class_="bands")


def _grid(plot: PlotView, across: Scale, up: Scale, height: float) -> Markup:
    parts = []
    for index, (value, label) in enumerate(plot.y_ticks):
        y = up(value)
        parts.append(line(LEFT, y, WIDTH - RIGHT, y, class_="grid"))
        odd = " odd" if index % 2 else ""
        parts.append(text(LEFT - 7, y + 4, label, class_=f"note tick{odd}", text_anchor="end"))
    parts.append(line(LEFT, height - BOTTOM, WIDTH - RIGHT, height - BOTTOM, class_="axis"))
    if plot.unit:
        parts.append(text(LEFT - 7, TOP - 8, plot.unit, class_="note quiet", text_anchor="end"))
    return group(*parts)


def _x_axis(plot: PlotView, across: Scale, height: float) -> Markup:
    parts = []
    low, high = sorted(plot.x_range)
    if plot.across == "time":
        places = [(value, wording.clock(value)) for value in ticks(low, high, 8, _TIME_STEPS)]
    else:
        places = [(value, wording.number(value)) for value in ticks(low, high, 9, (1.0, 2.0, 5.0, 10.0, 20.0))]
    for index, (value, label) in enumerate(places):
        x = across(value)
        parts.append(line(x, height - BOTTOM, x, height - BOTTOM + 4, class_="axis"))
        odd = " odd" if index % 2 else ""
        if LEFT + 6 < x < WIDTH - RIGHT - 4 or plot.across == "along":
            parts.append(text(x, height - 9, label, class_=f"note tick{odd}", text_anchor="middle"))
    if plot.across == "along":
        parts.append(text(LEFT - 7, height - 9, "NM", class_="note quiet", text_anchor="end"))
    return group(*parts)


def _reference(reference: Reference, across: Scale, up: Scale) -> Markup:
    x1, x2 = sorted((across(reference.start), across(reference.end)))
    y = up(reference.value)
    parts = []
    if reference.kind in ("minimum", "maximum"):
        side = _HATCH if reference.kind == "minimum" else -_HATCH
        teeth = [f"M{x:.1f} {y:.1f}l{-_HATCH * 0.6:.1f} {side:.1f}" for x in _steps(x1 + 5, x2, 7.0)]
        parts.append(element("path", class_="teeth", d="".join(teeth)))
    parts.append(line(x1, y, x2, y, class_=f"line limit-{reference.kind}"))
    return group(*parts)


def _steps(start: float, end: float, step: float) -> list[float]:
    return [start + index * step for index in range(max(0, int((end - start) / step) + 1))]


def _labels(plot: PlotView, across: Scale, up: Scale) -> list[Markup]:
    """Words on the reference lines, at the end where there is room, none above another."""
    placed: list[tuple[float, float, float]] = []
    parts = []
    for reference in plot.references:
        if not reference.label:
            continue
        x1, x2 = sorted((across(reference.start), across(reference.end)))
        y = up(reference.value) + (-4.0 if reference.kind != "minimum" else 16.0)
        length = 5.9 * len(reference.label)
        x = min(max(x2, x1 + length), WIDTH - RIGHT - 2)
        step = 12.0 if reference.kind == "minimum" else -12.0
        while any(abs(y - other_y) < 12 and x - length < right and x > left for left, right, other_y in placed):
            y += step
        placed.append((x - length, x, y))
        parts.append(text(x, y, reference.label, class_=f"note halo reference {reference.kind}", text_anchor="end"))
    return parts


def _foot_marks(plot: PlotView, across: Scale, height: float) -> list[Markup]:
    parts = []
    for mark in plot.marks:
        x = across(mark.place[0])
        parts.append(line(x, TOP, x, height - BOTTOM, class_=f"line foot {mark.kind}"))
        side = -4.0 if x > WIDTH - 90 else 4.0
        anchor = "end" if side < 0 else "start"
        parts.append(text(x + side, TOP + 9, mark.label, class_="note halo quiet", text_anchor=anchor))
    return parts


def _hair(plot: PlotView, height: float) -> Markup:
    """Draw the time cursor: a hair over the figures over time, a dot on the value."""
    parts = []
    if plot.across == "time":
        parts.append(line(0, TOP - 6, 0, height - BOTTOM, class_="hair-line"))
    parts.append(element("circle", class_="hair-dot", r=5))
    return group(*parts, class_="hair")
