"""What the commands say: lines for people, errors, progress, and the exit statuses."""

import sys
from pathlib import Path
from typing import Any

import click

from analyzer.units import visible

SOME_FAILED, NOTHING_DONE = 1, 2


def outcome_line(outcome: Any, *, with_report: bool) -> str:
    """One line about a track for people at a terminal."""
    path = outcome.page if with_report else outcome.page.with_suffix(".json")
    if outcome.skipped:
        return f"{path}: is there already"
    attempts = outcome.result["attempts"]
    if not attempts:
        right = any(note["code"] == "no-reversal-right" for note in outcome.result["track"]["quality"])
        return f"{path}: {'no course reversal, and none was allowed: right' if right else 'no course reversal found'}"
    words = []
    for attempt in attempts:
        overall = attempt["scores"]["overall"]
        doubts = _in_doubt(attempt)
        said = [] if overall is None else [f"{overall:.0f}/100"]
        said += [f"too close to call: {', '.join(doubts)}"] if doubts else []
        words.append(f"{attempt['flown_as']} {attempt['result']}" + (f" ({'; '.join(said)})" if said else ""))
    return f"{path}: {', '.join(words)}"


def _in_doubt(attempt: Any) -> list[str]:
    """Return what of an attempt's result is too close to call, in words."""
    parts = ("containment", "intercept", "timing", "speed")
    doubts = [part for part in parts if (attempt.get(part) or {}).get("verdict") == "too close to call"]
    altitudes = [one["segment"] for one in attempt.get("altitudes", ()) if one["verdict"] == "too close to call"]
    return doubts + ([f"altitude ({' and '.join(altitudes)})"] if altitudes else [])


def write_index(folder: Path, outcomes: list[Any]) -> Path:
    """Write the overview of a run; returns where it is."""
    from analyzer.files import write_whole
    from analyzer.run.report_names import index_place
    from analyzer.shown import render_index

    path = index_place(folder)
    outcomes.sort(key=lambda outcome: outcome.job.number)  # a pool hands them back as they come
    write_whole(path, render_index(outcomes))
    return path


def finish(done: int, count: int) -> None:
    """End the command with the exit status of a run that assessed so many of so many tracks."""
    if done < count:
        raise click.exceptions.Exit(SOME_FAILED if done else NOTHING_DONE)


def show_progress(done: int, count: int) -> None:
    """Show how far a run is, where people watch."""
    if count > 1 and done < count and sys.stderr.isatty():
        click.echo(f"\r{done} of {count}", nl=False, err=True)


def clear_progress() -> None:
    """Take the progress away before something else is said."""
    if sys.stderr.isatty():
        click.echo("\r\x1b[K", nl=False, err=True)


def say_error(text: str) -> None:
    """Write an error; several problems of one file are a line each, and nothing in them moves the cursor."""
    for line in text.split("\n"):
        click.echo(visible(line), err=True)
