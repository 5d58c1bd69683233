"""Small drawings: the time bar, the needle, a score, the entry sectors of a hold, the thumbnail of a flight."""

import math

from markupsafe import Markup

from analyzer.planned import entry_sector
from analyzer.shown.report.drawn.palette import phase_key
from analyzer.shown.report.drawn.svg import element, group, line, path_data, text, thinned
from analyzer.shown.report.view.values import Band, EntryView, Point

NEEDLE_HALF = 74.0  # from the middle of the needle's scale to full deflection, in drawing units
_ENTRY_RADIUS = 96.0


def draw_time_bar(bands: tuple[Band, ...], start_s: float, end_s: float) -> Markup:
    """Phases laid on a bar as wide as the page lets it be; the slider lies over it."""
    span = max(end_s - start_s, 1.0)
    parts = [] if bands else [element("rect", class_="bar-ground", x=0, y=8, width="100%", height=6)]
    for band in bands:
        left, width = (band.start_s - start_s) / span * 100, (band.end_s - band.start_s) / span * 100
        key = phase_key(band.phase)
        parts.append(
            element(
                "rect",
                class_=f"bar-piece fill {key}",
                x=f"{left:.3f}%",
                y=0,
                width=f"{max(width - 0.15, 0.1):.3f}%",
                height=20,
            )
        )
        look = f"on {key} bar-letter{'' if width > 6.0 else ' unplaced'}"
        parts.append(
            element(
                "text",
                band.letter,
                x=f"{left + width / 2:.3f}%",
                y=14.5,
                class_=look,
                text_anchor="middle",
                data_room=round(width, 2),
            )
        )
    return element("svg", *parts, class_="time-bar", height=20, aria_hidden="true")


def draw_needle(deflection: float | None = None, *, still: bool = False) -> Markup:
    """Draw the pilot's needle: the course lies where the needle stands, the middle is the aircraft.

    `still` draws one that stands: at a deflection, right of the course positive, or flagged where there is none.
    """
    marks = [
        line(
            side * share * NEEDLE_HALF,
            -7 if share == 1 else -4,
            side * share * NEEDLE_HALF,
            7 if share == 1 else 4,
            class_="needle-tick",
        )
        for side in (-1, 1)
        for share in (0.25, 0.5, 0.75, 1.0)
    ]
    return element(
        "svg",
        element("rect", class_="needle-case", x=-90, y=-27, width=180, height=54, rx=8),
        element("rect", class_="needle-zone", x=-NEEDLE_HALF / 2, y=-13, width=NEEDLE_HALF, height=26, rx=3),
        line(-NEEDLE_HALF, 0, NEEDLE_HALF, 0, class_="needle-base"),
        *marks,
        element("path", class_="needle-self", d="M0 -4V10M-6 1H6M-3 10H3"),
        element("path", class_="needle-hand", d="M0 -21V21", transform=_hand_shift(deflection)),
        text(0, 5, "no needle", class_="needle-flag", text_anchor="middle"),
        class_=f"needle{' in-cone' if still and deflection is None else ''}",
        viewBox="-92 -29 184 58",
        aria_hidden="true",
    )


def _hand_shift(deflection: float | None) -> str | None:
    if deflection is None:
        return None
    return f"translate({max(-1.06, min(1.06, -deflection)) * NEEDLE_HALF:.1f} 0)"


def draw_pointer(relative_bearing_deg: float | None) -> Markup:
    """Draw the pointer to a station as seen from the seat: up is where the nose points."""
    strokes = [
        element("path", class_="needle-tick", d="M0 -25V-21", transform=f"rotate({degree})")
        for degree in range(0, 360, 30)
    ]
    hand = element(
        "path",
        class_="needle-hand",
        d="M0 18V-16M-5 -10L0 -18L5 -10",
        transform=f"rotate({relative_bearing_deg or 0.0:.1f})",
    )
    return element(
        "svg",
        element("circle", class_="needle-case", r=27),
        *strokes,
        hand,
        text(0, 5, "none", class_="needle-flag", text_anchor="middle"),
        class_=f"needle pointer-dial{' in-cone' if relative_bearing_deg is None else ''}",
        viewBox="-92 -29 184 58",
        aria_hidden="true",
    )


def draw_score(value: int | None) -> Markup:
    """Draw a score on a scale from 0 to 100 with a stroke every 20; nothing but the scale where there is none."""
    ground = element("rect", class_="score-ground", x=0, y=3, width="100%", height=6)
    strokes = [line_at(f"{share}%", 1, 11) for share in (20, 40, 60, 80)]
    parts = [ground, *strokes]
    if value is not None:
        parts.insert(1, element("rect", class_="score-value", x=0, y=2, width=f"{value}%", height=8))
    return element("svg", *parts, class_="score-bar", height=12, aria_hidden="true")


def line_at(x: str, y1: float, y2: float) -> Markup:
    """Draw an upright line at a share of the width."""
    return element("line", x1=x, x2=x, y1=y1, y2=y2, class_="score-stroke")


def draw_entry(entry: EntryView, prefix: str) -> Markup:
    """Sectors of a hold's entry, north up: each covers the directions one arrives from; the arrow is the arrival."""
    sign = 1 if entry.turn_right else -1
    of_degree = [entry_sector(float(degree), entry.inbound_true_deg, sign)[0] for degree in range(360)]
    parts = [element("title", "Entry sectors", id=f"{prefix}-entry-title")]
    start = next(degree for degree in range(360) if of_degree[degree] != of_degree[degree - 1])
    degree = start
    while degree < start + 360:
        name = of_degree[degree % 360]
        end = degree
        while end < start + 360 and of_degree[end % 360] == name:
            end += 1
        parts.append(_sector(degree - 0.5, end - 0.5, name, name == entry.expected))
        degree = end
    parts.append(_racetrack(entry.inbound_true_deg, sign))
    arrival = math.radians(entry.arrival_track_true_deg)
    x, y = -math.sin(arrival), math.cos(arrival)
    parts.append(line(x * 118, y * 118, x * 14, y * 14, class_="arrival-line"))
    head = group(
        element("path", class_="arrival-head", d="M0 0L-6 12L6 12Z"),
        transform=f"translate({x * 10:.1f} {y * 10:.1f}) rotate({entry.arrival_track_true_deg:.1f})",
    )
    parts += [
        head,
        element("circle", class_="ink-fill", r=4),
        text(x * 132, y * 132 + 4, "arrival", class_="note halo", text_anchor="middle"),
    ]
    return element(
        "svg",
        *parts,
        class_="figure entry",
        viewBox="-170 -145 340 290",
        role="img",
        aria_labelledby=f"{prefix}-entry-title",
        aria_describedby=f"{prefix}-entry-words",
    )


def _from_track(track_deg: float, radius: float) -> Point:
    """Where one comes from on a track towards the fix."""
    angle = math.radians(track_deg)
    return (-math.sin(angle) * radius, math.cos(angle) * radius)


def _sector(start: float, end: float, name: str, expected: bool) -> Markup:
    steps = max(2, int((end - start) / 4))
    arc = [_from_track(start + (end - start) * step / steps, _ENTRY_RADIUS) for step in range(steps + 1)]
    x, y = _from_track((start + end) / 2, _ENTRY_RADIUS * 0.66)
    return group(
        element(
            "path",
            class_=f"sector {name}{' expected' if expected else ''}",
            d=path_data([(0.0, 0.0), *arc], closed=True),
        ),
        text(x, y + 4, name, class_="note halo", text_anchor="middle"),
    )


def _racetrack(inbound_true_deg: float, sign: int) -> Markup:
    """Draw the holding pattern itself, drawn with the inbound leg ending at the fix."""
    arc = 1 if sign > 0 else 0
    shape = f"M0 60V0A14 14 0 0 {arc} {28 * sign} 0V60A14 14 0 0 {arc} 0 60"
    return group(element("path", class_="hold-line", d=shape), transform=f"rotate({inbound_true_deg:.1f})")


def draw_thumbnail(
    points: list[Point], limit_nm: float | None = None, worst: tuple[Point, str] | None = None
) -> Markup:
    """Draw a flight's path from above as a small figure, north up.

    Parameters
    ----------
    points : list of Point
        Nautical miles east and north of the fix.
    limit_nm : float, optional
        Distance limit about the fix.
    worst : tuple, optional
        Place and severity of the worst finding.
    """
    if len(points) < 2:
        return Markup("")
    x, y = [point[0] for point in points], [-point[1] for point in points]
    span = max(max(x) - min(x), max(y) - min(y)) or 1.0
    middle_x, middle_y = (max(x) + min(x)) / 2, (max(y) + min(y)) / 2
    scale = 84 / span

    def laid(a: float, b: float) -> Point:
        return ((a - middle_x) * scale, (b - middle_y) * scale)

    fix = laid(0.0, 0.0)
    parts = []
    if limit_nm is not None:
        parts.append(element("circle", class_="thumb-limit", cx=fix[0], cy=fix[1], r=limit_nm * scale))
    line_of = [laid(a, b) for a, b in zip(x, y, strict=True)]
    parts.append(element("path", class_="thumb-line", d=path_data(thinned(line_of, 0.4))))
    parts.append(element("circle", class_="thumb-fix", cx=fix[0], cy=fix[1], r=3))
    if worst is not None:
        place = laid(worst[0][0], -worst[0][1])
        parts.append(element("circle", class_=f"thumb-worst {worst[1]}", cx=place[0], cy=place[1], r=4.5))
    return element("svg", *parts, class_="thumb", viewBox="-48 -48 96 96", aria_hidden="true")
