"""The debrief page: its numbers, its links, its escaping, its policy; on flights made by hand."""

import base64
import hashlib
import json
import re
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest
import report_fixture as flights

from analyzer.given.track import QualityNote
from analyzer.given.wind import Wind, wind_from
from analyzer.judged.findings.catalogue import CODES
from analyzer.judged.findings.values import Finding
from analyzer.judged.measurements.values import LegMeasure
from analyzer.planned.solver.solve import Asked, solve
from analyzer.planned.solver.values import SolvedPlan
from analyzer.shown.report.page import report_html
from analyzer.shown.report.view.attempt import attempt_view
from analyzer.shown.report.view.callouts import MOST_WORDS, short_words
from analyzer.shown.report.view.plan_wind import _flying_times_s
from analyzer.shown.report.view.report import report_view
from analyzer.shown.report.view.tables import attempt_tables
from analyzer.units.factors import METRES_PER_FOOT, METRES_PER_NM

VOID = {"meta", "link", "br", "hr", "img", "input", "use"}


class Page(HTMLParser):
    """Elements with their attributes, and the text that people see."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str]]] = []
        self.shown: list[str] = []
        self.raw: dict[str, list[str]] = {"style": [], "script": []}
        self._inside: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, {name: value or "" for name, value in attrs}))
        if tag in self.raw:
            self.raw[tag].append("")
        if tag not in VOID:
            self._inside.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if self._inside and self._inside[-1] == tag:
            self._inside.pop()

    def handle_data(self, data: str) -> None:
        if self._inside and self._inside[-1] in self.raw:
            self.raw[self._inside[-1]][-1] += data
        else:
            self.shown.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.shown).split())

    def attributes(self, name: str) -> list[str]:
        return [attributes[name] for _, attributes in self.elements if name in attributes]


@pytest.fixture(scope="module")
def html() -> str:
    return report_html(flights.assessment())


@pytest.fixture(scope="module")
def page(html: str) -> Page:
    return Page(html)


def test_verdict_scores_and_worst_findings_are_on_the_page(page: Page) -> None:
    measured = flights.assessment().attempts[0].measures
    past_nm = -measured.containment.margin_m / METRES_PER_NM
    low_ft = -measured.altitudes[1].margin_m / METRES_PER_FOOT
    assert "Not to standard" in page.text
    for score in ("42 of 100", "71 of 100", "88 of 100"):
        assert score in page.text
    assert f"{past_nm:.2f} NM outside the distance limit" in page.text
    assert f"{low_ft:.0f} ft below the limit, reversal" in page.text
    assert "Start the turn off the outbound course about 25 s earlier" in page.text


def test_verdict_comes_before_figures_and_worst_finding_before_lesser_ones(html: str) -> None:
    places = [html.index(words) for words in ('class="verdict', 'class="scores"', 'class="why"', 'class="figure plan')]
    assert places == sorted(places)
    why = html[html.index('class="why"') : html.index('class="next"')]
    severities = re.findall(r'<li class="(\w+)">', why)
    assert severities == ["critical", "major", "minor"]


def test_every_inner_reference_has_its_target_and_every_id_is_unique(html: str, page: Page) -> None:
    ids = page.attributes("id")
    assert len(ids) == len(set(ids))
    wanted = [value[1:] for value in page.attributes("href") if value.startswith("#")]
    wanted += [
        name
        for key in ("aria-labelledby", "aria-describedby")
        for value in page.attributes(key)
        for name in value.split()
    ]
    wanted += re.findall(r"url\(#([^)]+)\)", html)
    assert len(wanted) > 20
    assert set(wanted) <= set(ids)


def test_two_attempts_are_two_sections_with_links_and_unique_ids() -> None:
    page = Page(report_html(flights.two_attempts()))
    ids = page.attributes("id")
    assert len(ids) == len(set(ids))
    assert {"r1", "r2"} <= set(ids)
    assert {"#r1", "#r2"} <= set(page.attributes("href"))
    assert "Reversal 2 of 2" in page.text


def test_flight_without_a_reversal_says_so_and_is_still_drawn() -> None:
    html = report_html(flights.straight_in())
    page = Page(html)
    assert "Not assessed" in page.text
    assert "No course reversal: the flight passed the fix once, inbound, and went on." in page.text
    track = re.search(r'class="line flown single" d="(M[^"]+)"', html)
    assert track is not None
    assert len(re.findall(r"\d", track.group(1))) > 100


def test_nothing_from_outside_becomes_markup() -> None:
    hostile, harmless = report_html(flights.hostile()), report_html(flights.assessment())
    strange, plain = Page(hostile), Page(harmless)
    assert "onerror" in strange.text  # the words are there, as text
    assert not any(tag == "img" or "onerror" in attributes for tag, attributes in strange.elements)
    count = {tag: sum(name == tag for name, _ in plain.elements) for tag in ("script", "style", "svg", "iframe", "a")}
    assert {tag: sum(name == tag for name, _ in strange.elements) for tag in count} == count
    assert "\u2028" not in strange.raw["script"][0]
    assert not re.search(r"[<>&]", strange.raw["script"][0])
    assert json.loads(strange.raw["script"][0])[0]["steps"]["x"]


def test_policy_allows_this_style_and_script_alone(html: str, page: Page) -> None:
    policy = next(attributes["content"] for _, attributes in page.elements if attributes.get("http-equiv"))
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
    assert rules["default-src"] == "'none'"
    assert "unsafe" not in policy
    assert "http" not in policy

    def digest(content: str) -> str:
        return "'sha256-" + base64.b64encode(hashlib.sha256(content.encode()).digest()).decode() + "'"

    assert rules["style-src"] == digest(page.raw["style"][0])
    assert rules["script-src"] == digest(page.raw["script"][1])
    assert not any(name.startswith("on") or name == "style" for _, attributes in page.elements for name in attributes)


def test_no_address_outside_the_page(html: str, page: Page) -> None:
    addresses = page.attributes("href") + page.attributes("src")
    assert addresses
    assert all(address.startswith(("#", "data:,")) for address in addresses)
    assert "@import" not in page.raw["style"][0]
    assert not re.search(r"url\((?!#)", page.raw["style"][0])


def test_same_assessment_gives_the_same_page(html: str) -> None:
    assert report_html(flights.assessment()) == html


def test_every_figure_has_a_name_and_words(page: Page) -> None:
    named = [attributes for tag, attributes in page.elements if tag == "svg" and attributes.get("role")]
    figures = [attributes for attributes in named if attributes.get("aria-labelledby")]
    assert len(figures) == 9  # plan twice, six strips over time, the profile
    assert all(attributes.get("aria-labelledby") and attributes.get("aria-describedby") for attributes in figures)
    assert all(attributes.get("aria-labelledby") or attributes.get("aria-label") for attributes in named)
    drawn = [attributes for tag, attributes in page.elements if tag == "svg" and not attributes.get("role")]
    inner = ("viewbox", "overflow")  # part of another drawing
    assert all(
        attributes.get("aria-hidden") == "true" or any(key in attributes for key in inner) for attributes in drawn
    )


def test_tables_have_captions_and_scoped_heads(html: str) -> None:
    tables = re.findall(r"<table.*?</table>", html, re.DOTALL)
    assert len(tables) >= 9
    assert all("<caption" in table for table in tables)
    assert all(re.search(r"<th(?! scope)", table.replace("<thead", "")) is None for table in tables)


def test_defaults_are_marked_as_defaults_and_cautions_stand() -> None:
    view = report_view(flights.assessment())
    rows = {row[0].text: (row[1].text, row[2].text) for row in view.procedure_table.rows}
    assert rows["full needle deflection"] == ("10.0°", "default")
    assert rows["remain within"] == ("10.0 NM", "file")
    page = Page(report_html(flights.assessment()))
    assert "not for navigation and not for flight planning" in page.text
    assert "licensed instructor decide" in page.text


def test_each_phase_is_told_by_number_dash_and_name(html: str) -> None:
    view = report_view(flights.assessment()).attempts[0]
    assert [band.number for band in view.bands] == list(range(1, 10))
    for band in view.bands:
        assert f"line flown {band.phase.replace(' ', '-')}" in html
    style = Page(html).raw["style"][0]
    dashes = re.findall(r"\.line\.[\w-]+\{stroke:var\(--phase-[\w-]+\);(?:stroke-dasharray:([^;]+);)?", style)
    assert len(dashes) == 9
    assert sorted(dash for dash in dashes if not dash) == ["", ""]  # outbound and inbound alone are solid lines
    assert len({dash for dash in dashes if dash}) == 7


def test_causes_stand_with_their_size_and_the_largest_on_the_first_screen(html: str, page: Page) -> None:
    first_screen = html[html.index('class="headline"') : html.index('class="scores"')]
    assert "With 205 s instead of 239 s outbound" in first_screen
    assert "Beyond the distance limit: 0.54 NM" in page.text
    shares = re.findall(r'class="share-value" width="(\d+)%"', html)
    assert shares == ["100", "22"]  # 945 m and 205 m
    assert "(0.51 NM, 1 sigma 0.04 NM)" in page.text


def test_card_for_the_next_flight_is_on_the_page(page: Page) -> None:
    assert "Turn right to 343°, 54 seconds from wings level." in page.text


def test_track_that_ends_early_says_what_is_not_assessed() -> None:
    full = flights.assessment()
    one = full.attempts[0]
    attempt = replace(one.attempt, complete=False, passages=one.attempt.passages[:1], established_s=(None,))
    page = Page(report_html(replace(full, attempts=(replace(one, attempt=attempt),))))
    assert "The track ends before the reversal does" in page.text


def test_track_without_altitudes_still_gives_a_page() -> None:
    full = flights.assessment()
    one = full.attempts[0]
    missing = tuple(
        replace(each, worst_m=None, worst_at_s=None, margin_m=None, violations=(), reason="the track has no altitudes")
        for each in one.measures.altitudes
    )
    measures = replace(one.measures, altitudes=missing)
    judgement = replace(one.judgement, altitudes=("not assessed",) * 4)
    scores = replace(one.scores, altitude=None)
    changed = replace(one, measures=measures, judgement=judgement, scores=scores)
    page = Page(report_html(replace(full, altitude=None, attempts=(changed,))))
    assert "The track has no altitudes." in page.text
    assert "Altitude, reversal: the track has no altitudes." in page.text


def test_hour_at_one_hertz_fits_in_a_megabyte() -> None:
    from analyzer.flown.motion.motion import estimate_motion

    full = flights.assessment()
    track = full.track
    longer = replace(track, time_s=track.time_s * (3600.0 / track.time_s[-1]))
    motion, _ = estimate_motion(longer, full.frame)
    assert len(motion) > 3500
    one = full.attempts[0]
    scale = 3600.0 / track.time_s[-1]
    phases = tuple(
        replace(phase, start_s=phase.start_s * scale, end_s=phase.end_s * scale) for phase in one.attempt.phases
    )
    passages = tuple(replace(each, at_s=each.at_s * scale) for each in one.attempt.passages)
    attempt = replace(one.attempt, end_s=3600.0, phases=phases, passages=passages)
    record = replace(full.altitude, time_s=full.altitude.time_s * scale)
    stretched = replace(full, track=longer, motion=motion, altitude=record, attempts=(replace(one, attempt=attempt),))
    one_megabyte = 1_000_000
    assert len(report_html(stretched).encode()) <= one_megabyte


def test_a_flight_to_standard_is_not_told_that_a_part_was_not_to_standard() -> None:
    whole = flights.assessment()
    one = whole.attempts[0]
    minor = replace(one.judgement.findings[0], severity="minor")
    assessed = replace(
        one,
        judgement=replace(
            one.judgement,
            findings=(minor,),
            timing="not to standard",
            altitudes=("too close to call",) * len(one.judgement.altitudes),
        ),
        scores=replace(one.scores, result="to standard", reason="minor faults only"),
    )
    headline = attempt_view(replace(whole, attempts=(assessed,)), assessed).headline
    assert headline.startswith("Minor faults only. ")
    assert "timing outside the tolerance" in headline
    assert "not to standard" not in headline
    assert "altitude (arrival, reversal, inbound and final) too close to call" in headline


def test_a_required_reversal_that_was_not_flown_is_the_verdict() -> None:
    without = flights.straight_in()
    note = QualityNote("reversal-missing", "The procedure turn that the chart requires was not flown.")
    view = report_view(replace(without, notes=(*without.notes, note))).attempts[0]
    assert view.result == "Required reversal not flown"
    assert view.tone == "bad"
    assert view.headline.startswith("The procedure turn that the chart requires was not flown. ")


def test_outbound_in_a_circuit_the_table_asks_for_what_the_card_does() -> None:
    whole = flights.assessment()
    one = whole.attempts[0]
    hold = replace(whole.procedure, reversal="holding", turn_side="right")
    solved = solve(Asked(hold, 55.0, wind_from(whole.procedure.inbound_true_deg + 90.0, 8.0), "hold", "teardrop"))
    assert isinstance(solved, SolvedPlan)
    outbound = solved.heading_true_deg("outbound", 2)
    assert outbound is not None
    legs = tuple(
        LegMeasure("outbound", lap, 120.0, 180.0, 300.0, 0.5, 290.0, 1.0, 305.0, drift)
        for lap, drift in ((1, -5.0), (2, -5.0), (3, -15.0))
    )
    flown = replace(
        one,
        attempt=replace(one.attempt, flown_as="hold", entry="teardrop"),
        measures=replace(one.measures, legs=legs, solved=solved),
    )
    table = next(table for table in attempt_tables(whole, flown, ()) if table.key == "legs")
    asked = round((outbound - 305.0 + 180.0) % 360.0 - 180.0)
    assert asked < -15, "from the right of the inbound course: left outbound, about three times the drift"
    assert [row[-1].text for row in table.rows] == ["−5°", f"−{-asked}°", f"−{-asked}°"]


def test_a_reversal_broken_off_long_before_the_end_is_not_the_tracks_end() -> None:
    whole = flights.assessment()
    one = whole.attempts[0]
    end_s = float(whole.motion.time_s[-1])

    def headline(at_s: float) -> str:
        cut = replace(one, attempt=replace(one.attempt, complete=False, end_s=at_s))
        return attempt_view(replace(whole, attempts=(cut,)), cut).headline

    assert "The track ends before the reversal does." in headline(end_s)
    assert "The reversal was broken off." in headline(end_s - 60.0)


def test_the_flight_put_right_is_drawn_and_timed_by_the_wind() -> None:
    """Along a wind of 10 m/s at 50 m/s of airspeed 600 m take 10 s with it, 15 s against it, 12.25 s across it."""
    wind = Wind(10.0, 0.0, 50.0, None, "given")
    times = _flying_times_s(np.array([0.0, 600.0, 0.0, 0.0]), np.array([0.0, 0.0, 0.0, 600.0]), wind)
    assert np.diff(times) == pytest.approx([10.0, 15.0, 600.0 / np.sqrt(50.0**2 - 10.0**2)])


def test_each_cause_with_a_path_has_a_chip_and_the_largest_is_seen() -> None:
    whole = flights.assessment()
    one = whole.attempts[0]
    effect = one.causes.effects[0]
    along = np.linspace(9_000.0, 3_000.0, 30)
    drawn = tuple(
        replace(cause, from_s=480.0, along_m=along, cross_m=np.full(30, offset))
        for cause, offset in zip(effect.causes, (0.0, 200.0), strict=True)
    )
    causes = replace(one.causes, effects=(replace(effect, causes=drawn),))
    html = report_html(replace(whole, attempts=(replace(one, causes=causes),)))
    chips = re.findall(r'data-put-right="(\d)" aria-pressed="(\w+)" title="[^"]*">([^<]+)<', html)
    assert [(number, pressed) for number, pressed, _ in chips] == [("0", "true"), ("1", "false")]
    assert chips[0][2] == "Outbound 3:25 → 0.03 NM beyond"
    assert re.findall(r'class="(put-right-layer[^"]*)"', html) == ["put-right-layer", "put-right-layer off"]
    data = json.loads(Page(html).raw["script"][0])[0]["put_right"]
    assert [each["from"] for each in data] == [480.0, 480.0]


def test_call_outs_have_six_words_at_most() -> None:
    for code in CODES:
        for measured, margin in ((1234.5, -1234.5), (None, None)):
            finding = Finding(code, "major", None, None, 1.0, "", "", "", measured, 1.0, margin, "NM")
            assert len(short_words(finding).split()) <= MOST_WORDS, code
