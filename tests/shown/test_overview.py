"""The overview of several flights, and the progress of a pilot and of a class, from result files' content."""

import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import report_fixture as flights

from analyzer.shown.report.overview import FlightRow, drawn_in, index_html, render_index
from analyzer.shown.report.page import report_html
from analyzer.shown.report.progress import class_html, progress_html
from analyzer.shown.report.progress_measures import ProgressFlight, follow, tolerances_of
from analyzer.units.factors import METRES_PER_NM


def attempt(**changes: Any) -> dict[str, Any]:
    """One reversal as a result file holds it; `changes` replaces what a test is about."""
    base: dict[str, Any] = {
        "number": 1,
        "flown_as": "45/180",
        "entry": None,
        "containment": {"margin_nm": 0.8, "verdict": "inside"},
        "altitudes": [{"margin_ft": 40.0}, {"margin_ft": None}],
        "intercept": {"angle_deg": 40.0, "overshoot_nm": 0.0, "max_deflection": 0.3},
        "timing": {"leg_s": 63.0, "planned_s": 60.0, "wind_adjusted_s": 66.0},
        "turns": [{"phase": "reversal turn", "mean_rate_deg_s": -2.9}],
        "findings": [],
        "scores": {"containment": 100.0, "altitude": 90.0, "intercept": None, "timing": 100.0, "overall": 95.5},
        "result": "to standard",
    }
    return {**base, **changes}


def finding(code: str, severity: str) -> dict[str, Any]:
    return {"code": code, "severity": severity}


def result(*attempts: dict[str, Any], start: str = "2026-05-17T14:03:20+00:00") -> dict[str, Any]:
    return {"track": {"start_utc": start}, "tolerances": "US practical test", "attempts": list(attempts)}


FAILED = attempt(
    result="not to standard",
    containment={"margin_nm": -0.5, "verdict": "outside"},
    findings=[finding("leg-too-long", "minor"), finding("left-distance-limit", "critical")],
)


def cells(html: str) -> list[list[str]]:
    rows = re.findall(r"<tr>(.*?)</tr>", html[html.index("<tbody>") :], re.DOTALL)
    return [
        [re.sub(r"<[^>]+>", "", cell).strip() for cell in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row)] for row in rows
    ]


def test_each_reversal_is_a_line_with_its_worst_finding_first() -> None:
    html = index_html(
        [
            FlightRow("first", "first.html", result(attempt(), FAILED)),
            FlightRow("second", None, result()),
            FlightRow("third", None, None, "third.gpx: no positions"),
        ]
    )
    rows = cells(html)
    assert [row[1] for row in rows] == ["first", "first", "second"]
    assert rows[0][3:9] == ["1: 45/180", "To standard", "100", "90", "–", "96"]
    assert rows[1][9] == "beyond the distance limit"
    assert rows[2][3] == "no reversal"
    assert "third.gpx: no positions" in html
    assert 'href="first.html"' in html


def test_what_comes_up_most_counts_flights_not_reversals() -> None:
    html = index_html([FlightRow("one", None, result(FAILED, FAILED)), FlightRow("two", None, result(FAILED))])
    first = re.search(r'<ol><li><strong>([^<]+)</strong> <span class="in-flights">in (\d) of (\d)', html)
    assert first is not None
    assert first.groups() == ("Beyond the distance limit", "2", "2")


def test_names_from_outside_are_escaped() -> None:
    html = index_html(
        [FlightRow("<b>x</b>", "a%22b.html", result(attempt())), FlightRow("y", None, None, "<i>bad</i>")]
    )
    assert "<b>x</b>" not in html
    assert "&lt;b&gt;x&lt;/b&gt;" in html
    assert "<i>bad</i>" not in html


def test_small_plans_come_from_the_reports(tmp_path: Path) -> None:
    page = tmp_path / "lesson 14.html"
    page.write_text(report_html(flights.assessment()), encoding="utf-8")
    ((path, worst),) = drawn_in(page)
    assert max(abs(x) for x, _ in path) == pytest.approx(8.4, abs=0.6)
    one = flights.assessment()
    found = next(one for one in one.attempts[0].judgement.findings if one.severity == worst[1])
    there = [np.interp(found.at_s, one.motion.time_s, along) for along in (one.motion.along_m, one.motion.cross_m)]
    east, north = one.frame.east_north_from_along_cross(*there)
    assert worst[0] == pytest.approx((east / METRES_PER_NM, north / METRES_PER_NM), abs=0.03)

    class Outcome:
        def __init__(self) -> None:
            self.result, self.error, self.page = result(attempt()), None, page

    html = render_index([Outcome()])
    assert 'href="lesson%2014.html"' in html
    assert 'class="thumb"' in html


def test_strange_file_in_place_of_a_report_gives_no_plan(tmp_path: Path) -> None:
    page = tmp_path / "other.html"
    page.write_text('<script type="application/json" id="flight-data">{"no": 1}</script>', encoding="utf-8")
    assert drawn_in(page) == ()
    assert drawn_in(tmp_path / "missing.html") == ()


def followed(values: list[float]) -> tuple[str, str]:
    attempts = [attempt(containment={"margin_nm": value}) for value in values]
    one = next(each for each in follow(attempts, tolerances_of([])) if each.measure.key == "containment")
    return one.trend, one.words


def test_trend_is_told_from_the_first_and_the_last_third() -> None:
    assert followed([-1.0, -0.8, 0.1, 0.3, 0.5, 0.4])[0] == "improved"
    assert followed([0.5, 0.4, 0.1, -0.3, -0.9, -1.0])[0] == "got worse"
    assert followed([0.5, 0.2, 0.9])[0] == "steady inside"
    assert followed([-0.5, -0.5, -0.52])[0] == "not inside yet"
    assert followed([0.5, -0.4])[0] == "too few flights"


def test_trend_names_first_last_and_how_many_inside() -> None:
    assert followed([-1.0, 0.0, 0.5])[1] == "First −1.00, last 0.50; inside the band in 2 of 3: improved."


def test_progress_page_sorts_by_date_and_names_the_tolerances() -> None:
    flown = [
        ProgressFlight("Pilot", "late", "2026-06-01", result(attempt()), "late.html"),
        ProgressFlight("Pilot", "early", "2026-05-01", result(FAILED)),
    ]
    html = progress_html(flown)
    assert [row[1] for row in cells(html)] == ["early", "late"]
    assert "US practical test" in html
    assert html.count('class="value-outside"') == 1  # the margin of the early flight


def test_class_page_has_a_line_for_each_pilot() -> None:
    flown = [
        ProgressFlight("Two", "a", "2026-05-01", result(FAILED)),
        ProgressFlight("One", "b", "2026-05-01", result(attempt())),
        ProgressFlight("Two", "c", "2026-05-08", result(attempt())),
    ]
    html = class_html(flown)
    rows = cells(html)
    assert [row[:2] for row in rows[:2]] == [["One", "1 of 1"], ["Two", "1 of 2"]]
    assert [row[:2] for row in rows[3:]] == [["One", "met, 1 of 1"], ["Two", "met, 1 of 2"]]  # margin to the edge
    assert rows[1][3].startswith("beyond the distance limit (1)")


def _measured(key: str, **changes: object) -> float | None:
    one = next(each for each in follow([attempt(**changes)], tolerances_of([])) if each.measure.key == key)
    return one.values[0]


def test_progress_measures_what_the_findings_judge() -> None:
    timing = {"leg_s": 60.0, "planned_s": 60.0, "wind_adjusted_s": 41.0, "verdict": "to standard"}
    assert _measured("timing", timing={**timing, "leg": "offset leg", "lap": 1}) == 0.0  # the charted time is right
    assert _measured("timing", timing={**timing, "leg": "outbound", "lap": 2}) == 19.0
    assert _measured("timing", timing={**timing, "leg": "offset leg", "lap": 1, "leg_s": 35.0}) == -6.0
    needle = {**attempt()["intercept"], "max_deflection": 1.9, "judged_deflection": 0.4}
    assert _measured("needle", intercept=needle) == 0.4


def test_a_measure_that_improved_but_is_not_inside_is_not_going_well() -> None:
    def page(values: list[float]) -> str:
        results = [result(attempt(containment={"margin_nm": value})) for value in values]
        return progress_html([ProgressFlight("", f"{n}", f"2026-01-0{n + 1}", one) for n, one in enumerate(results)])

    well, open_points = r"Going well</h2><ul[^>]*>(.*?)</ul>", r"To work on</h2><ul[^>]*>(.*?)</ul>"
    better = page([-2.0, -1.0, -0.5])
    assert "Margin to the edge" not in "".join(re.findall(well, better, re.DOTALL))
    assert "Margin to the edge (improved, not inside yet)" in re.findall(open_points, better, re.DOTALL)[0]
    assert "Margin to the edge" in re.findall(well, page([-2.0, -1.0, 0.5]), re.DOTALL)[0]


def test_what_was_once_critical_or_missed_lately_is_not_going_well() -> None:
    def well(attempts: list[dict[str, Any]]) -> str:
        flown = [ProgressFlight("", f"{n}", f"2026-01-0{n + 1}", result(one)) for n, one in enumerate(attempts)]
        return "".join(re.findall(r"Going well</h2><ul[^>]*>(.*?)</ul>", progress_html(flown), re.DOTALL))

    good, outside = attempt(), attempt(containment={"margin_nm": -0.5, "verdict": "outside"})
    assert "Margin to the edge (inside in 6 of 6)" in well([good] * 6)
    assert "Margin to the edge (inside in 5 of 6)" in well([outside, *[good] * 5])
    assert "Margin to the edge" not in well([*[good] * 4, outside, good])
    assert "Margin to the edge" not in well([FAILED, *[good] * 5])


def test_progress_begins_with_the_results_and_what_is_missed_most() -> None:
    flown = [ProgressFlight("A", f"f{n}", f"2026-01-0{n}", result(one)) for n, one in enumerate((FAILED, attempt()), 1)]
    html = progress_html(flown)
    strip = html[html.index('class="course-of"') : html.index('class="trends"')]
    assert re.findall(r'class="unseen">([^<]+)<', strip) == ["Not to standard", "To standard"]
    assert html.index("Margin to the edge, NM") < html.index("Intercept angle, °")


def test_small_plan_shows_the_limit_and_the_worst_place() -> None:
    one = attempt(start_s=0.0, end_s=100.0, findings=[{**finding("left-distance-limit", "major"), "at_s": 50.0}])
    content = {**result(one), "procedure": {"limits": {"remain_within_nm": 10.0}}}
    path = ((0.0, 0.0), (0.0, 5.0), (0.0, 10.0))
    html = index_html([FlightRow("a", None, content, None, (path,), (((0.0, 5.0), "major"),))])
    assert re.search(r'class="thumb-limit" cx="0" cy="42" r="84"', html)
    assert re.search(r'class="thumb-worst major" cx="0" cy="0"', html)
