"""The pilot's view and what the flight log shows, side by side."""

from collections.abc import Mapping, Sequence
from typing import Any, cast

from analyzer.judged import ITEMS, SelfAssessment, compared_views
from analyzer.run.desk.store.own_views import OwnView

_TONES = {"the same": "good", "rated higher than shown": "bad", "rated lower than shown": "open"}


def both_views(own: Sequence[OwnView], result: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the newest own view beside each attempt of a result file; empty where the pilot said nothing."""
    if not own:
        return []
    newest = own[-1]
    grades = {item: grade for item, (grade, _) in newest.items.items() if grade and item in ITEMS}
    remarks = {item: remark for item, (_, remark) in newest.items.items() if remark and item in ITEMS}
    view = SelfAssessment(cast("dict[Any, Any]", grades), cast("dict[Any, Any]", remarks))
    return [
        {
            "number": attempt["number"],
            "author": newest.author,
            "rows": [
                {
                    "item": row.item,
                    "own": row.own or "–",
                    "shown": row.shown,
                    "meeting": row.meeting,
                    "tone": _TONES.get(row.meeting, "plain"),
                    "remark": row.remark,
                }
                for row in compared_views(view, attempt)
            ],
        }
        for attempt in result["attempts"]
    ]
