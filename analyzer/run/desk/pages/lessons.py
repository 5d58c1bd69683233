"""The list of lessons with its search, and the place to drop recordings."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, cast, get_args
from urllib.parse import urlencode

from flask import render_template, request

from analyzer.run.desk.app import the_desk
from analyzer.run.desk.pages import words
from analyzer.run.desk.pages.typed import typed_query
from analyzer.run.desk.store.assessments import codes_seen
from analyzer.run.desk.store.charts import all_charts
from analyzer.run.desk.store.lesson_list import Line, Wanted, lesson_list
from analyzer.run.desk.store.lessons import State
from analyzer.run.desk.store.pilots import all_pilots

MOST_LINES = 50
#: shown as a state, though a lesson of any state may be put away
PUT_AWAY = "put away"
_FIELDS = ("q", "pilot", "chart", "code", "since", "until", "state")
_STATES = {
    "received": "being read",
    "read": "waits for its chart",
    "assessed": "debriefed",
    "refused": "not possible as asked",
}


def show() -> str:
    """Show the lessons that are asked for, the newest flight first."""
    asked = {name: typed_query(name) for name in _FIELDS}
    start = max(0, request.args.get("start", 0, type=int))
    with the_desk().store.reading() as view:
        found = lesson_list(view, wanted(asked), start=start, most=MOST_LINES)
        anything = bool(found.total) or any(
            lesson_list(view, Wanted(put_away=away), most=1).total for away in (False, True)
        )
        pilots = [(str(one.id), one.name) for one in all_pilots(view)]
        charts = [(str(one.id), one.title) for one in all_charts(view, replaced=True)]
        codes = [(code, words.title_of(code)) for code in codes_seen(view)]
    return render_template(
        "desk/lessons.html",
        place="/",
        lines=[line_of(one) for one in found.lines],
        total=found.total,
        anything=anything,
        asked=asked,
        filtered=any(asked.values()),
        pilots=pilots,
        charts=charts,
        codes=sorted(codes, key=lambda one: one[1]),
        states=[*_STATES.items(), (PUT_AWAY, "put away")],
        pages=_pages(asked, start, found.total),
        first=start + 1,
    )


def wanted(asked: Mapping[str, str]) -> Wanted:
    """Return what the list is to show; what is no number or no state lets everything through."""
    state = asked.get("state", "")
    return replace(
        Wanted(),
        text=asked.get("q", "")[:200],
        pilot=_number(asked.get("pilot", "")),
        chart=_number(asked.get("chart", "")),
        code=asked.get("code", "")[:80],
        since=asked.get("since", "")[:10],
        until=asked.get("until", "")[:10],
        state=cast(State, state) if state in get_args(State) else None,
        put_away=state == PUT_AWAY,
    )


def _number(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 16 else None


def line_of(line: Line) -> dict[str, Any]:
    """Return a lesson as a line of the table."""
    state = "being worked on" if line.waiting else _STATES[line.state]
    said = line.result or ("no reversal found" if line.state == "assessed" else "")
    return {
        "id": line.id,
        "recording": line.recording,
        "pilot": line.pilot,
        "pilot_name": line.pilot_name,
        "charts": line.charts,
        "flown": words.day_and_time(line.flown_at),
        "length": words.length(line.duration_s),
        "state": state,
        "waiting": line.waiting,
        "refused": line.state == "refused",
        "result": said,
        "tone": words.TONES.get(line.result, "plain"),
        "overall": words.points(line.overall),
        "sort": -1.0 if line.overall is None else line.overall,
        "remarks": line.remarks,
        "signed": line.signed,
    }


def _pages(asked: Mapping[str, str], start: int, total: int) -> dict[str, str]:
    """Return the addresses of the page before and after, "" for none."""
    kept = {name: value for name, value in asked.items() if value}
    before, after = start - MOST_LINES, start + MOST_LINES
    return {
        "before": "/?" + urlencode({**kept, "start": max(0, before)}) if start else "",
        "after": "/?" + urlencode({**kept, "start": after}) if after < total else "",
    }
