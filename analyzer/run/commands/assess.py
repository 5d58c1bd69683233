"""`assess`: reports and result files of one or many tracks."""

from os.path import isdir
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

import click

from analyzer.errors import OptionError
from analyzer.run.commands.earlier import earlier_outcomes
from analyzer.run.commands.grouped_help import ASSESSMENT_GROUPS, GroupedCommand
from analyzer.run.commands.options import FILE, assessment_options, checked_options
from analyzer.run.commands.terminal import (
    ProgressLine,
    explain_tracks,
    finish,
    outcome_line,
    say_error,
    write_index,
)

if TYPE_CHECKING:
    from analyzer.run.debrief import CodedChoice


KINDS = ("svg", "png", "geojson", "kml")


@click.command(
    cls=GroupedCommand,
    groups={
        "The procedure": ("procedure", "coded", "airport", "approach", "transition", "pick"),
        "The reports": ("output", "no_report", "also", "jobs", "skip_existing"),
        **ASSESSMENT_GROUPS,
    },
    examples=(
        "reversal-debrief assess lesson.gpx --procedure vor_12.toml",
        "reversal-debrief assess lessons/ --procedure vor_12.toml --procedure hold.toml --skip-existing",
        "reversal-debrief assess lesson.csv --procedure vor_12.toml --wind 24018KT --altimeter-setting Q1013",
        "reversal-debrief assess lesson.csv --procedure vor_12.toml --columns time=Zulu,latitude=Lat",
        "reversal-debrief assess lesson.gpx --procedure vor_12.toml --also png,kml",
    ),
)
@click.argument("tracks", nargs=-1, required=True, type=FILE, metavar="TRACK...")
@click.option(
    "--procedure",
    type=FILE,
    multiple=True,
    metavar="FILE",
    help="Procedure file (TOML), several times or a folder for a lesson with several; or a coded one by:",
)
@click.option("--coded", type=FILE, metavar="FILE", help="File of coded procedures (ARINC 424).")
@click.option("--airport", metavar="IDENT", help="Airport of the coded procedure.")
@click.option("--approach", metavar="NAME", help="Approach of the coded procedure.")
@click.option("--transition", metavar="IDENT", help="Its transition, where several lead to different reversals.")
@click.option("--pick", type=click.IntRange(min=1), metavar="N", help="Take the Nth of the coded reversals proposed.")
@click.option(
    "--output", default="reports", type=FILE, show_default=True, metavar="DIR", help="Folder for the reports."
)
@assessment_options
@click.option("--explain", is_flag=True, help="List each column of the tracks, what it was taken for, and stop.")
@click.option("--no-report", is_flag=True, help="Write the result files only.")
@click.option(
    "--also",
    metavar="KIND,...",
    help="Further files: plans as svg or png, the flight as geojson or kml for maps and globes.",
)
@click.option(
    "--jobs",
    type=click.IntRange(min=1),
    metavar="N",
    help="Processes; default: one for each core with 8 tracks or more.",
)
@click.option("--skip-existing", is_flag=True, help="Leave tracks alone whose reports are there already.")
def assess(
    tracks: tuple[Path, ...],
    procedure: tuple[Path, ...],
    coded: Path | None,
    airport: str | None,
    approach: str | None,
    transition: str | None,
    pick: int | None,
    output: Path,
    no_report: bool,
    also: str | None,
    jobs: int | None,
    skip_existing: bool,
    explain: bool,
    **options: Any,
) -> None:
    """Assess tracks and write a report and a result file for each.

    A folder in the place of a track stands for all tracks in it. Tracks are GPX or CSV; KML and GeoJSON with times,
    IGC, NMEA 0183, TCX and FIT are read as well, also packed as zip or gzip. With --coded and no approach the reversals
    that the first track may have flown are listed; --pick takes one of them. With several procedures each reversal goes
    to the one that it fits.
    """
    from analyzer.run import batch, jobs as work
    from analyzer.run.fleet.archive import find_tracks
    from analyzer.run.report_names import index_place, prepare_folder

    tracks = tuple(find_tracks(tracks, output)) if any(map(isdir, tracks)) else tracks
    if explain:
        finish(explain_tracks(tracks, options["columns"], options["max_megabytes"]), len(tracks))
        return
    asked = _asked(tracks, procedure, coded, airport, approach, transition, pick)
    options, further = checked_options(options), kinds_of(also)
    prepare_folder(output)
    overview = quote(index_place(output).name) if len(tracks) > 1 and not no_report else None
    outcomes: list[work.Outcome] = []
    waiting: dict[int, work.Outcome] = {}
    errors: set[str] = set()
    progress = ProgressLine(len(tracks))

    def report(outcome: work.Outcome) -> None:
        waiting[outcome.job.number] = outcome
        progress.clear()
        while len(outcomes) in waiting:  # in the order of the command, however a pool hands them back
            say(waiting.pop(len(outcomes)))
        progress.step()

    def say(outcome: work.Outcome) -> None:
        outcomes.append(outcome)
        if outcome.error is None:
            click.echo(outcome_line(outcome, with_report=not no_report))
        elif outcome.error not in errors:  # a bad procedure file is one error, however many tracks
            errors.add(outcome.error)
            say_error(outcome.error)

    batch.run(
        work.jobs_for(tracks, asked, output, options, with_report=not no_report, also=further, overview=overview),
        batch.processes_for(len(tracks), jobs),
        skip_existing=skip_existing,
        report=report,
    )
    progress.clear()
    done = [outcome for outcome in outcomes if outcome.error is None]
    earlier = earlier_outcomes(output, outcomes) if skip_existing and not no_report else []
    if len(outcomes) + len(earlier) > 1 and done and not no_report:
        click.echo(f"{write_index(output, outcomes + earlier)}: overview of {len(outcomes) + len(earlier)} tracks")
    finish(len(done), len(tracks))


def kinds_of(also: str | None) -> tuple[str, ...]:
    """Return the kinds of further files that --also names, each once."""
    kinds = tuple(dict.fromkeys(one.strip().lower() for one in (also or "").split(",") if one.strip()))
    for one in kinds:
        if one not in KINDS:
            raise OptionError(f"--also: {one} is not a kind of file. Expected one or more of {', '.join(KINDS)}")
    return kinds


def _asked(
    tracks: tuple[Path, ...],
    procedure: tuple[Path, ...],
    coded: Path | None,
    airport: str | None,
    approach: str | None,
    transition: str | None,
    pick: int | None,
) -> "tuple[Path, ...] | CodedChoice":
    """Return the procedure files, or the coded reversal that was named or picked."""
    if bool(procedure) == (coded is not None):
        raise OptionError("assess: expected either --procedure FILE or --coded FILE")
    if procedure:
        if airport or approach or transition or pick:
            raise OptionError("assess: --airport, --approach, --transition and --pick go with --coded")
        return procedure
    assert coded is not None
    if (airport is None) != (approach is None) or (transition is not None and approach is None):
        lists = f"; reversal-debrief procedures {coded} --airport {airport} lists them" if airport else ""
        raise OptionError(
            "assess: a coded procedure is named by --airport and --approach, with --transition if need be" + lists
        )
    if airport is not None and approach is not None:
        if pick is not None:
            raise OptionError("assess: --pick is for proposals; leave out --airport and --approach, or --pick")
        from analyzer.run.debrief import CodedChoice

        return CodedChoice(coded, airport, approach, transition)
    return _proposed(coded, tracks[0], pick)


def _proposed(coded: Path, track: Path, pick: int | None) -> "CodedChoice":
    """Return the picked one of the coded reversals that a track may have flown; list them where none was picked."""
    from analyzer.reading import proposals, read_track
    from analyzer.run.debrief import CodedChoice

    found = proposals(coded, read_track(track))
    if not found:
        raise OptionError(f"{track}: passed no fix of a coded reversal twice, and once on its inbound course")
    if pick is None:
        for number, entry in enumerate(found, 1):
            via = f" via {entry.transition}" if entry.transition else ""
            click.echo(f"{number}  {entry.airport} {entry.approach}{via}, {entry.path}: {entry.evidence}")
        which = "one procedure may be meant" if len(found) == 1 else "several procedures may be meant, best first"
        raise OptionError(f"assess: {which}, see above; name yours with --pick N, as --pick 1")
    if pick > len(found):
        raise OptionError(f"--pick: {pick} is out of range. Expected 1 to {len(found)}")
    entry = found[pick - 1]
    return CodedChoice(coded, entry.airport, entry.approach, entry.transition or None)
