"""Pages written to a folder and opened in Chromium, for the browser tests."""

import functools
import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import report_fixture as flights

from analyzer.shown.chart.draw import chart_content
from analyzer.shown.report.overview import FlightRow, index_html
from analyzer.shown.report.page import report_html
from analyzer.shown.report.progress import class_html, progress_html
from analyzer.shown.report.progress_measures import ProgressFlight
from analyzer.shown.result.result import result_dict
from tests.shown_flights import procedure_named

CHROMIUM = shutil.which("chromium")
REQUIRED = os.environ.get("REVERSAL_DEBRIEF_BROWSER_REQUIRED") == "1"
NODE_MODULES = Path(os.environ.get("REVERSAL_DEBRIEF_NPM", "node_modules"))
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
OVERVIEWS = ("index", "progress", "class", "chart")


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
    if name == "chart":
        return chart_content(procedure_named("vor_procedure_turn"), ".html")
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
    ship: of(".plan-figure .ship", "transform"), needle: of(".dock .needle-hand", "transform"),
    slider: document.querySelector(".slider").value, spoken: of(".slider", "aria-valuetext"),
    time: read("time"), altitude: read("altitude"), track: read("track"), distance: read("distance"),
  };
  document.querySelectorAll(".strip-plot").forEach(plot => {
    const hair = plot.querySelector(".hair-line"), dot = plot.querySelector(".hair-dot");
    views[plot.id] = hair ? hair.getAttribute("x1") : dot ? dot.getAttribute("cx") : "";
  });
  return views;
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
