"""A small drawing board: escaped SVG elements, paths thinned to what the eye can see.

The page's figures are drawn with it and not with matplotlib: style sheet colours make one drawing serve the light and
the dark page and the print, the time cursor needs known coordinates, and a figure takes a few kilobytes.
"""

import math
from collections.abc import Iterable, Sequence

from markupsafe import Markup, escape

Point = tuple[float, float]
Attribute = str | float | int | None

#: for `vector_effect`: the stroke keeps its width and dashes whatever part of the drawing is shown
STEADY = "non-scaling-stroke"


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


def path_data(points: Sequence[Point], *, closed: bool = False) -> str:
    """Path through points; a point that is not finite breaks the line."""
    parts: list[str] = []
    drawing = False
    for x, y in points:
        if not (math.isfinite(x) and math.isfinite(y)):
            drawing = False
            continue
        parts.append(f"{'L' if drawing else 'M'}{short(x)} {short(y)}")
        drawing = True
    return "".join(parts) + ("Z" if closed and parts else "")


def thinned(points: Sequence[Point], tolerance: float = 0.25) -> list[Point]:
    """Return the points without those nearer than `tolerance` to the line through the rest; breaks are kept."""
    from shapely import LineString

    kept: list[Point] = []
    for run in _runs(points):
        if kept:
            kept.append((math.nan, math.nan))
        if len(run) < 3:
            kept.extend(run)
        else:
            kept.extend(
                (float(x), float(y)) for x, y in LineString(run).simplify(tolerance, preserve_topology=False).coords
            )
    return kept


def _runs(points: Iterable[Point]) -> list[list[Point]]:
    runs: list[list[Point]] = [[]]
    for point in points:
        if math.isfinite(point[0]) and math.isfinite(point[1]):
            runs[-1].append(point)
        elif runs[-1]:
            runs.append([])
    return [run for run in runs if run]
