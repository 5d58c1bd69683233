"""What the commands say: lines for people, errors, progress, and the exit statuses."""

import sys
from pathlib import Path
from typing import Any

import click

from analyzer.run.commands.outcome_words import outcome_words
from analyzer.units import visible

SOME_FAILED, NOTHING_DONE = 1, 2


def outcome_line(outcome: Any, *, with_report: bool) -> str:
    """One line about a track for people at a terminal: what its first screen says."""
    path = outcome.page if with_report else outcome.page.with_suffix(".json")
    if outcome.skipped:
        return f"{path}: is there already"
    return f"{path}: {visible(outcome_words(outcome.result))}"


def write_index(folder: Path, outcomes: list[Any]) -> Path:
    """Write the overview of a run, by date; returns where it is."""
    from analyzer.files import write_whole
    from analyzer.run.report_names import index_place
    from analyzer.shown import render_index

    path = index_place(folder)
    write_whole(path, render_index(sorted(outcomes, key=_by_date)))
    return path


def _by_date(outcome: Any) -> tuple[bool, str, int]:
    """Order flights by their start, those without a date behind them in the order of the command."""
    start = "" if outcome.result is None else str(outcome.result["track"].get("start_utc") or "")
    return (start == "", start, outcome.job.number)


def explain_tracks(tracks: tuple[Path, ...], columns: str | None, max_megabytes: float | None) -> int:
    """Say how each track is read, column by column; returns of how many something could be said."""
    from analyzer.errors import TrackFileError
    from analyzer.reading import LARGEST_FILE_BYTES, explained
    from analyzer.run.call_options import parsed_columns

    mapping = None if columns is None else parsed_columns(columns)
    max_bytes = LARGEST_FILE_BYTES if max_megabytes is None else int(max_megabytes * 1_000_000)
    told = 0
    for track in tracks:
        try:
            for line in explained(track, mapping, max_bytes):
                click.echo(visible(line))
            told += 1
        except TrackFileError as error:
            say_error(str(error))
    return told


def finish(done: int, count: int) -> None:
    """End the command with the exit status of a run that assessed so many of so many tracks."""
    if done < count:
        raise click.exceptions.Exit(SOME_FAILED if done else NOTHING_DONE)


class ProgressLine:
    """How far a run is, on the last line of a terminal that people watch; nothing elsewhere."""

    def __init__(self, count: int) -> None:
        self._watched = count > 1 and sys.stderr.isatty()
        self._bar: Any = click.progressbar(length=count, label="Assessed", file=sys.stderr, hidden=not self._watched)

    def step(self) -> None:
        """Say that one more is done."""
        if self._watched:
            self._bar.update(1)
            self._bar.render_progress()

    def clear(self) -> None:
        """Take the line away before something else is said."""
        if self._watched:
            clear_progress()


def clear_progress() -> None:
    """Take what is on the last line away."""
    if sys.stderr.isatty():
        click.echo("\r\x1b[K", nl=False, err=True)


def say_error(text: str) -> None:
    """Write an error; several problems of one file are a line each, and nothing in them moves the cursor."""
    for line in text.split("\n"):
        click.echo(visible(line), err=True)
