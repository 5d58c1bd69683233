"""Words for what the records hold: days, lengths, results, and the small drawing of a flight."""

import math
from collections.abc import Mapping, Sequence
from typing import Any

from markupsafe import Markup

from analyzer.units import NO_VALUE

#: verdicts and states to the signs of the report
TONES = {"to standard": "good", "not to standard": "bad", "not assessed": "open", "too close to call": "open"}


def day_and_time(moment: str) -> str:
    """Return an ISO moment as a day and minutes: 2026-05-01 15:42; a dash for none."""
    return moment[:16].replace("T", " ") if moment else NO_VALUE


def length(duration_s: float | None) -> str:
    """Return a duration in minutes, or hours and minutes."""
    if duration_s is None:
        return NO_VALUE
    minutes = round(duration_s / 60.0)
    return f"{minutes // 60} h {minutes % 60:02d} min" if minutes >= 60 else f"{minutes} min"


def size(size_bytes: int) -> str:
    """Return a file's size."""
    return f"{size_bytes / 1e6:.1f} MB" if size_bytes >= 1e6 else f"{max(1, round(size_bytes / 1e3))} kB"


def title_of(code: str) -> str:
    """Return a finding's code in words."""
    from analyzer.judged import CODES  # loads what judges: a list without findings does without

    entry = CODES.get(code)
    title = entry.title if entry is not None else code
    return title[:1].upper() + title[1:]


def points(value: float | None) -> str:
    """Return a score."""
    return NO_VALUE if value is None else f"{value:.0f}"


def small_drawing(look: Mapping[str, Any]) -> Markup:
    """Return the outline of a flight, north up; nothing where there is none."""
    from analyzer.shown import draw_thumbnail

    outline: Sequence[Sequence[float]] = look.get("outline") or ()
    if len(outline) < 2:
        return Markup("")
    latitude, longitude = outline[len(outline) // 2][1], outline[len(outline) // 2][2]
    shrink = math.cos(math.radians(latitude))
    return draw_thumbnail(
        [((east - longitude) * shrink * 60.0, (north - latitude) * 60.0) for _, north, east in outline]
    )


def what_was_read(look: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Return what a recording holds: name and value."""
    if not look:
        return []
    interval = look.get("median_interval_s")
    altitude = look.get("altitude")
    rows = [
        ("Flown", day_and_time(look.get("start_utc") or "") + (" UTC" if look.get("start_utc") else "")),
        ("Length", length(look.get("duration_s"))),
        ("Points", f"{look.get('points', 0):,}" + ("" if interval is None else f", one in {interval:g} s")),
    ]
    if altitude:
        rows.append(("Altitude", f"{altitude['lowest_ft']:,} to {altitude['highest_ft']:,} ft, {altitude['kind']}"))
    rows.append(("Taken from", ", ".join(look.get("columns_used") or ()) or NO_VALUE))
    return rows


def doubts(look: Mapping[str, Any]) -> list[str]:
    """Return what is doubtful about a recording, what bears on a verdict first."""
    notes = look.get("quality") or ()
    return [note["text"] for note in sorted(notes, key=lambda note: not note["first"])]
