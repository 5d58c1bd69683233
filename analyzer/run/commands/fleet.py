"""`fleet`: an archive of tracks, assessed by a dask cluster into one table."""

from pathlib import Path
from typing import Any

import click

from analyzer.errors import OptionError
from analyzer.run.commands.grouped_help import ASSESSMENT_GROUPS, GroupedCommand
from analyzer.run.commands.options import FILE, assessment_options, checked_options
from analyzer.run.commands.terminal import ProgressLine, finish, say_error


@click.command(
    cls=GroupedCommand,
    groups={
        "The run": ("procedure", "output", "table", "reports", "skip_existing", "scheduler", "workers"),
        **ASSESSMENT_GROUPS,
    },
    examples=("reversal-debrief fleet archive/ --procedure vor_12.toml --output debriefs",),
)
@click.argument("tracks", nargs=-1, required=True, type=FILE, metavar="TRACK|DIR...")
@click.option(
    "--procedure",
    type=FILE,
    required=True,
    multiple=True,
    metavar="FILE",
    help="Procedure file (TOML), several times or a folder for lessons with several.",
)
@click.option(
    "--output", default="reports", type=FILE, show_default=True, metavar="DIR", help="Folder for table and reports."
)
@click.option(
    "--table", type=FILE, metavar="FILE", help="The table, .csv or .parquet; default: flights.csv in the output folder."
)
@assessment_options
@click.option("--reports", is_flag=True, help="Write a report and a result file for each track, as assess does.")
@click.option("--scheduler", metavar="ADDRESS", help="A running dask scheduler; default: processes on this machine.")
@click.option(
    "--workers", type=click.IntRange(min=1), metavar="N", help="Processes on this machine; default: one for each core."
)
@click.option("--skip-existing", is_flag=True, help="Keep the rows that an earlier run found for the same tracks.")
def fleet(
    tracks: tuple[Path, ...],
    procedure: tuple[Path, ...],
    output: Path,
    table: Path | None,
    reports: bool,
    scheduler: str | None,
    workers: int | None,
    skip_existing: bool,
    **options: Any,
) -> None:
    """Assess an archive of tracks on several processes or machines and write one table of all of them.

    A folder is searched for tracks with the folders in it. The table has a row for each attempt, and one for a track
    without any.
    """
    from analyzer.run.fleet.archive import Request, find_tracks
    from analyzer.run.fleet.run import assess_archive
    from analyzer.run.fleet.table import check_place
    from analyzer.run.report_names import prepare_folder

    if scheduler is not None and workers is not None:
        raise OptionError("fleet: --workers is for processes on this machine; leave it out, or --scheduler")
    options = checked_options(options)
    prepare_folder(output)
    place = table or output / "flights.csv"
    check_place(place)
    found = find_tracks(tracks, output, [place])
    failed = 0
    progress = ProgressLine(len(found))
    errors: set[str] = set()

    def report(error: str | None) -> None:
        nonlocal failed
        progress.clear()
        if error is not None:
            failed += 1
            if error not in errors:  # a bad procedure file is one error, however many tracks
                say_error(error)
            errors.add(error)
        progress.step()

    rows = assess_archive(
        found,
        Request(procedure, output, options, with_reports=reports),
        place,
        scheduler=scheduler,
        workers=workers,
        skip_existing=skip_existing,
        report=report,
    )
    progress.clear()
    click.echo(f"{place}: rows: {rows:,}, tracks: {len(found):,}, not assessed: {failed:,}")
    finish(len(found) - failed, len(found))
