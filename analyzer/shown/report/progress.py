"""One pilot over weeks, or a class: each measure as a small figure with its band, what improved, what comes up most."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from analyzer.shown.report.drawn.scale import Scale, ticks
from analyzer.shown.report.drawn.svg import STEADY, element, group, line, path_data, text
from analyzer.shown.report.page import content_policy, environment, page_script, page_style
from analyzer.shown.report.progress_measures import (
    MEASURES,
    SUBJECTS,
    Followed,
    ProgressFlight,
    attempts_in_order,
    follow,
    frequent_findings,
    once_critical,
    tolerances_of,
)
from analyzer.shown.report.view import wording
from analyzer.shown.report.view.sources import CAUTIONS
from analyzer.shown.report.view.tables import TONES
from analyzer.shown.report.view.values import Tone

WIDTH, HEIGHT = 380.0, 170.0
LEFT, RIGHT, TOP, BOTTOM = 52.0, 14.0, 12.0, 26.0
MOST_FREQUENT = 6
_SCRIPTS = ("sort.js",)


@dataclass(frozen=True)
class Chart:
    """One measure for the page."""

    key: str
    title: str
    drawing: Markup
    words: str
    trend: str


@dataclass(frozen=True)
class Line:
    """One reversal, or one pilot of a class, in the table."""

    cells: tuple[tuple[str, float | None], ...]
    href: str | None
    tone: Tone
    result: str


def progress_html(flights: Sequence[ProgressFlight]) -> str:
    """Return one page about one pilot's reversals; see `progress_content`."""
    return _page(progress_content(flights))


def class_html(flights: Sequence[ProgressFlight]) -> str:
    """Return one page about a class; see `class_content`."""
    return _page(class_content(flights))


def progress_content(flights: Sequence[ProgressFlight]) -> dict[str, Any]:
    """Return what a page about one pilot's reversals shows, in the order in which they were flown.

    Parameters
    ----------
    flights : sequence of ProgressFlight
        `when` sorts them: an ISO date or date and time.
    """
    attempts = attempts_in_order(flights)
    tolerances = tolerances_of([flight.result for flight in flights])
    followed = sorted(
        follow([attempt for _, attempt in attempts], tolerances), key=lambda one: one.inside[0] - one.inside[1]
    )
    critical = once_critical([attempt for _, attempt in attempts])
    dates = [flight.when[:10] or flight.name for flight, _ in attempts]
    charts = [
        Chart(one.measure.key, f"{one.measure.title}, {one.measure.unit}", _draw(one, dates), one.words, one.trend)
        for one in followed
    ]
    rows = [
        Line(
            (
                (flight.when[:10] or wording.NO_VALUE, None),
                (flight.name, None),
                (str(attempt["flown_as"]), None),
                _score(attempt["scores"]["overall"]),
            ),
            flight.href,
            TONES.get(attempt["result"], "plain"),
            wording.sentence(attempt["result"])[:-1],
        )
        for flight, attempt in attempts
    ]
    frequent = frequent_findings([attempt for _, attempt in attempts])
    pilot = flights[0].pilot if flights else ""
    return {
        "heading": pilot or "Progress",
        "kind": "pilot",
        "charts": charts,
        "improved": [
            f"{one.measure.title} (inside in {one.inside[0]} of {one.inside[1]})"
            for one in followed
            if _goes_well(one, critical)
        ],
        "open_points": [
            one.measure.title + _open_words(one, critical)
            for one in followed
            if one.trend != "too few flights" and not _goes_well(one, critical)
        ],
        "frequent": frequent[:MOST_FREQUENT],
        "more": len(frequent) - MOST_FREQUENT,
        "matrix": None,
        "count": len(attempts),
        "heads": ("flown", "flight", "flown as", "overall"),
        "rows": rows,
        "caption": "Reversals, in the order in which they were flown",
        "tolerances": tolerances.title,
    }


def _goes_well(followed: Followed, critical: set[str]) -> bool:
    """Whether a measure was met in all of the last third and was never a critical finding before."""
    enough = followed.trend != "too few flights"
    return enough and followed.ends_inside and SUBJECTS[followed.measure.key] not in critical


def _open_words(followed: Followed, critical: set[str]) -> str:
    inside, known = followed.inside
    if followed.ends_inside and SUBJECTS[followed.measure.key] in critical:
        return f" (inside in {inside} of {known}, but once critical)"
    if followed.trend == "improved":
        return " (improved, not inside yet)"
    return f" (outside in {known - inside} of {known})"


def class_content(flights: Sequence[ProgressFlight], hrefs: Mapping[str, str] | None = None) -> dict[str, Any]:
    """Return what a page about a class shows: a line for each pilot, and what comes up most.

    Parameters
    ----------
    flights : sequence of ProgressFlight
        Of all pilots, in any order.
    hrefs : mapping of str to str, optional
        Where each pilot's own page is.
    """
    pilots = sorted({flight.pilot for flight in flights})
    rows = []
    for pilot in pilots:
        attempts = [attempt for _, attempt in attempts_in_order([one for one in flights if one.pilot == pilot])]
        good = sum(attempt["result"] == "to standard" for attempt in attempts)
        last = attempts[-1] if attempts else None
        often = "; ".join(f"{title} ({count})" for title, count in frequent_findings(attempts)[:3])
        rows.append(
            Line(
                (
                    (pilot, None),
                    (f"{good} of {len(attempts)}", good / len(attempts) if attempts else None),
                    _score(last["scores"]["overall"] if last is not None else None),
                    (often or "nothing", None),
                ),
                (hrefs or {}).get(pilot),
                TONES.get(last["result"], "plain") if last is not None else "plain",
                wording.sentence(last["result"])[:-1] if last is not None else "No reversal",
            )
        )
    everything = [attempt for _, attempt in attempts_in_order(flights)]
    frequent = frequent_findings(everything)
    return {
        "heading": f"{len(pilots)} pilot{'' if len(pilots) == 1 else 's'}",
        "kind": "class",
        "charts": [],
        "improved": [],
        "open_points": [],
        "frequent": frequent[:MOST_FREQUENT],
        "more": len(frequent) - MOST_FREQUENT,
        "matrix": _matrix(flights, pilots),
        "count": len(everything),
        "heads": ("pilot", "to standard", "last overall", "comes up most"),
        "rows": rows,
        "caption": "Pilots",
        "tolerances": tolerances_of([flight.result for flight in flights]).title,
    }


@dataclass(frozen=True)
class Square:
    """One measure of one pilot: how the last reversal met it, how often it was met, the flight to look at."""

    tone: Tone
    words: str
    href: str | None


def _matrix(
    flights: Sequence[ProgressFlight], pilots: Sequence[str]
) -> tuple[list[str], list[tuple[str, list[Square]]]]:
    """Return pilots by measures: the titles, and each pilot's squares."""
    tolerances = tolerances_of([flight.result for flight in flights])
    rows = []
    for pilot in pilots:
        flown = attempts_in_order([one for one in flights if one.pilot == pilot])
        followed = {one.measure.key: one for one in follow([attempt for _, attempt in flown], tolerances)}
        rows.append((pilot, [_square(followed.get(measure.key), [one for one, _ in flown]) for measure in MEASURES]))
    return [measure.title for measure in MEASURES], rows


def _square(followed: Followed | None, flights: Sequence[ProgressFlight]) -> Square:
    if followed is None:
        return Square("plain", wording.NO_VALUE, None)
    last = max(index for index, value in enumerate(followed.values) if value is not None)
    value = followed.values[last]
    inside, known = followed.inside
    good = value is not None and followed.is_inside(value)
    return Square("good" if good else "bad", f"{inside} of {known}", flights[last].href)


def _page(content: Mapping[str, Any]) -> str:
    style, script = page_style(), page_script(_SCRIPTS)
    return (
        environment()
        .get_template("progress.html")
        .render(cautions=CAUTIONS, style=style, script=script, policy=content_policy(style, script), **content)
    )


def _score(value: float | None) -> tuple[str, float | None]:
    return (wording.number(value), -1.0 if value is None else float(value))


def _draw(followed: Followed, dates: Sequence[str]) -> Markup:
    """Draw one measure over the reversals with its band; a value outside is a cross, inside a disc."""
    name, decimals = f"m-{followed.measure.key}", followed.measure.decimals
    known = [(index, value) for index, value in enumerate(followed.values) if value is not None]
    bounds = [value for _, value in known] + [edge for edge in followed.band if edge is not None]
    pad = max((max(bounds) - min(bounds)) * 0.15, followed.measure.scale * 0.2)
    up = Scale(min(bounds) - pad, max(bounds) + pad, HEIGHT - BOTTOM, TOP)
    across = Scale(-0.5, max(len(followed.values) - 0.5, 0.5), LEFT, WIDTH - RIGHT)
    parts = [element("title", followed.measure.title, id=f"{name}-title"), _band(followed, up)]
    for mark in ticks(up.low, up.high, 4):
        shown = wording.number(mark, 0 if abs(mark - round(mark)) < 1e-9 else max(decimals, 1))
        parts.append(line(LEFT, up(mark), WIDTH - RIGHT, up(mark), class_="grid"))
        parts.append(text(LEFT - 6, up(mark) + 4, shown, class_="note", text_anchor="end"))
    step = max(1, -(-len(dates) // 2))
    for index in range(0, len(dates), step):
        parts.append(text(across(index), HEIGHT - 8, dates[index], class_="note", text_anchor="middle"))
    places = [(across(index), up(value)) for index, value in known]
    parts.append(element("path", class_="line followed", d=path_data(places), vector_effect=STEADY))
    for (x, y), (_, value) in zip(places, known, strict=True):
        if followed.is_inside(value):
            parts.append(element("circle", class_="value-inside", cx=x, cy=y, r=4))
        else:
            parts.append(element("path", class_="value-outside", d=f"M{x - 4:.1f} {y - 4:.1f}l8 8m0 -8l-8 8"))
    return element(
        "svg",
        *parts,
        class_="figure plot progress-plot",
        viewBox=f"0 0 {WIDTH:.0f} {HEIGHT:.0f}",
        role="img",
        aria_labelledby=f"{name}-title",
        aria_describedby=f"{name}-words",
    )


def _band(followed: Followed, up: Scale) -> Markup:
    low, high = followed.band
    top = up(high) if high is not None else TOP
    bottom = up(low) if low is not None else HEIGHT - BOTTOM
    parts = [element("rect", class_="band-inside", x=LEFT, y=top, width=WIDTH - LEFT - RIGHT, height=bottom - top)]
    parts += [
        line(LEFT, up(edge), WIDTH - RIGHT, up(edge), class_="line limit-minimum")
        for edge in followed.band
        if edge is not None
    ]
    return group(*parts)
