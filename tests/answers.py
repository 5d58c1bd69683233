"""What every answer must be: a result without nan, and a whole page without one in text, attribute, figure or data."""

import json
import re
from html.parser import HTMLParser
from typing import Any

import analyzer
from analyzer.given.procedure import Procedure
from analyzer.given.track import Track

#: as a word of its own or as a coordinate of a path ("M12.0 nan"); a unit may stand behind it ("nan kt", "nan%")
NOT_A_NUMBER = re.compile(r"(?<![A-Za-z0-9_#])[-+]?(nan|inf|infinity)(?![A-Za-z0-9_-])", re.IGNORECASE)
RESULTS = ("to standard", "not to standard", "not assessed")


class NotNumbers(HTMLParser):
    """Finds what is not a number in a page: in texts, attributes and embedded data, not in script or style."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.inside = ""  # "data", "code" or "" for text

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in ("script", "style"):
            self.inside = "data" if dict(attrs).get("type") == "application/json" else "code"
        for name, value in attrs:
            if value is not None and NOT_A_NUMBER.search(value):
                self.found.append(f'<{tag} {name}="{value[:200]}">')

    def handle_endtag(self, tag: str) -> None:
        if tag in ("script", "style"):
            self.inside = ""

    def handle_data(self, data: str) -> None:
        if self.inside == "data":
            json.loads(data, parse_constant=self.found.append)
        elif self.inside != "code" and NOT_A_NUMBER.search(data):
            self.found.append(data.strip()[:200])


def not_numbers(page: str) -> list[str]:
    """Return the places of a page that hold no number where one was meant."""
    parser = NotNumbers()
    parser.feed(page)
    parser.close()
    return parser.found


def check_page(page: str) -> None:
    """Fail where a page is not whole or shows what is not a number."""
    assert page[:20].lower().startswith("<!doctype html>")
    assert page.rstrip().endswith("</html>")
    assert not not_numbers(page)


def check_result(debrief: analyzer.Debrief) -> dict[str, Any]:
    """Return the result; fail where it holds a nan or says nothing."""
    result = debrief.to_dict()
    json.dumps(result, allow_nan=False)
    assert all(attempt["result"] in RESULTS for attempt in result["attempts"])
    if not result["attempts"]:
        assert result["track"]["quality"], "no reversal, and no word why"
    return result


def check_answer(track: Track, procedure: Procedure, **options: Any) -> dict[str, Any]:
    """Return the result of a flight; fail where it or the page can't be made or holds a nan."""
    debrief = analyzer.assess(track, procedure, **options)
    result = check_result(debrief)
    check_page(debrief.to_html())
    return result
