"""Draws the strips: values over one time axis, or along the course; lines stretch with the page, letters don't.

A strip is a drawing of fixed height that is as wide as the page lets it be: places across are shares of its width, so
that letters keep their size at every width. The lines lie in an inner drawing that is stretched.
"""

from typing import NamedTuple

import numpy as np
from markupsafe import Markup

from analyzer.shown.report.drawn.palette import phase_key
from analyzer.shown.report.drawn.plan_marks import finding_sign
from analyzer.shown.report.drawn.scale import Scale, ticks
from analyzer.shown.report.drawn.svg import STEADY, element, group, path_data, thinned
from analyzer.shown.report.view import wording
from analyzer.shown.report.view.values import Band, FindingView, PlotView, Point, Reference
from analyzer.units import FloatArray

ACROSS = 1000.0  # width of the inner drawing, stretched to the page's
NARROWEST = 290.0  # pixels: letters are laid out for so narrow a strip, and where there is more room they have more
HEIGHTS = {
    "altitude": 84.0,
    "margin": 62.0,
    "needle": 72.0,
    "track": 72.0,
    "rate": 66.0,
    "speed": 60.0,
    "profile": 170.0,
}
TICKS_WIDTH = 46.0
AXIS_HEIGHT, BANDS_HEIGHT, SIGNS_HEIGHT = 20.0, 20.0, 30.0
_TIME_STEPS = (10.0, 20.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1200.0, 1800.0, 3600.0)
_PAD = 6.0
_LETTER, _WORD_HIGH = 6.6, 12.0
_HATCH = 6.0


class StripDrawing(NamedTuple):
    """The drawing with what the script needs: across in percent and up in pixels, place = offset + factor * value."""

    ticks: Markup
    svg: Markup
    axis: Markup | None
    x: tuple[float, float]
    y: tuple[float, float]


def draw_strip(plot: PlotView, bands: tuple[Band, ...], findings: tuple[FindingView, ...], prefix: str) -> StripDrawing:
    """Draw one strip; `prefix` is put before its ids."""
    height = HEIGHTS.get(plot.key, 70.0)
    across, up = Scale(*plot.x_range, 0.0, ACROSS), Scale(*plot.y_range, height - _PAD, _PAD)
    name = f"{prefix}-{plot.key}"
    words = [*_labels(plot, across, up, height), *_foot_words(plot, across)]
    if plot.missing:
        words.append(text_at(50.0, height / 2 + 4, plot.missing, class_="note quiet", text_anchor="middle"))
    over_time = plot.across == "time"
    svg = element(
        "svg",
        element("title", plot.title, id=f"{name}-title"),
        _stretched(plot, bands, across, up, height),
        *words,
        _finding_lines(findings, across, height) if over_time else Markup(""),
        _hair(height, over_time) if plot.series and not plot.missing else Markup(""),
        class_=f"strip-plot {plot.across}",
        id=name,
        height=height,
        role="img",
        aria_labelledby=f"{name}-title",
        aria_describedby=f"{name}-words",
    )
    return StripDrawing(
        _ticks(plot, up, height),
        svg,
        None if over_time else draw_axis(plot.x_range, over_time=False),
        (round(across(0.0) / ACROSS * 100, 4), round(across.per_unit / ACROSS * 100, 6)),
        (round(up(0.0), 3), round(up.per_unit, 6)),
    )


def text_at(share: float, y: float, content: str, **attributes: str | float | None) -> Markup:
    """Draw a line of text at a share of the width, percent."""
    return element("text", content, x=f"{share:.2f}%", y=y, paint_order="stroke", **attributes)


def _stretched(plot: PlotView, bands: tuple[Band, ...], across: Scale, up: Scale, height: float) -> Markup:
    """Draw everything without letters."""
    parts = []
    if plot.across == "time":
        parts += [_ground(band, across, height) for band in bands]
    parts += [_level("grid", up(value)) for value, _ in plot.y_ticks]
    for start, end in plot.gaps:
        width = max(1.0, across(end) - across(start))
        parts.append(element("rect", class_="gap", x=across(start), y=0, width=width, height=height))
    parts += [_shape("doubt", shape, across, up) for shape in plot.doubt]
    parts += [_shape("wash", shape, across, up) for shape in plot.washes]
    parts += [_reference(one, across, up) for one in plot.references]
    for mark in plot.marks:
        x = across(mark.place[0])
        parts.append(element("path", class_=f"line foot {mark.kind}", d=f"M{x:.1f} 0V{height:g}", vector_effect=STEADY))
    for drawn in plot.lines:
        look = phase_key(drawn.phase) if drawn.phase is not None else "single"
        points = thinned(_laid(drawn.points, across, up), 0.3)
        parts.append(element("path", class_=f"line {drawn.kind} {look}", d=path_data(points), vector_effect=STEADY))
    return element(
        "svg",
        *parts,
        class_="stretched",
        width="100%",
        height=height,
        viewBox=f"0 0 {ACROSS:g} {height:g}",
        preserveAspectRatio="none",
    )


def _laid(points: tuple[Point, ...], across: Scale, up: Scale) -> FloatArray:
    """Return the places of points, shape (n, 2)."""
    x, y = np.asarray(points, dtype=np.float64).reshape(-1, 2).T
    return np.column_stack([across.places(x), up.places(y)])


def _shape(look: str, points: tuple[Point, ...], across: Scale, up: Scale) -> Markup:
    return element("path", class_=look, d=path_data(thinned(_laid(points, across, up), 0.3), closed=True))


def _ground(band: Band, across: Scale, height: float) -> Markup:
    left, right = across(band.start_s), across(band.end_s)
    key = phase_key(band.phase)
    return element("rect", class_=f"fill {key} ground-band", x=left, y=0, width=max(0.5, right - left), height=height)


def _level(look: str, y: float) -> Markup:
    return element("path", class_=look, d=f"M0 {y:.1f}H{ACROSS:g}", vector_effect=STEADY)


def _reference(reference: Reference, across: Scale, up: Scale) -> Markup:
    x1, x2 = sorted((across(reference.start), across(reference.end)))
    y = up(reference.value)
    parts = []
    if reference.kind in ("minimum", "maximum"):
        side = _HATCH if reference.kind == "minimum" else -_HATCH
        count = max(0, int((x2 - x1) / 9.0))
        teeth = [f"M{x1 + 6.0 + 9.0 * index:.1f} {y:.1f}l-5 {side:g}" for index in range(count)]
        parts.append(element("path", class_="teeth", d="".join(teeth), vector_effect=STEADY))
    parts.append(
        element("path", class_=f"line limit-{reference.kind}", d=f"M{x1:.1f} {y:.1f}H{x2:.1f}", vector_effect=STEADY)
    )
    return group(*parts)


def _labels(plot: PlotView, across: Scale, up: Scale, height: float) -> list[Markup]:
    """Words on the reference lines, beside the end where there is room, none over another even on a narrow page."""
    placed: list[tuple[float, float, float]] = []
    parts = []
    for reference in plot.references:
        if not reference.label:
            continue
        spots = _label_spots(reference, across, up, height)
        length = _LETTER * len(reference.label)
        free = [
            (left, y)
            for left, y in spots
            if 10.0 <= y <= height - 2.0
            and all(abs(y - oy) >= _WORD_HIGH or left + length < a or left > b for a, b, oy in placed)
        ]
        left, y = (free or spots)[0]
        if free:
            placed.append((left, left + length, y))
        at_end = left + length / 2 > NARROWEST / 2
        share = (left + length if at_end else left) / NARROWEST * 100
        look = f"note halo reference {reference.kind}{'' if free else ' unplaced'}"
        parts.append(text_at(share, y, reference.label, class_=look, text_anchor="end" if at_end else "start"))
    return parts


def _label_spots(reference: Reference, across: Scale, up: Scale, height: float) -> list[Point]:
    """Return left ends and base lines for a reference's words on the narrowest strip, the best first."""
    x1, x2 = (each / ACROSS * NARROWEST for each in sorted((across(reference.start), across(reference.end))))
    length = _LETTER * len(reference.label)
    most = max(2.0, NARROWEST - length - 2.0)
    lefts = [min(max(left, 2.0), most) for left in (x2 - length - 3.0, x1 + 3.0, (x1 + x2 - length) / 2)]
    y = up(reference.value)
    shifts = (14.0, -4.0, -16.0) if reference.kind == "minimum" else (-4.0, 14.0, 26.0)
    return [(left, min(max(y + shift, 11.0), height - 3.0)) for shift in shifts for left in lefts]


def _foot_words(plot: PlotView, across: Scale) -> list[Markup]:
    parts = []
    for mark in plot.marks:
        share = across(mark.place[0]) / ACROSS * 100
        at_end = share > 60.0
        attributes = {"text_anchor": "end" if at_end else "start", "dx": -4 if at_end else 4}
        label = mark.label if len(mark.label) <= 12 else mark.label[:11] + "…"
        parts.append(text_at(share, 12.0, label, class_="note halo quiet", **attributes))
    return parts


def _finding_lines(findings: tuple[FindingView, ...], across: Scale, height: float) -> Markup:
    """Draw an upright line with its number where each finding was; of two side by side the first keeps its number."""
    parts = []
    last = -100.0
    for one in sorted(
        (each for each in findings if each.number and each.at_s is not None), key=lambda each: each.at_s or 0.0
    ):
        share = across(one.at_s or 0.0) / ACROSS * 100
        parts.append(
            element(
                "line", class_=f"finding-line {one.severity}", x1=f"{share:.2f}%", x2=f"{share:.2f}%", y1=0, y2=height
            )
        )
        hidden = "" if share - last > 15.0 / NARROWEST * 100 else " unplaced"
        last = share if not hidden else last
        at_end = share > 95.0
        look = f"note halo finding-number {one.severity}{hidden}"
        anchor, shift = ("end", -3) if at_end else ("start", 3)
        parts.append(text_at(share, height - 4, str(one.number), class_=look, text_anchor=anchor, dx=shift))
    return group(*parts, class_="finding-lines")


def _ticks(plot: PlotView, up: Scale, height: float) -> Markup:
    parts = []
    last = height + 20.0
    for value, label in sorted(plot.y_ticks):
        y = min(max(up(value) + 4, 11.0), height - 2.0)
        if last - y < _WORD_HIGH:
            continue
        last = y
        parts.append(element("text", label, x=TICKS_WIDTH - 5, y=y, class_="note tick", text_anchor="end"))
    return element("svg", *parts, class_="strip-ticks", width=TICKS_WIDTH, height=height, aria_hidden="true")


def _hair(height: float, over_time: bool) -> Markup:
    """Draw the time cursor and its ghost: a hair over the strips over time, a dot on the value."""
    parts = []
    if over_time:
        parts.append(element("line", class_="ghost-line away", x1="0%", x2="0%", y1=0, y2=height))
        parts.append(element("line", class_="hair-line", x1="0%", x2="0%", y1=0, y2=height))
    parts.append(element("circle", class_="hair-dot", cx="0%", cy=0, r=4.5))
    return group(*parts, class_="hair")


def draw_axis(x_range: tuple[float, float], *, over_time: bool) -> Markup:
    """Draw the axis under the strips."""
    low, high = sorted(x_range)
    across = Scale(*x_range, 0.0, 100.0)
    if over_time:
        places = [(value, wording.clock(value)) for value in ticks(low, high, 5, _TIME_STEPS)]
    else:
        places = [(value, wording.number(value)) for value in ticks(low, high, 7, (1.0, 2.0, 5.0, 10.0, 20.0))]
    parts = []
    for value, label in places:
        share = across(value)
        parts.append(element("line", class_="axis", x1=f"{share:.2f}%", x2=f"{share:.2f}%", y1=0, y2=4))
        anchor = "start" if share < 7.0 else "end" if share > 93.0 else "middle"
        parts.append(text_at(share, 16, label, class_="note tick", text_anchor=anchor))
    return element("svg", *parts, class_="strip-axis", height=AXIS_HEIGHT, aria_hidden="true")


def draw_band_names(bands: tuple[Band, ...], x_range: tuple[float, float]) -> Markup:
    """Draw the phases as bands with their letters, and their names where they fit."""
    across = Scale(*x_range, 0.0, 100.0)
    parts = []
    for band in bands:
        left, right = across(band.start_s), across(band.end_s)
        room, key = right - left, phase_key(band.phase)
        pixels = room / 100 * NARROWEST
        parts.append(
            element(
                "rect",
                element("title", f"{band.letter}: {band.label}"),
                class_=f"fill {key} band-piece",
                x=f"{left:.2f}%",
                y=0,
                width=f"{max(room - 0.15, 0.1):.2f}%",
                height=BANDS_HEIGHT,
                data_jump=f"{band.start_s:.1f}",
            )
        )
        long, short = f"{band.letter} {band.phase}", band.letter
        for word, fits in ((long, pixels > 7.2 * len(long) + 6), (short, pixels > 9.0 * len(short) + 4)):
            shown = fits if word == long else fits and pixels <= 7.2 * len(long) + 6
            look = f"on {key} band-word {'long' if word == long else 'short'}{'' if shown else ' unplaced'}"
            parts.append(
                text_at(left + room / 2, 14, word, class_=look, text_anchor="middle", data_room=round(room, 2))
            )
    return element("svg", *parts, class_="strip-bands", height=BANDS_HEIGHT, aria_hidden="true")


def draw_finding_signs(findings: tuple[FindingView, ...], x_range: tuple[float, float], height: float) -> Markup:
    """Draw the numbered signs of findings over a time axis, each a button, moved aside where they would touch."""
    across = Scale(*x_range, 0.0, 100.0)
    shown = sorted((one for one in findings if one.number and one.at_s is not None), key=lambda one: one.at_s or 0.0)
    true = [across(one.at_s or 0.0) for one in shown]
    parts = []
    for one, place, aside in zip(shown, true, spread(true, 25.0 / NARROWEST * 100), strict=True):
        lead = element(
            "line",
            class_=f"finding-line {one.severity}",
            x1=f"{aside:.2f}%",
            x2=f"{place:.2f}%",
            y1=height - 6,
            y2=height,
        )
        body = [
            element("rect", class_="reach", x=-12, y=-12, width=24, height=24),
            finding_sign(one.severity, one.number),
        ]
        sign = element("svg", *body, x=f"{aside:.2f}%", y=12, overflow="visible")
        parts.append(
            group(
                lead,
                sign,
                class_="finding-button",
                data_jump=f"{one.at_s:.1f}",
                data_finding=one.place,
                data_place=round(place, 2),
                tabindex=0,
                role="button",
                aria_label=f"{one.number} {one.short}, {one.severity} finding: go there",
            )
        )
    return element("svg", *parts, class_="strip-signs", height=height, role="group", aria_label="Findings over time")


def spread(places: list[float], least: float, low: float = 0.0, high: float = 100.0) -> list[float]:
    """Return places moved apart to at least `least`, in order, between the bounds as far as there is room."""
    if not places:
        return []
    least = min(least, (high - low) / len(places))
    moved = []
    before = low - least / 2
    for place in places:
        before = max(place, before + least)
        moved.append(before)
    after = high + least / 2
    for index in range(len(moved) - 1, -1, -1):
        after = min(moved[index], after - least)
        moved[index] = after
    return moved
