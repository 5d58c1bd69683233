"""Several flights on one page: a table that can be sorted, small plan views, and what comes up most."""

import json
import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol
from urllib.parse import quote

from markupsafe import Markup

from analyzer.judged import CODES
from analyzer.shown.report.drawn.small import draw_thumbnail
from analyzer.shown.report.page import content_policy, environment, page_script, page_style
from analyzer.shown.report.view import wording
from analyzer.shown.report.view.cursor import from_steps
from analyzer.shown.report.view.sources import CAUTIONS
from analyzer.shown.report.view.tables import TONES
from analyzer.shown.report.view.values import Point, Tone

#: stands in every overview page that this program wrote, so that no other page is ever replaced by one
INDEX_MARK = '<meta name="generator" content="Reversal Debrief index">'

MOST_FREQUENT = 8
_SCRIPTS = ("sort.js",)
_DATA = re.compile(r'<script type="application/json" id="flight-data">(.*?)</script>', re.DOTALL)
_THUMB_POINTS = 240


class AssessedTrack(Protocol):
    """What the index needs of one track of a run."""

    @property
    def result(self) -> dict[str, Any] | None:
        """Content of the result file, None where the track could not be assessed."""

    @property
    def error(self) -> str | None:
        """Why it could not."""

    @property
    def page(self) -> Path:
        """Where its report is."""


@dataclass(frozen=True)
class FlightRow:
    """One flight for the index: its name, the link to its report, the result file's content or the error.

    `paths` are those of its reversals, nautical miles east and north of the fix, `worst` the place and severity of the
    worst finding of each.
    """

    name: str
    href: str | None
    result: Mapping[str, Any] | None
    error: str | None = None
    paths: tuple[tuple[Point, ...], ...] = ()
    worst: tuple[tuple[Point, str] | None, ...] = ()


@dataclass(frozen=True)
class AttemptRow:
    """One line of the table: plain strings, and the values to sort by."""

    name: str
    href: str | None
    thumb: Markup
    flown: str
    flown_as: str
    result: str
    tone: Tone
    scores: tuple[tuple[str, float], ...]
    worst: str
    severity: str


def render_index(outcomes: Iterable[AssessedTrack]) -> str:
    """Return the overview of a run; links are relative to the folder of the reports."""
    rows = []
    for outcome in outcomes:
        exists = outcome.page.is_file()
        drawn = drawn_in(outcome.page) if exists else ()
        rows.append(
            FlightRow(
                name=outcome.page.stem,
                href=quote(outcome.page.name) if exists else None,
                result=outcome.result,
                error=outcome.error,
                paths=tuple(path for path, _ in drawn),
                worst=tuple(worst for _, worst in drawn),
            )
        )
    return index_html(rows)


def index_html(rows: Sequence[FlightRow]) -> str:
    """Return one page with a line for each reversal of several flights.

    Parameters
    ----------
    rows : sequence of FlightRow
        In the order of the page.
    """
    lines = [line for row in rows for line in _lines(row)]
    results = Counter(line.result for line in lines)
    style, script = page_style(), page_script(_SCRIPTS)
    return (
        environment()
        .get_template("index.html")
        .render(
            mark=Markup(INDEX_MARK),
            lines=lines,
            errors=[row for row in rows if row.error],
            count=len(rows),
            assessed=sum(row.result is not None for row in rows),
            results=[
                (word, results[word]) for word in ("To standard", "Not to standard", "Not assessed") if results[word]
            ],
            tones={"To standard": "good", "Not to standard": "bad", "Not assessed": "plain"},
            frequent=_frequent(rows),
            cautions=CAUTIONS,
            style=style,
            script=script,
            policy=content_policy(style, script),
        )
    )


def drawn_in(page: Path) -> tuple[tuple[tuple[Point, ...], tuple[Point, str] | None], ...]:
    """Return of each reversal in a report of ours its path, thinned, and where its worst finding was.

    Nautical miles east and north of the fix, with the finding's severity; nothing for other pages.
    """
    try:
        found = _DATA.search(page.read_text(encoding="utf-8"))
        flights = json.loads(found.group(1)) if found else []
        return tuple(_drawn(flight) for flight in flights)
    except (OSError, ValueError, KeyError, TypeError, AttributeError, IndexError):
        return ()


def _drawn(flight: Mapping[str, Any]) -> tuple[tuple[Point, ...], tuple[Point, str] | None]:
    across, up = from_steps(flight["steps"]["x"]), from_steps(flight["steps"]["y"])
    pairs = [(x / 1000.0, y / 1000.0) for x, y in zip(across, up, strict=True) if x is not None and y is not None]
    step = max(1, len(pairs) // _THUMB_POINTS)
    findings = [one for one in flight["findings"] if one[1] is not None and one[2]]
    if not findings or len(pairs) != len(across):
        return tuple(pairs[::step]), None
    _, at_s, _, severity, *_ = min(findings, key=lambda one: int(one[2]))
    at = (at_s - flight["cursor"]["t0"]) / flight["cursor"]["step"]
    place = pairs[round(min(max(at, 0.0), len(pairs) - 1.0))]
    return tuple(pairs[::step]), (place, str(severity))


def _lines(row: FlightRow) -> list[AttemptRow]:
    if row.result is None:
        return []
    track = row.result.get("track", {})
    flown = str(track.get("start_utc") or "")[:16].replace("T", " ")
    attempts = row.result.get("attempts", [])
    if not attempts:
        thumb = draw_thumbnail(list(row.paths[0])) if row.paths else Markup("")
        return [_line(row, thumb, flown, "no reversal", "not assessed", {}, ("", ""))]
    lines = []
    limit = row.result.get("procedure", {}).get("limits", {}).get("remain_within_nm")
    for number, attempt in enumerate(attempts):
        thumb = Markup("")
        if number < len(row.paths):
            worst = row.worst[number] if number < len(row.worst) else None
            thumb = draw_thumbnail(list(row.paths[number]), limit, worst)
        method = str(attempt["flown_as"]) + (f", {attempt['entry']} entry" if attempt.get("entry") else "")
        if len(attempts) > 1:
            method = f"{number + 1}: {method}"
        lines.append(_line(row, thumb, flown, method, attempt["result"], attempt["scores"], _worst(attempt)))
    return lines


def _line(
    row: FlightRow,
    thumb: Markup,
    flown: str,
    method: str,
    result: str,
    scores: Mapping[str, float | None],
    worst: tuple[str, str],
) -> AttemptRow:
    shown = []
    for name in ("containment", "altitude", "intercept", "overall"):
        value = scores.get(name)
        shown.append((wording.number(value), -1.0 if value is None else float(value)))
    words = wording.sentence(result)[:-1]
    return AttemptRow(
        row.name, row.href, thumb, flown, method, words, TONES.get(result, "plain"), tuple(shown), worst[0], worst[1]
    )


def _worst(attempt: Mapping[str, Any]) -> tuple[str, str]:
    for severity in ("critical", "major", "minor"):
        for finding in attempt["findings"]:
            if finding["severity"] == severity:
                return _title(finding["code"]), severity
    return "nothing to improve was found", "none"


def _title(code: str) -> str:
    entry = CODES.get(code)
    return entry.title if entry is not None else code


def _frequent(rows: Sequence[FlightRow]) -> list[tuple[str, int, list[tuple[str, str | None]]]]:
    """Return what comes up most: its words, in how many flights, and which."""
    places: dict[str, dict[str, str | None]] = {}
    for row in rows:
        for attempt in row.result.get("attempts", []) if row.result is not None else ():
            for finding in attempt["findings"]:
                if finding["severity"] != "note":
                    places.setdefault(_title(finding["code"]), {})[row.name] = row.href
    ordered = sorted(places.items(), key=lambda item: (-len(item[1]), item[0]))[:MOST_FREQUENT]
    return [(wording.sentence(title)[:-1], len(flights), list(flights.items())) for title, flights in ordered]
