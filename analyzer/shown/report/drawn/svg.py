"""A small drawing board: escaped SVG elements, paths thinned to what the eye can see.

The page's figures are drawn with it and not with matplotlib: style sheet colours make one drawing serve the light and
the dark page and the print, the time cursor needs known coordinates, and a figure takes a few kilobytes.
"""

import re
from collections.abc import Sequence

import numpy as np
from markupsafe import Markup, escape

from analyzer.units import FloatArray, runs

Point = tuple[float, float]
#: points of a line, or an array of shape (n, 2)
Line = Sequence[Point] | FloatArray
Attribute = str | float | int | None

#: for `vector_effect`: the stroke keeps its width and dashes whatever part of the drawing is shown
STEADY = "non-scaling-stroke"
#: how numbers of a path are written shorter: 12.0 as 12, -0 as 0, 0.5 as .5, no space before a minus
_SHORTER = (
    (re.compile(r"\.0(?!\d)"), ""),
    (re.compile(r"-0(?![\d.])"), "0"),
    (re.compile(r"(?<!\d)0\."), "."),
    (re.compile(r" -"), "-"),
)


def element(name: str, *children: Markup | str, **attributes: Attribute) -> Markup:
    """One element with its children; underscores in attribute names become hyphens, `class_` is class.

    Text and attribute values are escaped; attributes that are None are left out.
    """
    parts = [f"<{name}"]
    for key, value in attributes.items():
        if value is not None:
            shown = short(value) if isinstance(value, float) else str(escape(value))
            parts.append(f' {key.rstrip("_").replace("_", "-")}="{shown}"')
    if not children:
        return Markup("".join(parts) + "/>")
    inner = "".join(str(escape(child)) for child in children)
    return Markup("".join(parts) + f">{inner}</{name}>")


def group(*children: Markup, **attributes: Attribute) -> Markup:
    """Elements in a `g`."""
    return element("g", Markup("").join(children), **attributes)


def text(x: float, y: float, content: str, **attributes: Attribute) -> Markup:
    """Return a line of text, its halo (if the style gives it a stroke) under the letters."""
    return element("text", content, x=x, y=y, paint_order="stroke", **attributes)


def line(x1: float, y1: float, x2: float, y2: float, **attributes: Attribute) -> Markup:
    """Return a straight line whose width and dashes don't grow with the drawing."""
    return element("line", x1=x1, y1=y1, x2=x2, y2=y2, vector_effect=STEADY, **attributes)


def short(value: float, decimals: int = 1) -> str:
    """Return number for a coordinate: rounded, without trailing zeros."""
    shown = f"{value:.{decimals}f}".rstrip("0").rstrip(".") if decimals else f"{value:.0f}"
    return "0" if shown in ("-0", "") else shown


def path_data(points: Line, *, closed: bool = False) -> str:
    """Path through points, to a tenth of a unit; a point that is not finite breaks the line.

    Each point after the first of a line is written as the step from the one before: half as long as its place. The
    steps are between rounded places, so that rounding doesn't add up.
    """
    drawn = "".join(_run_data(np.rint(run * 10.0)) for run in _runs(points))
    return drawn + ("Z" if closed and drawn else "")


def _run_data(tenths: FloatArray) -> str:
    steps = np.diff(tenths, axis=0)
    moved = steps[np.any(steps != 0.0, axis=1)]
    steps = moved if len(moved) else steps[:1]  # a line that goes nowhere is still a dot
    shown = f"M{_listed(tenths[0])}" + (f"l{_listed(steps.ravel())}" if len(steps) else "")
    for pattern, short_form in _SHORTER:
        shown = pattern.sub(short_form, shown)
    return shown


def _listed(tenths: FloatArray) -> str:
    return " ".join(f"{value:.1f}" for value in (tenths / 10.0).tolist())


def thinned(points: Line, tolerance: float = 0.25) -> FloatArray:
    """Return the points without those nearer than `tolerance` to the line through the rest; breaks are kept.

    The points come back as an array of shape (n, 2), a row of nan for each break.
    """
    import shapely

    kept: list[FloatArray] = []
    for run in _runs(points):
        if kept:
            kept.append(np.full((1, 2), np.nan))
        thin = len(run) > 2
        line = shapely.simplify(shapely.linestrings(run), tolerance, preserve_topology=False) if thin else None
        kept.append(run if line is None else shapely.get_coordinates(line))
    return np.concatenate(kept) if kept else np.empty((0, 2))


def _runs(points: Line) -> list[FloatArray]:
    """Return the stretches between the points that are not finite."""
    places = np.asarray(points, dtype=np.float64).reshape(-1, 2)
    good = np.isfinite(places).all(axis=1)
    if good.all():
        return [places] if len(places) else []
    return [places[first:after] for first, after in runs(good)]
