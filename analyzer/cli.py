"""The command: arguments, one-line errors, exit codes. Everything heavy is imported by the command that needs it.

Exit status: 0 a report was written for every track, 1 some tracks could not be assessed, 2 nothing could be.
"""

import os
import signal
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from analyzer import __version__
from analyzer.errors import ReversalDebriefError

SOME_FAILED, NOTHING_DONE, INTERRUPTED = 1, 2, 130
_FILE = click.Path(path_type=Path)  # existence is checked by the readers, whose errors say what would be right


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="reversal-debrief", message="%(prog)s %(version)s")
def reversal_debrief() -> None:
    """Debrief instrument course reversals from a flight log.

    Training debrief only, not for navigation or flight planning.
    """


def _assessment_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options that say how a track is to be assessed."""
    options = [
        click.option(
            "--altimeter-setting",
            type=float,
            metavar="X",
            help="Inches of mercury, or hPa above 500; corrects pressure altitudes.",
        ),
        click.option(
            "--temperature-c", type=float, metavar="C", help="Temperature at a station; corrects geometric altitudes."
        ),
        click.option("--station-elevation-ft", type=float, metavar="FT", help="Elevation of that station."),
        click.option(
            "--position-sigma-m",
            type=float,
            metavar="M",
            help="1 sigma of the positions; default: 10 m, or from the data.",
        ),
        click.option(
            "--altitude-sigma-ft", type=float, metavar="FT", help="1 sigma of the altitudes; default: by their kind."
        ),
        click.option("--columns", metavar="MEANING=COLUMN,...", help="Columns of a table, as time=Zulu,latitude=Lat."),
        click.option("--max-megabytes", type=float, metavar="MB", help="Refuse larger track files; default: 268."),
        click.option(
            "--wind",
            metavar="FROM/KT",
            help="Wind in degrees true and knots, as 240/18; 240M/18 is magnetic. Default: estimated.",
        ),
        click.option("--forecast-wind", metavar="FROM/KT", help="Wind of the next flight, for its card."),
        click.option(
            "--tolerances",
            default="US practical test",
            metavar="NAME|FILE",
            show_default=True,
            help="Set of tolerances, or your own file.",
        ),
        click.option(
            "--self-assessment",
            type=_FILE,
            metavar="FILE",
            help="Sheet on which the pilot rated the flight before looking.",
        ),
        click.option(
            "--reversal",
            "reversal_expected",
            metavar="required|not-permitted",
            help="What the clearance asked for; default: a reversal is fine, none is too.",
        ),
        click.option("--anonymous", is_flag=True, help="Leave out names, dates and absolute position."),
        click.option(
            "--clock", metavar="TIME", help="Moment that the report says it was made, ISO 8601; default: none."
        ),
    ]
    for option in reversed(options):
        command = option(command)
    return command


@reversal_debrief.command()
@click.argument("tracks", nargs=-1, required=True, type=_FILE, metavar="TRACK...")
@click.option("--procedure", required=True, type=_FILE, metavar="FILE", help="Procedure file (TOML).")
@click.option(
    "--output", default="reports", type=_FILE, show_default=True, metavar="DIR", help="Folder for the reports."
)
@_assessment_options
@click.option("--no-report", is_flag=True, help="Write the result files only.")
@click.option(
    "--jobs",
    type=click.IntRange(min=1),
    metavar="N",
    help="Processes; default: one for each core with 8 tracks or more.",
)
@click.option("--skip-existing", is_flag=True, help="Leave tracks alone whose reports are there already.")
def assess(
    tracks: tuple[Path, ...],
    procedure: Path,
    output: Path,
    no_report: bool,
    jobs: int | None,
    skip_existing: bool,
    **options: Any,
) -> None:
    """Assess tracks (GPX or CSV) and write a report and a result file for each."""
    from analyzer import batch
    from analyzer.output import prepare_folder

    _check_options(options)
    prepare_folder(output)
    outcomes: list[batch.Outcome] = []
    errors: set[str] = set()

    def report(outcome: batch.Outcome) -> None:
        outcomes.append(outcome)
        _clear_progress()
        if outcome.error is not None:
            if outcome.error not in errors:  # a bad procedure file is one error, however many tracks
                _say_error(outcome.error)
            errors.add(outcome.error)
        else:
            click.echo(_line(outcome, with_report=not no_report))
        _show_progress(len(outcomes), len(tracks))

    batch.run(
        batch.jobs_for(tracks, procedure, output, options, with_report=not no_report),
        batch.processes_for(len(tracks), jobs),
        skip_existing=skip_existing,
        report=report,
    )
    _clear_progress()
    done = [outcome for outcome in outcomes if outcome.error is None]
    if len(tracks) > 1 and done and not no_report:
        click.echo(f"{_write_index(output, outcomes)}: overview of {len(tracks)} tracks")
    if len(done) < len(tracks):
        raise click.exceptions.Exit(SOME_FAILED if done else NOTHING_DONE)


@reversal_debrief.command()
@click.option("--procedure", required=True, type=_FILE, metavar="FILE", help="Procedure file (TOML).")
@click.option("--output", required=True, type=_FILE, metavar="TRACK", help="Track file to write, .gpx or .csv.")
@click.option(
    "--method", metavar="M", help="45/180, 80/260, teardrop, racetrack, hold or straight in; default: the usual one."
)
@click.option("--tas", "tas_kt", type=float, default=110.0, show_default=True, metavar="KT", help="True airspeed.")
@click.option("--wind", default="0/0", metavar="FROM/KT", help="Wind in degrees true and knots; default: calm.")
@click.option(
    "--entry", metavar="E", help="Of a hold: direct, teardrop or parallel; default: what the sector rule gives."
)
@click.option("--laps", type=int, default=1, show_default=True, metavar="N", help="Circuits of a hold.")
@click.option("--attempts", type=int, default=1, show_default=True, metavar="N", help="Reversals one after the other.")
@click.option(
    "--arrival-track",
    "arrival_track_deg",
    type=float,
    metavar="DEG",
    help="True track on which the fix is first reached.",
)
@click.option("--outbound", "outbound_s", type=float, metavar="S", help="Time of the outbound leg in still air.")
@click.option(
    "--error",
    "errors",
    multiple=True,
    metavar="NAME[=SIZE]",
    help='A named error, as "late turn=15"; may stand several times.',
)
@click.option("--pilot", default="ideal", show_default=True, metavar="P", help="ideal or human.")
@click.option("--ending", default="level", show_default=True, metavar="E", help="level or land.")
@click.option(
    "--interval", "interval_s", type=float, default=1.0, show_default=True, metavar="S", help="Time between rows."
)
@click.option(
    "--position-noise", "position_noise_m", type=float, default=0.0, metavar="M", help="1 sigma of the positions."
)
@click.option(
    "--altitude-noise", "altitude_noise_ft", type=float, default=0.0, metavar="FT", help="1 sigma of the altitudes."
)
@click.option("--gaps", type=int, default=0, metavar="N", help="Stretches without rows.")
@click.option("--outliers", "outlier_share", type=float, default=0.0, metavar="SHARE", help="Share of wild positions.")
@click.option("--altitude-kind", metavar="KIND", help="indicated, pressure or geometric; default: by the file.")
@click.option(
    "--columns",
    "columns_text",
    default="",
    metavar="NAME,...",
    help="Sensor columns to write, as tas_mps,heading_true_deg.",
)
@click.option("--seed", type=int, default=0, show_default=True, metavar="N", help="The same seed gives the same file.")
def synthesize(procedure: Path, output: Path, columns_text: str, **options: Any) -> None:
    """Fly the procedure, perfectly or with named errors, and write a track."""
    from analyzer.synthesis.command import synthesize_command

    columns = tuple(column.strip() for column in columns_text.split(",") if column.strip())
    click.echo(synthesize_command(procedure, output, columns=columns, **options))


@reversal_debrief.command()
@click.option("--procedure", required=True, type=_FILE, metavar="FILE", help="Procedure file (TOML).")
@click.option(
    "--output",
    type=_FILE,
    metavar="FILE",
    help="File to write, .html, .svg or .geojson; default: the procedure's name.html.",
)
def chart(procedure: Path, output: Path | None) -> None:
    """Draw the procedure and its protected areas; no flight is needed."""
    from analyzer.chart import write_chart

    click.echo(write_chart(procedure, output))


@reversal_debrief.command()
@click.option(
    "--output", default="reports", type=_FILE, show_default=True, metavar="DIR", help="Folder for the reports."
)
def demo(output: Path) -> None:
    """Fly and debrief four flights at an invented place."""
    from analyzer import batch
    from analyzer.demo import demo_jobs
    from analyzer.output import prepare_folder

    prepare_folder(output)
    outcomes = []
    for job in demo_jobs(output):
        outcome = batch.assess_one(job)
        outcomes.append(outcome)
        if outcome.error is not None:
            _say_error(outcome.error)
        else:
            click.echo(_line(outcome, with_report=True))
    done = [outcome for outcome in outcomes if outcome.error is None]
    if done:
        click.echo(f"{_write_index(output, outcomes)}: overview; open it in a browser")
    if len(done) < len(outcomes):
        raise click.exceptions.Exit(SOME_FAILED if done else NOTHING_DONE)


def _check_options(options: dict[str, Any]) -> None:
    """Refuse a wrong option before the first track is read; the files it names are checked with the first track."""
    from analyzer.call_options import options_from, parsed_columns

    if options["columns"] is not None:
        parsed_columns(options["columns"])
    options_from(**{key: value for key, value in options.items() if key not in ("columns", "max_megabytes")})


def _line(outcome: Any, *, with_report: bool) -> str:
    """One line about a track for people at a terminal."""
    path = outcome.page if with_report else outcome.page.with_suffix(".json")
    if outcome.skipped:
        return f"{path}: is there already"
    attempts = outcome.result["attempts"]
    if not attempts:
        return f"{path}: no course reversal found"
    words = []
    for attempt in attempts:
        overall = attempt["scores"]["overall"]
        words.append(
            f"{attempt['flown_as']} {attempt['result']}" + ("" if overall is None else f" ({overall:.0f}/100)")
        )
    return f"{path}: {', '.join(words)}"


def _write_index(folder: Path, outcomes: list[Any]) -> Path:
    from analyzer.output import index_place, write_whole
    from analyzer.report.index import render_index

    path = index_place(folder)
    write_whole(path, render_index(sorted(outcomes, key=lambda outcome: outcome.job.number)))
    return path


def _show_progress(done: int, count: int) -> None:
    if count > 1 and done < count and sys.stderr.isatty():
        click.echo(f"\r{done} of {count}", nl=False, err=True)


def _clear_progress() -> None:
    if sys.stderr.isatty():
        click.echo("\r\x1b[K", nl=False, err=True)


def _say_error(text: str) -> None:
    """Write an error; several problems of one file are a line each."""
    for line in text.splitlines():
        click.echo(line, err=True)


def main() -> None:
    """Run the command and end the process with its exit status."""
    use_one_thread()
    signal.signal(signal.SIGTERM, _end)
    sys.exit(run(sys.argv[1:]))


def use_one_thread() -> None:
    """Keep linear algebra to one thread, before numpy is loaded.

    The matrices here are small: more threads cost three times the time (measured on two cores), get in the way of
    other processes of the pool, and may add up numbers in another order, so that bytes would depend on the machine.
    """
    for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS"):
        os.environ.setdefault(name, "1")


def run(arguments: list[str]) -> int:
    """Run the command; returns the exit status."""
    try:
        returned = reversal_debrief.main(arguments, prog_name="reversal-debrief", standalone_mode=False)
    except click.exceptions.NoArgsIsHelpError as error:
        click.echo(error.format_message(), err=True)
        return NOTHING_DONE
    except click.ClickException as error:
        context = getattr(error, "ctx", None)
        command = "reversal-debrief" if context is None else context.command_path
        said = " ".join(error.format_message().split())
        _say_error(f"{command}: {said} See {command} --help")
        return NOTHING_DONE
    except ReversalDebriefError as error:
        _say_error(str(error))
        return NOTHING_DONE
    except (KeyboardInterrupt, click.Abort):
        _clear_progress()
        _say_error("interrupted; the reports written so far are whole")
        return INTERRUPTED
    except BrokenPipeError:
        # the reader of our output has gone; keep the interpreter from complaining about it at its end
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return SOME_FAILED
    return returned if isinstance(returned, int) else 0


def _end(number: int, frame: object) -> None:
    raise KeyboardInterrupt
