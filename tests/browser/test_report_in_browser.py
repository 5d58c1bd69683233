"""The debrief page in Chromium: no request, no message, one cursor for all views, print, accessibility, validity."""

import json
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
from browser_pages import NODE_MODULES, OVERVIEWS, PAGES, Opened, need

from analyzer.shown.report.page import render_lesson
from analyzer.shown.report.view.cursor import from_steps
from tests.shown_flights import shown

pytestmark = pytest.mark.browser

MOST_SHEETS = 4
MOST_SHEETS_FOR_TWO = 6  # two more for each other reversal
INTERACTIVE_MS = 500
CURSOR_MS = 4.0
OFFSET_LEG_SCRIPT = """() => {
  const path = document.querySelector(".world .flown.offset-leg");
  const at = path.getPointAtLength(path.getTotalLength() / 2);
  const shown = new DOMPoint(at.x, at.y).matrixTransform(path.getScreenCTM());
  return [shown.x, shown.y];
}"""


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
        assert after["time"] == "+09:08"
        assert "reversal turn" in after["spoken"]


def test_arrow_keys_work_without_the_slider(browser: Any, folder: Path) -> None:
    with Opened(browser, folder / "assessment.html") as opened:
        before = opened.state()["slider"]
        opened.page.keyboard.press("ArrowRight")
        opened.page.keyboard.press("Shift+ArrowRight")
        assert int(opened.state()["slider"]) == int(before) + 11


def test_click_on_a_strip_moves_every_view_and_hover_moves_none(browser: Any, folder: Path) -> None:
    with Opened(browser, folder / "assessment.html") as opened:
        opened.page.locator(".slider").fill("540")
        before = opened.state()
        strip = opened.page.locator("#r1-altitude")
        strip.evaluate("strip => strip.scrollIntoView({block: 'center'})")
        box = strip.bounding_box()
        opened.page.mouse.move(box["x"] + box["width"] * 0.5, box["y"] + box["height"] / 2)
        assert not changed(before, opened.state())
        assert "away" not in opened.page.locator("#r1-needle .ghost-line").get_attribute("class")
        opened.page.mouse.down()
        opened.page.mouse.up()
        assert changed(before, opened.state()) == set(before)


def test_click_on_the_path_moves_the_cursor_and_hover_does_not(browser: Any, folder: Path) -> None:
    with Opened(browser, folder / "assessment.html") as opened:
        before = opened.state()
        place = opened.page.evaluate(OFFSET_LEG_SCRIPT)
        opened.page.mouse.move(*place)
        assert not changed(before, opened.state())
        assert "offset leg" in opened.page.locator(".plan-tip").text_content()
        opened.page.mouse.click(*place)
        assert "offset leg" in opened.state()["spoken"]


AIRCRAFT_SCRIPT = """() => {
  const ship = document.querySelector(".ship-shape").getBoundingClientRect();
  const plan = document.querySelector(".plan-box .plan").getBoundingClientRect();
  const x = (ship.left + ship.right) / 2, y = (ship.top + ship.bottom) / 2;
  return x > plan.left && x < plan.right && y > plan.top && y < plan.bottom;
}"""


def test_jumps_and_play_keep_the_aircraft_in_view(browser: Any, folder: Path) -> None:
    with Opened(browser, folder / "assessment.html") as opened:
        page = opened.page
        for _ in range(4):
            page.get_by_role("button", name="Closer").click()
        for jump in page.locator(".why button.moment").all() + page.locator(".phase-key button").all():
            jump.click()
            assert page.evaluate(AIRCRAFT_SCRIPT)
        page.locator(".slider").fill("2")
        page.locator(".pace select").select_option("30")
        page.locator(".play").click()
        for _ in range(6):
            page.wait_for_timeout(120)
            assert page.evaluate(AIRCRAFT_SCRIPT)


def test_plan_is_dragged_wheeled_and_moved_by_keys(browser: Any, folder: Path) -> None:
    with Opened(browser, folder / "assessment.html") as opened:
        page, plan = opened.page, opened.page.locator("#r1-plan")
        before, box = opened.state(), plan.bounding_box()

        def view() -> list[float]:
            return [float(value) for value in plan.get_attribute("viewBox").split()]

        first = view()
        page.mouse.move(box["x"] + 300, box["y"] + 300)
        page.mouse.down()
        page.mouse.move(box["x"] + 400, box["y"] + 350, steps=4)
        page.mouse.up()
        dragged = view()
        unit = first[2] / (box["width"] - 2)
        assert dragged[0] == pytest.approx(first[0] - 100 * unit, abs=0.5)
        assert dragged[1] == pytest.approx(first[1] - 50 * unit, abs=0.5)
        page.mouse.wheel(0, -200)
        page.wait_for_timeout(60)
        assert view()[2] < dragged[2]
        page.locator(".plan-box").focus()
        page.keyboard.press("-")
        page.keyboard.press("ArrowLeft")
        assert not changed(before, opened.state())
        page.keyboard.press("Home")
        assert view() == first


def test_taps_pin_and_pinch_zooms(browser: Any, folder: Path) -> None:
    with Opened(browser, folder / "assessment.html", has_touch=True, viewport={"width": 390, "height": 844}) as opened:
        page = opened.page
        page.locator("#r1-plan").scroll_into_view_if_needed()
        page.locator("#r1-plan").evaluate("plan => plan.scrollIntoView({block: 'center'})")
        page.touchscreen.tap(*page.evaluate(OFFSET_LEG_SCRIPT))
        assert "offset leg" in opened.state()["spoken"]
        assert page.evaluate("getComputedStyle(document.querySelector('#r1-altitude')).touchAction") == "pan-y"
        before = float(page.locator("#r1-plan").get_attribute("viewBox").split()[2])
        box = page.locator("#r1-plan").bounding_box()
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        session = opened.context.new_cdp_session(page)
        for kind, half in (("touchStart", 20), ("touchMove", 40), ("touchMove", 70)):
            points = [{"x": x - half, "y": y, "id": 1}, {"x": x + half, "y": y, "id": 2}]
            session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
        session.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        assert float(page.locator("#r1-plan").get_attribute("viewBox").split()[2]) < before * 0.7


def test_a_findings_number_is_the_same_in_every_view_and_takes_all_there(browser: Any, folder: Path) -> None:
    with Opened(browser, folder / "assessment.html") as opened:
        page = opened.page
        seen = {
            place: sorted(set(page.locator(f"{place} .sign-number").all_text_contents()))
            for place in (".why", "#r1-plan .callout", ".stack .strip-signs", ".bar-part")
        }
        assert seen[".why"] == ["1", "2", "3"]
        assert seen["#r1-plan .callout"] == seen[".stack .strip-signs"] == seen[".bar-part"]
        times = set()
        for place in ("#r1-plan .callout", ".stack .finding-button", ".bar-part .finding-button"):
            page.locator(".slider").fill("30")
            page.get_by_role("button", name="Reversal", exact=True).click()  # the plan has followed the aircraft
            page.wait_for_timeout(80)
            page.locator(f"{place}[aria-label^='1 ']").focus()
            page.keyboard.press("Enter")
            times.add(opened.state()["time"])
        assert times == {"+09:20"}


def test_one_dock_serves_the_reversal_in_view(browser: Any, folder: Path) -> None:
    with Opened(browser, folder / "two_attempts.html") as opened:
        page = opened.page
        assert page.locator(".dock").count() == 1
        page.locator("#r2").evaluate("section => section.scrollIntoView()")
        page.wait_for_timeout(150)
        assert page.locator(".slider").get_attribute("aria-label").endswith("reversal 2")
        before = page.evaluate("document.querySelector('#r2 .ship').getAttribute('transform')")
        first = page.evaluate("document.querySelector('#r1 .ship').getAttribute('transform')")
        page.keyboard.press("Shift+ArrowRight")
        assert page.evaluate("document.querySelector('#r2 .ship').getAttribute('transform')") != before
        assert page.evaluate("document.querySelector('#r1 .ship').getAttribute('transform')") == first


def test_focus_is_never_under_the_dock_and_the_time_bar_is_one_link_away(browser: Any, folder: Path) -> None:
    with Opened(browser, folder / "assessment.html", viewport={"width": 1366, "height": 768}) as opened:
        page = opened.page
        page.keyboard.press("Tab")
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        assert page.evaluate("document.activeElement.className") == "slider"
        page.evaluate("document.activeElement.blur(); scrollTo(0, 0)")
        hidden = []
        for _ in range(45):
            page.keyboard.press("Tab")
            covered = page.evaluate(
                """() => { const one = document.activeElement, dock = document.querySelector(".dock");
                  if (one === document.body || dock.contains(one)) { return ""; }
                  const box = one.getBoundingClientRect(), top = dock.getBoundingClientRect().top;
                  return box.height < 500 && box.bottom > top + 1 ? one.outerHTML.slice(0, 90) : ""; }"""
            )
            hidden += [covered] if covered else []
        assert hidden == []


def test_click_on_a_finding_and_on_a_phase_goes_there(browser: Any, folder: Path) -> None:
    with Opened(browser, folder / "assessment.html") as opened:
        opened.page.locator(".why button.moment").first.click()
        assert opened.state()["time"] == "+09:20"
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
        left, top, width, height = (float(value) for value in plan.get_attribute("viewBox").split())
        assert left <= 0.1
        assert top <= 0.1
        assert left + width >= 799.9
        assert top + height >= 619.9
        opened.page.get_by_role("button", name="Reversal", exact=True).click()
        assert plan.get_attribute("viewBox") == close
        opened.page.locator("#r1 .layers summary").click()
        area = opened.page.locator("#r1-world .area.primary")
        assert area.is_visible()
        opened.page.get_by_role("checkbox", name="protected areas").uncheck()
        assert not area.is_visible()


@pytest.mark.parametrize(("kind", "begins"), [("SVG", b"<svg"), ("PNG", b"\x89PNG")])
def test_plan_is_saved_as_a_drawing(browser: Any, folder: Path, tmp_path: Path, kind: str, begins: bytes) -> None:
    with Opened(browser, folder / "assessment.html", accept_downloads=True) as opened:
        opened.page.locator("#r1 .layers summary").click()
        with opened.page.expect_download() as saved:
            opened.page.get_by_role("button", name=kind, exact=True).click()
        saved.value.save_as(tmp_path / "plan")
        content = (tmp_path / "plan").read_bytes()
        assert content.startswith(begins)
        assert len(content) > 20_000
        assert opened.messages == []
        if kind == "SVG":
            assert b"script" not in content
            (tmp_path / "plan.svg").write_bytes(content)
            opened.page.goto((tmp_path / "plan.svg").as_uri())
            assert opened.page.evaluate("document.querySelectorAll('text').length") > 10


def test_all_content_is_there_without_script(browser: Any, folder: Path) -> None:
    with Opened(browser, folder / "assessment.html", java_script_enabled=False) as opened:
        assert opened.page.locator(".plan-figure .plan").is_visible()
        assert opened.page.locator(".finding").count() == 4
        assert opened.page.locator(".strip-plot").count() == 7
        assert not opened.page.locator(".dock").first.is_visible()
        assert not opened.page.locator(".switches").first.is_visible()


def test_plan_and_verdict_are_on_the_first_screen(browser: Any, folder: Path) -> None:
    with Opened(browser, folder / "assessment.html") as opened:
        for width, height in ((1400, 900), (1366, 768)):
            opened.page.set_viewport_size({"width": width, "height": height})
            opened.page.wait_for_timeout(100)
            free = height - opened.page.locator(".dock").bounding_box()["height"]
            for selector in (".verdict", ".scores", ".why", ".next", ".plan-figure .plan", ".phase-key"):
                box = opened.page.locator(selector).first.bounding_box()
                assert box["y"] + box["height"] <= free, selector
            plan = opened.page.locator(".plan-figure .plan").bounding_box()
            assert plan["width"] * plan["height"] > 0.35 * width * height


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


def test_a_beacon_has_a_pointer_and_degrees(browser: Any, tmp_path: Path) -> None:
    page_file = tmp_path / "beacon.html"
    page_file.write_text(render_lesson(shown("80/260 by beacon")), encoding="utf-8")
    with Opened(browser, page_file) as opened:
        opened.page.locator(".slider").fill("540")
        assert opened.page.locator(".dock .pointer-dial").is_visible()
        assert not opened.page.locator(".dock .needle:not(.pointer-dial)").is_visible()
        words = opened.page.locator("[data-read=needle]").text_content()
        assert re.fullmatch(r"\d+°, bearing to the (left|right)|on the bearing", words)
        assert re.fullmatch(r"\d+° [LR]", opened.page.locator("[data-value=needle]").text_content())
        assert "full" not in opened.page.locator(".strip-needle").text_content()
        before = opened.page.locator(".dock .pointer-dial .needle-hand").get_attribute("transform")
        opened.page.locator(".slider").fill("500")
        assert opened.page.locator(".dock .pointer-dial .needle-hand").get_attribute("transform") != before
        assert opened.messages == []


def test_the_cursor_says_a_finding_to_the_foot(browser: Any, tmp_path: Path) -> None:
    page_file = tmp_path / "low.html"
    page_file.write_text(render_lesson(shown("hold 320 ft low")), encoding="utf-8")
    with Opened(browser, page_file) as opened:
        said = re.search(r"(\d+) ft low", opened.page.locator(".why li").first.text_content())
        opened.page.locator(".why .sign-button").first.click()
        assert opened.page.locator("[data-read=limit]").text_content() == f"{said[1]} ft low"
        beyond = int(said[1]) - 100  # the 100 ft either way that an exact altitude is held within
        assert opened.page.locator("[data-value=margin]").text_content() == f"−{beyond}"
