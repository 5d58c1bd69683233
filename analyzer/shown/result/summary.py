"""A debrief in a notebook's cell: the verdict, the scores and the findings, as a small table."""

from collections.abc import Mapping
from typing import Any

from markupsafe import Markup, escape

_CAUTION = "Training debrief only, not for navigation or flight planning."
_SCORES = ("containment", "altitude", "intercept", "timing", "overall")


def summary_html(result: Mapping[str, Any]) -> str:
    """Return the summary of a result file's content; every text from outside is escaped.

    Parameters
    ----------
    result : mapping
        As `result_dict` makes it.
    """
    track = result["track"]
    parts = [Markup("<p><strong>{}</strong>, {}</p>").format(track["name"], result["procedure"]["title"])]
    parts += [
        Markup("<p>{}</p>").format(note["text"])
        for note in track["quality"]
        if note["on_first_screen"] or (not result["attempts"] and note["code"].startswith("no-reversal"))
    ]
    for attempt in result["attempts"]:
        parts.append(
            Markup("<p>{}. {}: <strong>{}</strong></p>").format(
                attempt["number"], attempt["flown_as"], attempt["result"]
            )
        )
        cells = Markup("").join(
            Markup("<td>{}: {}</td>").format(name, _score(attempt["scores"].get(name))) for name in _SCORES
        )
        parts.append(Markup("<table><tr>{}</tr></table>").format(cells))
        rows = Markup("").join(
            Markup("<li>{}: {}</li>").format(finding["severity"], finding["text"]) for finding in attempt["findings"]
        )
        if rows:
            parts.append(Markup("<ul>{}</ul>").format(rows))
    parts.append(Markup("<p><em>{}</em></p>").format(_CAUTION))
    return str(escape(Markup("").join(parts)))


def _score(value: float | None) -> str:
    return "not assessed" if value is None else f"{value:.0f}"
