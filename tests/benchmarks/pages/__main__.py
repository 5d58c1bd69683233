"""`python -m tests.benchmarks.pages [NAME ...]`: the whole matrix of pages, measured from what Chromium drew.

A line for each page, a line below it for each thing that is wrong, and the sums; the exit status says whether there was
any. axe-core and vnu-jar are used where REVERSAL_DEBRIEF_NPM names a folder that holds them.
"""

import json
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from playwright.sync_api import sync_playwright

from analyzer.shown.chart.draw import chart_content
from analyzer.shown.report.page import render_lesson
from tests.browser.test_layout_in_browser import LARGEST_DOCK, MEASURED, SETTLED, SIZES
from tests.browser_pages import CHROMIUM, FLAGS, NODE_MODULES, Opened
from tests.shown_flights import FLIGHTS, LESSONS, procedure_named, shown

CHARTS = ("vor_procedure_turn", "ndb_teardrop", "vor_holding", "rnav_30")
SCHEMES: tuple[dict[str, str], ...] = ({}, {"color_scheme": "dark"}, {"forced_colors": "active"})
LARGEST_KB, CURSOR_MS = 1000, 4.0
MOST_STOPS = 120
CURSOR_SCRIPT = """() => {
  const slider = document.querySelector(".slider"), low = Number(slider.min), high = Number(slider.max);
  const start = performance.now();
  for (let i = 0; i < 200; i += 1) {
    slider.value = low + (high - low) * i / 200;
    slider.dispatchEvent(new Event("input", { bubbles: true }));
  }
  return (performance.now() - start) / 200;
}"""
HIDDEN_FOCUS = """() => {
  const one = document.activeElement, dock = document.querySelector(".dock");
  if (!one || one === document.body || (dock && dock.contains(one))) { return ""; }
  const box = one.getBoundingClientRect(), foot = dock ? dock.getBoundingClientRect().top : innerHeight;
  const out = box.height < 500 && (box.bottom > foot + 1 || box.top < -1);
  return out ? one.outerHTML.slice(0, 90) : "";
}"""
IN_VIEW = """() => Array.from(document.querySelectorAll("[data-attempt]")).map(section => {
  const ship = section.querySelector(".ship-shape").getBoundingClientRect();
  const plan = section.querySelector(".plan-box .plan").getBoundingClientRect();
  const x = (ship.left + ship.right) / 2, y = (ship.top + ship.bottom) / 2;
  return x > plan.left && x < plan.right && y > plan.top && y < plan.bottom;
})"""


def main(names: list[str]) -> int:
    """Write the pages, open them, tell what is wrong."""
    wrong = pages = 0
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as engine:
        browser = engine.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        for name, path in _written(Path(folder), names):
            begun = time.monotonic()
            found = [*_measured(browser, path), *_used(browser, path), *_printed(browser, path)]
            found += [] if path.stat().st_size < 1000 * LARGEST_KB else [f"{path.stat().st_size // 1000} kB"]
            print(f"{name}: {path.stat().st_size // 1000} kB, {len(found)} wrong, {time.monotonic() - begun:.0f} s")
            for one in found:
                print(f"    {one}")
            pages, wrong = pages + 1, wrong + len(found)
        found = _valid(Path(folder))
        print(
            f"{pages} pages, {len(SIZES)} sizes, {len(SCHEMES)} schemes: {wrong + len(found)} wrong; vnu {len(found)}"
        )
        browser.close()
    for one in found:
        print(f"    {one}")
    return int(wrong + len(found) > 0)


def _written(folder: Path, names: list[str]) -> Iterator[tuple[str, Path]]:
    for name in (*FLIGHTS, *LESSONS, *(f"chart {each}" for each in CHARTS)):
        if names and not any(each in name for each in names):
            continue
        chart = name.removeprefix("chart ")
        content = chart_content(procedure_named(chart), ".html") if chart != name else render_lesson(shown(name))
        path = folder / f"{name.replace(' ', '_').replace('/', '-')}.html"
        path.write_text(content, encoding="utf-8")
        yield name, path


def _measured(browser: Any, path: Path) -> list[str]:
    """Overflow, cut, overlapping, broken and small words, the dock, at every size and scheme; axe at two."""
    found = []
    axe = NODE_MODULES / "axe-core" / "axe.min.js"
    for scheme in SCHEMES:
        with Opened(browser, path, **scheme) as opened:
            for width, height in SIZES if not scheme else SIZES[1::4]:
                opened.page.set_viewport_size({"width": width, "height": height})
                opened.page.evaluate(SETTLED)
                said = opened.page.evaluate(MEASURED)
                place = f"{width}x{height} {'/'.join(scheme.values())}"
                if said["over"] > 0:
                    found.append(f"{place}: {said['over']} px over")
                if said["dock"] > LARGEST_DOCK:
                    found.append(f"{place}: dock {said['dock']:.2f}")
                for kind in ("small", "overlapping", "cut", "broken"):
                    found += [f"{place}: {kind}: {one}" for one in said[kind]]
            if axe.is_file() and "forced_colors" not in scheme:
                opened.page.evaluate(axe.read_text(encoding="utf-8"))
                violations = opened.page.evaluate("async () => (await axe.run()).violations")
                found += [f"axe {'/'.join(scheme.values())}: {one['id']}" for one in violations]
            found += [f"said: {one}" for one in opened.messages]
            found += [f"asked for {url}" for url in opened.requests if not url.startswith(("file:", "data:"))]
    return found


def _used(browser: Any, path: Path) -> list[str]:
    """Keyboard, jumps, cursor, touch; and the page without script."""
    found = []
    with Opened(browser, path, viewport={"width": 1366, "height": 768}) as opened:
        page = opened.page
        for _ in range(MOST_STOPS):
            page.keyboard.press("Tab")
            hidden = page.evaluate(HIDDEN_FOCUS)
            found += [f"focus out of sight: {hidden}"] if hidden else []
        if page.locator(".dock").count():
            for jump in page.locator(".why button.moment, .phase-key button").all()[:24]:
                jump.click()
                part = int(jump.evaluate("one => one.closest('[data-attempt]').dataset.attempt"))
                found += [] if page.evaluate(IN_VIEW)[part] else ["a jump leaves the aircraft out of view"]
            took = page.evaluate(CURSOR_SCRIPT)
            found += [f"cursor {took:.1f} ms"] if took > CURSOR_MS else []
    with Opened(browser, path, viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True) as opened:
        if opened.page.locator(".dock").count():
            before = opened.state()["time"]
            box = opened.page.locator(".bar-part:visible .time-bar").bounding_box()
            opened.page.locator(".slider").first.evaluate("slider => slider.scrollIntoView()")
            opened.page.touchscreen.tap(box["x"] + box["width"] * 0.31, box["y"] + box["height"] / 2)
            found += ["a tap on the time bar does nothing"] if opened.state()["time"] == before else []
    with Opened(browser, path, java_script_enabled=False, viewport={"width": 390, "height": 844}) as opened:
        found += [] if opened.page.locator("h1").count() == 1 else ["nothing without script"]
        found += [] if opened.page.locator("main svg").count() else ["no drawing without script"]
    return found


def _printed(browser: Any, path: Path) -> list[str]:
    """Sheets of A4: four for one reversal, two more for each other; a chart on three."""
    with Opened(browser, path) as opened:
        sheets = opened.page.pdf(format="A4").count(b"/Type /Page\n")
        reversals = max(1, opened.page.locator("[data-attempt]").count())
    most = 4 + 2 * (reversals - 1)
    return [f"{sheets} sheets for {reversals} reversals"] if sheets > most else []


def _valid(folder: Path) -> list[str]:
    jar = next(NODE_MODULES.glob("vnu-jar/build/dist/vnu.jar"), None)
    if jar is None:
        return []
    command = ["java", "-jar", str(jar), "--errors-only", "--format", "json", str(folder)]
    said = json.loads(subprocess.run(command, capture_output=True, text=True, check=False).stderr)["messages"]
    return [f"vnu {Path(one['url']).name}: {one['message']}" for one in said]


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
