"""The debrief page in Chromium: no request, no message, one cursor for all views, print, accessibility, validity."""

import functools
import json
import os
import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import report_fixture as flights

from analyzer.shown.report.overview import FlightRow, index_html
from analyzer.shown.report.page import report_html
from analyzer.shown.report.progress import class_html, progress_html
from analyzer.shown.report.progress_measures import ProgressFlight
from analyzer.shown.report.view.cursor import from_steps
from analyzer.shown.result.result import result_dict

pytestmark = pytest.mark.browser

CHROMIUM = shutil.which("chromium")
REQUIRED = os.environ.get("REVERSAL_DEBRIEF_BROWSER_REQUIRED") == "1"
NODE_MODULES = Path(os.environ.get("REVERSAL_DEBRIEF_NPM", "node_modules"))
MOST_SHEETS = 4
MOST_SHEETS_FOR_TWO = 5
INTERACTIVE_MS = 500
CURSOR_MS = 1.0
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
PAGES = ("assessment", "straight_in", "two_attempts", "hostile")
OVERVIEWS = ("index", "progress", "class")


def need(there: bool, reason: str) -> None:
    """Skip where something is missing, but fail where the machine is said to have it."""
    if not there:
        (pytest.fail if REQUIRED else pytest.skip)(reason)


@functools.cache
def html_of(name: str) -> str:
    if name == "index":
        return index_html([FlightRow("one", "one.html", None, "<b>bad</b>.gpx: no positions")])
    if name == "progress":
        return progress_html([ProgressFlight("A", str(day), f"2026-05-0{day}", one_result(day)) for day in (1, 2, 3)])
    if name == "class":
        return class_html([ProgressFlight("A", "x", "2026-05-01", one_result(1))])
    return report_html(getattr(flights, name)())


def one_result(day: int) -> dict[str, Any]:
    """A result file's content, a little better each day."""
    content = result_dict(flights.assessment())
    content["attempts"][0]["containment"]["margin_nm"] += 0.3 * day
    return content


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    need(CHROMIUM is not None, "no chromium on this machine")
    playwright = pytest.importorskip("playwright.sync_api")
    with playwright.sync_playwright() as engine:
        chromium = engine.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield chromium
        chromium.close()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("pages")
    for name in (*PAGES, *OVERVIEWS):
        (place / f"{name}.html").write_text(html_of(name), encoding="utf-8")
    return place


STATE_SCRIPT = """() => {
  const of = (selector, name) => document.querySelector(selector)?.getAttribute(name) ?? "";
  const read = name => document.querySelector(`[data-read=${name}]`).textContent;
  const views = {
    ship: of(".plan-figure .ship", "transform"), needle: of(".needle-hand", "transform"),
    slider: document.querySelector(".slider").value, spoken: of(".slider", "aria-valuetext"),
    time: read("time"), altitude: read("altitude"), track: read("track"), distance: read("distance"),
  };
  document.querySelectorAll(".plot-figure .plot").forEach(plot => {
    const hair = plot.querySelector(".hair-line") || plot.querySelector(".hair-dot");
    views[plot.id] = hair ? hair.getAttribute("transform") : "";
  });
  return views;
}"""
OFFSET_LEG_SCRIPT = """() => {
  const path = document.querySelector(".world .flown.offset-leg");
  const at = path.getPointAtLength(path.getTotalLength() / 2);
  const shown = new DOMPoint(at.x, at.y).matrixTransform(path.getScreenCTM());
  return [shown.x, shown.y];
}"""


class Opened:
    """A page opened from disk without network, with what it asked for and said."""

    def __init__(self, browser: Any, path: Path, **context: Any) -> None:
        self.context = browser.new_context(offline=True, **{"viewport": {"width": 1400, "height": 900}, **context})
        self.page = self.context.new_page()
        self.requests: list[str] = []
        self.messages: list[str] = []
        self.page.on("request", lambda request: self.requests.append(request.url))
        self.page.on("console", lambda message: self.messages.append(message.text))
        self.page.on("pageerror", lambda error: self.messages.append(str(error)))
        self.page.goto(path.as_uri())

    def __enter__(self) -> "Opened":
        return self

    def __exit__(self, *error: object) -> None:
        self.context.close()

    def state(self) -> dict[str, str]:
        """What every view shows at the cursor."""
        return dict(self.page.evaluate(STATE_SCRIPT))


def changed(before: dict[str, str], after: dict[str, str]) -> set[str]:
    return {name for name in before if before[name] != after[name]}


@pytest.mark.parametrize("name", [*PAGES, *OVERVIEWS])
def test_no_request_and_no_message(browser: Any, folder: Path, name: str) -> None:
    with Opened(browser, folder / f"{name}.html") as opened:
        opened.page.mouse.move(700, 400)
        opened.page.wait_for_timeout(100)
        outside = [url for url in opened.requests if not url.startswith(("file:", "data:"))]
        assert outside == []
        assert len([url for url in opened.requests if url.startswith("file:")]) == 1
        assert opened.messages == []


def test_slider_by_keyboard_moves_every_view(browser: Any, folder: Path) -> None:
    with Opened(browser, folder / "assessment.html") as opened:
        opened.page.locator(".slider").fill("540")  # in the reversal turn, where everything changes
        before = opened.state()
        opened.page.locator(".slider").focus()
        for _ in range(8):
            opened.page.keyboard.press("ArrowRight")
        after = opened.state()
        assert changed(before, after) == set(before)
        assert after["time"] == "09:08"
        assert "reversal turn" in after["spoken"]


def test_arrow_keys_work_without_the_slider(browser: Any, folder: Path) -> None:
    with Opened(browser, folder / "assessment.html") as opened:
        before = opened.state()["slider"]
        opened.page.keyboard.press("ArrowRight")
        opened.page.keyboard.press("Shift+ArrowRight")
        assert int(opened.state()["slider"]) == int(before) + 11


def test_mouse_over_a_figure_moves_every_view(browser: Any, folder: Path) -> None:
    with Opened(browser, folder / "assessment.html") as opened:
        opened.page.locator(".slider").fill("540")
        before = opened.state()
        figure = opened.page.locator("#r1-altitude")
        figure.evaluate("figure => figure.scrollIntoView({block: 'center'})")
        box = figure.bounding_box()
        opened.page.mouse.move(box["x"] + box["width"] * 0.5, box["y"] + box["height"] / 2)
        assert changed(before, opened.state()) == set(before)


def test_mouse_on_the_plan_moves_the_cursor(browser: Any, folder: Path) -> None:
    with Opened(browser, folder / "assessment.html") as opened:
        before = opened.state()
        place = opened.page.evaluate(OFFSET_LEG_SCRIPT)
        opened.page.mouse.move(*place)
        assert "offset leg" in opened.state()["spoken"]
        assert changed(before, opened.state())


def test_click_on_a_finding_and_on_a_phase_goes_there(browser: Any, folder: Path) -> None:
    with Opened(browser, folder / "assessment.html") as opened:
        opened.page.locator(".why button.moment").first.click()
        assert opened.state()["time"] == "09:20"
        opened.page.locator(".phase-key button").nth(7).click()
        assert "inbound" in opened.state()["spoken"]


def test_needle_stands_on_the_side_of_the_course(browser: Any, folder: Path) -> None:
    """Right of the course, seen flying inbound, the course and the needle lie to the left."""
    with Opened(browser, folder / "assessment.html") as opened:
        flight = json.loads(opened.page.locator("#flight-data").text_content())[0]
        data, deflection = flight["cursor"], from_steps(flight["steps"]["deflection"])
        index = max(
            (at for at, value in enumerate(deflection) if value is not None),
            key=lambda at: min(deflection[at], 900),
        )
        assert deflection[index] > 100
        opened.page.locator(".slider").fill(str(round(data["t0"] + index * data["step"])))
        shift = float(re.findall(r"translate\((-?[\d.]+)", opened.state()["needle"])[0])
        assert shift < -5
        assert "course to the left" in opened.page.locator("[data-read=needle]").text_content()


def test_play_runs_and_stops(browser: Any, folder: Path) -> None:
    with Opened(browser, folder / "assessment.html") as opened:
        before = int(opened.state()["slider"])
        opened.page.locator(".play").click()
        opened.page.wait_for_timeout(600)
        opened.page.locator(".play").click()
        stopped = int(opened.state()["slider"])
        assert stopped > before + 2
        opened.page.wait_for_timeout(200)
        assert int(opened.state()["slider"]) == stopped


def test_switches_and_zoom(browser: Any, folder: Path) -> None:
    with Opened(browser, folder / "assessment.html") as opened:
        plan = opened.page.locator("#r1-plan")
        close = plan.get_attribute("viewBox")
        opened.page.get_by_role("button", name="Whole area").click()
        assert plan.get_attribute("viewBox") == "0.0 0.0 800.0 620.0"
        opened.page.get_by_role("button", name="Reversal", exact=True).click()
        assert plan.get_attribute("viewBox") == close
        area = opened.page.locator("#r1-world .area.primary")
        assert area.is_visible()
        opened.page.get_by_role("checkbox", name="protected areas").uncheck()
        assert not area.is_visible()


def test_all_content_is_there_without_script(browser: Any, folder: Path) -> None:
    with Opened(browser, folder / "assessment.html", java_script_enabled=False) as opened:
        assert opened.page.locator(".plan-figure .plan").is_visible()
        assert opened.page.locator(".finding").count() == 4
        assert opened.page.locator(".plot-figure").count() == 7
        assert not opened.page.locator(".dock").first.is_visible()
        assert not opened.page.locator(".switches").first.is_visible()


def test_plan_and_verdict_are_on_the_first_screen(browser: Any, folder: Path) -> None:
    with Opened(browser, folder / "assessment.html") as opened:
        for selector in (".verdict", ".scores", ".why", ".next", ".plan-figure .plan"):
            box = opened.page.locator(selector).first.bounding_box()
            assert box["y"] + box["height"] <= 900, selector
        plan = opened.page.locator(".plan-figure .plan").bounding_box()
        assert plan["width"] * plan["height"] > 0.35 * 1400 * 900


@pytest.mark.parametrize("width", [1400, 768, 390])
@pytest.mark.parametrize("name", [*PAGES, *OVERVIEWS])
def test_no_sideways_scrolling(browser: Any, folder: Path, name: str, width: int) -> None:
    with Opened(browser, folder / f"{name}.html", viewport={"width": width, "height": 844}) as opened:
        assert opened.page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize(("name", "most"), [("assessment", MOST_SHEETS), ("two_attempts", MOST_SHEETS_FOR_TWO)])
def test_prints_on_few_sheets(browser: Any, folder: Path, tmp_path: Path, name: str, most: int) -> None:
    with Opened(browser, folder / f"{name}.html") as opened:
        opened.page.pdf(path=str(tmp_path / "page.pdf"), prefer_css_page_size=True)
    sheets = len(re.findall(rb"/Type\s*/Page\b", (tmp_path / "page.pdf").read_bytes()))
    assert 1 < sheets <= most


def test_interactive_soon_and_cursor_quick(browser: Any, folder: Path) -> None:
    ready_ms = []
    for _ in range(3):  # the machine may be busy with other tests: the best of three is the page's own time
        with Opened(browser, folder / "assessment.html") as opened:
            ready_ms.append(opened.page.evaluate("performance.getEntriesByType('navigation')[0].domInteractive"))
    assert min(ready_ms) < INTERACTIVE_MS
    with Opened(browser, folder / "assessment.html") as opened:
        each_ms = opened.page.evaluate(
            """() => { const slider = document.querySelector(".slider"), start = performance.now(), count = 400;
              for (let i = 0; i < count; i += 1) { slider.value = 200 + i; slider.dispatchEvent(new Event("input")); }
              return (performance.now() - start) / count; }"""
        )
        assert each_ms < CURSOR_MS


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("name", [*PAGES, *OVERVIEWS])
def test_axe_finds_nothing(browser: Any, folder: Path, name: str, scheme: str) -> None:
    axe = NODE_MODULES / "axe-core" / "axe.min.js"
    need(axe.is_file(), "axe-core is not installed; npm install axe-core and set REVERSAL_DEBRIEF_NPM")
    context = {"color_scheme": scheme, "bypass_csp": True}
    with Opened(browser, folder / f"{name}.html", **context) as opened:
        opened.page.evaluate(axe.read_text(encoding="utf-8"))
        found = opened.page.evaluate("async () => (await axe.run()).violations")
        assert [(each["id"], [node["target"] for node in each["nodes"]][:3]) for each in found] == []


def test_vnu_finds_no_error(folder: Path) -> None:
    jar = next(NODE_MODULES.glob("vnu-jar/build/dist/vnu.jar"), None)
    need(jar is not None, "vnu-jar is not installed; npm install vnu-jar and set REVERSAL_DEBRIEF_NPM")
    need(shutil.which("java") is not None, "no java on this machine")
    pages = [str(folder / f"{name}.html") for name in (*PAGES, *OVERVIEWS)]
    done = subprocess.run(
        ["java", "-jar", str(jar), "--format", "json", "--errors-only", *pages],
        capture_output=True,
        text=True,
        check=False,
    )
    messages = json.loads(done.stderr)["messages"]
    assert [(each["url"].rsplit("/", 1)[-1], each["message"]) for each in messages] == []
