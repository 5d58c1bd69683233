"""A report in a sandboxed frame of another page: it tells the moment and the finding, and goes where it is asked."""

from pathlib import Path
from typing import Any

import pytest
import report_fixture as flights
from browser_pages import Opened

from analyzer.shown.result.result import result_dict

pytestmark = pytest.mark.browser

AROUND = """<!doctype html><html lang="en"><title>around</title><iframe sandbox="allow-scripts" src="assessment.html"
width="1300" height="800"></iframe><script>
const heard = [];
addEventListener("message", event => heard.push([event.source === frames[0], event.origin, event.data]));
function ask(words) { frames[0].postMessage(words, "*"); }
</script></html>"""


def test_a_framed_report_tells_and_is_led(browser: Any, folder: Path) -> None:
    (folder / "around.html").write_text(AROUND, encoding="utf-8")
    with Opened(browser, folder / "around.html") as opened:
        page, frame = opened.page, opened.page.frames[1]
        frame.wait_for_selector("html.live")
        page.evaluate("ask({kind: 'go-to', seconds: 540})")
        frame.wait_for_function("document.querySelector('[data-read=time]').textContent === '+09:00'")
        page.wait_for_function("heard.some(([, , words]) => words.kind === 'moment' && words.seconds === 540)")
        for noise in (
            "null",
            "'go-to'",
            "{kind: 'go-to'}",
            "{kind: 'go-to', seconds: 'x'}",
            "{kind: 'other', seconds: 9}",
        ):
            page.evaluate(f"ask({noise})")
        page.evaluate("heard.length = 0")
        frame.get_by_role("button", name="Finding 1: go there").first.click()
        page.wait_for_function("heard.some(([, , words]) => words.kind === 'finding')")
        heard = page.evaluate("heard")
        chosen = [words for _, _, words in heard if words["kind"] == "finding"]
        listed = result_dict(flights.assessment())["attempts"][0]["findings"][chosen[0]["index"]]
        assert (chosen[0]["code"], chosen[0]["seconds"]) == (listed["code"], listed["at_s"])
        assert {words["kind"] for _, _, words in heard} == {"moment", "finding"}
        assert all(from_frame and origin == "null" for from_frame, origin, _ in heard)
        assert opened.messages == []


def test_a_report_on_its_own_tells_nothing_and_follows_nobody(browser: Any, folder: Path) -> None:
    with Opened(browser, folder / "assessment.html") as opened:
        page = opened.page
        page.evaluate("() => { window.heard = []; addEventListener('message', event => heard.push(event.data)); }")
        before = opened.state()
        page.evaluate("postMessage({kind: 'go-to', seconds: 540}, '*')")
        page.wait_for_timeout(100)
        assert opened.state() == before
        page.get_by_role("button", name="Finding 1: go there").first.click()
        page.wait_for_timeout(100)
        assert page.evaluate("heard") == [{"kind": "go-to", "seconds": 540}]
