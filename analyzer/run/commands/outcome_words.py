"""What a terminal says of one track, in a line: the verdict, what is in doubt about it, why there is no reversal."""

from collections.abc import Mapping
from typing import Any

#: of several sentences that bear on the verdict the one that is told: a mistake in the file goes before all else
_FIRST_CODE = "procedure-mistaken"
_NO_REVERSAL = "no-reversal"
_RIGHT = "no-reversal-right"
_UNDECIDED = "too close to call"


def outcome_words(result: Mapping[str, Any]) -> str:
    """Return the verdict of a result file's content for a terminal, one line.

    Parameters
    ----------
    result : mapping
        As the result file holds it, or what is kept of it for an overview.
    """
    notes = result["track"]["quality"]
    attempts = result["attempts"]
    parts = [_attempt(attempt) for attempt in attempts]
    parts += [f"straight in {one['result']}" for one in result.get("straight_ins", ())]
    said = ", ".join(parts) if attempts else ", ".join([_none_found(notes), *parts])
    doubt = _doubt(notes)
    return said if not doubt or doubt in said else f"{said}. {doubt}"


def _attempt(attempt: Mapping[str, Any]) -> str:
    overall = attempt["scores"]["overall"]
    undecided = _undecided(attempt)
    said = [] if overall is None else [f"{overall:.0f}/100"]
    said += [f"{_UNDECIDED}: {', '.join(undecided)}"] if undecided else []
    return f"{attempt['flown_as']} {attempt['result']}" + (f" ({'; '.join(said)})" if said else "")


def _undecided(attempt: Mapping[str, Any]) -> list[str]:
    """Return what of an attempt's result is too close to call, in words."""
    parts = ("containment", "intercept", "timing", "speed")
    undecided = [part for part in parts if (attempt.get(part) or {}).get("verdict") == _UNDECIDED]
    altitudes = [one["segment"] for one in attempt.get("altitudes", ()) if one["verdict"] == _UNDECIDED]
    return undecided + ([f"altitude ({' and '.join(altitudes)})"] if altitudes else [])


def _none_found(notes: list[Mapping[str, Any]]) -> str:
    """Return that there is no reversal, with the likeliest reason."""
    if any(note["code"] == _RIGHT for note in notes):
        return "no course reversal, and none was allowed: right"
    reasons = [note["text"] for note in notes if note["code"].startswith(_NO_REVERSAL)]
    why = reasons[0].removeprefix("No course reversal: ").rstrip() if reasons else ""
    return "no course reversal found" + (f": {why.removesuffix('.')}" if why else "")


def _doubt(notes: list[Mapping[str, Any]]) -> str:
    """Return the sentence of the first screen that matters most; empty where there is none."""
    bearing = [note for note in notes if note.get("on_first_screen") and not note["code"].startswith(_NO_REVERSAL)]
    first = sorted(bearing, key=lambda note: note["code"] != _FIRST_CODE)[:1]
    return str(first[0]["text"]).strip() if first else ""
