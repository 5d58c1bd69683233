"""All numbers of a page are read, and each quantity has one value wherever it stands: over flights of every kind."""

import html
import os
import re
from collections import defaultdict
from datetime import datetime, timedelta
from functools import cache

import numpy as np
import pytest

from analyzer.shown.report.page import render_lesson
from analyzer.shown.report.view.cursor import SERIES
from analyzer.shown.report.view.lesson import lesson_view
from analyzer.shown.report.view.values import AttemptView
from tests.shown_flights import FLIGHTS, shown

#: all of them with PAGES_READ=all; those few here say each quantity at least twice
FEW = ("beyond the limit", "through the course", "80/260 by beacon", "hold 320 ft low")
NAMES = tuple(FLIGHTS) if os.environ.get("PAGES_READ") == "all" else FEW
LINE_OFF_FT = 15.0  # the line of the cursor goes through what was recorded, with its noise
NM, FT, S, DEG = r"(\d+\.\d+) NM", r"([\d,]+) ft", r"(\d+) s\b", r"(\d+)°"
#: quantity: every form in which the page says it
SAID = {
    "farthest from the fix": (rf"Farthest from the fix: {NM}", rf"farthest from the fix\|[^N]*?\|{NM}"),
    "margin to the edge": (
        rf"Nearest to the edge of the [\w ]+ at \+[\d:]+: {NM}",
        rf"smallest margin \([^)]*\)\|[^N]*?\|[+−]?{NM}",
        rf"containment\|[\w ]+\|(?:\d+\|of 100\|)?{NM} (?:in|out)side the",
    ),
    "overshoot": (
        rf"overshoot of the course\|{NM}",
        rf"The overshoot: {NM}",
        rf"the flight was {NM} beyond the \d+° inbound course",
        r"would have made it [\d.]+ NM through the course instead of (\d+\.\d+)",
        rf"would have ended on the course, not {NM} through the course",
    ),
    "beyond the distance limit": (
        rf"NM from the fix, {NM} beyond the",
        rf"Beyond the distance limit: {NM}",
        rf"not {NM} beyond the limit",
    ),
    "angle of the intercept": (
        rf"intercept angle\|{DEG}",
        rf"established [\d.]+ NM out, {DEG} cut",
        rf"was intercepted at {DEG}",
    ),
    "established at": (
        r"established ([\d.]+) NM out",
        r"established, distance to the fix\|([\d.]+) NM",
        r"Established at \+[\d:]+, ([\d.]+) NM from the fix",
    ),
    "leg flown": (rf"timed leg \([\w ]+\), flown\|{S}", rf"timing\|[\w ]+\|(?:\d+\|of 100\|)?[a-z ]+ {S}, charted"),
    "leg asked for by the wind": (rf"timed leg, asked for by the wind\|{S}", rf"charted \d+ s, in this wind {S}"),
    "highest airspeed": (
        r"highest speed \(true airspeed\)\|(\d+) kt",
        r"Highest true airspeed in the reversal: (\d+) kt",
    ),
}  # fmt: skip


def words_of(section: str) -> str:
    """The text of a part of the page, its pieces apart by bars."""
    text = html.unescape(
        re.sub(r"<[^>]+>", "|", re.sub(r"<style.*?</style>|<script.*?</script>", "", section, flags=re.S))
    )
    return re.sub(r"[|\s]*\|[|\s]*", "|", text)


@cache
def sections(name: str) -> tuple[tuple[AttemptView, str], ...]:
    """Return each reversal of a flight's page: its view, its words."""
    page = render_lesson(shown(name))
    parts = re.split(r'<section class="attempt"', page)[1:]
    parts[-1] = parts[-1].partition('<section class="papers background"')[0]
    return tuple(zip(lesson_view(shown(name)).attempts, map(words_of, parts), strict=True))


@pytest.mark.parametrize("name", NAMES)
def test_each_quantity_has_one_value(name: str) -> None:
    for view, words in sections(name):
        for quantity, forms in SAID.items():
            found = {one for form in forms for one in re.findall(form, words)}
            if quantity == "change of heading":  # of each cause its own
                found = set()
            assert len(found) <= 1, (quantity, found)
        for one in view.plan.put_right:
            assert len(set(re.findall(r"(\d+)° more", f"{one.chip} {one.words}"))) <= 1
            assert (
                len(set(re.findall(r"(?:for|Outbound|leg) (\d+:\d\d)", f"{one.chip} {one.words.partition(';')[2]}")))
                <= 1
            )


def test_the_forms_are_found() -> None:
    """Each quantity stands in two places at least on some page, or the test above says nothing."""
    seen: dict[str, int] = defaultdict(int)
    for name in NAMES:
        for _, words in sections(name):
            for quantity, forms in SAID.items():
                seen[quantity] = max(seen[quantity], sum(bool(re.search(form, words)) for form in forms))
    assert {quantity for quantity in SAID if seen[quantity] < 2} == set()


@pytest.mark.parametrize("name", NAMES)
def test_moments_and_clock_agree(name: str) -> None:
    """Every elapsed time with a time of day beside it is that long after the start: 14 March 2025, 15:00:00 UTC."""
    start = datetime(2025, 3, 14, 15)
    for _, words in sections(name):
        pairs = re.findall(r"\+(?:(\d+):)?(\d\d):(\d\d)\|(\d\d:\d\d:\d\d) UTC", words)
        for hours, minutes, seconds, clock in pairs:
            elapsed = timedelta(hours=int(hours or 0), minutes=int(minutes), seconds=int(seconds))
            assert f"{start + elapsed:%H:%M:%S}" == clock


@pytest.mark.parametrize("name", NAMES)
def test_the_cursor_says_what_the_findings_say(name: str) -> None:
    """At the moment of a finding about an altitude the cursor shows the altitude of its sentence, to the foot."""
    for view, _ in sections(name):
        cursor = view.cursor
        assert set(SERIES) <= set(cursor)
        for one in view.findings:
            said = re.search(rf"{FT} at {re.escape(one.time)}, ([\d,]+) ft (low|high)", one.text) if one.time else None
            if said is None or one.at_s is None or not cursor["altitude"]:
                continue
            told = int(said[1].replace(",", ""))
            assert [round(feet) for moment, feet in cursor["judged"] if abs(moment - one.at_s) < 0.06] == [told]
            at = (one.at_s - cursor["t0"]) / cursor["step"]
            known = [value if value is not None else np.nan for value in cursor["altitude"]]
            assert float(np.interp(at, np.arange(len(known)), known)) == pytest.approx(told, abs=LINE_OFF_FT)
