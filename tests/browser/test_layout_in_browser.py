"""Layout from 320 to 2560 px: nothing runs over, no word is broken, no letters are small, cut or over each other."""

from pathlib import Path
from typing import Any

import pytest
from browser_pages import OVERVIEWS, PAGES, Opened

pytestmark = pytest.mark.browser

SMALLEST_PX = 10.95  # 11 px as shown, and what rounding takes
LARGEST_DOCK = 0.15
SIZES = (
    (320, 640),
    (390, 844),
    (640, 800),
    (700, 450),  # 1400 by 900 at twice the size
    (768, 1024),
    (844, 390),
    (1024, 768),
    (1120, 800),
    (1280, 720),
    (1366, 768),
    (1400, 900),
    (1920, 1080),
    (2560, 1440),
)
MEASURED = r"""() => {
  const out = {small: [], overlapping: [], cut: [], broken: []};
  out.over = document.documentElement.scrollWidth - innerWidth;
  const dock = document.querySelector(".dock");
  out.dock = dock ? dock.offsetHeight / innerHeight : 0;
  const seen = element => {
    for (let node = element; node && node.nodeType === 1; node = node.parentElement) {
      const style = getComputedStyle(node);
      if (style.display === "none" || style.visibility === "hidden") { return false; }
    }
    const fold = element.closest("details:not([open])");
    return !fold || Boolean(element.closest("summary"));
  };
  document.querySelectorAll("svg").forEach(svg => {
    const frame = svg.getBoundingClientRect(), boxes = [];
    if (svg.parentElement.closest("svg") || !frame.width || !seen(svg)) { return; }
    svg.querySelectorAll("text").forEach(word => {
      const box = word.getBoundingClientRect(), matrix = word.getScreenCTM();
      if (!box.width || !word.textContent.trim() || !seen(word)) { return; }
      const size = parseFloat(getComputedStyle(word).fontSize) * Math.hypot(matrix.a, matrix.b);
      const name = word.textContent + " in " + svg.getAttribute("class");
      if (size < LEAST) { out.small.push(name + " " + size.toFixed(1)); }
      const aside = box.left < frame.left - 1 || box.right > frame.right + 1;
      if (aside || box.top < frame.top - 2 || box.bottom > frame.bottom + 2) { out.cut.push(name); }
      boxes.push([box.left, box.top + 1.5, box.right, box.bottom - 1.5, name]);
    });
    boxes.forEach((one, i) => boxes.slice(i + 1).forEach(other => {
      if (one[0] < other[2] - 0.5 && other[0] < one[2] - 0.5 && one[1] < other[3] && other[1] < one[3]) {
        out.overlapping.push(one[4] + " / " + other[4]);
      }
    }));
  });
  const words = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (words.nextNode()) {
    const node = words.currentNode, parent = node.parentElement;
    if (!node.data.trim() || parent.closest("svg, script, style, .unseen, .flight") || !seen(parent)) { continue; }
    if (parseFloat(getComputedStyle(parent).fontSize) < LEAST) { out.small.push(node.data.slice(0, 30)); }
    for (const word of node.data.matchAll(/[\p{L}\p{N}]{2,}/gu)) {
      const range = document.createRange();
      range.setStart(node, word.index);
      range.setEnd(node, word.index + word[0].length);
      const tops = Array.from(range.getClientRects()).filter(box => box.width > 0.5).map(box => box.top);
      if (tops.length > 1 && Math.max(...tops) - Math.min(...tops) > 4) { out.broken.push(word[0]); }
    }
  }
  return out;
}""".replace("LEAST", str(SMALLEST_PX))
SETTLED = "() => new Promise(done => setTimeout(() => requestAnimationFrame(() => requestAnimationFrame(done)), 120))"


@pytest.mark.parametrize("name", [*(name for name in PAGES if name != "hostile"), *OVERVIEWS])
def test_layout_holds_at_every_width(browser: Any, folder: Path, name: str) -> None:
    with Opened(browser, folder / f"{name}.html") as opened:
        for width, height in SIZES:
            opened.page.set_viewport_size({"width": width, "height": height})
            opened.page.evaluate(SETTLED)
            found = opened.page.evaluate(MEASURED)
            assert found.pop("over") <= 0, (width, height)
            assert found.pop("dock") <= LARGEST_DOCK, (width, height)
            assert {key: value for key, value in found.items() if value} == {}, (width, height)


def test_labels_hold_in_each_view_of_the_plan(browser: Any, folder: Path) -> None:
    with Opened(browser, folder / "assessment.html") as opened:
        for button in ("Whole area", "Closer", "Closer", "Reversal", "Wider"):
            opened.page.get_by_role("button", name=button, exact=True).click()
            opened.page.evaluate(SETTLED)
            found = opened.page.evaluate(MEASURED)
            assert found["overlapping"] == found["cut"] == found["small"] == [], button


@pytest.mark.parametrize("width", [320, 768, 1120])
def test_hostile_words_push_nothing_over_the_edge(browser: Any, folder: Path, width: int) -> None:
    with Opened(browser, folder / "hostile.html", viewport={"width": width, "height": 800}) as opened:
        assert opened.page.evaluate("document.documentElement.scrollWidth") <= width
